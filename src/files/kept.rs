//! Whether a folder of a piece still holds what was written there, and from what: its key file.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::Path;

use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};

use super::words::Words;
use super::write::Ready;
use crate::weave::Job;

/// Name of the key file.
pub const KEY_FILE: &str = "made.json";

/// Number of its schema.
const FORMAT: u32 = 1;

#[derive(Serialize, Deserialize)]
struct KeyText {
    format: u32,
    /// SHA-256 of all that the files are made from.
    from: String,
    /// Each file with the SHA-256 of its content.
    files: BTreeMap<String, String>,
}

/// What the files of a piece are made from, as one number: the job with all its figures, the
/// words, and the program.
#[must_use]
pub fn key(job: &Job, words: &Words, program: &str) -> String {
    // The derived text of a job names every field; a float stands there so that it reads back to
    // the same bits.
    sha256(format!("{program}\n{words:?}\n{job:?}").as_bytes())
}

/// SHA-256 in hexadecimal (FIPS 180-4).
#[must_use]
pub fn sha256(bytes: &[u8]) -> String {
    let digest = Sha256::digest(bytes);
    digest.iter().map(|byte| format!("{byte:02x}")).collect()
}

/// The key file of a folder of these files.
///
/// # Errors
/// Never.
pub fn key_file(key: &str, files: &[Ready]) -> Result<Ready, serde_json::Error> {
    let text = KeyText {
        format: FORMAT,
        from: key.to_owned(),
        files: files
            .iter()
            .map(|file| (file.name.clone(), sha256(&file.bytes)))
            .collect(),
    };
    let text = serde_json::to_string_pretty(&text)? + "\n";
    Ok(Ready::new(KEY_FILE, text))
}

fn read(folder: &Path) -> Option<KeyText> {
    let text = fs::read(folder.join(KEY_FILE)).ok()?;
    let key: KeyText = serde_json::from_slice(&text).ok()?;
    (key.format == FORMAT).then_some(key)
}

/// The names of the files that the program wrote into a folder, as its key file states them.
#[must_use]
pub fn made(folder: &Path) -> BTreeSet<String> {
    let names = read(folder).map(|key| key.files.into_keys());
    let names = names.into_iter().flatten();
    names.chain([KEY_FILE.to_owned()]).collect()
}

/// True for a folder with a key file: one that the program made.
#[must_use]
pub fn is_made(folder: &Path) -> bool {
    read(folder).is_some()
}

/// The content of one file of a folder, if the folder was made from this key and every file of it
/// is there and holds what was written.
#[must_use]
pub fn unchanged(folder: &Path, key: &str, wanted: &str) -> Option<Vec<u8>> {
    let read = read(folder).filter(|read| read.from == key)?;
    let mut content = None;
    for (name, hash) in &read.files {
        let plain = Path::new(name)
            .file_name()
            .is_some_and(|own| own == name.as_str());
        let bytes = plain.then(|| fs::read(folder.join(name)).ok()).flatten()?;
        if sha256(&bytes) != *hash {
            return None;
        }
        if name == wanted {
            content = Some(bytes);
        }
    }
    content
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn hashes_are_those_of_the_standard() {
        // FIPS 180-4 example: the message "abc".
        assert_eq!(
            sha256(b"abc"),
            "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
        );
    }
}
