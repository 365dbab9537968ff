//! Pictures of a plan.
