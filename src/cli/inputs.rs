//! From the words on the command line to a job.

use std::path::{Path, PathBuf};

use clap::{Args, ValueEnum};
use instep::face::{Face, Facing};
use instep::files::bundled::{Bundled, FACES};
use instep::files::slipper::place::misfits;
use instep::files::{self, SlipperFile};
use instep::units::{self, Ruler};
use instep::weave::{Job, PointsAllowed};

use super::screen::Stop;

/// Which slipper, which face, and where the face goes.
#[derive(Debug, Args)]
pub(crate) struct Wanted {
    /// The slipper file (TOML); `instep start` writes one to fill in.
    slipper: PathBuf,
    /// A face file (TOML), or the name of a bundled face; `instep faces` lists them.
    face: String,
    /// A variant of the face, another mood of it, by its name in the face file; unless given, the
    /// face as it is drawn.
    #[arg(long, value_name = "NAME", help_heading = "The face")]
    variant: Option<String>,
    /// Width of the face on the foot, as `6.5cm`, `65mm` or `2.5in`; a plain number is in cm.
    /// Unless the slipper file says otherwise, 0.3 of the way around the foot.
    #[arg(long, value_name = "LENGTH", value_parser = length_mm, help_heading = "The face")]
    width: Option<f64>,
    /// From the opening edge to the face; lengths as for --width. Unless the slipper file says
    /// otherwise, two rows.
    #[arg(long, value_name = "LENGTH", value_parser = length_mm, help_heading = "The face")]
    below: Option<f64>,
    /// Who sees the face upright: an onlooker facing the wearer, or the wearer looking down.
    #[arg(long, value_enum, help_heading = "The face")]
    facing: Option<FacingWord>,
    /// Keep every shape exactly where it is drawn, rather than shift it by up to a quarter stitch
    /// and a quarter row to fall better on the needle points.
    #[arg(long, help_heading = "The face")]
    exact: bool,
    /// Needle points allowed: all, or only the open ones, where the needle splits no yarn.
    #[arg(long, value_enum, help_heading = "The face")]
    points: Option<PointsWord>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum FacingWord {
    Onlooker,
    Wearer,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum PointsWord {
    All,
    Open,
}

impl Wanted {
    /// Reads both files and lays the options over what the slipper file says.
    pub(crate) fn job(&self, ruler: Ruler) -> Result<Job, Stop> {
        let face = self.in_variant(read_face(&self.face)?)?;
        let mut job = read_slipper(&self.slipper)?.with_face(face, ruler);
        job.place.width_mm = self.width.or(job.place.width_mm);
        job.place.below_mm = self.below.or(job.place.below_mm);
        if let Some(facing) = self.facing {
            job.place.facing = match facing {
                FacingWord::Onlooker => Facing::Onlooker,
                FacingWord::Wearer => Facing::Wearer,
            };
        }
        self.refuse_misfits(&job)?;
        if self.exact {
            job.settings.seat = false;
        }
        if let Some(points) = self.points {
            job.settings.points = match points {
                PointsWord::All => PointsAllowed::All,
                PointsWord::Open => PointsAllowed::Open,
            };
        }
        Ok(job)
    }

    /// The face in the variant asked for.
    fn in_variant(&self, face: Face) -> Result<Face, Stop> {
        let Some(wanted) = &self.variant else {
            return Ok(face);
        };
        face.variant(wanted.trim()).ok_or_else(|| {
            let names: Vec<&str> = face.variant_names().collect();
            let reason = format!("`--variant`: `{}` has no variant `{wanted}`", self.face);
            let tip = match (nearest(wanted, &names), names.as_slice()) {
                (Some(near), _) => format!("did you mean `{near}`?"),
                (None, []) => "it has none; leave out `--variant`".to_owned(),
                (None, names) => format!("it has {}", names.join(", ")),
            };
            Stop::with_tip(reason, tip)
        })
    }

    /// Tells of options that the slipper has no room for; the file's own keys are read by now.
    fn refuse_misfits(&self, job: &Job) -> Result<(), Stop> {
        let told: Vec<String> = misfits(&job.place, &job.slipper, job.ruler)
            .into_iter()
            .map(|misfit| {
                let option = match misfit.key {
                    "width_cm" => "--width",
                    _ => "--below",
                };
                format!(
                    "error: `{option}`: {}\n  tip: {}",
                    misfit.message, misfit.tip
                )
            })
            .collect();
        if told.is_empty() {
            Ok(())
        } else {
            Err(Stop::Told(told.join("\n")))
        }
    }

    /// A directory name for this slipper, this face and its variant: their names without `.toml`,
    /// joined.
    pub(crate) fn set_name(&self) -> String {
        let stem = |path: &Path| {
            path.file_stem()
                .map(|stem| stem.to_string_lossy().into_owned())
                .unwrap_or_default()
        };
        let mut name = format!("{}-{}", stem(&self.slipper), stem(Path::new(&self.face)));
        if let Some(variant) = &self.variant {
            name = format!("{name}-{}", file_word(variant.trim()));
        }
        name
    }
}

/// Reads a slipper file.
pub(crate) fn read_slipper(path: &Path) -> Result<SlipperFile, Stop> {
    files::read_slipper(path).map_err(|faults| Stop::Told(faults.to_string()))
}

/// Reads a face: a bundled one by its name, else a file.
fn read_face(face: &str) -> Result<Face, Stop> {
    let path = Path::new(face);
    if let Some(bundled) = Bundled::named(face).filter(|_| !path.is_file()) {
        return bundled_face(bundled);
    }
    let is_a_name = !face.contains(['/', '\\', '.']);
    if is_a_name && !path.exists() {
        let nearest = nearest(face, &FACES.map(|bundled| bundled.name));
        let reason = format!("there is no bundled face `{face}` and no file of that name");
        return Err(match nearest {
            Some(name) => Stop::with_tip(reason, format!("did you mean `{name}`?")),
            None => Stop::with_tip(reason, "`instep faces` lists the bundled faces"),
        });
    }
    files::read_face(path).map_err(|faults| Stop::Told(faults.to_string()))
}

/// The most alike of some names, if it may be meant.
fn nearest<'n>(name: &str, known: &[&'n str]) -> Option<&'n str> {
    let alike = |known: &str| strsim::jaro(known, name);
    let best = known.iter().copied();
    let best = best.max_by(|a, b| alike(a).total_cmp(&alike(b)))?;
    (alike(best) > 0.7).then_some(best)
}

/// A variant's name as a part of a file's name.
pub(crate) fn file_word(variant: &str) -> String {
    variant.replace(' ', "-")
}

/// Reads a bundled face.
pub(crate) fn bundled_face(bundled: Bundled) -> Result<Face, Stop> {
    bundled
        .face()
        .map_err(|faults| Stop::Told(faults.to_string()))
}

/// A length as typed, in mm; a plain number is in cm.
fn length_mm(typed: &str) -> Result<f64, String> {
    typed_length(typed, units::MM_PER_CM, "6.5cm or 2.5in")
}

/// A length as typed, in mm; what a plain number is in is given in mm.
pub(crate) fn typed_length(typed: &str, plain_mm: f64, like: &str) -> Result<f64, String> {
    let text = typed.trim();
    let number_ends = text
        .find(|c: char| c.is_alphabetic() || c == '"')
        .unwrap_or(text.len());
    let (number, unit) = text.split_at(number_ends);
    let value: f64 = number
        .trim()
        .parse()
        .map_err(|_| format!("expected a length like {like}, found `{typed}`"))?;
    let mm = match unit {
        "" => value * plain_mm,
        "cm" => units::centimetres(value),
        "mm" => value,
        "in" | "\"" => units::inches(value),
        _ => {
            return Err(format!(
                "expected cm, mm or in after the number, found `{unit}`"
            ));
        }
    };
    if (0.0..=1000.0).contains(&mm) {
        Ok(mm)
    } else {
        Err(format!(
            "expected a length from 0 to 100 cm, found `{typed}`"
        ))
    }
}

#[cfg(test)]
mod tests {
    use super::length_mm;

    #[test]
    fn a_length_is_typed_in_cm_mm_or_in() {
        // Exact by definition: 1 in is 25.4 mm.
        assert_eq!(length_mm("6.5cm"), Ok(65.0));
        assert_eq!(length_mm("6.5"), Ok(65.0));
        assert_eq!(length_mm("65 mm"), Ok(65.0));
        assert_eq!(length_mm("2in"), Ok(50.8));
        for wrong in ["wide", "3 rows", "-1", "nan", "1e9", ""] {
            assert!(length_mm(wrong).is_err(), "{wrong}");
        }
    }
}
