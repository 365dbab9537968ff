//! A set of files written whole or not at all.

use std::fs;
use std::io;
use std::path::{Path, PathBuf};

/// One file of a set.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Ready {
    /// Its name in the directory.
    pub name: String,
    /// All it holds.
    pub bytes: Vec<u8>,
}

impl Ready {
    /// A file with finished content.
    pub fn new(name: &str, bytes: impl Into<Vec<u8>>) -> Self {
        Self {
            name: name.to_owned(),
            bytes: bytes.into(),
        }
    }
}

/// What to do with files of the same name.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Existing {
    /// Put the new ones in their place.
    Replace,
    /// Write nothing when one is there.
    Refuse,
}

/// Why nothing was written.
#[derive(Debug, thiserror::Error)]
pub enum WriteError {
    /// A file of that name is there and must not be lost.
    #[error("`{}` is already there, and nothing is written over it", path.display())]
    AlreadyThere {
        /// The file found.
        path: PathBuf,
    },
    /// The system refused.
    #[error("cannot write `{}`: {source}", path.display())]
    Refused {
        /// The file or directory.
        path: PathBuf,
        /// What the system said.
        source: io::Error,
    },
}

/// Writes all files into a directory, which is made when it is missing; the paths written.
///
/// Every file is first written under another name beside its place, then all are renamed. What
/// was there is set aside until the last rename, so that a failure leaves things as they were.
///
/// # Errors
/// [`WriteError`], with nothing changed.
pub fn write_set(
    dir: &Path,
    files: &[Ready],
    existing: Existing,
) -> Result<Vec<PathBuf>, WriteError> {
    for file in files {
        let path = dir.join(&file.name);
        if existing == Existing::Refuse && path.symlink_metadata().is_ok() {
            return Err(WriteError::AlreadyThere { path });
        }
        if path.is_dir() {
            let source = io::Error::from(io::ErrorKind::IsADirectory);
            return Err(WriteError::Refused { path, source });
        }
    }
    let made = make_dir(dir)?;
    let mut set = Set {
        dir,
        done: Vec::new(),
    };
    let result = files
        .iter()
        .try_for_each(|file| set.lay_beside(file))
        .and_then(|()| files.iter().try_for_each(|file| set.put_in_place(file)));
    if let Err(error) = result {
        set.undo(files);
        for dir in made.iter().rev() {
            // Best effort: a directory that is no longer empty is not ours to remove.
            let _ = fs::remove_dir(dir);
        }
        return Err(error);
    }
    for file in files {
        // Best effort: the set is complete; a leftover of the old one harms nothing.
        let _ = fs::remove_file(beside(dir, &file.name, "old"));
    }
    Ok(files.iter().map(|file| dir.join(&file.name)).collect())
}

/// Makes a directory and its parents; those that were made, the outermost first.
fn make_dir(dir: &Path) -> Result<Vec<PathBuf>, WriteError> {
    let missing: Vec<PathBuf> = dir
        .ancestors()
        .take_while(|part| !part.as_os_str().is_empty() && !part.exists())
        .map(Path::to_path_buf)
        .collect();
    let refused = |source| WriteError::Refused {
        path: dir.to_path_buf(),
        source,
    };
    if dir.exists() && !dir.is_dir() {
        return Err(refused(io::ErrorKind::NotADirectory.into()));
    }
    fs::create_dir_all(dir).map_err(refused)?;
    Ok(missing.into_iter().rev().collect())
}

fn beside(dir: &Path, name: &str, what: &str) -> PathBuf {
    dir.join(format!(".{name}.{}.{what}", std::process::id()))
}

struct Set<'a> {
    dir: &'a Path,
    /// Names already in place.
    done: Vec<String>,
}

impl Set<'_> {
    fn lay_beside(&self, file: &Ready) -> Result<(), WriteError> {
        fs::write(beside(self.dir, &file.name, "new"), &file.bytes)
            .map_err(|source| self.refused(file, source))
    }

    fn put_in_place(&mut self, file: &Ready) -> Result<(), WriteError> {
        let path = self.dir.join(&file.name);
        if path.symlink_metadata().is_ok() {
            fs::rename(&path, beside(self.dir, &file.name, "old"))
                .map_err(|source| self.refused(file, source))?;
        }
        self.done.push(file.name.clone());
        fs::rename(beside(self.dir, &file.name, "new"), &path)
            .map_err(|source| self.refused(file, source))
    }

    fn refused(&self, file: &Ready, source: io::Error) -> WriteError {
        WriteError::Refused {
            path: self.dir.join(&file.name),
            source,
        }
    }

    /// Best effort: the first failure is the one reported.
    fn undo(&self, files: &[Ready]) {
        for name in &self.done {
            let path = self.dir.join(name);
            let _ = fs::remove_file(&path);
            let _ = fs::rename(beside(self.dir, name, "old"), &path);
        }
        for file in files {
            let _ = fs::remove_file(beside(self.dir, &file.name, "new"));
        }
    }
}
