//! The commands as a maker runs them: exit codes, what is written, what is left alone.

#![expect(
    clippy::unwrap_used,
    reason = "a check that cannot set up its desk has failed"
)]

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};

use serde_json::Value;

const COMMANDS: [&str; 9] = [
    "plan",
    "check",
    "set",
    "fabric",
    "faces",
    "grade",
    "start",
    "completions",
    "man",
];
const FILES: [&str; 8] = [
    "chart.png",
    "chart.svg",
    "companion.html",
    "plan.json",
    "sheet-a4.pdf",
    "steps.txt",
    "strands.csv",
    "worn.png",
];

/// A directory of its own for one check, gone afterwards.
struct Desk(PathBuf);

impl Desk {
    fn new(name: &str) -> Self {
        let dir = std::env::temp_dir().join(format!("instep-{}-{name}", std::process::id()));
        fs::create_dir_all(&dir).unwrap();
        Self(dir)
    }

    /// A desk with the slipper and face files of `instep start`.
    fn started(name: &str) -> Self {
        let desk = Self::new(name);
        assert_eq!(code(&desk.run(&["start"])), 0);
        desk
    }

    fn run(&self, arguments: &[&str]) -> Output {
        self.command(arguments).output().unwrap()
    }

    fn command(&self, arguments: &[&str]) -> Command {
        let mut command = Command::new(env!("CARGO_BIN_EXE_instep"));
        command
            .args(arguments)
            .current_dir(&self.0)
            .env_remove("NO_COLOR")
            .env_remove("CLICOLOR_FORCE")
            .env_remove("CLICOLOR");
        command
    }

    /// Everything below the directory, sorted, hidden names too.
    fn names(&self) -> Vec<String> {
        fn walk(dir: &Path, root: &Path, into: &mut Vec<String>) {
            for entry in fs::read_dir(dir).unwrap() {
                let path = entry.unwrap().path();
                into.push(path.strip_prefix(root).unwrap().display().to_string());
                if path.is_dir() {
                    walk(&path, root, into);
                }
            }
        }
        let mut names = Vec::new();
        walk(&self.0, &self.0, &mut names);
        names.sort();
        names
    }

    fn slipper_with(&self, from: &str, to: &str) {
        let path = self.0.join("slipper.toml");
        let text = fs::read_to_string(&path).unwrap();
        assert!(text.contains(from), "{from} is not in the slipper file");
        fs::write(path, text.replace(from, to)).unwrap();
    }
}

impl Drop for Desk {
    fn drop(&mut self) {
        let _ = fs::remove_dir_all(&self.0);
    }
}

fn code(output: &Output) -> i32 {
    output.status.code().unwrap()
}

fn out(output: &Output) -> String {
    String::from_utf8(output.stdout.clone()).unwrap()
}

fn err(output: &Output) -> String {
    String::from_utf8(output.stderr.clone()).unwrap()
}

#[test]
fn every_command_explains_itself_with_an_example() {
    let desk = Desk::new("help");
    let first = desk.run(&["--help"]);
    assert_eq!(code(&first), 0);
    for command in COMMANDS {
        assert!(
            out(&first).contains(&format!("\n  {command} ")),
            "{command}"
        );
        let help = desk.run(&[command, "--help"]);
        assert_eq!(code(&help), 0);
        assert!(out(&help).contains("Example"), "{command}");
        assert!(
            out(&help).contains(&format!("instep {command}")),
            "{command}"
        );
    }
}

#[test]
fn wrong_words_on_the_command_line_end_with_2_and_an_error() {
    let desk = Desk::started("usage");
    let before = desk.names();
    for arguments in [
        &[][..],
        &["knit"],
        &["plan"],
        &["plan", "slipper.toml", "lantern-smile", "--width", "wide"],
        &["plan", "slipper.toml", "lantern-smile", "--terms", "fr"],
        &["plan", "slipper.toml", "lantern-smile", "--paper", "a5"],
        &["faces", "--show", "nobody"],
    ] {
        let output = desk.run(arguments);
        assert_eq!(code(&output), 2, "{arguments:?}");
        assert!(!err(&output).is_empty(), "{arguments:?}");
        assert!(out(&output).is_empty(), "{arguments:?}");
    }
    assert_eq!(desk.names(), before);
}

#[test]
fn plan_writes_its_files_and_a_summary_that_fits_a_screen() {
    let desk = Desk::started("plan");
    let output = desk.run(&["plan", "slipper.toml", "lantern-smile"]);
    assert_eq!(code(&output), 0, "{}", out(&output));
    let mut names = desk.names();
    names.retain(|name| name.starts_with("slipper-lantern-smile/"));
    let expected: Vec<String> = FILES
        .iter()
        .map(|name| format!("slipper-lantern-smile/{name}"))
        .collect();
    assert_eq!(names, expected);
    let text = out(&output);
    assert!(text.lines().count() <= 42, "{text}");
    for line in text.lines() {
        assert!(line.chars().count() <= 80, "{line}");
    }
    for name in FILES {
        assert!(text.contains(name), "{name}");
    }
}

#[test]
fn the_sheet_is_made_for_the_papers_asked_for() {
    let desk = Desk::started("papers");
    for (paper, names) in [
        ("letter", &["sheet-letter.pdf"][..]),
        ("both", &["sheet-a4.pdf", "sheet-letter.pdf"]),
    ] {
        let plan = ["plan", "slipper.toml", "lantern-smile", "--out", paper];
        let output = desk.run(&[&plan[..], &["--paper", paper]].concat());
        assert_eq!(code(&output), 0, "{}", err(&output));
        let written = desk.names();
        let sheets: Vec<&str> = written
            .iter()
            .filter_map(|name| name.strip_prefix(&format!("{paper}/")))
            .filter(|name| name.ends_with(".pdf"))
            .collect();
        assert_eq!(sheets, names);
        for name in names {
            let bytes = fs::read(desk.0.join(paper).join(name)).unwrap();
            assert!(bytes.starts_with(b"%PDF-1."), "{name}");
            assert!(out(&output).contains(name), "{name}");
        }
    }
}

#[test]
fn a_plan_made_twice_is_the_same_to_the_byte_on_however_many_threads() {
    let desk = Desk::started("twice");
    // A face whose directions the plan chooses.
    let cat = Path::new(env!("CARGO_MANIFEST_DIR")).join("faces/cat.toml");
    let cat = fs::read_to_string(cat).unwrap();
    let undirected = cat.lines().filter(|line| !line.starts_with("direction"));
    let undirected: Vec<&str> = undirected.collect();
    fs::write(desk.0.join("cat.toml"), undirected.join("\n")).unwrap();
    for (dir, threads) in [("one", "1"), ("two", "5")] {
        let plan = ["plan", "slipper.toml", "cat.toml", "--out", dir];
        let mut command = desk.command(&plan);
        let output = command.env("RAYON_NUM_THREADS", threads).output().unwrap();
        assert!(code(&output) < 2, "{output:?}");
    }
    for name in FILES {
        let read = |dir: &str| fs::read(desk.0.join(dir).join(name)).unwrap();
        assert!(read("one") == read("two"), "{name}");
    }
}

#[test]
fn the_plan_on_the_screen_is_the_plan_in_the_file() {
    let desk = Desk::started("json");
    let output = desk.run(&[
        "plan",
        "slipper.toml",
        "lantern-smile",
        "--json",
        "--out",
        "set",
    ]);
    let shown: Value = serde_json::from_str(&out(&output)).unwrap();
    let file = fs::read_to_string(desk.0.join("set/plan.json")).unwrap();
    assert_eq!(out(&output), file);
    assert_eq!(shown["format"], 1);
    let check = desk.run(&["check", "slipper.toml", "lantern-smile", "--json"]);
    assert_eq!(out(&check), file);
    // One line a strand in the table, and a header.
    let strands: usize = shown["features"]
        .as_array()
        .unwrap()
        .iter()
        .map(|feature| feature["strands"].as_array().unwrap().len())
        .sum();
    let table = fs::read_to_string(desk.0.join("set/strands.csv")).unwrap();
    assert_eq!(table.lines().count(), strands + 1);
    for command in [
        &["fabric", "slipper.toml", "--json"][..],
        &["faces", "--json"],
    ] {
        let output = desk.run(command);
        assert!(
            serde_json::from_str::<Value>(&out(&output)).is_ok(),
            "{command:?}"
        );
    }
}

#[test]
fn options_reach_the_plan() {
    let desk = Desk::started("options");
    let output = desk.run(&[
        "check",
        "slipper.toml",
        "lantern-smile",
        "--width",
        "2in",
        "--below",
        "20mm",
        "--facing",
        "wearer",
        "--exact",
        "--points",
        "open",
        "--json",
    ]);
    let plan: Value = serde_json::from_str(&out(&output)).unwrap();
    assert_eq!(plan["face"]["width_mm"], 50.8);
    assert_eq!(plan["face"]["below_edge_mm"], 20.0);
    assert_eq!(plan["face"]["facing"], "wearer");
    for feature in plan["features"].as_array().unwrap() {
        assert_eq!(feature["moved_mm"], serde_json::json!([0.0, 0.0]));
        for strand in feature["strands"].as_array().unwrap() {
            for end in ["up", "down"] {
                let point = &strand[end];
                let whole = point["stitch"].as_f64().unwrap().fract() == 0.0;
                // Hook holes: whole stitch, base; gaps: half stitch, middle.
                assert_eq!(whole, point["row"] == "base", "{point}");
            }
        }
    }
}

#[test]
fn check_writes_nothing_and_ends_with_1_on_a_problem() {
    let desk = Desk::started("check");
    let before = desk.names();
    let good = desk.run(&["check", "slipper.toml", "lantern-smile"]);
    assert_eq!(code(&good), 0, "{}", out(&good));
    // Far down over the toe the face does not fit any more.
    let bad = desk.run(&["check", "slipper.toml", "lantern-smile", "--width", "2.5cm"]);
    assert_eq!(code(&bad), 1, "{}{}", out(&bad), err(&bad));
    assert!(out(&bad).contains("problem"));
    assert_eq!(desk.names(), before);
}

#[test]
fn a_wrong_file_is_named_with_line_and_column_and_nothing_is_written() {
    let desk = Desk::started("wrong");
    desk.slipper_with("hand = \"right\"", "hand = \"both\"");
    let before = desk.names();
    for command in ["plan", "check"] {
        let output = desk.run(
            &[command, "slipper.toml", "lantern-smile", "--out", "set"]
                [..if command == "plan" { 5 } else { 3 }],
        );
        assert_eq!(code(&output), 2);
        let message = err(&output);
        assert!(message.starts_with("error: slipper.toml:"), "{message}");
        assert!(
            message.contains("hand") && message.contains("both"),
            "{message}"
        );
        assert!(out(&output).is_empty());
    }
    assert_eq!(desk.names(), before);
}

#[test]
fn a_missing_file_or_face_is_told_in_one_message() {
    let desk = Desk::started("missing");
    let output = desk.run(&["check", "sliper.toml", "lantern-smile"]);
    assert_eq!(code(&output), 2);
    assert!(err(&output).contains("sliper.toml"), "{}", err(&output));
    let output = desk.run(&["check", "slipper.toml", "lantern-smlie"]);
    assert_eq!(code(&output), 2);
    assert!(
        err(&output).contains("did you mean `lantern-smile`?"),
        "{}",
        err(&output)
    );
    let output = desk.run(&["check", "slipper.toml", "none.toml"]);
    assert_eq!(code(&output), 2);
    assert!(err(&output).contains("none.toml"), "{}", err(&output));
}

#[test]
fn a_face_that_the_slipper_has_no_room_for_is_refused_in_the_makers_ruler() {
    let desk = Desk::started("misfit");
    // The slipper of `instep start` is 30 stitches of 100 / 14 mm around, worn on a foot of
    // 235 mm; 24 rounds of 100 / 16 mm from edge to toe are 150 mm.
    for (options, message) in [
        (
            ["--width", "2cm"],
            "error: `--width`: expected at least three stitches, 2.",
        ),
        (
            ["--width", "30cm"],
            "error: `--width`: expected at most the way round, 23.5 cm, found more",
        ),
        (
            ["--below", "6in"],
            "error: `--below`: expected less than the 15.0 cm from edge to toe, found more",
        ),
    ] {
        let arguments = [&["check", "slipper.toml", "lantern-smile"][..], &options].concat();
        let output = desk.run(&arguments);
        assert_eq!(code(&output), 2, "{options:?}");
        let told = err(&output);
        assert!(told.starts_with(message), "{told}");
        assert!(told.contains("\n  tip: "), "{told}");
    }
    let inches = [
        "check",
        "slipper.toml",
        "lantern-smile",
        "--below",
        "6in",
        "--units",
        "in",
    ];
    assert!(err(&desk.run(&inches)).contains("than the 5 7/8 in"));
}

#[test]
fn a_set_that_cannot_be_written_whole_is_not_written_at_all() {
    let desk = Desk::started("whole");
    fs::write(desk.0.join("taken"), "mine").unwrap();
    let output = desk.run(&["plan", "slipper.toml", "lantern-smile", "--out", "taken"]);
    assert_eq!(code(&output), 2);
    assert_eq!(fs::read_to_string(desk.0.join("taken")).unwrap(), "mine");
    // The last file of the set cannot take its place: none of the others may stay.
    fs::create_dir_all(desk.0.join("set/strands.csv")).unwrap();
    let before = desk.names();
    let output = desk.run(&["plan", "slipper.toml", "lantern-smile", "--out", "set"]);
    assert_eq!(code(&output), 2);
    assert_eq!(desk.names(), before);
}

#[test]
fn start_never_writes_over_a_file() {
    let desk = Desk::started("start");
    let slipper = desk.0.join("slipper.toml");
    fs::write(&slipper, "mine").unwrap();
    let before = desk.names();
    let output = desk.run(&["start"]);
    assert_eq!(code(&output), 2);
    assert!(err(&output).contains("slipper.toml"));
    assert_eq!(fs::read_to_string(&slipper).unwrap(), "mine");
    // With one of the two gone, the other is still not touched, and nothing is added.
    let face = before.iter().find(|name| *name != "slipper.toml").unwrap();
    fs::remove_file(desk.0.join(face)).unwrap();
    assert_eq!(code(&desk.run(&["start"])), 2);
    assert_eq!(desk.names(), ["slipper.toml"]);
}

#[test]
fn the_files_of_start_are_good_to_plan_with() {
    let desk = Desk::started("good");
    let names = desk.names();
    let face = names.iter().find(|name| *name != "slipper.toml").unwrap();
    let output = desk.run(&["check", "slipper.toml", face]);
    assert_eq!(code(&output), 0, "{}{}", out(&output), err(&output));
}

#[test]
fn every_bundled_face_is_listed_and_its_file_reads_back() {
    let desk = Desk::started("faces");
    let list = out(&desk.run(&["faces"]));
    assert_eq!(list.lines().count(), 2 * 10, "a face, then its variants");
    for line in list.lines().filter(|line| !line.starts_with(' ')) {
        let (name, about) = line.split_once("  ").unwrap();
        assert!(about.trim().len() > 10, "{line}");
        let text = out(&desk.run(&["faces", "--show", name.trim()]));
        fs::write(desk.0.join("copy.toml"), text).unwrap();
        let output = desk.run(&["check", "slipper.toml", "copy.toml"]);
        assert_eq!(code(&output), 0, "{}{}", out(&output), err(&output));
    }
}

#[test]
fn a_variant_is_planned_by_its_name() {
    let desk = Desk::started("variant");
    let wink = ["lantern-smile", "--variant", "wink"];
    let output = desk.run(&[&["plan", "slipper.toml"][..], &wink].concat());
    assert_eq!(code(&output), 0, "{}{}", out(&output), err(&output));
    assert!(out(&output).contains("Lantern smile, wink"));
    let steps = fs::read_to_string(desk.0.join("slipper-lantern-smile-wink/steps.txt")).unwrap();
    assert!(steps.starts_with("LANTERN SMILE, WINK\n"), "{steps}");
    let output = desk.run(&[&["check", "slipper.toml", "--json"][..], &wink].concat());
    let plan: Value = serde_json::from_slice(&output.stdout).unwrap();
    assert_eq!(plan["face"]["name"], "Lantern smile, wink");
    let list: Value = serde_json::from_slice(&desk.run(&["faces", "--json"]).stdout).unwrap();
    let faces = list.as_array().unwrap();
    let smile = faces.iter().find(|face| face["name"] == "lantern-smile");
    assert_eq!(smile.unwrap()["variants"][0], "wink");
}

#[test]
fn a_variant_that_is_not_there_is_refused_with_those_that_are() {
    let desk = Desk::started("no-variant");
    let before = desk.names();
    for (face, name, words) in [
        ("lantern-smile", "wnik", "did you mean `wink`?"),
        ("lantern-smile", "xx", "it has wink, startled, glum"),
        ("face.toml", "wink", "it has none"),
    ] {
        let output = desk.run(&["plan", "slipper.toml", face, "--variant", name]);
        assert_eq!(code(&output), 2, "{}", out(&output));
        assert!(err(&output).contains(words), "{}", err(&output));
        assert!(err(&output).contains("`--variant`"), "{}", err(&output));
    }
    assert_eq!(desk.names(), before);
}

#[test]
fn sizes_are_written_whole_and_over_nothing() {
    let desk = Desk::started("grade");
    let feet = "[[foot]]\nlength_mm = 230\n[[foot]]\nname = \"Old Tam\"\nlength_mm = 270\n\
                around_mm = 255\n";
    fs::write(desk.0.join("feet.toml"), feet).unwrap();
    let all = [
        "grade",
        "slipper.toml",
        "--feet",
        "feet.toml",
        "--out",
        "sizes",
    ];
    let output = desk.run(&all);
    assert_eq!(code(&output), 0, "{}", err(&output));
    let written = ["sizes/slipper-230.toml", "sizes/slipper-Old-Tam.toml"];
    for file in written {
        let output = desk.run(&["check", file, "lantern-smile"]);
        assert_eq!(code(&output), 0, "{}{}", out(&output), err(&output));
    }
    // One of the two is there: neither is touched, unless asked for.
    fs::remove_file(desk.0.join(written[0])).unwrap();
    fs::write(desk.0.join(written[1]), "mine").unwrap();
    let output = desk.run(&all);
    assert_eq!(code(&output), 2);
    assert!(err(&output).contains("`--force`"), "{}", err(&output));
    assert!(!desk.0.join(written[0]).exists());
    assert_eq!(fs::read_to_string(desk.0.join(written[1])).unwrap(), "mine");
    assert_eq!(code(&desk.run(&[&all[..], &["--force"]].concat())), 0);
    assert!(desk.0.join(written[0]).exists());
}

#[test]
fn a_size_says_what_it_rests_on() {
    let desk = Desk::started("size");
    let before = desk.names();
    let one = ["grade", "slipper.toml", "--length", "25cm"];
    let said = out(&desk.run(&one));
    for words in [
        "as the proven slipper on its foot",
        "estimated from its circumference",
        "* Estimated as 0.93 of the length",
        "Mondopoint, ISO 9407",
        "approximations",
    ] {
        assert!(said.contains(words), "{words}: {said}");
    }
    let stated = [
        "--around",
        "235",
        "--proven-length",
        "250",
        "--ease-around",
        "-10",
    ];
    let said = out(&desk.run(&[&one[..], &stated].concat()));
    assert!(
        said.contains("as asked for") && said.contains("as given"),
        "{said}"
    );
    assert!(!said.contains("Estimated"), "{said}");
    let json = desk.run(&[&one[..], &stated, &["--json"]].concat());
    let sizes: Value = serde_json::from_slice(&json.stdout).unwrap();
    assert_eq!(sizes["sizes"][0]["name"], "250");
    // Worked out: 250 mm less nothing are 40 rows of 6.25 mm, 235 mm less a tenth 29.6 stitches.
    assert_eq!(sizes["sizes"][0]["length_mm"], 250.0);
    assert_eq!(
        sizes["sizes"][0]["toe"],
        serde_json::json!([5, 10, 15, 20, 25, 30])
    );
    let baby = ["--length", "110", "--around", "110"];
    let said = out(&desk.run(&[&one[..2], &baby].concat()));
    assert!(said.contains("for_baby = true"), "{said}");
    desk.slipper_with("around_cm = 23.5", "");
    assert!(out(&desk.run(&one)).contains("common practice"));
    assert_eq!(desk.names(), before);
}

#[test]
fn sizes_that_cannot_be_made_are_refused_before_anything_is_written() {
    let desk = Desk::started("no-size");
    let feet = "[[foot]]\nlength_mm = 240\n[[foot]]\nlength_mm = 90\naround_mm = 400\n";
    fs::write(desk.0.join("feet.toml"), feet).unwrap();
    let before = desk.names();
    let grade =
        |more: &[&str]| desk.run(&[&["grade", "slipper.toml", "--out", "x"], more].concat());
    for (more, words) in [
        (&["--feet", "feet.toml"][..], "feet.toml:4: size 90: "),
        (&["--feet", "none.toml"], "none.toml"),
        (
            &["--feet", "slipper.toml"],
            "expected a list of feet, found a slipper",
        ),
        (&["--length", "180"], "`--around 150`"),
        (&["--length", "24"], "a plain number is in mm"),
        (
            &["--length", "240", "--ease-around", "90"],
            "-30 to 30 per cent",
        ),
        (
            &["--length", "240", "--feet", "feet.toml"],
            "cannot be used with",
        ),
        (&["--around", "240"], "--length"),
        (&[], "--feet"),
    ] {
        let output = grade(more);
        assert_eq!(code(&output), 2, "{more:?}: {}", out(&output));
        assert!(err(&output).contains(words), "{more:?}: {}", err(&output));
    }
    desk.slipper_with("around_cm = 23.5", "around_cm = 18");
    let output = grade(&["--length", "240"]);
    assert_eq!(code(&output), 2);
    assert!(
        err(&output).contains("--proven-length 200"),
        "{}",
        err(&output)
    );
    assert_eq!(desk.names(), before);
}

#[test]
fn maps_and_pictures_are_drawn_where_they_are_asked_for() {
    let desk = Desk::started("pictures");
    let output = desk.run(&["fabric", "slipper.toml", "--out", "map"]);
    assert_eq!(code(&output), 0, "{}", err(&output));
    let output = desk.run(&["faces", "--out", "faces"]);
    assert_eq!(code(&output), 0, "{}", err(&output));
    let faces = out(&desk.run(&["faces"])).lines().count() / 2;
    let drawn: Vec<String> = desk
        .names()
        .into_iter()
        .filter(|name| name.ends_with(".png"))
        .collect();
    assert_eq!(drawn.len(), faces + 1, "{drawn:?}");
    for name in &drawn {
        // W3C PNG, section 5.2: the eight bytes that begin a PNG.
        let bytes = fs::read(desk.0.join(name)).unwrap();
        assert!(bytes.starts_with(b"\x89PNG\r\n\x1a\n"), "{name}");
    }
    let map = fs::read_to_string(desk.0.join("map/points.svg")).unwrap();
    assert!(map.contains("<svg"));
}

#[test]
fn british_terms_replace_the_us_words_on_the_screen_and_in_the_steps() {
    let desk = Desk::started("terms");
    let plan = [
        "plan",
        "slipper.toml",
        "lantern-smile",
        "--out",
        "set",
        "--terms",
    ];
    let texts = |terms: &'static str| {
        let shown = out(&desk.run(&[&plan[..], &[terms]].concat()));
        let fabric = out(&desk.run(&["fabric", "slipper.toml", "--terms", terms]));
        let steps = fs::read_to_string(desk.0.join("set/steps.txt")).unwrap();
        [shown, fabric, steps].join("\n").to_lowercase()
    };
    let has = |text: &str, word: &str| {
        text.split(|c: char| !c.is_alphanumeric())
            .any(|found| found == word)
    };
    let (us, uk) = (texts("us"), texts("uk"));
    assert!(us.contains("single crochet") && has(&us, "gauge"));
    assert!(uk.contains("double crochet") && has(&uk, "tension"));
    assert!(!uk.contains("single crochet"));
    for word in ["gauge", "sc", "skip", "skipped"] {
        assert!(!has(&uk, word), "{word}");
    }
}

#[test]
fn inches_replace_centimetres() {
    let desk = Desk::started("inches");
    let output = out(&desk.run(&["fabric", "slipper.toml", "--units", "in"]));
    assert!(output.contains(" in "), "{output}");
    for unit in [" cm", " mm"] {
        assert!(!output.contains(unit), "{output}");
    }
}

#[test]
fn colour_is_for_terminals_and_no_color_is_heeded() {
    let desk = Desk::started("colour");
    let arguments = ["check", "slipper.toml", "lantern-smile"];
    assert!(!out(&desk.run(&arguments)).contains('\u{1b}'));
    let forced = desk
        .command(&arguments)
        .env("CLICOLOR_FORCE", "1")
        .output()
        .unwrap();
    assert!(out(&forced).contains('\u{1b}'));
    let refused = desk
        .command(&arguments)
        .env("CLICOLOR_FORCE", "1")
        .env("NO_COLOR", "1")
        .output()
        .unwrap();
    assert!(!out(&refused).contains('\u{1b}'));
}

#[test]
fn a_reader_that_has_read_enough_is_no_error() {
    let desk = Desk::started("pipe");
    let mut child = desk
        .command(&["plan", "slipper.toml", "lantern-smile", "--json"])
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    drop(child.stdout.take());
    let output = child.wait_with_output().unwrap();
    assert_eq!(code(&output), 0);
    assert!(err(&output).is_empty(), "{}", err(&output));
}

#[test]
fn the_manual_and_the_completions_know_every_command() {
    let desk = Desk::new("manual");
    let output = desk.run(&["man", "--out", "pages"]);
    assert_eq!(code(&output), 0);
    assert!(out(&desk.run(&["man"])).starts_with(".ie"));
    let script = out(&desk.run(&["completions", "bash"]));
    for command in COMMANDS {
        assert!(desk.0.join(format!("pages/instep-{command}.1")).is_file());
        assert!(script.contains(command));
    }
}
