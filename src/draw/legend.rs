//! What stands beside the chart: threads, features, evenness, findings.

use kurbo::{Point, Vec2};

use super::panel::{Panel, TEXT_MM};
use super::scene::segment;
use super::{Anchor, Colour, DrawSettings, Font, Group, Lettering, Pen, strands};
use crate::face::Side;
use crate::weave::{Bent, Figures, Level, Plan, SymmetryPlan};

use Anchor::{End, Start};

/// Width of the legend, mm.
pub const WIDTH_MM: f64 = 74.0;

/// Most features for which the figures of naive counting stand line by line.
const MOST_COUNTED: usize = 4;

/// Most features whose evenness stands on the chart, the least even where there are more.
const MOST_EVEN: usize = 6;

/// Where the text beside a sign starts, mm.
pub const BESIDE_SIGN_MM: f64 = 10.5;

/// Most lines in which findings are told.
pub const MOST_TOLD: usize = 6;

/// The whole legend with its top left corner at a place of the sheet; findings are told in as
/// many lines as there is room for.
#[must_use]
pub fn legend(plan: &Plan, settings: &DrawSettings, corner: Point, lines: usize) -> Panel {
    let mut panel = Panel::new("legend", corner, WIDTH_MM);
    panel.space(-2.2);
    threads(&mut panel, plan, settings);
    panel.space(1.8);
    features(&mut panel, plan);
    if !plan.symmetry.is_empty() {
        panel.space(1.8);
        evenness(&mut panel, plan, settings);
    }
    panel.space(1.8);
    findings(&mut panel, plan, lines);
    panel
}

fn threads(panel: &mut Panel, plan: &Plan, settings: &DrawSettings) {
    panel.heading("Threads");
    for thread in &plan.threads {
        let colour = Colour(thread.colour);
        let held = match thread.held {
            0 | 1 => String::new(),
            held => format!(", {held} held together"),
        };
        let strands = counted(thread.strands, "strand", "strands");
        let starts = counted(thread.starts, "start", "starts");
        let letter = plan.letter(&thread.name).map(String::from);
        let first = format!("{}{held}: {strands}, {starts}", thread.name);
        let first = Font::Sans.cut(&first, TEXT_MM, WIDTH_MM - BESIDE_SIGN_MM);
        panel.row(&[(BESIDE_SIGN_MM, Start, &first)], Colour::INK);
        panel.sign(0.0, |group, at| {
            bar_sign(group, at, colour, letter.as_deref());
        });
        let second = format!(
            "{} of yarn, {:.1} g; lies {} wide",
            settings.ruler.yarn(thread.length_mm),
            thread.grams,
            settings.ruler.small(thread.width_mm),
        );
        panel.row(&[(BESIDE_SIGN_MM, Start, &second)], Colour::FADED);
    }
}

fn features(panel: &mut Panel, plan: &Plan) {
    panel.heading("Features");
    let columns = [
        (0.0, Start),
        (30.0, Start),
        (WIDTH_MM - 15.0, End),
        (WIDTH_MM, End),
    ];
    let head = ["", "numbers", "worked", "match"];
    panel.row(&cells(columns, head), Colour::FADED);
    for feature in &plan.features {
        let side = match feature.side {
            Side::Centre => String::new(),
            side => format!(", {}", side.word()),
        };
        let room = columns[1].0 - 1.0 - Font::Sans.width_mm(&side, TEXT_MM);
        let name = Font::Sans.cut(&feature.name, TEXT_MM, room) + &side;
        let orders = feature.strands.iter().map(|strand| strand.order);
        let letter = plan.letter(&feature.thread).map(String::from);
        let letter = letter.map(|letter| letter + " ").unwrap_or_default();
        let numbers = match runs(&orders.collect::<Vec<_>>()) {
            none if none.is_empty() => "none".to_owned(),
            runs => letter + &runs,
        };
        let direction = match (feature.bent, feature.direction_deg, feature.mirrored) {
            (Some(Bent::Along), ..) => "along curve".to_owned(),
            (Some(Bent::Fan(_)), ..) => "fanned".to_owned(),
            (None, None, _) => feature.method.clone(),
            (None, Some(deg), false) => format!("at {deg:.0}°"),
            (None, Some(deg), true) => format!("at ±{deg:.0}°"),
        };
        let covered = format!("{:.0} %", 100.0 * feature.measure.match_share);
        let room = columns[2].0 - columns[1].0 - 1.5 - Font::Sans.width_mm(&direction, TEXT_MM);
        let mut lines = Font::Sans.wrap(&numbers, TEXT_MM, room).into_iter();
        let first = lines.next().unwrap_or_default();
        panel.row(
            &cells(columns, [&name, &first, &direction, &covered]),
            Colour::INK,
        );
        // What the column has no room for goes on below, at full width.
        let rest: Vec<String> = lines.collect();
        if !rest.is_empty() {
            panel.sentence(&rest.join(" "), columns[1].0, Colour::INK);
        }
    }
}

fn evenness(panel: &mut Panel, plan: &Plan, settings: &DrawSettings) {
    panel.heading("Left against right");
    let columns = [
        (0.0, Start),
        (35.0, End),
        (48.0, End),
        (61.0, End),
        (WIDTH_MM, End),
    ];
    let head = ["", "level", "offset", "tilt", "mirror"];
    panel.row(&cells(columns, head), Colour::FADED);
    let count = plan.symmetry.len();
    let few = count <= MOST_COUNTED;
    let mut shown: Vec<&SymmetryPlan> = plan.symmetry.iter().collect();
    if count > MOST_EVEN {
        shown.sort_by(|a, b| a.planned.mirror_match.total_cmp(&b.planned.mirror_match));
        shown.truncate(MOST_EVEN);
    }
    for pair in shown {
        let mut row = |name: &str, figures: Figures, colour: Colour| {
            let [level, offset, tilt, mirror] = in_words(figures, settings);
            let name = Font::Sans.cut(name, TEXT_MM, 22.0);
            let texts = [name.as_str(), &level, &offset, &tilt, &mirror];
            panel.row(&cells(columns, texts), colour);
        };
        row(&pair.feature, pair.planned, Colour::INK);
        if few {
            row("  if counted", pair.naive, Colour::FADED);
        }
    }
    if count > MOST_EVEN {
        let least = format!("the {MOST_EVEN} least even of {count}; plan.json has all");
        panel.sentence(&least, 0.0, Colour::FADED);
    }
    let text = if few {
        "if counted: as one who follows a column and a round would place it".to_owned()
    } else {
        let worst = |figure: fn(&Figures) -> f64| {
            let all = plan.symmetry.iter().map(|pair| figure(&pair.naive).abs());
            settings.ruler.small(all.fold(0.0, f64::max))
        };
        format!(
            "counted along a column and a round: up to {} off level, {} off the centre",
            worst(|figures| figures.level_mm),
            worst(|figures| figures.offset_mm)
        )
    };
    panel.sentence(&text, 0.0, Colour::FADED);
}

fn in_words(figures: Figures, settings: &DrawSettings) -> [String; 4] {
    [
        settings.ruler.small(figures.level_mm.abs()),
        settings.ruler.small(figures.offset_mm.abs()),
        format!("{:.1}°", figures.tilt_deg.abs()),
        format!("{:.0} %", 100.0 * figures.mirror_match),
    ]
}

fn findings(panel: &mut Panel, plan: &Plan, lines: usize) {
    panel.heading("To beware of");
    let problems = plan
        .findings
        .iter()
        .filter(|finding| finding.level == Level::Problem)
        .count();
    let advice = plan.findings.len() - problems;
    let text = match (problems, advice) {
        (0, 0) => "nothing found".to_owned(),
        (0, advice) => counted(advice, "piece of advice", "pieces of advice"),
        (problems, 0) => counted(problems, "problem", "problems"),
        (problems, advice) => format!(
            "{}, {}",
            counted(problems, "problem", "problems"),
            counted(advice, "piece of advice", "pieces of advice")
        ),
    };
    panel.row(&[(0.0, Start, &text)], Colour::INK);
    for (told, level) in told(plan, lines) {
        let told = Font::Sans.cut(&told, TEXT_MM, WIDTH_MM - TOLD_INDENT_MM);
        let colour = match level {
            Level::Problem => Colour::INK,
            Level::Advice => Colour::FADED,
        };
        panel.row(&[(TOLD_INDENT_MM, Start, &told)], colour);
    }
}

/// Where a finding starts, mm.
const TOLD_INDENT_MM: f64 = 3.0;

/// The findings in short, problems first, in no more than so many lines: features with the same
/// finding share one. The last says how many are left out; none where it would stand alone.
#[must_use]
pub fn told(plan: &Plan, lines: usize) -> Vec<(String, Level)> {
    let mut alike: Vec<(&str, Level, Vec<&str>)> = Vec::new();
    for finding in &plan.findings {
        let (matter, level) = (finding.in_short(), finding.level);
        let known = alike
            .iter_mut()
            .find(|line| (line.0, line.1) == (matter, level));
        match known {
            Some((.., features)) => features.push(&finding.feature),
            None => alike.push((matter, level, vec![&finding.feature])),
        }
    }
    let kept = if alike.len() > lines {
        lines.saturating_sub(1)
    } else {
        alike.len()
    };
    let left_out: usize = alike[kept..].iter().map(|line| line.2.len()).sum();
    let mut told: Vec<(String, Level)> = alike[..kept]
        .iter()
        .map(|(matter, level, features)| {
            let of = match features.join(", ") {
                _ if features.contains(&"") => String::new(),
                features => features + ": ",
            };
            (of + matter, *level)
        })
        .collect();
    if left_out > 0 && kept > 0 {
        told.push((format!("and {left_out} more in plan.json"), Level::Advice));
    }
    told
}

/// A strand with the letter of its thread.
fn bar_sign(group: &mut Group, at: Point, colour: Colour, letter: Option<&str>) {
    let line = segment(at + Vec2::new(1.3, 0.0), at + Vec2::new(6.7, 0.0));
    group.line(&line, Pen::new(Colour::INK, 2.9));
    group.line(&line, Pen::new(strands::border(colour), 2.6));
    group.line(&line, Pen::new(colour, 2.0));
    if let Some(letter) = letter {
        let lettering = Lettering::new(letter, Font::Sans, 2.3);
        let middle = at + Vec2::new(4.0, 0.0);
        group.text(lettering.centred(middle, 0.0), colour.print_upon());
    }
}

fn cells<const N: usize>(
    columns: [(f64, Anchor); N],
    texts: [&str; N],
) -> [(f64, Anchor, &str); N] {
    std::array::from_fn(|index| (columns[index].0, columns[index].1, texts[index]))
}

fn counted(count: usize, one: &str, many: &str) -> String {
    format!("{count} {}", if count == 1 { one } else { many })
}

/// Numbers as a maker lists them: `1–10, 14`.
#[must_use]
pub fn runs(numbers: &[usize]) -> String {
    let mut sorted = numbers.to_vec();
    sorted.sort_unstable();
    let mut pieces: Vec<(usize, usize)> = Vec::new();
    for number in sorted {
        match pieces.last_mut() {
            Some((_, last)) if *last + 1 == number => *last = number,
            _ => pieces.push((number, number)),
        }
    }
    let words = pieces.iter().map(|&(first, last)| {
        if first == last {
            first.to_string()
        } else {
            format!("{first}–{last}")
        }
    });
    words.collect::<Vec<_>>().join(", ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_listed_in_runs() {
        assert_eq!(runs(&[3, 1, 2, 7, 9, 8]), "1–3, 7–9");
        assert_eq!(runs(&[4]), "4");
        assert_eq!(runs(&[]), "");
    }
}
