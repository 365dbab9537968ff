//! What is sewn: strands that fill each shape, their order, their yarn, and how even it all is.

pub mod plan;
pub mod settings;

pub use plan::{
    FeaturePlan, Figures, Finding, Level, Measure, Plan, StrandPlan, SymmetryPlan, ThreadPlan,
};
pub use settings::{Job, PointsAllowed, Settings, ThreadStock};
