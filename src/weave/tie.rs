//! Ties: long strands held down by short stitches across them, as in couching.
//!
//! A strand longer than the longest free stretch is tied at even intervals. In every second row
//! the ties stand half an interval on, as bricks do in a wall, so that they make no line.

use kurbo::Point;

use super::settings::{ROUNDED_MM, Settings};
use super::thread::Unsewn;
use crate::fabric::{Instep, Placed};

/// Intervals wanted, as a share of the longest: needle points lie where they lie, and no stretch
/// may come out longer.
const INTERVAL: f64 = 0.85;
/// Strands whose middles lie apart by less than this share of a width are of one row.
const ONE_ROW: f64 = 0.3;
/// Price of a tie's length, and of a pierced needle point, in mm off its place.
const LONG: f64 = 0.8;
const PIERCED_MM: f64 = 0.5;

/// What ties are sought for.
#[derive(Debug)]
pub(super) struct TiesWanted<'a> {
    pub(super) instep: &'a Instep,
    pub(super) settings: &'a Settings,
    /// Width of the thread, mm.
    pub(super) width: f64,
    /// Free strand ends by needle point; ties take theirs.
    pub(super) free: &'a mut [u32],
}

impl TiesWanted<'_> {
    /// Ties for some strands, each with the place in the list of the strand it ties down; `level`
    /// tells where a place lies across their direction, mm.
    pub(super) fn ties(
        &mut self,
        strands: &[Unsewn],
        level: impl Fn(Point) -> f64,
    ) -> Vec<(Unsewn, usize)> {
        let across = |strand: &Unsewn| level(strand.up.at.midpoint(strand.down.at));
        let mut long: Vec<(f64, usize)> = strands
            .iter()
            .enumerate()
            .filter(|(_, strand)| length(strand) > self.settings.longest_mm + ROUNDED_MM)
            .map(|(at, strand)| (across(strand), at))
            .collect();
        long.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        let mut ties = Vec::new();
        let (mut odd, mut row) = (true, f64::NEG_INFINITY);
        for (lies, at) in long {
            if lies - row > ONE_ROW * self.width {
                (odd, row) = (!odd, lies);
            }
            let of_strand = self.across(&strands[at], odd);
            ties.extend(of_strand.into_iter().map(|tie| (tie, at)));
        }
        ties
    }

    /// The ties of one strand.
    fn across(&mut self, strand: &Unsewn, odd: bool) -> Vec<Unsewn> {
        let longest = self.settings.longest_mm;
        let whole = length(strand);
        let mut ties = Vec::new();
        let (mut last, mut wanted) = (0.0, places(whole, INTERVAL * longest, odd).into_iter());
        while let Some(at) = wanted.next() {
            let rest = wanted.len() as f64;
            // Far enough on that what comes after can reach the end.
            let from = f64::max(last, whole - (rest + 1.0) * longest);
            let Some((tie, lies)) = self.nearest(strand, at, (from, last + longest)) else {
                continue;
            };
            for end in [&tie.up, &tie.down] {
                if let Some(hole) = self.instep.index_of(end.point) {
                    self.free[hole] -= 1;
                }
            }
            last = lies;
            ties.push(tie);
        }
        ties
    }

    /// The tie across a strand nearest to a place along it, mm, and where it lies.
    fn nearest(
        &self,
        strand: &Unsewn,
        wanted: f64,
        (from, to): (f64, f64),
    ) -> Option<(Unsewn, f64)> {
        let along = (strand.down.at - strand.up.at) / length(strand);
        let local = |at: Point| {
            let off = at - strand.up.at;
            (off.dot(along), off.cross(along))
        };
        let reach = self.width / 2.0 + self.instep.stitch_mm().max(self.instep.row_mm()) / 2.0;
        let points = self.instep.points().iter().zip(&*self.free);
        let near: Vec<(Placed, (f64, f64))> = points
            .filter(|(placed, free)| **free > 0 && self.settings.allows(placed.point))
            .map(|(placed, _)| (*placed, local(placed.at)))
            .filter(|(_, (s, off))| off.abs() <= reach && (s - wanted).abs() <= 2.0 * reach)
            .collect();
        let mut best: Option<(f64, Unsewn, f64)> = None;
        for &(up, (up_s, up_off)) in near.iter().filter(|(_, (_, off))| *off < -1e-6) {
            for &(down, (down_s, down_off)) in near.iter().filter(|(_, (_, off))| *off > 1e-6) {
                let lies = up_s + (down_s - up_s) * up_off / (up_off - down_off);
                if lies <= from || lies > to {
                    continue;
                }
                let tie = Unsewn { up, down };
                let off = (lies - wanted).abs()
                    + LONG * up.at.distance(down.at)
                    + PIERCED_MM * f64::from(tie.pierced());
                if best.as_ref().is_none_or(|best| off < best.0) {
                    best = Some((off, tie, lies));
                }
            }
        }
        best.map(|(_, tie, lies)| (tie, lies))
    }
}

fn length(strand: &Unsewn) -> f64 {
    strand.up.at.distance(strand.down.at)
}

/// Where the ties of a strand are wanted, mm along it: at whole intervals, or (`odd`) at halves,
/// where the first is left out if the interval allows it.
fn places(whole: f64, interval: f64, odd: bool) -> Vec<f64> {
    let mut parts = 1.0;
    while whole / parts > interval {
        parts += 1.0;
    }
    let step = whole / parts;
    let mut places = Vec::new();
    let mut at = if odd { step / 2.0 } else { step };
    while at < whole - step / 4.0 {
        places.push(at);
        at += step;
    }
    if odd && 1.5 * step <= interval {
        places.remove(0);
    }
    places
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 60 mm at most 20 apart: two ties; in the next row three, half an interval off.
    #[test]
    fn ties_stand_like_bricks() {
        assert_eq!(places(60.0, 20.0, false), [20.0, 40.0]);
        assert_eq!(places(60.0, 20.0, true), [10.0, 30.0, 50.0]);
        assert_eq!(places(30.0, 20.0, false), [15.0]);
        assert_eq!(places(30.0, 20.0, true), [7.5, 22.5]);
        assert_eq!(places(21.0, 20.0, true), [15.75]);
        assert_eq!(places(30.0, 15.0, true), [7.5, 22.5]);
        // Three parts of 10 mm; without the first tie 15 mm would lie free.
        assert_eq!(places(30.0, 14.9, true), [5.0, 15.0, 25.0]);
    }
}
