//! The slipper as it is worn: a tube over a foot, wider than high, closed by a rounded cap.
//!
//! Every section across the foot is an ellipse. Its perimeter is `C(tau)`, the length of the
//! round at that height: `e w n_r` at the top of round r, where the unfolded instep has it too,
//! and nothing at the ring, which is drawn shut. Between the tops it runs by the monotone cubic
//! interpolation of F. N. Fritsch and R. E. Carlson (SIAM J. Numer. Anal. 17, 1980, 238-246) with
//! the slopes of F. N. Fritsch and J. Butland (SIAM J. Sci. Stat. Comput. 5, 1984, 300-304), so
//! that the cap passes into the tube without a corner.
//!
//! A turn `u` (share of a round from the centre line, + to the right) is laid off on the ellipse
//! by arc length, so stitches of a round stay equally long. Rows are laid off along the centre
//! line, which keeps its length: with `b(tau)` half the height of the section,
//! `d(along)^2 = (h dtau)^2 - (db)^2`, but at least `h sin(pi tau / 2 tau_cap) dtau`, and over
//! the first `BLUNT` of the cap that much less.
//!
//! Assumptions: the foot is straight and lies within the fabric; the section is
//! [`HEIGHT_TO_WIDTH`] everywhere. On the even tube the shape is an isometry of the instep frame.
//! Over the cap toes round the fabric, which gives; a toe of flat increases would else be a lid
//! on a tube. It keeps the length of the rounds, but for the last increase round: there the cap
//! bends into the tube, and the fabric lies slack. Rows follow a quarter of an ellipse where the
//! centre line alone would lie flatter, and end blunt at the ring.

use std::f64::consts::{FRAC_PI_2, PI};

use kurbo::{Ellipse, Point, Shape};

use super::{Instep, Space};

/// Height of a worn section over its width. A foot over the toes is about 0.6 as high as wide,
/// and yarn adds the same above as beside (common practice, no source). Larger: a tube, the face
/// turns away sooner at its sides. Smaller: a flat slipper.
pub const HEIGHT_TO_WIDTH: f64 = 0.66;

/// Share of the cap that is blunted by the toes. Smaller: a pointed tip; larger: a flat one.
const BLUNT: f64 = 0.45;

/// Steps of the quarter ellipse: arcs right to 1e-5 of the perimeter.
const STEPS: usize = 128;

/// Steps along the foot in a row: directions right to a degree or two at the very tip.
const STEPS_IN_A_ROW: f64 = 64.0;

/// Shape of a worn slipper up to its opening edge, and the tube going on beyond it.
#[derive(Debug, Clone)]
pub struct Worn {
    row_mm: f64,
    edge_climbed: f64,
    ring: f64,
    cap_ends: f64,
    around: Monotone,
    section: Section,
    /// Distance along the foot from the edge, at equal steps of the centre line.
    along: Vec<f64>,
}

impl Worn {
    /// The worn shape of an unfolded instep.
    #[must_use]
    pub fn new(instep: &Instep) -> Self {
        let section = Section::new(HEIGHT_TO_WIDTH);
        let shell = instep.shell();
        let first_top = shell.first_top();
        let tops = shell.counts().iter().zip(0_u32..).map(|(&count, before)| {
            let around = f64::from(count) * instep.stitch_mm();
            (first_top + f64::from(before), around)
        });
        // All stitches of round 1 stand in the ring.
        let ring = first_top - 1.0;
        let mut places: Vec<(f64, f64)> = std::iter::once((ring, 0.0)).chain(tops).collect();
        let last = shell.toe_rounds();
        if last + 1 < places.len() {
            places.remove(last);
        }
        // At the ring the fabric is flat: the centre line leaves it at right angles to the foot.
        let flat = instep.row_mm() / section.high;
        let mut worn = Self {
            row_mm: instep.row_mm(),
            edge_climbed: instep.centre_line_mm() / instep.row_mm(),
            ring,
            cap_ends: shell.cap_ends() + 0.5,
            around: Monotone::new(places, flat),
            section,
            along: Vec::new(),
        };
        worn.along = worn.laid_along(instep.centre_line_mm());
        worn
    }

    /// Length of the round through a height of the instep frame (`y` mm below the edge), mm.
    #[must_use]
    pub fn around_mm(&self, y: f64) -> f64 {
        self.around.at(self.climbed(y)).0
    }

    /// Half the width and half the height of the section there, mm.
    #[must_use]
    pub fn half_size(&self, y: f64) -> (f64, f64) {
        let around = self.around_mm(y);
        (self.section.wide * around, self.section.high * around)
    }

    /// A place of the fabric in space: `turn` as a share of the round from the centre line, + to
    /// the right, `y` mm below the edge along the centre line.
    #[must_use]
    pub fn at(&self, turn: f64, y: f64) -> Space {
        let (wide, high) = self.half_size(y);
        let (sin, cos) = self.section.angle(turn).sin_cos();
        Space::new(wide * sin, self.along(y), high * cos)
    }

    /// Outward direction of the fabric there, of length 1.
    ///
    /// The gradient of `(x / A)^2 + (z / B)^2 - C^2`, with `A C` and `B C` the half axes.
    #[must_use]
    pub fn outward(&self, turn: f64, y: f64) -> Space {
        let (sin, cos) = self.section.angle(turn).sin_cos();
        let (widening, climbing) = self.slope(self.climbed(y));
        Space::new(
            climbing * sin / self.section.wide,
            widening,
            climbing * cos / self.section.high,
        )
        .unit()
    }

    /// Turn of a place of the instep frame, share of a round.
    #[must_use]
    pub fn turn_of(instep: &Instep, at: Point) -> f64 {
        instep.turn_deg(at) / 360.0
    }

    /// Distance along the foot from the opening edge, mm, of a height of the instep frame.
    #[must_use]
    pub fn along(&self, y: f64) -> f64 {
        if y <= 0.0 {
            return y;
        }
        let step = self.row_mm / STEPS_IN_A_ROW;
        interpolated(&self.along, y / step)
    }

    fn climbed(&self, y: f64) -> f64 {
        self.edge_climbed - y / self.row_mm
    }

    /// For a mm of the centre line toward the edge: by how much the round widens, and how far it
    /// goes along the foot.
    fn slope(&self, climbed: f64) -> (f64, f64) {
        let widening = self.around.at(climbed).1 / self.row_mm;
        let sine = (self.section.high * widening).abs().min(1.0);
        let share = (climbed - self.ring) / (self.cap_ends - self.ring);
        let share = share.clamp(0.0, 1.0);
        let quarter = |share: f64| (FRAC_PI_2 * share.min(1.0)).sin();
        let climbing = (1.0 - sine * sine).sqrt().max(quarter(share));
        (widening, climbing * quarter(share / BLUNT))
    }

    fn laid_along(&self, centre_line: f64) -> Vec<f64> {
        let step = self.row_mm / STEPS_IN_A_ROW;
        let mut along = vec![0.0];
        let mut y = 0.0;
        while y < centre_line {
            let (_, climbing) = self.slope(self.climbed(y + step / 2.0));
            along.push(along[along.len() - 1] + step * climbing);
            y += step;
        }
        along
    }
}

/// An ellipse of perimeter 1 and its arcs from the top.
#[derive(Debug, Clone)]
struct Section {
    /// Half the width.
    wide: f64,
    /// Half the height.
    high: f64,
    /// Arc of the quarter from the top at equal steps of the angle.
    arcs: Vec<f64>,
}

impl Section {
    fn new(height_to_width: f64) -> Self {
        let unit = Ellipse::new((0.0, 0.0), (1.0, height_to_width), 0.0);
        let wide = 1.0 / unit.perimeter(1e-9);
        let high = height_to_width * wide;
        let step = FRAC_PI_2 / STEPS as f64;
        let mut arcs = vec![0.0];
        for index in 0..STEPS {
            let (sin, cos) = ((index as f64 + 0.5) * step).sin_cos();
            arcs.push(arcs[index] + step * (wide * cos).hypot(high * sin));
        }
        Self { wide, high, arcs }
    }

    /// Angle of the ellipse, 0 at the top and + to the right, of a turn.
    fn angle(&self, turn: f64) -> f64 {
        let turn = turn - turn.round();
        let from_top = turn.abs();
        let arc = from_top.min(0.5 - from_top);
        let above = self.arcs.partition_point(|&a| a <= arc).clamp(1, STEPS);
        let (low, high) = (self.arcs[above - 1], self.arcs[above]);
        let index = (above - 1) as f64 + (arc - low) / (high - low);
        let angle = index * FRAC_PI_2 / STEPS as f64;
        let angle = if from_top > 0.25 { PI - angle } else { angle };
        angle.copysign(turn)
    }
}

/// A curve through points that overshoots none of them.
#[derive(Debug, Clone)]
struct Monotone {
    places: Vec<(f64, f64)>,
    slopes: Vec<f64>,
}

impl Monotone {
    /// Through points with rising first numbers; `first` is the slope wanted at the first point,
    /// at the last it is level.
    fn new(places: Vec<(f64, f64)>, first: f64) -> Self {
        let chord = |pair: &[(f64, f64)]| (pair[1].1 - pair[0].1) / (pair[1].0 - pair[0].0);
        let chords: Vec<f64> = places.windows(2).map(chord).collect();
        // Three times the chord is the most that keeps a piece from overshooting.
        let mut slopes = vec![first.min(3.0 * chords[0])];
        for (pair, three) in chords.windows(2).zip(places.windows(3)) {
            let (before, after) = (pair[0], pair[1]);
            let slope = if before * after > 0.0 {
                let (a, b) = (three[1].0 - three[0].0, three[2].0 - three[1].0);
                let weight = (a + 2.0 * b) / (3.0 * (a + b));
                before * after / (weight * after + (1.0 - weight) * before)
            } else {
                0.0
            };
            slopes.push(slope);
        }
        slopes.push(0.0);
        Self { places, slopes }
    }

    /// Value and slope.
    fn at(&self, x: f64) -> (f64, f64) {
        let last = self.places.len() - 1;
        let next = self.places.partition_point(|place| place.0 <= x);
        if next == 0 {
            return (self.places[0].1, self.slopes[0]);
        }
        if next > last {
            return (self.places[last].1, 0.0);
        }
        let ((x0, y0), (x1, y1)) = (self.places[next - 1], self.places[next]);
        let (m0, m1) = (self.slopes[next - 1], self.slopes[next]);
        let width = x1 - x0;
        let t = (x - x0) / width;
        let chord = (y1 - y0) / width;
        let (square, cube) = (3.0 * chord - 2.0 * m0 - m1, m0 + m1 - 2.0 * chord);
        let value = y0 + width * t * (m0 + t * (square + t * cube));
        (value, m0 + t * (2.0 * square + 3.0 * t * cube))
    }
}

/// A value between the numbers of a list, by their index; the last one beyond its end.
fn interpolated(list: &[f64], index: f64) -> f64 {
    let last = list.len() - 1;
    if index >= last as f64 {
        return list[last];
    }
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "from 0 to the length of the list"
    )]
    let low = index.max(0.0) as usize;
    let share = index - low as f64;
    list[low] + share * (list[low + 1] - list[low])
}
