//! The page of a feature cut into lines across the direction of its strands.
//!
//! On a line each strand is an interval, and what the strands cover is a union of intervals. The
//! lines lie `pitch` apart and stand for the strips round them; along a line nothing is rounded
//! but where the outline, or unevenness, changes within a step.

use kurbo::{Affine, BezPath, Point, Rect};

use crate::weave::candidate::Fold;
use crate::weave::footprint::Footprint;
use crate::weave::sample::edges;
use crate::weave::score;

/// Lines across the direction, cut into steps.
#[derive(Debug)]
pub(super) struct Page {
    /// From the instep frame to steps across the direction (x) and lines along it (y); strip i
    /// lies at y from i to i + 1.
    map: Affine,
    /// Width of a strip and length of a step, mm.
    pub(super) pitch: f64,
    pub(super) step: f64,
    pub(super) lines: usize,
    /// Steps of a line.
    pub(super) steps: usize,
    /// Share of each step inside the outline, line by line.
    inside: Vec<f64>,
    /// Its sums along each line, steps and one.
    sums: Vec<f64>,
    /// What of each line is on the page, in steps: a page folded at the centre line has only its
    /// right half.
    kept: Vec<(f64, f64)>,
    folded: bool,
}

impl Page {
    /// A page that holds `area` (mm), for strands in a direction.
    pub(super) fn new(
        outline: &BezPath,
        fold: Fold,
        direction_deg: f64,
        area: Rect,
        (pitch, step): (f64, f64),
    ) -> Self {
        // The page's y runs down: a direction of d degrees lies at -d for `Affine::rotate`.
        let upright = Affine::rotate((direction_deg - 90.0).to_radians());
        let turned = upright.transform_rect_bbox(area);
        let map = Affine::scale_non_uniform(1.0 / step, 1.0 / pitch)
            * Affine::translate((-turned.x0, -turned.y0))
            * upright;
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "a count, not negative"
        )]
        let count = |length: f64| length.ceil() as usize + 1;
        let (lines, steps) = (count(turned.height() / pitch), count(turned.width() / step));
        let mut page = Self {
            map,
            pitch,
            step,
            lines,
            steps,
            inside: vec![0.0; lines * steps],
            sums: vec![0.0; lines * (steps + 1)],
            kept: vec![(0.0, steps as f64); lines],
            folded: fold == Fold::Centre,
        };
        page.draw(outline);
        page.sum_up();
        if fold == Fold::Centre {
            page.fold();
        }
        page
    }

    /// Whether only the right half is on the page.
    pub(super) fn is_folded(&self) -> bool {
        self.folded
    }

    /// Area of a step, mm2.
    pub(super) fn step_mm2(&self) -> f64 {
        self.pitch * self.step
    }

    /// What a step is worth when it is covered, mm2.
    pub(super) fn worth(&self, line: usize) -> impl Iterator<Item = f64> {
        let size = self.step_mm2();
        self.inside[line * self.steps..][..self.steps]
            .iter()
            .map(move |share| size * (2.0 * share - 1.0 + score::DOUBLED))
    }

    fn draw(&mut self, outline: &BezPath) {
        let edges = edges(&(self.map * outline));
        let mut crossings = Vec::new();
        for line in 0..self.lines {
            let steps = &mut self.inside[line * self.steps..][..self.steps];
            for part in 0..PARTS {
                let y = line as f64 + (f64::from(part) + 0.5) / f64::from(PARTS);
                crossings.clear();
                for &(a, b) in &edges {
                    if (a.y <= y) != (b.y <= y) {
                        crossings.push(a.x + (y - a.y) / (b.y - a.y) * (b.x - a.x));
                    }
                }
                crossings.sort_by(f64::total_cmp);
                for pair in crossings.chunks_exact(2) {
                    cover(steps, pair[0], pair[1], 1.0 / f64::from(PARTS));
                }
            }
        }
    }

    /// Leaves of each line what lies right of the centre line.
    fn fold(&mut self) {
        let back = self.map.inverse();
        for (line, kept) in self.kept.iter_mut().enumerate() {
            let [from, to] = [kept.0, kept.1].map(|x| (back * Point::new(x, line as f64 + 0.5)).x);
            let centre = kept.0 + (kept.1 - kept.0) * (0.0 - from) / (to - from);
            let nearly_level = (to - from).abs() < 1e-6 * self.step;
            *kept = match (from > 0.0, to > 0.0) {
                (true, true) => *kept,
                _ if nearly_level => (0.0, 0.0),
                (false, false) => (0.0, 0.0),
                (true, false) => (kept.0, centre),
                (false, true) => (centre, kept.1),
            };
        }
    }

    /// The strips that a bar between two needle points lies on, and from where to where, in steps.
    /// Where only a part of a strip is covered the stretch is so much shorter: begun at the left
    /// at one end of the bar, at the right at the other, so that strands end to end cover side by
    /// side what they share.
    pub(super) fn crossed(&self, ends: [Point; 2], width: f64) -> Vec<(usize, f64, f64)> {
        // Footprints stay round where steps are as long as strips are wide.
        let even = Affine::scale_non_uniform(self.step / self.pitch, 1.0) * self.map;
        let [mut a, mut b] = ends.map(|end| even * end);
        if a.y > b.y {
            (a, b) = (b, a);
        }
        let (width, run) = (width / self.pitch, b - a);
        let (length, radius) = (run.hypot(), width / 2.0);
        let bar = Footprint::new(a, b, width);
        // Between these the edges run straight, the middle along the line from end to end.
        let round = radius * (run.y + run.x.abs()) / length;
        let straight = (a.y + round, b.y - round);
        let (slope, half) = (run.x / run.y, radius * length / run.y);
        let (low, high) = bar.y_range();
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "clamped to the lines"
        )]
        let at = |y: f64| y.clamp(0.0, self.lines as f64) as usize;
        let stretch = self.pitch / self.step;
        let mut found = Vec::with_capacity(at(high.ceil()) - at(low));
        for line in at(low)..at(high.ceil()) {
            let y = line as f64;
            let span = if straight.0 <= y && y + 1.0 <= straight.1 {
                let middle = a.x + (y + 0.5 - a.y) * slope;
                Some((middle - half, middle + half))
            } else {
                parts(&bar, y, 2.0 * y + 1.0 < low + high)
            };
            let kept = self.kept[line];
            if let Some((from, to)) = span {
                let (from, to) = ((from * stretch).max(kept.0), (to * stretch).min(kept.1));
                if from < to {
                    found.push((line, from, to));
                }
            }
        }
        found
    }

    fn sum_up(&mut self) {
        let lines = self.inside.chunks_exact(self.steps);
        for (inside, sums) in lines.zip(self.sums.chunks_exact_mut(self.steps + 1)) {
            for (step, share) in inside.iter().enumerate() {
                sums[step + 1] = sums[step] + share;
            }
        }
    }

    /// Area inside the outline of a stretch of a line, mm2.
    #[inline]
    pub(super) fn inside_mm2(&self, line: usize, from: f64, to: f64) -> f64 {
        let sums = &self.sums[line * (self.steps + 1)..][..=self.steps];
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "a place on the line, not negative"
        )]
        let sum_to = |place: f64| {
            let step = (place as usize).min(self.steps - 1);
            sums[step] + (place - step as f64) * (sums[step + 1] - sums[step])
        };
        (sum_to(to) - sum_to(from)) * self.step_mm2()
    }
}

/// The stretch of a strip as long as the mean of a bar's there.
fn parts(bar: &Footprint, y: f64, left: bool) -> Option<(f64, f64)> {
    let spans = bar.spans();
    let (mut from, mut to, mut length) = (f64::INFINITY, f64::NEG_INFINITY, 0.0);
    for part in 0..PARTS {
        let share = (f64::from(part) + 0.5) / f64::from(PARTS);
        let span = spans.at(y + share);
        if span.0 < span.1 {
            (from, to) = (from.min(span.0), to.max(span.1));
            length += (span.1 - span.0) / f64::from(PARTS);
        }
    }
    if length == 0.0 {
        return None;
    }
    Some(if left {
        (from, from + length)
    } else {
        (to - length, to)
    })
}

/// Lines by which a part of a strip is measured.
const PARTS: u32 = 6;

/// Goes through the steps of a stretch, with the share of each that it takes.
pub(super) fn each_step(from: f64, to: f64, mut each: impl FnMut(usize, f64)) {
    if to <= from {
        return;
    }
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a place on the line, not negative"
    )]
    let (first, last) = (from as usize, (to.ceil() as usize).saturating_sub(1));
    for step in first..=last {
        let (low, high) = (step as f64, step as f64 + 1.0);
        each(step, to.min(high) - from.max(low));
    }
}

/// Adds to the steps of a stretch what share of each it takes.
pub(super) fn cover(steps: &mut [f64], from: f64, to: f64, by: f64) {
    let last = steps.len() as f64;
    let (from, to) = (from.clamp(0.0, last), to.clamp(0.0, last));
    each_step(from, to, |step, share| steps[step] += by * share);
}
