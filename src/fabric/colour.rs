//! Colours of yarn, and how far two of them stand apart for the eye.

/// Red, green and blue of the standard screen space (sRGB).
pub type Rgb = [u8; 3];

/// Relative luminance, 0 black to 1 white.
///
/// Source: W3C WCAG 2.2, "relative luminance", with the threshold of 0.04045 that it corrects to
/// in its note of May 2021.
#[must_use]
pub fn luminance(colour: Rgb) -> f64 {
    let [red, green, blue] = colour.map(|value| {
        let share = f64::from(value) / 255.0;
        if share <= 0.04045 {
            share / 12.92
        } else {
            ((share + 0.055) / 1.055).powf(2.4)
        }
    });
    0.2126 * red + 0.7152 * green + 0.0722 * blue
}

/// Contrast ratio of two colours, 1 to 21, whichever is lighter (W3C WCAG 2.2, "contrast ratio").
#[must_use]
pub fn contrast(one: Rgb, other: Rgb) -> f64 {
    let (a, b) = (luminance(one) + 0.05, luminance(other) + 0.05);
    (a / b).max(b / a)
}

/// Contrast that a part of a picture needs against what is beside it (W3C WCAG 2.2, success
/// criterion 1.4.11).
pub const LEAST_CONTRAST: f64 = 3.0;

/// A mix of two colours: `share` 0 is the first, 1 the second.
#[must_use]
pub fn mix(one: Rgb, other: Rgb, share: f64) -> Rgb {
    std::array::from_fn(|index| {
        let (a, b) = (f64::from(one[index]), f64::from(other[index]));
        byte(a + (b - a) * share.clamp(0.0, 1.0))
    })
}

/// As files write it: `#2b2430`.
#[must_use]
pub fn hex(colour: Rgb) -> String {
    let [red, green, blue] = colour;
    format!("#{red:02x}{green:02x}{blue:02x}")
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "clamped to a byte"
)]
fn byte(value: f64) -> u8 {
    value.round().clamp(0.0, 255.0) as u8
}
