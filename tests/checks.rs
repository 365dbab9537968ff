//! The checks, one file for each kind of source that the expected values come from.
//!
//! - `slippers`: the slippers the checks are made on
//! - `sphere`: the unfolding against a printed map projection
//! - `published`: tables and measurements in print
//! - `trade`: common practice, no source
//! - `paper`: small cases worked out on paper
//! - `shells`: what a shell refuses, where its cap ends
//! - `properties`: what must hold for every slipper
//! - `path_data`: shapes against the grammar of SVG 2 and an independent reader
//! - `files`: broken slippers and faces, and what is said of them
//! - `text`: what is written for a plan
//! - `commands`: the command line as a maker runs it
//! - `pictures`: what is drawn, read back as pixels and as XML
//! - `docs`: what README and DEVELOPERS say
//! - `gallery`: every bundled face on every example slipper, and the plans kept with the examples
//! - `layers`: which folder may use which

mod checks {
    mod commands;
    mod docs;
    mod files;
    mod gallery;
    mod layers;
    mod paper;
    mod path_data;
    mod pictures;
    mod properties;
    mod published;
    mod shells;
    mod slippers;
    mod sphere;
    mod text;
    mod trade;
}
