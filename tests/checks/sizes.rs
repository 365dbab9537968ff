//! Sizes of a proven slipper: against published feet, shoe sizes and the gauge.

#![expect(
    clippy::unwrap_used,
    reason = "a check that cannot make its sizes has failed"
)]

use std::fs;
use std::path::Path;

use instep::fabric::{
    Ease, Foot, Gauge, GradeError, Graded, Grading, Hand, Instep, Rounds, Shell, ShellSpec,
    ShoeSizes, Slipper, Survey,
};
use instep::files::{FootAsked, graded_slipper, parse_feet, parse_slipper};

use super::slippers::slipper;

/// Length of the foot and circumference of its ball at the 5th, 10th, 25th, 50th, 75th, 90th and
/// 95th percentile, mm: 1986 women, then 4082 men.
///
/// Source: ANSUR II, the anthropometric survey of 2012 (NATICK/TR-15/007), columns `footlength`
/// and `balloffootcircumference` of its public tables.
const FEET: [[(f64, f64); 7]; 2] = [
    [
        (226.0, 209.0),
        (230.0, 214.0),
        (238.0, 220.0),
        (246.0, 227.0),
        (254.0, 236.0),
        (263.0, 244.0),
        (267.75, 248.0),
    ],
    [
        (250.0, 232.0),
        (254.0, 236.0),
        (263.0, 243.0),
        (271.0, 252.0),
        (280.0, 261.0),
        (288.0, 268.9),
        (293.0, 273.0),
    ],
];

/// The example slippers with the length of the foot each was made for.
const PROVEN: [(&str, f64); 3] = [("adult", 242.0), ("child", 200.0), ("toddler", 150.0)];

fn text_of(name: &str) -> String {
    let path = format!("examples/marrow-lane/{name}.toml");
    fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join(path)).unwrap()
}

fn proven(name: &str) -> Slipper {
    parse_slipper(name, &text_of(name)).unwrap().slipper
}

/// A grading that keeps the proven slipper's own ease around.
fn grading(slipper: &Slipper, length_mm: f64) -> Grading {
    let around_mm = slipper.foot_around_mm.unwrap();
    let ease = Ease {
        around: slipper.tube_around_mm() / around_mm - 1.0,
        along: 0.0,
    };
    let foot = Foot {
        length_mm,
        around_mm,
    };
    Grading::new(slipper, foot, ease).unwrap()
}

fn feet() -> impl Iterator<Item = Foot> {
    let foot = |(length_mm, around_mm)| Foot {
        length_mm,
        around_mm,
    };
    FEET.into_iter().flatten().map(foot)
}

fn ruffles(slipper: &Slipper, graded: &Graded) -> bool {
    let slipper = Slipper {
        shell: graded.shell.clone(),
        foot_around_mm: Some(graded.foot.around_mm),
        ..slipper.clone()
    };
    let survey = Survey::new(&slipper, &Instep::new(&slipper));
    survey.cap.iter().any(|round| round.ruffles)
}

/// The example slippers, and each worked with the other hand.
fn slippers() -> Vec<(Slipper, f64)> {
    let both = PROVEN.into_iter().flat_map(|(name, length)| {
        let own = proven(name);
        let other = Slipper {
            shell: own.shell.worked_with_other_hand(),
            ..own.clone()
        };
        [(own, length), (other, length)]
    });
    both.collect()
}

#[test]
fn sizes_for_published_feet_fit_them_within_a_stitch_and_a_row() {
    let mut made = 0;
    for (slipper, length) in slippers() {
        let grading = grading(&slipper, length);
        let ease = grading.ease();
        for foot in feet() {
            let graded = grading.size(foot).unwrap();
            let gauge = graded.shell.gauge();
            let around = graded.around_mm() - foot.around_mm * (1.0 + ease.around);
            let along = graded.length_mm() - foot.length_mm * (1.0 + ease.along);
            assert!(around.abs() <= gauge.stitch_mm / 2.0, "{foot:?}: {around}");
            assert!(along.abs() <= gauge.row_mm / 2.0, "{foot:?}: {along}");
            // The ease reached is that error and nothing else.
            let reached = graded.ease();
            assert!((reached.around - ease.around - around / foot.around_mm).abs() < 1e-12);
            assert!((reached.along - ease.along - along / foot.length_mm).abs() < 1e-12);
            // The instep lies where it lay, to half a row.
            let instep = f64::from(graded.shell.last_round()) * gauge.row_mm;
            let expected = grading.instep_share() * foot.length_mm;
            assert!((instep - expected).abs() <= gauge.row_mm / 2.0);
            assert!(!ruffles(&slipper, &graded), "{foot:?}");
            made += 1;
        }
    }
    assert_eq!(made, 6 * 14);
}

#[test]
fn a_longer_foot_never_gets_a_shorter_slipper() {
    for (slipper, length) in slippers() {
        let grading = grading(&slipper, length);
        for sex in FEET {
            let sizes: Vec<Graded> = sex
                .iter()
                .map(|&(length_mm, around_mm)| {
                    let foot = Foot {
                        length_mm,
                        around_mm,
                    };
                    grading.size(foot).unwrap()
                })
                .collect();
            for pair in sizes.windows(2) {
                let grown = |of: fn(&Graded) -> u32| of(&pair[0]) <= of(&pair[1]);
                assert!(grown(|size| size.shell.last_round()));
                assert!(grown(|size| size.shell.last_count()));
                assert!(grown(|size| size.shell.flat_stitches()));
                assert!(grown(|size| size.shell.last_round() + size.flat_rows));
            }
        }
    }
}

#[test]
fn a_size_for_the_proven_foot_is_the_proven_slipper() {
    for (slipper, length) in slippers() {
        let grading = grading(&slipper, length);
        let graded = grading.size(grading.foot()).unwrap();
        assert_eq!(graded.shell, slipper.shell);
        assert_eq!(graded.centre_stitch, None);
    }
}

#[test]
fn a_size_is_worked_as_the_proven_slipper_is() {
    let spec = ShellSpec {
        gauge: Gauge::from_swatch(14.0, 16.0, 100.0),
        hand: Hand::Left,
        rounds: Rounds::Joined,
        toe: vec![6, 12, 18, 24, 30],
        even_rounds: 18,
        lean: 0.2,
        flat_stitches: 19,
        extra_before_turn: 2,
        centre_stitch: Some(9.0),
    };
    let own = slipper(spec, Some(235.0));
    let grading = grading(&own, 250.0);
    let graded = grading.size(Foot {
        length_mm: 270.0,
        around_mm: 252.0,
    });
    let graded = graded.unwrap();
    let shell = &graded.shell;
    assert_eq!((shell.hand(), shell.rounds()), (Hand::Left, Rounds::Joined));
    assert_eq!((shell.lean(), shell.extra_before_turn()), (0.2, 2));
    assert_eq!(shell.gauge(), own.shell.gauge());
    // Worked out: 252 mm less 214.3 / 235 of ease is 229.8 mm, 32.2 stitches of 7.143 mm; 11 of
    // 30 open are 11.7 of 32; the middle of 12 after 2 is 8.5, and it was stated a stitch on.
    assert_eq!((shell.last_count(), shell.open_stitches()), (32, 12));
    assert_eq!(shell.counts()[..6], [6, 12, 18, 24, 30, 32]);
    assert_eq!(
        (shell.centre_stitch(), graded.centre_stitch),
        (9.5, Some(9.5))
    );
    // 23 rounds on 250 mm are 24.84 on 270, and 270 mm are 43.2 rows of 6.25 mm.
    assert_eq!((shell.last_round(), graded.flat_rows), (25, 18));
}

/// Common practice, no source: nineteen rounds of rows 10 mm high reach the instep of an adult's
/// super bulky slipper, and nine or ten rows of the strip bring it to the heel. The foot is a
/// man's of 280 mm (75th percentile, ANSUR II) to 290 mm.
#[test]
fn the_strip_is_as_long_as_the_trade_makes_it() {
    let spec = ShellSpec {
        gauge: Gauge {
            stitch_mm: 11.0,
            row_mm: 10.0,
        },
        hand: Hand::Right,
        rounds: Rounds::Spiral,
        toe: vec![8, 16, 26],
        even_rounds: 16,
        lean: 0.25,
        flat_stitches: 19,
        extra_before_turn: 0,
        centre_stitch: None,
    };
    let own = slipper(spec, None);
    for (length_mm, rows) in [(280.0, 9), (290.0, 10)] {
        let foot = Foot {
            length_mm,
            around_mm: 286.0,
        };
        let ease = Ease {
            around: 0.0,
            along: 0.0,
        };
        let graded = Grading::new(&own, foot, ease).unwrap().size(foot).unwrap();
        assert_eq!(graded.flat_rows, rows);
        assert_eq!(graded.shell.last_round(), 19);
        // Ten more stitches in a round ruffle at this gauge; the size goes without.
        assert_eq!(graded.shell.last_count(), 26);
        assert!(!ruffles(&own, &graded), "{:?}", graded.shell.counts());
    }
}

/// The same survey: mean length and circumference of 4082 men and of 1986 women, mm, and the
/// ratios at the 5th and 95th percentile, men and women.
#[test]
fn a_circumference_estimated_from_the_length_is_that_of_published_feet() {
    for (length, around) in [(271.178, 252.017), (246.293, 228.110)] {
        let foot = Foot::of_adult_length(length).unwrap();
        assert!((foot.around_mm - around).abs() < 1.0, "{foot:?}");
        let back = Foot::of_adult_around(around).unwrap();
        assert!((back.length_mm - length).abs() < 1.1, "{back:?}");
        let ratio = foot.around_mm / foot.length_mm;
        assert!((0.863..=0.996).contains(&ratio));
    }
    // Beyond the 1st percentile of women and the 99th of men nothing is estimated.
    assert_eq!(Foot::of_adult_length(218.0), None);
    assert_eq!(Foot::of_adult_length(303.0), None);
    assert_eq!(Foot::of_adult_around(200.0), None);
}

/// Foot length, mm, with EU and UK sizes: an unofficial copy of a table of ISO 19407:2023 (adults,
/// recommended marking), found in a public repository, not the standard itself.
const ADULT_SHOES: [(f64, f64, f64); 23] = [
    (210.0, 33.5, 1.5),
    (215.0, 34.0, 2.5),
    (220.0, 35.0, 3.0),
    (225.0, 35.5, 3.5),
    (230.0, 36.5, 4.0),
    (235.0, 37.0, 4.5),
    (240.0, 38.0, 5.5),
    (245.0, 38.5, 6.0),
    (250.0, 39.5, 6.5),
    (255.0, 40.0, 7.0),
    (260.0, 41.0, 7.5),
    (265.0, 41.5, 8.5),
    (270.0, 42.5, 9.0),
    (275.0, 43.0, 9.5),
    (280.0, 44.0, 10.0),
    (285.0, 44.5, 10.5),
    (290.0, 45.5, 11.0),
    (295.0, 46.0, 12.0),
    (300.0, 47.0, 12.5),
    (305.0, 47.5, 13.0),
    (310.0, 48.5, 13.5),
    (315.0, 49.0, 14.0),
    (320.0, 50.0, 15.0),
];

/// The same for children; from 200 mm on the UK sizes are those of the adults' scale.
const CHILD_SHOES: [(f64, f64, f64, bool); 12] = [
    (120.0, 19.5, 3.5, true),
    (130.0, 21.0, 5.0, true),
    (140.0, 22.5, 6.0, true),
    (150.0, 24.5, 7.5, true),
    (160.0, 26.0, 9.0, true),
    (170.0, 27.5, 10.0, true),
    (180.0, 29.0, 11.5, true),
    (190.0, 31.0, 13.0, true),
    (195.0, 31.5, 13.5, true),
    (200.0, 32.5, 1.0, false),
    (210.0, 34.0, 2.0, false),
    (220.0, 35.5, 3.5, false),
];

#[test]
fn shoe_sizes_of_adults_are_those_of_the_table() {
    let mut uk_alike = 0;
    for (length, eu, uk) in ADULT_SHOES {
        let near = ShoeSizes::of(length);
        assert_eq!((near.eu, near.child_scale), (eu, false), "{length}");
        assert!((near.uk - uk).abs() <= 0.5, "{length}: UK {}", near.uk);
        uk_alike += u32::from((near.uk - uk).abs() < 0.1);
        // The same table: US men a size over UK, women two.
        assert_eq!(
            (near.us, near.us_women),
            (near.uk + 1.0, Some(near.uk + 2.0))
        );
    }
    assert_eq!(uk_alike, 20);
}

#[test]
fn shoe_sizes_of_children_come_within_a_size_of_the_table() {
    for (length, eu, uk, child) in CHILD_SHOES {
        let near = ShoeSizes::of(length);
        let on_one_scale = |size: f64, child| size + if child { 0.0 } else { 13.0 };
        let apart = on_one_scale(near.uk, near.child_scale) - on_one_scale(uk, child);
        assert!((near.eu - eu).abs() <= 1.0, "{length}: EU {}", near.eu);
        assert!(apart.abs() <= 1.0, "{length}: UK {}", near.uk);
        if near.us_women.is_none() {
            // The same table: US a half over UK.
            assert!((near.us - near.uk - 0.5).abs() < 1e-9);
        }
    }
}

/// ISO 9407: a size is the length of the foot in mm without its unit, in steps of 5; its example
/// is the foot 280 mm long and 110 mm wide, size 280/110.
#[test]
fn sizes_are_called_by_the_length_of_the_foot() {
    for (length, name) in [
        (280.0, "280"),
        (242.4, "240"),
        (242.5, "245"),
        (238.0, "240"),
    ] {
        assert_eq!(FootAsked::new(length, Some(230.0)).unwrap().name, name);
    }
}

#[test]
fn the_file_of_a_size_reads_back_as_that_size() {
    let placed = "[place]\nwidth_cm = 6\nbelow_cm = 1.5\nfacing = \"wearer\"\n";
    for (name, length) in PROVEN {
        let text = text_of(name) + placed;
        let own = parse_slipper(name, &text).unwrap();
        let grading = grading(&own.slipper, length);
        for foot in feet() {
            let asked = FootAsked::new(foot.length_mm, Some(foot.around_mm)).unwrap();
            let graded = grading.size(foot).unwrap();
            let written = graded_slipper(&text, &asked, &graded).unwrap();
            let read = parse_slipper("size", &written).unwrap();
            assert_eq!(read.slipper.shell, graded.shell);
            assert_eq!(read.slipper.yarn, own.slipper.yarn);
            assert_eq!(read.slipper.for_baby, own.slipper.for_baby);
            assert_eq!(
                (&read.threads, &read.settings),
                (&own.threads, &own.settings)
            );
            assert_eq!(read.place.facing, own.place.facing);
            assert!(read.slipper.name.ends_with(&format!(" {}", asked.name)));
            let around = read.slipper.foot_around_mm.unwrap();
            assert!((around - foot.around_mm).abs() <= 0.05);
            // The face takes the same share of the way round, to a millimetre.
            let share = |width: Option<f64>, slipper: &Slipper| {
                width.unwrap() / (slipper.stretch() * slipper.tube_around_mm())
            };
            let grown = share(read.place.width_mm, &read.slipper);
            let before = share(own.place.width_mm, &own.slipper);
            assert!((grown / before - 1.0).abs() < 0.02, "{grown} {before}");
        }
    }
}

#[test]
fn a_file_of_a_size_keeps_what_is_written_in_other_ways() {
    let text = "name = 'Say \"boo\"'\nrounds = \"joined\"\nyarn = { wraps_per_inch = 9, \
                metres_per_100g = 1_80.0 }\n[gauge]\nstitches = 13.5\nrows = 14\nover_in = 4\n\
                [gauge.lean]\nstitches = 3\nrounds = 15\n[shell]\ntoe = [6,\n 12, 18,\n 24, 30]\n\
                even_rounds = 18\nflat_stitches = 18\n[threads.\"two words\"]\nheld = 2\n";
    let own = parse_slipper("own", text).unwrap();
    let foot = Foot {
        length_mm: 250.0,
        around_mm: 230.0,
    };
    let ease = Ease {
        around: -0.05,
        along: 0.0,
    };
    let graded = Grading::new(&own.slipper, foot, ease).unwrap();
    let graded = graded.size(foot).unwrap();
    let asked = FootAsked::new(250.0, Some(230.0)).unwrap();
    let written = graded_slipper(text, &asked, &graded).unwrap();
    let read = parse_slipper("size", &written).unwrap();
    assert_eq!(read.slipper.name, "Say \"boo\" 250");
    assert_eq!(read.slipper.shell, graded.shell);
    assert_eq!(read.threads, own.threads);
}

#[test]
fn feet_that_no_slipper_can_be_made_for_are_refused() {
    let adult = proven("adult");
    let grading = grading(&adult, 242.0);
    let foot = |length_mm, around_mm| {
        grading.size(Foot {
            length_mm,
            around_mm,
        })
    };
    // Worked out: stitches and rows are 9.52 mm; 60 mm less 7 % are 5.9 stitches, 52 are 5.1; the
    // instep of a foot of 80 mm is 5.3 rounds up, the toe of one 400 mm around takes 8.
    assert!(foot(120.0, 60.0).is_ok());
    assert_eq!(foot(120.0, 52.0), Err(GradeError::TooFewStitches(5)));
    assert_eq!(
        foot(80.0, 400.0),
        Err(GradeError::TooShort { rounds: 5, toe: 7 })
    );
    let long = Foot {
        length_mm: 140.0,
        ..grading.foot()
    };
    let no_ease = grading.ease();
    let high = Grading::new(&adult, long, no_ease).unwrap();
    assert_eq!(
        high.size(long),
        Err(GradeError::NoStrip {
            rounds: 16,
            rows: 15
        })
    );
    let mut toe = adult.shell.counts()[..4].to_vec();
    toe[3] = 17;
    let shrinking = Shell::new(ShellSpec {
        gauge: adult.shell.gauge(),
        hand: Hand::Right,
        rounds: Rounds::Spiral,
        toe,
        even_rounds: 12,
        lean: 0.2,
        flat_stitches: 9,
        extra_before_turn: 0,
        centre_stitch: None,
    });
    let shrinking = Slipper {
        shell: shrinking.unwrap(),
        ..adult
    };
    let refused = Grading::new(&shrinking, long, no_ease).unwrap_err();
    assert_eq!(refused, GradeError::ToeShrinks(4));
}

/// A list of feet, then what must be said: line, key, words of message or tip.
type Broken = (&'static str, usize, &'static str, &'static str);

#[rustfmt::skip]
const BROKEN_FEET: [Broken; 14] = [
    ("foots = 1", 1, "foots", "did you mean `foot`"),
    ("foot = 3", 1, "foot", "expected tables, found `3`"),
    ("foot = []", 1, "foot", "at least one `[[foot]]`"),
    ("[[foot]]", 1, "foot 1.length_mm", "heel to the longest toe"),
    ("[[foot]]\nlength = 240", 2, "foot 1.length", "did you mean `length_mm`"),
    ("[[foot]]\nlength_mm = 24", 2, "foot 1.length_mm", "from 80 to 400"),
    ("[[foot]]\nlength_mm = '240'", 2, "foot 1.length_mm", "without quotes"),
    ("[[foot]]\nlength_mm = 180", 1, "foot 1.around_mm", "219 to 302"),
    ("[[foot]]\nlength_mm = 180\naround_mm = 17", 3, "foot 1.around_mm", "from 60 to 500"),
    ("[[foot]]\nname = 'a/b'\nlength_mm = 240", 2, "a/b.name", "letters, digits"),
    ("[[foot]]\nname = 'Nan'\nlength_mm = 240\n[[foot]]\nname = 'Nan'\nlength_mm = 250", 5, "Nan.name", "found Nan of line 3"),
    ("[[foot]]\nname = 'Old Tam'\nlength_mm = 240\n[[foot]]\nname = 'old-tam'\nlength_mm = 250", 5, "old-tam.name", "found Old Tam of line 3"),
    ("[[foot]]\nlength_mm = 240\n[[foot]]\nlength_mm = 241", 4, "foot 2.length_mm", "240 of line 2"),
    ("[gauge]\nrows = 3", 1, "gauge", "expected a list of feet, found a slipper"),
];

#[test]
fn each_mistake_in_a_list_of_feet_is_named_with_its_line_and_key() {
    for (text, line, key, words) in BROKEN_FEET {
        let faults = parse_feet("feet.toml", text).unwrap_err();
        let fault = &faults.all()[0];
        assert_eq!(fault.at.map(|at| at.line), Some(line), "{text}\n{faults}");
        assert_eq!(fault.key, key, "{text}\n{faults}");
        assert!(fault.to_string().contains(words), "{text}\n{faults}");
    }
}
