//! `instep faces`: what comes with the program.

use std::path::{Path, PathBuf};

use clap::Args;
use instep::draw::{self, Scene};
use instep::face::Face;
use instep::files::bundled::{Bundled, FACES, faces_json};
use instep::files::{Existing, Ready, SlipperFile, Words, write_set};
use instep::{units::Ruler, weave};

use super::Verdict;
use super::inputs::{bundled_face, file_word, read_slipper};
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
    /// Draw every face and its variants into this directory, one picture a face.
    #[arg(long, value_name = "DIR", conflicts_with_all = ["show", "json"])]
    out: Option<PathBuf>,
    /// Draw them as they will look on this slipper, strand by strand, one picture a variant;
    /// unless given, the shapes alone are drawn.
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
                .into_iter()
                .map(|face| listed(face, column))
                .collect::<Result<_, Stop>>()?
        };
        show(&text)?;
        Ok(Verdict::Good)
    }

    fn draw(&self, dir: &Path) -> Result<Verdict, Stop> {
        let slipper = self.on.as_deref().map(read_slipper).transpose()?;
        let pictures: Vec<Vec<Ready>> = FACES
            .into_iter()
            .map(|face| match &slipper {
                None => Ok(vec![shapes(face)?]),
                Some(slipper) => portraits(face, slipper),
            })
            .collect::<Result<_, Stop>>()?;
        let pictures = pictures.concat();
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

/// A line on a face, and one that lists its variants.
fn listed(bundled: Bundled, column: usize) -> Result<String, Stop> {
    let name = format!("{:column$}", bundled.name);
    let mut text = format!("{HEADING}{name}{HEADING:#}  {}\n", bundled.about());
    let face = bundled_face(bundled)?;
    let variants: Vec<&str> = face.variant_names().collect();
    if !variants.is_empty() {
        text += &format!("{:column$}  variants: {}\n", "", variants.join(", "));
    }
    Ok(text)
}

/// A face and its variants.
fn moods(bundled: Bundled) -> Result<Vec<Face>, Stop> {
    let face = bundled_face(bundled)?;
    let variants: Vec<Face> = face
        .variant_names()
        .filter_map(|name| face.variant(name))
        .collect();
    Ok([vec![face], variants].concat())
}

/// The shapes of a face and its variants on one sheet.
fn shapes(bundled: Bundled) -> Result<Ready, Stop> {
    let moods = moods(bundled)?;
    let sheet = draw::gallery(&moods.iter().collect::<Vec<_>>());
    ready(bundled.name, &sheet)
}

/// A face and its variants planned on a slipper, each drawn as it will look.
fn portraits(bundled: Bundled, slipper: &SlipperFile) -> Result<Vec<Ready>, Stop> {
    let face = bundled_face(bundled)?;
    let variants = face
        .variant_names()
        .map(|name| format!("{}-{}", bundled.name, file_word(name)));
    let names = [bundled.name.to_owned()].into_iter().chain(variants);
    let portrait = |(name, face): (String, Face)| {
        let mut job = slipper.clone().with_face(face, Ruler::default());
        job.settings.judge = false;
        let plan = weave::plan(&job).map_err(Stop::because)?;
        ready(
            &name,
            &draw::portrait(&plan, &drawn(Words::default(), plan.slipper_colour)),
        )
    };
    names.zip(moods(bundled)?).map(portrait).collect()
}

fn ready(name: &str, scene: &Scene) -> Result<Ready, Stop> {
    let bytes = scene.to_png(PICTURE_DPI).map_err(Stop::because)?;
    Ok(Ready::new(&format!("{name}.png"), bytes))
}

fn bundled(name: &str) -> Result<Bundled, String> {
    Bundled::named(name).ok_or_else(|| {
        let names: Vec<&str> = FACES.iter().map(|face| face.name).collect();
        format!("expected one of {}", names.join(", "))
    })
}
