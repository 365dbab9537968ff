//! What a good filling is: the score of a feature, and what unevenness costs.
//!
//! For an outline `T` and strands with footprints `S_i`, union `U`, in mm2:
//!
//! ```text
//! score = area(U in T) - area(U outside T) - 0.35 (sum area(S_i) - area(U))
//!         - sum_i (0.50 t^2 + 0.10 t^2 p_i + 0.25 area(S_i) (delta_i / spread)^2)
//! ```
//!
//! with `t` the thread's width, `p_i` the ends of strand i that pierce yarn, `delta_i` the angle
//! between the strand and the feature's direction. The two sides of a pair are judged together,
//! less `0.4 area(U_left xor mirror(U_right))`; a centred feature less
//! `0.2 area(U xor mirror(U))`, which is the same 0.4 on the two folded halves.

use kurbo::Point;

use super::ink::Ink;
use super::plan::Measure;
use super::sample::{SampleGrid, count, count_both};

/// Price of a place covered again. Smaller, and strands pile up where they are short of room;
/// larger, and gaps open between strands that could just overlap.
pub(super) const DOUBLED: f64 = 0.35;
/// Price of a strand, in `t^2`. Without it the best filling is a scatter of dots.
const STRAND: f64 = 0.50;
/// Price of an end that pierces yarn, in `t^2`.
const PIERCED: f64 = 0.10;
/// Price of leaving the direction by the whole spread, in footprint area. Without it the best
/// filling fans and zigzags.
const ASKEW: f64 = 0.25;
/// Price of a place that is covered on one side and not at its mirror image, per side.
pub(super) const UNEVEN: f64 = 0.4;

/// What a strand costs whatever it covers, mm2. `askew` is its angle to the direction over the
/// spread, 0 to 1.
pub(super) fn price(width: f64, area: f64, pierced_ends: u32, askew: f64) -> f64 {
    width * width * (STRAND + PIERCED * f64::from(pierced_ends)) + ASKEW * area * askew * askew
}

/// Angle between two directions of strands, degrees, 0 to 90.
pub(super) fn angle_between(a_deg: f64, b_deg: f64) -> f64 {
    let turn = (a_deg - b_deg).abs();
    let turn = if turn < 180.0 { turn } else { turn % 180.0 };
    turn.min(180.0 - turn)
}

/// The direction seen in a mirror at the centre line, degrees in 0..180.
pub(super) fn mirrored_deg(degrees: f64) -> f64 {
    (180.0 - degrees).rem_euclid(180.0)
}

/// Direction of a strand: degrees, 0 along the rounds, 90 toward the toe, counter-clockwise as
/// seen on the page, in 0..180: `atan2(-dy, dx)` modulo 180.
#[must_use]
pub fn direction_deg(a: Point, b: Point) -> f64 {
    let run = b - a;
    // `rem_euclid` of a tiny negative angle is 180 itself.
    let direction = (-run.y).atan2(run.x).to_degrees().rem_euclid(180.0);
    if direction >= 180.0 { 0.0 } else { direction }
}

/// What the unevenness of a filling costs, mm2: 0.4 for each mm2 that of two sides, one of them
/// mirrored onto the other, one covers alone.
pub(super) fn uneven_mm2(one: &Ink, other: &Ink, direction_deg: f64) -> f64 {
    let Some(area) = one.bounds_with(other) else {
        return 0.0;
    };
    let grid = SampleGrid::new(area, UNEVEN_PITCH_MM, direction_deg);
    let (one, other) = rayon::join(|| one.mask(&grid), || other.mask(&grid));
    let alone = count(&one) + count(&other) - 2 * count_both(&one, &other);
    UNEVEN * alone as f64 * grid.sample_mm2()
}

/// Distance between samples where two sides are compared, mm: what lies uneven are slivers too, but
/// few.
const UNEVEN_PITCH_MM: f64 = 0.04;

/// Distance between samples when a finished filling is measured, mm. Areas of overlap are slivers
/// a fraction of a millimetre wide: ten times as coarse, they come out wrong by several per cent.
const MEASURE_PITCH_MM: f64 = 0.02;

/// Measures strands against what is wanted; `prices` is the sum of what the strands cost.
pub(super) fn measure(wanted: &Ink, bars: &Ink, direction_deg: f64, prices: f64) -> Measure {
    let Some(area) = wanted.bounds_with(bars) else {
        return Measure::default();
    };
    let grid = SampleGrid::new(area, MEASURE_PITCH_MM, direction_deg);
    let (target, (cover, again)) = rayon::join(|| wanted.mask(&grid), || bars.cover(&grid));
    let mm2 = |samples: u64| samples as f64 * grid.sample_mm2();
    let (target_mm2, cover_mm2) = (mm2(count(&target)), mm2(count(&cover)));
    let inside = mm2(count_both(&target, &cover));
    let spill = cover_mm2 - inside;
    let doubled = mm2(again);
    let either = target_mm2 + spill;
    Measure {
        outline_mm2: target_mm2,
        match_share: if either > 0.0 { inside / either } else { 0.0 },
        bare_mm2: target_mm2 - inside,
        spill_mm2: spill,
        doubled_mm2: doubled,
        score_mm2: inside - spill - DOUBLED * doubled - prices,
    }
}
