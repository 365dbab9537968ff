//! What covers a part of the page, whether wanted or sewn: an area, or bars of yarn.

use kurbo::{Affine, BezPath, Rect, Shape};

use super::footprint::Footprint;
use super::sample::{SampleGrid, count, count_both, edges};

/// Something that covers a part of the instep frame, mm.
#[derive(Debug, Clone)]
pub(super) enum Ink {
    /// A closed outline, even-odd.
    Area(BezPath),
    /// Footprints of strands, or the strokes of a line as it should be.
    Bars(Vec<Footprint>),
}

impl Ink {
    /// A line as wanted: its path drawn with a pen as wide as the thread.
    pub(super) fn line(path: &BezPath, width: f64) -> Self {
        let stroke = |(from, to)| Footprint::stroke(from, to, width);
        Self::Bars(edges(path).into_iter().map(stroke).collect())
    }

    /// Its mirror image across the centre line.
    pub(super) fn mirrored(&self) -> Self {
        match self {
            Self::Area(outline) => Self::Area(Affine::scale_non_uniform(-1.0, 1.0) * outline),
            Self::Bars(bars) => Self::Bars(bars.iter().map(Footprint::mirrored).collect()),
        }
    }

    /// The smallest rectangle round it; `None` for nothing at all.
    pub(super) fn bounds(&self) -> Option<Rect> {
        match self {
            Self::Area(outline) => Some(outline.bounding_box()),
            Self::Bars(bars) => bars.iter().map(Footprint::bounds).reduce(|a, b| a.union(b)),
        }
    }

    /// The smallest rectangle round it and another.
    pub(super) fn bounds_with(&self, other: &Self) -> Option<Rect> {
        let boxes = self.bounds().into_iter().chain(other.bounds());
        boxes.reduce(|a, b| a.union(b))
    }

    /// The samples it covers.
    pub(super) fn mask(&self, grid: &SampleGrid) -> Vec<u64> {
        self.cover(grid).0
    }

    /// The samples it covers, and how often samples are covered again.
    pub(super) fn cover(&self, grid: &SampleGrid) -> (Vec<u64>, u64) {
        match self {
            Self::Area(outline) => (grid.outline(outline), 0),
            Self::Bars(bars) => grid.bars(bars),
        }
    }

    /// True where it touches something else.
    pub(super) fn touches(&self, other: &Self) -> bool {
        /// Fine enough that no yarn slips between the samples, mm.
        const PITCH_MM: f64 = 0.25;
        let (Some(a), Some(b)) = (self.bounds(), other.bounds()) else {
            return false;
        };
        let both = a.intersect(b);
        if both.width() <= 0.0 || both.height() <= 0.0 {
            return false;
        }
        let grid = SampleGrid::new(both, PITCH_MM, 0.0);
        count_both(&self.mask(&grid), &other.mask(&grid)) > 0
    }

    /// True when it is its own mirror image across the centre line, to 2 % of its area.
    pub(super) fn is_its_own_mirror(&self) -> bool {
        /// Share of the area that may differ: outlines are written by hand, to whole units.
        const UNLIKE: f64 = 0.02;
        let other = self.mirrored();
        let Some(area) = self.bounds_with(&other) else {
            return false;
        };
        let pitch = area.width().max(area.height()) / 400.0;
        let grid = SampleGrid::new(area, pitch, 0.0);
        let (here, there) = (self.mask(&grid), other.mask(&grid));
        let both = count_both(&here, &there) as f64;
        let all = count(&here) as f64;
        all > 0.0 && all - both <= UNLIKE * all
    }
}
