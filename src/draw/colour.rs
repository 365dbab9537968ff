//! Colours, and how light they look.

use std::fmt;

use crate::fabric::colour;

/// A colour on paper: red, green, blue of the standard screen space (sRGB), fully covering.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Colour(pub [u8; 3]);

impl Colour {
    /// The sheet itself, warm and light.
    pub const PAPER: Self = Self([0xf8, 0xf2, 0xe4]);
    /// Print, a warm black.
    pub const INK: Self = Self([0x2c, 0x26, 0x22]);
    /// Print that stands back.
    pub const FADED: Self = Self([0x6e, 0x62, 0x55]);
    /// Thin rules on the sheet.
    pub const RULE: Self = Self([0xc9, 0xba, 0x9f]);
    /// The contrast thread of the centre line: a blue that stays apart from every warm yarn, also
    /// for eyes that do not tell red from green.
    pub const BASTING: Self = Self([0x12, 0x4e, 0x96]);
    /// White.
    pub const WHITE: Self = Self([0xff, 0xff, 0xff]);

    /// A mix with another colour: `share` 0 is this one, 1 the other.
    #[must_use]
    pub fn mix(self, other: Self, share: f64) -> Self {
        Self(colour::mix(self.0, other.0, share))
    }

    /// Relative luminance, 0 black to 1 white.
    #[must_use]
    pub fn luminance(self) -> f64 {
        colour::luminance(self.0)
    }

    /// Contrast with another colour, 1 to 21.
    #[must_use]
    pub fn contrast(self, other: Self) -> f64 {
        colour::contrast(self.0, other.0)
    }

    /// The more readable of print and white upon this colour.
    #[must_use]
    pub fn print_upon(self) -> Self {
        if self.contrast(Self::WHITE) >= self.contrast(Self::INK) {
            Self::WHITE
        } else {
            Self::INK
        }
    }

    /// This colour thinned toward the paper until it is at least as light as `luminance`.
    #[must_use]
    pub fn thinned(self, luminance: f64) -> Self {
        (0..=100)
            .map(|percent| self.mix(Self::PAPER, f64::from(percent) / 100.0))
            .find(|mixed| mixed.luminance() >= luminance)
            .unwrap_or(Self::PAPER)
    }

    /// This colour deepened toward black until it is no lighter than `luminance`.
    #[must_use]
    pub fn deepened(self, luminance: f64) -> Self {
        (0..=100)
            .map(|percent| self.mix(Self([0, 0, 0]), f64::from(percent) / 100.0))
            .find(|mixed| mixed.luminance() <= luminance)
            .unwrap_or(Self([0, 0, 0]))
    }
}

impl fmt::Display for Colour {
    /// As SVG and TOML write it: `#2b2430`.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&colour::hex(self.0))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_thinned_yarn_is_as_light_as_asked_and_a_light_one_stays() {
        let pine = Colour([0x1e, 0x3d, 0x2f]);
        assert!(pine.thinned(0.6).luminance() >= 0.6);
        assert_eq!(Colour::WHITE.thinned(0.6), Colour::WHITE);
    }

    #[test]
    fn print_is_white_on_dark_yarn_and_ink_on_light_yarn() {
        assert_eq!(Colour([0x2b, 0x24, 0x30]).print_upon(), Colour::WHITE);
        assert_eq!(Colour([0xf2, 0xd0, 0x4a]).print_upon(), Colour::INK);
    }
}
