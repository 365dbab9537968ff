//! Slipper files: what is in the hand, in what yarn, and how the face is to be sewn and placed.
//!
//! | key | range | when left out |
//! |---|---|---|
//! | `name` | text of 1 to 60 characters | `Slipper` |
//! | `hand` | `right`, `left` | `right` |
//! | `rounds` | `spiral`, `joined` | needed |
//! | `for_baby` | `true`, `false` | `false` |
//! | `yarn.wraps_per_inch` | 1 to 60 | needed |
//! | `yarn.metres_per_100g` | 10 to 3000 | needed |
//! | `yarn.weight` | 0 to 7, category of the published yarn weight table | unknown |
//! | `yarn.held` | 1 to 8 strands held together | 1 |
//! | `yarn.colour` | `#rrggbb` | not stated; pictures show a pumpkin orange |
//! | `gauge.stitches` | 1 to 100 | needed |
//! | `gauge.rows` | 1 to 100 | needed |
//! | `gauge.over_cm` | 1 to 50 | this or `over_in` is needed |
//! | `gauge.over_in` | 0.5 to 20 | this or `over_cm` is needed |
//! | `gauge.lean` | -0.9 to 0.9 stitches a round, or `{ stitches, rounds }` | needed in a spiral; 0 in joined rounds |
//! | `gauge.lean.stitches` | -90 to 90 | needed |
//! | `gauge.lean.rounds` | 1 to 100 | needed |
//! | `shell.toe` | 1 to 60 rounds, each of 3 to 300 stitches | needed |
//! | `shell.even_rounds` | 0 to 150 | needed |
//! | `shell.flat_stitches` | 1 to 298, and 2 fewer than the last round or less | needed |
//! | `shell.extra_before_turn` | 0 to 20 | 0 |
//! | `shell.centre_stitch` | 0.5 to 300.5, within the last round; half numbers lie between two stitches | the middle of the open stitches |
//! | `worn.around_cm` | 5 to 60 | the slipper is not stretched |
//! | `threads.NAME.wraps_per_inch` | 1 to 60 | the slipper's yarn |
//! | `threads.NAME.metres_per_100g` | 10 to 3000 | the slipper's yarn |
//! | `threads.NAME.held` | 1 to 8 strands in the needle, or `auto`: up to 4, as few as score best | 1 |
//! | `threads.NAME.colour` | `#rrggbb` | the face's colour |
//! | `weave.longest` | 5 to 80 mm, a strand on the face | 25 |
//! | `weave.tie_down` | `true`, `false`: strands of fills up to three times as long, tied down so that no stretch is longer than the longest | `false` |
//! | `weave.spread` | 0 to 45 degrees off the feature's direction | 20 |
//! | `weave.hole_limit` | 1 to 8 strand ends in a needle point | 2 |
//! | `weave.points` | `all`, `open` (hook holes and gaps only) | `all` |
//! | `weave.float_limit` | 3 to 100 mm, not over `carry` | 25; never over 10 for a baby |
//! | `weave.carry` | 5 to 500 mm | 60 |
//! | `weave.needleful` | 100 to 5000 mm, over two tails | 900 |
//! | `weave.tail` | 20 to 500 mm | 150 |
//! | `weave.take_up` | 0 to 0.5 of the length | 0.05 |
//! | `weave.thickness` | 0.5 to 40 mm | twice the width of the slipper's yarn |
//! | `weave.seat_scale` | 0 to 0.04: by how much a shape may grow or shrink, besides shifting, to fall better on the needle points | 0 |
//! | `place.width_cm` | 0.5 to 60, at least three stitches | 0.3 of the way round |
//! | `place.below_cm` | 0 to 60, less than the length of the slipper | two rows |
//! | `place.facing` | `onlooker`, `wearer` | `onlooker` |

pub mod place;
mod settings;
mod shell;

use std::collections::BTreeMap;
use std::path::Path;

use super::document::{self, FileKind};
use super::report::Faults;
use super::table::{Layout, Sheet, Table};
use super::text;
use super::value::{Colour, Count, Flag, Held, Name, Number};
use crate::fabric::{Category, Slipper, Yarn};
use crate::face::{Face, Place};
use crate::units::{self, Ruler};
use crate::weave::{Job, Settings, ThreadStock};

/// What a slipper file says: all of a job but the face.
#[derive(Debug, Clone, PartialEq)]
pub struct SlipperFile {
    /// The slipper in the hand.
    pub slipper: Slipper,
    /// Real yarns by thread role.
    pub threads: BTreeMap<String, ThreadStock>,
    /// Settings of the weave.
    pub settings: Settings,
    /// Width, distance from the edge, facing.
    pub place: Place,
}

impl SlipperFile {
    /// This slipper with a face; findings speak in the ruler's units.
    #[must_use]
    pub fn with_face(self, face: Face, ruler: Ruler) -> Job {
        Job {
            slipper: self.slipper,
            threads: self.threads,
            settings: self.settings,
            place: self.place,
            face,
            ruler,
        }
    }
}

/// Reads a slipper file.
///
/// # Errors
/// All mistakes of the file.
pub fn read_slipper(path: &Path) -> Result<SlipperFile, Faults> {
    parse_slipper(&path.display().to_string(), &text::read(path)?)
}

/// Reads the text of a slipper file; `file` is what messages call it.
///
/// # Errors
/// All mistakes of the text.
pub fn parse_slipper(file: &str, text: &str) -> Result<SlipperFile, Faults> {
    let document = document::parse(FileKind::Slipper, file, text)?;
    let sheet = Sheet::new(file, text, LAYOUT);
    let read = slipper_file(&Table::top(&sheet, document.get_ref()));
    sheet.finish(read)
}

const YARN: &[&str] = &[
    "wraps_per_inch",
    "metres_per_100g",
    "weight",
    "held",
    "colour",
];

const LAYOUT: Layout = &[
    (
        "",
        &[
            "name", "hand", "rounds", "for_baby", "yarn", "gauge", "shell", "worn", "threads",
            "weave", "place",
        ],
    ),
    ("yarn", YARN),
    ("gauge", &["stitches", "rows", "over_cm", "over_in", "lean"]),
    (
        "shell",
        &[
            "toe",
            "even_rounds",
            "flat_stitches",
            "extra_before_turn",
            "centre_stitch",
        ],
    ),
    ("worn", &["around_cm"]),
    (
        "weave",
        &[
            "longest",
            "tie_down",
            "seat_scale",
            "spread",
            "hole_limit",
            "points",
            "float_limit",
            "carry",
            "needleful",
            "take_up",
            "tail",
            "thickness",
        ],
    ),
    ("place", &["width_cm", "below_cm", "facing"]),
    ("lean", &["stitches", "rounds"]),
    (
        "threads.NAME",
        &["wraps_per_inch", "metres_per_100g", "held", "colour"],
    ),
];

const WRAPS: Number = Number(1.0, 60.0);
const METRES: Number = Number(10.0, 3000.0);
const HELD: Count = Count(1, 8);

fn slipper_file(top: &Table<'_, '_>) -> Option<SlipperFile> {
    // Everything is read before anything is missed, so that all faults are found.
    let name = top.get("name", Name).unwrap_or_else(|| "Slipper".into());
    let for_baby = top.get("for_baby", Flag).unwrap_or(false);
    let own = top.needed_table("yarn", "the yarn the slipper is worked in");
    let colour = own.as_ref().and_then(|table| table.get("colour", Colour));
    let yarn = own.as_ref().and_then(yarn);
    let shell = shell::read(top);
    let worn = top.table("worn");
    let around_cm = worn.and_then(|worn| worn.get("around_cm", Number(5.0, 60.0)));
    let slipper = yarn.zip(shell).map(|(yarn, shell)| Slipper {
        name,
        shell,
        yarn,
        colour,
        foot_around_mm: around_cm.map(units::centimetres),
        for_baby,
    });
    let threads = threads(top, yarn);
    let settings = settings::read(top, yarn, &threads);
    let place = place::read(top, slipper.as_ref());
    Some(SlipperFile {
        slipper: slipper?,
        threads,
        settings,
        place,
    })
}

fn yarn(table: &Table<'_, '_>) -> Option<Yarn> {
    let wraps_per_inch = table.need(
        "wraps_per_inch",
        WRAPS,
        "wind the yarn round a ruler, touching but not stretched, and count the wraps in an inch",
    );
    let metres_per_100g = table.need("metres_per_100g", METRES, "it stands on the band");
    let weight = table.get("weight", Count(0, 7));
    let held = table.get("held", HELD).unwrap_or(1);
    Some(Yarn {
        wraps_per_inch: wraps_per_inch?,
        held,
        metres_per_100g: metres_per_100g?,
        weight: weight
            .and_then(|number| u8::try_from(number).ok())
            .and_then(Category::new),
    })
}

/// Real yarns; what a thread does not say of itself is as in the slipper's own yarn.
fn threads(top: &Table<'_, '_>, own: Option<Yarn>) -> BTreeMap<String, ThreadStock> {
    let mut threads = BTreeMap::new();
    let Some(list) = top.table_of_tables("threads") else {
        return threads;
    };
    for (role, table) in list {
        let wraps = table.get("wraps_per_inch", WRAPS);
        let metres = table.get("metres_per_100g", METRES);
        let held = table.get("held", Held).unwrap_or(Some(1));
        let colour = table.get("colour", Colour);
        let Some(own) = own else { continue };
        let yarn = Yarn {
            wraps_per_inch: wraps.unwrap_or(own.wraps_per_inch),
            held: held.unwrap_or(1),
            metres_per_100g: metres.unwrap_or(own.metres_per_100g),
            weight: own.weight.filter(|_| wraps.is_none()),
        };
        threads.insert(
            role,
            ThreadStock {
                yarn,
                auto_held: held.is_none(),
                colour,
            },
        );
    }
    threads
}
