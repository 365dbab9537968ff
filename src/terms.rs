//! Crochet terms: the same words name other stitches in two countries.

/// Which crochet terms are shown.
///
/// Source: published term tables (sc = dc, gauge = tension); skip = miss is common practice.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Terms {
    /// As used in the United States.
    #[default]
    Us,
    /// As used in the United Kingdom.
    Uk,
}

impl Terms {
    /// Stitches and rows to a length.
    #[must_use]
    pub fn gauge(self) -> &'static str {
        match self {
            Self::Us => "gauge",
            Self::Uk => "tension",
        }
    }

    /// The stitch the fabric is made of.
    #[must_use]
    pub fn single_crochet(self) -> &'static str {
        match self {
            Self::Us => "single crochet",
            Self::Uk => "double crochet",
        }
    }

    /// To leave a stitch out.
    #[must_use]
    pub fn skip(self) -> &'static str {
        match self {
            Self::Us => "skip",
            Self::Uk => "miss",
        }
    }
}
