//! `instep faces`: what comes with the program.

use std::path::{Path, PathBuf};

use clap::Args;
use instep::draw;
use instep::files::bundled::{Bundled, FACES, faces_json};
use instep::files::{Existing, Ready, SlipperFile, Words, write_set};
use instep::{units::Ruler, weave};

use super::Verdict;
use super::inputs::{bundled_face, read_slipper};
use super::screen::{HEADING, Stop, show, typed};
use super::wording::drawn;

/// List the bundled faces, show the file of one, or draw them all.
///
/// A bundled face is a good start for your own: print its file, change the shapes, and plan with
/// your file instead of the name.
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  instep faces
  instep faces --show lantern-smile > my-face.toml
  instep faces --out pictures --on slipper.toml")]
pub(crate) struct Faces {
    /// Print the file of one face.
    #[arg(long, value_name = "NAME", value_parser = bundled)]
    show: Option<Bundled>,
    /// Print the list as JSON.
    #[arg(long, conflicts_with = "show")]
    json: bool,
    /// Draw every face, one picture each, into this directory.
    #[arg(long, value_name = "DIR", conflicts_with_all = ["show", "json"])]
    out: Option<PathBuf>,
    /// Draw them as they will look on this slipper, strand by strand; unless given, the shapes
    /// alone are drawn.
    #[arg(long, value_name = "SLIPPER", requires = "out")]
    on: Option<PathBuf>,
}

/// Dots per inch of the pictures: true to size, and large enough to see every strand.
const PICTURE_DPI: f64 = 150.0;

impl Faces {
    pub(crate) fn run(&self) -> Result<Verdict, Stop> {
        if let Some(dir) = &self.out {
            return self.draw(dir);
        }
        let text = if let Some(face) = self.show {
            face.text.to_owned()
        } else if self.json {
            faces_json().map_err(Stop::because)?
        } else {
            let column = FACES.iter().map(|face| face.name.len()).max().unwrap_or(0);
            FACES
                .iter()
                .map(|face| {
                    let name = format!("{:column$}", face.name);
                    format!("{HEADING}{name}{HEADING:#}  {}\n", face.about())
                })
                .collect()
        };
        show(&text)?;
        Ok(Verdict::Good)
    }

    fn draw(&self, dir: &Path) -> Result<Verdict, Stop> {
        let slipper = self.on.as_deref().map(read_slipper).transpose()?;
        let pictures: Vec<Ready> = FACES
            .iter()
            .map(|&face| picture(face, slipper.clone()))
            .collect::<Result<_, Stop>>()?;
        write_set(dir, &pictures, Existing::Replace).map_err(Stop::because)?;
        let names: Vec<&str> = pictures.iter().map(|file| file.name.as_str()).collect();
        show(&format!(
            "{HEADING}Written{HEADING:#}  to {}: {}\n",
            typed(dir),
            names.join(", ")
        ))?;
        Ok(Verdict::Good)
    }
}

/// One face: its shapes, or planned on a slipper and drawn as it will look.
fn picture(bundled: Bundled, slipper: Option<SlipperFile>) -> Result<Ready, Stop> {
    let face = bundled_face(bundled)?;
    let scene = match slipper {
        None => draw::face(&face),
        Some(slipper) => {
            let job = slipper.with_face(face, Ruler::default());
            let plan = weave::plan(&job).map_err(Stop::because)?;
            draw::portrait(&plan, &drawn(Words::default(), plan.slipper_colour))
        }
    };
    let bytes = scene.to_png(PICTURE_DPI).map_err(Stop::because)?;
    Ok(Ready::new(&format!("{}.png", bundled.name), bytes))
}

fn bundled(name: &str) -> Result<Bundled, String> {
    Bundled::named(name).ok_or_else(|| {
        let names: Vec<&str> = FACES.iter().map(|face| face.name).collect();
        format!("expected one of {}", names.join(", "))
    })
}
