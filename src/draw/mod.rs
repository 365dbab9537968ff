//! Pictures of a plan.
//!
//! One [`Scene`], several writers: a builder decides what is drawn where, in mm of the sheet; a
//! writer only translates.

pub mod colour;
pub mod png;
pub mod scene;
pub mod svg;
pub mod text;

pub use colour::Colour;
pub use png::{Pixels, PngError};
pub use scene::{Group, Item, Pen, Scene};
pub use text::{Anchor, Font, Lettering};
