//! Path data against the grammar of W3C SVG 2, chapter "Paths", and against an independent reader.

use instep::face::{Outline, OutlineError};
use kurbo::{BezPath, PathEl, Point, Shape};
use svgtypes::{SimplePathSegment, SimplifyingPathParser};

fn line(text: &str) -> Vec<PathEl> {
    let outline = Outline::line(text).unwrap_or_else(|error| unreachable!("{text}: {error}"));
    outline.path().elements().to_vec()
}

fn corners(text: &str) -> Vec<(f64, f64)> {
    let end = |element: &PathEl| element.end_point().map(|point| (point.x, point.y));
    line(text).iter().filter_map(end).collect()
}

/// W3C SVG 2, "The grammar for path data" and "Path data": what a path means.
#[test]
fn the_grammar_points_of_w3c_svg_2_hold() {
    let cases: [(&str, &[(f64, f64)]); 13] = [
        // greedy numbers: a sign or a second point begins the next number
        ("M 100-200 L 0 0", &[(100.0, -200.0), (0.0, 0.0)]),
        ("M 0.6.5 L 1 1", &[(0.6, 0.5), (1.0, 1.0)]),
        ("M1e2-1E-1L+3,-.5e+1", &[(100.0, -0.1), (3.0, -5.0)]),
        // further pairs after a move are lines, relative ones after m
        ("M 1 2 3 4 5 6", &[(1.0, 2.0), (3.0, 4.0), (5.0, 6.0)]),
        ("m 1 2 3 4 5 6", &[(1.0, 2.0), (4.0, 6.0), (9.0, 12.0)]),
        // a comma in thousands makes two numbers
        ("M 0,0 L 13,000.56", &[(0.0, 0.0), (13.0, 0.56)]),
        // a command letter need not be repeated
        (
            "M0,0 L1,1 2,0 H5 6 V3-4",
            &[
                (0.0, 0.0),
                (1.0, 1.0),
                (2.0, 0.0),
                (5.0, 0.0),
                (6.0, 0.0),
                (6.0, 3.0),
                (6.0, -4.0),
            ],
        ),
        (
            "m5,5 h2 v3 l-1-1",
            &[(5.0, 5.0), (7.0, 5.0), (7.0, 8.0), (6.0, 7.0)],
        ),
        // white space: tab, line feed, form feed, carriage return, space
        ("\tM\n1\u{c}2\r L 3 , 4 ", &[(1.0, 2.0), (3.0, 4.0)]),
        // flags need no separators
        ("M0,0 a0 5 30 0110,0", &[(0.0, 0.0), (10.0, 0.0)]),
        // an arc with a radius of 0 is a line; one that goes nowhere is left out
        ("M0,0 A0,5 0 0 1 8,8", &[(0.0, 0.0), (8.0, 8.0)]),
        ("M3,3 A5,5 0 1 1 3,3 L4,4", &[(3.0, 3.0), (4.0, 4.0)]),
        // curves: the end point is what later commands are relative to
        (
            "M0,0 c1,1 2,2 3,0 q1,1 2,0 l1,0",
            &[(0.0, 0.0), (3.0, 0.0), (5.0, 0.0), (6.0, 0.0)],
        ),
    ];
    for (text, expected) in cases {
        assert_eq!(corners(text), expected, "{text:?}");
    }
}

/// W3C SVG 2, "The grammar for path data": what is no path, and the character where it ends.
#[test]
fn what_w3c_svg_2_does_not_allow_is_refused_at_its_character() {
    let cases = [
        ("12.5 M", 1, "`M` or `m`", "`12.5`"),
        ("L 1,2", 1, "`M` or `m`", "`L`"),
        (
            "M 1,2 L 3,4;L 5,6",
            12,
            "a command letter or a number",
            "`;`",
        ),
        (
            "M 10,10 L 20,20,30",
            19,
            "`L` takes x,y",
            "the end of the path",
        ),
        ("M 10,10 L 20,20,", 16, "a comma only between", "`,`"),
        ("M 10,10, L 20,20", 8, "a comma only between", "`,`"),
        ("M,10,10 L 20,20", 2, "a comma only between", "`,`"),
        ("M 10,,10 L 20,20", 5, "a comma only between", "`,`"),
        ("M 23. 5 L 1 1", 5, "a digit after the point", "`.`"),
        ("M 0,0 L 1e400,5", 9, "a finite number", "`1e400`"),
        ("M 0,0 L 1e,5", 9, "`L` takes x,y", "`1e`"),
        ("M 0,0 Z 5,5", 9, "a command letter", "`5`"),
        ("M 0,0 L nan,5", 9, "`L` takes x,y", "`n`"),
        ("M 0,0 L inf,5", 9, "`L` takes x,y", "`i`"),
        ("M 0,0 A 5 5 0 2 0 9,9", 15, "a flag, `0` or `1`", "`2`"),
        ("M 0,0 A 5 5 0 1 L 9,9", 17, "a flag, `0` or `1`", "`L`"),
        ("M 0,0 C 1,1 2,2 L", 17, "`C` takes x1,y1 x2,y2 x,y", "`L`"),
        ("M 0,0 Lé", 8, "`L` takes x,y", "`é`"),
        ("M 0,0 é", 7, "a command letter or a number", "`é`"),
        ("M 0,0 B 1,1", 7, "a command letter or a number", "`B`"),
    ];
    assert_eq!(cases.len(), 20);
    for (text, character, words, what) in cases {
        match Outline::fill(text) {
            Err(OutlineError::Syntax {
                at,
                found,
                expected,
            }) => {
                assert_eq!(at, character, "{text:?}: {expected}, found {found}");
                assert!(expected.contains(words), "{text:?}: {expected}");
                assert_eq!(found, what, "{text:?}");
            }
            other => unreachable!("{text:?}: {other:?}"),
        }
    }
}

/// W3C SVG 2, "Path data", closepath: the next subpath begins where the closed one did.
#[test]
fn after_a_close_drawing_goes_on_from_the_first_point() {
    let outline = Outline::fill("m2,2 h4 v4 z l-1,0 0,-1 z").unwrap();
    let moves: Vec<Point> = outline
        .path()
        .elements()
        .iter()
        .filter_map(|element| match element {
            PathEl::MoveTo(start) => Some(*start),
            _ => None,
        })
        .collect();
    assert_eq!(moves, [Point::new(2.0, 2.0), Point::new(2.0, 2.0)]);
}

/// W3C SVG 2, "Path data", S and T: the first control point is `2 * current - old`, or the
/// current point after another command.
#[test]
fn smooth_commands_reflect_the_last_control_point() {
    let cubic = line("M0,0 C1,4 3,4 4,0 s3,-4 4,0 L9,9 S11,11 12,9");
    assert_eq!(
        cubic[2],
        PathEl::CurveTo(
            Point::new(5.0, -4.0),
            Point::new(7.0, -4.0),
            Point::new(8.0, 0.0)
        )
    );
    assert_eq!(
        cubic[4],
        PathEl::CurveTo(
            Point::new(9.0, 9.0),
            Point::new(11.0, 11.0),
            Point::new(12.0, 9.0)
        )
    );
    let quadratic = line("M0,0 Q2,4 4,0 t4,0 4,0 L20,0 T24,0");
    assert_eq!(
        quadratic[2],
        PathEl::QuadTo(Point::new(6.0, -4.0), Point::new(8.0, 0.0))
    );
    assert_eq!(
        quadratic[3],
        PathEl::QuadTo(Point::new(10.0, 4.0), Point::new(12.0, 0.0))
    );
    assert_eq!(
        quadratic[5],
        PathEl::QuadTo(Point::new(20.0, 0.0), Point::new(24.0, 0.0))
    );
}

/// W3C SVG 2, "Out-of-range elliptical arc parameters"; areas from the formula pi a b.
#[test]
fn arcs_enclose_the_area_of_their_ellipse() {
    let area = |text: &str| Outline::fill(text).unwrap().path().area().abs();
    let pi = std::f64::consts::PI;
    let cases = [
        ("M-10,0 A10,10 0 0 1 10,0 A10,10 0 0 1 -10,0 Z", pi * 100.0),
        // negative radii count as positive
        (
            "M-10,0 A-10,10 0 0 1 10,0 A10,-10 0 0 1 -10,0 Z",
            pi * 100.0,
        ),
        // too small ones are scaled up alike: half a circle becomes half an ellipse 10 by 5
        ("M-10,0 A2,1 0 0 1 10,0 Z", pi * 25.0),
        // large arc and sweep: three quarters of a disc and the triangle that closes it
        ("M10,0 A10,10 0 1 1 0,-10 Z", pi * 75.0 + 50.0),
        // rotation in degrees, a relative arc
        ("M0,-6 a3,6 90 0 0 0,6 a3,6 90 0 0 0,-6 z", pi * 18.0),
    ];
    for (text, expected) in cases {
        let found = area(text);
        assert!(
            (found / expected - 1.0).abs() < 1e-5,
            "{text}: {found} for {expected}"
        );
    }
}

/// An independent reader, the crate svgtypes' own working-out of relative and smooth commands.
#[test]
fn an_independent_reader_draws_the_same() {
    let texts = [
        "m3,3 l4,1 h3 v4 c-1,1 -3,4 -5,2 s-4,-3 -5,0 q-3,-1 -1,-3 t2,-3 z m1,1 l1,0 0,1 z",
        "M0,0 H9 V9 H0 ZM2,2 h3 v3 h-3 zM20,0 T25,5 S20,9 18,5 Z",
        "M0 0C1 1 2 1 3 0S5-1 6 0L6 5T4 7 2 5 0 5Z",
    ];
    for text in texts {
        let mut expected = BezPath::new();
        let point = |x: f64, y: f64| Point::new(x, y);
        for segment in SimplifyingPathParser::from(text) {
            match segment.unwrap() {
                SimplePathSegment::MoveTo { x, y } => expected.move_to(point(x, y)),
                SimplePathSegment::LineTo { x, y } => expected.line_to(point(x, y)),
                SimplePathSegment::Quadratic { x1, y1, x, y } => {
                    expected.quad_to(point(x1, y1), point(x, y));
                }
                SimplePathSegment::CurveTo {
                    x1,
                    y1,
                    x2,
                    y2,
                    x,
                    y,
                } => {
                    expected.curve_to(point(x1, y1), point(x2, y2), point(x, y));
                }
                SimplePathSegment::ClosePath => expected.close_path(),
            }
        }
        let found = Outline::fill(text).unwrap_or_else(|e| unreachable!("{text}: {e}"));
        let area = (found.path().area(), expected.area());
        assert!((area.0 - area.1).abs() < 1e-9, "{text}: {area:?}");
        let (found, expected) = (found.path().bounding_box(), expected.bounding_box());
        for (one, other) in [
            (found.x0, expected.x0),
            (found.y0, expected.y0),
            (found.x1, expected.x1),
            (found.y1, expected.y1),
        ] {
            assert!(
                (one - other).abs() < 1e-9,
                "{text}: {found:?} for {expected:?}"
            );
        }
    }
}
