//! Plans an embroidered face on the instep of a crocheted slipper.
//!
//! Each layer uses itself and those above it, never those below:
//!
//! - [`units`], [`terms`]: millimetres, inches, the ruler; crochet terms of two countries
//! - [`fabric`]: where the needle can go
//! - [`face`]: what is wanted
//! - [`weave`]: what is sewn
//! - [`files`]: text in, text out; [`draw`]: pictures of a plan

pub mod draw;
pub mod fabric;
pub mod face;
pub mod files;
pub mod terms;
pub mod units;
pub mod weave;
