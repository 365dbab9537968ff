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
//! - `areas`: areas of planned features against an independent geometry library
//! - `constraints`: what every plan keeps to
//! - `exhaustive`: small fills and routes against trying everything
//! - `findings`: each finding provoked, and none without cause
//! - `held`: strands held together by choice
//! - `lines`: lines of a pair, and lines across the centre, walked alike
//! - `mirror`: mirror image slippers, scaling, the same bytes twice
//! - `overlay`: areas by an independent geometry library
//! - `planned`: slippers and faces that are planned in the checks
//! - `routes`: routes against a lower bound
//! - `ties`: long strands tied down
//! - `yarn`: yarn against printed and worked figures
//! - `layers`: which folder may use which

mod checks {
    mod areas;
    mod commands;
    mod constraints;
    mod docs;
    mod exhaustive;
    mod files;
    mod findings;
    mod gallery;
    mod held;
    mod layers;
    mod lines;
    mod mirror;
    mod overlay;
    mod paper;
    mod path_data;
    mod pictures;
    mod planned;
    mod properties;
    mod published;
    mod routes;
    mod shells;
    mod slippers;
    mod sphere;
    mod text;
    mod ties;
    mod trade;
    mod yarn;
}
