//! What a search is given: the candidates, what each covers and costs, and which are alike.

use std::sync::OnceLock;

use kurbo::{Point, Vec2};

use crate::weave::candidate::Pairing;
use crate::weave::canvas::Strand;

/// A feature's candidates and what limits them.
#[derive(Debug)]
pub(in crate::weave) struct Problem {
    /// Where each candidate lies.
    pub(in crate::weave) pairings: Vec<Pairing>,
    /// The same, ready to be compared.
    pub(super) lies: Vec<Lie>,
    /// What each covers and costs, in the same order.
    pub(in crate::weave) strands: Vec<Strand>,
    pub(super) kin: Kin,
    /// Free strand ends by needle point, in the order of the instep's points.
    pub(super) free: Vec<u32>,
    /// Width of the thread, mm.
    pub(in crate::weave) width: f64,
    /// Area of a sample, mm2.
    pub(in crate::weave) sample_mm2: f64,
}

/// Candidates that are much like another, worked out when first asked for.
#[derive(Debug)]
pub(super) struct Kin {
    /// Candidates by the x of their middles.
    by_x: Vec<(f64, u32)>,
    near: Vec<OnceLock<Vec<u32>>>,
    twin: Vec<OnceLock<Option<u32>>>,
    pub(super) twins: bool,
}

/// Candidates counted as near a strand.
const NEAR: usize = 32;
/// How far the ends of two strands that are much alike may lie apart in all, in widths.
const NEAR_WIDTHS: f64 = 4.0;

impl Kin {
    fn new(pairings: &[Pairing]) -> Self {
        let mut by_x: Vec<(f64, u32)> = pairings.iter().map(|p| p.middle().x).zip(0..).collect();
        by_x.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        Self {
            by_x,
            near: vec![OnceLock::new(); pairings.len()],
            twin: vec![OnceLock::new(); pairings.len()],
            twins: pairings.iter().any(|p| p.layer == 1),
        }
    }
}

impl Problem {
    pub(in crate::weave) fn new(
        pairings: Vec<Pairing>,
        strands: Vec<Strand>,
        free: Vec<u32>,
        width: f64,
        sample_mm2: f64,
    ) -> Self {
        Self {
            lies: pairings.iter().map(Lie::new).collect(),
            kin: Kin::new(&pairings),
            pairings,
            strands,
            free,
            width,
            sample_mm2,
        }
    }

    /// The candidates of the same side nearest to one, the nearest first.
    pub(super) fn near(&self, strand: u32) -> &[u32] {
        self.kin.near[strand as usize].get_or_init(|| self.nearest(strand, 0, NEAR))
    }

    /// The candidate of the other side nearest to one's mirror image.
    pub(super) fn twin(&self, strand: u32) -> Option<u32> {
        *self.kin.twin[strand as usize].get_or_init(|| self.nearest(strand, 1, 1).first().copied())
    }

    /// Candidates by how far their ends lie from those of one strand, on its own layer (0) or the
    /// other (1).
    fn nearest(&self, strand: u32, other: usize, count: usize) -> Vec<u32> {
        let this = &self.pairings[strand as usize];
        let reach = NEAR_WIDTHS * self.width;
        // Ends that lie `reach` apart in all have middles at most half of that apart.
        let x = this.middle().x;
        let from = self.kin.by_x.partition_point(|at| at.0 < x - reach / 2.0);
        let mut found: Vec<(f64, u32)> = self.kin.by_x[from..]
            .iter()
            .take_while(|at| at.0 <= x + reach / 2.0)
            .map(|&(_, index)| (index, &self.pairings[index as usize]))
            .filter(|&(index, that)| index != strand && that.layer == this.layer ^ other)
            .filter(|(_, that)| (that.middle() - this.middle()).hypot2() < reach * reach / 4.0)
            .filter_map(|(index, that)| {
                let distance = that.apart(&this.at);
                (distance < reach).then_some((distance, index))
            })
            .collect();
        let nearer = |a: &(f64, u32), b: &(f64, u32)| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1));
        if found.len() > count {
            found.select_nth_unstable_by(count, nearer);
            found.truncate(count);
        }
        found.sort_by(nearer);
        found.into_iter().map(|(_, index)| index).collect()
    }
}

/// How a strand lies, in folded coordinates.
#[derive(Debug, Clone, Copy)]
pub(super) struct Lie {
    middle: Point,
    /// Unit vector along the strand.
    along: Vec2,
    length: f64,
    layer: usize,
}

impl Lie {
    fn new(pairing: &Pairing) -> Self {
        let length = pairing.length();
        Self {
            middle: pairing.middle(),
            along: (pairing.at[1] - pairing.at[0]) / length,
            length,
            layer: pairing.layer,
        }
    }

    /// About how much of the shorter of two strands lies on the other, 0 to 1, as if they ran
    /// side by side. Only to rank what is in the way.
    pub(super) fn overlap(&self, other: &Self, width: f64) -> f64 {
        let between = other.middle - self.middle;
        let half = (self.length + other.length) / 2.0;
        if self.layer != other.layer || between.hypot2() > half * half {
            return 0.0;
        }
        let beside = between.cross(self.along).abs();
        let shorter = self.length.min(other.length);
        let shared = (half - between.dot(self.along).abs()).clamp(0.0, shorter);
        (1.0 - beside / width).max(0.0) * shared / shorter
    }
}
