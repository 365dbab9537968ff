//! Checks of the whole library, one module for each kind of source.

#[path = "checks/files.rs"]
mod files;
#[path = "checks/path_data.rs"]
mod path_data;
