//! Text in, text out.

pub mod bundled;
pub mod page;
pub mod plan;
pub mod steps;
pub mod strands;
pub mod survey;
pub mod words;
pub mod write;

pub use plan::plan_json;
pub use steps::steps;
pub use strands::strands_csv;
pub use survey::survey_json;
pub use words::{Terms, Words};
pub use write::{Existing, Ready, WriteError, write_set};
