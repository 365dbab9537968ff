//! The checks, one file for each kind of source that the expected values come from.
//!
//! - `sizes`: other sizes of a slipper, against published feet and shoe sizes
//! - `slippers`: the slippers the checks are made on
//! - `sphere`: the unfolding against a printed map projection
//! - `published`: tables and measurements in print
//! - `trade`: common practice, no source
//! - `paper`: small cases worked out on paper
//! - `reference`: fillings against the best of an integer program
//! - `shells`: what a shell refuses, where its cap ends
//! - `properties`: what must hold for every slipper
//! - `path_data`: shapes against the grammar of SVG 2 and an independent reader
//! - `files`: broken slippers and faces, and what is said of them
//! - `text`: what is written for a plan
//! - `commands`: the command line as a maker runs it
//! - `pictures`: what is drawn, read back as pixels and as XML
//! - `printed`: the true-size sheet as an independent reader of PDF sees it
//! - `docs`: what README and DEVELOPERS say
//! - `gallery`: every bundled face on every example slipper, and the plans kept with the examples
//! - `companion`: the page beside the work, in a real browser
//! - `areas`: areas of planned features against an independent geometry library
//! - `constraints`: what every plan keeps to
//! - `exhaustive`: small fills and routes against trying everything
//! - `fields`: directions that follow the shape, on shapes whose run is known
//! - `findings`: each finding provoked, and none without cause
//! - `held`: strands held together by choice
//! - `lines`: lines of a pair, and lines across the centre, walked alike
//! - `mirror`: mirror image slippers, scaling, the same bytes twice
//! - `overlay`: areas by an independent geometry library
//! - `planned`: slippers and faces that are planned in the checks
//! - `variants`: what the variants of a face change, and what is said of broken ones
//! - `routes`: routes against a lower bound
//! - `ties`: long strands tied down
//! - `yarn`: yarn against printed and worked figures
//! - `worn`: the worn shape against published ellipses and an independent library; its picture
//! - `sets`: several faces on several slippers, run again, damaged, killed, wrong
//! - `layers`: which folder may use which

mod checks {
    mod areas;
    mod commands;
    mod companion;
    mod constraints;
    mod docs;
    mod exhaustive;
    mod fields;
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
    mod printed;
    mod properties;
    mod published;
    mod reference;
    mod routes;
    mod sets;
    mod shells;
    mod sizes;
    mod slippers;
    mod sphere;
    mod text;
    mod ties;
    mod trade;
    mod variants;
    mod worn;
    mod yarn;
}
