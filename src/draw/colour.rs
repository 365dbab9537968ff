//! Colours, and how light they look.

use std::fmt;

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
        let blend = |index: usize| {
            let (a, b) = (f64::from(self.0[index]), f64::from(other.0[index]));
            byte(a + (b - a) * share.clamp(0.0, 1.0))
        };
        Self([blend(0), blend(1), blend(2)])
    }

    /// Relative luminance, 0 black to 1 white (W3C WCAG 2.2, "relative luminance").
    #[must_use]
    pub fn luminance(self) -> f64 {
        let linear = |value: u8| {
            let share = f64::from(value) / 255.0;
            if share <= 0.04045 {
                share / 12.92
            } else {
                ((share + 0.055) / 1.055).powf(2.4)
            }
        };
        0.2126 * linear(self.0[0]) + 0.7152 * linear(self.0[1]) + 0.0722 * linear(self.0[2])
    }

    /// Contrast with another colour, 1 to 21 (W3C WCAG 2.2, "contrast ratio").
    #[must_use]
    pub fn contrast(self, other: Self) -> f64 {
        let (a, b) = (self.luminance() + 0.05, other.luminance() + 0.05);
        (a / b).max(b / a)
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
        let [red, green, blue] = self.0;
        write!(f, "#{red:02x}{green:02x}{blue:02x}")
    }
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "clamped to a byte"
)]
fn byte(value: f64) -> u8 {
    value.round().clamp(0.0, 255.0) as u8
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;

    #[test]
    fn contrast_of_black_and_white_is_21() {
        // W3C WCAG 2.2, "contrast ratio": "can range from 1 to 21".
        let black = Colour([0, 0, 0]);
        assert_abs_diff_eq!(black.contrast(Colour::WHITE), 21.0, epsilon = 1e-9);
        assert_abs_diff_eq!(black.contrast(black), 1.0, epsilon = 1e-12);
    }

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
