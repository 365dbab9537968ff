//! A plan on one screen.

use instep::fabric::Spot;
use instep::face::{Facing, Side};
use instep::files::Words;
use instep::files::words::{counted, halves};
use instep::weave::{FeaturePlan, Figures, Level, Nearness, Plan, ThreadPlan};

use super::screen::{HEADING, NOTE, WRONG, hung};

/// The plan in figures, for a terminal of 80 columns.
pub(crate) fn summary(plan: &Plan, words: Words) -> String {
    let mut text = format!(
        "{HEADING}{} on {}{HEADING:#}\n",
        plan.face_name, plan.slipper_name
    );
    text.push_str(&where_it_is(plan, words));
    text.push_str(&format!("\n{HEADING}{FEATURES}{HEADING:#}\n"));
    for feature in &plan.features {
        text.push_str(&feature_row(feature, words));
    }
    text.push_str(&nearness(plan, words));
    if !plan.symmetry.is_empty() {
        text.push_str(&evenness(plan, words));
    }
    text.push_str(&format!("\n{HEADING}Yarn{HEADING:#}\n"));
    for thread in &plan.threads {
        text.push_str(&yarn(thread, words));
    }
    if !plan.findings.is_empty() {
        text.push('\n');
    }
    for finding in &plan.findings {
        let style = match finding.level {
            Level::Problem => WRONG,
            Level::Advice => NOTE,
        };
        let lead = format!("{:7}  ", finding.level.word());
        let body = hung(&words.put(&finding.text), lead.len());
        text.push_str(&format!("{style}{lead}{style:#}{body}\n"));
    }
    text
}

/// Size, place, and where the middle runs.
fn where_it_is(plan: &Plan, words: Words) -> String {
    let ruler = words.ruler;
    let shell = plan.instep.shell();
    let upright = match plan.facing {
        Facing::Onlooker => "an onlooker",
        Facing::Wearer => "the wearer",
    };
    let mut text = format!(
        "Face    {} wide, {} high, {} below the edge; upright for {upright}\n",
        ruler.tape(plan.width_mm),
        ruler.tape(plan.height_mm),
        ruler.tape(plan.below_edge_mm),
    );
    let deepest = plan
        .instep
        .rows()
        .iter()
        .take_while(|row| plan.instep.y_of_climbed(row.climbed) <= plan.reach_mm() + 1e-6)
        .last();
    text.push_str(&format!(
        "Middle  stitch {} of round {} at the edge",
        halves(shell.centre_stitch()),
        shell.last_round()
    ));
    if let Some(row) = deepest {
        let round = (shell.last_round() + 1).saturating_sub(row.below).max(1);
        let lead = plan
            .instep
            .unfold(Spot {
                round,
                stitch: shell.centre_stitch(),
                row: 0.0,
            })
            .x;
        text.push_str(&format!(
            ", stitch {} of round {} at row {};\n        a column followed down there leads off {} ({:.1} st) to the {}",
            halves(row.baste.stitch()),
            row.baste.round,
            row.below,
            ruler.small(lead.abs()),
            lead.abs() / plan.instep.stitch_mm(),
            if lead < 0.0 { "left" } else { "right" }
        ));
    }
    text.push('\n');
    text
}

const FEATURES: &str =
    "Feature             worked as            strands  match   bare  spill  doubled";

/// How one feature is covered; shares are of its outline.
fn feature_row(feature: &FeaturePlan, words: Words) -> String {
    let name = match feature.side {
        Side::Centre => feature.name.clone(),
        side => format!("{} {}", side.word(), feature.name),
    };
    let sign = if feature.mirrored { "±" } else { "" };
    let lie = match (feature.bent, feature.direction_deg) {
        (Some(bent), _) => format!(" {}", bent.word()),
        (None, Some(degrees)) => format!(" {sign}{degrees:.0}°"),
        (None, None) => String::new(),
    };
    let measure = &feature.measure;
    let share = |mm2: f64| {
        if measure.outline_mm2 > 0.0 {
            format!("{:.0} %", 100.0 * mm2 / measure.outline_mm2)
        } else {
            "-".to_owned()
        }
    };
    format!(
        "{:18}  {:19}  {:>7}  {:>5}  {:>5}  {:>5}  {:>7}\n",
        short(&name),
        format!("{}{lie}", words.method(&feature.method)),
        feature.strands.len(),
        format!("{:.0} %", 100.0 * measure.match_share),
        share(measure.bare_mm2),
        share(measure.spill_mm2),
        share(measure.doubled_mm2),
    )
}

/// How near each fill comes to the best there is; a pair is one fill. Then where shapes were moved
/// for it.
fn nearness(plan: &Plan, words: Words) -> String {
    let (mut rows, mut moved) = (String::new(), Vec::new());
    for fill in plan.features.chunk_by(|a, b| a.name == b.name) {
        if let Some(words) = fill[0].nearness.as_ref().and_then(near_words) {
            rows.push_str(&format!("{:18}  {words}\n", short(&fill[0].name)));
        }
        if fill[0].is_fill() {
            moved.extend(fill_moved(fill, words));
        }
    }
    if !moved.is_empty() {
        let told = hung(&moved.join("; "), NAME + 2);
        rows.push_str(&format!("{:18}  {told}\n", "moved to fit"));
    }
    if rows.is_empty() {
        return rows;
    }
    format!("\n{HEADING}How good the fills are, in their directions and places{HEADING:#}\n{rows}")
}

/// Where to a shape was moved, a pair told by its right side, and what that won.
fn fill_moved(fill: &[FeaturePlan], words: Words) -> Option<String> {
    let right = fill.iter().find(|side| side.side == Side::Right);
    let told = moved_words(right.unwrap_or(&fill[0]), words)?;
    let area: f64 = fill.iter().map(|side| side.measure.outline_mm2).sum();
    let won = 100.0 * fill[0].seat_won_mm2 / area;
    let won = match won < 0.5 {
        true => "less than 1 %".to_owned(),
        false => format!("{won:.0} %"),
    };
    Some(format!("{} {told} (won {won})", fill[0].name))
}

/// Where to a shape was moved, and by how much it changed its size; `None` where it lies as drawn.
fn moved_words(feature: &FeaturePlan, words: Words) -> Option<String> {
    let moved = feature.moved_mm;
    let (right, left) = match feature.side {
        Side::Centre => ("to the right", "to the left"),
        Side::Left | Side::Right => ("outward", "inward"),
    };
    let way = |mm: f64, ahead: &str, back: &str| {
        let word = if mm > 0.0 { ahead } else { back };
        (mm != 0.0).then(|| format!("{} {word}", words.ruler.small(mm.abs())))
    };
    let larger = 100.0 * (feature.scale - 1.0);
    let size = if larger > 0.0 { "larger" } else { "smaller" };
    let told: Vec<String> = [
        way(moved.x, right, left),
        way(moved.y, "toward the toe", "toward the edge"),
        (larger != 0.0).then(|| format!("{:.0} % {size}", larger.abs())),
    ]
    .into_iter()
    .flatten()
    .collect();
    (!told.is_empty()).then(|| told.join(", "))
}

fn near_words(near: &Nearness) -> Option<String> {
    const ALLOW: &str = "these needle points allow";
    let share = near.share()?;
    Some(if near.proven_best {
        format!("as good as {ALLOW}")
    } else if share >= 0.99 {
        format!("within 1 % of what {ALLOW}")
    } else {
        format!("at least {:.0} % of what {ALLOW}", (100.0 * share).floor())
    })
}

/// A name that fits its column.
fn short(name: &str) -> String {
    if name.chars().count() <= NAME {
        return name.to_owned();
    }
    let begun: String = name.chars().take(NAME - 1).collect();
    begun + "…"
}

/// Characters of the column of names.
const NAME: usize = 18;

/// Planned beside counted naively.
fn evenness(plan: &Plan, words: Words) -> String {
    let mut text = format!(
        "\n{HEADING}Left against right  as planned                 counted by column and round{HEADING:#}\n"
    );
    let head = format!("{:>6}  {:>7}  {:>7}", "mirror", "level", "offset");
    text.push_str(&format!("{:18}  {head}      {head}\n", ""));
    for symmetry in &plan.symmetry {
        text.push_str(&format!(
            "{:18}  {}      {}\n",
            short(&symmetry.feature),
            figures(&symmetry.planned, words),
            figures(&symmetry.naive, words)
        ));
    }
    text
}

fn figures(figures: &Figures, words: Words) -> String {
    format!(
        "{:>6}  {:>7}  {:>7}",
        format!("{:.0} %", 100.0 * figures.mirror_match),
        words.ruler.small(figures.level_mm.abs()),
        words.ruler.small(figures.offset_mm.abs())
    )
}

fn yarn(thread: &ThreadPlan, words: Words) -> String {
    let ruler = words.ruler;
    let text = format!(
        "{}, {:.1} g, {}; floats up to {}; {} of {} ends pierce yarn",
        ruler.yarn(thread.length_mm),
        thread.grams,
        counted(thread.needlefuls, "needleful"),
        ruler.small(thread.longest_float_mm),
        thread.pierced_ends,
        2 * thread.strands
    );
    format!("{:18}  {}\n", short(&thread.name), hung(&text, NAME + 2))
}
