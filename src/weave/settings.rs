//! What a maker may set about the weave, and the job as a whole.

use std::collections::BTreeMap;

use crate::fabric::colour::Rgb;
use crate::fabric::{NeedlePoint, Slipper, Yarn};
use crate::face::{Face, Place, ThreadLook};
use crate::units::Ruler;

/// Which needle points may be used.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum PointsAllowed {
    /// All four kinds; those that pierce yarn are priced.
    #[default]
    All,
    /// Hook holes and gaps only.
    Open,
}

/// Settings of the weave; lengths in mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Settings {
    /// Longest strand on the face; where strands are tied down, the longest stretch between ties.
    pub longest_mm: f64,
    /// Strands of a fill may be longer, up to [`TIED`] times, and are tied down.
    pub tie_down: bool,
    /// Degrees by which a strand may leave the feature's direction.
    pub spread_deg: f64,
    /// Strand ends of the whole face that may share a needle point.
    pub hole_limit: u32,
    /// Needle points allowed.
    pub points: PointsAllowed,
    /// Longest travel on the inside that need not be caught.
    pub float_limit_mm: f64,
    /// Longest travel before the thread is fastened off and begun again.
    pub carry_mm: f64,
    /// Length of yarn in the needle.
    pub needleful_mm: f64,
    /// Share by which yarn lies longer than the straight line.
    pub take_up: f64,
    /// Length of one tail.
    pub tail_mm: f64,
    /// Thickness of the fabric; twice the width of the slipper's yarn when absent.
    pub thickness_mm: Option<f64>,
    /// Shapes may shift by up to a quarter stitch and a quarter row.
    pub seat: bool,
    /// Says how near each fill comes to the best there is; that takes half as long as the rest.
    pub judge: bool,
    /// By how much a shape that may shift may grow or shrink as well, a share of its size.
    pub seat_scale: f64,
}

/// Strands that are tied down may be this many times as long as others: beyond it even tied yarn
/// sags and snags (common practice, no source), and there are more strands to choose from than a
/// search goes through in its time.
pub const TIED: f64 = 3.0;

/// What rounding may add to a length, mm: without it a strand exactly as long as allowed (three and
/// a half stitches of 14 to 10 cm are 25 mm) would be allowed in one place and not in another.
pub(crate) const ROUNDED_MM: f64 = 1e-9;

/// The same for an angle, degrees.
pub(crate) const ROUNDED_DEG: f64 = 1e-9;

impl Settings {
    /// Least and greatest length of a strand of a fill of yarn `width` mm wide, mm.
    pub(crate) fn fill_lengths_mm(&self, width: f64) -> (f64, f64) {
        (
            1.5 * width - ROUNDED_MM,
            self.longest_fill_mm() + ROUNDED_MM,
        )
    }

    /// Longest strand of a fill, mm.
    #[must_use]
    pub fn longest_fill_mm(&self) -> f64 {
        if self.tie_down {
            TIED * self.longest_mm
        } else {
            self.longest_mm
        }
    }

    /// Whether the needle may pass at a needle point.
    #[must_use]
    pub fn allows(&self, point: NeedlePoint) -> bool {
        self.points == PointsAllowed::All || !point.pierces()
    }
}

impl Default for Settings {
    fn default() -> Self {
        Self {
            longest_mm: 25.0,
            tie_down: false,
            spread_deg: 20.0,
            hole_limit: 2,
            points: PointsAllowed::All,
            float_limit_mm: 25.0,
            carry_mm: 60.0,
            needleful_mm: 900.0,
            take_up: 0.05,
            tail_mm: 150.0,
            thickness_mm: None,
            seat: true,
            judge: true,
            seat_scale: 0.0,
        }
    }
}

/// The real yarn for a thread role of the face.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ThreadStock {
    /// Its width and length.
    pub yarn: Yarn,
    /// How many strands are held together is left to the plan.
    pub auto_held: bool,
    /// Its colour when it is not the face's own.
    pub colour: Option<Rgb>,
}

/// One face on one slipper: all that a plan is made from.
#[derive(Debug, Clone, PartialEq)]
pub struct Job {
    /// The slipper in the hand.
    pub slipper: Slipper,
    /// Real yarns by thread role; the slipper's own yarn for others.
    pub threads: BTreeMap<String, ThreadStock>,
    /// Settings of the weave.
    pub settings: Settings,
    /// Width, distance from the edge, facing.
    pub place: Place,
    /// The face.
    pub face: Face,
    /// The ruler that findings speak in.
    pub ruler: Ruler,
}

impl Job {
    /// The yarn of a thread role.
    #[must_use]
    pub fn yarn(&self, thread: &str) -> Yarn {
        self.threads
            .get(thread)
            .map_or(self.slipper.yarn, |stock| stock.yarn)
    }

    /// The colour of a thread role, when one is stated: of the real yarn, else of the face.
    #[must_use]
    pub fn stated_colour(&self, thread: &str) -> Option<Rgb> {
        let stock = self.threads.get(thread).and_then(|stock| stock.colour);
        let look = self.face.threads.get(thread).and_then(|look| look.colour);
        stock.or(look)
    }

    /// The colour in which a thread role is shown.
    #[must_use]
    pub fn colour(&self, thread: &str) -> Rgb {
        self.stated_colour(thread).unwrap_or(ThreadLook::UNSTATED)
    }

    /// Thickness of the fabric, mm: the setting, else twice the width of the slipper's yarn.
    #[must_use]
    pub fn thickness_mm(&self) -> f64 {
        self.settings
            .thickness_mm
            .unwrap_or(2.0 * self.slipper.yarn.width_mm())
    }

    /// Longest travel left uncaught, mm: the setting, and never over 10 for a baby.
    #[must_use]
    pub fn float_limit_mm(&self) -> f64 {
        if self.slipper.for_baby {
            self.settings.float_limit_mm.min(10.0)
        } else {
            self.settings.float_limit_mm
        }
    }
}
