//! Lengths and what makers count over them. Everything inside the program is in millimetres;
//! this is the one place that knows 25.4 and "per 10 cm".

/// Millimetres in an inch, exact since 1959.
pub const MM_PER_INCH: f64 = 25.4;

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
            Self::Metric => format!("{:.1} cm", mm / MM_PER_CM),
            Self::Inch => format!("{} in", eighths(mm / MM_PER_INCH)),
        }
    }

    /// A small length (a strand, a difference): `12.4 mm`, or `0.49 in`.
    #[must_use]
    pub fn small(self, mm: f64) -> String {
        match self {
            Self::Metric => format!("{mm:.1} mm"),
            Self::Inch => format!("{:.2} in", mm / MM_PER_INCH),
        }
    }

    /// A length of yarn: `3.4 m`, or `3.7 yd`.
    #[must_use]
    pub fn yarn(self, mm: f64) -> String {
        match self {
            Self::Metric => format!("{:.1} m", mm / 1000.0),
            Self::Inch => format!("{:.1} yd", mm / (36.0 * MM_PER_INCH)),
        }
    }
}

/// Inches to the nearest eighth: `2 3/8`.
fn eighths(inches: f64) -> String {
    let sign = if inches < -1.0 / 16.0 { "-" } else { "" };
    let total = (inches.abs() * 8.0).round();
    let (whole, part) = ((total / 8.0).floor(), total % 8.0);
    let fraction = match (part.round() * 10.0) as i32 {
        0 => "",
        10 => "1/8",
        20 => "1/4",
        30 => "3/8",
        40 => "1/2",
        50 => "5/8",
        60 => "3/4",
        _ => "7/8",
    };
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
    }
}
