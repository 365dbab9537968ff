//! What is written of a set: `set.csv`, `set.json`, `yarn.txt`.

use serde::Serialize;

use super::super::page::Page;
use super::super::plan::rounded;
use super::super::strands::record;
use super::super::words::{Words, counted};
use super::pieces::{Piece, Pieces};
use super::{Feet, SetFile};
use crate::units::Ruler;
use crate::weave::set::{Bought, Sewn, Skein, Taken, Whole, buy, reads};

/// Number of the schema of `set.json`; it changes when a key changes its meaning or goes.
const FORMAT: u32 = 1;

/// A set made and looked at: all that is written of it.
#[derive(Debug)]
pub struct SetReport<'a> {
    /// The set file.
    pub set: &'a SetFile,
    /// Its pieces.
    pub all: &'a Pieces,
    /// What each piece came out as, in the order of the pieces; `None` where it was not made.
    pub sewn: &'a [Option<Sewn>],
    /// The set as a whole.
    pub whole: &'a Whole,
}

impl<'a> SetReport<'a> {
    /// The pieces that were made.
    fn made(&self) -> impl Iterator<Item = (&'a Piece, &'a Sewn)> {
        let pieces = self.all.pieces.iter().zip(self.sewn);
        pieces.filter_map(|(piece, sewn)| Some((piece, sewn.as_ref()?)))
    }

    fn shoe(&self, at: usize) -> &'a str {
        &self.all.rows[at].name
    }

    fn look(&self, at: usize) -> &'a str {
        &self.all.columns[at].name
    }

    /// Yarn to buy for all pieces that were made.
    #[must_use]
    pub fn bought(&self) -> Vec<Bought> {
        let taken: Vec<Taken> = self
            .made()
            .flat_map(|(piece, sewn)| {
                let foot = self.all.columns[piece.column].foot;
                sewn.threads.iter().map(move |thread| Taken {
                    skein: self.set.skein(&piece.job, &thread.name),
                    length_mm: thread.length_mm,
                    held: thread.held,
                    faces: piece.pairs * foot.faces_a_pair(),
                })
            })
            .collect();
        buy(&taken, self.set.margin)
    }

    /// Slippers with a face in a yarn.
    fn shoes_of(&self, skein: &Skein) -> Vec<&'a str> {
        let own = |piece: &Piece, sewn: &Sewn| {
            let mut threads = sewn.threads.iter();
            threads.any(|thread| self.set.skein(&piece.job, &thread.name) == *skein)
        };
        let mut shoes: Vec<usize> = self
            .made()
            .filter(|(piece, sewn)| own(piece, sewn))
            .map(|(piece, _)| piece.row)
            .collect();
        shoes.dedup();
        shoes.into_iter().map(|shoe| self.shoe(shoe)).collect()
    }

    /// The text of `set.csv`: one row a piece (RFC 4180: comma, quotes doubled, CRLF). Yarn is
    /// that of one face.
    #[must_use]
    pub fn csv(&self) -> String {
        const HEADER: [&str; 19] = [
            "folder",
            "slipper",
            "face",
            "variant",
            "foot",
            "pairs",
            "width_mm",
            "below_edge_mm",
            "match",
            "reads",
            "problems",
            "advice",
            "threads",
            "strands",
            "needlefuls",
            "yarn_m",
            "yarn_g",
            "yarn_over_area",
            "looks_like",
        ];
        let mut text = record(HEADER.map(str::to_owned));
        for (piece, sewn) in self.made() {
            let column = &self.all.columns[piece.column];
            let problems = sewn.problems().count();
            let threads = || sewn.threads.iter();
            let yes = |yes: bool| if yes { "yes" } else { "no" }.to_owned();
            text += &record([
                piece.folder.clone(),
                self.shoe(piece.row).to_owned(),
                column.face.clone(),
                column.variant.clone(),
                column.foot.word().to_owned(),
                piece.pairs.to_string(),
                figure(sewn.width_mm),
                figure(sewn.below_edge_mm),
                figure(sewn.match_share()),
                yes(reads(sewn)),
                problems.to_string(),
                (sewn.findings.len() - problems).to_string(),
                sewn.threads.len().to_string(),
                threads().map(|t| t.strands).sum::<usize>().to_string(),
                threads().map(|t| t.needlefuls).sum::<usize>().to_string(),
                figure(sewn.length_mm() / 1000.0),
                figure(threads().map(|t| t.grams).sum()),
                figure(sewn.yarn_share()),
                self.looks_like(piece).join("; "),
            ]);
        }
        text
    }

    /// Faces that look like a piece on its slipper.
    fn looks_like(&self, piece: &Piece) -> Vec<&'a str> {
        let pairs = self.whole.pairs.iter();
        let alike = pairs.filter(|pair| pair.shoe == piece.row && pair.apart.looks_alike());
        let others = alike.flat_map(|pair| match pair.looks {
            [a, b] if a == piece.column => Some(b),
            [a, b] if b == piece.column => Some(a),
            _ => None,
        });
        others.map(|look| self.look(look)).collect()
    }

    /// The text of `set.json`, ended by a line end. Lengths in mm, areas in mm2, shares 0 to 1.
    ///
    /// # Errors
    /// Never for finite figures.
    pub fn json(&self, words: Words) -> Result<String, serde_json::Error> {
        let pieces = self.made().map(|(piece, sewn)| {
            let column = &self.all.columns[piece.column];
            PieceText {
                folder: &piece.folder,
                slipper: self.shoe(piece.row),
                face: &column.face,
                variant: &column.variant,
                foot: column.foot.word(),
                pairs: piece.pairs,
                width_mm: rounded(sewn.width_mm),
                below_edge_mm: rounded(sewn.below_edge_mm),
                match_share: rounded(sewn.match_share()),
                reads: reads(sewn),
                yarn_over_area: rounded(sewn.yarn_share()),
                threads: sewn
                    .threads
                    .iter()
                    .map(|thread| ThreadText {
                        name: &thread.name,
                        held: thread.held,
                        strands: thread.strands,
                        needlefuls: thread.needlefuls,
                        length_mm: rounded(thread.length_mm),
                        grams: rounded(thread.grams),
                    })
                    .collect(),
                problems: sewn.problems().map(|finding| &*finding.code).collect(),
            }
        });
        let apart = self.whole.pairs.iter().map(|pair| ApartText {
            slipper: self.shoe(pair.shoe),
            faces: pair.looks.map(|look| self.look(look)),
            strands_apart: rounded(pair.apart.sewn),
            drawn_apart: rounded(pair.apart.drawn),
            spot_in_strands: pair.apart.spot_widths.map(rounded),
            look_alike: pair.apart.looks_alike(),
            enlarge: &pair.apart.enlarge,
        });
        let findings = self.whole.findings.iter().map(|finding| FindingText {
            level: finding.level.word(),
            code: finding.code,
            slipper: finding.shoe.map(|shoe| self.shoe(shoe)),
            faces: finding.looks.iter().map(|&look| self.look(look)).collect(),
            text: words.put(&finding.text),
        });
        let reads_from = self.all.columns.iter().zip(&self.whole.reads_from);
        let text = SetText {
            format: FORMAT,
            name: &self.set.name,
            feet: match self.set.feet {
                Feet::Alike => "alike",
                Feet::Mirrored => "mirrored",
            },
            margin: rounded(self.set.margin),
            pieces: pieces.collect(),
            reads_from: reads_from
                .map(|(column, shoe)| ReadsText {
                    face: &column.name,
                    slipper: shoe.map(|shoe| self.shoe(shoe)),
                })
                .collect(),
            apart: apart.collect(),
            yarn: self.bought().into_iter().map(YarnText::from).collect(),
            findings: findings.collect(),
        };
        Ok(serde_json::to_string_pretty(&text)? + "\n")
    }

    /// The text of `yarn.txt`: what to buy for the faces of the set.
    #[must_use]
    pub fn yarn(&self, words: Words) -> String {
        let ruler = words.ruler;
        let mut page = Page::default();
        page.heading(&format!("Yarn for {}", self.set.name));
        let made: Vec<(&Piece, &Sewn)> = self.made().collect();
        let pairs: u32 = made
            .iter()
            .filter(|(piece, _)| self.all.columns[piece.column].foot != super::Foot::Mirrored)
            .map(|(piece, _)| piece.pairs)
            .sum();
        page.paragraph(&format!(
            "For the faces of {} of slippers, both feet, tails included; with {:.0} % more as a \
             margin, for hands differ. The yarn of the slippers themselves is not in it.",
            counted(pairs as usize, "pair"),
            100.0 * self.set.margin
        ));
        for line in self.bought() {
            page.gap();
            let skein = &line.skein;
            let [red, green, blue] = skein.colour;
            let balls = counted(line.balls as usize, "ball");
            page.line(&format!(
                "{}, #{red:02x}{green:02x}{blue:02x}: {balls} of {} g",
                skein.thread, skein.ball_g
            ));
            page.line(&format!(
                "  {} wraps per inch, {} m in 100 g; single strand",
                skein.wraps_per_inch, skein.metres_per_100g
            ));
            page.line(&format!(
                "  {} or {} g for {}; {} without the margin",
                up(ruler, line.metres),
                line.grams.ceil(),
                counted(line.faces as usize, "face"),
                up(ruler, line.planned_m),
            ));
            page.line(&format!("  on {}", self.shoes_of(skein).join("; ")));
        }
        page.gap();
        page.heading("One face of each");
        for (piece, sewn) in made {
            let threads: Vec<String> = sewn
                .threads
                .iter()
                .map(|thread| {
                    let held = match thread.held {
                        1 => String::new(),
                        held => format!(", {held} held together"),
                    };
                    let length = ruler.yarn(thread.length_mm);
                    format!("{} {length}{held}, {:.1} g", thread.name, thread.grams)
                })
                .collect();
            let foot = self.all.columns[piece.column].foot;
            page.item(&format!(
                "{} on {}, {}: {}",
                self.look(piece.column),
                self.shoe(piece.row),
                match foot {
                    super::Foot::Both => counted(piece.pairs as usize, "pair"),
                    _ => format!("one foot of {}", counted(piece.pairs as usize, "pair")),
                },
                threads.join("; ")
            ));
        }
        page.finish()
    }
}

fn figure(value: f64) -> String {
    rounded(value).to_string()
}

/// A length of yarn rounded up to a whole metre or yard.
fn up(ruler: Ruler, metres: f64) -> String {
    let (length, unit) = ruler.yarn_unit();
    let count = metres * 1000.0 / length;
    // What rounding adds to a whole number is no other metre.
    format!("{:.0} {unit}", (count - 1e-9).ceil())
}

#[derive(Serialize)]
struct SetText<'a> {
    format: u32,
    name: &'a str,
    feet: &'static str,
    margin: f64,
    pieces: Vec<PieceText<'a>>,
    reads_from: Vec<ReadsText<'a>>,
    apart: Vec<ApartText<'a>>,
    yarn: Vec<YarnText>,
    findings: Vec<FindingText<'a>>,
}

/// A piece; yarn is that of one face.
#[derive(Serialize)]
struct PieceText<'a> {
    folder: &'a str,
    slipper: &'a str,
    face: &'a str,
    variant: &'a str,
    foot: &'static str,
    pairs: u32,
    width_mm: f64,
    below_edge_mm: f64,
    #[serde(rename = "match")]
    match_share: f64,
    reads: bool,
    yarn_over_area: f64,
    threads: Vec<ThreadText<'a>>,
    /// Codes of the problems of its plan.
    problems: Vec<&'a str>,
}

#[derive(Serialize)]
struct ThreadText<'a> {
    name: &'a str,
    held: u32,
    strands: usize,
    needlefuls: usize,
    length_mm: f64,
    grams: f64,
}

/// The smallest slipper on which a face reads.
#[derive(Serialize)]
struct ReadsText<'a> {
    face: &'a str,
    slipper: Option<&'a str>,
}

#[derive(Serialize)]
struct ApartText<'a> {
    slipper: &'a str,
    faces: [&'a str; 2],
    strands_apart: f64,
    drawn_apart: f64,
    spot_in_strands: Option<f64>,
    look_alike: bool,
    enlarge: &'a [String],
}

#[derive(Serialize)]
struct YarnText {
    thread: String,
    colour: String,
    wraps_per_inch: f64,
    metres_per_100g: f64,
    ball_g: f64,
    faces: u32,
    planned_m: f64,
    metres: f64,
    grams: f64,
    balls: u32,
}

impl From<Bought> for YarnText {
    fn from(line: Bought) -> Self {
        let [red, green, blue] = line.skein.colour;
        Self {
            thread: line.skein.thread,
            colour: format!("#{red:02x}{green:02x}{blue:02x}"),
            wraps_per_inch: line.skein.wraps_per_inch,
            metres_per_100g: line.skein.metres_per_100g,
            ball_g: line.skein.ball_g,
            faces: line.faces,
            planned_m: rounded(line.planned_m),
            metres: rounded(line.metres),
            grams: rounded(line.grams),
            balls: line.balls,
        }
    }
}

#[derive(Serialize)]
struct FindingText<'a> {
    level: &'static str,
    code: &'static str,
    slipper: Option<&'a str>,
    faces: Vec<&'a str>,
    text: String,
}
