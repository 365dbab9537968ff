//! What is sewn: strands that fill each shape, their order, their yarn, and how even it all is.

mod candidate;
mod canvas;
mod fill;
pub mod footprint;
pub mod plan;
mod sample;
pub mod score;
mod search;
pub mod settings;

pub use footprint::Footprint;
pub use plan::{
    FeaturePlan, Figures, Finding, Level, Measure, Plan, StrandPlan, SymmetryPlan, ThreadPlan,
};
pub use settings::{Job, PointsAllowed, Settings, ThreadStock};
