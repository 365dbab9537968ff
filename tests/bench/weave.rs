//! How long planning, drawing and writing take: `cargo bench --bench weave`.
//!
//! Times depend on the machine; compare two of one run, or one bench before and after a change.

use std::collections::BTreeMap;

use divan::{Bencher, black_box};
use instep::draw::{self, DrawSettings};
use instep::fabric::{Gauge, Hand, Rounds, Shell, ShellSpec, Slipper, Yarn};
use instep::face::Place;
use instep::files::bundled::Bundled;
use instep::files::{self, Existing, Ready, Words, write_set};
use instep::units::Ruler;
use instep::weave::{self, Job, Plan, Settings};
use mimalloc::MiMalloc;

/// As the program does.
#[global_allocator]
static ALLOCATOR: MiMalloc = MiMalloc;

fn main() {
    divan::main();
}

/// Dots per inch of the chart that `instep plan` writes.
const DPI: f64 = 150.0;

/// A bundled face of so many mm on a tube, stitches and rows to 10 cm, a yarn of so many wraps per
/// inch.
fn job(face: &str, width_mm: f64, (stitches, rows): (f64, f64), around: u32, wraps: f64) -> Job {
    let shell = Shell::new(ShellSpec {
        gauge: Gauge::from_swatch(stitches, rows, 100.0),
        hand: Hand::Right,
        rounds: Rounds::Spiral,
        toe: vec![around],
        even_rounds: around,
        lean: 0.25,
        flat_stitches: around / 2,
        extra_before_turn: 0,
        centre_stitch: None,
    })
    .expect("a shell that can be worked");
    let yarn = Yarn {
        wraps_per_inch: wraps,
        held: 1,
        metres_per_100g: 20.0 * wraps,
        weight: None,
    };
    let text = Bundled::named(face).expect("a bundled face").text;
    Job {
        slipper: Slipper {
            colour: None,
            name: "bench".to_owned(),
            shell,
            yarn,
            foot_around_mm: None,
            for_baby: false,
        },
        threads: BTreeMap::new(),
        settings: Settings::default(),
        place: Place {
            width_mm: Some(width_mm),
            ..Place::default()
        },
        face: files::parse_face(face, text).expect("a face without faults"),
        ruler: Ruler::Metric,
    }
}

fn worsted() -> Job {
    job("lantern-smile", 64.0, (14.0, 16.0), 30, 9.0)
}

/// Sport yarn on a tube that has room for ten times the area of a face.
fn sport(width_mm: f64) -> Job {
    job("lantern-smile", width_mm, (18.0, 20.0), 120, 13.0)
}

fn plan(job: &Job) -> Plan {
    weave::plan(job).expect("a job that can be planned")
}

#[divan::bench(sample_count = 5, sample_size = 1)]
fn one_pair_where_it_is_drawn(bencher: Bencher<'_, '_>) {
    let mut job = worsted();
    job.face.features.truncate(1);
    job.settings.seat = false;
    bencher.bench(|| plan(black_box(&job)));
}

#[divan::bench(sample_count = 5, sample_size = 1)]
fn a_face_with_seats(bencher: Bencher<'_, '_>) {
    let job = worsted();
    bencher.bench(|| plan(black_box(&job)));
}

/// The same face on a width of 60 mm, and on ten times the area: how time grows with size.
#[divan::bench(args = [1, 10], sample_count = 1, sample_size = 1)]
fn a_face_in_sport_yarn_times_its_area(bencher: Bencher<'_, '_>, area: u32) {
    let job = sport(60.0 * f64::from(area).sqrt());
    bencher.bench(|| plan(black_box(&job)));
}

#[divan::bench(sample_count = 20, sample_size = 1)]
fn the_chart_as_a_picture(bencher: Bencher<'_, '_>) {
    let plan = plan(&worsted());
    bencher.bench(|| {
        let chart = draw::chart(black_box(&plan), &DrawSettings::default());
        chart.to_png(DPI).expect("a picture")
    });
}

/// All files of a plan but the picture's making.
#[divan::bench(sample_count = 20, sample_size = 1)]
fn the_files_of_a_plan(bencher: Bencher<'_, '_>) {
    let plan = plan(&worsted());
    let chart = draw::chart(&plan, &DrawSettings::default());
    let png = chart.to_png(DPI).expect("a picture");
    let words = Words::default();
    let dir = std::env::temp_dir().join(format!("instep-bench-{}", std::process::id()));
    bencher.bench(|| {
        let json = files::plan_json(black_box(&plan), &words).expect("finite figures");
        let set = [
            Ready::new("chart.png", png.clone()),
            Ready::new("chart.svg", chart.to_svg()),
            Ready::new("steps.txt", files::steps(&plan, &words)),
            Ready::new("strands.csv", files::strands_csv(&plan, &words)),
            Ready::new("plan.json", json),
        ];
        write_set(&dir, &set, Existing::Replace).expect("a directory that can be written")
    });
    std::fs::remove_dir_all(&dir).expect("the directory just written");
}
