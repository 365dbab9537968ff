//! Text in, text out.

pub mod bundled;
pub mod companion;
mod document;
pub mod face;
pub mod feet;
pub mod graded;
mod list;
pub mod page;
pub mod plan;
pub mod report;
pub mod sizes;
pub mod slipper;
pub mod start;
pub mod steps;
pub mod strands;
pub mod survey;
mod table;
mod text;
mod value;
pub mod words;
pub mod write;

pub use companion::companion;
pub use face::{parse_face, read_face};
pub use feet::{FootAsked, parse_feet, read_feet};
pub use graded::graded_slipper;
pub use plan::plan_json;
pub use report::{At, Fault, Faults};
pub use sizes::sizes_json;
pub use slipper::{SlipperFile, parse_slipper, read_slipper};
pub use steps::steps;
pub use strands::strands_csv;
pub use survey::survey_json;
pub use words::Words;
pub use write::{Existing, Ready, WriteError, write_set};
