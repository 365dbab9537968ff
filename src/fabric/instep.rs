//! The instep unfolded: from counts to millimetres and back.
//!
//! The instep frame, in mm as worn: the origin is where the centre line meets the opening edge;
//! the toe points down the page; x runs to the right as one looks at the outside; y runs down,
//! toward the toe.
//!
//! On the even tube the map is an isometry (to the small angle of the spiral). Over the cap it
//! keeps the length of every round, the length of the centre line, and area, but not shape: on a
//! sphere the same construction is the sinusoidal projection (USGS Professional Paper 1395,
//! section 30), which the tests use.

use kurbo::Point;

use super::rows::{Along, Row, Rows, half_open};
use super::{NeedlePoint, RowPart, Shell, Slipper, Spot};

/// A needle point with all that is known of it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Placed {
    /// Its name.
    pub point: NeedlePoint,
    /// Where it lies in the instep frame, mm.
    pub at: Point,
    /// How a finger finds it from the basting thread.
    pub along: Along,
}

/// The unfolded instep of one slipper.
#[derive(Debug, Clone)]
pub struct Instep {
    shell: Shell,
    stretch: f64,
    rows: Rows,
    edge_climbed: f64,
    edge_turn: f64,
    points: Vec<Placed>,
}

impl Instep {
    /// Unfolds a slipper.
    #[must_use]
    pub fn new(slipper: &Slipper) -> Self {
        let shell = slipper.shell.clone();
        let rows = Rows::new(&shell);
        let centre = shell.centre();
        let mut instep = Self {
            stretch: slipper.stretch(),
            edge_climbed: shell.climbed(centre),
            edge_turn: shell.turn(centre),
            rows,
            shell,
            points: Vec::new(),
        };
        instep.points = instep.every_point();
        instep
    }

    /// The shell that was unfolded.
    #[must_use]
    pub fn shell(&self) -> &Shell {
        &self.shell
    }

    /// How far the foot stretches the fabric sideways, at least 1.
    #[must_use]
    pub fn stretch(&self) -> f64 {
        self.stretch
    }

    /// The same fabric lying unworn, as no foot stretches it.
    #[must_use]
    pub fn unworn(&self) -> Self {
        let mut flat = self.clone();
        flat.stretch = 1.0;
        flat.points = flat.every_point();
        flat
    }

    /// Width of a stitch as worn, mm.
    #[must_use]
    pub fn stitch_mm(&self) -> f64 {
        self.shell.gauge().stitch_mm * self.stretch
    }

    /// Height of a row, mm.
    #[must_use]
    pub fn row_mm(&self) -> f64 {
        self.shell.gauge().row_mm
    }

    /// Circumference of the even tube as worn, mm.
    #[must_use]
    pub fn around_mm(&self) -> f64 {
        self.stitch_mm() * f64::from(self.shell.last_count())
    }

    /// The rows from the edge to the toe.
    #[must_use]
    pub fn rows(&self) -> &[Row] {
        self.rows.all()
    }

    /// All needle points of the instep, in the order of round, stitch, row part.
    #[must_use]
    pub fn points(&self) -> &[Placed] {
        &self.points
    }

    /// Index of a needle point in [`Self::points`]; `None` when it is not on the instep.
    #[must_use]
    pub fn index_of(&self, point: NeedlePoint) -> Option<usize> {
        self.points.binary_search_by(|p| p.point.cmp(&point)).ok()
    }

    /// Looks a needle point up by its name; `None` when it is not on the instep.
    #[must_use]
    pub fn find(&self, point: NeedlePoint) -> Option<&Placed> {
        self.index_of(point).map(|at| &self.points[at])
    }

    /// The needle point nearest to a place of the instep frame (the inverse of the unfolding).
    #[must_use]
    pub fn nearest(&self, at: Point) -> &Placed {
        let mut best = &self.points[0];
        for candidate in &self.points {
            if candidate.at.distance_squared(at) < best.at.distance_squared(at) {
                best = candidate;
            }
        }
        best
    }

    /// Unfolds any place of the fabric to the instep frame, mm:
    /// `x = s e w N(tau) wrap(alpha - alpha_c)`, `y = h (tau_c - tau)`.
    #[must_use]
    pub fn unfold(&self, spot: Spot) -> Point {
        let climbed = self.shell.climbed(spot);
        let turn = half_open(self.shell.turn(spot) - self.edge_turn);
        Point::new(
            // The sum with 0 keeps the centre line of a right-handed slipper from minus nothing.
            self.shell.hand().sign() * self.stitch_mm() * self.shell.around(climbed) * turn + 0.0,
            self.y_of_climbed(climbed),
        )
    }

    /// Height on the page (mm below the opening edge) of a number of rounds climbed.
    #[must_use]
    pub fn y_of_climbed(&self, climbed: f64) -> f64 {
        self.row_mm() * (self.edge_climbed - climbed)
    }

    /// Circumference of the worn fabric at a height of the page, mm.
    #[must_use]
    pub fn around_mm_at(&self, y: f64) -> f64 {
        self.stitch_mm() * self.shell.around(self.edge_climbed - y / self.row_mm())
    }

    /// Turn of a place of the page from the centre line, degrees, + to the right.
    #[must_use]
    pub fn turn_deg(&self, at: Point) -> f64 {
        360.0 * at.x / self.around_mm_at(at.y)
    }

    /// Where the cap begins: mm below the opening edge on the centre line.
    #[must_use]
    pub fn cap_mm(&self) -> f64 {
        self.y_of_climbed(self.shell.cap_ends())
    }

    /// Length of the centre line from the opening edge to the tip of the toe, mm.
    #[must_use]
    pub fn centre_line_mm(&self) -> f64 {
        self.row_mm() * self.edge_climbed
    }

    /// How far a short length in the direction of the toe is off on the page, as a factor of at
    /// least 1: `sqrt(1 + (alpha r')^2)` with r' the change of radius along the fabric, the `h` of
    /// the sinusoidal projection (USGS Professional Paper 1395, eq. 30-3). 1 on the even tube and
    /// on the centre line.
    #[must_use]
    pub fn length_error(&self, at: Point) -> f64 {
        let step = self.row_mm() / 4.0;
        let (before, after) = (
            self.around_mm_at(at.y - step),
            self.around_mm_at(at.y + step),
        );
        let widening = (after - before) / (2.0 * step);
        (at.x / self.around_mm_at(at.y) * widening).hypot(1.0)
    }

    /// Where one who trusts a column and a round would put a place of the page, mm: `y` counted
    /// in rounds down from the last, `x` in stitches from the centre stitch of that round.
    ///
    /// `r - 1 + f = R - y / h`, `k = k_c + s x / (e w)`.
    #[must_use]
    pub fn counted_naively(&self, at: Point) -> Point {
        let level = (f64::from(self.shell.last_round()) - at.y / self.row_mm()).max(0.0);
        let stitch =
            self.shell.centre_stitch() + self.shell.hand().sign() * at.x / self.stitch_mm();
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "a round number, not negative"
        )]
        let round = level.floor() as u32 + 1;
        self.unfold(Spot {
            round,
            stitch,
            row: level.fract(),
        })
    }

    fn every_point(&self) -> Vec<Placed> {
        let mut points = Vec::new();
        for round in 1..=self.shell.last_round() {
            for half_stitches in 1..=2 * self.shell.count(round) {
                for row in [RowPart::Base, RowPart::Middle] {
                    let point = NeedlePoint {
                        round,
                        half_stitches,
                        row,
                    };
                    if let Some(along) = self.rows.along(&self.shell, point) {
                        points.push(Placed {
                            point,
                            at: self.unfold(point.spot()),
                            along,
                        });
                    }
                }
            }
        }
        points
    }
}
