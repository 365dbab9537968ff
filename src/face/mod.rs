//! What is wanted: the shapes of a face, and where it goes on the instep.

mod crossing;
mod edges;
pub mod feature;
pub mod outline;
mod path_data;
pub mod placement;
pub mod run;
pub mod variant;

pub(crate) use edges::edges;
pub use feature::{Direction, Face, Feature, Fill, LineStitch, ThreadLook, Work};
pub use outline::{Outline, OutlineError};
pub use placement::{Facing, Place, PlacedFace, PlacedFeature, Side};
pub use run::Run;
pub use variant::{Reshape, Variant};
