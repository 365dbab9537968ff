//! Text in, text out.

mod document;
pub mod face;
pub mod report;
pub mod slipper;
pub mod start;
mod table;
mod text;
mod value;

pub use face::{parse_face, read_face};
pub use report::{At, Fault, Faults};
pub use slipper::{SlipperFile, parse_slipper, read_slipper};
