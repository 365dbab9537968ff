//! Whether the pieces of a set are of a kind: which read, which stand out.

use super::Sewn;

/// Match of a fill from which it reads: judged by eye on every bundled face on the example
/// slippers, no fill under it did.
pub const READS: f64 = 0.6;

/// Fewest pieces of which one can stand out.
const FEWEST: usize = 4;

/// Median absolute deviations from the median beyond which a figure stands out. With the factor
/// 1.4826, which makes the deviation that of a normal distribution, this is the usual 3.5.
pub const MAD_TIMES: f64 = 3.5;

/// From the median absolute deviation to the standard deviation of a normal distribution: 1 over
/// its 0.75 quantile.
const NORMAL: f64 = 1.4826;

/// A match nearer the median than this does not stand out, however much alike the others are.
pub const MATCH_FLOOR: f64 = 0.08;

/// The same of yarn over area, as a share of the median.
pub const YARN_FLOOR: f64 = 0.25;

/// A figure of several pieces that stands out.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Group {
    /// Median of all.
    pub median: f64,
    /// How far from it a figure may lie.
    pub allowed: f64,
}

impl Group {
    /// The spread of some figures: `max(3.5 * 1.4826 MAD, floor(median))`; `None` for fewer than
    /// four, of which none can be said to stand out.
    #[must_use]
    pub fn of(figures: &[f64], floor: impl Fn(f64) -> f64) -> Option<Self> {
        if figures.len() < FEWEST {
            return None;
        }
        let median = median(figures);
        let off: Vec<f64> = figures.iter().map(|x| (x - median).abs()).collect();
        let allowed = (MAD_TIMES * NORMAL * self::median(&off)).max(floor(median));
        Some(Self { median, allowed })
    }
}

/// The figures that stand out of their group, by index, with the group.
#[must_use]
pub fn outliers(figures: &[f64], floor: impl Fn(f64) -> f64) -> Vec<(usize, Group)> {
    let Some(group) = Group::of(figures, floor) else {
        return Vec::new();
    };
    let far = |x: f64| (x - group.median).abs() > group.allowed;
    let found = figures.iter().enumerate().filter(|&(_, &x)| far(x));
    found.map(|(index, _)| (index, group)).collect()
}

/// Whether a piece reads: no problem, and every fill matches its shape by [`READS`] or more.
#[must_use]
pub fn reads(sewn: &Sewn) -> bool {
    let covered = |f: &super::SewnFeature| !f.filled || f.match_share >= READS;
    !sewn.has_problem() && sewn.features.iter().all(covered)
}

/// Median; the mean of the middle two of an even number. 0 of none.
fn median(figures: &[f64]) -> f64 {
    let mut sorted = figures.to_vec();
    sorted.sort_by(f64::total_cmp);
    let middle = sorted.len() / 2;
    match sorted.len() {
        0 => 0.0,
        odd if odd % 2 == 1 => sorted[middle],
        _ => f64::midpoint(sorted[middle - 1], sorted[middle]),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;

    #[test]
    fn one_far_from_the_rest_stands_out_and_a_floor_keeps_small_differences_quiet() {
        // Worked out: median 0.91, deviations 0.01, 0, 0.01, 0.02, 0.41, of which the median is
        // 0.01: 3.5 * 1.4826 * 0.01 = 0.052.
        let figures = [0.90, 0.91, 0.92, 0.93, 0.50];
        let group = Group::of(&figures, |_| 0.0).unwrap();
        assert_abs_diff_eq!(group.median, 0.91, epsilon = 1e-12);
        assert_abs_diff_eq!(group.allowed, 0.051_891, epsilon = 1e-9);
        let found: Vec<usize> = outliers(&figures, |_| 0.08).iter().map(|o| o.0).collect();
        assert_eq!(found, [4]);
        assert!(outliers(&figures, |_| 0.5).is_empty());
        assert!(outliers(&figures[2..], |_| 0.0).is_empty());
    }
}
