//! The contents page of the checks, one file for each kind of source.

#[path = "checks/text.rs"]
mod text;
