//! Options for the words shown.

use clap::{Args, ValueEnum};
use instep::draw::{self, DrawSettings};
use instep::files::{self, Words};
use instep::units::Ruler;

/// Terms and ruler.
#[derive(Debug, Args)]
#[command(next_help_heading = "Words")]
pub(crate) struct Wording {
    /// Crochet terms: in UK terms single crochet is double crochet, gauge is tension.
    #[arg(long, value_enum, default_value_t = Terms::Us)]
    terms: Terms,
    /// Lengths in centimetres or inches.
    #[arg(long, value_enum, default_value_t = Units::Cm)]
    units: Units,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Terms {
    Us,
    Uk,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Units {
    Cm,
    In,
}

impl Wording {
    pub(crate) fn words(&self) -> Words {
        Words {
            terms: match self.terms {
                Terms::Us => files::Terms::Us,
                Terms::Uk => files::Terms::Uk,
            },
            ruler: match self.units {
                Units::Cm => Ruler::Metric,
                Units::In => Ruler::Inch,
            },
        }
    }
}

/// How pictures are drawn for a reader of these words.
pub(crate) fn drawn(words: Words) -> DrawSettings {
    DrawSettings {
        terms: match words.terms {
            files::Terms::Us => draw::Terms::Us,
            files::Terms::Uk => draw::Terms::Uk,
        },
        ruler: words.ruler,
        ..DrawSettings::default()
    }
}
