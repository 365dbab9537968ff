//! What is written in text, against the facts of a small plan laid out by hand.

#![expect(
    clippy::unwrap_used,
    reason = "a check that cannot be set up has failed"
)]

use instep::fabric::{Gauge, Hand, Instep, Rounds, Shell, ShellSpec, Slipper, Spot, Yarn};
use instep::face::{Facing, Side};
use instep::files::{self, Words};
use instep::terms::Terms;
use instep::units::Ruler;
use instep::weave::{
    FeaturePlan, Figures, Finding, Level, Measure, Plan, StrandPlan, SymmetryPlan, ThreadPlan,
};
use kurbo::{BezPath, Point, Vec2};
use serde_json::Value;

const US: Words = Words {
    terms: Terms::Us,
    ruler: Ruler::Metric,
};
const UK: Words = Words {
    terms: Terms::Uk,
    ruler: Ruler::Metric,
};

/// A slipper of 24 rounds; 9 of 30 stitches stay open, so the middle of the edge is stitch 5.
fn slipper(rounds: Rounds, for_baby: bool) -> Slipper {
    slipper_of(Hand::Right, rounds, for_baby)
}

fn slipper_of(hand: Hand, rounds: Rounds, for_baby: bool) -> Slipper {
    let yarn = Yarn {
        wraps_per_inch: 9.0,
        held: 1,
        metres_per_100g: 180.0,
        weight: None,
    };
    let shell = Shell::new(ShellSpec {
        gauge: Gauge::from_swatch(14.0, 16.0, 100.0),
        hand,
        rounds,
        toe: vec![8, 16, 24, 30],
        even_rounds: 20,
        lean: 0.25,
        flat_stitches: 21,
        extra_before_turn: 0,
        centre_stitch: None,
    })
    .unwrap();
    Slipper {
        name: "Marrow Lane slipper".to_owned(),
        shell,
        yarn,
        colour: None,
        foot_around_mm: Some(225.0),
        for_baby,
    }
}

/// Strands laid straight toward the toe, `count` of them from `left` rightward.
fn strands(instep: &Instep, first: usize, left: f64, count: usize) -> Vec<StrandPlan> {
    (0..count)
        .map(|at| {
            let x = left + 3.6 * at as f64;
            let mut ends = [Point::new(x, 15.0), Point::new(x, 33.0)];
            if at % 2 == 1 {
                ends.reverse();
            }
            let [up, down] = ends.map(|end| *instep.nearest(end));
            StrandPlan {
                order: first + at,
                start: at == 0,
                travel_mm: 0.0,
                caught: 0,
                stage: 1,
                up,
                down,
                length_mm: up.at.distance(down.at),
                direction_deg: None,
                ties: None,
            }
        })
        .collect()
}

fn feature(name: &str, side: Side, strands: Vec<StrandPlan>) -> FeaturePlan {
    FeaturePlan {
        name: name.to_owned(),
        side,
        thread: "dark".to_owned(),
        method: "surface satin".to_owned(),
        direction_deg: Some(90.0),
        bent: None,
        mirrored: false,
        outline: BezPath::from_svg("M-10,15 L10,15.123456 L0,33 Z").unwrap(),
        moved_mm: Vec2::new(0.3, -0.0),
        scale: 1.0,
        seat_won_mm2: 1.5,
        nearness: None,
        strand_mm: 25.4 / 9.0,
        wraps: 0,
        strands,
        measure: Measure {
            outline_mm2: 180.0,
            match_share: 0.8123456,
            bare_mm2: 12.0,
            spill_mm2: 8.0,
            doubled_mm2: 1.0,
            score_mm2: 101.0,
        },
    }
}

fn plan_on(slipper: &Slipper) -> Plan {
    let instep = Instep::new(slipper);
    let features = vec![
        feature("eye", Side::Left, strands(&instep, 1, -26.0, 4)),
        feature("eye", Side::Right, strands(&instep, 5, 12.0, 4)),
        feature("nose, small", Side::Centre, strands(&instep, 9, -4.0, 3)),
    ];
    let count = features.iter().map(|f| f.strands.len()).sum();
    Plan {
        slipper_name: slipper.name.clone(),
        slipper_colour: None,
        slipper_yarn_mm: slipper.yarn.width_mm(),
        for_baby: slipper.for_baby,
        face_name: "Wide grin".to_owned(),
        width_mm: 64.0,
        height_mm: 50.0,
        below_edge_mm: 12.5,
        facing: Facing::Onlooker,
        float_limit_mm: if slipper.for_baby { 10.0 } else { 25.0 },
        needleful_mm: 900.0,
        tail_mm: 150.0,
        threads: vec![ThreadPlan {
            name: "dark".to_owned(),
            colour: [0x2b, 0x24, 0x30],
            held: 1,
            width_mm: 25.4 / 9.0,
            strands: count,
            starts: 3,
            lengths_mm: vec![400.0; 3],
            travel_mm: 120.0,
            longest_float_mm: 22.0,
            length_mm: 1400.0,
            grams: 0.7778,
            needlefuls: 3,
            pierced_ends: 4,
        }],
        symmetry: vec![SymmetryPlan {
            feature: "eye".to_owned(),
            pair: true,
            planned: Figures {
                mirror_match: 0.93,
                level_mm: -0.0,
                size_ratio: 0.98,
                ..Figures::default()
            },
            naive: Figures {
                mirror_match: 0.5,
                level_mm: 1.6,
                level_rows: 0.25,
                ..Figures::default()
            },
        }],
        findings: vec![Finding {
            level: Level::Advice,
            code: "loose-gauge",
            feature: String::new(),
            text: "the gauge is looser than 14 sc in 10 cm of single crochet; skip nothing"
                .to_owned(),
        }],
        features,
        instep,
    }
}

fn plan() -> Plan {
    plan_on(&slipper(Rounds::Spiral, false))
}

fn json(plan: &Plan) -> Value {
    serde_json::from_str(&files::plan_json(plan, &US).unwrap()).unwrap()
}

/// Fields of one line without quoted fields.
fn fields(line: &str) -> Vec<&str> {
    line.split(',').collect()
}

#[test]
fn the_table_has_one_line_a_strand_and_as_many_fields_as_the_header() {
    let text = files::strands_csv(&plan(), &US);
    // RFC 4180, section 2.1: lines end in CRLF.
    let lines: Vec<&str> = text.strip_suffix("\r\n").unwrap().split("\r\n").collect();
    assert_eq!(lines.len(), 1 + 11);
    let header = fields(lines[0]).len();
    for line in &lines[1..9] {
        assert_eq!(fields(line).len(), header, "{line}");
    }
    // RFC 4180, section 2.6: a field with a comma stands in quotes.
    for line in &lines[9..] {
        assert!(line.contains("\"nose, small\""), "{line}");
        assert_eq!(fields(line).len(), header + 1);
    }
    let orders: Vec<&str> = lines[1..].iter().map(|line| fields(line)[1]).collect();
    let expected: Vec<String> = (1..=11).map(|order| order.to_string()).collect();
    assert_eq!(orders, expected);
}

#[test]
fn the_plan_file_has_every_key_of_schema_1() {
    let value = json(&plan());
    for (path, keys) in [
        (
            "",
            "format slipper face centre_line features threads symmetry findings",
        ),
        (
            "/slipper",
            "name hand rounds stitch_mm row_mm lean counts flat_stitches centre_stitch strand_mm \
             stretch",
        ),
        ("/face", "name width_mm height_mm below_edge_mm facing"),
        ("/centre_line/0", "below round stitch baste"),
        (
            "/features/0",
            "name side thread method direction_deg mirrored outline_mm moved_mm strand_mm strands \
             match bare_mm2 spill_mm2 doubled_mm2 score_mm2 strands_per_row",
        ),
        ("/features/0/strands/0", "order start up down length_mm"),
        (
            "/features/0/strands/0/up",
            "round stitch row across below x_mm y_mm",
        ),
        (
            "/threads/0",
            "name strands starts travel_mm longest_float_mm length_mm grams needlefuls \
             pierced_ends",
        ),
        (
            "/symmetry/0",
            "feature mirror_match level_mm level_rows offset_mm size_ratio tilt_deg naive",
        ),
        ("/findings/0", "level code feature text"),
    ] {
        let object = value.pointer(path).unwrap().as_object().unwrap();
        for key in keys.split_whitespace() {
            assert!(object.contains_key(key), "{path}/{key}");
        }
    }
    assert_eq!(value["format"], 1);
    assert_eq!(value["features"][0]["side"], "left");
}

#[test]
fn the_plan_file_says_what_the_plan_says() {
    let plan = plan();
    let value = json(&plan);
    let strand = &plan.features[1].strands[1];
    let written = &value["features"][1]["strands"][1];
    assert_eq!(written["order"], 6);
    assert_eq!(written["up"]["round"], strand.up.point.round);
    assert_eq!(written["up"]["stitch"], strand.up.point.stitch());
    assert_eq!(written["down"]["below"], strand.down.along.below);
    let x = written["up"]["x_mm"].as_f64().unwrap();
    // Four decimals: half of the last one is the error allowed.
    assert!((x - strand.up.at.x).abs() <= 0.5e-4 + 1e-12);
    assert_eq!(value["features"][0]["match"], 0.8123);
    let row = &plan.instep.rows()[3];
    assert_eq!(value["centre_line"][3]["baste"], row.baste.stitch());
    assert_eq!(value["centre_line"][3]["round"], row.round);
    assert_eq!(value["slipper"]["centre_stitch"], 5.0);
    // Strands from about y 15 to 33 mm in rows of 6.25 mm: rows 3 to 5, or 6 where the needle
    // goes in at a base farther down; each of the three strands spans all rows between.
    let rows = value["features"][2]["strands_per_row"].as_array().unwrap();
    assert!(rows.len() >= 3 && rows.iter().any(|count| *count == 3));
    assert!(value["features"][2]["first_row"].as_u64().unwrap() >= 2);
}

#[test]
fn the_outline_is_path_data_to_four_decimals_and_no_number_is_minus_zero() {
    let text = files::plan_json(&plan(), &US).unwrap();
    assert!(!text.contains("-0.0,") && !text.contains("-0.0\n") && !text.contains("-0,"));
    let value: Value = serde_json::from_str(&text).unwrap();
    let data = value["features"][0]["outline_mm"].as_str().unwrap();
    let path = BezPath::from_svg(data).unwrap();
    assert_eq!(path.elements().len(), 4);
    assert!(data.contains("15.1235"), "{data}");
}

/// The lines of the steps that are strands: a number, then `up`.
fn strand_lines(text: &str) -> Vec<(usize, String)> {
    text.lines()
        .filter_map(|line| {
            let (number, rest) = line.trim_start().split_once("  up ")?;
            Some((number.parse().ok()?, rest.to_owned()))
        })
        .collect()
}

#[test]
fn the_steps_hold_every_strand_once_with_both_its_places() {
    let plan = plan();
    let lines = strand_lines(&files::steps(&plan, &US));
    let orders: Vec<usize> = lines.iter().map(|(order, _)| *order).collect();
    assert_eq!(orders, (1..=11).collect::<Vec<_>>());
    for strand in plan.strands() {
        let (_, line) = &lines[strand.order - 1];
        for end in [strand.up, strand.down] {
            assert!(line.contains(&US.whereabouts(&end)), "{line}");
        }
        let rounds = format!("[{}, {}]", strand.up.point.round, strand.down.point.round);
        assert!(line.ends_with(&rounds), "{line}");
    }
}

#[test]
fn the_steps_give_the_baste_point_of_every_row_that_the_face_needs() {
    let plan = plan();
    let text = files::steps(&plan, &US);
    let deepest = plan
        .strands()
        .flat_map(|strand| [strand.up, strand.down])
        .map(|end| end.along.below.ceil())
        .fold(0.0, f64::max);
    let basted: Vec<&str> = text
        .lines()
        .filter(|line| line.starts_with("  row "))
        .collect();
    assert!(basted.len() as f64 >= deepest);
    for (line, row) in basted.iter().zip(plan.instep.rows()) {
        assert!(line.contains(&US.in_the_round(row.baste)), "{line}");
        assert!(
            line.contains(&format!("round {}", row.baste.round)),
            "{line}"
        );
    }
}

#[test]
fn a_length_begins_wherever_the_plan_says_so() {
    let text = files::steps(&plan(), &US);
    assert_eq!(text.matches(": cut ").count(), 3);
    assert_eq!(text.matches("Fasten off on the inside.").count(), 3);
}

#[test]
fn a_travel_is_caught_as_often_as_the_plan_says() {
    let mut plan = plan();
    let strand = &mut plan.features[1].strands[0];
    (strand.start, strand.travel_mm, strand.caught) = (false, 48.0, 1);
    let strand = &mut plan.features[2].strands[0];
    (strand.start, strand.travel_mm, strand.caught) = (false, 60.0, 2);
    let text = files::steps(&plan, &US);
    // Divided on paper: 60 mm caught twice three times 20 mm.
    assert!(text.contains("carry the yarn 48.0 mm and catch it once, half-way."));
    assert!(text.contains("carry the yarn 60.0 mm and catch it twice, every 20.0 mm"));
    assert_eq!(text.matches(": cut ").count(), 1);
}

#[test]
fn a_baby_brings_its_own_cautions() {
    let of = |for_baby| files::steps(&plan_on(&slipper(Rounds::Spiral, for_baby)), &US);
    assert!(of(true).contains("tie off a toe") && of(true).contains("10.0 mm"));
    assert!(!of(false).contains("tie off a toe"));
}

#[test]
fn british_terms_replace_every_us_word() {
    let plan = plan();
    let texts = [
        files::steps(&plan, &UK),
        files::plan_json(&plan, &UK)
            .unwrap()
            .replace("loose-gauge", ""),
        files::strands_csv(&plan, &UK),
    ];
    for text in &texts {
        let words: Vec<String> = text
            .split(|c: char| !c.is_alphanumeric())
            .map(str::to_lowercase)
            .collect();
        for us in ["sc", "gauge", "skip", "skipped", "skips"] {
            assert!(!words.iter().any(|word| word == us), "{us} in {text}");
        }
        assert!(!text.to_lowercase().contains("single crochet"), "{text}");
    }
    assert!(texts[0].contains("double crochet") && texts[0].contains("tension"));
    assert!(texts[1].contains("14 dc in 10 cm of double crochet; miss nothing"));
    // And the other way round: the same words are there in US terms.
    let us = files::steps(&plan, &US);
    assert!(us.contains("single crochet") && us.contains("gauge"));
    assert!(!us.contains("double crochet") && !us.contains("tension"));
}

/// Stitches to the right that the last words of a line of the basting list tell.
fn told(line: &str) -> f64 {
    if line.ends_with("straight down") {
        return 0.0;
    }
    let (_, words) = line.rsplit_once("then ").unwrap();
    let (count, side) = words.split_once(' ').unwrap();
    let count = match count {
        "½" => 0.5,
        "1" => 1.0,
        _ => panic!("{line}"),
    };
    if side == "left" { -count } else { count }
}

#[test]
fn the_basting_list_tells_the_way_from_row_to_row_as_the_unfolding_does() {
    for hand in [Hand::Right, Hand::Left] {
        for rounds in [Rounds::Spiral, Rounds::Joined] {
            let plan = plan_on(&slipper_of(hand, rounds, false));
            let instep = &plan.instep;
            let text = files::steps(&plan, &US);
            let lines: Vec<&str> = text
                .lines()
                .filter(|line| line.starts_with("  row "))
                .collect();
            let mut stepped = 0;
            for (pair, line) in instep.rows().windows(2).zip(&lines[1..]) {
                let (above, here) = (pair[0].baste, pair[1].baste);
                // A stitch stands on the one of the same number in the round before.
                let straight = instep.unfold(Spot {
                    round: above.round - 1,
                    stitch: above.stitch(),
                    row: 0.0,
                });
                let right = (instep.unfold(here.spot()).x - straight.x) / instep.stitch_mm();
                assert!((right - told(line)).abs() < 0.01, "{line}: {right}");
                stepped += usize::from(told(line) != 0.0);
            }
            // A lean of 0.25 moves the thread by half a stitch in every second row.
            assert!(stepped >= 2, "{text}");
        }
    }
}

#[test]
fn joined_rounds_are_basted_too() {
    let plan = plan_on(&slipper(Rounds::Joined, false));
    let text = files::steps(&plan, &US);
    assert!(text.contains("joined rounds") && text.contains("  row 1 "));
}

#[test]
fn the_same_plan_gives_the_same_bytes() {
    let (a, b) = (plan(), plan());
    assert_eq!(files::steps(&a, &US), files::steps(&b, &US));
    assert_eq!(
        files::plan_json(&a, &US).unwrap(),
        files::plan_json(&b, &US).unwrap()
    );
    assert_eq!(files::strands_csv(&a, &US), files::strands_csv(&b, &US));
}

#[test]
fn a_set_that_fails_half_way_leaves_everything_as_it_was() {
    let dir = std::env::temp_dir().join(format!("instep-{}-half-way", std::process::id()));
    let set = [
        files::Ready::new("a.txt", "new"),
        files::Ready::new("no/such/place.txt", "new"),
    ];
    assert!(files::write_set(&dir.join("deep"), &set, files::Existing::Replace).is_err());
    assert!(!dir.exists());
    std::fs::create_dir_all(&dir).unwrap();
    std::fs::write(dir.join("a.txt"), "old").unwrap();
    assert!(files::write_set(&dir, &set, files::Existing::Replace).is_err());
    assert!(files::write_set(&dir, &set[..1], files::Existing::Refuse).is_err());
    assert_eq!(std::fs::read_to_string(dir.join("a.txt")).unwrap(), "old");
    assert_eq!(std::fs::read_dir(&dir).unwrap().count(), 1);
    assert!(files::write_set(&dir, &set[..1], files::Existing::Replace).is_ok());
    assert_eq!(std::fs::read_to_string(dir.join("a.txt")).unwrap(), "new");
    assert_eq!(std::fs::read_dir(&dir).unwrap().count(), 1);
    std::fs::remove_dir_all(&dir).unwrap();
}

#[test]
fn a_chain_is_worked_in_one_length_and_its_links_go_from_place_to_place() {
    let face = files::parse_face(
        "face.toml",
        "name = \"Line\"\nwidth = 100\nheight = 78\n[threads.dark]\n[[feature]]\nname = \"mouth\"\n\
         path = \"M-30,40 Q0,65 30,40\"\nline = \"chain stitch\"\nthread = \"dark\"\n",
    )
    .unwrap();
    let slipper = files::parse_slipper("slipper.toml", files::start::SLIPPER).unwrap();
    let plan = instep::weave::plan(&slipper.with_face(face, Ruler::Metric)).unwrap();
    assert!(plan.features[0].strands.len() >= 4);
    assert_eq!(plan.threads[0].starts, 1);
    let text = files::steps(&plan, &US);
    assert_eq!(text.matches(": cut ").count(), 1, "{text}");
    assert!(
        text.contains("   1  from row ") && text.contains(" to row "),
        "{text}"
    );
}
