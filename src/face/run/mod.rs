//! Which way a shape runs, place by place: a bar along its axis, a crescent round its curve.
//!
//! Every piece of the outline says its tangent; a place listens to the near ones most, and to the
//! sides rather than to the ends. For pieces i of length `l_i`, tangent `theta_i`, distance `d_i`
//! from the place, and `w_i` from the piece straight across the shape to the other side:
//!
//! ```text
//! T = sum_i l_i / w_i^2 / (1 + (2 d_i / w_i)^2)^2 * (cos 2 theta_i, sin 2 theta_i)
//! direction = atan2(T_y, T_x) / 2
//! ```
//!
//! Axes have no front, so their angles are doubled to average them (directional statistics; own
//! choice of weights). `w_i` tells sides from ends: across a bar of L by W it is W from its sides
//! and L from its ends, so that ends speak `(L / W)^2` times lower; with 1 in its place strands
//! turn across at every end. A piece is heard as far as half the way across, where the two sides
//! meet: heard less far, strands run round a compact shape like the rings of an onion; as far
//! from every piece, the tips of a crescent, thin and loud, turn its middle. Where no way is
//! better than another (T = 0: the middle of a disc or a square) the direction is the mean one of
//! the shape, and where there is none either, along the rounds.
//!
//! The map is worked out at the nodes of a grid and goes from node to node in a straight line.

mod fan;
mod level;
mod sides;

use std::sync::OnceLock;

use kurbo::{BezPath, Point, Rect, Shape, Vec2};

use super::edges;
use level::Level;
use sides::{Piece, inside, mirrored, pieces};

/// Pieces along the longer side of the outline's box, and nodes. Fewer, and small notches are
/// overlooked; more only take longer.
const PIECES: f64 = 64.0;
const NODES: f64 = 48.0;
/// Margin of the grid round the box, as a share of its longer side: strands stick out a little.
const MARGIN: f64 = 0.08;
/// A sum of doubled directions shorter than this has none.
const NOWHERE: f64 = 1e-6;

/// Which way a shape runs. Units are those of the outline; directions in degrees, 0 along x,
/// counter-clockwise as seen with y down, in 0..180.
#[derive(Debug, Clone)]
pub struct Run {
    pieces: Vec<Piece>,
    centred: bool,
    grid: Grid,
    /// Doubled directions at the nodes, `(cos, sin)` times how much the outline agrees, 0 to 1.
    doubled: Vec<Vec2>,
    /// Nodes inside.
    inside: Vec<bool>,
    /// Of these those of the right half of a centred shape, which the left one mirrors.
    counted: Vec<bool>,
    /// The mean of doubled directions over these, `(cos, sin)` times how much they agree.
    mean: Vec2,
    /// Worked out when first asked for.
    level: OnceLock<Level>,
}

impl Run {
    /// The run of a closed outline with an area; of a `centred` one, which is its own mirror image
    /// across x = 0 if drawn with a steady hand, the mean with its mirror image.
    #[must_use]
    pub fn new(outline: &BezPath, centred: bool) -> Self {
        let box_ = outline.bounding_box();
        let size = box_.width().max(box_.height());
        let edges = edges(outline, size / PIECES / 20.0);
        let mut pieces = pieces(&edges, size / PIECES);
        let mut other = Vec::new();
        let mut area = box_;
        if centred {
            other = mirrored(&pieces);
            area = area.union(Rect::new(-box_.x1, box_.y0, -box_.x0, box_.y1));
        }
        let grid = Grid::new(area.inflate(MARGIN * size, MARGIN * size), size / NODES);
        // The left half of a centred shape mirrors the right one; nothing there at first.
        let mut doubled: Vec<Vec2> = (0..grid.len())
            .map(|node| match centred && grid.is_left(node) {
                true => Vec2::ZERO,
                false => heard([&pieces, &other], grid.at(node)),
            })
            .collect();
        if centred {
            for node in (0..grid.len()).filter(|&node| grid.is_left(node)) {
                let right = doubled[grid.mirrored(node)];
                doubled[node] = Vec2::new(right.x, -right.y);
            }
        }
        pieces.extend(other);
        let inside = inside(&edges, &grid);
        let counted: Vec<bool> = (0..grid.len())
            .map(|node| inside[node] && (!centred || grid.at(node).x >= 0.0))
            .collect();
        let mean = mean(&doubled, &counted, &pieces);
        Self {
            pieces,
            centred,
            grid,
            doubled,
            inside,
            counted,
            mean,
            level: OnceLock::new(),
        }
    }

    fn levels(&self) -> &Level {
        self.level
            .get_or_init(|| Level::new(&self.grid, &self.doubled, &self.inside))
    }

    /// The direction at a place, degrees.
    #[must_use]
    pub fn at(&self, place: Point) -> f64 {
        let here = self.grid.between(place, &self.doubled);
        degrees(here)
            .or_else(|| degrees(self.mean))
            .unwrap_or_default()
    }

    /// The mean direction over the shape, or over the right half of a centred one, degrees.
    #[must_use]
    pub fn mean_deg(&self) -> f64 {
        degrees(self.mean).unwrap_or_default()
    }

    /// How much these directions agree: the mean of `cos 2 a`, `a` the angle to the
    /// mean direction; 1 for a straight bar, 0 for a ring.
    #[must_use]
    pub fn straightness(&self) -> f64 {
        self.mean.hypot()
    }

    /// How clear the run is: the mean length of `T` over what it would be if all that is heard
    /// agreed. A bar of 5 by 1 has 0.91, a curved mouth 0.9, a fat crescent 0.6, a triangle 0.5, a
    /// disc 0.2.
    #[must_use]
    pub fn clearness(&self) -> f64 {
        let counted = self.doubled.iter().zip(&self.counted);
        let (sum, count) = counted
            .filter(|(_, counted)| **counted)
            .fold((0.0, 0.0), |(sum, count), (here, _)| {
                (sum + here.hypot(), count + 1.0)
            });
        if count > 0.0 {
            sum / count
        } else {
            self.mean.hypot()
        }
    }

    /// The place across the run: strands side by side lie at different levels, strands end to end
    /// at one. About the distance from the middle row, and exactly so where the run is straight or
    /// goes round a circle.
    #[must_use]
    pub fn level(&self, place: Point) -> f64 {
        self.grid.between(place, &self.levels().levels)
    }

    /// The direction at a place as a unit vector, pointing the same way along the whole run.
    #[must_use]
    pub fn ahead(&self, place: Point) -> Vec2 {
        let along = unit(self.at(place));
        let across = self.levels().across[self.grid.nearest(place)];
        if along.dot(Vec2::new(across.y, -across.x)) < 0.0 {
            -along
        } else {
            along
        }
    }

    /// Places spread evenly over the shape, or over the right half of a centred one.
    pub fn places(&self) -> impl Iterator<Item = Point> {
        let nodes = self.counted.iter().enumerate();
        nodes
            .filter(|(_, counted)| **counted)
            .map(|(node, _)| self.grid.at(node))
    }

    /// The point from which rays run most nearly along the edges: the tip of a wedge, the foot of a
    /// petal. It lies on one of the shape's axes (of its second moments), on the centre line
    /// for a centred shape; far away, and the rays nearly parallel, where the sides are parallel
    /// themselves.
    #[must_use]
    pub fn fan_point(&self) -> Point {
        let (mut sum, mut count) = (Vec2::ZERO, 0.0);
        for place in self.places() {
            sum += place.to_vec2();
            count += 1.0;
        }
        let middle = match count > 0.0 {
            true => (sum / count).to_point(),
            false => self.grid.area.center(),
        };
        if self.centred {
            let middle = Point::new(0.0, middle.y);
            return fan::point(&self.pieces, middle, &[Vec2::new(0.0, 1.0)]);
        }
        // The axes of the shape, by its second moments: the doubled way of every place.
        let axis = self.places().fold(Vec2::ZERO, |axis, place| {
            let out = place - middle;
            axis + out.hypot2() * doubled(out)
        });
        let along = unit(degrees(axis).unwrap_or_default());
        fan::point(&self.pieces, middle, &[along, along.turn_90()])
    }
}

/// What a place hears of an outline and of its mirror image: the weighted mean of their doubled
/// tangents. Each is summed by itself, so that it is the same to the bit whichever is which.
fn heard(outlines: [&[Piece]; 2], place: Point) -> Vec2 {
    let [one, other] = outlines.map(|pieces| {
        let (mut sum, mut all) = (Vec2::ZERO, 0.0);
        for piece in pieces {
            let far = 1.0 + (piece.at - place).hypot2() / piece.reach2;
            let weight = piece.weight / (far * far);
            sum += weight * piece.doubled;
            all += weight;
        }
        (sum, all)
    });
    (one.0 + other.0) / (one.1 + other.1)
}

/// The mean over the nodes counted; of a sliver between the nodes that of its outline.
fn mean(doubled: &[Vec2], counted: &[bool], pieces: &[Piece]) -> Vec2 {
    let (mut sum, mut count) = (Vec2::ZERO, 0.0);
    for (here, _) in doubled.iter().zip(counted).filter(|(_, counted)| **counted) {
        if here.hypot() > NOWHERE {
            sum += here.normalize();
            count += 1.0;
        }
    }
    if count == 0.0 {
        for piece in pieces {
            sum += piece.weight * piece.doubled;
            count += piece.weight;
        }
    }
    sum / count
}

/// The direction of a doubled one, degrees in 0..180; `None` where it is none.
fn degrees(doubled: Vec2) -> Option<f64> {
    let half = doubled.y.atan2(doubled.x).to_degrees() / 2.0;
    let direction = half.rem_euclid(180.0);
    let direction = if direction >= 180.0 { 0.0 } else { direction };
    (doubled.hypot() > NOWHERE).then_some(direction)
}

/// A direction as a unit vector, y down.
fn unit(degrees: f64) -> Vec2 {
    let (sin, cos) = degrees.to_radians().sin_cos();
    Vec2::new(cos, -sin)
}

/// A doubled direction of a vector, y down: `(cos, sin)` of twice its angle; 0 for no vector.
fn doubled(along: Vec2) -> Vec2 {
    let square = along.hypot2();
    if square > 0.0 {
        let (x, y) = (along.x, along.y);
        Vec2::new((x * x - y * y) / square, -2.0 * x * y / square)
    } else {
        Vec2::ZERO
    }
}

/// Square cells over an area and about its middle, so that a mirror image has the mirror image of
/// the grid; nodes row by row.
#[derive(Debug, Clone, Copy)]
struct Grid {
    area: Rect,
    cell: f64,
    /// Nodes across and down.
    nodes: [usize; 2],
}

impl Grid {
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a count of nodes, not negative"
    )]
    fn new(area: Rect, cell: f64) -> Self {
        let cells = |length: f64| (length / cell).ceil();
        let (across, down) = (cells(area.width()), cells(area.height()));
        Self {
            area: Rect::from_center_size(area.center(), (across * cell, down * cell)),
            cell,
            nodes: [across as usize + 1, down as usize + 1],
        }
    }

    fn len(&self) -> usize {
        self.nodes[0] * self.nodes[1]
    }

    fn at(&self, node: usize) -> Point {
        let (row, column) = (node / self.nodes[0], node % self.nodes[0]);
        self.area.origin() + self.cell * Vec2::new(column as f64, row as f64)
    }

    /// The node in the same row as far from the other end.
    fn mirrored(&self, node: usize) -> usize {
        let column = node % self.nodes[0];
        node - column + self.nodes[0] - 1 - column
    }

    /// True left of the middle.
    fn is_left(&self, node: usize) -> bool {
        node < self.mirrored(node)
    }

    /// The node up and left of a place, and how far on from it the place lies, in cells; a place
    /// off the grid is taken to its rim.
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "clamped to the nodes there are"
    )]
    fn cell(&self, place: Point) -> (usize, [f64; 2]) {
        let from = (place - self.area.origin()) / self.cell;
        let axis = |from: f64, nodes: usize| {
            let from = from.clamp(0.0, (nodes - 1) as f64);
            let node = (from as usize).min(nodes - 2);
            (node, from - node as f64)
        };
        let (column, right) = axis(from.x, self.nodes[0]);
        let (row, down) = axis(from.y, self.nodes[1]);
        (row * self.nodes[0] + column, [right, down])
    }

    fn nearest(&self, place: Point) -> usize {
        let (node, [right, down]) = self.cell(place);
        node + usize::from(right > 0.5) + self.nodes[0] * usize::from(down > 0.5)
    }

    /// A value between the four nodes round a place.
    fn between<T>(&self, place: Point, values: &[T]) -> T
    where
        T: Copy + std::ops::Mul<f64, Output = T> + std::ops::Add<Output = T>,
    {
        let (node, [right, down]) = self.cell(place);
        let row = |node: usize| values[node] * (1.0 - right) + values[node + 1] * right;
        row(node) * (1.0 - down) + row(node + self.nodes[0]) * down
    }

    /// The nodes beside a node.
    fn beside(&self, node: usize) -> impl Iterator<Item = usize> {
        let [across, down] = self.nodes;
        let (row, column) = (node / across, node % across);
        [
            (column > 0).then(|| node - 1),
            (column + 1 < across).then_some(node + 1),
            (row > 0).then(|| node - across),
            (row + 1 < down).then_some(node + across),
        ]
        .into_iter()
        .flatten()
    }
}
