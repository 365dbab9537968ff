//! The features of a face made one on the other: in which order, and in what room.
//!
//! What lies on top is made first, and leaves what lies beneath fewer needle points. So a seat that
//! is good for an eye may be bad for the head; and no seat shall be at the cost of another feature.
//! Therefore each group is found twice: as it is in a face that all lies as drawn, and in the room
//! that the others leave in their seats. Where the first is the better one, it is taken, and what
//! is in its way seeks another seat, or lies as drawn itself; unless that costs all together more
//! than it wins.

use kurbo::Shape;
use rayon::prelude::*;

use super::effort;
use super::ink::Ink;
use super::nearness::Made;
use super::offer::Offer;
use super::piece::{Edge, Found, Group, Piece, Seeker, aim, edge_stitch, width_mm};
use super::room::Room;
use super::settings::Job;
use super::tie::TiesWanted;
use crate::fabric::Instep;
use crate::face::{Direction, PlacedFeature, Work};

/// What is made of the groups of a face.
pub(super) struct Making<'a> {
    job: &'a Job,
    instep: &'a Instep,
    groups: &'a [Group<'a>],
    /// What is made of each group; a line round a fill is made with it.
    made: Vec<Option<Placed>>,
    /// Starts of each fill that there is time for.
    more_starts: usize,
}

/// What is made of a group.
#[derive(Clone)]
struct Placed {
    offer: Offer,
    /// It has sought a seat before.
    again: bool,
}

/// By how much more, as a share, all features so far must be worth for one to be worse than as drawn.
/// If none ever may be, an eye may lose a strand for half a percent of a head.
const FOR_ALL: f64 = 0.003;

impl Placed {
    fn new(offer: Offer) -> Self {
        Self {
            offer,
            again: false,
        }
    }
}

impl<'a> Making<'a> {
    pub(super) fn new(job: &'a Job, instep: &'a Instep, groups: &'a [Group<'a>]) -> Self {
        Self {
            job,
            instep,
            groups,
            made: groups.iter().map(|_| None).collect(),
            more_starts: more_starts(job, groups),
        }
    }

    /// The pieces of all groups, in their order. Those that lie apart from each other are made side
    /// by side. `judge` is given each fill that is to be judged, as soon as it is made, with the
    /// index of its feature; if it is made anew, once more.
    pub(super) fn pieces(mut self, mut judge: impl FnMut(usize, Made)) -> Vec<Piece> {
        for wave in self.waves() {
            let (before, room) = (self.left_if_drawn(), self.left_by_all());
            let offers: Vec<Offer> = wave
                .par_iter()
                .map(|&at| self.find(at, &before, &room))
                .collect();
            for (at, offer) in wave.into_iter().zip(offers) {
                for new in self.place(at, offer, &before) {
                    let placed = self.made[new].as_mut();
                    if let Some(fill) = placed.and_then(|p| p.offer.best.made.take()) {
                        judge(self.groups[new][0].index, fill);
                    }
                }
            }
        }
        let made = self.made.into_iter().flatten();
        made.flat_map(|placed| placed.offer.best.pieces).collect()
    }

    /// The groups that may be made side by side, in the order of making. What lies on top is made
    /// first, for it is small and has few needle points to choose from: a group waits for all
    /// later ones of the face that it comes near. A line round a fill is made with it.
    fn waves(&self) -> Vec<Vec<usize>> {
        let groups = self.groups;
        let inks = |group: &Group<'_>| {
            let of_side = |side: &PlacedFeature<'_>| {
                let edge = Ink::line(&side.outline, width_mm(self.job, side) / 2.0);
                [aim(self.job, side, &side.outline), edge]
            };
            group.iter().copied().flat_map(of_side).collect()
        };
        let inks: Vec<Vec<Ink>> = groups.iter().map(inks).collect();
        let near = |a: usize, b: usize| {
            let mut inks_of_a = inks[a].iter();
            inks_of_a.any(|ink| inks[b].iter().any(|other| ink.touches(other)))
        };
        let mut waves: Vec<Vec<usize>> = Vec::new();
        let mut numbers = vec![0; groups.len()];
        let is_edge = |at: usize| at > 0 && edge_stitch(&groups[at], &groups[at - 1]).is_some();
        for at in (0..groups.len()).rev().filter(|&at| !is_edge(at)) {
            let others = (at + 1..groups.len()).filter(|&other| !is_edge(other));
            let waits_for = others.filter(|&other| near(at, other));
            let number = waits_for.map(|other| numbers[other] + 1).max().unwrap_or(0);
            numbers[at] = number;
            waves.resize_with(waves.len().max(number + 1), Vec::new);
            waves[number].push(at);
        }
        waves
    }

    fn seeker<'s>(&'s self, room: &'s Room) -> Seeker<'s> {
        Seeker {
            job: self.job,
            instep: self.instep,
            room,
            more_starts: self.more_starts,
        }
    }

    /// The line round the fill of a group.
    fn edge(&self, at: usize) -> Option<Edge<'a>> {
        let next = self.groups.get(at + 1)?;
        Some((next, edge_stitch(next, &self.groups[at])?))
    }

    fn find(&self, at: usize, drawn_room: &Room, room: &Room) -> Offer {
        let seeker = self.seeker(drawn_room);
        seeker.find(&self.groups[at], self.edge(at), room)
    }

    /// Takes the room of what is offered for a group; the groups that were made or made anew.
    fn place(&mut self, at: usize, mut offer: Offer, before: &Room) -> Vec<usize> {
        // What was made beside it may have taken some room.
        let (mut drawn_room, mut room) = (self.left_if_drawn(), self.left_by_all());
        if !drawn_room.is_enough_for(&offer.as_drawn().ends(self.instep)) {
            offer = self.find(at, &drawn_room, &room);
        } else if offer.drawn.is_some() && !room.is_enough_for(&offer.best.ends(self.instep)) {
            offer = self.find(at, before, &room);
        }
        let as_drawn = offer.as_drawn();
        sew(self.job, self.instep, as_drawn, &mut drawn_room);
        if offer.drawn.is_some() {
            sew(self.job, self.instep, &mut offer.best, &mut room);
            self.made[at] = Some(Placed::new(offer));
            return vec![at];
        }
        if room.is_enough_for(&offer.best.ends(self.instep)) {
            self.made[at] = Some(Placed::new(offer));
            return vec![at];
        }
        let less = offer.less.take();
        let less = less.filter(|less| room.is_enough_for(&less.ends(self.instep)));
        let before = self.made.clone();
        self.made[at] = Some(Placed::new(offer));
        let mut anew = self.make_way();
        if let Some(less) = less {
            let otherwise_mm2 = worth_mm2(&before) + less.objective_mm2;
            if otherwise_mm2 > (1.0 + FOR_ALL) * worth_mm2(&self.made) {
                self.take_back(at, before, less);
                anew.clear();
            }
        }
        anew.push(at);
        anew
    }

    /// Leaves all where it was before a group was made as drawn, and makes that otherwise.
    fn take_back(&mut self, at: usize, before: Vec<Option<Placed>>, mut otherwise: Found) {
        let drawn = self.made[at].take().map(|placed| placed.offer.best);
        self.made = before;
        let mut room = self.left_by_all();
        sew(self.job, self.instep, &mut otherwise, &mut room);
        self.made[at] = Some(Placed::new(Offer {
            best: otherwise,
            drawn,
            less: None,
        }));
    }

    /// What is in the way of something that lies as drawn gets out of it: those groups. If all lay as
    /// drawn, there were room enough.
    fn make_way(&mut self) -> Vec<usize> {
        let mut anew = Vec::new();
        while let Some(at) = self.in_the_way() {
            let placed = self.made[at].take();
            self.made[at] = placed.map(|placed| self.elsewhere(at, placed));
            anew.push(at);
        }
        anew
    }

    /// A group in another seat, in the room that all others leave; if that was tried before, or
    /// there is no room, as drawn.
    fn elsewhere(&self, at: usize, placed: Placed) -> Placed {
        let mut left = self.left_by_all();
        let drawn = placed.offer.drawn.unwrap_or(placed.offer.best);
        let offer = if !placed.again && left.is_enough_for(&drawn.ends(self.instep)) {
            let seeker = self.seeker(&left);
            let mut offer = seeker.find_again(&self.groups[at], self.edge(at), drawn);
            if offer.drawn.is_some() {
                sew(self.job, self.instep, &mut offer.best, &mut left);
            }
            offer
        } else {
            Offer {
                best: drawn,
                drawn: None,
                less: None,
            }
        };
        Placed { offer, again: true }
    }

    /// The room that all that is made leaves.
    fn left_by_all(&self) -> Room {
        self.left_by(|offer| &offer.best)
    }

    /// The room that were left if all that is made lay as drawn.
    fn left_if_drawn(&self) -> Room {
        self.left_by(Offer::if_drawn)
    }

    fn left_by(&self, found: impl Fn(&Offer) -> &Found) -> Room {
        let mut left = Room::of_all(self.job, self.instep);
        for placed in self.made.iter().flatten() {
            left.take(&found(&placed.offer).ends(self.instep));
        }
        left
    }

    /// The first group that takes more room where there is too little than it did as drawn.
    fn in_the_way(&self) -> Option<usize> {
        let placed = self.made.iter().flatten();
        let ends: Vec<usize> = placed
            .flat_map(|p| p.offer.best.ends(self.instep))
            .collect();
        let too_full = Room::of_all(self.job, self.instep).too_full_for(&ends);
        let takes_more = |placed: &Placed| {
            let offer = &placed.offer;
            let Some(drawn) = &offer.drawn else {
                return false;
            };
            let [best, drawn] = [&offer.best, drawn].map(|found| found.ends(self.instep));
            let at = |ends: &[usize], point| ends.iter().filter(|&&end| end == point).count();
            let mut points = too_full.iter();
            points.any(|&point| at(&best, point) > at(&drawn, point))
        };
        (self.made.iter()).position(|placed| placed.as_ref().is_some_and(takes_more))
    }
}

/// Starts of each fill of a face that there is time for besides the usual ones.
fn more_starts(job: &Job, groups: &[Group<'_>]) -> usize {
    effort::more_starts(groups.iter().filter_map(|group| {
        let Work::Fill { direction, .. } = group[0].feature.work else {
            return None;
        };
        let sides = group.iter();
        let squares = sides.map(|side| side.outline.area().abs() / width_mm(job, side).powi(2));
        Some((squares.sum(), direction == Direction::Auto))
    }))
}

/// What all that is made is worth, mm2.
fn worth_mm2(made: &[Option<Placed>]) -> f64 {
    let placed = made.iter().flatten();
    placed.map(|placed| placed.offer.best.objective_mm2).sum()
}

/// Takes the room of what is found, and ties its long strands down if that is wanted.
fn sew(job: &Job, instep: &Instep, found: &mut Found, room: &mut Room) {
    room.take(&found.ends(instep));
    if !job.settings.tie_down {
        return;
    }
    for piece in &mut found.pieces {
        let Some(field) = &piece.field else { continue };
        piece.stitches.ties = TiesWanted {
            instep,
            settings: &job.settings,
            width: piece.feature.strand_mm,
            free: room.free_mut(),
        }
        .ties(&piece.stitches.runs.concat(), |middle| field.level(middle));
    }
}
