//! Feet: a length and a circumference, and what the one tells of the other.

/// Lengths of adults' feet among which the ratio of ball to length was measured, mm: the shortest
/// women but for one in a hundred, the longest men but for one in a hundred.
pub const ADULT_LENGTH_MM: (f64, f64) = (219.0, 302.0);

/// The same for the circumference of the ball, mm.
pub const ADULT_AROUND_MM: (f64, f64) = (203.0, 284.0);

/// Circumference of the ball by the length of the foot: mean of 4082 men 0.930, of 1986 women
/// 0.927. Of twenty feet of one length, one is 7 % wider or narrower on each side.
///
/// Source: ANSUR II, the anthropometric survey of 2012, NATICK/TR-15/007; worked out from its
/// columns `balloffootcircumference` and `footlength`. Adults only.
const AROUND_BY_LENGTH: f64 = 0.93;

/// A foot as it is measured standing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Foot {
    /// From the back of the heel to the longest toe, mm.
    pub length_mm: f64,
    /// Around the ball, mm.
    pub around_mm: f64,
}

impl Foot {
    /// A foot of which only the length is known; `None` where no adult's foot was measured.
    #[must_use]
    pub fn of_adult_length(length_mm: f64) -> Option<Self> {
        let (least, most) = ADULT_LENGTH_MM;
        (least..=most).contains(&length_mm).then_some(Self {
            length_mm,
            around_mm: AROUND_BY_LENGTH * length_mm,
        })
    }

    /// A foot of which only the circumference is known; `None` where no adult's was measured.
    #[must_use]
    pub fn of_adult_around(around_mm: f64) -> Option<Self> {
        let (least, most) = ADULT_AROUND_MM;
        (least..=most).contains(&around_mm).then_some(Self {
            length_mm: around_mm / AROUND_BY_LENGTH,
            around_mm,
        })
    }

    /// The size it is named by: its length in mm to the nearest 5, without a unit.
    ///
    /// Source: Mondopoint, ISO 9407, with intervals of 5 mm.
    #[must_use]
    pub fn size(self) -> f64 {
        5.0 * (self.length_mm / 5.0).round()
    }
}
