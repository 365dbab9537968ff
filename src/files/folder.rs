//! A folder of files put in place whole: written beside its place under another name, then
//! renamed. A program that is killed leaves the old folder or the new one, and at most a leftover
//! that [`clear`] takes away.

use std::collections::BTreeSet;
use std::fs::{self, File, TryLockError};
use std::io;
use std::path::{Path, PathBuf};

use super::write::{Ready, WriteError};

/// Puts a folder of these files into `root`, in the place of one of that name.
///
/// Files of the old folder that this program did not write are moved into the new one: `made`
/// tells which files of a folder it wrote, besides those of the new one.
///
/// # Errors
/// [`WriteError`], with the old folder in its place.
pub fn put_folder(
    root: &Path,
    name: &str,
    files: &[Ready],
    made: impl Fn(&Path) -> BTreeSet<String>,
) -> Result<(), WriteError> {
    let place = root.join(name);
    let refused = |source| WriteError::Refused {
        path: place.clone(),
        source,
    };
    let there = place.symlink_metadata().ok();
    if there.as_ref().is_some_and(|there| !there.is_dir()) {
        return Err(refused(io::ErrorKind::NotADirectory.into()));
    }
    let (new, old) = (beside(root, name, "new"), beside(root, name, "old"));
    let lay = || -> io::Result<()> {
        fs::create_dir_all(&new)?;
        for file in files {
            fs::write(new.join(&file.name), &file.bytes)?;
        }
        if there.is_some() {
            fs::rename(&place, &old)?;
        }
        fs::rename(&new, &place)
    };
    if let Err(error) = lay() {
        // Best effort: the first failure is the one reported.
        let _ = fs::remove_dir_all(&new);
        if !place.exists() {
            let _ = fs::rename(&old, &place);
        }
        return Err(refused(error));
    }
    if there.is_some() {
        settle(&old, &place, made).map_err(refused)?;
    }
    Ok(())
}

/// Moves what is not the program's own from an old folder into the new one, and removes the old.
fn settle(old: &Path, place: &Path, made: impl Fn(&Path) -> BTreeSet<String>) -> io::Result<()> {
    let own = made(old);
    for entry in fs::read_dir(old)? {
        let name = entry?.file_name();
        let kept = place.join(&name);
        let is_own = name.to_str().is_some_and(|name| own.contains(name));
        if !is_own && kept.symlink_metadata().is_err() {
            fs::rename(old.join(&name), kept)?;
        }
    }
    fs::remove_dir_all(old)
}

fn beside(root: &Path, name: &str, what: &str) -> PathBuf {
    root.join(format!(".{name}.{}.{what}", std::process::id()))
}

/// Takes away what a killed run left in `root`; an old folder whose place is empty goes back.
///
/// # Errors
/// [`WriteError`] where something cannot be moved or removed.
pub fn clear(root: &Path, made: impl Fn(&Path) -> BTreeSet<String>) -> Result<(), WriteError> {
    let refused = |path: &Path, source| WriteError::Refused {
        path: path.to_path_buf(),
        source,
    };
    let entries = fs::read_dir(root).map_err(|source| refused(root, source))?;
    for entry in entries {
        let entry = entry.map_err(|source| refused(root, source))?;
        let name = entry.file_name();
        let Some((place, what)) = name.to_str().and_then(leftover) else {
            continue;
        };
        let (path, place) = (entry.path(), root.join(place));
        let is_dir = entry.file_type().is_ok_and(|kind| kind.is_dir());
        let put_back = what == "old" && place.symlink_metadata().is_err();
        let done = match (put_back, is_dir) {
            (true, _) => fs::rename(&path, &place),
            (false, true) if what == "old" => settle(&path, &place, &made),
            (false, true) => fs::remove_dir_all(&path),
            (false, false) => fs::remove_file(&path),
        };
        done.map_err(|source| refused(&path, source))?;
    }
    Ok(())
}

/// The place of a leftover, and whether it is `old` or `new`: `.owl.1234.new`.
fn leftover(name: &str) -> Option<(&str, &str)> {
    let (rest, what) = name.strip_prefix('.')?.rsplit_once('.')?;
    let (place, process) = rest.rsplit_once('.')?;
    let of_a_process = !process.is_empty() && process.bytes().all(|b| b.is_ascii_digit());
    (["new", "old"].contains(&what) && of_a_process && !place.is_empty()).then_some((place, what))
}

/// A folder that one run of the program has to itself, as long as this is kept.
#[derive(Debug)]
pub struct Hold(#[expect(dead_code, reason = "open, it holds the lock")] File);

/// Why a folder cannot be held.
#[derive(Debug, thiserror::Error)]
pub enum HoldError {
    /// Another run holds it.
    #[error("another run is writing into `{}`; wait until it is done", path.display())]
    Busy {
        /// The folder.
        path: PathBuf,
    },
    /// It cannot be written.
    #[error(transparent)]
    Refused(#[from] WriteError),
}

/// Makes a folder where there is none, and holds it for this run.
///
/// # Errors
/// [`HoldError`] where another run holds it, or the system refuses.
pub fn hold(root: &Path) -> Result<Hold, HoldError> {
    let path = root.join(LOCK);
    let refused = |source| WriteError::Refused {
        path: path.clone(),
        source,
    };
    fs::create_dir_all(root).map_err(|source| WriteError::Refused {
        path: root.to_path_buf(),
        source,
    })?;
    let file = File::create(&path).map_err(refused)?;
    match file.try_lock() {
        Ok(()) => Ok(Hold(file)),
        Err(TryLockError::WouldBlock) => Err(HoldError::Busy {
            path: root.to_path_buf(),
        }),
        // A disk that knows no locks: two runs at once are then for the maker to avoid.
        Err(TryLockError::Error(_)) => Ok(Hold(file)),
    }
}

/// Name of the file that is locked: empty, and left where it is.
const LOCK: &str = ".lock";

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn leftovers_are_told_from_other_hidden_files() {
        assert_eq!(leftover(".owl.12.new"), Some(("owl", "new")));
        assert_eq!(leftover(".set.png.12.old"), Some(("set.png", "old")));
        for name in [
            "owl",
            ".owl",
            ".owl.new",
            ".owl.x.new",
            ".owl.12.tmp",
            "..12.new",
            LOCK,
        ] {
            assert_eq!(leftover(name), None, "{name}");
        }
    }

    #[test]
    fn a_folder_is_replaced_and_what_the_maker_put_there_stays() {
        let root = std::env::temp_dir().join(format!("instep-folder-{}", std::process::id()));
        fs::create_dir_all(&root).unwrap();
        let made = |_: &Path| BTreeSet::from(["gone.txt".to_owned()]);
        let put = |files: &[(&str, &str)]| {
            let files: Vec<Ready> = files
                .iter()
                .map(|&(name, text)| Ready::new(name, text))
                .collect();
            put_folder(&root, "owl", &files, made).unwrap();
        };
        put(&[("a.txt", "1"), ("gone.txt", "1")]);
        fs::write(root.join("owl/mine.txt"), "mine").unwrap();
        put(&[("a.txt", "2")]);
        let read = |name: &str| fs::read_to_string(root.join(name)).ok();
        assert_eq!(read("owl/a.txt").as_deref(), Some("2"));
        assert_eq!(read("owl/mine.txt").as_deref(), Some("mine"));
        assert_eq!(read("owl/gone.txt"), None);
        // Killed between the two renames: the old folder goes back.
        fs::rename(root.join("owl"), root.join(".owl.1.old")).unwrap();
        fs::create_dir(root.join(".cat.1.new")).unwrap();
        fs::write(root.join(".set.png.1.new"), "half").unwrap();
        clear(&root, made).unwrap();
        let mut names: Vec<_> = fs::read_dir(&root)
            .unwrap()
            .map(|entry| entry.unwrap().file_name())
            .collect();
        names.sort();
        assert_eq!(names, ["owl"]);
        assert_eq!(read("owl/mine.txt").as_deref(), Some("mine"));
        fs::remove_dir_all(&root).unwrap();
    }
}
