//! A scene as SVG (W3C SVG 2): sizes in mm and a viewBox in mm, so that it prints true to size.

use std::fmt::Write as _;

use kurbo::{BezPath, PathEl, Point};

use super::scene::{Group, Item, Overlap, Scene};
use super::{Font, Lettering, Pen};

impl Scene {
    /// Writes the scene as SVG text, numbers to a hundredth of a mm.
    ///
    /// Letters are outlines, each drawn once and used many times, so that it looks the same
    /// everywhere; what they say stands beside them for those who listen.
    #[must_use]
    pub fn to_svg(&self) -> String {
        self.written(100.0)
    }

    /// The same with places to a tenth of a mm: a quarter less to send to a screen, which cannot
    /// show the difference.
    #[must_use]
    pub fn to_screen_svg(&self) -> String {
        self.written(10.0)
    }

    fn written(&self, steps_per_mm: f64) -> String {
        let mut writer = Writer {
            out: String::with_capacity(1 << 17),
            windows: 0,
            steps_per_mm,
        };
        writer.scene(self);
        writer.out
    }
}

struct Writer {
    out: String,
    windows: usize,
    /// Places on the sheet are rounded to these steps.
    steps_per_mm: f64,
}

impl Writer {
    fn scene(&mut self, scene: &Scene) {
        let (width, height) = (scene.width_mm, scene.height_mm);
        self.out
            .push_str("<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"");
        self.number(width);
        self.out.push_str("mm\" height=\"");
        self.number(height);
        self.out.push_str("mm\" viewBox=\"0 0 ");
        self.number(width);
        self.out.push(' ');
        self.number(height);
        // How most is drawn; what is not says so itself.
        self.out.push_str(
            "\" fill=\"none\" stroke-linecap=\"round\" stroke-linejoin=\"round\" role=\"img\" \
             aria-labelledby=\"title desc\">\n<title id=\"title\">",
        );
        self.words(&scene.title);
        self.out.push_str("</title>\n<desc id=\"desc\">");
        self.words(&scene.description);
        self.out.push_str("</desc>\n");
        self.letters(scene);
        self.out.push_str("<rect width=\"100%\" height=\"100%\" ");
        let _ = writeln!(self.out, "fill=\"{}\"/>", scene.paper);
        for layer in &scene.layers {
            self.group(layer);
        }
        self.out.push_str("</svg>\n");
    }

    fn letters(&mut self, scene: &Scene) {
        self.out.push_str("<defs>\n");
        for (font, glyph) in scene.letters().into_keys() {
            let outline = font.outline(glyph);
            if !outline.elements().is_empty() {
                let _ = write!(self.out, "<path id=\"{}\" d=\"", letter_id(font, glyph));
                self.path(&outline, 1.0);
                self.out.push_str("\"/>\n");
            }
        }
        self.out.push_str("</defs>\n");
    }

    fn group(&mut self, group: &Group) {
        let mut clip = String::new();
        if let Some(window) = group.window {
            self.windows += 1;
            clip = format!(" clip-path=\"url(#window{})\"", self.windows);
            let _ = write!(
                self.out,
                "<clipPath id=\"window{}\"><path d=\"",
                self.windows
            );
            let corners = super::scene::polygon([
                window.origin(),
                Point::new(window.x1, window.y0),
                Point::new(window.x1, window.y1),
                Point::new(window.x0, window.y1),
            ]);
            self.path(&corners, self.steps_per_mm);
            self.out.push_str("\"/></clipPath>\n");
        }
        self.out.push_str("<g");
        for (key, value) in [("class", &group.name), ("data-strand", &group.strand)] {
            if !value.is_empty() {
                let _ = write!(self.out, " {key}=\"{value}\"");
            }
        }
        let _ = writeln!(self.out, "{clip}>");
        for item in &group.items {
            match item {
                Item::Area(path, colour, overlap) => {
                    self.out.push_str("<path d=\"");
                    self.path(path, self.steps_per_mm);
                    let rule = match overlap {
                        Overlap::Covered => "",
                        Overlap::ByTurns => " fill-rule=\"evenodd\"",
                    };
                    let _ = writeln!(self.out, "\" fill=\"{colour}\"{rule}/>");
                }
                Item::Line(path, pen) => self.line(path, pen),
                Item::Text(lettering, colour) => {
                    let _ = write!(self.out, "<g fill=\"{colour}\" ");
                    self.lettering(lettering);
                }
                Item::Group(inner) => self.group(inner),
            }
        }
        self.out.push_str("</g>\n");
    }

    fn line(&mut self, path: &BezPath, pen: &Pen) {
        self.out.push_str("<path d=\"");
        self.path(path, self.steps_per_mm);
        let _ = write!(self.out, "\" stroke=\"{}\" stroke-width=\"", pen.colour);
        self.number(pen.width_mm);
        if !pen.round {
            self.out
                .push_str("\" stroke-linecap=\"butt\" stroke-linejoin=\"miter");
        }
        if !pen.dashes.is_empty() {
            self.out.push_str("\" stroke-dasharray=\"");
            for (index, &length) in pen.dashes.iter().enumerate() {
                if index > 0 {
                    self.out.push(' ');
                }
                self.number(length);
            }
        }
        self.out.push_str("\"/>\n");
    }

    fn lettering(&mut self, lettering: &Lettering) {
        self.out.push_str("role=\"img\" aria-label=\"");
        self.words(lettering.text());
        let [a, b, c, d, x, y] = lettering.placing().as_coeffs();
        // The scale is a few thousandths, so it needs more digits than a length.
        let _ = write!(
            self.out,
            "\" transform=\"matrix({a:.5} {b:.5} {c:.5} {d:.5} "
        );
        self.number(x);
        self.out.push(' ');
        self.number(y);
        self.out.push_str(")\">");
        for (&(glyph, at), letter) in lettering.glyphs().iter().zip(lettering.text().chars()) {
            if letter != ' ' {
                let _ = write!(
                    self.out,
                    "<use href=\"#{}\" x=\"{at:.0}\"/>",
                    letter_id(lettering.font(), glyph)
                );
            }
        }
        self.out.push_str("</g>\n");
    }

    /// Path data, places rounded to so many steps a unit: from each place to the next, which is a
    /// third shorter than from the corner of the sheet. Differences are taken between rounded
    /// places, so that nothing adds up.
    fn path(&mut self, path: &BezPath, steps: f64) {
        let place = |p: Point| [p.x, p.y].map(|value| hundredths((value * steps).round() / steps));
        let (mut at, mut first) = ([0, 0], [0, 0]);
        for element in path.elements() {
            let (letter, points): (_, &[Point]) = match element {
                PathEl::MoveTo(p) => ('m', &[*p]),
                PathEl::LineTo(p) => ('l', &[*p]),
                PathEl::QuadTo(a, p) => ('q', &[*a, *p]),
                PathEl::CurveTo(a, b, p) => ('c', &[*a, *b, *p]),
                PathEl::ClosePath => ('z', &[]),
            };
            let places = points.iter().map(|&p| place(p));
            let numbers = places.clone().flatten().enumerate();
            let numbers = numbers.map(|(index, value)| value - at[index % 2]);
            self.step(letter, &numbers.collect::<Vec<i64>>());
            at = points.last().map_or(first, |&p| place(p));
            if letter == 'm' {
                first = at;
            }
        }
    }

    /// A command with its numbers, hundredths; a line along an axis has a command of its own.
    fn step(&mut self, letter: char, numbers: &[i64]) {
        let (letter, numbers) = match (letter, numbers) {
            ('l', [_, 0]) => ('h', &numbers[..1]),
            ('l', [0, _]) => ('v', &numbers[1..]),
            _ => (letter, numbers),
        };
        self.out.push(letter);
        for (index, &number) in numbers.iter().enumerate() {
            if index > 0 && number >= 0 {
                self.out.push(' ');
            }
            self.hundredths(number);
        }
    }

    /// A number rounded to two decimals, without trailing zeros.
    fn number(&mut self, value: f64) {
        self.hundredths(hundredths(value));
    }

    fn hundredths(&mut self, hundredths: i64) {
        if hundredths < 0 {
            self.out.push('-');
        }
        let (whole, part) = (
            hundredths.unsigned_abs() / 100,
            hundredths.unsigned_abs() % 100,
        );
        if whole > 0 || part == 0 {
            let _ = write!(self.out, "{whole}");
        }
        let _ = match (part, part % 10) {
            (0, _) => Ok(()),
            (_, 0) => write!(self.out, ".{}", part / 10),
            _ => write!(self.out, ".{part:02}"),
        };
    }

    /// Text with the characters that mean something in XML replaced, and those that XML 1.0 does
    /// not allow at all left out.
    fn words(&mut self, text: &str) {
        for letter in text.chars() {
            match letter {
                '&' => self.out.push_str("&amp;"),
                '<' => self.out.push_str("&lt;"),
                '>' => self.out.push_str("&gt;"),
                '"' => self.out.push_str("&quot;"),
                '\u{0}'..='\u{1f}' | '\u{fffe}' | '\u{ffff}' => self.out.push(' '),
                other => self.out.push(other),
            }
        }
    }
}

#[expect(
    clippy::cast_possible_truncation,
    reason = "lengths on a sheet are far below 2^63 hundredths; a cast of more saturates"
)]
fn hundredths(value: f64) -> i64 {
    (value * 100.0).round() as i64
}

fn letter_id(font: Font, glyph: u32) -> String {
    let face = match font {
        Font::Sans => 's',
        Font::SerifBold => 'b',
        Font::SerifItalic => 'i',
        Font::Mono => 'm',
    };
    format!("{face}{glyph}")
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A wandering path, read back by another reader: rounding never adds up.
    #[test]
    fn places_are_right_to_half_a_step_however_long_the_path() {
        let mut path = BezPath::new();
        for turn in 0..3000 {
            let angle = 2.4 * f64::from(turn);
            let at = |share: f64| {
                let (sin, cos) = (share * angle).sin_cos();
                Point::new(100.0 + 90.0 * cos, 100.0 + 80.0 * sin)
            };
            match turn % 6 {
                0 => path.move_to(at(1.0)),
                1 => path.line_to(at(0.9)),
                2 => path.quad_to(at(0.8), at(0.7)),
                3 => path.curve_to(at(0.6), at(0.5), at(0.4)),
                4 => path.line_to((at(0.3).x, 7.25)),
                _ => path.close_path(),
            }
        }
        for (steps, error) in [(100.0, 0.005), (10.0, 0.05)] {
            let mut writer = Writer {
                out: String::new(),
                windows: 0,
                steps_per_mm: steps,
            };
            writer.path(&path, steps);
            let read = BezPath::from_svg(&writer.out).expect("path data");
            assert_eq!(read.elements().len(), path.elements().len());
            for (read, drawn) in read.elements().iter().zip(path.elements()) {
                let off = match (read.end_point(), drawn.end_point()) {
                    (Some(read), Some(drawn)) => (read - drawn).hypot(),
                    (None, None) => 0.0,
                    ends => panic!("{ends:?}"),
                };
                assert!(off <= error * 1.4143 + 1e-6, "{off} at {read:?}");
            }
        }
    }
}
