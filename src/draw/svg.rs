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
        let mut writer = Writer {
            out: String::with_capacity(1 << 17),
            windows: 0,
        };
        writer.scene(self);
        writer.out
    }
}

struct Writer {
    out: String,
    windows: usize,
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
        self.out
            .push_str("\" role=\"img\" aria-labelledby=\"title desc\">\n<title id=\"title\">");
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
                self.path(&outline);
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
            self.path(&super::scene::polygon([
                window.origin(),
                Point::new(window.x1, window.y0),
                Point::new(window.x1, window.y1),
                Point::new(window.x0, window.y1),
            ]));
            self.out.push_str("\"/></clipPath>\n");
        }
        if group.name.is_empty() {
            let _ = writeln!(self.out, "<g{clip}>");
        } else {
            let _ = writeln!(self.out, "<g class=\"{}\"{clip}>", group.name);
        }
        for item in &group.items {
            match item {
                Item::Area(path, colour, overlap) => {
                    self.out.push_str("<path d=\"");
                    self.path(path);
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
        self.path(path);
        let _ = write!(
            self.out,
            "\" fill=\"none\" stroke=\"{}\" stroke-width=\"",
            pen.colour
        );
        self.number(pen.width_mm);
        if pen.round {
            self.out
                .push_str("\" stroke-linecap=\"round\" stroke-linejoin=\"round");
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

    fn path(&mut self, path: &BezPath) {
        for element in path.elements() {
            match *element {
                PathEl::MoveTo(p) => self.command('M', &[p]),
                PathEl::LineTo(p) => self.command('L', &[p]),
                PathEl::QuadTo(a, p) => self.command('Q', &[a, p]),
                PathEl::CurveTo(a, b, p) => self.command('C', &[a, b, p]),
                PathEl::ClosePath => self.out.push('Z'),
            }
        }
    }

    fn command(&mut self, letter: char, points: &[Point]) {
        self.out.push(letter);
        for (index, point) in points.iter().enumerate() {
            if index > 0 {
                self.out.push(' ');
            }
            self.number(point.x);
            self.out.push(' ');
            self.number(point.y);
        }
    }

    /// A number rounded to two decimals, without trailing zeros.
    #[expect(
        clippy::cast_possible_truncation,
        reason = "lengths on a sheet are far below 2^63 hundredths; a cast of more saturates"
    )]
    fn number(&mut self, value: f64) {
        let hundredths = (value * 100.0).round() as i64;
        if hundredths < 0 {
            self.out.push('-');
        }
        let (whole, part) = (
            hundredths.unsigned_abs() / 100,
            hundredths.unsigned_abs() % 100,
        );
        let _ = match (part, part % 10) {
            (0, _) => write!(self.out, "{whole}"),
            (_, 0) => write!(self.out, "{whole}.{}", part / 10),
            _ => write!(self.out, "{whole}.{part:02}"),
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

fn letter_id(font: Font, glyph: u32) -> String {
    let face = match font {
        Font::Sans => 's',
        Font::SerifBold => 'b',
        Font::SerifItalic => 'i',
        Font::Mono => 'm',
    };
    format!("{face}{glyph}")
}
