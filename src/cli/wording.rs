//! Options for the words shown.

use clap::{Args, ValueEnum};
use instep::draw::DrawSettings;
use instep::fabric::colour::Rgb;
use instep::files::Words;
use instep::terms::Terms;
use instep::units::Ruler;

/// Terms and ruler.
#[derive(Debug, Args)]
#[command(next_help_heading = "Words")]
pub(crate) struct Wording {
    /// Crochet terms: in UK terms single crochet is double crochet, gauge is tension.
    #[arg(long, value_enum, default_value_t = TermsWord::Us)]
    terms: TermsWord,
    /// Lengths in centimetres or inches.
    #[arg(long, value_enum, default_value_t = Units::Cm)]
    units: Units,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum TermsWord {
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
                TermsWord::Us => Terms::Us,
                TermsWord::Uk => Terms::Uk,
            },
            ruler: match self.units {
                Units::Cm => Ruler::Metric,
                Units::In => Ruler::Inch,
            },
        }
    }
}

/// How pictures of a slipper in yarn of a colour are drawn for a reader of these words.
pub(crate) fn drawn(words: Words, yarn: Option<Rgb>) -> DrawSettings {
    let usual = DrawSettings::default();
    DrawSettings {
        terms: words.terms,
        ruler: words.ruler,
        fabric: yarn.unwrap_or(usual.fabric),
        ..usual
    }
}
