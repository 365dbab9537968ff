//! Files: broken ones and what is said of them, the ones that come with the program, any text.

use instep::fabric::{Hand, Rounds};
use instep::face::{Direction, Fill, LineStitch, Work};
use instep::files::{
    Fault, Faults, SlipperFile, bundled, parse_face, parse_slipper, read_face, read_slipper, start,
};
use instep::weave::PointsAllowed;
use proptest::prelude::{Strategy, any};
use proptest::test_runner::{Config, RngAlgorithm, RngSeed, TestRunner};

const SLIPPER: &str = r##"name = "Test"
hand = "right"
rounds = "spiral"
for_baby = false
[yarn]
weight = 4
wraps_per_inch = 9
metres_per_100g = 180
[gauge]
stitches = 14
rows = 16
over_cm = 10
lean = 0.25
[shell]
toe = [8, 16, 24, 30]
even_rounds = 20
flat_stitches = 21
[worn]
around_cm = 22.5
[threads.dark]
wraps_per_inch = 11
colour = "#2b2430"
[weave]
longest = 30
[place]
width_cm = 7
"##;

const FACE: &str = r##"name = "Wide grin"
width = 100
height = 78
[threads.dark]
colour = "#2b2430"
[threads.glow]
colour = "#e9a23b"
[[feature]]
name = "eye"
pair = true
path = "M14,30 L40,30 L27,4 Z"
fill = "surface satin"
direction = "auto"
thread = "dark"
[[feature]]
name = "mouth"
path = "M-40,50 Q0,80 40,50 L30,50 Q0,65 -30,50 Z"
fill = "satin"
direction = 90
thread = "glow"
"##;

/// A file with one line changed: the line from 1, its new text, then what must be said: line,
/// key, and words of the message or the tip.
type Broken = (usize, &'static str, usize, &'static str, &'static str);

const BROKEN_SLIPPERS: [Broken; 56] = [
    // not TOML
    (2, "hand = right", 2, "", "straight quotes"),
    (2, "hand = \"right", 2, "", "close the text"),
    (2, "hand", 2, "", "key = value"),
    (3, "hand = \"right\"", 3, "", "duplicate"),
    (5, "[yarn", 5, "", "unclosed"),
    (13, "lean = 0,25", 13, "", "with a point"),
    (15, "toe = [8, 16, 24, 30", 16, "", "commas between"),
    (19, "around_cm = 22.5 cm", 19, "", "without its unit"),
    (19, "around_cm = 22.5 # \u{1}", 19, "", "not TOML"),
    // keys
    (2, "hnad = \"right\"", 2, "hnad", "did you mean `hand`"),
    (3, "round = \"spiral\"", 3, "round", "did you mean `rounds`"),
    (3, "", 1, "rounds", "slip stitch"),
    (4, "over_cm = 10", 4, "over_cm", "belongs to `[gauge]`"),
    (
        6,
        "name = \"x\"",
        6,
        "yarn.name",
        "above the first `[table]`",
    ),
    (6, "zzz = 1", 6, "yarn.zzz", "known here: wraps_per_inch"),
    (7, "", 5, "yarn.wraps_per_inch", "wind the yarn"),
    (8, "", 5, "yarn.metres_per_100g", "on the band"),
    (10, "", 9, "gauge.stitches", "found nothing"),
    (11, "row = 16", 11, "gauge.row", "did you mean `rows`"),
    (12, "", 9, "gauge.over_cm", "found neither"),
    (
        12,
        "over_cm = 10\nover_in = 4",
        13,
        "gauge.over_in",
        "found both",
    ),
    (13, "", 9, "gauge.lean", "baste a thread"),
    (16, "", 14, "shell.even_rounds", "without increase"),
    (17, "", 14, "shell.flat_stitches", "sole and heel"),
    (18, "[warn]", 18, "warn", "did you mean `worn`"),
    (
        20,
        "[threads]\ndark = 3\n[thread]",
        21,
        "threads.dark",
        "write `[threads.dark]`",
    ),
    (20, "[threads.\"\"]", 20, "threads", "1 to 60 characters"),
    // values of the wrong kind or out of range
    (1, "name = \"\"", 1, "name", "1 to 60 characters"),
    (1, "name = 12", 1, "name", "between quotes"),
    (2, "hand = \"Right\"", 2, "hand", "did you mean `\"right\"`"),
    (
        3,
        "rounds = \"helix\"",
        3,
        "rounds",
        "`\"spiral\"` or `\"joined\"`",
    ),
    (4, "for_baby = \"no\"", 4, "for_baby", "without quotes"),
    (
        18,
        "worn = 3",
        18,
        "shell.worn",
        "above the first `[table]`",
    ),
    (6, "weight = 8", 6, "yarn.weight", "from 0 to 7, found `8`"),
    (6, "weight = 4.5", 6, "yarn.weight", "a whole number"),
    (
        7,
        "wraps_per_inch = nan",
        7,
        "yarn.wraps_per_inch",
        "found `nan`",
    ),
    (
        7,
        "wraps_per_inch = inf",
        7,
        "yarn.wraps_per_inch",
        "found `inf`",
    ),
    (
        8,
        "metres_per_100g = \"180\"",
        8,
        "yarn.metres_per_100g",
        "without quotes",
    ),
    (
        8,
        "metres_per_100g = 1979-05-27",
        8,
        "yarn.metres_per_100g",
        "a date or time",
    ),
    (
        10,
        "stitches = 99999999999999999999",
        10,
        "gauge.stitches",
        "from 1 to 100",
    ),
    (10, "stitches = -14", 10, "gauge.stitches", "found `-14`"),
    (10, "stitches = 1", 10, "gauge.stitches", "60 mm wide"),
    (13, "lean = 1.5", 13, "gauge.lean", "from -0.9 to 0.9"),
    (
        13,
        "lean = { stitches = 4 }",
        13,
        "gauge.lean.rounds",
        "found nothing",
    ),
    (
        13,
        "lean = { stitches = 40, rounds = 16 }",
        13,
        "gauge.lean",
        "found 2.50",
    ),
    (15, "toe = []", 15, "shell.toe", "`[8, 16, 24]`"),
    (15, "toe = [8, 2]", 15, "shell.toe", "entry 2 is `2`"),
    (15, "toe = 8", 15, "shell.toe", "a list of 1 to 60"),
    // values that do not fit together
    (
        17,
        "flat_stitches = 29",
        17,
        "shell.flat_stitches",
        "at least 2 must stay open",
    ),
    (
        17,
        "flat_stitches = 21\ncentre_stitch = 31",
        18,
        "shell.centre_stitch",
        "last round",
    ),
    (
        17,
        "flat_stitches = 12\nextra_before_turn = 13",
        18,
        "shell.extra_before_turn",
        "only 12",
    ),
    (
        24,
        "needleful = 300",
        24,
        "weave.needleful",
        "two tails of 150 mm",
    ),
    (
        24,
        "carry = 20",
        24,
        "weave.carry",
        "found 25 mm over 20 mm",
    ),
    (24, "longest = 4", 24, "weave.longest", "from 5 to 80"),
    (
        26,
        "width_cm = 1",
        26,
        "place.width_cm",
        "three stitches, 2.2 cm",
    ),
    (
        26,
        "width_cm = 7\nbelow_cm = 16",
        27,
        "place.below_cm",
        "15.0 cm from edge to toe",
    ),
];

const BROKEN_FACES: [Broken; 48] = [
    (1, "<svg>", 0, "", "SVG"),
    (1, "{\"format\": 1}", 0, "", "JSON"),
    (1, "name = \"Wide\ngrin\"", 1, "", "close the text"),
    (2, "widht = 100", 2, "widht", "did you mean `width`"),
    (2, "", 1, "width", "found nothing"),
    (2, "width = 0", 2, "width", "from 1 to 10000"),
    (3, "height = \"78\"", 3, "height", "without quotes"),
    (
        5,
        "color = \"#2b2430\"",
        5,
        "threads.dark.color",
        "did you mean `colour`",
    ),
    (
        5,
        "colour = \"plum\"",
        5,
        "threads.dark.colour",
        "hexadecimal",
    ),
    (
        5,
        "colour = \"#2b243\"",
        5,
        "threads.dark.colour",
        "found `\"#2b243\"`",
    ),
    (
        5,
        "colour = \"#2b24é\"",
        5,
        "threads.dark.colour",
        "hexadecimal",
    ),
    (8, "[feature]", 15, "", "two brackets"),
    (9, "", 8, "feature 1.name", "what the steps call it"),
    (
        9,
        "name = \"mouth\"",
        16,
        "mouth.name",
        "found that of line 9",
    ),
    (9, "name = \"a\\tb\"", 9, "feature 1.name", "in one line"),
    (10, "pair = \"yes\"", 10, "eye.pair", "`true` or `false`"),
    (10, "mirrored = true", 10, "eye.mirrored", "known here"),
    (11, "", 8, "eye.path", "SVG path data"),
    (11, "path = 3", 11, "eye.path", "between quotes"),
    (11, "path = \"\"", 11, "eye.path", "draws nothing"),
    (
        11,
        "path = \"12.5 M\"",
        11,
        "eye.path",
        "a path starts with `M x,y`",
    ),
    (
        11,
        "path = \"M14,30 L40,30 L27,4\"",
        11,
        "eye.path",
        "end it with `Z`",
    ),
    (
        11,
        "path = \"M14,30 L40,4 L40,30 L14,4 Z\"",
        11,
        "eye.path",
        "cross near 27.00,17.00",
    ),
    (
        11,
        "path = \"M14,30 L40,30 Z\"",
        11,
        "eye.path",
        "has no area",
    ),
    (
        11,
        "path = \"M14,30 H40 V4 H14 Z M14,30 H40 V4 H14 Z\"",
        11,
        "eye.path",
        "lie on each other",
    ),
    (
        11,
        "path = \"M14,30 L1e7,30 L27,4 Z\"",
        11,
        "eye.path",
        "beyond 1000000",
    ),
    (
        11,
        "path = \"M14,30 L60.5,30 L27,4 Z\"",
        11,
        "eye.path",
        "make `width` 121.00",
    ),
    (
        11,
        "path = \"M14,30 L40,30 L27,-4 Z\"",
        11,
        "eye.path",
        "4.00 beyond the upper side",
    ),
    (
        11,
        "path = \"M14,30 L40,30 L27,80 Z\"",
        11,
        "eye.path",
        "make `height` 80.00",
    ),
    (12, "fill = 3", 12, "eye.fill", "between quotes"),
    (
        12,
        "fill = \"statin\"",
        12,
        "eye.fill",
        "did you mean `\"satin\"`",
    ),
    (
        12,
        "fill = \"satin\"\nknot = 2",
        13,
        "eye.knot",
        "found fill and knot",
    ),
    (12, "line = \"backstitch\"", 11, "eye.path", "leave out `Z`"),
    (
        12,
        "line = \"backstitch\"",
        13,
        "eye.direction",
        "only with `fill`",
    ),
    (12, "knot = 4", 12, "eye.knot", "from 1 to 3"),
    (12, "knot = 2", 11, "eye.path", "one place"),
    (13, "direction = 200", 13, "eye.direction", "toward the toe"),
    (13, "direction = \"up\"", 13, "eye.direction", "`\"auto\"`"),
    (
        13,
        "direction = { mirrored = 30 }",
        13,
        "eye.direction",
        "a pair mirrors",
    ),
    (
        13,
        "direction = { mirored = 30 }",
        13,
        "eye.direction",
        "right half",
    ),
    (
        13,
        "direction = \"allong\"",
        13,
        "eye.direction",
        "did you mean `\"along\"`",
    ),
    (
        13,
        "direction = { fan = 80 }",
        13,
        "eye.direction",
        "takes `[x, y]`",
    ),
    (
        13,
        "direction = { fan = [1, nan] }",
        13,
        "eye.direction",
        "takes `[x, y]`",
    ),
    (
        13,
        "direction = { fan = [1, 2, 3] }",
        13,
        "eye.direction",
        "takes `[x, y]`",
    ),
    (
        13,
        "outline = \"satin\"",
        13,
        "eye.outline",
        "`\"backstitch\"`",
    ),
    (14, "", 8, "eye.thread", "threads `dark`, `glow`"),
    (
        14,
        "thread = \"drak\"",
        14,
        "eye.thread",
        "did you mean `dark`",
    ),
    (
        14,
        "thread = \"moss\"",
        14,
        "eye.thread",
        "write `[threads.moss]`",
    ),
];

fn with_line(text: &str, line: usize, new: &str) -> String {
    let mut lines: Vec<&str> = text.lines().collect();
    lines[line - 1] = new;
    lines.join("\n") + "\n"
}

fn check(faults: &Faults, (line, new, at, key, words): Broken) {
    let said = faults.to_string();
    let fits = |fault: &Fault| {
        fault.at.map_or(0, |at| at.line) == at
            && fault.key == key
            && fault.to_string().contains(words)
    };
    assert!(
        faults.all().iter().any(fits),
        "line {line} as {new:?}: expected line {at}, key `{key}`, {words:?} in:\n{said}"
    );
}

#[test]
fn each_mistake_in_a_slipper_is_named_with_its_line_and_key() {
    assert!(parse_slipper("test", SLIPPER).is_ok());
    for broken in BROKEN_SLIPPERS {
        let text = with_line(SLIPPER, broken.0, broken.1);
        check(&parse_slipper("test.toml", &text).unwrap_err(), broken);
    }
}

#[test]
fn each_mistake_in_a_face_is_named_with_its_line_and_key() {
    assert!(parse_face("test", FACE).is_ok());
    for broken in BROKEN_FACES {
        let text = with_line(FACE, broken.0, broken.1);
        check(&parse_face("test.toml", &text).unwrap_err(), broken);
    }
}

#[test]
fn no_broken_file_has_been_lost() {
    assert!(BROKEN_SLIPPERS.len() + BROKEN_FACES.len() >= 40);
    assert_eq!(BROKEN_SLIPPERS.len() + BROKEN_FACES.len(), 104);
}

#[test]
fn one_mistake_is_one_fault() {
    // Each of these slips could set off a second complaint; it must not.
    let alone = [
        (3, "round = \"spiral\""),
        (7, "wraps_per_inh = 9"),
        (11, "row = 16"),
        (16, "even_round = 20"),
    ];
    for (line, new) in alone {
        let faults = parse_slipper("test", &with_line(SLIPPER, line, new)).unwrap_err();
        assert_eq!(faults.all().len(), 1, "{faults}");
    }
}

#[test]
fn one_mistake_in_a_feature_is_one_fault() {
    for (line, new) in [
        (12, "fil = \"satin\""),
        (14, "tread = \"dark\""),
        (12, "line = \"stem\""),
    ] {
        let text = with_line(&with_line(FACE, 13, ""), line, new);
        let faults = parse_face("test", &text).unwrap_err();
        assert_eq!(faults.all().len(), 1, "{faults}");
        assert!(faults.to_string().contains("did you mean"), "{faults}");
    }
}

/// The tables at the head of the sources, which the manual quotes: numbers at the ends of each
/// range are taken, those beyond are refused with the range.
#[test]
fn the_ranges_of_the_manual_are_those_of_the_program() {
    let manual = include_str!("../../src/files/slipper/mod.rs");
    let mut checked = 0;
    for row in manual
        .lines()
        .filter_map(|line| line.strip_prefix("//! | `"))
    {
        let Some((key, range)) = row.split_once("` | ") else {
            continue;
        };
        let mut words = range.split([' ', ',']);
        let (Some(Ok(least)), Some("to"), Some(Ok(most))) = (
            words.next().map(str::parse::<f64>),
            words.next(),
            words.next().map(str::parse::<f64>),
        ) else {
            continue;
        };
        let Some((table, name)) = key.rsplit_once('.') else {
            continue;
        };
        if key == "shell.toe" || table == "gauge.lean" {
            continue; // a list, and a table in a table
        }
        checked += 1;
        let said = format!("from {least} to {most}");
        for (value, taken) in [
            (least, true),
            (most, true),
            (least - 1.0, false),
            (most + 1.0, false),
        ] {
            let kept = SLIPPER
                .lines()
                .filter(|line| line.trim_start_matches('#').split(" = ").next() != Some(name));
            let header = format!("[{}]", table.replace("NAME", "dark"));
            let mut text = String::new();
            for line in kept {
                text += line;
                text += "\n";
                if line == header {
                    text += &format!("{name} = {value}\n");
                }
            }
            let faults = parse_slipper("t", &text).err();
            let all = faults.as_ref().map_or(&[][..], Faults::all);
            let key = key.replace("NAME", "dark");
            let refused = all
                .iter()
                .any(|f| f.key == key && f.message.contains(&said));
            assert_eq!(refused, !taken, "{key} = {value}: {all:?}");
        }
    }
    assert_eq!(checked, 28);
}

#[test]
fn all_mistakes_are_told_at_once_in_order() {
    let mut text = SLIPPER.to_owned();
    for (line, new) in [
        (2, "hand = 3"),
        (8, "metres_per_100g = 0"),
        (12, "over_mm = 100"),
        (16, "even_rounds = -1"),
        (24, "longest = true"),
    ] {
        text = with_line(&text, line, new);
    }
    let faults = parse_slipper("test", &text).unwrap_err();
    let keys: Vec<&str> = faults
        .all()
        .iter()
        .map(|fault| fault.key.as_str())
        .collect();
    assert_eq!(
        keys,
        [
            "hand",
            "yarn.metres_per_100g",
            "gauge.over_cm",
            "gauge.over_mm",
            "shell.even_rounds",
            "weave.longest",
        ]
    );
}

#[test]
fn a_fault_in_a_path_points_at_its_character() {
    let place = |path: &str| {
        let faults = parse_face("f", &with_line(FACE, 11, path)).unwrap_err();
        let at = faults.all()[0].at.unwrap();
        (at.line, at.column)
    };
    // Counted on paper: `path = "` has eight characters, so character 12 stands in column 20.
    assert_eq!(place("path = \"M 1,2 L 3,4;L 5,6\""), (11, 20));
    assert_eq!(place("path = 'M 1,2 L 3,4;L 5,6'"), (11, 20));
    // In a long text the first line break is not part of it.
    assert_eq!(place("path = \"\"\"\nM 1,2 L\n  3,4;L 5,6\"\"\""), (13, 6));
    // With escapes characters cannot be counted in the file: the value's own place is given.
    assert_eq!(place("path = \"M 1,2\\tL 3,4;L 5,6\""), (11, 8));
}

#[test]
fn one_file_in_the_place_of_the_other_is_recognised() {
    let face = parse_face("a.toml", SLIPPER).unwrap_err().to_string();
    assert!(face.contains("expected a face, found a slipper"), "{face}");
    let slipper = parse_slipper("b.toml", FACE).unwrap_err().to_string();
    assert!(
        slipper.contains("expected a slipper, found a face"),
        "{slipper}"
    );
}

#[test]
fn what_is_no_text_file_is_refused_with_a_tip() {
    let folder = std::env::temp_dir().join(format!("instep-files-{}", std::process::id()));
    std::fs::create_dir_all(&folder).unwrap();
    let write = |name: &str, bytes: &[u8]| {
        let path = folder.join(name);
        std::fs::write(&path, bytes).unwrap();
        path
    };
    let cases = [
        (folder.join("missing.toml"), "found nothing of this name"),
        (folder.clone(), "found a folder"),
        (write("empty.toml", b""), "found an empty file"),
        (
            write("remarks.toml", b"# only\n\n# remarks\n"),
            "found an empty file",
        ),
        (
            write("latin.toml", b"name = \"x\"\nhand = \"\xe9\"\n"),
            ":2:9: expected UTF-8",
        ),
        (
            write("large.toml", &vec![b'#'; 1_000_001]),
            "at most 1000 kB",
        ),
        (write("zero.toml", &[0, 0, 0, 0]), "not TOML"),
    ];
    for (path, words) in cases {
        let said = read_slipper(&path).unwrap_err().to_string();
        assert!(said.contains(words), "{said}");
        assert!(
            said.starts_with(&format!("error: {}:", path.display())),
            "{said}"
        );
        let said = read_face(&path).unwrap_err().to_string();
        assert!(said.contains(words), "{said}");
    }
    std::fs::remove_dir_all(&folder).unwrap();
}

#[test]
fn a_slipper_is_read_as_it_is_written() {
    let file = parse_slipper("test", SLIPPER).unwrap();
    let shell = &file.slipper.shell;
    assert_eq!(
        (shell.hand(), shell.rounds()),
        (Hand::Right, Rounds::Spiral)
    );
    assert_eq!(shell.last_round(), 24);
    // Worked out: 10 cm over 14 stitches and 16 rows; 9 open stitches, the middle is stitch 5.
    assert!((shell.gauge().stitch_mm - 100.0 / 14.0).abs() < 1e-12);
    assert!((shell.gauge().row_mm - 6.25).abs() < 1e-12);
    assert!((shell.centre_stitch() - 5.0).abs() < 1e-12);
    assert_eq!(file.slipper.foot_around_mm, Some(225.0));
    assert_eq!(file.place.width_mm, Some(70.0));
    assert!((file.settings.longest_mm - 30.0).abs() < 1e-12);
    assert_eq!(file.settings.points, PointsAllowed::All);
    // A thread takes what it does not say of itself from the slipper's yarn.
    let dark = file.threads["dark"];
    assert!((dark.yarn.wraps_per_inch - 11.0).abs() < 1e-12);
    assert!((dark.yarn.metres_per_100g - 180.0).abs() < 1e-12);
    assert_eq!(dark.colour, Some([0x2b, 0x24, 0x30]));
}

#[test]
fn lean_may_be_counted_and_joined_rounds_need_none() {
    let lean = |text: &str| parse_slipper("t", text).unwrap().slipper.shell.lean();
    let counted = with_line(SLIPPER, 13, "lean = { stitches = 4, rounds = 16 }");
    assert!((lean(&counted) - 0.25).abs() < 1e-12);
    let joined = with_line(&with_line(SLIPPER, 13, ""), 3, "rounds = \"joined\"");
    assert!(lean(&joined).abs() < 1e-12);
}

/// 4 in are 101.6 mm, not 100: common practice takes them for one, 1.6 % off.
#[test]
fn four_inches_are_not_ten_centimetres() {
    let file = parse_slipper("t", &with_line(SLIPPER, 12, "over_in = 4")).unwrap();
    assert!((file.slipper.shell.gauge().stitch_mm - 101.6 / 14.0).abs() < 1e-12);
}

#[test]
fn a_face_is_read_as_it_is_written() {
    let face = parse_face("test", FACE).unwrap();
    assert_eq!(face.threads["glow"].colour, Some([0xe9, 0xa2, 0x3b]));
    let [eye, mouth] = face.features.as_slice() else {
        unreachable!("two features")
    };
    assert!(eye.pair && !mouth.pair);
    // Surface satin is meant where nothing is said.
    let unsaid = parse_face("test", &with_line(FACE, 12, "")).unwrap();
    assert_eq!(&unsaid.features[0], eye);
    let fill = |fill, direction| Work::Fill { fill, direction };
    assert_eq!(eye.work, fill(Fill::SurfaceSatin, Direction::Auto));
    assert_eq!(mouth.work, fill(Fill::Satin, Direction::Degrees(90.0)));
    let other = "[threads.only]\n[[feature]]\nname='a'\npath='M0,0 L9,9'\nline='stem stitch'\n\
                 [[feature]]\nname='b'\npath='M-9,0 L9,0 L0,9Z'\nfill='satin'\n\
                 direction={ mirrored = -30 }\noutline='backstitch'\n\
                 [[feature]]\nname='c'\npath='M1,1'\nknot=3\n";
    let face = parse_face("t", &format!("width=20\nheight=20\n{other}")).unwrap();
    let works: Vec<Work> = face.features.iter().map(|feature| feature.work).collect();
    assert_eq!(
        works,
        [
            Work::Line(LineStitch::Stem),
            Work::Fill {
                fill: Fill::Satin,
                direction: Direction::Chevron(150.0),
            },
            Work::Line(LineStitch::Backstitch),
            Work::Knot { wraps: 3 },
        ]
    );
    assert!(face.features.iter().all(|feature| feature.thread == "only"));
    for (text, direction) in [
        ("\"along\"", Direction::Along),
        ("\"fan\"", Direction::Fan(None)),
        (
            "{ fan = [4, -80.5] }",
            Direction::Fan(Some((4.0, -80.5).into())),
        ),
    ] {
        let face = parse_face("t", &with_line(FACE, 13, &format!("direction = {text}"))).unwrap();
        assert_eq!(face.features[0].work, fill(Fill::SurfaceSatin, direction));
    }
}

#[test]
fn every_bundled_face_can_be_read() {
    for face in bundled::FACES {
        let read = parse_face(face.name, face.text);
        assert!(read.is_ok(), "{}", read.unwrap_err());
    }
}

#[test]
fn everything_the_start_files_offer_can_be_used() {
    let is_setting = |offer: &str| {
        let key = offer.split_once(" = ").map(|(key, _)| key);
        key.is_some_and(|key| key.chars().all(|c| c.is_ascii_lowercase() || c == '_'))
    };
    let offered = |text: &str| {
        let line = |line: &str| match line.strip_prefix("# ") {
            Some(offer) if offer.starts_with('[') || is_setting(offer) => offer.to_owned(),
            _ => line.to_owned(),
        };
        text.lines().map(line).collect::<Vec<_>>().join("\n")
    };
    let slipper = parse_slipper("slipper", &offered(start::SLIPPER));
    assert!(slipper.is_ok(), "{}", slipper.unwrap_err());
    let slipper = slipper.unwrap();
    assert_eq!(slipper.threads.len(), 1);
    assert!(slipper.place.below_mm.is_some());
    let face = parse_face("face", &offered(start::FACE));
    assert!(face.is_ok(), "{}", face.unwrap_err());
    assert_eq!(face.unwrap().features.len(), 5);
}

#[test]
fn what_the_start_file_calls_the_values_left_out_are_those_of_the_program() {
    let offered = start::SLIPPER
        .lines()
        .map(|line| line.strip_prefix("# ").unwrap_or(line));
    let weave = offered
        .skip_while(|line| *line != "[weave]")
        .take_while(|line| !line.is_empty());
    let stated: String = weave.flat_map(|line| [line, "\n"]).collect();
    let read = parse_slipper(
        "t",
        &format!("{}\n{stated}", SLIPPER.split("[weave]").next().unwrap()),
    );
    let usual = with_line(SLIPPER, 24, "");
    let usual = parse_slipper("t", &usual).unwrap().settings;
    let mut settings = read.unwrap().settings;
    assert!(settings.thickness_mm.is_some());
    settings.thickness_mm = None;
    assert_eq!(settings, usual);
}

/// The makers' files of the examples: a tube 0.9 to 1.0 of the foot, 15 to 20 rounds, a toe that
/// lies flat (`2 pi h / w`) or cups (common practice, no source).
#[test]
fn the_example_slippers_are_such_as_a_maker_would_work() {
    for name in ["adult", "child", "toddler"] {
        let path = format!(
            "{}/examples/marrow-lane/{name}.toml",
            env!("CARGO_MANIFEST_DIR")
        );
        let file = read_slipper(path.as_ref()).unwrap_or_else(|faults| unreachable!("{faults}"));
        let SlipperFile { slipper, .. } = &file;
        let foot = slipper.foot_around_mm.unwrap();
        let share = slipper.tube_around_mm() / foot;
        assert!((0.9..=1.0).contains(&share), "{name}: {share}");
        assert!((15..=20).contains(&slipper.shell.last_round()), "{name}");
        let flat = slipper.shell.gauge().flat_increase();
        let counts = slipper.shell.counts();
        let steps = counts
            .windows(2)
            .map(|pair| f64::from(pair[1]) - f64::from(pair[0]));
        assert!(
            steps.chain([f64::from(counts[0])]).all(|step| step <= flat),
            "{name}"
        );
        let (least, most) = slipper.yarn.weight.unwrap().stitches_in_4_in().unwrap();
        let gauge = 101.6 / slipper.shell.gauge().stitch_mm;
        assert!((least..=most).contains(&gauge), "{name}: {gauge}");
    }
}

fn runner(cases: u32) -> TestRunner {
    TestRunner::new(Config {
        cases,
        failure_persistence: None,
        rng_algorithm: RngAlgorithm::ChaCha,
        rng_seed: RngSeed::Fixed(2027),
        ..Config::default()
    })
}

/// A fault without a place in the text, or with one beyond its end, would mislead.
fn places_lie_in_the_text(text: &str, faults: &Faults) -> bool {
    let lines = text.split('\n').count();
    !faults.all().is_empty()
        && faults
            .all()
            .iter()
            .all(|fault| fault.at.is_none_or(|at| (1..=lines).contains(&at.line)))
}

fn both(text: &str) -> bool {
    let slipper = parse_slipper("any", text).err();
    let face = parse_face("any", text).err();
    [slipper, face]
        .iter()
        .flatten()
        .all(|faults| places_lie_in_the_text(text, faults))
}

#[test]
fn no_text_at_all_brings_the_reader_down() {
    let texts = proptest::collection::vec(any::<char>(), 0..200)
        .prop_map(|chars| chars.into_iter().collect::<String>());
    let run = runner(400).run(&texts, |text| {
        assert!(both(&text));
        Ok(())
    });
    assert!(run.is_ok(), "{run:?}");
}

#[test]
fn no_change_to_a_good_file_brings_the_reader_down() {
    let bits = [
        "",
        "\"",
        "'",
        "=",
        "[",
        "]",
        "{",
        "}",
        ",",
        "#",
        "\n",
        "-",
        "1e999",
        "nan",
        "0",
        "é",
        ".",
        "[[feature]]\n",
        "9999999999999999999",
        "\"\"\"",
        "M",
        "Z",
        "A 1 1 0 0 1 5 5",
    ];
    let change = (any::<proptest::sample::Index>(), 0..12_usize, 0..bits.len());
    let changes = (0..2_usize, proptest::collection::vec(change, 1..5));
    let run = runner(1500).run(&changes, |(which, changes)| {
        let mut text: Vec<char> = [SLIPPER, FACE][which].chars().collect();
        for (at, taken, bit) in changes {
            let at = at.index(text.len() + 1);
            let end = (at + taken).min(text.len());
            text.splice(at..end, bits[bit].chars());
        }
        assert!(both(&text.into_iter().collect::<String>()));
        Ok(())
    });
    assert!(run.is_ok(), "{run:?}");
}

#[test]
fn no_path_brings_the_reader_down() {
    let bits = [
        "M", "m", "L", "l", "H", "v", "C", "s", "Q", "t", "A", "a", "Z", "z", " ", ",", "-", ".",
        "e", "0", "1", "5", "10", "27", "3.5", "1e5", "1e-300", "é", ";",
    ];
    let paths = proptest::collection::vec(0..bits.len(), 0..40)
        .prop_map(|picks| picks.into_iter().map(|pick| bits[pick]).collect::<String>());
    let run = runner(3000).run(&paths, |path| {
        for work in ["fill = 'satin'", "line = 'backstitch'", "knot = 1"] {
            let text = format!(
                "width = 100\nheight = 78\n[threads.a]\n[[feature]]\nname = 'x'\npath = '{path}'\n{work}\n"
            );
            assert!(both(&text));
        }
        Ok(())
    });
    assert!(run.is_ok(), "{run:?}");
}
