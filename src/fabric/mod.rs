//! Where the needle can go: gauge, yarn, rounds, needle points, and the instep unfolded.

pub mod gauge;
pub mod instep;
pub mod point;
pub mod rows;
pub mod shell;
pub mod slipper;
pub mod space;
pub mod survey;
pub mod worn;
pub mod yarn;

pub use gauge::Gauge;
pub use instep::{Instep, Placed};
pub use point::{NeedlePoint, PointKind, RowPart, Spot};
pub use rows::{Along, Row};
pub use shell::{Hand, Rounds, Shell, ShellError, ShellSpec};
pub use slipper::Slipper;
pub use space::Space;
pub use survey::{CapRound, GaugeFit, Survey, SurveyRow};
pub use worn::Worn;
pub use yarn::{Category, Yarn};
