//! The page beside the work, in a real browser: what it shows, how it is led, what it keeps.
//!
//! Sizes and contrast are held to W3C Web Content Accessibility Guidelines 2.2; the words to those
//! of the written steps, which another writer puts on paper.

#![expect(
    clippy::unwrap_used,
    reason = "a check that cannot set up its desk has failed"
)]

mod browser;

use std::fs;
use std::path::PathBuf;
use std::sync::LazyLock;

use instep::draw::{self, DrawSettings};
use instep::fabric::Slipper;
use instep::files::{self, Words, bundled};
use instep::terms::Terms;
use instep::units::Ruler;
use instep::weave::{Finding, Level, Plan};
use serde_json::{Value, json};

use super::planned::{self, LINES};
use browser::{Browser, Window};

/// W3C `WebDriver`, "keyboard actions": the code points of special keys.
const RIGHT: &str = "\u{e014}";
const LEFT: &str = "\u{e012}";
const HOME: &str = "\u{e011}";
const END: &str = "\u{e010}";

const TELEPHONE: (u32, u32) = (360, 640);
const ON_ITS_SIDE: (u32, u32) = (720, 360);
const DESK: (u32, u32) = (1280, 800);

const INCHES: Words = Words {
    terms: Terms::Uk,
    ruler: Ruler::Inch,
};

/// Names that would break out of a text, an attribute or a script.
const FACE: &str = r#"</script><b>"Odd" & 'quoted' {{plan}}"#;
const SLIPPER: &str = "<img src=x onerror=\"document.title='caught'\">";

fn slipper(at: usize) -> Slipper {
    planned::slippers().swap_remove(at).1.slipper
}

/// Fills of three threads on top of each other, right-handed, spiral.
static CAT: LazyLock<Plan> = LazyLock::new(|| {
    let cat = bundled::FACES.iter().find(|face| face.name == "cat");
    let mut job = planned::job(slipper(0), planned::face(cat.unwrap().text));
    job.settings.float_limit_mm = 12.0;
    planned::plan(&job)
});

/// Lines and knots, left-handed, joined, with odd names throughout.
static ODD: LazyLock<Plan> = LazyLock::new(|| {
    let face = planned::face(
        &LINES
            .replace("\"Lines\"", &format!("'''{FACE}'''"))
            .replace("[threads.dark]", "[threads.'<i>d&rk\"']")
            .replace("thread = \"dark\"", "thread = '<i>d&rk\"'")
            .replace("name = \"smile\"", "name = '</optgroup>&amp; \"smile\"'"),
    );
    let mut slipper = slipper(1);
    SLIPPER.clone_into(&mut slipper.name);
    planned::plan(&planned::job(slipper, face))
});

fn page(plan: &Plan, words: Words) -> String {
    let map = draw::work_map(plan, &DrawSettings::default()).to_screen_svg();
    files::companion(plan, &words, &map)
}

/// A page in a file of its own, gone afterwards.
struct Paper(PathBuf);

impl Paper {
    fn of(name: &str, plan: &Plan, words: Words) -> Self {
        let name = format!("instep-{}-{name}.html", std::process::id());
        let path = std::env::temp_dir().join(name);
        fs::write(&path, page(plan, words)).unwrap();
        Self(path)
    }
}

impl Drop for Paper {
    fn drop(&mut self) {
        let _ = fs::remove_file(&self.0);
    }
}

impl Browser {
    fn open_paper(&self, paper: &Paper) {
        self.open_file(&paper.0);
        self.seen();
    }

    /// The station shown: 0 before the first strand, then one a strand.
    fn station(&self) -> u64 {
        self.ask("return +document.querySelector('#go').value")
            .as_u64()
            .unwrap()
    }

    fn ticked(&self) -> Value {
        self.ask("return [...document.querySelectorAll('#begin input')].map((t) => t.checked)")
    }

    fn tick(&self, row: usize) {
        self.ask(&format!(
            "document.querySelectorAll('#begin input')[{row}].click()"
        ));
    }

    /// Nothing was complained of, and nothing was asked of any network.
    fn assert_quiet(&self) {
        assert_eq!(self.log("browser"), Vec::<String>::new());
        let asked: Vec<String> = self
            .log("performance")
            .iter()
            .filter_map(|entry| serde_json::from_str::<Value>(entry).ok())
            .filter(|entry| entry["message"]["method"] == "Network.requestWillBeSent")
            .filter_map(|entry| {
                let url = &entry["message"]["params"]["request"]["url"];
                url.as_str().map(str::to_owned)
            })
            .collect();
        assert!(!asked.is_empty(), "the page itself is in the log");
        let from_outside = |url: &&String| !url.starts_with("file:") && !url.starts_with("data:");
        assert_eq!(asked.iter().find(from_outside), None);
        let fetched =
            self.ask("return performance.getEntriesByType('resource').map((r) => r.name)");
        assert_eq!(fetched, json!([]));
    }
}

/// What the written steps say, in order: what to do before a strand, the strand, what after it.
#[derive(Debug, PartialEq, Eq)]
enum Said {
    Note(String),
    Strand {
        number: String,
        first: String,
        second: String,
    },
}

/// The working part of `steps.txt`.
fn said_by_the_steps(plan: &Plan, words: Words) -> Vec<Said> {
    let text = files::steps(plan, &words);
    let lines = text.lines().map(str::trim);
    lines
        .filter_map(|line| {
            let note = line.contains(": cut ")
                || line.starts_with("On the inside carry")
                || line.starts_with("Fasten off on");
            if note {
                return Some(Said::Note(line.to_owned()));
            }
            let (number, rest) = line.split_once("  ")?;
            number.parse::<u32>().ok()?;
            let (first, second) = rest.split_once(';')?;
            let (second, _) = second.rsplit_once("  [")?;
            // A knot is wound between its two places.
            let wound = second.split_once(';');
            let (first, second) = wound.map_or_else(
                || (first.to_owned(), second),
                |(wind, second)| (format!("{first}; {}", wind.trim()), second),
            );
            Some(Said::Strand {
                number: number.to_owned(),
                first,
                second: second.trim().to_owned(),
            })
        })
        .collect()
}

/// What is seen on the page now, in the same form.
fn said_by_the_page(browser: &Browser) -> Vec<Said> {
    let seen = browser.ask(
        "const seen = [...document.querySelectorAll('#strands > li')]
           .filter((item) => item.checkVisibility());
         if (seen.length !== 1) return null;
         const text = (item) => {
           const copy = item.cloneNode(true);
           for (const small of copy.querySelectorAll('small, .hidden')) small.remove();
           return copy.textContent.trim();
         };
         const line = (name) => [...seen[0].querySelectorAll(name + ' > *')].map(text).join(' ');
         const wind = seen[0].querySelector('.wind dd');
         return {
           before: [...seen[0].querySelectorAll('.note:not(.after)')].map(text),
           number: text(seen[0].querySelector('.number')),
           first: line('.up') + (wind ? '; ' + text(wind) : ''),
           second: line('.down'),
           after: [...seen[0].querySelectorAll('.note.after')].map(text),
         };",
    );
    let of = |key: &str| seen[key].as_str().unwrap().to_owned();
    let notes = |key: &str| {
        let notes = seen[key].as_array().unwrap().iter();
        notes
            .map(|note| Said::Note(note.as_str().unwrap().to_owned()))
            .collect::<Vec<_>>()
    };
    let mut said = notes("before");
    said.push(Said::Strand {
        number: of("number"),
        first: of("first"),
        second: of("second"),
    });
    said.extend(notes("after"));
    said
}

/// The names of the plan's strands in working order, worked out anew.
fn in_working_order(plan: &Plan) -> Vec<String> {
    let of_all = plan.features.iter();
    let mut all: Vec<_> = of_all
        .flat_map(|feature| feature.strands.iter().map(move |strand| (feature, strand)))
        .collect();
    all.sort_by_key(|(_, strand)| (strand.stage, strand.order));
    all.iter()
        .map(|(feature, strand)| plan.strand_name(feature, strand))
        .collect()
}

/// The parts of the picture that are lit are all those of one strand.
fn lit(browser: &Browser) -> (String, u64) {
    let lit = browser.ask(
        "const lit = [...document.querySelectorAll('#chart [data-strand].now')];
         const names = new Set(lit.map((part) => part.dataset.strand));
         const all = document.querySelectorAll(`#chart [data-strand=\"${[...names][0]}\"]`);
         if (names.size !== 1 || all.length !== lit.length) return null;
         const done = document.querySelectorAll('#strands > li.done').length;
         return [[...names][0], done];",
    );
    (
        lit[0].as_str().unwrap().to_owned(),
        lit[1].as_u64().unwrap(),
    )
}

/// Everything to be read at a strand lies on the screen, above the buttons, unscrolled.
fn assert_in_sight(browser: &Browser, station: usize) {
    let hidden = browser.ask(
        "const main = document.querySelector('main').getBoundingClientRect();
         const now = document.querySelectorAll('.now .number, .now .places dd, .now .note');
         return [...now].filter((item) => {
           const { top, bottom, left, right } = item.getBoundingClientRect();
           return top < main.top || bottom > main.bottom || left < 0 || right > innerWidth;
         }).map((item) => item.textContent);",
    );
    assert_eq!(hidden, json!([]), "at {station}");
}

fn follow(browser: &Browser, plan: &Plan, words: Words, name: &str) {
    let paper = Paper::of(name, plan, words);
    browser.open_paper(&paper);
    let mut told = said_by_the_steps(plan, words).into_iter();
    let order = in_working_order(plan);
    assert_eq!(browser.station(), 0);
    for (at, strand) in order.iter().enumerate() {
        browser.tap("#next");
        for said in said_by_the_page(browser) {
            match (told.next().unwrap(), said) {
                // The page adds the yarn before, and the tail after, what to cut.
                (Said::Note(steps), Said::Note(page)) => assert!(page.contains(&steps), "{page}"),
                (steps, page) => assert_eq!(steps, page),
            }
        }
        assert_eq!(lit(browser), (strand.clone(), at as u64));
        assert_in_sight(browser, at + 1);
    }
    assert_eq!(told.next(), None);
    browser.tap("#next");
    assert_eq!(browser.station(), order.len() as u64 + 1);
    let end = browser.text("return document.querySelector('#end').innerText");
    for caution in ["slippery", "catches toes", "open flame", "certificate"] {
        assert!(end.contains(caution), "{end}");
    }
    assert_eq!(
        browser.ask("return document.querySelector('#next').disabled"),
        true
    );
    browser.assert_quiet();
}

#[test]
fn tapping_through_says_what_the_steps_say_strand_by_strand() {
    let browser = Window::of_size(TELEPHONE);
    follow(&browser, &CAT, Words::default(), "cat");
    follow(&browser, &ODD, INCHES, "odd");
}

#[test]
fn odd_names_show_as_they_are_written() {
    let browser = Window::of_size(TELEPHONE);
    let paper = Paper::of("names", &ODD, Words::default());
    browser.open_paper(&paper);
    let text = |selector: &str| {
        browser.text(&format!(
            "return document.querySelector('{selector}').textContent"
        ))
    };
    assert_eq!(text("h1"), FACE);
    assert_eq!(text(".slipper"), SLIPPER);
    assert_eq!(text("title"), format!("{FACE}: strand by strand"));
    assert_eq!(text("#chart title"), format!("{FACE} on {SLIPPER}"));
    assert!(text("#strands").contains("<i>d&rk\" yarn"));
    let groups = browser
        .text("return [...document.querySelectorAll('optgroup')].map((g) => g.label).join('\\n')");
    assert!(groups.contains("</optgroup>&amp; \"smile\""), "{groups}");
    let strangers = browser.ask("return document.querySelectorAll('b, i, img').length");
    assert_eq!(strangers, 0);
    browser.assert_quiet();
}

#[test]
fn the_policy_lets_nothing_in_from_outside_and_no_other_script_run() {
    let browser = Window::of_size(TELEPHONE);
    let paper = Paper::of("policy", &CAT, Words::default());
    browser.open_paper(&paper);
    // W3C Content Security Policy Level 3: what is blocked is told as an event.
    let blocked = browser.ask(
        "const blocked = [];
         document.addEventListener('securitypolicyviolation',
           (event) => blocked.push(event.effectiveDirective));
         const add = (tag, set) => document.body.append(Object.assign(
           document.createElement(tag), set));
         add('script', { textContent: 'window.strange = true' });
         add('style', { textContent: 'body { display: none }' });
         add('img', { src: 'http://127.0.0.1:9/a.png' });
         fetch('http://127.0.0.1:9/').catch(() => {});
         return new Promise((done) => setTimeout(() => done(
           [blocked.sort().join(' '), !!window.strange, getComputedStyle(document.body).display]),
           300));",
    );
    let directives = "connect-src img-src script-src-elem style-src-elem";
    assert_eq!(blocked, json!([directives, false, "flex"]));
}

#[test]
fn keys_and_fingers_lead_both_ways() {
    let browser = Window::of_size(TELEPHONE);
    let paper = Paper::of("ways", &CAT, Words::default());
    browser.open_paper(&paper);
    let last = in_working_order(&CAT).len() as u64 + 1;
    let press = |keys: &str, station: u64| {
        browser.keys(keys);
        assert_eq!(browser.station(), station, "after {keys:?}");
    };
    press(RIGHT, 1);
    press(" ", 2);
    press(LEFT, 1);
    press(END, last);
    press(RIGHT, last);
    press(HOME, 0);
    press(LEFT, 0);
    // On a button the space bar presses the button, once.
    browser.ask("document.querySelector('#next').focus()");
    press(" ", 1);
    browser.ask("document.querySelector('#back').focus()");
    press(" ", 0);
    // It is dead now, and the keys go to the other one.
    press(" ", 1);
    press(HOME, 0);
    for _ in 0..3 {
        browser.tap("#next");
    }
    let draw = |from: (i32, i32), to: (i32, i32), station: u64| {
        browser.swipe(from, to);
        assert_eq!(browser.station(), station, "from {from:?} to {to:?}");
    };
    draw((300, 450), (80, 460), 4);
    draw((60, 450), (280, 440), 3);
    draw((300, 180), (80, 180), 4); // over the picture
    draw((200, 500), (190, 300), 4); // down or up is no turn of a page
    draw((200, 450), (170, 450), 4); // nor is a twitch
    let whole = "return document.querySelector('#picture').ariaPressed";
    browser.tap("#picture");
    assert_eq!(browser.text(whole), "true");
    browser.tap("#picture");
    assert_eq!(browser.text(whole), "false");
    // What is shown is told to those who listen.
    browser.tap("#back");
    let said = browser.text("return document.querySelector('[aria-live]').textContent");
    let Said::Strand { number, second, .. } = said_by_the_page(&browser).pop().unwrap() else {
        panic!("{said}");
    };
    assert!(said.contains(&format!("Strand {number}.")), "{said}");
    assert!(said.contains(second.trim_start_matches("down ")), "{said}");
    browser.assert_quiet();
}

#[test]
fn the_place_is_kept_for_this_plan_until_it_is_forgotten() {
    let browser = Window::of_size(TELEPHONE);
    let [cat, odd] = [("kept-cat", &CAT), ("kept-odd", &ODD)]
        .map(|(name, plan)| Paper::of(name, plan, Words::default()));
    browser.open_paper(&cat);
    browser.tick(1);
    for _ in 0..5 {
        browser.tap("#next");
    }
    let ticked = browser.ticked();
    assert_eq!(ticked[1], true);
    browser.reload();
    assert_eq!((browser.station(), browser.ticked()), (5, ticked.clone()));
    // The same plan in other words is the same work; another plan is not.
    let inches = Paper::of("kept-inches", &CAT, INCHES);
    browser.open_paper(&inches);
    assert_eq!((browser.station(), browser.ticked()), (5, ticked));
    browser.open_paper(&odd);
    assert_eq!(browser.station(), 0);
    browser.open_paper(&cat);
    browser.tap("#open-menu");
    browser.tap("#reset");
    browser.tap("#keep");
    assert_eq!(browser.station(), 5);
    browser.tap("#reset");
    browser.tap("#forget");
    let forgotten = || {
        assert_eq!(browser.station(), 0);
        assert!(!browser.ticked().as_array().unwrap().contains(&json!(true)));
    };
    forgotten();
    browser.reload();
    forgotten();
    // What was kept may be torn.
    for torn in [
        "{",
        "null",
        "7",
        "{\\\"at\\\":1e9,\\\"ticked\\\":{}}",
        "{\\\"at\\\":\\\"x\\\"}",
    ] {
        browser.ask(&format!(
            "for (const key of Object.keys(localStorage)) localStorage.setItem(key, \"{torn}\")"
        ));
        browser.reload();
        browser.keys(HOME);
        browser.tap("#next");
        browser.reload();
        assert_eq!(browser.station(), 1, "after {torn}");
    }
    browser.assert_quiet();
}

#[test]
fn a_browser_that_keeps_nothing_is_told_of_and_works() {
    let browser = Window::of_size(TELEPHONE);
    // A page of no origin is refused all storage (WHATWG HTML, "localStorage": SecurityError).
    let html = page(&CAT, Words::default());
    let escaped = html.replace('%', "%25").replace('#', "%23");
    browser.open(&format!("data:text/html;charset=utf-8,{escaped}"));
    let refused = "try { localStorage.length; return 'open' } catch (e) { return e.name }";
    assert_eq!(browser.text(refused), "SecurityError");
    browser.tap("#next");
    browser.tap("#next");
    assert_eq!(browser.station(), 2);
    browser.tap("#open-menu");
    let told = browser.text("return document.querySelector('#kept').innerText");
    assert!(told.contains("keeps nothing"), "{told}");
    browser.assert_quiet();
}

#[test]
fn the_time_left_follows_the_pace_of_whoever_sews() {
    let browser = Window::of_size(TELEPHONE);
    let paper = Paper::of("pace", &CAT, Words::default());
    browser.open_paper(&paper);
    browser.ask("window.clock = 1e12; Date.now = () => window.clock;");
    let strands = in_working_order(&CAT).len();
    let about = |seconds: usize, left: usize| {
        let minutes = (left * seconds).div_ceil(60);
        let status = browser.text("return document.querySelector('#status').textContent");
        assert!(
            status.contains(&format!("about {minutes} min left")),
            "{status}"
        );
    };
    browser.tap("#next");
    about(45, strands);
    // Three strands of 20, 90 and 100 seconds; a pause of an hour is no strand.
    for (at, seconds) in [20, 90, 3600, 100].into_iter().enumerate() {
        if at < 3 {
            about(45, strands - at);
        }
        browser.ask(&format!("window.clock += {seconds}000"));
        browser.tap("#next");
    }
    about(90, strands - 4);
    browser.ask(
        "const seconds = document.querySelector('#seconds');
         seconds.value = 120;
         seconds.dispatchEvent(new Event('change'));",
    );
    about(120, strands - 4);
    browser.reload();
    about(120, strands - 4);
    browser.assert_quiet();
}

/// Buttons and other controls that are seen: their box, and whether it lies on the screen.
const CONTROLS: &str = "
    const within = document.querySelector('dialog[open]') ?? document;
    return [...within.querySelectorAll('button, select, input[type=number], label:has(input)')]
      .filter((item) => item.checkVisibility())
      .filter((item) => !item.closest('label') || item.localName === 'label')
      .map((item) => {
        const { left, right, top, bottom, width, height } = item.getBoundingClientRect();
        const small = Math.min(width, height) < 44;
        const scrolls = item.closest('table, dialog');
        const off = left < 0 || right > innerWidth || (!scrolls && (top < 0 || bottom > innerHeight));
        return small || off ? `${item.id || item.textContent}: ${width} x ${height}` : '';
      }).filter(Boolean);";

const ACROSS: &str = "
    return [...document.querySelectorAll('html, main, dialog')]
      .every((item) => item.scrollWidth <= item.clientWidth + 1)";

/// Texts whose contrast with what lies behind them is under 7 to 1.
const FAINT: &str = "
    const rgb = (colour) => colour.match(/[\\d.]+/g).map(Number);
    const light = (colour) => rgb(colour).slice(0, 3).map((value) => value / 255)
      .map((share) => share <= .04045 ? share / 12.92 : ((share + .055) / 1.055) ** 2.4)
      .reduce((sum, share, i) => sum + share * [.2126, .7152, .0722][i], 0);
    const behind = (item) => {
      const colour = getComputedStyle(item).backgroundColor;
      return (rgb(colour)[3] ?? 1) > 0 ? colour : behind(item.parentElement);
    };
    return [...document.querySelectorAll('h1, h2, h3, p, dt, dd, td, th, li, small, button, label')]
      .filter((item) => item.checkVisibility() && !item.disabled && item.textContent.trim())
      .filter((item) => {
        const [a, b] = [light(getComputedStyle(item).color), light(behind(item))];
        return (Math.max(a, b) + .05) / (Math.min(a, b) + .05) < 7;
      }).map((item) => item.textContent.trim().slice(0, 40));";

#[test]
fn it_fits_a_telephone_and_a_desk_by_day_and_by_night() {
    let browser = Window::of_size(TELEPHONE);
    let paper = Paper::of("fits", &CAT, Words::default());
    browser.open_paper(&paper);
    for (width, height) in [TELEPHONE, ON_ITS_SIDE, DESK] {
        browser.size(width, height);
        for scheme in ["light", "dark"] {
            browser.emulate("", "prefers-color-scheme", scheme);
            let check = |at: &str| {
                let on = format!("{at}, {width} x {height}, {scheme}");
                // WCAG 2.2, success criteria 2.5.5 (44 CSS pixels), 1.4.10, 1.4.6 (7 to 1).
                assert_eq!(browser.ask(CONTROLS), json!([]), "{on}");
                assert_eq!(browser.ask(ACROSS), true, "{on}");
                assert_eq!(browser.ask(FAINT), json!([]), "{on}");
            };
            browser.keys(HOME);
            check("before the first strand");
            browser.keys(RIGHT);
            check("at the first strand");
            browser.tap("#open-menu");
            browser.tap("#reset");
            check("in the menu");
            browser.tap("#close-menu");
            browser.keys(END);
            check("after the last strand");
        }
    }
    // The switch overrules the device.
    let ground = "return getComputedStyle(document.body).backgroundColor";
    let dark = browser.text(ground);
    browser.tap("#open-menu");
    browser.ask("document.querySelector('[name=theme][value=light]').click()");
    let light = browser.text(ground);
    assert_ne!(light, dark);
    browser.reload();
    assert_eq!(browser.text(ground), light);
    browser.assert_quiet();
}

#[test]
fn every_control_has_a_name_and_every_part_of_the_page_a_role() {
    let browser = Window::of_size(TELEPHONE);
    let paper = Paper::of("names-of-controls", &CAT, Words::default());
    browser.open_paper(&paper);
    let named = |selector: &str, least: usize| {
        let found = browser.find_all(selector);
        let labels = found
            .iter()
            .map(|item| browser.computed(item, "computedlabel"));
        let labels: Vec<String> = labels.filter(|label| !label.is_empty()).collect();
        assert_eq!(labels.len(), found.len(), "{selector}: {labels:?}");
        assert!(labels.len() >= least, "{selector}: {labels:?}");
    };
    named("#begin input", 4);
    browser.tap("#next");
    named("header button, nav button, #picture", 4);
    named("nav, #work, #chart svg", 3);
    browser.tap("#open-menu");
    named(
        "dialog, dialog button:not(#sure *), dialog input, dialog select",
        9,
    );
    assert_eq!(browser.text("return document.documentElement.lang"), "en");
    let outline = "return document.activeElement.matches(':focus-visible')
        && getComputedStyle(document.activeElement).outlineStyle";
    browser.keys("\u{e004}");
    assert_eq!(browser.text(outline), "solid");
    browser.assert_quiet();
}

#[test]
fn on_paper_every_strand_stands_in_a_list_with_the_chart() {
    let browser = Window::of_size(DESK);
    let paper = Paper::of("paper", &CAT, Words::default());
    browser.open_paper(&paper);
    browser.tap("#next");
    browser.emulate("print", "prefers-reduced-motion", "reduce");
    let seen = |selector: &str| {
        browser.ask(&format!(
            "return [...document.querySelectorAll('{selector}')]
               .filter((item) => item.getBoundingClientRect().height > 8).length"
        ))
    };
    assert_eq!(seen("#strands > li"), in_working_order(&CAT).len());
    assert_eq!(seen("#begin"), 1);
    assert_eq!(seen("#end"), 1);
    assert_eq!(seen("button, nav, #status, dialog"), 0);
    // True to size: a mm of the sheet is a mm (CSS: 96 px to the inch).
    let wide =
        browser.ask("return document.querySelector('#chart svg').getBoundingClientRect().width");
    let map = draw::work_map(&CAT, &DrawSettings::default());
    assert!(
        (wide.as_f64().unwrap() - map.width_mm * 96.0 / 25.4).abs() < 0.5,
        "{wide}"
    );
    let faded = browser.ask(
        "return [...document.querySelectorAll('#chart [data-strand]')]
           .filter((part) => getComputedStyle(part).opacity !== '1').length",
    );
    assert_eq!(faded, 0);
    let pdf = browser.cdp("Page.printToPDF", &json!({}));
    assert!(pdf["data"].as_str().unwrap().len() > 20_000);
    browser.assert_quiet();
}

#[test]
fn without_its_script_the_page_is_a_document_to_read() {
    let browser = Window::of_size(TELEPHONE);
    browser.cdp(
        "Emulation.setScriptExecutionDisabled",
        &json!({"value": true}),
    );
    let paper = Paper::of("read", &CAT, Words::default());
    browser.open_file(&paper.0);
    // The layout of the page as the browser drew it; no script can be asked.
    let drawn = browser.cdp(
        "DOMSnapshot.captureSnapshot",
        &json!({"computedStyles": []}),
    );
    let strings = drawn["strings"].as_array().unwrap();
    let texts = drawn["documents"][0]["layout"]["text"].as_array().unwrap();
    let seen: Vec<&str> = texts
        .iter()
        .filter_map(|index| {
            strings
                .get(usize::try_from(index.as_i64()?).ok()?)?
                .as_str()
        })
        .collect();
    let seen = seen.join("");
    for strand in CAT.strands() {
        let place = Words::default().whereabouts(&strand.down);
        assert!(seen.contains(&place), "{place}");
    }
    assert!(seen.contains("Baste the centre line") && seen.contains("Cautions"));
    assert!(!seen.contains("Menu") && !seen.contains("Next"), "{seen}");
}

#[test]
fn a_problem_is_told_before_anything_is_begun() {
    let mut plan = CAT.clone();
    plan.findings.clear();
    assert!(!page(&plan, Words::default()).contains("Problem: "));
    plan.findings.push(Finding {
        level: Level::Problem,
        code: "check",
        feature: String::new(),
        text: "skip <this> face".to_owned(),
    });
    let html = page(&plan, INCHES);
    let (before, _) = html.split_once("Baste the centre line").unwrap();
    assert!(before.contains("<p class=\"note\">Problem: miss &lt;this&gt; face</p>"));
}

#[test]
fn the_page_is_small_and_the_same_every_time() {
    for plan in [&*CAT, &*ODD] {
        let html = page(plan, Words::default());
        assert!(html.len() < 300_000, "{} bytes", html.len());
        assert_eq!(html, page(plan, Words::default()));
        // Namespaces are names; nothing else looks like an address.
        let html = html.replace("http://www.w3.org/2000/svg", "");
        assert!(
            !html.contains("http") || html.matches("http").count() == 1,
            "http-equiv alone"
        );
        assert!(!html.contains("url(") || html.matches("url(").all(|_| html.contains("url(#")));
    }
}
