//! `instep grade`: other sizes of a proven slipper.

use std::fs;
use std::path::{Path, PathBuf};

use clap::Args;
use instep::fabric::foot::ADULT_AROUND_MM;
use instep::fabric::{Ease, Foot, Graded, Grading, Slipper};
use instep::files::feet::{AROUND_MM, LENGTH_MM};
use instep::files::{
    self, Existing, FootAsked, Ready, Words, WriteError, graded_slipper, write_set,
};

use super::Verdict;
use super::inputs::{file_word, read_slipper, typed_length};
use super::screen::{HEADING, Stop, hung, show, typed};
use super::size_table::{Run, table};
use super::wording::Wording;

/// Make other sizes of a proven slipper: rounds and counts for other feet at the same gauge.
///
/// A size is as much larger or smaller than its foot as the proven slipper is on its own, reaches
/// the instep at the same share of the foot's length, and its toe grows by the same steps. With
/// --out each size is written as a slipper file that can be planned. Sizes are called by the
/// length of the foot in mm (Mondopoint, ISO 9407).
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  instep grade slipper.toml --length 255 --around 240
  instep grade slipper.toml --feet feet.toml --out sizes

A list of feet:
  [[foot]]
  length_mm = 240       heel to longest toe, standing
  around_mm = 225       around the ball; left out for an adult, it is estimated
  name = \"Nan\"          left out, the size is called 240")]
pub(crate) struct Grade {
    /// The slipper file (TOML) of a slipper that fits; `instep start` writes one to fill in.
    slipper: PathBuf,
    /// The feet to make it for (TOML).
    #[arg(long, value_name = "FILE", required_unless_present = "length", conflicts_with_all = ["length", "around"])]
    feet: Option<PathBuf>,
    /// One foot's length, heel to longest toe: 240, `24cm`, `9.5in`; a plain number is in mm.
    #[arg(long, value_name = "LENGTH", value_parser = foot_length)]
    length: Option<f64>,
    /// That foot's circumference around the ball; unless given, it is estimated for an adult.
    #[arg(long, value_name = "LENGTH", value_parser = foot_around, requires = "length")]
    around: Option<f64>,
    /// Length of the foot that the proven slipper fits; unless given, it is estimated from the
    /// circumference for an adult.
    #[arg(long, value_name = "LENGTH", value_parser = foot_length, help_heading = "Fit")]
    proven_length: Option<f64>,
    /// How much larger than the foot the slipper is around, in per cent of the foot; below 0 it
    /// stretches. Unless given, as the proven slipper on its foot (`worn.around_cm`), else -5.
    #[arg(long, value_name = "PERCENT", value_parser = percent, allow_negative_numbers = true, help_heading = "Fit")]
    ease_around: Option<f64>,
    /// The same for the length, from the toe along the sole to the heel seam.
    #[arg(long, value_name = "PERCENT", value_parser = percent, allow_negative_numbers = true, default_value = "0", help_heading = "Fit")]
    ease_along: f64,
    /// Write a slipper file for each size into this directory, all or none.
    #[arg(long, value_name = "DIR")]
    out: Option<PathBuf>,
    /// Print the sizes as JSON; files are written all the same.
    #[arg(long)]
    json: bool,
    /// Write over files of these names that are there.
    #[arg(long, requires = "out")]
    force: bool,
    #[command(flatten)]
    wording: Wording,
}

/// Ease around where neither the maker nor the proven slipper tells it. Crochet stretches, and a
/// slipper that is not smaller than the foot slides off; common practice, no source.
const EASE_AROUND: f64 = -0.05;

impl Grade {
    pub(crate) fn run(&self) -> Result<Verdict, Stop> {
        let proven = read_slipper(&self.slipper)?.slipper;
        let asked = self.asked()?;
        let words = self.wording.words();
        let (grading, told) = self.grading(&proven, words)?;
        let sizes = self.sizes(&grading, asked)?;
        let mut text = match self.json {
            true => files::sizes_json(&proven, &grading, &sizes).map_err(Stop::because)?,
            false => {
                let run = Run {
                    proven: &proven,
                    grading: &grading,
                    told,
                    sizes: &sizes,
                };
                table(&run, words)
            }
        };
        if let Some(dir) = &self.out {
            let names = self.write(dir, &sizes)?;
            if !self.json {
                let written = format!("to {}: {}", typed(dir), names.join(", "));
                text.push_str(&format!(
                    "\n{HEADING}Written{HEADING:#}  {}\n",
                    hung(&written, 9)
                ));
            }
        }
        show(&text)?;
        Ok(Verdict::Good)
    }

    /// The feet to make the slipper for.
    fn asked(&self) -> Result<Vec<FootAsked>, Stop> {
        if let Some(feet) = &self.feet {
            return files::read_feet(feet).map_err(|faults| Stop::Told(faults.to_string()));
        }
        // One of the two is there: the arguments are checked for it.
        let length = self.length.unwrap_or(LENGTH_MM.0);
        let asked = FootAsked::new(length, self.around).ok_or_else(|| {
            Stop::with_tip(
                format!("`--around`: a foot of {length} mm is no adult's, and only an adult's circumference is estimated"),
                "measure it around the ball, standing: `--around 150`",
            )
        })?;
        Ok(vec![asked])
    }

    /// The proven slipper with its foot and ease, and in words where they were taken from.
    fn grading(&self, proven: &Slipper, words: Words) -> Result<(Grading, Vec<String>), Stop> {
        let tube = proven.tube_around_mm();
        let (around, around_from) = match (self.ease_around, proven.foot_around_mm) {
            (Some(ease), _) => (ease / 100.0, "as asked for"),
            (None, Some(foot)) => (tube / foot - 1.0, "as the proven slipper on its foot"),
            (None, None) => (
                EASE_AROUND,
                "common practice, for the slipper file states no foot",
            ),
        };
        let foot_around = proven.foot_around_mm.unwrap_or(tube / (1.0 + around));
        let (foot, length_from) = match self.proven_length {
            Some(length_mm) => (
                Foot {
                    length_mm,
                    around_mm: foot_around,
                },
                "as given",
            ),
            None => (
                Foot::of_adult_around(foot_around).ok_or_else(|| child(foot_around, words))?,
                "estimated from its circumference (adults, ANSUR II); --proven-length states it",
            ),
        };
        let ease = Ease {
            around,
            along: self.ease_along / 100.0,
        };
        let grading = Grading::new(proven, foot, ease).map_err(Stop::because)?;
        let ruler = words.ruler;
        let mut told = vec![
            format!("Ease around {:+.1} %: {around_from}.", 100.0 * around),
            format!(
                "Ease along {:+.1} %: {} the foot from the ring along the sole to the heel seam.",
                self.ease_along,
                match self.ease_along {
                    0.0 => "as long as",
                    ease if ease > 0.0 => "longer than",
                    _ => "shorter than",
                }
            ),
            format!(
                "The instep at {:.2} of the foot's length, as in the proven slipper on a foot of {}: {length_from}.",
                grading.instep_share(),
                ruler.tape(foot.length_mm)
            ),
        ];
        if let Some(most) = grading.increases().held_back() {
            told.push(format!(
                "The proven toe has a round that grows by more than lies flat: sizes grow by {most} at most.",
            ));
        }
        Ok((grading, told))
    }

    /// Each size, or all that cannot be made.
    fn sizes(
        &self,
        grading: &Grading,
        asked: Vec<FootAsked>,
    ) -> Result<Vec<(FootAsked, Graded)>, Stop> {
        let mut sizes = Vec::new();
        let mut refused = Vec::new();
        for asked in asked {
            match grading.size(asked.foot) {
                Ok(graded) => sizes.push((asked, graded)),
                Err(error) => refused.push(format!(
                    "error: {}size {}: {error}\n  tip: thinner yarn, or a pattern of its own for such a foot",
                    self.place(&asked),
                    asked.name
                )),
            }
        }
        if refused.is_empty() {
            Ok(sizes)
        } else {
            Err(Stop::Told(refused.join("\n")))
        }
    }

    /// Where a foot is asked for: `feet.toml:7: `.
    fn place(&self, asked: &FootAsked) -> String {
        match (&self.feet, asked.line) {
            (Some(file), Some(line)) => format!("{}:{line}: ", file.display()),
            _ => String::new(),
        }
    }

    /// Writes a file a size; their names.
    fn write(&self, dir: &Path, sizes: &[(FootAsked, Graded)]) -> Result<Vec<String>, Stop> {
        let text = fs::read_to_string(&self.slipper).map_err(Stop::because)?;
        let stem = self.slipper.file_stem().unwrap_or_default();
        let stem = stem.to_string_lossy();
        let set: Vec<Ready> = sizes
            .iter()
            .map(|(asked, graded)| {
                let text = graded_slipper(&text, asked, graded)
                    .map_err(|faults| Stop::Told(faults.to_string()))?;
                let name = format!("{stem}-{}.toml", file_word(&asked.name));
                Ok(Ready::new(&name, text))
            })
            .collect::<Result<_, Stop>>()?;
        let existing = match self.force {
            true => Existing::Replace,
            false => Existing::Refuse,
        };
        write_set(dir, &set, existing).map_err(|error| match error {
            WriteError::AlreadyThere { .. } => {
                Stop::with_tip(error, "name another directory, or add `--force`")
            }
            WriteError::Refused { .. } => Stop::because(error),
        })?;
        Ok(set.into_iter().map(|file| file.name).collect())
    }
}

fn child(around_mm: f64, words: Words) -> Stop {
    let (least, most) = ADULT_AROUND_MM;
    Stop::with_tip(
        format!(
            "the proven slipper fits a foot of {} around, and only for an adult's of {} to {} is its length estimated",
            words.ruler.tape(around_mm),
            words.ruler.tape(least),
            words.ruler.tape(most)
        ),
        "measure the foot that it fits, and add `--proven-length 200`",
    )
}

fn foot_length(typed: &str) -> Result<f64, String> {
    in_range(typed, LENGTH_MM)
}

fn foot_around(typed: &str) -> Result<f64, String> {
    in_range(typed, AROUND_MM)
}

fn in_range(typed: &str, (least, most): (f64, f64)) -> Result<f64, String> {
    let mm = typed_length(typed, 1.0, "240, 24cm or 9.5in")?;
    match (least..=most).contains(&mm) {
        true => Ok(mm),
        false => Err(format!(
            "expected a foot of {least} to {most} mm, found `{typed}`; a plain number is in mm"
        )),
    }
}

fn percent(typed: &str) -> Result<f64, String> {
    let number = typed.trim().trim_end_matches('%').trim();
    let percent = number.parse::<f64>().ok();
    percent
        .filter(|percent| (-30.0..=30.0).contains(percent))
        .ok_or_else(|| format!("expected -30 to 30 per cent of the foot, found `{typed}`"))
}
