//! Places and directions in space, for the slipper as it is worn.

use std::ops::{Add, Mul, Neg, Sub};

/// A place or a direction, mm: `x` to the right as in the instep frame, `y` along the foot toward
/// the toe, `z` up from the middle of the foot.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Space {
    /// To the right, as one looks at the instep with the toe down the page.
    pub x: f64,
    /// Toward the toe.
    pub y: f64,
    /// Up, away from the sole.
    pub z: f64,
}

impl Space {
    /// From its three parts.
    #[must_use]
    pub const fn new(x: f64, y: f64, z: f64) -> Self {
        Self { x, y, z }
    }

    /// Inner product: length times length times the cosine between.
    #[must_use]
    pub fn dot(self, other: Self) -> f64 {
        self.x * other.x + self.y * other.y + self.z * other.z
    }

    /// Outer product, at right angles to both by the right-hand rule.
    #[must_use]
    pub fn cross(self, other: Self) -> Self {
        Self {
            x: self.y * other.z - self.z * other.y,
            y: self.z * other.x - self.x * other.z,
            z: self.x * other.y - self.y * other.x,
        }
    }

    /// Length.
    #[must_use]
    pub fn length(self) -> f64 {
        self.dot(self).sqrt()
    }

    /// The same direction with length 1; nothing stays nothing.
    #[must_use]
    pub fn unit(self) -> Self {
        self * (1.0 / self.length().max(f64::MIN_POSITIVE))
    }
}

impl Add for Space {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self::new(self.x + other.x, self.y + other.y, self.z + other.z)
    }
}

impl Sub for Space {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        self + -other
    }
}

impl Neg for Space {
    type Output = Self;
    fn neg(self) -> Self {
        self * -1.0
    }
}

impl Mul<f64> for Space {
    type Output = Self;
    fn mul(self, factor: f64) -> Self {
        Self::new(self.x * factor, self.y * factor, self.z * factor)
    }
}
