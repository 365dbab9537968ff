//! What a search is given: the candidates, what each covers and costs, and which are alike.

use std::cmp::Ordering;
use std::sync::OnceLock;

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
    /// The candidates by where they lie across the mean direction.
    by_across: Vec<Middle>,
    /// What each covers and costs, in the same order.
    pub(in crate::weave) strands: Vec<Strand>,
    /// True where there are candidates of both sides or halves.
    pub(super) twins: bool,
    /// The nearest of each candidate's own side, that of the other side, and what lies on it:
    /// found when first asked for.
    near: Vec<OnceLock<Vec<u32>>>,
    twin: Vec<OnceLock<Option<u32>>>,
    /// Each with its twin; found when first asked for.
    couples: Vec<OnceLock<Option<Couple>>>,
    lying_on: Vec<OnceLock<Vec<u32>>>,
    /// The candidates by needle point, each with those at both ends; found when first asked for.
    ending_at: OnceLock<Vec<Vec<u32>>>,
    /// Free strand ends by needle point, in the order of the instep's points.
    pub(super) free: Vec<u32>,
    /// Width of the thread, mm.
    pub(in crate::weave) width: f64,
    /// Area of a sample, mm2.
    pub(in crate::weave) sample_mm2: f64,
}

/// Candidates counted as near a strand.
const NEAR: usize = 32;
/// How far along and across the direction the middles of those lie at most, and of what lies
/// opposite, in widths.
const NEAR_WIDTHS: f64 = 1.0;
const OPPOSITE_WIDTHS: f64 = 0.5;
/// Share of the shorter strand from which on one lies on the other: what lies on it by less hardly
/// ever fills its place. With none, 3 % more is looked at in all for fillings worth the same; with
/// 0.4, they are worth 0.1 % less.
const LIES_ON: f64 = 0.2;

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
        let mut by_across: Vec<Middle> = (0..)
            .zip(&lies)
            .map(|(strand, lie)| Middle {
                across: lie.across,
                along: lie.along,
                layer: lie.layer,
                strand,
            })
            .collect();
        by_across.sort_by(|a, b| a.across.total_cmp(&b.across).then(a.strand.cmp(&b.strand)));
        Self {
            ends: pairings.iter().map(|p| p.ends).collect(),
            lies,
            levels,
            longest,
            by_across,
            twins: pairings.iter().any(|p| p.layer == 1),
            near: vec![OnceLock::new(); pairings.len()],
            twin: vec![OnceLock::new(); pairings.len()],
            couples: vec![OnceLock::new(); pairings.len()],
            lying_on: vec![OnceLock::new(); pairings.len()],
            ending_at: OnceLock::new(),
            pairings,
            strands,
            free,
            width,
            sample_mm2,
        }
    }

    /// The same with some of the candidates alone, and other free strand ends.
    pub(in crate::weave) fn only(
        &self,
        keep: impl Fn(&Pairing) -> bool,
        field: &Field,
        free: &[u32],
    ) -> Self {
        let candidates = self.pairings.iter().zip(&self.strands);
        let (pairings, strands) = candidates
            .filter(|(pairing, _)| keep(pairing))
            .map(|(pairing, strand)| (*pairing, strand.clone()))
            .unzip();
        let free = free.to_vec();
        Self::new(pairings, strands, free, self.width, self.sample_mm2, field)
    }

    /// The candidates that lie on one of some strands, each once.
    pub(super) fn lying_on(&self, strands: &[u32]) -> impl Iterator<Item = u32> {
        (0..).zip(strands).flat_map(|(place, &strand)| {
            let before = &strands[..place];
            let on_one_before = |other| before.iter().any(|&b| self.lies_on(other, b));
            let here = self.lying_on_one(strand).iter().copied();
            here.filter(move |&other| !on_one_before(other))
        })
    }

    /// True where a candidate lies on a strand.
    fn lies_on(&self, candidate: u32, strand: u32) -> bool {
        let [candidate, strand] = [candidate, strand].map(|s| &self.lies[s as usize]);
        strand.overlap(candidate, self.width) > LIES_ON
    }

    /// The candidates that end at a needle point.
    pub(super) fn ending_at(&self, point: usize) -> &[u32] {
        let found = self.ending_at.get_or_init(|| {
            let mut found = vec![Vec::new(); self.free.len()];
            for (strand, ends) in (0_u32..).zip(&self.ends) {
                for &end in ends {
                    found[end as usize].push(strand);
                }
            }
            found
        });
        &found[point]
    }

    /// The candidates that lie on a strand, in the order across.
    fn lying_on_one(&self, strand: u32) -> &[u32] {
        self.lying_on[strand as usize].get_or_init(|| {
            let lie = &self.lies[strand as usize];
            let across = lie.reach(self.width, self.longest);
            // Most lie farther off than any that touches.
            let along = (lie.length + self.longest) / 2.0 + self.width;
            self.middles_near(lie, lie.layer, (across, along))
                .map(|at| at.strand)
                .filter(|&other| self.lies_on(other, strand))
                .collect()
        })
    }

    /// The candidates of the same side nearest to one, the nearest first.
    pub(super) fn near(&self, strand: u32) -> &[u32] {
        self.near[strand as usize].get_or_init(|| {
            let layer = self.lies[strand as usize].layer;
            let mut found = self.around(strand, layer, NEAR_WIDTHS * self.width);
            if found.len() > NEAR {
                found.select_nth_unstable_by(NEAR, nearer);
                found.truncate(NEAR);
            }
            found.sort_unstable_by(nearer);
            found.into_iter().map(|(_, other)| other).collect()
        })
    }

    /// The candidate of the other side nearest to one's mirror image.
    pub(super) fn twin(&self, strand: u32) -> Option<u32> {
        *self.twin[strand as usize].get_or_init(|| {
            let layer = 1 - self.lies[strand as usize].layer;
            let found = self.around(strand, layer, OPPOSITE_WIDTHS * self.width);
            found.into_iter().min_by(nearer).map(|(_, other)| other)
        })
    }

    /// A candidate and its twin as one; `None` where there is no twin, or they lie on each other.
    pub(super) fn couple(&self, strand: u32) -> Option<&Couple> {
        let found = self.couples[strand as usize].get_or_init(|| {
            let twin = self.twin(strand)?;
            let [one, other] = [strand, twin].map(|s| &self.strands[s as usize]);
            Some(Couple {
                twin,
                both: one.with(other)?,
            })
        });
        found.as_ref()
    }

    /// The candidates of the other side about one's mirror image.
    pub(super) fn opposite(&self, strand: u32) -> Vec<u32> {
        let layer = 1 - self.lies[strand as usize].layer;
        let found = self.around(strand, layer, NEAR_WIDTHS * self.width);
        found.into_iter().map(|(_, other)| other).collect()
    }

    /// The other candidates of a layer whose middles lie within `reach` mm along and across of
    /// that of one, each with how far its ends lie from those.
    fn around(&self, strand: u32, layer: usize, reach: f64) -> Vec<(f64, u32)> {
        let ends = &self.pairings[strand as usize].at;
        self.middles_near(&self.lies[strand as usize], layer, (reach, reach))
            .filter(|at| at.strand != strand)
            .map(|at| (self.pairings[at.strand as usize].apart(ends), at.strand))
            .collect()
    }

    /// The candidates of a layer whose middles lie within so many mm across and along of that of
    /// one, in the order across.
    fn middles_near(
        &self,
        lie: &Lie,
        layer: usize,
        (across, along): (f64, f64),
    ) -> impl Iterator<Item = &Middle> {
        let from = (self.by_across).partition_point(|at| at.across < lie.across - across);
        self.by_across[from..]
            .iter()
            .take_while(move |at| at.across <= lie.across + across)
            .filter(move |at| at.layer == layer && (at.along - lie.along).abs() <= along)
    }
}

#[cfg(test)]
impl Problem {
    /// Of strands wanted level, for a check: the needle points of each, which have room for one, its
    /// ends, mm, its layer, and what it covers and costs.
    pub(super) fn of(
        strands: impl Iterator<Item = ([u32; 2], [kurbo::Point; 2], usize, Strand)>,
        width: f64,
        sample_mm2: f64,
    ) -> Self {
        let (pairings, strands): (Vec<_>, Vec<_>) = strands
            .map(|(ends, at, layer, strand)| {
                let pairing = Pairing {
                    ends,
                    at,
                    layer,
                    direction_deg: 0.0,
                    pierced: 0,
                };
                (pairing, strand)
            })
            .unzip();
        let free = vec![1; 2 * pairings.len()];
        let level = Field::Straight(0.0);
        Self::new(pairings, strands, free, width, sample_mm2, &level)
    }
}

/// A candidate with its twin.
#[derive(Debug, Clone)]
pub(super) struct Couple {
    pub(super) twin: u32,
    /// What the two cover and cost together.
    pub(super) both: Strand,
}

/// The order of candidates by how far they lie from one.
fn nearer(a: &(f64, u32), b: &(f64, u32)) -> Ordering {
    a.0.total_cmp(&b.0).then(a.1.cmp(&b.1))
}

/// Where the middle of a candidate lies across and along the mean direction, mm.
#[derive(Debug)]
struct Middle {
    across: f64,
    along: f64,
    layer: usize,
    strand: u32,
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

    /// True where another lies in the same row, end to end with it or, on the other side, opposite.
    pub(super) fn is_in_row(&self, other: &Self, width: f64) -> bool {
        self.beside(other) < width / 2.0
            && self.between(other) < (self.length + other.length) / 2.0 + width
    }

    /// Where its middle lies along the mean direction, mm.
    pub(super) fn along(&self) -> f64 {
        self.along
    }

    /// From where to where it reaches along the mean direction, about, mm.
    pub(super) fn reaches(&self) -> (f64, f64) {
        let half = self.length / 2.0;
        (self.along - half, self.along + half)
    }

    /// On which side it lies, or in which half.
    pub(super) fn layer(&self) -> usize {
        self.layer
    }

    /// True where the two, of different sides, may cover the same samples.
    pub(super) fn is_opposite(&self, other: &Self, width: f64) -> bool {
        self.layer != other.layer && self.is_beside(other, 1.5 * width)
    }

    /// About the area that both of two strands cover, mm2.
    pub(super) fn common(&self, other: &Self, width: f64) -> f64 {
        self.overlap(other, width) * self.length.min(other.length) * width
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
