//! Plans an embroidered face on the instep of a crocheted slipper.
//!
//! Each layer uses itself and those above it, never those below:
//!
//! - [`units`]: millimetres, inches, the ruler
//! - [`fabric`]: where the needle can go
//! - [`face`]: what is wanted
//! - [`weave`]: what is sewn
//! - [`files`]: text in, text out; [`draw`]: pictures of a plan

pub mod draw;
pub mod fabric;
pub mod face;
pub mod files;
pub mod units;
pub mod weave;
