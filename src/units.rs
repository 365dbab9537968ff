//! Lengths and what makers count over them. Everything inside the program is in millimetres;
//! this is the one place that knows 25.4 and "per 10 cm".

/// Millimetres in an inch, exact since 1959.
pub const MM_PER_INCH: f64 = 25.4;

/// Points in an inch, as PDF counts (ISO 32000-1, 8.3.2.3: a unit of user space is 1/72 inch).
pub const POINTS_PER_INCH: f64 = 72.0;

/// Millimetres in a centimetre.
pub const MM_PER_CM: f64 = 10.0;

/// Millimetres from inches.
#[must_use]
pub fn inches(value: f64) -> f64 {
    value * MM_PER_INCH
}

/// Millimetres from centimetres.
#[must_use]
pub fn centimetres(value: f64) -> f64 {
    value * MM_PER_CM
}

/// Points of PDF from millimetres.
#[must_use]
pub fn points(mm: f64) -> f64 {
    mm / MM_PER_INCH * POINTS_PER_INCH
}

/// Width in mm of one wrap of yarn wound on a ruler, from wraps per inch.
#[must_use]
pub fn wrap_width_mm(wraps_per_inch: f64) -> f64 {
    MM_PER_INCH / wraps_per_inch
}

/// Which ruler the maker reads. Files and the model stay in mm; this is for what is shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Ruler {
    /// Centimetres and millimetres.
    #[default]
    Metric,
    /// Inches, to the nearest eighth where a tape is used.
    Inch,
}

impl Ruler {
    /// A length as a maker would read it off a tape: `3.2 cm`, or inches to an eighth.
    #[must_use]
    pub fn tape(self, mm: f64) -> String {
        match self {
            Self::Metric => format!("{} cm", places(mm / MM_PER_CM, 1)),
            Self::Inch => format!("{} in", eighths(mm / MM_PER_INCH)),
        }
    }

    /// A small length (a strand, a difference): `12.4 mm`, or `0.49 in`.
    #[must_use]
    pub fn small(self, mm: f64) -> String {
        match self {
            Self::Metric => format!("{} mm", places(mm, 1)),
            Self::Inch => format!("{} in", places(mm / MM_PER_INCH, 2)),
        }
    }

    /// What yarn is measured in, mm, and its sign: a metre, or a yard.
    #[must_use]
    pub fn yarn_unit(self) -> (f64, &'static str) {
        match self {
            Self::Metric => (1000.0, "m"),
            Self::Inch => (36.0 * MM_PER_INCH, "yd"),
        }
    }

    /// A length of yarn: `3.4 m`, or `3.7 yd`.
    #[must_use]
    pub fn yarn(self, mm: f64) -> String {
        let (length, unit) = self.yarn_unit();
        format!("{:.1} {unit}", mm / length)
    }
}

/// A number with so many decimals; nothing is ever shown as minus zero.
fn places(value: f64, decimals: usize) -> String {
    let text = format!("{value:.decimals$}");
    match text.strip_prefix('-') {
        Some(digits) if digits.chars().all(|c| matches!(c, '0' | '.')) => digits.to_owned(),
        _ => text,
    }
}

/// Inches to the nearest eighth: `2 3/8`.
fn eighths(inches: f64) -> String {
    let total = (inches.abs() * 8.0).round();
    let sign = if inches < 0.0 && total > 0.0 { "-" } else { "" };
    let whole = (total / 8.0).floor();
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a whole number from 0 to 7"
    )]
    let part = (total - 8.0 * whole) as usize;
    let fraction = ["", "1/8", "1/4", "3/8", "1/2", "5/8", "3/4", "7/8"][part.min(7)];
    match (whole > 0.0, fraction.is_empty()) {
        (_, true) => format!("{sign}{whole:.0}"),
        (true, false) => format!("{sign}{whole:.0} {fraction}"),
        (false, false) => format!("{sign}{fraction}"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_tape_is_read_in_eighths() {
        assert_eq!(Ruler::Inch.tape(inches(2.375)), "2 3/8 in");
        assert_eq!(Ruler::Inch.tape(inches(0.49)), "1/2 in");
        assert_eq!(Ruler::Inch.tape(inches(1.99)), "2 in");
        assert_eq!(Ruler::Inch.tape(inches(-0.0625)), "-1/8 in");
        assert_eq!(Ruler::Inch.tape(inches(-0.05)), "0 in");
    }

    #[test]
    fn a_length_that_rounds_to_nothing_has_no_sign() {
        assert_eq!(Ruler::Metric.tape(-0.2), "0.0 cm");
        assert_eq!(Ruler::Metric.small(-0.04), "0.0 mm");
        assert_eq!(Ruler::Inch.small(-0.04), "0.00 in");
        assert_eq!(Ruler::Metric.small(-0.06), "-0.1 mm");
    }
}
