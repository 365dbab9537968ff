//! The faces that come with the program.

use serde::Serialize;
use serde::ser::Error as _;

use super::{Faults, parse_face};
use crate::face::Face;

/// A face file of the `faces` directory.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Bundled {
    /// The name it is asked for by: the file's name without `.toml`.
    pub name: &'static str,
    /// The text of the file.
    pub text: &'static str,
}

macro_rules! bundled {
    ($($name:literal),* $(,)?) => {
        [$(Bundled { name: $name, text: include_str!(concat!("../../faces/", $name, ".toml")) }),*]
    };
}

/// All bundled faces, in the order of their names.
pub const FACES: [Bundled; 10] = bundled![
    "bear",
    "cat",
    "fox",
    "ghost",
    "lantern-scowl",
    "lantern-smile",
    "lantern-wink",
    "moon",
    "owl",
    "snow-figure",
];

impl Bundled {
    /// A bundled face by its name.
    #[must_use]
    pub fn named(name: &str) -> Option<Self> {
        FACES.into_iter().find(|face| face.name == name)
    }

    /// The face of the file.
    ///
    /// # Errors
    /// Never: the checks read each of them.
    pub fn face(self) -> Result<Face, Faults> {
        parse_face(self.name, self.text)
    }

    /// What it is, in a line: the comment that begins its file.
    #[must_use]
    pub fn about(self) -> &'static str {
        let first = self.text.lines().next().unwrap_or_default();
        first.trim_start_matches('#').trim()
    }
}

#[derive(Serialize)]
struct Listed {
    name: &'static str,
    about: &'static str,
    variants: Vec<String>,
}

/// The list of bundled faces for other programs, ended by a line end.
///
/// # Errors
/// Never.
pub fn faces_json() -> Result<String, serde_json::Error> {
    let listed = |bundled: Bundled| {
        let face = bundled.face().map_err(serde_json::Error::custom)?;
        Ok(Listed {
            name: bundled.name,
            about: bundled.about(),
            variants: face.variant_names().map(str::to_owned).collect(),
        })
    };
    let list: Vec<Listed> = FACES
        .into_iter()
        .map(listed)
        .collect::<Result<_, serde_json::Error>>()?;
    Ok(serde_json::to_string_pretty(&list)? + "\n")
}
