//! README and DEVELOPERS against the program: what they say can be typed, read and found.

#![expect(
    clippy::unwrap_used,
    reason = "a check that cannot read the guides has failed"
)]

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use instep::files::{Faults, parse_face, parse_feet, parse_set, parse_slipper};

const README: &str = include_str!("../../README.md");
const DEVELOPERS: &str = include_str!("../../DEVELOPERS.md");
const SLIPPER_KEYS: &str = include_str!("../../src/files/slipper/mod.rs");
const FACE_KEYS: &str = include_str!("../../src/files/face/mod.rs");
const FEET_KEYS: &str = include_str!("../../src/files/feet.rs");
const SET_KEYS: &str = include_str!("../../src/files/set/mod.rs");

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

/// What is marked as code, in order: the lines of fenced blocks of a language, and the spans.
fn code<'t>(guide: &'t str, language: &str) -> Vec<&'t str> {
    let mut found = Vec::new();
    let mut fence = None;
    for line in guide.lines() {
        match (line.strip_prefix("```"), fence) {
            (Some(name), None) => fence = Some(name),
            (Some(_), Some(_)) => fence = None,
            (None, Some(name)) if name == language => found.push(line),
            (None, Some(_)) => {}
            (None, None) => found.extend(line.split('`').skip(1).step_by(2)),
        }
    }
    found
}

/// The fenced blocks of a language.
fn blocks<'t>(guide: &'t str, language: &str) -> Vec<&'t str> {
    guide
        .split("```")
        .skip(1)
        .step_by(2)
        .filter_map(|block| block.strip_prefix(language)?.strip_prefix('\n'))
        .collect()
}

/// The rows of the tables of keys, one list a table.
fn key_tables<'t>(text: &'t str, before: &str) -> Vec<Vec<&'t str>> {
    let lines: Vec<&str> = text
        .lines()
        .map(|line| line.strip_prefix(before).unwrap_or_default())
        .collect();
    let head = |line: &&str| *line == "| key | range | when left out |";
    (0..lines.len())
        .filter(|&at| head(&lines[at]))
        .map(|at| {
            let rows = lines[at + 2..].iter().copied();
            rows.take_while(|line| line.starts_with('|')).collect()
        })
        .collect()
}

/// Key and range of a row.
fn key_and_range(row: &str) -> (&str, &str) {
    let cells: Vec<&str> = row.split(" | ").collect();
    (
        cells[0].trim_start_matches("| ").trim_matches('`'),
        cells[1],
    )
}

#[test]
fn the_two_commands_of_the_readme_plan_the_example_and_run_every_test() {
    assert_eq!(
        blocks(README, "sh"),
        [
            "cargo run --release -- plan examples/marrow-lane/adult.toml lantern-smile --out \
          lantern\ntests/run\n"
        ]
    );
    assert!(root().join("tests/run").is_file());
}

#[test]
fn every_file_of_the_readme_can_be_planned_and_states_every_key() {
    let files = blocks(README, "toml");
    assert_eq!(files.len(), 4, "a slipper, a face, a list of feet, a set");
    let slipper = parse_slipper("README.md", files[0]);
    let face = parse_face("README.md", files[1]);
    let feet = parse_feet("README.md", files[2]);
    assert!(slipper.is_ok(), "{}", slipper.unwrap_err());
    assert!(face.is_ok(), "{}", face.unwrap_err());
    assert!(feet.is_ok(), "{}", feet.unwrap_err());
    let set = parse_set("README.md", files[3]);
    assert!(set.is_ok(), "{}", set.unwrap_err());
    let tables = key_tables(README, "");
    assert_eq!(tables.len(), 4);
    for (file, table) in files.iter().zip(tables) {
        for row in table {
            let (key, _) = key_and_range(row);
            if key.ends_with("KEY") {
                continue; // any key of a feature: each is in the table by itself
            }
            let last = key.rsplit('.').next().unwrap();
            assert!(file.contains(&format!("{last} = ")), "no example of {key}");
        }
    }
}

#[test]
fn the_tables_of_keys_are_those_beside_the_readers() {
    let keys = [SLIPPER_KEYS, FACE_KEYS, FEET_KEYS, SET_KEYS];
    let beside = keys.map(|text| key_tables(text, "//! ").concat());
    assert_eq!(beside.each_ref().map(Vec::len), [41, 24, 3, 24]);
    assert_eq!(key_tables(README, ""), beside);
}

/// A table of the file opened for one more line.
fn opened(table: &str, line: &str) -> String {
    match table {
        "" => line.to_owned(),
        "gauge.lean" => format!("[gauge]\nlean = {{ {line} }}"),
        "threads.NAME" => format!("[threads.dark]\n{line}"),
        "foot" => format!("[[foot]]\n{line}"),
        "feature" => {
            let others: Vec<&str> = ["name = 'eye'", "path = 'M0,0 L9,0 L5,9 Z'"]
                .into_iter()
                .filter(|other| other.split(' ').next() != line.split(' ').next())
                .collect();
            let others = others.join("\n");
            format!("width = 100\nheight = 80\n[threads.dark]\n[[feature]]\n{others}\n{line}")
        }
        "variant" | "variant.change" | "variant.add" => {
            let name = match line.starts_with("name") {
                true => "",
                false => "name = 'cross'\n",
            };
            let opened = opened("feature", "[[variant]]");
            match table {
                "variant" => format!("{opened}\n{name}{line}"),
                "variant.change" if !line.starts_with("feature") => {
                    format!("{opened}\nname = 'cross'\n[[{table}]]\nfeature = 'eye'\n{line}")
                }
                _ => format!("{opened}\nname = 'cross'\n[[{table}]]\n{line}"),
            }
        }
        _ => format!("[{table}]\n{line}"),
    }
}

/// What is told of a key that is unknown, or holds a date: message and tip.
fn told(faults: &Faults, key: &str) -> (String, String) {
    let ends_so = |found: &str| found == key || found.ends_with(&format!(".{key}"));
    let asked = |message: &str| message == "unknown key" || message.contains("found a date");
    let fault = faults
        .all()
        .iter()
        .find(|fault| ends_so(&fault.key) && asked(&fault.message));
    let fault = fault.unwrap_or_else(|| unreachable!("nothing told of {key}: {faults}"));
    (fault.message.clone(), fault.tip.clone())
}

fn faults_of_slipper(text: &str) -> Faults {
    parse_slipper("a", text).unwrap_err()
}

fn faults_of_set(text: &str) -> Faults {
    // `[[slippers]]` and `[[faces]]` are lists of tables.
    let listed = text
        .replace("[slippers]", "[[slippers]]")
        .replace("[faces]", "[[faces]]");
    parse_set("a", &listed).unwrap_err()
}

fn faults_of_face(text: &str) -> Faults {
    parse_face("a", text).unwrap_err()
}

fn faults_of_feet(text: &str) -> Faults {
    parse_feet("a", text).unwrap_err()
}

const READERS: [fn(&str) -> Faults; 4] = [
    faults_of_slipper,
    faults_of_face,
    faults_of_feet,
    faults_of_set,
];

#[test]
fn the_tables_of_keys_name_every_key_that_is_read_and_no_other() {
    for (rows, read) in key_tables(README, "").into_iter().zip(READERS) {
        let mut named: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
        for row in rows {
            let mut table = String::new();
            for part in key_and_range(row).0.split('.') {
                match part {
                    "NAME" => {}
                    "KEY" => {
                        let keys = named["feature"].clone();
                        named.entry(table.clone()).or_default().extend(keys);
                    }
                    key => {
                        named.entry(table.clone()).or_default().insert(key.into());
                    }
                }
                table = format!("{table}.{part}").trim_matches('.').to_owned();
            }
        }
        named.remove("threads"); // its keys are names of the maker's choice
        for (table, keys) in named {
            // A word like no key: the tip then lists those that are known.
            let faults = read(&opened(&table, "qqqqqqqqqqqqqqqq = 1"));
            let (_, tip) = told(&faults, "qqqqqqqqqqqqqqqq");
            let known = tip.strip_prefix("known here: ").unwrap().split(", ");
            let known: BTreeSet<String> = known.map(str::to_owned).collect();
            assert_eq!(keys, known, "in [{table}]");
        }
    }
}

/// The first `1 to 60` of a range.
fn limits(range: &str) -> Option<String> {
    let words: Vec<&str> = range.split([' ', ',']).collect();
    let number = |word: &str| word.parse::<f64>().is_ok();
    let found = words
        .windows(3)
        .find(|w| w[1] == "to" && number(w[0]) && number(w[2]))?;
    Some(found.join(" "))
}

#[test]
fn the_ranges_of_the_tables_are_those_that_a_refusal_names() {
    let mut checked = 0;
    for (rows, read) in key_tables(README, "").into_iter().zip(READERS) {
        for row in rows {
            let (key, range) = key_and_range(row);
            let (table, last) = key.rsplit_once('.').unwrap_or(("", key));
            if last == "KEY" {
                continue; // checked as a key of a feature
            }
            // A date is no value of any key.
            let (message, _) = told(&read(&opened(table, &format!("{last} = 2001-10-31"))), last);
            let expected: Vec<String> = match limits(range) {
                Some(limits) => vec![limits],
                None if range.starts_with('`') => code(range, "")
                    .into_iter()
                    .filter(|word| !word.contains('='))
                    .map(str::to_owned)
                    .collect(),
                None => continue,
            };
            for word in expected {
                assert!(message.contains(&word), "{key}: {word}: {message}");
            }
            checked += 1;
        }
    }
    // All but `feature.path`, any text before it is a path, `feature.thread`, any name, the two
    // names of features in variants, and the two rows of any key of a feature; of a set all but
    // `slippers.file` and `faces.face`, any text.
    assert_eq!(checked, 40 + 24 + 3 - 6 + 24 - 2);
}

/// A folder of its own for one check, gone afterwards.
struct Desk(PathBuf);

impl Drop for Desk {
    fn drop(&mut self) {
        // Best effort: a directory for temporary files cleans itself in the end.
        let _ = fs::remove_dir_all(&self.0);
    }
}

impl Desk {
    fn run(&self, line: &str) {
        let (typed, into) = line.split_once(" > ").unwrap_or((line, ""));
        let output = Command::new(env!("CARGO_BIN_EXE_instep"))
            .args(typed.split(' '))
            .current_dir(&self.0)
            .output()
            .unwrap();
        let err = String::from_utf8_lossy(&output.stderr);
        assert!(output.status.success(), "instep {line}\n{err}");
        if !into.is_empty() {
            fs::write(self.0.join(into), output.stdout).unwrap();
        }
    }
}

#[test]
fn every_command_of_the_readme_runs_in_the_order_of_the_text() {
    let desk = Desk(std::env::temp_dir().join(format!("instep-docs-{}", std::process::id())));
    let examples = "examples/marrow-lane";
    fs::create_dir_all(desk.0.join(examples)).unwrap();
    for file in ["adult", "child", "toddler", "walk"] {
        let file = format!("{examples}/{file}.toml");
        fs::copy(root().join(&file), desk.0.join(&file)).unwrap();
    }
    let mut commands = BTreeSet::new();
    let mut runs = 0;
    for line in code(README, "sh") {
        let typed = line.strip_prefix("instep ");
        let Some(typed) = typed.or_else(|| line.strip_prefix("cargo run --release -- ")) else {
            continue;
        };
        if typed.contains(' ') {
            desk.run(typed);
            runs += 1;
        } else {
            desk.run(&format!("{typed} --help"));
            commands.insert(typed);
        }
    }
    let all = [
        "check",
        "completions",
        "fabric",
        "faces",
        "grade",
        "man",
        "plan",
        "set",
        "start",
    ];
    assert_eq!(commands, BTreeSet::from(all));
    assert!(runs >= 12, "{runs}");
    for written in ["lantern/chart.png", "smile/steps.txt", "map/points.png"] {
        assert!(desk.0.join(written).is_file(), "{written}");
    }
}

#[test]
fn every_link_and_picture_of_the_guides_is_there() {
    let mut found = 0;
    for guide in [README, DEVELOPERS] {
        for (at, _) in guide.match_indices("](") {
            let target = guide[at + 2..].split(')').next().unwrap();
            if !target.starts_with("https://") {
                assert!(root().join(target).exists(), "{target}");
                found += 1;
            }
        }
    }
    assert!(found >= 4, "{found}");
}

#[test]
fn every_path_in_the_developers_guide_is_there() {
    let is_path = |span: &&str| {
        let first = span.split('/').next().unwrap_or_default();
        ["src", "tests", "examples", "faces", ".cargo", ".ci"].contains(&first)
    };
    let paths: Vec<&str> = code(DEVELOPERS, "").into_iter().filter(is_path).collect();
    for path in &paths {
        // A module is called by its folder, or by its file without the ending.
        let file = format!("{path}.rs");
        let there = root().join(path).exists() || root().join(file).exists();
        assert!(there, "{path}");
    }
    assert!(paths.len() >= 20, "{}", paths.len());
}
