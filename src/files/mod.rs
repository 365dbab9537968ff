//! Text in, text out.

pub mod bundled;
mod document;
pub mod face;
pub mod folder;
pub mod kept;
pub mod page;
pub mod plan;
pub mod report;
pub mod set;
mod sewn;
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

pub use face::{parse_face, read_face};
pub use plan::plan_json;
pub use report::{At, Fault, Faults};
pub use set::{SetFile, parse_set, read_set};
pub use sewn::sewn;
pub use slipper::{SlipperFile, parse_slipper, read_slipper};
pub use steps::steps;
pub use strands::strands_csv;
pub use survey::survey_json;
pub use words::Words;
pub use write::{Existing, Ready, WriteError, write_set};
