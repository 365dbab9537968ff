//! `instep set`: several faces on several slippers.

mod making;
mod shown;

use std::fs;
use std::path::{Path, PathBuf};

use clap::Args;
use clap::builder::RangedU64ValueParser;
use instep::files::set::{Pieces, SetReport, gather};
use instep::files::{self, Existing, Ready, Words, folder, kept, write_set};
use instep::weave::Level;
use instep::weave::set::{Look, Made, Sewn, Shoe, Whole, whole};

use super::Verdict;
use super::plan::PaperWord;
use super::screen::{Stop, show};
use super::wording::Wording;
use making::{Making, make};

/// Plan every face of a set on every slipper of it, and look at them together.
///
/// Each face on each slipper gets a folder with the files of `instep plan`. Beside them stand
/// set.png (all of them side by side at one scale, with more pages set-2.png where one does not
/// hold them), set.csv and set.json (their figures, which of them look alike) and yarn.txt (what
/// to buy). A folder whose slipper, face and settings are unchanged is kept as it is, so that a
/// run that was stopped goes on where it was.
#[derive(Debug, Args)]
#[command(after_help = "\
A set file needs two lines:
  slippers = [\"adult.toml\", \"child.toml\"]
  faces = [\"lantern-smile\", \"my-face.toml\"]

Examples:
  instep set walk.toml --out walk
  instep set walk.toml --out walk --quiet --threads 1")]
pub(crate) struct Set {
    /// The set file (TOML): slippers, faces, how many of each.
    set: PathBuf,
    /// Directory for all that is made, itself made when missing. Unless given, a directory here
    /// named after the set file.
    #[arg(long, value_name = "DIR")]
    out: Option<PathBuf>,
    /// Threads that plan at the same time; unless given, one for each core.
    #[arg(long, value_name = "NUMBER", value_parser = RangedU64ValueParser::<usize>::new().range(1..=256))]
    threads: Option<usize>,
    /// Paper of the true-size sheets.
    #[arg(long, value_enum, default_value_t = PaperWord::A4)]
    paper: PaperWord,
    /// Plan every piece anew, also those that are unchanged.
    #[arg(long)]
    fresh: bool,
    /// Show nothing but errors.
    #[arg(long, short, conflicts_with = "json")]
    quiet: bool,
    /// Print set.json instead of the summary.
    #[arg(long)]
    json: bool,
    #[command(flatten)]
    wording: Wording,
}

impl Set {
    pub(crate) fn run(&self) -> Result<Verdict, Stop> {
        let words = self.wording.words();
        let set = files::read_set(&self.set).map_err(|faults| Stop::Told(faults.to_string()))?;
        if let Some(threads) = self.threads {
            let pool = rayon::ThreadPoolBuilder::new().num_threads(threads);
            pool.build_global().map_err(Stop::because)?;
        }
        let mut all = gather(&set, words.ruler);
        if all.pieces.is_empty() {
            return Err(Stop::Told(all.faults.join("\n")));
        }
        let root = self.root();
        let _hold = folder::hold(&root).map_err(Stop::because)?;
        folder::clear(&root, kept::made).map_err(Stop::because)?;
        let made = make(&Making {
            root: &root,
            pieces: &all.pieces,
            words,
            paper: self.paper,
            fresh: self.fresh,
            quiet: self.quiet || self.json,
        });
        let kept = made.iter().filter(|made| made.kept).count();
        let mut sewn = Vec::new();
        for (piece, made) in all.pieces.iter().zip(made) {
            let failed = |reason| {
                let fault = format!("error: {}: {reason}", piece.folder);
                all.faults.push(fault);
            };
            sewn.push(made.sewn.map_err(failed).ok());
        }
        let whole = look(&all, &sewn, words);
        let report = SetReport {
            set: &set,
            all: &all,
            sewn: &sewn,
            whole: &whole,
        };
        let written = write(&root, &report, words)?;
        if self.json {
            show(&report.json(words).map_err(Stop::because)?)?;
        } else if !self.quiet {
            show(&shown::summary(&report, words, kept, (&root, &written)))?;
        }
        if !all.faults.is_empty() {
            return Err(Stop::Told(all.faults.join("\n")));
        }
        let problem = whole.findings.iter().any(|f| f.level == Level::Problem);
        Ok(if problem {
            Verdict::Problem
        } else {
            Verdict::Good
        })
    }

    /// Where all goes.
    fn root(&self) -> PathBuf {
        let named_after = || self.set.file_stem().unwrap_or_default().into();
        self.out.clone().unwrap_or_else(named_after)
    }
}

/// Looks at the pieces together.
fn look(all: &Pieces, sewn: &[Option<Sewn>], words: Words) -> Whole {
    let shoes: Vec<Shoe> = all
        .rows
        .iter()
        .map(|row| Shoe {
            name: row.name.clone(),
            around_mm: row.around_mm,
        })
        .collect();
    let looks: Vec<Look> = all
        .columns
        .iter()
        .map(|column| Look {
            name: column.name.clone(),
            is_mirror: column.foot == files::set::Foot::Mirrored,
        })
        .collect();
    let made: Vec<Made<'_>> = all
        .pieces
        .iter()
        .zip(sewn)
        .filter_map(|(piece, sewn)| {
            Some(Made {
                shoe: piece.row,
                look: piece.column,
                sewn: sewn.as_ref()?,
            })
        })
        .collect();
    whole(&shoes, &looks, &made, words.ruler)
}

/// Writes what is about the set as a whole; the names written.
fn write(root: &Path, report: &SetReport<'_>, words: Words) -> Result<Vec<String>, Stop> {
    let mut set = shown::pictures(report, words)?;
    let pages = set.len();
    set.push(Ready::new("set.csv", report.csv()));
    let json = report.json(words).map_err(Stop::because)?;
    set.push(Ready::new("set.json", json));
    set.push(Ready::new("yarn.txt", report.yarn(words)));
    write_set(root, &set, Existing::Replace).map_err(Stop::because)?;
    // Pages of an earlier, larger set.
    for page in pages + 1.. {
        if fs::remove_file(root.join(shown::page_name(page))).is_err() {
            break;
        }
    }
    Ok(set.into_iter().map(|file| file.name).collect())
}
