//! The pieces of a set made on several cores, each put in place whole; those that are unchanged
//! are kept.

use std::cmp::Reverse;
use std::path::Path;
use std::sync::Mutex;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::{env, fs, thread};

use indicatif::ProgressBar;
use instep::draw::Painted;
use instep::files::set::Piece;
use instep::files::{self, Words, folder, kept};
use instep::weave::{self, set::Sewn};
use rayon::ThreadPoolBuilder;
use rayon::prelude::*;

use crate::cli::plan::{PaperWord, files_of};
use crate::cli::screen::progress;

/// The file of a plan that a set is looked at by.
const PLAN: &str = "plan.json";

/// What is to be made, and how.
pub(super) struct Making<'a> {
    /// Where the folders go.
    pub(super) root: &'a Path,
    pub(super) pieces: &'a [Piece],
    pub(super) words: Words,
    pub(super) paper: PaperWord,
    /// Make also what is unchanged.
    pub(super) fresh: bool,
    pub(super) quiet: bool,
}

/// What became of a piece.
pub(super) struct Outcome {
    /// It was unchanged, and kept.
    pub(super) kept: bool,
    /// Its plan, or why there is none.
    pub(super) sewn: Result<Sewn, String>,
}

/// Makes all pieces; one outcome each, in their order.
pub(super) fn make(making: &Making<'_>) -> Vec<Outcome> {
    // What else the files depend on.
    let program = format!("{} {:?}", program(), making.paper);
    let bar = progress(making.pieces.len(), making.quiet);
    let keys: Vec<String> = making
        .pieces
        .iter()
        .map(|piece| kept::key(&piece.job, &making.words, &program))
        .collect();
    let kept = |(piece, key): (&Piece, &String)| {
        let folder = making.root.join(&piece.folder);
        let text = kept::unchanged(&folder, key, PLAN).filter(|_| !making.fresh)?;
        let sewn = files::sewn(&text).ok()?;
        bar.inc(1);
        Some(Outcome {
            kept: true,
            sewn: Ok(sewn),
        })
    };
    let pieces = making.pieces.par_iter().zip(&keys);
    let mut outcomes: Vec<Option<Outcome>> = pieces.map(kept).collect();
    let mut open: Vec<usize> = (0..outcomes.len())
        .filter(|&at| outcomes[at].is_none())
        .collect();
    // Those of many stitches take longest: begun last, they would keep one worker waiting.
    let stitches = |&at: &usize| -> u32 {
        let shell = &making.pieces[at].job.slipper.shell;
        shell.counts().iter().sum()
    };
    open.sort_by_key(|at| Reverse(stitches(at)));
    let painted = Painted::default();
    let made = side_by_side(&open, &bar, |at| {
        one(making, &making.pieces[at], &keys[at], &painted)
    });
    for (at, sewn) in made {
        outcomes[at] = Some(Outcome { kept: false, sewn });
    }
    bar.finish_and_clear();
    outcomes.into_iter().flatten().collect()
}

/// Makes one piece and puts its folder in place.
fn one(making: &Making<'_>, piece: &Piece, key: &str, painted: &Painted) -> Result<Sewn, String> {
    let plan = weave::plan(&piece.job).map_err(|error| error.to_string())?;
    let files = files_of(&plan, making.words, making.paper, painted);
    let mut files = files.map_err(|stop| stop.to_string())?;
    let text = files.iter().find(|file| file.name == PLAN);
    let text = text.map_or(&[][..], |file| &file.bytes);
    let sewn = files::sewn(text).map_err(|error| error.to_string())?;
    files.push(kept::key_file(key, &files).map_err(|error| error.to_string())?);
    folder::put_folder(making.root, &piece.folder, &files, kept::made)
        .map_err(|error| error.to_string())?;
    Ok(sewn)
}

/// Does each piece of work on one of as many threads as the pool has.
///
/// A plan itself divides its work. Were all in one pool, a thread that waits for a part of its
/// plan would begin another plan in the meantime, plan within plan; so each worker has a small
/// pool of its own, of one thread where there is work for all.
fn side_by_side<T: Send>(
    work: &[usize],
    bar: &ProgressBar,
    each: impl Fn(usize) -> T + Sync,
) -> Vec<(usize, T)> {
    let threads = rayon::current_num_threads();
    let workers = threads.min(work.len());
    let next = AtomicUsize::new(0);
    let done = Mutex::new(Vec::new());
    let run = || {
        while let Some(&at) = work.get(next.fetch_add(1, Ordering::Relaxed)) {
            let result = each(at);
            bar.inc(1);
            if let Ok(mut done) = done.lock() {
                done.push((at, result));
            }
        }
    };
    thread::scope(|scope| {
        for _ in 0..workers {
            scope.spawn(|| {
                let pool = ThreadPoolBuilder::new().num_threads(threads / workers);
                match pool.build() {
                    Ok(pool) => pool.install(run),
                    // No more threads to be had: on this one, with the common pool.
                    Err(_) => run(),
                }
            });
        }
    });
    done.into_inner().unwrap_or_default()
}

/// This program: its version, and what it is to the last byte, for a piece made by another may
/// differ.
fn program() -> String {
    let bytes = env::current_exe().and_then(fs::read).unwrap_or_default();
    format!("{} {}", env!("CARGO_PKG_VERSION"), kept::sha256(&bytes))
}
