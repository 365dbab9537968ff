//! Sets: what is written of several faces on several slippers, checked against the pieces' own
//! plans and an independent geometry library, and how a set behaves when it is run again, damaged,
//! killed or wrong.

#![expect(
    clippy::unwrap_used,
    reason = "a check that cannot set up its desk has failed"
)]

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};
use std::thread::sleep;
use std::time::Duration;

use approx::assert_abs_diff_eq;
use instep::files::kept;
use instep::weave::set::{LOOKS_ALIKE, READS, colours_apart};
use kurbo::Point;
use serde_json::Value;

use super::overlay::Region;

/// Two slippers and three small faces that are planned in no time; a wink that is not even, and
/// two threads.
const FACE: &str = r##"
name = "Blink"
width = 100
height = 70
[threads.dark]
colour = "#2b2430"
[threads.glow]
colour = "#e9a23b"
[[feature]]
name = "eye"
path = "M-46,4 L-10,4 L-10,26 L-46,26 Z"
direction = 0
thread = "dark"
[[feature]]
name = "shut eye"
path = "M14,20 L44,20"
line = "backstitch"
thread = "dark"
[[feature]]
name = "mouth"
path = "M-40,44 L40,44 L30,68 L-30,68 Z"
direction = 0
thread = "dark"
[[feature]]
name = "tooth"
path = "M-12,44 L12,44 L12,56 L-12,56 Z"
direction = 0
thread = "glow"
[[variant]]
name = "lit"
[[variant.change]]
feature = "mouth"
thread = "glow"
[[variant.change]]
feature = "tooth"
thread = "dark"
[[variant]]
name = "hardly"
[[variant.change]]
feature = "tooth"
wider = 0.95
"##;

const SET: &str = r#"
name = "Small walk"
slippers = ["slipper.toml", "small.toml"]
pairs = 3
margin = 0.2
ball = 20
[[faces]]
face = "face.toml"
variants = "all"
[[faces]]
face = "lantern-wink"
"#;

const PIECES: [&str; 8] = [
    "slipper-face",
    "slipper-face-hardly",
    "slipper-face-lit",
    "slipper-lantern-wink",
    "small-face",
    "small-face-hardly",
    "small-face-lit",
    "small-lantern-wink",
];

struct Desk(PathBuf);

impl Drop for Desk {
    fn drop(&mut self) {
        // Best effort: a directory for temporary files cleans itself in the end.
        let _ = fs::remove_dir_all(&self.0);
    }
}

impl Desk {
    fn new(name: &str) -> Self {
        let dir = std::env::temp_dir().join(format!("instep-set-{}-{name}", std::process::id()));
        fs::create_dir_all(&dir).unwrap();
        let desk = Self(dir);
        let examples = Path::new(env!("CARGO_MANIFEST_DIR")).join("examples/marrow-lane");
        for (slipper, file) in [("adult", "slipper.toml"), ("toddler", "small.toml")] {
            fs::copy(examples.join(format!("{slipper}.toml")), desk.0.join(file)).unwrap();
        }
        desk.write("face.toml", FACE);
        desk.write("set.toml", SET);
        desk
    }

    fn write(&self, name: &str, text: &str) {
        let path = self.0.join(name);
        fs::create_dir_all(path.parent().unwrap()).unwrap();
        fs::write(path, text).unwrap();
    }

    fn command(&self, options: &[&str]) -> Command {
        let mut command = Command::new(env!("CARGO_BIN_EXE_instep"));
        command.args(["set", "set.toml"]).args(options);
        command.current_dir(&self.0).env_remove("RAYON_NUM_THREADS");
        command
    }

    fn run(&self, options: &[&str]) -> Output {
        self.command(options).output().unwrap()
    }

    /// Runs the set into `made`; the exit code.
    fn made(&self) -> i32 {
        self.run(&["--out", "made"]).status.code().unwrap()
    }

    fn json(&self, name: &str) -> Value {
        serde_json::from_slice(&fs::read(self.0.join(name)).unwrap()).unwrap()
    }

    /// Everything below a directory with its content; directories without.
    fn content(&self, dir: &str) -> BTreeMap<String, Vec<u8>> {
        fn walk(dir: &Path, root: &Path, into: &mut BTreeMap<String, Vec<u8>>) {
            for entry in fs::read_dir(dir).unwrap() {
                let path = entry.unwrap().path();
                let name = path.strip_prefix(root).unwrap().display().to_string();
                if path.is_dir() {
                    walk(&path, root, into);
                } else {
                    into.insert(name, fs::read(&path).unwrap());
                }
            }
        }
        let mut content = BTreeMap::new();
        let dir = self.0.join(dir);
        walk(&dir, &dir, &mut content);
        content
    }

    /// What is told on the error stream of a set that is not done.
    fn refused(&self, text: &str) -> String {
        self.write("set.toml", text);
        let output = self.run(&["--out", "refused"]);
        assert_eq!(output.status.code(), Some(2), "{text}");
        String::from_utf8(output.stderr).unwrap()
    }
}

fn out(output: &Output) -> String {
    String::from_utf8_lossy(&output.stdout).into_owned()
}

fn number(value: &Value) -> f64 {
    value.as_f64().unwrap_or_else(|| unreachable!("{value}"))
}

fn list(value: &Value) -> &[Value] {
    value.as_array().unwrap()
}

/// Rows of a CSV text without quotes or commas in its fields.
fn rows(text: &str) -> Vec<BTreeMap<String, String>> {
    let mut lines = text.lines().map(|line| line.split(',').map(str::to_owned));
    let header: Vec<String> = lines.next().unwrap().collect();
    let named = |row| header.iter().cloned().zip(row).collect();
    lines.map(named).collect()
}

#[test]
fn every_face_on_every_slipper_gets_the_files_that_plan_writes() {
    let desk = Desk::new("files");
    assert_ne!(desk.made(), 2);
    let made = desk.content("made");
    let folders: BTreeSet<&str> = made
        .keys()
        .filter_map(|name| Some(name.split_once('/')?.0))
        .collect();
    assert_eq!(folders.into_iter().collect::<Vec<_>>(), PIECES);
    let beside: Vec<&str> = made
        .keys()
        .map(String::as_str)
        .filter(|name| !name.contains('/') && !name.starts_with('.'))
        .collect();
    assert_eq!(beside, ["set.csv", "set.json", "set.png", "yarn.txt"]);
    let plan = [
        "plan",
        "small.toml",
        "face.toml",
        "--variant",
        "lit",
        "--out",
        "alone",
    ];
    let output = Command::new(env!("CARGO_BIN_EXE_instep"))
        .args(plan)
        .current_dir(&desk.0)
        .output()
        .unwrap();
    assert_ne!(output.status.code(), Some(2));
    let alone = desk.content("alone");
    assert!(alone.len() >= 5);
    for (name, bytes) in &alone {
        let own = &made[&format!("small-face-lit/{name}")];
        // How good the fills are is left to `instep check`.
        let same = if name == "plan.json" {
            let judged = without_judgement(bytes);
            assert_ne!(judged, serde_json::from_slice::<Value>(bytes).unwrap());
            judged == serde_json::from_slice::<Value>(own).unwrap()
        } else {
            own == bytes
        };
        assert!(same, "{name} is not that of `instep plan`");
    }
}

/// A plan without how good its fills are.
fn without_judgement(plan: &[u8]) -> Value {
    let mut plan: Value = serde_json::from_slice(plan).unwrap();
    for feature in plan["features"].as_array_mut().unwrap() {
        let feature = feature.as_object_mut().unwrap();
        for key in ["objective_mm2", "bound_mm2", "proven_best"] {
            feature.remove(key);
        }
    }
    plan
}

#[test]
fn figures_of_a_set_are_those_of_its_plans() {
    let desk = Desk::new("figures");
    assert_ne!(desk.made(), 2);
    let set = desk.json("made/set.json");
    let csv = fs::read_to_string(desk.0.join("made/set.csv")).unwrap();
    // No name of this set holds a comma but those of the slippers.
    let csv = rows(
        &csv.replace("\"Marrow Lane, adult\"", "adult")
            .replace("\"Marrow Lane, toddler\"", "toddler"),
    );
    assert_eq!((csv.len(), list(&set["pieces"]).len()), (8, 8));
    let mut bought: BTreeMap<String, f64> = BTreeMap::new();
    for (row, piece) in csv.iter().zip(list(&set["pieces"])) {
        let plan = desk.json(&format!("made/{}/plan.json", row["folder"]));
        let (mut inside, mut either, mut covered) = (0.0, 0.0, 0.0);
        for feature in list(&plan["features"]) {
            let [outline, bare, spill] =
                ["outline_mm2", "bare_mm2", "spill_mm2"].map(|key| number(&feature[key]));
            inside += outline - bare;
            either += outline + spill;
            covered += outline - bare + spill;
        }
        let threads = list(&plan["threads"]);
        let sum = |key: &str| threads.iter().map(|t| number(&t[key])).sum::<f64>();
        let laid: f64 = threads
            .iter()
            .map(|t| number(&t["length_mm"]) * number(&t["width_mm"]))
            .sum();
        let stated = |key: &str| row[key].parse::<f64>().unwrap();
        assert_abs_diff_eq!(stated("match"), inside / either, epsilon = 1e-4);
        assert_abs_diff_eq!(number(&piece["match"]), inside / either, epsilon = 1e-4);
        assert_abs_diff_eq!(stated("yarn_over_area"), laid / covered, epsilon = 1e-3);
        assert_abs_diff_eq!(stated("yarn_m"), sum("length_mm") / 1000.0, epsilon = 1e-4);
        assert_abs_diff_eq!(stated("yarn_g"), sum("grams"), epsilon = 1e-3);
        assert_abs_diff_eq!(stated("strands"), sum("strands"), epsilon = 1e-9);
        assert_eq!(row["pairs"], "3");
        let poor = list(&plan["features"]).iter().any(|feature| {
            let fill = feature["direction_deg"].is_number() || feature["direction"].is_string();
            fill && number(&feature["match"]) < READS
        });
        let problem = list(&plan["findings"])
            .iter()
            .any(|f| f["level"] == "problem");
        assert_eq!(row["reads"], if poor || problem { "no" } else { "yes" });
        for thread in threads {
            // Three pairs of two feet; the real yarn is told apart by its colour here.
            let colour = thread["colour"].as_str().unwrap().to_owned();
            let metres = number(&thread["length_mm"]) / 1000.0 * number(&thread["held"]);
            *bought.entry(colour).or_default() += 6.0 * metres;
        }
    }
    let yarn = list(&set["yarn"]);
    assert_eq!(yarn.len(), bought.len());
    let text = fs::read_to_string(desk.0.join("made/yarn.txt")).unwrap();
    for line in yarn {
        let planned = bought[line["colour"].as_str().unwrap()];
        assert_abs_diff_eq!(number(&line["planned_m"]), planned, epsilon = 1e-2);
        // A fifth more; metres in 100 g as the slipper files state them; balls of 20 g.
        let grams = 1.2 * planned * 100.0 / number(&line["metres_per_100g"]);
        assert_abs_diff_eq!(number(&line["grams"]), grams, epsilon = 1e-2);
        let balls = (grams / 20.0).ceil();
        assert_abs_diff_eq!(number(&line["balls"]), balls, epsilon = 1e-9);
        let told = format!("{}: {balls} ball", line["colour"].as_str().unwrap());
        assert!(text.contains(&told), "{told}\n{text}");
        let metres = format!("{:.0} m or {:.0} g", (1.2 * planned).ceil(), grams.ceil());
        assert!(text.contains(&metres), "{metres}\n{text}");
    }
    assert!(text.contains("24 pairs"), "{text}");
}

/// What of a plan is seen in each colour, by the independent library.
fn seen(plan: &Value) -> BTreeMap<String, Region> {
    let colour_of = |thread: &Value| {
        let own = list(&plan["threads"]).iter().find(|t| t["name"] == *thread);
        own.unwrap()["colour"].as_str().unwrap().to_owned()
    };
    let mut seen: BTreeMap<String, Region> = BTreeMap::new();
    for feature in list(&plan["features"]) {
        let at = |end: &Value| Point::new(number(&end["x_mm"]), number(&end["y_mm"]));
        let ends: Vec<(Point, Point)> = list(&feature["strands"])
            .iter()
            .map(|strand| (at(&strand["up"]), at(&strand["down"])))
            .collect();
        let laid = Region::strands(&ends, number(&feature["strand_mm"]));
        for below in seen.values_mut() {
            *below = below.without(&laid);
        }
        let own = seen.remove(&colour_of(&feature["thread"]));
        let own = own.map_or_else(|| laid.clone(), |own| own.or(&laid));
        seen.insert(colour_of(&feature["thread"]), own);
    }
    seen
}

#[test]
fn how_far_faces_are_apart_agrees_with_an_independent_geometry_library() {
    let desk = Desk::new("apart");
    assert_ne!(desk.made(), 2);
    let set = desk.json("made/set.json");
    let folder = |slipper: &Value, face: &Value| {
        let pieces = list(&set["pieces"]).iter();
        let name = |piece: &Value| match piece["variant"].as_str().unwrap() {
            "plain" => piece["face"].as_str().unwrap().to_owned(),
            variant => format!("{}, {variant}", piece["face"].as_str().unwrap()),
        };
        let mut own = pieces.filter(|p| p["slipper"] == *slipper && *face == name(p));
        let piece = own.next().unwrap();
        desk.json(&format!(
            "made/{}/plan.json",
            piece["folder"].as_str().unwrap()
        ))
    };
    let (mut least, mut most) = (1.0_f64, 0.0_f64);
    for pair in list(&set["apart"]) {
        let [a, b] = [0, 1].map(|at| seen(&folder(&pair["slipper"], &pair["faces"][at])));
        let all = |seen: &BTreeMap<String, Region>| {
            let regions = seen.values().cloned();
            regions.reduce(|a, b| a.or(&b)).unwrap()
        };
        // The colours of one slipper are far apart, so alike is the same.
        let both: f64 = a
            .iter()
            .filter_map(|(colour, region)| Some(region.and(b.get(colour)?).area()))
            .sum();
        let expected = 1.0 - both / all(&a).or(&all(&b)).area();
        let found = number(&pair["strands_apart"]);
        assert_abs_diff_eq!(found, expected, epsilon = 0.01);
        (least, most) = (least.min(found), most.max(found));
    }
    // Four faces on two slippers: six pairs each. The same shapes in other colours are far apart,
    // those with a tooth a twentieth narrower are not.
    assert_eq!(list(&set["apart"]).len(), 12);
    assert!(least < LOOKS_ALIKE && most > 0.5, "{least} {most}");
    let finding = list(&set["findings"])
        .iter()
        .find(|f| f["code"] == "look-alike" && f["faces"][1] == "Blink, hardly")
        .unwrap();
    let text = finding["text"].as_str().unwrap();
    assert!(
        text.contains("Blink and Blink, hardly look alike"),
        "{text}"
    );
    assert!(text.contains("enlarge tooth"), "{text}");
    assert_eq!(desk.made(), 1, "two that look alike are a problem");
}

#[test]
fn colours_are_as_far_apart_as_the_eye_has_them() {
    // CIE 15: L* of white is 100, of black 0, both without a* and b*.
    assert_abs_diff_eq!(colours_apart([0; 3], [255; 3]), 100.0, epsilon = 0.02);
    assert_abs_diff_eq!(
        colours_apart([9, 99, 199], [9, 99, 199]),
        0.0,
        epsilon = 1e-12
    );
    // L* = 116 (Y)^(1/3) - 16; a grey of Y = 0.184 has L* = 50: #777777 has Y = 0.1845.
    assert_abs_diff_eq!(colours_apart([0x77; 3], [0; 3]), 50.0, epsilon = 0.1);
}

/// Harms the folder of a piece.
fn damage(folder: &Path, kind: &str) {
    let file = |name: &str| folder.join(name);
    match kind {
        "cut" => {
            let bytes = fs::read(file("chart.png")).unwrap();
            fs::write(file("chart.png"), &bytes[..bytes.len() / 2]).unwrap();
        }
        "deleted" => fs::remove_file(file("steps.txt")).unwrap(),
        "over" => fs::write(file("plan.json"), "{}").unwrap(),
        "no key" => fs::remove_file(file("made.json")).unwrap(),
        "broken key" => fs::write(file("made.json"), "{").unwrap(),
        "other key" => {
            let text = fs::read_to_string(file("made.json")).unwrap();
            let (before, after) = text.split_once("\"from\": \"").unwrap();
            let other = format!("{before}\"from\": \"0{}", &after[1..]);
            let other = match other == text {
                true => format!("{before}\"from\": \"1{}", &after[1..]),
                false => other,
            };
            fs::write(file("made.json"), other).unwrap();
        }
        _ => fs::remove_dir_all(folder).unwrap(),
    }
}

#[test]
fn what_is_unchanged_is_kept_and_what_is_damaged_is_made_again() {
    let desk = Desk::new("kept");
    assert_ne!(desk.made(), 2);
    let first = desk.content("made");
    let again = desk.run(&["--out", "made"]);
    assert!(out(&again).contains("8 of them kept"), "{}", out(&again));
    assert!(
        first == desk.content("made"),
        "a second run changed something"
    );
    let made = desk.0.join("made");
    let kinds = [
        "cut",
        "deleted",
        "over",
        "no key",
        "broken key",
        "gone",
        "other key",
    ];
    for kind in kinds {
        damage(&made.join("small-face"), kind);
        let output = desk.run(&["--out", "made"]);
        let told = out(&output);
        assert!(told.contains("7 of them kept"), "{kind}: {told}");
        assert!(first == desk.content("made"), "{kind}");
    }
    // What the maker put there stays, also when its piece is made again.
    desk.write("made/small-face/notes.txt", "mine");
    fs::remove_file(made.join("small-face/chart.svg")).unwrap();
    assert_ne!(desk.made(), 2);
    assert_eq!(
        fs::read_to_string(made.join("small-face/notes.txt")).unwrap(),
        "mine"
    );
    // Another figure of one slipper: its pieces are made again, and no others.
    let slipper = fs::read_to_string(desk.0.join("slipper.toml")).unwrap();
    desk.write(
        "slipper.toml",
        &slipper.replace("around_cm = 22.5", "around_cm = 23.5"),
    );
    let output = desk.run(&["--out", "made"]);
    assert!(out(&output).contains("4 of them kept"), "{}", out(&output));
    // Fewer faces: what is left over is named and left alone.
    desk.write("set.toml", &SET.replace("variants = \"all\"", ""));
    let output = desk.run(&["--out", "made"]);
    assert!(
        out(&output).contains("left alone: slipper-face-hardly"),
        "{}",
        out(&output)
    );
    assert!(made.join("small-face-lit/plan.json").is_file());
    let fresh = desk.run(&["--out", "made", "--fresh"]);
    assert!(!out(&fresh).contains("kept from before"), "{}", out(&fresh));
}

/// Every folder in place is whole: each file of its key is there with the content stated.
fn assert_whole(made: &Path) -> usize {
    let mut folders = 0;
    for entry in fs::read_dir(made).into_iter().flatten() {
        let path = entry.unwrap().path();
        let name = path.file_name().unwrap().to_string_lossy().into_owned();
        if name.starts_with('.') {
            continue;
        }
        if path.is_dir() {
            let key = fs::read(path.join("made.json"));
            let key: Value = serde_json::from_slice(&key.unwrap()).unwrap();
            let files = key["files"].as_object().unwrap();
            assert!(files.len() >= 5);
            for (file, hash) in files {
                let bytes = fs::read(path.join(file)).unwrap();
                assert_eq!(
                    kept::sha256(&bytes),
                    hash.as_str().unwrap(),
                    "{name}/{file}"
                );
            }
            folders += 1;
        } else if name.ends_with(".png") {
            let file = std::io::BufReader::new(fs::File::open(&path).unwrap());
            let mut reader = png::Decoder::new(file).read_info().unwrap();
            let mut bytes = vec![0; reader.output_buffer_size().unwrap()];
            assert!(reader.next_frame(&mut bytes).is_ok(), "{name} is cut off");
        } else if name.ends_with(".json") {
            let text = fs::read(&path).unwrap();
            assert!(serde_json::from_slice::<Value>(&text).is_ok(), "{name}");
        }
    }
    folders
}

#[test]
fn a_run_that_is_killed_leaves_whole_files_and_the_next_goes_on() {
    let desk = Desk::new("killed");
    assert_ne!(desk.run(&["--out", "undisturbed"]).status.code(), Some(2));
    let made = desk.0.join("made");
    let mut stopped = 0;
    for run in 0..10 {
        let mut child = desk
            .command(&["--out", "made"])
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .spawn()
            .unwrap();
        // Later each time; a second run of the same length would always be stopped at one place.
        sleep(Duration::from_millis(30 + 90 * run));
        child.kill().unwrap();
        stopped += usize::from(child.wait().unwrap().code().is_none());
        let whole = assert_whole(&made);
        assert!(whole <= PIECES.len());
    }
    assert!(
        stopped >= 3,
        "hardly a run was killed before its end: {stopped}"
    );
    let last = desk.run(&["--out", "made"]);
    assert_ne!(last.status.code(), Some(2));
    assert_eq!(assert_whole(&made), PIECES.len());
    assert!(
        desk.content("made") == desk.content("undisturbed"),
        "not what an undisturbed run makes"
    );
}

#[test]
fn any_number_of_threads_makes_the_same_bytes() {
    let desk = Desk::new("threads");
    for (threads, dir) in [("1", "one"), ("2", "two"), ("5", "five")] {
        let output = desk.run(&["--threads", threads, "--out", dir]);
        assert_ne!(output.status.code(), Some(2));
    }
    let one = desk.content("one");
    assert!(one == desk.content("two") && one == desk.content("five"));
}

#[test]
fn a_set_says_little_where_it_is_not_asked() {
    let desk = Desk::new("quiet");
    let output = desk.run(&["--out", "made", "--quiet"]);
    assert_ne!(output.status.code(), Some(2));
    assert!(output.stdout.is_empty() && output.stderr.is_empty());
    let output = desk.run(&["--out", "made"]);
    assert!(output.stderr.is_empty(), "no bar where nobody watches");
    let output = desk.run(&["--out", "made", "--json"]);
    let told: Value = serde_json::from_slice(&output.stdout).unwrap();
    assert_eq!(told, desk.json("made/set.json"));
    assert_eq!(told["format"], 1);
}

#[test]
fn one_bad_file_does_not_stop_the_others() {
    let desk = Desk::new("bad");
    desk.write("broken.toml", &FACE.replace("width = 100", "width = -1"));
    desk.write(
        "set.toml",
        "slippers = ['slipper.toml', 'smal.toml']\nfaces = ['lantern-wink', 'broken.toml']\n",
    );
    let output = desk.run(&["--out", "made"]);
    assert_eq!(output.status.code(), Some(2));
    let told = String::from_utf8(output.stderr).unwrap();
    assert!(
        told.contains("set.toml:1:29: `slippers`: expected a slipper file"),
        "{told}"
    );
    assert!(told.contains("did you mean `small.toml`?"), "{told}");
    assert!(told.contains("broken.toml:3:9: `width`"), "{told}");
    assert!(desk.0.join("made/slipper-lantern-wink/chart.png").is_file());
    assert!(desk.0.join("made/set.png").is_file());
    // A file where a folder has to go.
    desk.write(
        "set.toml",
        "slippers = ['slipper.toml', 'small.toml']\nfaces = ['lantern-wink']\n",
    );
    desk.write("other/small-lantern-wink", "a file of the maker's");
    let output = desk.run(&["--out", "other"]);
    assert_eq!(output.status.code(), Some(2));
    let told = String::from_utf8(output.stderr).unwrap();
    assert!(told.contains("small-lantern-wink"), "{told}");
    assert!(
        desk.0
            .join("other/slipper-lantern-wink/plan.json")
            .is_file()
    );
    let kept = fs::read_to_string(desk.0.join("other/small-lantern-wink")).unwrap();
    assert_eq!(kept, "a file of the maker's");
}

#[test]
fn mistakes_of_a_set_file_are_told_with_line_key_and_the_nearest_name() {
    let desk = Desk::new("mistakes");
    let lists = "slippers = ['slipper.toml']\nfaces = ['lantern-wink']\n";
    let cases = [
        ("faces = ['owl']".to_owned(), "`slippers`: expected a list of 1 to 60"),
        ("slippers = []\nfaces = ['owl']".into(), "set.toml:1:12: `slippers`"),
        ("slippers = ['slipper.toml']\nfaces = ['owll']".into(), "did you mean `owl`?"),
        ("slippers = ['slipper.toml']\nfaces = [3]".into(), "found `3` at entry 1"),
        (format!("{lists}marginn = 0.1"), "did you mean `margin`?"),
        (format!("{lists}margin = 2"), "set.toml:3:10: `margin`: expected a number from 0 to 1"),
        (format!("{lists}[place]\nwidth = 0.3\nbelow = 0.1\nbelow_rows = 2"), "found both"),
        (format!("{lists}[place]\nwidth = 0.06"), "set.toml:4:9: `width`: Marrow Lane, adult"),
        (
            "slippers = [{ file = 'slipper.toml', pairs = 2 }]\nfaces = [{ face = 'owl', pairs = 2 }]"
                .into(),
            "expected `pairs` with slippers or with faces",
        ),
        (
            "slippers = ['slipper.toml']\nfaces = [{ face = 'owl', variants = ['wurried'] }]".into(),
            "set.toml:2:38: `faces 1.variants`: expected a variant of Owl, found `wurried`\n  tip: did you mean `worried`?",
        ),
        ("[[feature]]\nname = 'eye'".into(), "expected a set, found a face"),
        (String::new(), "expected a set in TOML, found an empty file"),
    ];
    for (text, words) in cases {
        let told = desk.refused(&text);
        assert!(told.contains(words), "{text}\n{told}\n{words}");
        assert!(!desk.0.join("refused").exists(), "{text}");
    }
    let told = desk.run(&["--threads", "0"]);
    assert_eq!(told.status.code(), Some(2));
}

#[test]
fn names_of_folders_are_safe_and_stand_once() {
    let desk = Desk::new("names");
    let wink =
        fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join("faces/lantern-wink.toml"));
    let wink = wink.unwrap();
    desk.write("a/Wink.toml", &wink);
    desk.write("b/wink.toml", &wink);
    desk.write("b/Zwinker: blöd, ..toml", &wink);
    desk.write(
        "sets/set.toml",
        "slippers = ['../small.toml']\nfaces = ['../a/Wink.toml', '../b/wink.toml', '../b/Zwinker: blöd, ..toml']",
    );
    let output = Command::new(env!("CARGO_BIN_EXE_instep"))
        .args(["set", "sets/set.toml", "--out", "made"])
        .current_dir(&desk.0)
        .output()
        .unwrap();
    assert_ne!(
        output.status.code(),
        Some(2),
        "{}",
        String::from_utf8_lossy(&output.stderr)
    );
    let made = desk.content("made");
    let folders: BTreeSet<&str> = made
        .keys()
        .filter_map(|n| Some(n.split_once('/')?.0))
        .collect();
    let folders: Vec<&str> = folders.into_iter().collect();
    assert_eq!(
        folders,
        ["small-wink", "small-wink-2", "small-zwinker-blod"]
    );
}

#[test]
fn the_other_foot_wears_the_mirror_image_where_that_is_another_face() {
    let desk = Desk::new("feet");
    desk.write(
        "set.toml",
        "feet = 'mirrored'\nslippers = ['small.toml']\nfaces = ['lantern-wink', 'ghost']\n",
    );
    assert_ne!(desk.made(), 2);
    let set = desk.json("made/set.json");
    let feet: Vec<(&str, &str)> = list(&set["pieces"])
        .iter()
        .map(|piece| {
            (
                piece["folder"].as_str().unwrap(),
                piece["foot"].as_str().unwrap(),
            )
        })
        .collect();
    assert_eq!(
        feet,
        [
            ("small-lantern-wink", "drawn"),
            ("small-lantern-wink-mirrored", "mirrored"),
            ("small-ghost", "both"),
        ]
    );
    let sides = |folder: &str| -> Vec<String> {
        let plan = desk.json(&format!("made/{folder}/plan.json"));
        let features = list(&plan["features"]).iter();
        features
            .map(|f| {
                format!(
                    "{} {}",
                    f["side"].as_str().unwrap(),
                    f["name"].as_str().unwrap()
                )
            })
            .collect()
    };
    assert_eq!(sides(feet[0].0)[..2], ["left open eye", "right shut eye"]);
    assert_eq!(sides(feet[1].0)[..2], ["right open eye", "left shut eye"]);
    // A wink on one foot of a pair, a ghost on both: two faces of dark in all, two of light.
    let faces: Vec<u64> = list(&set["yarn"])
        .iter()
        .map(|y| y["faces"].as_u64().unwrap())
        .collect();
    assert_eq!(faces, [2, 2]);
    // The mirror image is not compared with its own face.
    assert_eq!(list(&set["apart"]).len(), 1);
}

#[test]
fn a_face_keeps_its_proportions_over_sizes() {
    let desk = Desk::new("shares");
    desk.write(
        "set.toml",
        "slippers = ['slipper.toml', 'small.toml']\n[[faces]]\nface = 'lantern-wink'\n[[faces]]\nface = 'ghost'\nwidth = 0.25\nbelow_rows = 1\n[place]\nwidth = 0.28\nbelow = 0.1\n[threads.dark]\ncolour = '#102030'\nheld = 1\n",
    );
    assert_ne!(desk.made(), 2);
    // Adult: 22.5 cm around the foot; 16 rounds of 20 cm / 21, spiral, worked to the middle of
    // the eight open stitches of 22: the edge lies (4.5 - 0.5) / 22 of a row above the last base.
    let row = 200.0 / 21.0;
    let length = row * (15.0 + 1.0 + 4.0 / 22.0);
    let set = desk.json("made/set.json");
    let piece = |folder: &str| {
        let pieces = list(&set["pieces"]).iter();
        pieces.clone().find(|p| p["folder"] == folder).unwrap()
    };
    let wink = piece("slipper-lantern-wink");
    assert_abs_diff_eq!(number(&wink["width_mm"]), 0.28 * 225.0, epsilon = 1e-3);
    assert_abs_diff_eq!(number(&wink["below_edge_mm"]), 0.1 * length, epsilon = 1e-3);
    let ghost = piece("slipper-ghost");
    assert_abs_diff_eq!(number(&ghost["width_mm"]), 0.25 * 225.0, epsilon = 1e-3);
    assert_abs_diff_eq!(number(&ghost["below_edge_mm"]), row, epsilon = 1e-3);
    let small = piece("small-lantern-wink");
    assert_abs_diff_eq!(number(&small["width_mm"]), 0.28 * 140.0, epsilon = 1e-3);
    let plan = desk.json("made/small-lantern-wink/plan.json");
    assert_eq!(plan["threads"][0]["colour"], "#102030");
    assert_eq!(plan["threads"][0]["held"], 1);
}
