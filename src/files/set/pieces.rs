//! From a set file to its pieces: slippers and faces found and read, every face put on every
//! slipper. A file that cannot be used is told of and leaves the others alone.

use std::path::{Path, PathBuf};

use super::super::bundled::{Bundled, FACES};
use super::super::report::{At, Fault};
use super::super::slipper::place::misfits;
use super::super::value::nearest;
use super::super::{SlipperFile, parse_face, read_face, read_slipper};
use super::{Below, FaceEntry, SetFile, SharedPlace, Variants, Written};
use crate::fabric::Instep;
use crate::fabric::colour::Rgb;
use crate::face::{Face, Place};
use crate::units::Ruler;
use crate::weave::set::Skein;
use crate::weave::{Job, ThreadStock, other_foot};

/// Whether both feet wear the same face.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Feet {
    /// Both as drawn.
    Alike,
    /// One as drawn, the other its mirror image.
    Mirrored,
}

/// The foot a piece is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Foot {
    /// Both.
    Both,
    /// The one that wears the face as drawn.
    Drawn,
    /// The one that wears its mirror image.
    Mirrored,
}

impl Foot {
    /// The word of the files.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Both => "both",
            Self::Drawn => "drawn",
            Self::Mirrored => "mirrored",
        }
    }

    /// Faces of a piece for one pair of slippers.
    #[must_use]
    pub fn faces_a_pair(self) -> u32 {
        match self {
            Self::Both => 2,
            Self::Drawn | Self::Mirrored => 1,
        }
    }
}

/// A slipper of the set.
#[derive(Debug, Clone)]
pub struct Row {
    /// Its name in folders.
    pub word: String,
    /// What the maker calls it.
    pub name: String,
    /// Circumference as worn, mm.
    pub around_mm: f64,
    /// The unfolded instep.
    pub instep: Instep,
    /// Colour of the slipper's own yarn, where the file says it.
    pub colour: Option<Rgb>,
}

/// A face of the set in one mood for one foot.
#[derive(Debug, Clone)]
pub struct Column {
    /// Its name in folders.
    pub word: String,
    /// What it is called: `Lantern smile, cross`.
    pub name: String,
    /// The face's own name: `Lantern smile`.
    pub face: String,
    /// The mood: `plain` for the face as drawn.
    pub variant: String,
    /// Which foot.
    pub foot: Foot,
}

/// One face on one slipper.
#[derive(Debug, Clone)]
pub struct Piece {
    /// Its folder: plain letters, figures and `-`, each once.
    pub folder: String,
    /// Which slipper, 0 the first.
    pub row: usize,
    /// Which face, 0 the first.
    pub column: usize,
    /// Pairs to make.
    pub pairs: u32,
    /// All that the plan is made from.
    pub job: Job,
}

/// All pieces of a set, and what kept others from being made.
#[derive(Debug, Clone, Default)]
pub struct Pieces {
    /// The slippers.
    pub rows: Vec<Row>,
    /// The faces.
    pub columns: Vec<Column>,
    /// Each face on each slipper, slipper by slipper.
    pub pieces: Vec<Piece>,
    /// What could not be used: a message for each file.
    pub faults: Vec<String>,
}

/// Finds and reads what a set names; `ruler` is the one that findings speak in.
#[must_use]
pub fn gather(set: &SetFile, ruler: Ruler) -> Pieces {
    let mut all = Pieces::default();
    let folder = Path::new(&set.file).parent().unwrap_or(Path::new(""));
    let mut slippers = Vec::new();
    for (at, entry) in set.slippers.iter().enumerate() {
        match slipper(set, folder, &entry.path) {
            Err(told) => all.faults.push(told),
            Ok(file) => {
                let instep = Instep::new(&file.slipper);
                all.rows.push(Row {
                    word: word(&entry.path.text, all.rows.iter().map(|row| &*row.word)),
                    name: file.slipper.name.clone(),
                    around_mm: instep.around_mm(),
                    colour: file.slipper.colour,
                    instep,
                });
                slippers.push((at, file));
            }
        }
    }
    let mut faces = Vec::new();
    for (at, entry) in set.faces.iter().enumerate() {
        match moods(set, folder, entry) {
            Err(told) => all.faults.push(told),
            Ok((name, moods)) => {
                let stem = word(&entry.face.text, faces.iter().map(|f: &Drawn| &*f.stem));
                for mood in moods {
                    faces.extend(for_feet(
                        set.feet,
                        at,
                        &stem,
                        (&name, mood),
                        &mut all.columns,
                    ));
                }
            }
        }
    }
    for (row, (slipper_at, slipper)) in slippers.iter().enumerate() {
        for (column, drawn) in faces.iter().enumerate() {
            let entry = &set.faces[drawn.at];
            let (shoe, look) = (&all.rows[row], &all.columns[column]);
            let names = all.pieces.iter().map(|piece| &*piece.folder);
            let folder = unique(&format!("{}-{}", shoe.word, look.word), names);
            let pairs = set.slippers[*slipper_at].pairs.or(entry.pairs);
            match job(set, entry, slipper.clone(), drawn.face.clone(), shoe, ruler) {
                Err(told) => all.faults.push(told),
                Ok(job) => all.pieces.push(Piece {
                    folder,
                    row,
                    column,
                    pairs: pairs.unwrap_or(set.pairs),
                    job,
                }),
            }
        }
    }
    all
}

/// A face as one foot wears it.
struct Drawn {
    /// Its entry in the set.
    at: usize,
    stem: String,
    face: Face,
}

/// A mood of a face: its name, and the face in it.
type Mood = (String, Face);

/// One column for both feet, or one for each where the mirror image is another face.
fn for_feet(
    feet: Feet,
    at: usize,
    stem: &str,
    (own_name, (variant, face)): (&str, Mood),
    columns: &mut Vec<Column>,
) -> Vec<Drawn> {
    let other = match feet {
        Feet::Alike => None,
        Feet::Mirrored => other_foot(&face),
    };
    let own = match other {
        None => Foot::Both,
        Some(_) => Foot::Drawn,
    };
    let worn = [(own, Some(face)), (Foot::Mirrored, other)];
    let mut drawn = Vec::new();
    for (foot, face) in worn {
        let Some(face) = face else { continue };
        let mut word = stem.to_owned();
        if variant != PLAIN {
            word = format!("{word}-{}", slug(&variant));
        }
        if foot == Foot::Mirrored {
            word += "-mirrored";
        }
        columns.push(Column {
            word: unique(&word, columns.iter().map(|column| &*column.word)),
            name: match foot {
                Foot::Mirrored => format!("{}, mirrored", face.name),
                Foot::Both | Foot::Drawn => face.name.clone(),
            },
            face: own_name.to_owned(),
            variant: variant.clone(),
            foot,
        });
        drawn.push(Drawn {
            at,
            stem: stem.to_owned(),
            face,
        });
    }
    drawn
}

/// What a face as it is drawn is called among its variants.
const PLAIN: &str = "plain";

fn slipper(set: &SetFile, folder: &Path, written: &Written) -> Result<SlipperFile, String> {
    let path = folder.join(&written.text);
    if !path.exists() {
        return Err(not_there(set, written, &path, "a slipper file", &[]));
    }
    read_slipper(&path).map_err(|faults| faults.to_string())
}

/// A face's own name, and the moods asked for of it.
fn moods(set: &SetFile, folder: &Path, entry: &FaceEntry) -> Result<(String, Vec<Mood>), String> {
    let written = &entry.face;
    let path = folder.join(&written.text);
    let face = match Bundled::named(&written.text) {
        Some(bundled) if !path.is_file() => parse_face(bundled.name, bundled.text),
        _ if path.exists() => read_face(&path),
        _ => {
            let bundled = FACES.map(|face| face.name);
            let what = "a face file or a bundled face";
            return Err(not_there(set, written, &path, what, &bundled));
        }
    };
    let face = face.map_err(|faults| faults.to_string())?;
    Ok((face.name.clone(), in_moods(set, entry, face)?))
}

fn in_moods(set: &SetFile, entry: &FaceEntry, face: Face) -> Result<Vec<Mood>, String> {
    let plain = || {
        let variants = Vec::new();
        let face = face.clone();
        (PLAIN.to_owned(), Face { variants, ..face })
    };
    let named = |name: &str| Some((name.to_owned(), face.variant(name)?));
    match &entry.variants {
        Variants::Plain => Ok(vec![plain()]),
        Variants::All => {
            let variants = face.variant_names().filter_map(named);
            Ok([plain()].into_iter().chain(variants).collect())
        }
        Variants::Named(names) => names
            .iter()
            .map(|name| match name.text.as_str() {
                PLAIN => Ok(plain()),
                text => named(text).ok_or_else(|| {
                    let known = || [PLAIN].into_iter().chain(face.variant_names());
                    let message = format!("expected a variant of {}, found `{text}`", face.name);
                    let tip = match nearest(text, known()) {
                        Some(near) => format!("did you mean `{near}`?"),
                        None => format!("there are {}", known().collect::<Vec<_>>().join(", ")),
                    };
                    set.fault(name, message, tip).to_string()
                }),
            })
            .collect(),
    }
}

/// A fault for a file that is not there, with the nearest name of those that are.
fn not_there(set: &SetFile, written: &Written, path: &Path, what: &str, known: &[&str]) -> String {
    let message = format!("expected {what}, found nothing at `{}`", path.display());
    let beside = beside(path, &written.text);
    let names = beside
        .iter()
        .map(String::as_str)
        .chain(known.iter().copied());
    let tip = match nearest(&written.text, names) {
        Some(near) => format!("did you mean `{near}`?"),
        None => "paths start at the folder of the set file".to_owned(),
    };
    set.fault(written, message, tip).to_string()
}

/// Files of TOML in the folder where a file was looked for, as the set would write them.
fn beside(path: &Path, text: &str) -> Vec<String> {
    let folder = match path.parent() {
        Some(folder) if folder.as_os_str().is_empty() => PathBuf::from("."),
        Some(folder) => folder.to_path_buf(),
        None => return Vec::new(),
    };
    let before = text.rfind('/').map_or("", |slash| &text[..=slash]);
    let entries = std::fs::read_dir(folder).into_iter().flatten().flatten();
    let mut names: Vec<String> = entries
        .filter_map(|entry| entry.file_name().into_string().ok())
        .filter(|name| name.ends_with(".toml"))
        .map(|name| format!("{before}{name}"))
        .collect();
    names.sort();
    names
}

/// The job of a piece: the slipper file's, with what the set says laid over it.
fn job(
    set: &SetFile,
    entry: &FaceEntry,
    slipper: SlipperFile,
    face: Face,
    shoe: &Row,
    ruler: Ruler,
) -> Result<Job, String> {
    let mut job = slipper.with_face(face, ruler);
    // A set is compared with itself; how near a fill comes to the best, `check` says of one piece.
    job.settings.judge = false;
    let shared = SharedPlace {
        width: entry.place.width.or(set.place.width),
        below: entry.place.below.or(set.place.below),
    };
    if let Some((share, _)) = shared.width {
        job.place.width_mm = Some(share * shoe.instep.around_mm());
    }
    if let Some((below, _)) = shared.below {
        job.place.below_mm = Some(match below {
            Below::Share(share) => share * shoe.instep.centre_line_mm(),
            Below::Rows(rows) => rows * shoe.instep.row_mm(),
        });
    }
    if let Some(facing) = set.facing {
        job.place.facing = facing;
    }
    refuse_misfits(set, &shared, &job)?;
    for (role, shared) in &set.threads {
        let mut stock = job.threads.get(role).copied().unwrap_or(ThreadStock {
            yarn: job.slipper.yarn,
            colour: None,
            auto_held: false,
        });
        if let Some(wraps) = shared.wraps_per_inch {
            stock.yarn.wraps_per_inch = wraps;
            stock.yarn.weight = None;
        }
        let own = stock.yarn;
        stock.yarn.metres_per_100g = shared.metres_per_100g.unwrap_or(own.metres_per_100g);
        stock.yarn.held = shared.held.unwrap_or(own.held);
        stock.auto_held &= shared.held.is_none();
        stock.colour = shared.colour.or(stock.colour);
        job.threads.insert(role.clone(), stock);
    }
    Ok(job)
}

/// Tells of a place that this slipper has no room for.
fn refuse_misfits(set: &SetFile, shared: &SharedPlace, job: &Job) -> Result<(), String> {
    let asked = |place: &Place| misfits(place, &job.slipper, job.ruler);
    // What the slipper file itself asks for was looked at when it was read.
    let told: Vec<String> = asked(&job.place)
        .into_iter()
        .filter_map(|misfit| {
            let (key, at): (&str, Option<At>) = match misfit.key {
                "width_cm" => ("width", shared.width.map(|(_, at)| at)),
                _ => ("below", shared.below.map(|(_, at)| at)),
            };
            let fault = Fault {
                file: set.file.clone(),
                at: Some(at?),
                key: key.to_owned(),
                message: format!("{}: {}", job.slipper.name, misfit.message),
                tip: misfit.tip.to_owned(),
            };
            Some(fault.to_string())
        })
        .collect();
    if told.is_empty() {
        Ok(())
    } else {
        Err(told.join("\n"))
    }
}

impl SetFile {
    /// The yarn that a thread of a piece is bought as.
    #[must_use]
    pub fn skein(&self, job: &Job, thread: &str) -> Skein {
        let yarn = job.yarn(thread);
        let own = self.threads.get(thread).and_then(|shared| shared.ball_g);
        Skein {
            thread: thread.to_owned(),
            colour: job.colour(thread),
            wraps_per_inch: yarn.wraps_per_inch,
            metres_per_100g: yarn.metres_per_100g,
            ball_g: own.unwrap_or(self.ball_g),
        }
    }
}

/// A word for a file in names of folders: its name without `.toml`, each once.
fn word<'w>(path: &str, taken: impl Iterator<Item = &'w str> + Clone) -> String {
    let stem = Path::new(path).file_stem().unwrap_or_default();
    unique(&slug(&stem.to_string_lossy()), taken)
}

/// Longest part of a folder's name: with three parts a name stays far under the 255 bytes that
/// file systems take.
const LONGEST_WORD: usize = 40;

/// Plain small letters, figures and single hyphens: safe in any folder, and the same word on disks
/// that do not tell capitals.
fn slug(text: &str) -> String {
    let mut word = slug::slugify(text);
    word.truncate(LONGEST_WORD);
    let word = word.trim_end_matches('-');
    if word.is_empty() { "unnamed" } else { word }.to_owned()
}

/// A word that is not taken: itself, or with the first number from 2 that is free.
fn unique<'w>(word: &str, taken: impl Iterator<Item = &'w str> + Clone) -> String {
    let free = |word: &String| !taken.clone().any(|other| other == word);
    let numbered = (2..).map(|number: u32| format!("{word}-{number}"));
    let mut words = [word.to_owned()].into_iter().chain(numbered);
    words.find(free).unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_for_folders_are_safe_and_stand_once() {
        assert_eq!(slug("Wide Grin"), "wide-grin");
        assert_eq!(slug("../../etc/passwd"), "etc-passwd");
        assert_eq!(slug("Kürbis: böse?"), "kurbis-bose");
        assert_eq!(slug("..."), "unnamed");
        assert_eq!(slug(&"x".repeat(300)).len(), LONGEST_WORD);
        let taken = ["owl", "owl-2"];
        assert_eq!(unique("owl", taken.iter().copied()), "owl-3");
        assert_eq!(word("b/OWL.toml", taken.iter().copied()), "owl-3");
        assert_eq!(word("cat", taken.iter().copied()), "cat");
    }
}
