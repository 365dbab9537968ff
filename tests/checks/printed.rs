//! The true-size sheet as an independent reader of PDF sees it: poppler's `pdfinfo`, `pdftotext`
//! and `pdftoppm`, at 254 dots per inch, where 10 pixels are a mm.

use std::collections::BTreeMap;
use std::fs;
use std::path::PathBuf;
use std::process::Command;
use std::sync::LazyLock;

use instep::draw::{self, DrawSettings, Paper};
use instep::fabric::{Gauge, Hand, Rounds, ShellSpec};
use instep::files::{self, Words};
use instep::weave::Plan;
use serde_json::Value;

use super::planned::{FILLS, face, job, plan};
use super::slippers::slipper;

/// Pixels in a mm at 254 dpi, as an inch is 25.4 mm.
const PX: f64 = 10.0;

/// A PDF on disk, gone afterwards.
struct Printed(PathBuf);

impl Drop for Printed {
    fn drop(&mut self) {
        // Best effort: a directory for temporary files cleans itself in the end.
        let _ = fs::remove_file(&self.0);
    }
}

fn sheet(plan: &Plan, paper: Paper) -> Vec<u8> {
    let steps = files::steps(plan, &Words::default());
    let pages = draw::true_size(plan, &DrawSettings::default(), paper, &steps);
    draw::pdf(&plan.face_name, &pages)
}

impl Printed {
    fn new(name: &str, bytes: &[u8]) -> Self {
        let file = format!("instep-{}-{name}.pdf", std::process::id());
        let path = std::env::temp_dir().join(file);
        fs::write(&path, bytes).expect("a file for temporary use");
        Self(path)
    }

    /// What a tool of poppler says of it.
    fn seen_by(&self, tool: &str, before: &[&str], after: &[&str]) -> Vec<u8> {
        let mut command = Command::new(tool);
        command.args(before).arg(&self.0).args(after);
        let output = command.output().unwrap_or_else(|error| {
            panic!("{tool} of poppler-utils, which tests/run installs: {error}")
        });
        let told = String::from_utf8_lossy(&output.stderr);
        assert!(output.status.success() && told.is_empty(), "{tool}: {told}");
        output.stdout
    }

    fn info(&self) -> String {
        let told = self.seen_by("pdfinfo", &["-f", "1", "-l", "999"], &[]);
        String::from_utf8_lossy(&told).into_owned()
    }

    /// The text of a page, its white space made single.
    fn text(&self, page: usize) -> String {
        let page = page.to_string();
        let told = self.seen_by("pdftotext", &["-layout", "-f", &page, "-l", &page], &["-"]);
        single_spaced(&String::from_utf8_lossy(&told))
    }

    fn page(&self, page: usize) -> Page {
        let page = page.to_string();
        let options = ["-r", "254", "-gray", "-f", &page, "-l", &page];
        Page::read(&self.seen_by("pdftoppm", &options, &[]))
    }
}

fn single_spaced(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// A page in pixels, 0 black to 255 white.
struct Page {
    width: usize,
    height: usize,
    grey: Vec<u8>,
}

impl Page {
    /// Reads binary PGM: `P5`, width, height, 255, then the pixels.
    fn read(pgm: &[u8]) -> Self {
        let mut at = 0;
        let mut word = || {
            let from = at;
            while !pgm[at].is_ascii_whitespace() {
                at += 1;
            }
            at += 1;
            String::from_utf8_lossy(&pgm[from..at - 1]).into_owned()
        };
        assert_eq!(word(), "P5");
        let [width, height, most] = [word(), word(), word()].map(|w| w.parse().expect("a number"));
        assert_eq!(most, 255);
        let grey = pgm[at..].to_vec();
        assert_eq!(grey.len(), width * height);
        Self {
            width,
            height,
            grey,
        }
    }

    /// Grey of the pixel nearest to a place, white outside.
    fn at(&self, x: f64, y: f64) -> u8 {
        if x < 0.0 || y < 0.0 {
            return 255;
        }
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "not negative; a pixel of a page"
        )]
        let (x, y) = (x as usize, y as usize);
        if x < self.width && y < self.height {
            self.grey[y * self.width + x]
        } else {
            255
        }
    }

    fn dark(&self, x: f64, y: f64) -> bool {
        self.at(x, y) < 110
    }

    /// Longest run of dark pixels in each line of the page, or in each of its columns.
    fn runs(&self, along_x: bool) -> Vec<usize> {
        let (lines, length) = if along_x {
            (self.height, self.width)
        } else {
            (self.width, self.height)
        };
        let longest = |line: usize| {
            let (mut best, mut now) = (0, 0);
            for step in 0..length {
                let (x, y) = if along_x { (step, line) } else { (line, step) };
                now = if self.grey[y * self.width + x] < 110 {
                    now + 1
                } else {
                    0
                };
                best = best.max(now);
            }
            best
        };
        (0..lines).map(longest).collect()
    }

    /// True where a ring stands, empty or with a dot in it: dark all round at a radius, and mostly
    /// light between that and the middle, where a pixel may catch some of the line or the dot.
    fn ring(&self, x: f64, y: f64, radius: f64) -> bool {
        let around = |share: f64| {
            (0..8).map(move |eighth| {
                let turn = f64::from(eighth) * std::f64::consts::FRAC_PI_4;
                let (sin, cos) = turn.sin_cos();
                (x + share * radius * cos, y + share * radius * sin)
            })
        };
        let light = |place: &(f64, f64)| self.at(place.0, place.1) > 140;
        around(1.0).all(|(x, y)| self.dark(x, y)) && around(0.62).filter(light).count() >= 5
    }
}

/// A needle point of a plan in pixels of the unworn pattern, from the origin of the instep.
#[derive(Debug, Clone, Copy)]
struct Mark {
    x: f64,
    y: f64,
    up: bool,
}

/// The marks as `plan.json` gives them, x divided by a stretch.
fn marks(plan: &Plan, stretch: f64) -> Vec<Mark> {
    let json = files::plan_json(plan, &Words::default()).expect("a plan as text");
    let json: Value = serde_json::from_str(&json).expect("JSON");
    let mut marks = Vec::new();
    for feature in json["features"].as_array().expect("features") {
        for strand in feature["strands"].as_array().expect("strands") {
            for end in ["up", "down"] {
                let mm = |key: &str| strand[end][key].as_f64().expect("a length");
                marks.push(Mark {
                    x: PX * mm("x_mm") / stretch,
                    y: PX * mm("y_mm"),
                    up: end == "up",
                });
            }
        }
    }
    marks
}

/// Radius of the ring where the needle comes up, pixels: the middle of its line. The ring is 0.24
/// of the narrowest strand, 0.6 to 0.9 mm, and 0.24 mm of it are ink.
fn ring_px(plan: &Plan) -> f64 {
    let widths = plan.features.iter().map(|feature| feature.strand_mm);
    let narrowest = widths.fold(f64::INFINITY, f64::min);
    PX * ((0.24 * narrowest).clamp(0.6, 0.9) - 0.12)
}

/// Where the origin of the instep lies on a page, pixels, and which marks are found from there:
/// rings seen anywhere vote for it, without knowledge of how the page is laid out.
fn found(page: &Page, marks: &[Mark], radius: f64) -> ((f64, f64), Vec<bool>) {
    let mut votes: BTreeMap<(i32, i32), u32> = BTreeMap::new();
    for y in 0..page.height {
        for x in 0..page.width {
            let (x, y) = (x as f64 + 0.5, y as f64 + 0.5);
            if !page.ring(x, y, radius) {
                continue;
            }
            for mark in marks.iter().filter(|mark| mark.up) {
                #[expect(clippy::cast_possible_truncation, reason = "pixels of a page")]
                let vote = ((x - mark.x).round() as i32, (y - mark.y).round() as i32);
                *votes.entry(vote).or_default() += 1;
            }
        }
    }
    let near = |&(x, y): &(i32, i32)| -> u32 {
        let around = (-1..=1).flat_map(|dx| (-1..=1).map(move |dy| (x + dx, y + dy)));
        around.filter_map(|place| votes.get(&place)).sum()
    };
    let best = votes.keys().max_by_key(|place| near(place)).copied();
    let (x, y) = best.expect("rings on the page");
    // The middle of the votes thereabouts.
    let about = votes
        .iter()
        .filter(|((a, b), _)| (a - x).abs() <= 2 && (b - y).abs() <= 2);
    let (mut origin, mut all) = ((0.0, 0.0), 0.0);
    for (&(a, b), &count) in about {
        let weight = f64::from(count);
        origin = (
            origin.0 + weight * f64::from(a),
            origin.1 + weight * f64::from(b),
        );
        all += weight;
    }
    let origin = (origin.0 / all, origin.1 / all);
    let seen = marks.iter().map(|mark| {
        let (x, y) = (origin.0 + mark.x, origin.1 + mark.y);
        if mark.up {
            page.ring(x, y, radius)
        } else {
            page.dark(x, y)
        }
    });
    (origin, seen.collect())
}

/// A spiral that leans, on a foot that stretches it by 19 %; fills of two threads.
static STRETCHED: LazyLock<Plan> = LazyLock::new(|| {
    let spec = ShellSpec {
        gauge: Gauge::from_swatch(14.0, 16.0, 100.0),
        hand: Hand::Right,
        rounds: Rounds::Spiral,
        toe: vec![8, 16, 24, 30],
        even_rounds: 20,
        lean: 0.25,
        flat_stitches: 20,
        extra_before_turn: 0,
        centre_stitch: None,
    };
    plan(&job(slipper(spec, Some(255.0)), face(FILLS)))
});

#[test]
fn pages_are_as_large_as_their_paper_to_a_tenth_of_a_mm() {
    // ISO 216: A4 is 210 x 297 mm. ANSI/ASME Y14.1, size A: 8.5 x 11 in.
    for (paper, width, height) in [(Paper::A4, 210.0, 297.0), (Paper::Letter, 215.9, 279.4)] {
        let printed = Printed::new(&format!("{paper:?}-size"), &sheet(&STRETCHED, paper));
        let info = printed.info();
        let sizes: Vec<&str> = info
            .lines()
            .filter(|line| line.contains("size: "))
            .collect();
        // The last line is the size of the file.
        assert!(sizes.len() > 3, "{info}");
        for line in &sizes[..sizes.len() - 1] {
            let numbers: Vec<f64> = line
                .split_whitespace()
                .filter_map(|word| word.parse().ok())
                .collect();
            // "Page 1 size: 595.276 x 841.89 pts": a point is 1/72 in.
            let [.., w, h] = numbers[..] else {
                panic!("{line}")
            };
            assert!((w / 72.0 * 25.4 - width).abs() < 0.1, "{line}");
            assert!((h / 72.0 * 25.4 - height).abs() < 0.1, "{line}");
        }
        let page = printed.page(1);
        // A pixel begun is a pixel drawn.
        let off = [
            page.width as f64 - PX * width,
            page.height as f64 - PX * height,
        ];
        assert!(off.iter().all(|px| (0.0..=1.0).contains(px)), "{off:?}");
    }
}

#[test]
fn the_bar_measures_100_mm_and_both_sides_of_the_square_50() {
    for paper in [Paper::A4, Paper::Letter] {
        let printed = Printed::new(&format!("{paper:?}-bar"), &sheet(&STRETCHED, paper));
        let page = printed.page(1);
        let long = |runs: &[usize], about: usize| -> Vec<usize> {
            let near = runs.iter().filter(|&&run| run.abs_diff(about) <= 4);
            near.copied().collect()
        };
        let (across, down) = (page.runs(true), page.runs(false));
        // A pixel is a tenth of a mm. The bar is 1.2 mm thick; the square's line 0.4 mm.
        // The square's upper side lies beside the bar, so only its lower one is seen in the lines.
        for (runs, about, least) in [(&across, 1000, 11), (&across, 500, 3), (&down, 500, 7)] {
            let found = long(runs, about);
            assert!(found.len() >= least, "{paper:?}: {about}: {found:?}");
            assert!(
                found.iter().all(|run| run.abs_diff(about) <= 1),
                "{found:?}"
            );
        }
    }
}

#[test]
fn needle_points_lie_where_the_plan_says_with_x_divided_by_the_stretch() {
    let plan = &*STRETCHED;
    let stretch = plan.instep.stretch();
    // 255 mm around a tube of 30 stitches of 100 / 14 mm.
    assert!((stretch - 255.0 / (3000.0 / 14.0)).abs() < 1e-12);
    let printed = Printed::new("points", &sheet(plan, Paper::A4));
    let page = printed.page(1);
    let divided = marks(plan, stretch);
    assert!(divided.len() > 60);
    let (_, seen) = found(&page, &divided, ring_px(plan));
    let missed: Vec<&Mark> = divided
        .iter()
        .zip(&seen)
        .filter(|(_, s)| !**s)
        .map(|m| m.0)
        .collect();
    assert!(missed.is_empty(), "{missed:?}");
    // Were x as wide as worn, the marks would not be there.
    let (_, seen) = found(&page, &marks(plan, 1.0), ring_px(plan));
    let seen = seen.iter().filter(|&&seen| seen).count();
    assert!(2 * seen < divided.len(), "{seen}");
}

/// Lines across a tube of 75 cm in yarn of 4 mm: wider and higher than any page.
fn large() -> Plan {
    let spec = ShellSpec {
        gauge: Gauge::from_swatch(8.0, 8.0, 100.0),
        hand: Hand::Left,
        rounds: Rounds::Joined,
        toe: vec![10, 20, 30, 40, 50, 60],
        even_rounds: 40,
        lean: 0.0,
        flat_stitches: 30,
        extra_before_turn: 0,
        centre_stitch: None,
    };
    let text = r##"
name = "Cross"
width = 100
height = 70
[threads.dark]
[[feature]]
name = "beam"
path = "M-48,30 L-40,24 L-36,34 L-22,20 L-10,32 L0,22 L14,36 L20,24 L30,32 L36,18 L48,26"
line = "backstitch"
[[feature]]
name = "post"
path = "M6,4 L-4,14 L2,40 L-6,48 L4,66"
line = "backstitch"
"##;
    let mut job = job(slipper(spec, None), face(text));
    job.place.width_mm = Some(450.0);
    plan(&job)
}

#[test]
fn a_face_larger_than_the_paper_is_tiled_and_no_needle_point_is_lost_between_tiles() {
    let plan = large();
    let printed = Printed::new("tiles", &sheet(&plan, Paper::A4));
    let marks = marks(&plan, 1.0);
    let radius = ring_px(&plan);
    let mut on: Vec<Vec<String>> = vec![Vec::new(); marks.len()];
    let mut names = Vec::new();
    for page in 1.. {
        let text = printed.text(page);
        let Some(rest) = text.split("true-size pattern, tile ").nth(1) else {
            break;
        };
        let name = rest.split(',').next().expect("a name").to_owned();
        let pixels = printed.page(page);
        let (_, seen) = found(&pixels, &marks, radius);
        for (at, _) in seen.iter().enumerate().filter(|(_, seen)| **seen) {
            on[at].push(name.clone());
        }
        names.push(name);
    }
    // The beam is 432 mm wide: three of the 190 mm between the margins of A4, even with the 15 mm
    // that neighbours share. It and the post are 315 mm high and more, which is two pages of at
    // most 277.
    assert_eq!(names, ["A1", "A2", "A3", "B1", "B2", "B3"]);
    let lost: Vec<&Mark> = marks
        .iter()
        .zip(&on)
        .filter(|m| m.1.is_empty())
        .map(|m| m.0)
        .collect();
    assert!(lost.is_empty(), "{lost:?}");
    // What lies in an overlap is on both tiles, at one place of the pattern.
    for (one, other) in [("A1", "A2"), ("A2", "A3"), ("A2", "B2")] {
        let both = |tiles: &&Vec<String>| [one, other].iter().all(|t| tiles.iter().any(|n| n == t));
        let shared = on.iter().filter(both).count();
        assert!(shared >= 1, "{one} {other}: {on:?}");
    }
    for tiles in &on {
        assert!(tiles.len() <= 4, "{tiles:?}");
    }
}

#[test]
fn every_line_of_the_steps_can_be_read_and_searched() {
    let plan = &*STRETCHED;
    let steps = files::steps(plan, &Words::default());
    let printed = Printed::new("text", &sheet(plan, Paper::Letter));
    let pages: usize = {
        let info = printed.info();
        let line = info.lines().find(|line| line.starts_with("Pages:"));
        let count = line.and_then(|line| line.split_whitespace().nth(1));
        count
            .and_then(|count| count.parse().ok())
            .expect("a number of pages")
    };
    let text: String = (2..=pages).map(|page| printed.text(page) + " ").collect();
    let mut lines = 0;
    for line in steps.lines().map(single_spaced) {
        if !line.chars().all(|letter| letter == '-') {
            assert!(text.contains(&line), "{line}");
            lines += 1;
        }
    }
    assert!(lines > 100 && text.contains('½'), "{lines}");
    let first = printed.text(1);
    for said in [
        "Print at 100 %",
        "Do not fit to the page",
        "page 1 of",
        &plan.face_name,
    ] {
        assert!(first.contains(said), "{said}: {first}");
    }
}

#[test]
fn a_sheet_is_small_has_a_title_and_no_date_and_is_the_same_every_time() {
    let bytes = sheet(&STRETCHED, Paper::A4);
    assert!(bytes == sheet(&STRETCHED, Paper::A4));
    assert!(bytes.len() < 300_000, "{}", bytes.len());
    let info = Printed::new("info", &bytes).info();
    assert!(info.contains("Title:           Fills"), "{info}");
    for dated in ["CreationDate", "ModDate"] {
        assert!(!info.contains(dated), "{info}");
    }
    // ISO 32000-1, table 150: no scaling in the print dialogue.
    let wish = b"/PrintScaling/None";
    let bare: Vec<u8> = bytes.into_iter().filter(|byte| *byte != b' ').collect();
    assert!(bare.windows(wish.len()).any(|window| window == wish));
}
