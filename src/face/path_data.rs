//! SVG path data (W3C SVG 2, "Paths", "The grammar for path data") read without loss.
//!
//! The crate `svgtypes` reads commands and numbers; what it lets pass and the grammar does not
//! (commas that separate nothing, `23.`) is refused here, and relative, smooth and arc commands
//! are worked out.

use kurbo::{Arc, BezPath, Point, SvgArc, Vec2};
use svgtypes::{Error, PathParser, PathSegment};

use super::OutlineError;

/// Most path commands accepted. A face is some dozens of stitches wide; a path of thousands of
/// commands is a traced photograph, and its edges are all compared with each other.
pub(super) const MAX_COMMANDS: usize = 1000;

/// Largest coordinate accepted, face units.
pub(super) const LIMIT: f64 = 1e6;

/// An arc as cubic curves leaves the true ellipse by at most this share of its larger radius.
const ARC_ERROR: f64 = 1e-6;

/// Reads path data. Every subpath begins with a move; a closed one ends with a close.
///
/// # Errors
/// [`OutlineError::Syntax`] with the first character that the grammar does not allow,
/// [`OutlineError::TooManyCommands`], [`OutlineError::NotFinite`].
pub(super) fn read(text: &str) -> Result<BezPath, OutlineError> {
    // Form feed is white space in the grammar, but not to the crate.
    let text = text.replace('\u{c}', " ");
    let stray = stray_mark(&text);
    let mut pen = Pen::default();
    for (index, segment) in PathParser::from(text.as_str()).enumerate() {
        let segment = match (segment, &stray) {
            (Ok(segment), _) => segment,
            (Err(error), stray) => {
                let fault = syntax(&text, &error);
                return Err(match stray {
                    Some(stray) if stray.0 <= fault.0 => stray.1.clone(),
                    _ => fault.1,
                });
            }
        };
        if index >= MAX_COMMANDS {
            return Err(OutlineError::TooManyCommands {
                limit: MAX_COMMANDS,
            });
        }
        pen.draw(segment);
    }
    if let Some((_, fault)) = stray {
        return Err(fault);
    }
    if pen.in_range {
        Ok(pen.path)
    } else {
        Err(OutlineError::NotFinite { limit: LIMIT })
    }
}

/// Draws absolute lines and curves from path commands.
#[derive(Debug)]
struct Pen {
    path: BezPath,
    /// Where the pen stands.
    at: Point,
    /// Where the subpath began.
    start: Point,
    /// The subpath was closed: the next drawing command begins a new one at its start.
    closed: bool,
    /// Last control point, of a cubic or a quadratic curve, for the smooth commands.
    cubic: Option<Point>,
    quadratic: Option<Point>,
    /// No coordinate so far was beyond [`LIMIT`].
    in_range: bool,
}

impl Default for Pen {
    fn default() -> Self {
        Self {
            path: BezPath::new(),
            at: Point::ORIGIN,
            start: Point::ORIGIN,
            closed: false,
            cubic: None,
            quadratic: None,
            in_range: true,
        }
    }
}

impl Pen {
    fn draw(&mut self, segment: PathSegment) {
        let base = if segment.is_abs() {
            Vec2::ZERO
        } else {
            self.at.to_vec2()
        };
        let (cubic, quadratic) = (self.cubic.take(), self.quadratic.take());
        match segment {
            PathSegment::MoveTo { x, y, .. } => {
                self.at = self.checked(Point::new(x, y) + base);
                self.start = self.at;
                self.closed = false;
                self.path.move_to(self.at);
            }
            PathSegment::ClosePath { .. } => {
                if !self.closed {
                    self.path.close_path();
                }
                self.at = self.start;
                self.closed = true;
            }
            PathSegment::LineTo { x, y, .. } => self.line(Point::new(x, y) + base),
            PathSegment::HorizontalLineTo { x, .. } => self.line(Point::new(x + base.x, self.at.y)),
            PathSegment::VerticalLineTo { y, .. } => self.line(Point::new(self.at.x, y + base.y)),
            PathSegment::CurveTo {
                x1,
                y1,
                x2,
                y2,
                x,
                y,
                ..
            } => self.curve(
                Point::new(x1, y1) + base,
                Point::new(x2, y2) + base,
                Point::new(x, y) + base,
            ),
            PathSegment::SmoothCurveTo { x2, y2, x, y, .. } => self.curve(
                self.reflected(cubic),
                Point::new(x2, y2) + base,
                Point::new(x, y) + base,
            ),
            PathSegment::Quadratic { x1, y1, x, y, .. } => {
                self.quad(Point::new(x1, y1) + base, Point::new(x, y) + base);
            }
            PathSegment::SmoothQuadratic { x, y, .. } => {
                self.quad(self.reflected(quadratic), Point::new(x, y) + base);
            }
            PathSegment::EllipticalArc {
                rx,
                ry,
                x_axis_rotation,
                large_arc,
                sweep,
                x,
                y,
                ..
            } => self.arc(&SvgArc {
                from: self.at,
                to: Point::new(x, y) + base,
                radii: Vec2::new(rx, ry),
                x_rotation: x_axis_rotation.to_radians(),
                large_arc,
                sweep,
            }),
        }
    }

    fn checked(&mut self, point: Point) -> Point {
        self.in_range &= point.x.abs() <= LIMIT && point.y.abs() <= LIMIT;
        point
    }

    fn begin(&mut self) {
        if self.closed {
            self.path.move_to(self.start);
            self.closed = false;
        }
    }

    fn line(&mut self, to: Point) {
        self.begin();
        self.at = self.checked(to);
        self.path.line_to(to);
    }

    fn quad(&mut self, control: Point, to: Point) {
        self.begin();
        self.quadratic = Some(self.checked(control));
        self.at = self.checked(to);
        self.path.quad_to(control, to);
    }

    fn curve(&mut self, leaving: Point, arriving: Point, to: Point) {
        self.begin();
        self.checked(leaving);
        self.cubic = Some(self.checked(arriving));
        self.at = self.checked(to);
        self.path.curve_to(leaving, arriving, to);
    }

    /// The last control point mirrored at the pen, or the pen itself after another command.
    fn reflected(&self, control: Option<Point>) -> Point {
        control.map_or(self.at, |control| self.at + (self.at - control))
    }

    /// An arc: left out when it ends where it begins, a line when a radius is 0; negative radii
    /// count as positive, too small ones are scaled up (SVG 2, "Out-of-range elliptical arc
    /// parameters").
    fn arc(&mut self, arc: &SvgArc) {
        self.checked(arc.radii.to_point());
        self.checked(arc.to);
        if arc.from == arc.to || !self.in_range {
            return;
        }
        let Some(ellipse) = Arc::from_svg_arc(arc) else {
            return self.line(arc.to);
        };
        let mut curves = Vec::new();
        let tolerance = ARC_ERROR * ellipse.radii.x.max(ellipse.radii.y);
        ellipse.to_cubic_beziers(tolerance, |leaving, arriving, to| {
            curves.push((leaving, arriving, to));
        });
        if let Some(last) = curves.last_mut() {
            last.2 = arc.to;
        }
        for (leaving, arriving, to) in curves {
            self.curve(leaving, arriving, to);
        }
        self.cubic = None;
    }
}

/// A syntax fault and its place, characters from 1.
type At = (usize, OutlineError);

fn fault(at: usize, found: String, expected: &'static str) -> At {
    (
        at,
        OutlineError::Syntax {
            at,
            found,
            expected,
        },
    )
}

/// Words for what the crate refused.
fn syntax(text: &str, error: &Error) -> At {
    let end = text.chars().count() + 1;
    let at = match error {
        Error::UnexpectedData(at) | Error::InvalidNumber(at) => (*at).min(end),
        _ => end,
    };
    let found = token(text, at);
    let (byte, rest) = split(text, at);
    let begins_number = rest.starts_with(|c: char| c.is_ascii_digit() || "+-.".contains(c));
    let command = text[..byte].chars().rev().find(is_command);
    let expected = match (command, error) {
        (None, _) => "a command letter, `M` or `m`",
        (Some('Z' | 'z'), _) => "a command letter",
        (Some(_), Error::InvalidNumber(_)) if overflows(&found) => "a finite number",
        (Some('A' | 'a'), Error::UnexpectedData(_))
            if begins_number || rest.starts_with(|c| is_command(&c)) =>
        {
            "a flag, `0` or `1` (`A` takes rx,ry rotation large-arc sweep x,y)"
        }
        (_, Error::UnexpectedData(_)) => "a command letter or a number",
        (Some(command), _) => arguments(command),
    };
    fault(at, found, expected)
}

/// What stands at a character: a whole number, else one character.
fn token(text: &str, at: usize) -> String {
    let (_, rest) = split(text, at);
    let number: String = rest
        .chars()
        .enumerate()
        .take_while(|&(index, c)| {
            c.is_ascii_digit() || ".eE".contains(c) || ("+-".contains(c) && index == 0)
        })
        .map(|(_, c)| c)
        .take(24)
        .collect();
    match (number.is_empty(), rest.chars().next()) {
        (_, None) => "the end of the path".into(),
        (true, Some(c)) => format!("`{}`", c.escape_debug()),
        (false, _) => format!("`{number}`"),
    }
}

/// A number too large for any place on the page: `1e400`.
fn overflows(found: &str) -> bool {
    let number: Result<f64, _> = found.trim_matches('`').parse();
    number.is_ok_and(f64::is_infinite)
}

/// Byte position of a character counted from 1, and the text from there.
fn split(text: &str, at: usize) -> (usize, &str) {
    let byte = text
        .char_indices()
        .nth(at.saturating_sub(1))
        .map_or(text.len(), |(byte, _)| byte);
    (byte, &text[byte..])
}

#[expect(
    clippy::trivially_copy_pass_by_ref,
    reason = "a predicate for `Iterator::find`"
)]
fn is_command(c: &char) -> bool {
    "MmZzLlHhVvCcSsQqTtAa".contains(*c)
}

/// The arguments of a command.
fn arguments(command: char) -> &'static str {
    match command.to_ascii_uppercase() {
        'M' => "a number (`M` takes x,y)",
        'L' => "a number (`L` takes x,y)",
        'T' => "a number (`T` takes x,y)",
        'H' => "a number (`H` takes x)",
        'V' => "a number (`V` takes y)",
        'C' => "a number (`C` takes x1,y1 x2,y2 x,y)",
        'S' => "a number (`S` takes x2,y2 x,y)",
        'Q' => "a number (`Q` takes x1,y1 x,y)",
        'A' => "a number (`A` takes rx,ry rotation large-arc sweep x,y)",
        _ => "a number",
    }
}

/// The first comma that does not stand between two numbers, or point with no digit after it.
fn stray_mark(text: &str) -> Option<At> {
    let begins_number = |c: char| c.is_ascii_digit() || "+-.".contains(c);
    let mut before = ' ';
    for (index, (byte, mark)) in text.char_indices().enumerate() {
        let rest = &text[byte + mark.len_utf8()..];
        let at = index + 1;
        if mark == '.' && !rest.starts_with(|c: char| c.is_ascii_digit()) {
            return Some(fault(at, token(text, at), "a digit after the point"));
        }
        let next = || rest.trim_start_matches(|c: char| c.is_ascii_whitespace());
        if mark == ',' && !(before.is_ascii_digit() && next().starts_with(begins_number)) {
            return Some(fault(at, "`,`".into(), "a comma only between two numbers"));
        }
        if !mark.is_ascii_whitespace() {
            before = mark;
        }
    }
    None
}
