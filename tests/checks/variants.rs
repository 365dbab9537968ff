//! Variants of a face: what they change, and what is said of broken ones.

use instep::face::{Direction, Face, Feature, LineStitch, Work};
use instep::files::{Fault, parse_face};
use kurbo::Rect;

/// A face of four features and a variant; its changes begin in line 30.
const FACE: &str = r##"name = "Wide grin"
width = 100
height = 78
[threads.dark]
[threads.glow]
[[feature]]
name = "head"
path = "M-40,9 L40,9 L40,69 L-40,69 Z"
direction = { mirrored = 30 }
thread = "glow"
[[feature]]
name = "eye"
pair = true
path = "M14,30 L40,30 L27,4 Z"
direction = 0
thread = "dark"
[[feature]]
name = "mouth"
path = "M-40,50 Q0,80 40,50 L30,50 Q0,65 -30,50 Z"
direction = 90
outline = "backstitch"
thread = "dark"
[[feature]]
name = "wart"
path = "M-30,42"
knot = 2
thread = "dark"
[[variant]]
name = "cross"
"##;

fn face(changes: &str) -> Face {
    let text = format!("{FACE}{changes}\n");
    parse_face("test.toml", &text).unwrap_or_else(|faults| unreachable!("{faults}"))
}

fn cross(changes: &str) -> Face {
    let face = face(changes).variant("cross");
    face.unwrap_or_else(|| unreachable!("no variant cross"))
}

fn names(face: &Face) -> Vec<&str> {
    face.features.iter().map(|f| f.name.as_str()).collect()
}

fn feature<'f>(face: &'f Face, name: &str) -> &'f Feature {
    let mut features = face.features.iter();
    let found = features.find(|feature| feature.name == name);
    found.unwrap_or_else(|| unreachable!("no feature {name}"))
}

/// Changes written below the variant's name, from line 30 on, then what must be said: line, key,
/// and words of the message or the tip.
type Broken = (&'static str, usize, &'static str, &'static str);

#[rustfmt::skip]
const BROKEN: [Broken; 34] = [
    ("", 28, "cross.change", "expected a change, found none"),
    ("chnge = []", 30, "cross.chnge", "did you mean `change`"),
    ("tilt = 3", 30, "cross.tilt", "belongs to `[[variant.change]]`"),
    ("change = 3", 30, "cross.change", "expected tables, found `3`"),
    ("[[variant.change]]", 30, "cross.change 1.feature", "found nothing"),
    ("[[variant.change]]\nfeature = 'moth'\ntilt = 3", 31, "cross.moth.feature", "did you mean `mouth`"),
    ("[[variant.change]]\nfeature = 'x'\ntilt = 3", 31, "cross.x.feature", "`head`, `eye`, `mouth`, `wart`"),
    ("[[variant.change]]\nfeature = 'mouth edge'\ndrop = true", 31, "cross.mouth edge.feature", "found `mouth edge`"),
    ("[[variant.change]]\nfeature = 'eye'", 31, "cross.eye.feature", "becomes of `eye`, found nothing"),
    ("[[variant.change]]\nfeature = 'eye'\ntlit = 9", 32, "cross.eye.tlit", "did you mean `tilt`"),
    ("[[variant.change]]\nfeature = 'eye'\ntilt = 'up'", 32, "cross.eye.tilt", "from -180 to 180"),
    ("[[variant.change]]\nfeature = 'eye'\ntilt = 181", 32, "cross.eye.tilt", "found `181`"),
    ("[[variant.change]]\nfeature = 'eye'\ntilt = nan", 32, "cross.eye.tilt", "found `nan`"),
    ("[[variant.change]]\nfeature = 'eye'\nwider = 0", 32, "cross.eye.wider", "from 0.1 to 10"),
    ("[[variant.change]]\nfeature = 'eye'\nturn_over = 1", 32, "cross.eye.turn_over", "`true` or `false`"),
    ("[[variant.change]]\nfeature = 'eye'\nmove = 4", 32, "cross.eye.move", "`[x, y]`"),
    ("[[variant.change]]\nfeature = 'eye'\nmove = [4]", 32, "cross.eye.move", "`move = [0, 4]`"),
    ("[[variant.change]]\nfeature = 'eye'\nmove = [4, inf]", 32, "cross.eye.move", "toward the toe"),
    ("[[variant.change]]\nfeature = 'eye'\nmove = [11, 0]", 32, "cross.eye.move", "1.00 beyond the right side"),
    ("[[variant.change]]\nfeature = 'eye'\ntaller = 2", 32, "cross.eye.taller", "beyond the upper side"),
    ("[[variant.change]]\nfeature = 'eye'\npath = 'M14,30 L40,30 x'", 32, "cross.eye.path", "found `x`"),
    ("[[variant.change]]\nfeature = 'eye'\nline = 'backstitch'", 30, "cross.eye.path", "leave out `Z`"),
    ("[[variant.change]]\nfeature = 'eye'\nknot = 2\ndirection = 3\npath = 'M9,9'", 33, "cross.eye.direction", "only with `fill`"),
    ("[[variant.change]]\nfeature = 'eye'\nthread = 'drak'", 32, "cross.eye.thread", "did you mean `dark`"),
    ("[[variant.change]]\nfeature = 'eye'\ndrop = true\ntilt = 3", 33, "cross.eye.tilt", "nothing beside `drop`"),
    ("[[variant.change]]\nfeature = 'eye'\ntilt = 3\n[[variant.change]]\nfeature = 'eye'\ndrop = true", 34, "cross.eye.feature", "that of line 31"),
    ("[[variant.change]]\nfeature = 'eye'\nname = 'mouth'", 32, "cross.eye.name", "a second `mouth`"),
    ("[[variant.change]]\nfeature = 'wart'\nturn_over = true", 32, "cross.wart.turn_over", "one place"),
    ("[[variant.change]]\nfeature = 'head'\ntilt = 3", 32, "cross.head.tilt", "which is mirrored"),
    ("[[variant.change]]\nfeature = 'mouth'\ndirection = { mirrored = 9 }\npath = 'M5,50 L9,50 L9,60 Z'", 32, "cross.mouth.direction", "across x = 0"),
    ("[[variant.add]]\nname = 'eye'\npath = 'M9,9'\nknot = 1\nthread = 'dark'", 31, "cross.eye.name", "a second `eye`"),
    ("[[variant.add]]\nname = 'spot'\nafter = 'nose'\npath = 'M9,9'\nknot = 1\nthread = 'dark'", 32, "cross.spot.after", "there are `head`"),
    ("[[variant.add]]\nname = 'spot'\nknot = 1\nthread = 'dark'", 30, "cross.spot.path", "found nothing"),
    ("[[variant.add]]\nname = 'spot'\npath = 'M9,99'\nknot = 1\nthread = 'dark'", 32, "cross.spot.path", "beyond the lower side"),
];

#[test]
fn each_mistake_in_a_variant_is_named_with_its_line_its_key_and_the_variant() {
    for (changes, line, key, words) in BROKEN {
        let text = format!("{FACE}{changes}\n");
        let faults = parse_face("test.toml", &text).unwrap_err();
        let fits = |fault: &Fault| {
            fault.at.map(|at| at.line) == Some(line)
                && fault.key == key
                && fault.to_string().contains(words)
        };
        assert!(
            faults.all().iter().any(fits),
            "{changes}\nexpected line {line}, `{key}`, {words:?} in:\n{faults}"
        );
        assert_eq!(faults.all().len(), 1, "{changes}\n{faults}");
    }
}

#[test]
fn variants_need_names_that_can_be_typed_and_differ() {
    let change = "[[variant.change]]\nfeature = 'eye'\ntilt = 3\n";
    for (name, words) in [
        ("../up", "letters, digits, spaces or hyphens"),
        ("-x", "letters, digits, spaces or hyphens"),
        ("", "1 to 30"),
        ("a name of more than thirty letters", "1 to 30"),
        ("cross", "found that of line 29"),
    ] {
        let text = format!("{FACE}{change}[[variant]]\nname = '{name}'\n{change}");
        let faults = parse_face("test.toml", &text).unwrap_err().to_string();
        assert!(faults.contains("test.toml:34:8"), "{faults}");
        assert!(faults.contains(words), "{faults}");
    }
    let nameless = format!("{FACE}{change}[[variant]]\n{change}");
    let faults = parse_face("test.toml", &nameless).unwrap_err().to_string();
    assert!(faults.contains("`variant 2.name`"), "{faults}");
}

#[test]
fn a_variant_that_leaves_nothing_is_refused() {
    let drop = |name| format!("[[variant.change]]\nfeature = '{name}'\ndrop = true\n");
    let all: String = ["head", "eye", "mouth", "wart"].map(drop).concat();
    let faults = parse_face("test.toml", &format!("{FACE}{all}")).unwrap_err();
    assert_eq!(faults.all().len(), 1, "{faults}");
    assert!(faults.to_string().contains("all are dropped"), "{faults}");
    // With one put in its place there is a face again.
    let one = "[[variant.add]]\nname = 'dot'\npath = 'M9,9'\nknot = 1\nthread = 'dark'";
    assert_eq!(names(&cross(&format!("{all}{one}"))), ["dot"]);
}

#[test]
fn a_mistake_of_the_face_is_not_told_again_for_its_variants() {
    let text = format!("{FACE}[[variant.change]]\nfeature = 'eye'\ntilt = 3\n");
    for (right, wrong) in [
        ("M14,30", "N14,30"),
        ("pair = true", "pair = 1"),
        ("direction = 0", "direction = 999"),
        ("width = 100", "width = 'x'"),
    ] {
        assert!(text.contains(right));
        let faults = parse_face("test.toml", &text.replacen(right, wrong, 1)).unwrap_err();
        assert_eq!(faults.all().len(), 1, "{faults}");
    }
}

#[test]
fn a_variant_changes_what_it_says_and_nothing_else() {
    let plain = face("[[variant.change]]\nfeature = 'wart'\ndrop = true");
    let dropped = plain.variant("cross").unwrap_or_else(|| unreachable!());
    assert_eq!(dropped.name, "Wide grin, cross");
    assert_eq!((dropped.width, dropped.height), (100.0, 78.0));
    assert_eq!(dropped.threads, plain.threads);
    assert_eq!(names(&dropped), ["head", "eye", "mouth", "mouth edge"]);
    assert_eq!(dropped.features[..], plain.features[..4]);
}

#[test]
fn a_turned_mouth_takes_its_edge_and_its_strands_along() {
    let over = cross("[[variant.change]]\nfeature = 'mouth'\nturn_over = true\ntilt = 10");
    let (mouth, edge) = (feature(&over, "mouth"), feature(&over, "mouth edge"));
    assert_eq!(mouth.outline, edge.outline);
    let Work::Fill { direction, .. } = mouth.work else {
        unreachable!("a fill");
    };
    // Worked out: 90 turned over is -90, the same line; 10 more.
    assert!(matches!(direction, Direction::Degrees(d) if (d - 100.0).abs() < 1e-9));
    // A direction of the change is that of the changed shape.
    let stated = cross("[[variant.change]]\nfeature = 'mouth'\ntilt = 10\ndirection = 40");
    let Work::Fill { direction, .. } = feature(&stated, "mouth").work else {
        unreachable!("a fill");
    };
    assert_eq!(direction, Direction::Degrees(40.0));
}

#[test]
fn a_fill_becomes_a_line_under_another_name() {
    let shut = cross(
        "[[variant.change]]\nfeature = 'eye'\nname = 'shut eye'\npath = 'M14,20 Q27,34 40,20'\n\
         line = 'stem stitch'\nmove = [0, -2]",
    );
    assert_eq!(
        names(&shut),
        ["head", "shut eye", "mouth", "mouth edge", "wart"]
    );
    let eye = feature(&shut, "shut eye");
    assert_eq!(eye.work, Work::Line(LineStitch::Stem));
    assert!(eye.pair);
    // The middle of the curve lies half-way to its control point: 20 to 27, moved up by 2.
    let bounds = eye.outline.bounds();
    let expected = Rect::new(14.0, 18.0, 40.0, 25.0);
    let corners = |b: Rect| [b.x0, b.y0, b.x1, b.y1];
    for (found, expected) in corners(bounds).into_iter().zip(corners(expected)) {
        assert!((found - expected).abs() < 1e-9, "{bounds:?}");
    }
}

#[test]
fn what_is_added_lies_on_top_or_next_on_the_feature_it_names() {
    let knot = |name: &str, after: &str| {
        format!(
            "[[variant.add]]\nname = '{name}'\n{after}path = 'M9,9'\nknot = 1\nthread = 'dark'\n"
        )
    };
    let added = [
        knot("one", "after = 'mouth'\n"),
        knot("two", ""),
        knot("three", "after = 'mouth'\n"),
        knot("four", "after = 'eye'\n"),
        knot("five", "after = 'four'\n"),
    ];
    let drop = "[[variant.change]]\nfeature = 'eye'\ndrop = true\n";
    assert_eq!(
        names(&cross(&format!("{drop}{}", added.concat()))),
        [
            "head",
            "four",
            "five",
            "mouth",
            "mouth edge",
            "one",
            "three",
            "wart",
            "two"
        ]
    );
}
