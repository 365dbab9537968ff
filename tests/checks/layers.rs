//! Which folder may use which: the directions of the layers, read from the source itself.

use std::fs;
use std::path::{Path, PathBuf};

/// Each layer and those it may use besides itself.
const LAYERS: [(&str, &[&str]); 8] = [
    ("units", &[]),
    ("terms", &[]),
    ("fabric", &["units"]),
    ("face", &["units", "fabric"]),
    ("weave", &["units", "fabric", "face"]),
    ("files", &["units", "terms", "fabric", "face", "weave"]),
    ("draw", &["units", "terms", "fabric", "face", "weave"]),
    ("cli", &[]), // reaches the library from outside, as `instep::`
];

/// Libraries that only one layer may know.
const AT_HOME: [(&str, &str); 6] = [
    ("clap", "cli"),
    ("clap_complete", "cli"),
    ("clap_mangen", "cli"),
    ("serde", "files"),
    ("serde_json", "files"),
    ("toml", "files"),
];

const PRINTING: [&str; 6] = [
    "println!(",
    "print!(",
    "eprintln!(",
    "eprint!(",
    "stdout()",
    "stderr()",
];

/// The first folder or file below `src`: `src/weave/plan.rs` belongs to `weave`; `main.rs` is the
/// door of `cli`, and `lib.rs` only lists the layers.
fn layer_of(path: &Path) -> String {
    let first = path.components().next().expect("a path below src");
    let name = first.as_os_str().to_string_lossy();
    match name.trim_end_matches(".rs") {
        "main" => "cli".to_owned(),
        other => other.to_owned(),
    }
}

/// Code without comment lines, so that docs may speak of anything.
fn code_of(text: &str) -> String {
    text.lines()
        .filter(|line| !line.trim_start().starts_with("//"))
        .map(|line| format!("{line}\n"))
        .collect()
}

/// The names that follow each `prefix`: one, or all of a braced list at its first depth.
fn names_after(code: &str, prefix: &str) -> Vec<String> {
    let word = |text: &str| -> String {
        text.trim_start()
            .chars()
            .take_while(|c| c.is_alphanumeric() || *c == '_')
            .collect()
    };
    let mut names = Vec::new();
    for (at, _) in code.match_indices(prefix) {
        let rest = &code[at + prefix.len()..];
        let Some(list) = rest.strip_prefix('{') else {
            names.push(word(rest));
            continue;
        };
        let (mut depth, mut start) = (0, true);
        for (index, c) in list.char_indices() {
            match c {
                '{' => depth += 1,
                '}' if depth == 0 => break,
                '}' => depth -= 1,
                ',' if depth == 0 => start = true,
                c if start && c.is_alphabetic() => {
                    names.push(word(&list[index..]));
                    start = false;
                }
                _ => {}
            }
        }
    }
    names
}

/// What a file does that its layer may not.
fn breaches(path: &Path, text: &str) -> Vec<String> {
    let (layer, code) = (layer_of(path), code_of(text));
    let Some((_, above)) = LAYERS.iter().find(|(name, _)| *name == layer) else {
        return vec![format!("{}: no such layer", path.display())];
    };
    let mut found: Vec<String> = names_after(&code, "crate::")
        .into_iter()
        .filter(|used| *used != layer && !above.contains(&used.as_str()))
        .map(|used| format!("{}: uses `{used}`", path.display()))
        .collect();
    for (library, home) in AT_HOME {
        let known = |before: &str| code.contains(&format!("{before}{library}::"));
        if layer != home && [" ", "(", "<", "\n", "&", ":"].iter().any(|b| known(b)) {
            found.push(format!("{}: knows `{library}`", path.display()));
        }
    }
    if layer != "cli" && PRINTING.iter().any(|print| code.contains(print)) {
        found.push(format!("{}: prints", path.display()));
    }
    found
}

/// Every source file but `lib.rs`, its path from `src` on, and its text.
fn sources() -> Vec<(PathBuf, String)> {
    fn walk(folder: &Path, found: &mut Vec<PathBuf>) {
        for entry in fs::read_dir(folder).expect("a folder of the source") {
            let path = entry.expect("an entry").path();
            if path.is_dir() {
                walk(&path, found);
            } else if path.extension().is_some_and(|e| e == "rs") {
                found.push(path);
            }
        }
    }
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let mut paths = Vec::new();
    walk(&root, &mut paths);
    paths.sort();
    paths
        .into_iter()
        .filter(|path| path.file_name().is_some_and(|name| name != "lib.rs"))
        .map(|path| {
            let text = fs::read_to_string(&path).expect("a source file");
            let below = path.strip_prefix(&root).expect("below src").to_owned();
            (below, text)
        })
        .collect()
}

#[test]
fn each_layer_uses_itself_and_those_above_it() {
    let sources = sources();
    for (layer, _) in LAYERS {
        let seen = sources.iter().any(|(path, _)| layer_of(path) == layer);
        assert!(seen, "no file of {layer} was read");
    }
    let found: Vec<String> = sources
        .iter()
        .flat_map(|(path, text)| breaches(path, text))
        .collect();
    assert!(found.is_empty(), "{found:#?}");
}

/// One place prints: where the program writes to the terminal, one file does it.
#[test]
fn one_file_at_most_prints() {
    let sources = sources();
    let printing: Vec<&PathBuf> = sources
        .iter()
        .filter(|(_, text)| PRINTING.iter().any(|p| code_of(text).contains(p)))
        .map(|(path, _)| path)
        .collect();
    assert!(printing.len() <= 1, "{printing:?}");
}

/// The scan itself: source that goes down the list, or prints, is caught.
#[test]
fn the_scan_sees_what_it_forbids() {
    for (path, text, breach) in [
        ("fabric/shell.rs", "use crate::face::Face;", "uses `face`"),
        (
            "face/mod.rs",
            "use crate::{units, fabric::{Shell, Yarn}, weave::Plan};",
            "uses `weave`",
        ),
        (
            "files/plan.rs",
            "let a = crate::draw::chart(p);",
            "uses `draw`",
        ),
        ("units.rs", "use crate::fabric::Gauge;", "uses `fabric`"),
        ("draw/svg.rs", "use crate::cli::Args;", "uses `cli`"),
        ("weave/plan.rs", "use serde::Serialize;", "knows `serde`"),
        ("draw/svg.rs", "#[derive(clap::Parser)]", "knows `clap`"),
        ("cli/plan.rs", "use toml::Value;", "knows `toml`"),
        ("draw/png.rs", "eprintln!(\"no\");", "prints"),
        ("helpers/mod.rs", "", "no such layer"),
    ] {
        let text = format!("\n{text}\n");
        let found = breaches(Path::new(path), &text);
        assert_eq!(found, [format!("{path}: {breach}")]);
    }
    let allowed =
        "// crate::draw\nuse crate::{units, fabric::{Shell, Yarn}};\nuse serde::Serialize;";
    assert!(breaches(Path::new("files/slipper.rs"), allowed).is_empty());
}
