//! The words a picture shows that differ between the two sets of crochet terms.

/// Which crochet terms are shown.
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
    pub fn fabric_stitch(self) -> &'static str {
        match self {
            Self::Us => "single crochet",
            Self::Uk => "double crochet",
        }
    }
}
