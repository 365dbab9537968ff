//! The faces that come with the program.

use serde::Serialize;

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
}

/// The list of bundled faces for other programs, ended by a line end.
///
/// # Errors
/// Never.
pub fn faces_json() -> Result<String, serde_json::Error> {
    let list = FACES.map(|face| Listed {
        name: face.name,
        about: face.about(),
    });
    Ok(serde_json::to_string_pretty(&list)? + "\n")
}
