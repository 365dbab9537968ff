//! What a search is given: the candidates, what each covers and costs, and which are alike.

use std::sync::OnceLock;

use kurbo::Point;

use crate::weave::candidate::Pairing;
use crate::weave::canvas::Strand;
use crate::weave::field::Field;

/// A feature's candidates and what limits them.
#[derive(Debug)]
pub(in crate::weave) struct Problem {
    /// Where each candidate lies.
    pub(in crate::weave) pairings: Vec<Pairing>,
    /// Its needle points.
    pub(super) ends: Vec<[u32; 2]>,
    /// How it lies.
    pub(super) lies: Vec<Lie>,
    /// Where each lies across the direction, mm; round the bends of a field.
    pub(super) levels: Vec<f64>,
    /// The longest candidate, mm.
    longest: f64,
    /// The candidates by where they lie across the mean direction, mm.
    by_across: Vec<(f64, u32)>,
    /// What each covers and costs, in the same order.
    pub(in crate::weave) strands: Vec<Strand>,
    /// True where there are candidates of both sides or halves.
    pub(super) twins: bool,
    /// Worked out when first asked for: windows do without.
    kin: OnceLock<Kin>,
    /// Free strand ends by needle point, in the order of the instep's points.
    pub(super) free: Vec<u32>,
    /// Width of the thread, mm.
    pub(in crate::weave) width: f64,
    /// Area of a sample, mm2.
    pub(in crate::weave) sample_mm2: f64,
}

/// Which candidates are much like another: those that join the same or neighbouring needle
/// points. Each list is worked out when first asked for.
#[derive(Debug)]
struct Kin {
    /// Needle points in use, by layer and place; a point of a page folded at the centre line is
    /// one on each half.
    points: Vec<Joint>,
    /// Indices into `points` of each candidate's ends.
    ends: Vec<[usize; 2]>,
    near: Vec<OnceLock<Vec<u32>>>,
    twin: Vec<OnceLock<Option<u32>>>,
}

/// A needle point with its neighbours and the candidates that end there.
#[derive(Debug)]
struct Joint {
    at: Point,
    layer: usize,
    /// Itself and the nearest others of its layer, with the distance, mm, the nearest first.
    near: OnceLock<Vec<(f64, usize)>>,
    /// The nearest of the other layer.
    opposite: OnceLock<Vec<(f64, usize)>>,
    /// Candidates by their other end.
    joins: Vec<(usize, u32)>,
}

/// Candidates counted as near a strand.
const NEAR: usize = 32;
/// Needle points counted as near another, itself among them, and opposite to it.
const NEIGHBOURS: usize = 13;
const OPPOSITE: usize = 4;

impl Kin {
    fn new(pairings: &[Pairing]) -> Self {
        let mut points: Vec<(usize, u32, Point)> = pairings
            .iter()
            .flat_map(|p| [0, 1].map(|end| (p.layer, p.ends[end], p.at[end])))
            .collect();
        let order = |a: &(usize, u32, Point), b: &(usize, u32, Point)| (a.0, a.1).cmp(&(b.0, b.1));
        points.sort_by(order);
        points.dedup_by_key(|p| (p.0, p.1));
        let find = |layer: usize, end: u32| {
            points
                .binary_search_by(|p| (p.0, p.1).cmp(&(layer, end)))
                .unwrap_or_default()
        };
        let ends: Vec<[usize; 2]> = pairings
            .iter()
            .map(|p| p.ends.map(|end| find(p.layer, end)))
            .collect();
        let mut joints: Vec<Joint> = points
            .iter()
            .map(|&(layer, _, at)| Joint {
                at,
                layer,
                near: OnceLock::new(),
                opposite: OnceLock::new(),
                joins: Vec::new(),
            })
            .collect();
        for (&[a, b], index) in ends.iter().zip(0_u32..) {
            joints[a].joins.push((b, index));
            joints[b].joins.push((a, index));
        }
        for joint in &mut joints {
            joint.joins.sort_unstable();
        }
        Self {
            points: joints,
            ends,
            near: vec![OnceLock::new(); pairings.len()],
            twin: vec![OnceLock::new(); pairings.len()],
        }
    }

    /// The needle points beside one, itself among them.
    fn near_point(&self, point: usize) -> &[(f64, usize)] {
        let Joint {
            at, layer, near, ..
        } = &self.points[point];
        near.get_or_init(|| self.nearest(*at, *layer, NEIGHBOURS))
    }

    /// Those opposite to one.
    fn opposite_point(&self, point: usize) -> &[(f64, usize)] {
        let joint = &self.points[point];
        let found = || self.nearest(joint.at, 1 - joint.layer, OPPOSITE);
        joint.opposite.get_or_init(found)
    }

    fn nearest(&self, at: Point, layer: usize, count: usize) -> Vec<(f64, usize)> {
        let mut found: Vec<(f64, usize)> = self
            .points
            .iter()
            .zip(0..)
            .filter(|(joint, _)| joint.layer == layer)
            .map(|(joint, index)| (joint.at.distance_squared(at), index))
            .collect();
        let nearer = |a: &(f64, usize), b: &(f64, usize)| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1));
        if found.len() > count {
            found.select_nth_unstable_by(count, nearer);
            found.truncate(count);
        }
        found.sort_by(nearer);
        for near in &mut found {
            near.0 = near.0.sqrt();
        }
        found
    }

    /// The candidates that join a needle point of one list with one of another, with the sum of
    /// their distances, the nearest first.
    fn joining(&self, from: &[(f64, usize)], to: &[(f64, usize)]) -> Vec<(f64, u32)> {
        let mut found = Vec::new();
        for &(out, a) in from {
            let joins = &self.points[a].joins;
            for &(off, b) in to {
                if let Ok(at) = joins.binary_search_by(|join| join.0.cmp(&b)) {
                    found.push((out + off, joins[at].1));
                }
            }
        }
        found.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        found
    }
}

impl Problem {
    pub(in crate::weave) fn new(
        pairings: Vec<Pairing>,
        strands: Vec<Strand>,
        free: Vec<u32>,
        width: f64,
        sample_mm2: f64,
        field: &Field,
    ) -> Self {
        let lies: Vec<Lie> = pairings.iter().map(|p| Lie::new(p, field)).collect();
        let levels = pairings.iter().map(|p| field.level(p.middle())).collect();
        let longest = lies.iter().map(|lie| lie.length).fold(0.0, f64::max);
        let mut by_across: Vec<(f64, u32)> = lies.iter().map(|lie| lie.across).zip(0..).collect();
        by_across.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        Self {
            ends: pairings.iter().map(|p| p.ends).collect(),
            lies,
            levels,
            longest,
            by_across,
            twins: pairings.iter().any(|p| p.layer == 1),
            kin: OnceLock::new(),
            pairings,
            strands,
            free,
            width,
            sample_mm2,
        }
    }

    /// The candidates that may touch one of some strands, in the order across.
    pub(super) fn beside(&self, strands: &[u32]) -> impl Iterator<Item = u32> {
        let lies = || strands.iter().map(|&strand| &self.lies[strand as usize]);
        let first = |lie: &Lie| lie.across - lie.reach(self.width, self.longest);
        let last = |lie: &Lie| lie.across + lie.reach(self.width, self.longest);
        let first = lies().map(first).fold(f64::INFINITY, f64::min);
        let last = lies().map(last).fold(f64::NEG_INFINITY, f64::max);
        let from = self.by_across.partition_point(|at| at.0 < first);
        let near = self.by_across[from..].iter();
        near.take_while(move |at| at.0 <= last).map(|at| at.1)
    }

    fn kin(&self) -> &Kin {
        self.kin.get_or_init(|| Kin::new(&self.pairings))
    }

    /// The candidates of the same side nearest to one, the nearest first.
    pub(super) fn near(&self, strand: u32) -> &[u32] {
        let kin = self.kin();
        kin.near[strand as usize].get_or_init(|| {
            let [a, b] = kin.ends[strand as usize].map(|end| kin.near_point(end));
            let found = kin.joining(a, b);
            let others = found.into_iter().map(|f| f.1).filter(|&s| s != strand);
            others.take(NEAR).collect()
        })
    }

    /// The candidate of the other side nearest to one's mirror image.
    pub(super) fn twin(&self, strand: u32) -> Option<u32> {
        let kin = self.kin();
        *kin.twin[strand as usize].get_or_init(|| {
            let [a, b] = kin.ends[strand as usize].map(|end| kin.opposite_point(end));
            let found = kin.joining(a, b);
            found.first().map(|f| f.1)
        })
    }
}

/// How a strand lies along and across the feature's mean direction, in folded coordinates, mm.
#[derive(Debug, Clone, Copy)]
pub(super) struct Lie {
    along: f64,
    across: f64,
    length: f64,
    layer: usize,
    /// Sine and cosine of the angle from the mean direction to that asked here.
    bend: (f64, f64),
}

impl Lie {
    fn new(pairing: &Pairing, field: &Field) -> Self {
        let mean_deg = field.mean_deg();
        let (sin, cos) = mean_deg.to_radians().sin_cos();
        let middle = pairing.middle();
        Self {
            along: (middle.x * cos - middle.y * sin),
            across: (middle.x * sin + middle.y * cos),
            length: pairing.length(),
            layer: pairing.layer,
            bend: (field.at(middle) - mean_deg).to_radians().sin_cos(),
        }
    }

    /// How far another lies across the direction asked here.
    #[inline]
    fn beside(&self, other: &Self) -> f64 {
        let (along, across) = (other.along - self.along, other.across - self.across);
        (along * self.bend.0 + across * self.bend.1).abs()
    }

    /// How far another lies along the direction asked here.
    #[inline]
    fn between(&self, other: &Self) -> f64 {
        let (along, across) = (other.along - self.along, other.across - self.across);
        (along * self.bend.1 - across * self.bend.0).abs()
    }

    /// How far across the mean direction a strand may lie that touches this one.
    fn reach(&self, width: f64, longest: f64) -> f64 {
        let (sin, cos) = self.bend;
        (self.length + longest) / 2.0 * sin.abs() + width * cos.abs()
    }

    /// True when the two lie side by side within `reach` mm, on whichever side.
    pub(super) fn is_beside(&self, other: &Self, reach: f64) -> bool {
        self.beside(other) < reach
            && self.between(other) < (self.length + other.length) / 2.0 + reach
    }

    /// True where the two, of different sides, may cover the same samples.
    pub(super) fn is_opposite(&self, other: &Self, width: f64) -> bool {
        self.layer != other.layer && self.is_beside(other, 1.5 * width)
    }

    /// About how much of the shorter of two strands lies on the other, 0 to 1, as if they ran
    /// side by side. Only to rank what is in the way.
    #[inline]
    pub(super) fn overlap(&self, other: &Self, width: f64) -> f64 {
        let beside = self.beside(other);
        if self.layer != other.layer || beside >= width {
            return 0.0;
        }
        let rest = (self.length + other.length) / 2.0 - self.between(other);
        if rest <= 0.0 {
            return 0.0;
        }
        let shorter = self.length.min(other.length);
        (1.0 - beside / width) * rest.min(shorter) / shorter
    }
}
