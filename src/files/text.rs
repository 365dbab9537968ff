//! A file of the disk as text, or a fault that says why it is none.

use std::fs::File;
use std::io::{ErrorKind, Read as _};
use std::path::Path;

use super::report::{At, Fault, Faults};

/// Largest file read, bytes. A slipper or a face is a page of text.
const LARGEST: u64 = 1_000_000;

/// Reads a file.
///
/// # Errors
/// A fault of the whole file: not there, not readable, a folder, too large; or the place of the
/// first byte that is not UTF-8.
pub(super) fn read(path: &Path) -> Result<String, Faults> {
    let file = path.display().to_string();
    let bytes = bytes(path).map_err(|(message, tip)| Faults::whole_file(&file, message, tip))?;
    String::from_utf8(bytes).map_err(|error| {
        let good = error.utf8_error().valid_up_to();
        let bytes = error.as_bytes();
        let before = String::from_utf8_lossy(&bytes[..good]);
        Faults::new(vec![Fault {
            file,
            at: Some(At::of_byte(&before, good)),
            key: String::new(),
            message: format!("expected UTF-8 text, found the byte {:#04x}", bytes[good]),
            tip: "save the file as plain text with the encoding UTF-8".into(),
        }])
    })
}

type Refused = (String, &'static str);

fn bytes(path: &Path) -> Result<Vec<u8>, Refused> {
    if path.is_dir() {
        return Err((
            "expected a file, found a folder".into(),
            "name the `.toml` file inside it",
        ));
    }
    let mut bytes = Vec::new();
    File::open(path)
        .and_then(|file| file.take(LARGEST + 1).read_to_end(&mut bytes))
        .map_err(|error| match error.kind() {
            ErrorKind::NotFound => (
                "expected a file, found nothing of this name".into(),
                "check the spelling and the folder; `instep start` writes files to begin with",
            ),
            ErrorKind::PermissionDenied => (
                "the file may not be read".into(),
                "give yourself the right to read it",
            ),
            _ => (format!("the file cannot be read: {error}"), ""),
        })?;
    if bytes.len() as u64 > LARGEST {
        return Err((
            format!(
                "expected a file of at most {} kB, found a larger one",
                LARGEST / 1000
            ),
            "a slipper or a face is a page of text; is this the right file?",
        ));
    }
    Ok(bytes)
}
