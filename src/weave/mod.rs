//! What is sewn: strands that fill each shape, their order, their yarn, and how even it all is.

mod bound;
mod candidate;
mod canvas;
mod effort;
mod field;
mod fill;
mod findings;
pub mod footprint;
mod held;
mod ink;
mod knot;
mod line;
mod making;
mod mirror;
mod nearness;
mod needleful;
mod offer;
mod piece;
pub mod plan;
mod planner;
mod polish;
mod room;
mod route;
mod sample;
pub mod score;
mod search;
mod seat;
pub mod set;
pub mod settings;
mod smallest;
mod stage;
mod symmetry;
mod thread;
mod tie;
mod workshop;

pub use footprint::Footprint;
pub use mirror::other_foot;
pub use plan::{
    Bent, FeaturePlan, Figures, Finding, Level, Measure, Nearness, Plan, StrandPlan, SymmetryPlan,
    ThreadPlan,
};
pub use planner::{PlanError, plan};
pub use settings::{Job, PointsAllowed, Settings, ThreadStock};
