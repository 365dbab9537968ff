//! Where the needle can go: gauge, yarn, rounds, needle points, and the instep unfolded; and the
//! same slipper for other feet.

pub mod foot;
pub mod gauge;
pub mod grade;
pub mod increases;
pub mod instep;
pub mod point;
pub mod rows;
pub mod shell;
pub mod shoe;
pub mod slipper;
pub mod survey;
pub mod yarn;

pub use foot::Foot;
pub use gauge::Gauge;
pub use grade::{Ease, GradeError, Graded, Grading};
pub use increases::Increases;
pub use instep::{Instep, Placed};
pub use point::{NeedlePoint, PointKind, RowPart, Spot};
pub use rows::{Along, Row};
pub use shell::{Hand, Rounds, Shell, ShellError, ShellSpec};
pub use shoe::ShoeSizes;
pub use slipper::Slipper;
pub use survey::{CapRound, GaugeFit, Survey, SurveyRow};
pub use yarn::{Category, Yarn};
