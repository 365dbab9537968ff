//! Pictures of a plan: their print scale, their size, what is to be seen on them.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::LazyLock;

use instep::draw::view::Tints;
use instep::draw::{self, Colour, DrawSettings, Group, Pen, PngError, Scene, strands};
use instep::fabric::colour::LEAST_CONTRAST;
use instep::fabric::{Gauge, Hand, Rounds, ShellSpec, Slipper};
use instep::face::{Direction, Face, Feature, Fill, Outline, Place, ThreadLook, Work};
use instep::terms::Terms;
use instep::units::{self, Ruler};
use instep::weave::{self, Job, Plan, Settings};
use kurbo::Rect;

use super::planned;
use super::slippers::slipper;

/// A thread colour that nothing else on a chart has.
const THREAD: [u8; 3] = [0x14, 0x1c, 0x5a];

fn plan_on(gauge: Gauge, toe: Vec<u32>, even_rounds: u32, flat_stitches: u32) -> Plan {
    let spec = ShellSpec {
        gauge,
        hand: Hand::Right,
        rounds: Rounds::Spiral,
        toe,
        even_rounds,
        lean: 0.25,
        flat_stitches,
        extra_before_turn: 0,
        centre_stitch: None,
    };
    let fill = |name: &str, pair, path| Feature {
        name: name.to_owned(),
        pair,
        outline: Outline::fill(path).expect("a closed shape"),
        thread: "dark".to_owned(),
        work: Work::Fill {
            fill: Fill::SurfaceSatin,
            direction: Direction::Degrees(90.0),
        },
    };
    let job = Job {
        slipper: slipper(spec, None),
        threads: BTreeMap::new(),
        settings: Settings::default(),
        place: Place::default(),
        face: Face {
            name: "Two & a grin".to_owned(),
            width: 100.0,
            height: 78.0,
            threads: BTreeMap::from([(
                "dark".to_owned(),
                ThreadLook {
                    colour: Some(THREAD),
                },
            )]),
            features: vec![
                fill("eye", true, "M14,30 L40,30 L27,4 Z"),
                fill("mouth", false, "M-44,48 L44,48 L20,72 L-20,72 Z"),
            ],
            variants: Vec::new(),
        },
        ruler: Ruler::Metric,
    };
    weave::plan(&job).expect("a face that can be sewn")
}

/// 14 stitches and 16 rows to 10 cm, the middle of the medium weight.
static WORSTED: LazyLock<Plan> = LazyLock::new(|| {
    let gauge = Gauge::from_swatch(14.0, 16.0, units::centimetres(10.0));
    plan_on(gauge, vec![8, 16, 24, 30], 20, 21)
});

/// The same with a foot in it.
static WORSTED_SLIPPER: LazyLock<Slipper> = LazyLock::new(|| {
    let spec = ShellSpec {
        gauge: Gauge::from_swatch(14.0, 16.0, units::centimetres(10.0)),
        hand: Hand::Left,
        rounds: Rounds::Joined,
        toe: vec![8, 16, 24, 30],
        even_rounds: 20,
        lean: 0.2,
        flat_stitches: 21,
        extra_before_turn: 0,
        centre_stitch: None,
    };
    slipper(spec, Some(225.0))
});

fn sheet_with(item: Rect) -> Scene {
    let mut layer = Group::new("bar");
    layer.fill(&item, Colour::INK);
    Scene {
        width_mm: 120.0,
        height_mm: 20.0,
        title: "A bar".to_owned(),
        description: "One bar.".to_owned(),
        paper: Colour::WHITE,
        layers: vec![layer],
    }
}

#[test]
fn the_print_scale_of_a_png_is_that_of_the_standard() {
    // W3C PNG, third edition, "pHYs": pixels per metre, unit 1; computed as round(dpi / 0.0254).
    let published = [
        (72.0, 2835),
        (96.0, 3780),
        (150.0, 5906),
        (200.0, 7874),
        (300.0, 11811),
        (600.0, 23622),
    ];
    let scene = sheet_with(Rect::new(10.0, 5.0, 110.0, 15.0));
    for (dpi, per_metre) in published {
        let bytes = scene.to_png(dpi).unwrap();
        let decoder = png::Decoder::new(std::io::Cursor::new(&bytes));
        let reader = decoder.read_info().unwrap();
        let scale = reader.info().pixel_dims.unwrap();
        assert_eq!((scale.xppu, scale.yppu), (per_metre, per_metre), "{dpi}");
        assert_eq!(scale.unit, png::Unit::Meter);
        // Chunk type, nine bytes, big-endian, before the picture itself.
        let chunk = bytes.windows(4).position(|w| w == b"pHYs").unwrap();
        let data = bytes.windows(4).position(|w| w == b"IDAT").unwrap();
        assert!(chunk < data);
        assert_eq!(bytes[chunk + 4..chunk + 8], u32::to_be_bytes(per_metre));
        assert_eq!(bytes[chunk + 12], 1);
    }
}

#[test]
fn a_bar_of_100_mm_is_1000_pixels_long_at_254_dpi() {
    // 254 dpi are 10 pixels a mm, as an inch is 25.4 mm.
    let pixels = sheet_with(Rect::new(10.0, 5.0, 110.0, 15.0))
        .to_pixels(254.0)
        .unwrap();
    assert_eq!((pixels.width, pixels.height), (1200, 200));
    let dark = |&x: &u32| pixels.colour(x, 100) == Some(Colour::INK);
    assert_eq!((0..1200).filter(dark).count(), 1000);
}

#[test]
fn a_picture_of_no_size_or_of_too_many_pixels_is_refused() {
    let scene = sheet_with(Rect::new(0.0, 0.0, 1.0, 1.0));
    for dpi in [0.0, -200.0, f64::NAN, f64::INFINITY, 1e6] {
        let refused = scene.to_png(dpi);
        assert!(matches!(refused, Err(PngError::Size { .. })), "{dpi}");
    }
}

#[test]
fn a_chart_as_svg_is_xml_in_mm_that_refers_only_to_what_it_holds() {
    let scene = draw::chart(&WORSTED, &DrawSettings::default());
    let svg = scene.to_svg();
    // An independent reader of XML.
    let xml = roxmltree::Document::parse(&svg).unwrap();
    let root = xml.root_element();
    let mm = |name: &str| -> f64 {
        let text = root.attribute(name).unwrap();
        text.strip_suffix("mm").unwrap().parse().unwrap()
    };
    let view_box: Vec<f64> = root
        .attribute("viewBox")
        .unwrap()
        .split(' ')
        .map(|number| number.parse().unwrap())
        .collect();
    // Width and height in mm with a viewBox of the same numbers: one unit is one mm.
    assert_eq!(view_box, [0.0, 0.0, mm("width"), mm("height")]);
    assert!((mm("width") - scene.width_mm).abs() <= 0.005);
    let named = |tag: &str| {
        let mut found = xml
            .descendants()
            .filter(|node| node.has_tag_name(("http://www.w3.org/2000/svg", tag)));
        found
            .next()
            .and_then(|node| node.text())
            .unwrap_or_default()
            .to_owned()
    };
    assert_eq!(named("title"), "Two & a grin on check");
    assert!(named("desc").contains("strands"));
    let ids: Vec<&str> = xml
        .descendants()
        .filter_map(|n| n.attribute("id"))
        .collect();
    let uses = xml.descendants().filter_map(|node| node.attribute("href"));
    let mut letters = 0;
    for reference in uses {
        assert!(
            ids.contains(&reference.trim_start_matches('#')),
            "{reference}"
        );
        letters += 1;
    }
    assert!(letters > 300);
    let clips = xml
        .descendants()
        .filter_map(|node| node.attribute("clip-path"));
    for clip in clips {
        let id = clip.trim_start_matches("url(#").trim_end_matches(')');
        assert!(ids.contains(&id), "{clip}");
    }
}

#[test]
fn charts_of_all_weights_fit_on_a4() {
    // Craft Yarn Council: single crochet stitches in 4 in of categories 6, 5 and 2. ISO 216: A4.
    let slippers = [
        (8.0, 9.0, vec![8, 16, 26], 16, 19),
        (10.0, 12.0, vec![7, 14, 21, 26], 18, 18),
        (18.0, 21.0, vec![8, 16, 24, 32, 40], 28, 28),
    ];
    for (stitches, rows, toe, even, flat) in slippers {
        let gauge = Gauge::from_swatch(stitches, rows, units::inches(4.0));
        let scene = draw::chart(&plan_on(gauge, toe, even, flat), &DrawSettings::default());
        let longer = scene.width_mm.max(scene.height_mm);
        let shorter = scene.width_mm.min(scene.height_mm);
        assert!(
            longer <= 297.01 && shorter <= 210.01,
            "{longer} x {shorter}"
        );
    }
}

/// Area in mm2 over which two pictures of one size differ.
fn differing_mm2(one: &Scene, other: &Scene, dpi: f64) -> f64 {
    let pixels = |scene: &Scene| scene.to_pixels(dpi).expect("a picture");
    let (one, other) = (pixels(one), pixels(other));
    assert_eq!((one.width, one.height), (other.width, other.height));
    let pairs = one.rgb.chunks(3).zip(other.rgb.chunks(3));
    let pixels = pairs.filter(|(a, b)| a != b).count();
    pixels as f64 * (units::MM_PER_INCH / dpi).powi(2)
}

/// Area covered by strands, mm2, from the plan's own measures: what is covered of the outline,
/// and what is spilled.
fn covered_mm2(plan: &Plan) -> f64 {
    let features = plan.features.iter().map(|feature| feature.measure);
    features
        .map(|measure| measure.outline_mm2 - measure.bare_mm2 + measure.spill_mm2)
        .sum()
}

#[test]
fn the_portrait_shows_as_much_yarn_as_the_plan_measures() {
    let plan = &*WORSTED;
    let settings = DrawSettings::default();
    let drawn = draw::portrait(plan, &settings);
    let mut without = drawn.clone();
    let feature = |item: &draw::Item| !matches!(item, draw::Item::Line(..));
    without.layers[0].items.retain(feature);
    let seen = differing_mm2(&drawn, &without, 300.0);
    let measured = covered_mm2(plan);
    // The rim of a bar is half seen in pixels of 0.08 mm: 3 % on bars of 2.8 mm.
    assert!(
        (seen / measured - 1.0).abs() < 0.03,
        "{seen} against {measured}"
    );
}

#[test]
fn the_chart_shows_the_thread_in_its_own_colour() {
    let plan = &*WORSTED;
    let settings = DrawSettings {
        enlarged: Some(1.0),
        ..DrawSettings::default()
    };
    let pixels = draw::chart(plan, &settings).to_pixels(300.0).unwrap();
    let pixels = pixels.rgb.chunks(3).filter(|&pixel| pixel == THREAD);
    let seen = pixels.count() as f64 * (units::MM_PER_INCH / 300.0).powi(2);
    let share = seen / covered_mm2(plan);
    // Borders, numbers and marks lie on the rest; the corner picture adds a little.
    assert!((0.5..1.05).contains(&share), "{share}");
}

#[test]
fn strands_of_every_colour_stand_out_from_fabric_of_every_colour_in_grey() {
    let shades: Vec<u8> = vec![0, 60, 120, 180, 255];
    let mut colours = Vec::new();
    for &red in &shades {
        for &green in &shades {
            colours.extend(shades.iter().map(|&blue| Colour([red, green, blue])));
        }
    }
    for &yarn in &colours {
        let tints = Tints::washed(yarn);
        for &thread in &colours {
            let border = strands::border(thread);
            for fabric in [tints.ground, tints.stitch] {
                // Contrast is of luminance alone, as a grey print keeps it. W3C WCAG 2.2,
                // success criterion 1.4.11: parts of a picture need 3 : 1.
                let best = thread.contrast(fabric).max(border.contrast(fabric));
                assert!(best >= LEAST_CONTRAST, "{thread} on {yarn}: {best}");
            }
            // Strands that overlap are told apart by their borders.
            assert!(thread.contrast(border) > 2.5, "{thread} in {border}");
            assert!(
                thread.contrast(thread.print_upon()) > 3.0,
                "number on {thread}"
            );
        }
    }
}

#[test]
fn in_grey_the_strands_are_darker_than_the_fabric_around_them() {
    let plan = &*WORSTED;
    let settings = DrawSettings::default();
    let scene = draw::chart(plan, &settings);
    let pixels = scene.to_pixels(150.0).unwrap();
    let mut tones = BTreeMap::new();
    let tints = Tints::washed(Colour(settings.fabric));
    for pixel in pixels.rgb.chunks(3) {
        let colour = Colour([pixel[0], pixel[1], pixel[2]]);
        if [tints.ground, tints.stitch, Colour(THREAD)].contains(&colour) {
            *tones.entry(colour).or_insert(0_u32) += 1;
        }
    }
    assert_eq!(
        tones.len(),
        3,
        "both tints of the fabric and the thread are seen: {tones:?}"
    );
    let thread = Colour(THREAD).luminance();
    assert!(tints.ground.luminance() - thread > 0.4);
    assert!(tints.stitch.luminance() - tints.ground.luminance() > 0.05);
}

#[test]
fn one_plan_gives_the_same_bytes_twice() {
    let settings = DrawSettings::default();
    let once = draw::chart(&WORSTED, &settings);
    let twice = draw::chart(&WORSTED, &settings);
    assert_eq!(once.to_svg(), twice.to_svg());
    assert_eq!(once.to_png(100.0).unwrap(), twice.to_png(100.0).unwrap());
}

#[test]
fn british_terms_change_the_words_of_every_picture() {
    let british = DrawSettings {
        terms: Terms::Uk,
        ..DrawSettings::default()
    };
    let plan = &*WORSTED;
    let pictures = |settings: &DrawSettings| {
        [
            draw::chart(plan, settings).to_svg(),
            draw::fabric_map(&plan.instep, &plan.slipper_name, settings).to_svg(),
        ]
    };
    for picture in pictures(&british) {
        // Published term tables: single crochet is double crochet, gauge is tension.
        assert!(picture.contains("double crochet, tension"));
        assert!(!picture.contains("single crochet") && !picture.contains("gauge"));
    }
    for picture in pictures(&DrawSettings::default()) {
        assert!(picture.contains("single crochet, gauge"));
    }
}

#[test]
fn a_maker_with_an_inch_ruler_reads_inches() {
    let settings = DrawSettings {
        ruler: Ruler::Inch,
        ..DrawSettings::default()
    };
    let svg = draw::chart(&WORSTED, &settings).to_svg();
    let said = svg.split("aria-label=\"").skip(1);
    let said: Vec<&str> = said.filter_map(|rest| rest.split('"').next()).collect();
    assert!(said.contains(&"in as worn"));
    let metric = |text: &&&str| text.ends_with(" mm") || text.ends_with(" cm");
    assert_eq!(said.iter().find(metric), None);
}

#[test]
fn the_number_of_every_strand_stands_on_the_chart() {
    let plan = &*WORSTED;
    let svg = draw::chart(plan, &DrawSettings::default()).to_svg();
    let numbers = svg.split("<g class=\"order\">").nth(1).unwrap();
    let numbers = numbers.split("<g class=").next().unwrap();
    for strand in plan.strands() {
        let label = format!("aria-label=\"{}\"", strand.order);
        assert!(numbers.contains(&label), "{label}");
    }
}

/// What stands in a group of an SVG, by its name.
fn said_in(svg: &str, group: &str) -> Vec<String> {
    let xml = roxmltree::Document::parse(svg).expect("XML");
    let mut groups = xml.descendants();
    let group = groups.find(|node| node.attribute("class") == Some(group));
    let letterings = group.expect("a group of that name").descendants();
    let said = letterings.filter_map(|node| node.attribute("aria-label"));
    said.map(str::to_owned).collect()
}

#[test]
fn strands_of_several_threads_have_numbers_that_no_other_has() {
    let plan = planned::plan(&planned::job(
        WORSTED_SLIPPER.clone(),
        planned::face(planned::FILLS),
    ));
    assert_eq!(plan.threads.len(), 2);
    let svg = draw::chart(&plan, &DrawSettings::default()).to_svg();
    let numbers = said_in(&svg, "order");
    assert_eq!(numbers.len(), plan.strands().count());
    let different: BTreeSet<&String> = numbers.iter().collect();
    assert_eq!(different.len(), numbers.len());
    // The letter stands in the legend beside the thread's name, and with the numbers of a feature.
    let legend = said_in(&svg, "legend");
    for (letter, thread) in ["A", "B"].iter().zip(&plan.threads) {
        let at = legend
            .iter()
            .position(|said| said.starts_with(&thread.name));
        let beside = &legend[at.unwrap()..at.unwrap() + 3];
        assert!(beside.iter().any(|said| said == letter), "{beside:?}");
        assert!(numbers.contains(&format!("{letter}{}", thread.strands)));
    }
    let lone = draw::chart(&WORSTED, &DrawSettings::default()).to_svg();
    let numbers = said_in(&lone, "order");
    assert!(numbers.iter().all(|said| said.parse::<u32>().is_ok()));
}

#[test]
fn a_chart_of_many_features_keeps_its_small_pictures_and_every_number_of_its_lists() {
    let eyes: String = (0..7)
        .map(|at| {
            let y = 10 * at;
            format!(
                "[[feature]]\nname = \"mark {at}\"\npair = true\npath = \"M{},{y} L44,{y}\"\n\
                 line = \"backstitch\"\n",
                6 + 4 * (at % 3)
            )
        })
        .collect();
    let text = format!("width = 100\nheight = 70\n[threads.dark]\n{eyes}");
    let job = planned::job(WORSTED_SLIPPER.clone(), planned::face(&text));
    let plan = planned::plan(&job);
    assert_eq!(plan.features.len(), 14);
    let scene = draw::chart(&plan, &DrawSettings::default());
    let svg = scene.to_svg();
    assert!(said_in(&svg, "corner").contains(&"how it will look".to_owned()));
    let longer = scene.width_mm.max(scene.height_mm);
    assert!(longer <= 297.01, "{longer}");
    let legend = said_in(&svg, "legend").join(" ");
    for feature in &plan.features {
        let orders: Vec<usize> = feature.strands.iter().map(|s| s.order).collect();
        assert!(legend.contains(&draw::legend::runs(&orders)), "{legend}");
    }
}

#[test]
fn a_chart_tells_what_to_beware_of_as_far_as_there_is_room() {
    let mut plan = planned::plan(&planned::job(
        WORSTED_SLIPPER.clone(),
        planned::face(planned::FILLS),
    ));
    let drawn = |plan: &Plan| draw::chart(plan, &DrawSettings::default());
    plan.findings.clear();
    let none = drawn(&plan);
    assert!(said_in(&none.to_svg(), "legend").contains(&"nothing found".to_owned()));
    let finding = |level, code, feature: &str| weave::Finding {
        level,
        code,
        feature: feature.to_owned(),
        text: "Longer.".to_owned(),
    };
    plan.findings = vec![
        finding(weave::Level::Problem, "not-sewn", "brow"),
        finding(weave::Level::Advice, "unlike-sides", "eye"),
        finding(weave::Level::Advice, "unlike-sides", "ear"),
        finding(weave::Level::Advice, "pierced", ""),
    ];
    let lines = |plan: &Plan, lines| -> Vec<String> {
        let told = draw::legend::told(plan, lines);
        told.into_iter().map(|line| line.0).collect()
    };
    let all = [
        "brow: takes no strand",
        "eye, ear: left and right come out unlike",
        "strands pierce yarn: take a sharp needle",
    ];
    assert_eq!(lines(&plan, 3), all);
    assert_eq!(lines(&plan, 2), [all[0], "and 3 more in plan.json"]);
    assert!(lines(&plan, 1).is_empty() && lines(&plan, 0).is_empty());
    let said = said_in(&drawn(&plan).to_svg(), "legend");
    assert!(
        all.iter().all(|line| said.contains(&(*line).to_owned())),
        "{said:?}"
    );

    // However many there are, no picture is lost and the sheet stays within A4.
    let codes = [
        "too-small",
        "not-level",
        "too-deep",
        "crowded",
        "fit",
        "pierced",
        "cap-ruffles",
    ];
    let level = weave::Level::Advice;
    let name = "the lower left eyelid with all its many lashes";
    plan.findings = codes.map(|code| finding(level, code, name)).to_vec();
    let many = drawn(&plan);
    let svg = many.to_svg();
    assert!(said_in(&svg, "corner").contains(&"how it will look".to_owned()));
    assert!(many.width_mm.max(many.height_mm) <= 297.01);
    let widest = said_in(&svg, "legend")
        .into_iter()
        .filter(|line| line.starts_with("the lower left"))
        .map(|line| draw::Font::Sans.width_mm(&line, draw::panel::TEXT_MM));
    let widest = widest.fold(0.0, f64::max);
    assert!(
        widest > 60.0 && widest < draw::legend::WIDTH_MM - 3.0,
        "{widest}"
    );
}

#[test]
fn every_strand_can_be_found_in_the_picture_by_its_name() {
    let plan = &*WORSTED;
    for svg in [
        draw::chart(plan, &DrawSettings::default()).to_svg(),
        draw::work_map(plan, &DrawSettings::default()).to_screen_svg(),
    ] {
        let xml = roxmltree::Document::parse(&svg).unwrap();
        let mut names = BTreeSet::new();
        for (name, strand) in plan.named_strands() {
            assert!(names.insert(name.clone()), "{name} twice");
            let of_strand = xml
                .descendants()
                .filter(|node| node.attribute("data-strand") == Some(&name));
            let layers = of_strand.map(|node| node.parent().unwrap().attribute("class"));
            let layers: Vec<&str> = layers.flatten().collect();
            // Its bar among those of its feature, two marks, a flag at a start, its number.
            let marks = layers.iter().filter(|layer| **layer == "ends").count();
            assert_eq!(marks, if strand.start { 3 } else { 2 }, "{name}");
            let numbers = layers.iter().filter(|layer| **layer == "order").count();
            assert!((1..=2).contains(&numbers), "{name}");
            assert_eq!(layers.len(), 1 + marks + numbers, "{name}");
        }
        assert_eq!(names.len(), plan.strands().count());
    }
}

#[test]
fn a_dashed_line_leaves_its_gaps_bare() {
    let mut layer = Group::new("line");
    let line = draw::scene::segment((0.0, 5.0), (100.0, 5.0));
    layer.line(
        &line,
        Pen::new(Colour::INK, 2.0).square().dashed(&[6.0, 4.0]),
    );
    let mut scene = sheet_with(Rect::ZERO);
    scene.layers = vec![layer];
    let pixels = scene.to_pixels(254.0).unwrap();
    let dark = |&x: &u32| pixels.colour(x, 50) == Some(Colour::INK);
    // Ten dashes of 6 mm in 100 mm, 10 pixels a mm.
    assert_eq!((0..1200).filter(dark).count(), 600);
}
