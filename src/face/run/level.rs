//! The place across the run: a map whose steepest way goes straight across, a unit a unit.

use std::cmp::Reverse;
use std::collections::BinaryHeap;

use kurbo::Vec2;

use super::{Grid, degrees, unit};

/// Rounds of relaxation. The first guess is right wherever the run is straight or goes round a
/// circle; the rounds spread out what is left over elsewhere.
const ROUNDS: usize = 60;

/// Levels at the nodes of a grid.
#[derive(Debug, Clone)]
pub(super) struct Level {
    pub(super) levels: Vec<f64>,
    /// The way across at each node, a unit vector that keeps its side along the run.
    pub(super) across: Vec<Vec2>,
}

impl Level {
    /// Goes from node to node, the surest first and the inside before the outside, turns each
    /// way across to the side of the one before, and adds up the way; then relaxes the inside to
    /// the least squares of what is wanted between neighbours.
    pub(super) fn new(grid: &Grid, doubled: &[Vec2], inside: &[bool]) -> Self {
        let mut across: Vec<Vec2> = doubled.iter().map(|&here| normal(here)).collect();
        let mut levels = vec![0.0; grid.len()];
        let mut known = vec![false; grid.len()];
        let sure = |node: usize| (inside[node], sureness(doubled[node]), Reverse(node));
        let Some(first) = (0..grid.len()).max_by_key(|&node| sure(node)) else {
            return Self { levels, across };
        };
        let mut heap = BinaryHeap::from([(sure(first), first)]);
        while let Some((_, from)) = heap.pop() {
            if std::mem::replace(&mut known[from], true) {
                continue;
            }
            for to in grid.beside(from).filter(|&to| !known[to]) {
                if across[to].dot(across[from]) < 0.0 {
                    across[to] = -across[to];
                }
                levels[to] = levels[from] + rise(grid, &across, from, to);
                heap.push((sure(to), to));
            }
        }
        relax(grid, &across, inside, &mut levels);
        Self { levels, across }
    }
}

/// What is wanted from one node to the next.
fn rise(grid: &Grid, across: &[Vec2], from: usize, to: usize) -> f64 {
    (across[from] + across[to]).dot(grid.at(to) - grid.at(from)) / 2.0
}

fn relax(grid: &Grid, across: &[Vec2], inside: &[bool], levels: &mut [f64]) {
    for _ in 0..ROUNDS {
        for node in (0..grid.len()).filter(|&node| inside[node]) {
            let (mut sum, mut count) = (0.0, 0.0);
            for beside in grid.beside(node).filter(|&beside| inside[beside]) {
                sum += levels[beside] + rise(grid, across, beside, node);
                count += 1.0;
            }
            if count > 0.0 {
                levels[node] = sum / count;
            }
        }
    }
}

/// Straight across a doubled direction, down for a level one.
fn normal(doubled: Vec2) -> Vec2 {
    let along = unit(degrees(doubled).unwrap_or_default());
    Vec2::new(-along.y, along.x)
}

/// How much the outline agrees at a node, as a whole number.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a share of at most 1"
)]
fn sureness(doubled: Vec2) -> u32 {
    (1e6 * doubled.hypot()) as u32
}
