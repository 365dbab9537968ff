//! A plan on one screen.

use instep::fabric::Spot;
use instep::face::{Facing, Side};
use instep::files::Words;
use instep::files::words::{counted, halves};
use instep::weave::{FeaturePlan, Figures, Level, Plan, SymmetryPlan, ThreadPlan};

use super::screen::{HEADING, NOTE, WRONG};

/// The plan in figures, for a terminal of 80 columns.
pub(crate) fn summary(plan: &Plan, words: Words) -> String {
    let mut text = format!(
        "{HEADING}{} on {}{HEADING:#}\n",
        plan.face_name, plan.slipper_name
    );
    text.push_str(&where_it_is(plan, words));
    text.push_str(&format!("\n{HEADING}{}{HEADING:#}\n", FeatureRow::HEADER));
    for feature in &plan.features {
        text.push_str(&FeatureRow(feature).text(words));
    }
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

struct FeatureRow<'a>(&'a FeaturePlan);

impl FeatureRow<'_> {
    const HEADER: &'static str =
        "Feature             worked as       strands  match   bare  spill  doubled";

    fn text(&self, words: Words) -> String {
        let feature = self.0;
        let name = match feature.side {
            Side::Centre => feature.name.clone(),
            side => format!("{} {}", side.word(), feature.name),
        };
        let lie = feature
            .direction_deg
            .map(|degrees| format!(" {degrees:.0}°"))
            .unwrap_or_default();
        let measure = &feature.measure;
        if measure.outline_mm2 > 0.0 {
            let share = |mm2: f64| format!("{:.0} %", 100.0 * mm2 / measure.outline_mm2);
            format!(
                "{name:18}  {:15} {:>7}  {:>5}  {:>5}  {:>5}  {:>7}\n",
                format!("{}{lie}", feature.method.replace("surface satin", "satin")),
                feature.strands.len(),
                format!("{:.0} %", 100.0 * measure.match_share),
                share(measure.bare_mm2),
                share(measure.spill_mm2),
                share(measure.doubled_mm2),
            )
        } else {
            let _ = words;
            format!(
                "{name:18}  {:15} {:>7}\n",
                feature.method,
                feature.strands.len()
            )
        }
    }
}

/// Planned beside counted naively.
fn evenness(plan: &Plan, words: Words) -> String {
    let mut text = format!(
        "\n{HEADING}Evenness            as planned                  counted by column and round{HEADING:#}\n"
    );
    for symmetry in &plan.symmetry {
        text.push_str(&format!(
            "{:18}  {:26}  {}\n",
            symmetry.feature,
            figures(symmetry, &symmetry.planned, words),
            figures(symmetry, &symmetry.naive, words)
        ));
    }
    text
}

fn figures(symmetry: &SymmetryPlan, figures: &Figures, words: Words) -> String {
    let shared = format!("mirror {:.0} %", 100.0 * figures.mirror_match);
    if symmetry.pair {
        format!("{shared}, level {:.1} rows", figures.level_rows.abs())
    } else {
        format!(
            "{shared}, off {}",
            words.ruler.small(figures.offset_mm.abs())
        )
    }
}

fn yarn(thread: &ThreadPlan, words: Words) -> String {
    let ruler = words.ruler;
    format!(
        "{:18}  {}, {:.1} g, {}; longest float {}; {} of {} ends pierce yarn\n",
        thread.name,
        ruler.yarn(thread.length_mm),
        thread.grams,
        counted(thread.needlefuls, "needleful"),
        ruler.small(thread.longest_float_mm),
        thread.pierced_ends,
        2 * thread.strands
    )
}

/// Text broken at 80 columns, the later lines set in.
fn hung(text: &str, indent: usize) -> String {
    let mut lines = vec![String::new()];
    for word in text.split_whitespace() {
        let line = &lines[lines.len() - 1];
        let length = line.chars().count();
        if length > 0 && indent + length + 1 + word.chars().count() > 80 {
            lines.push(String::new());
        }
        let last = lines.len() - 1;
        if !lines[last].is_empty() {
            lines[last].push(' ');
        }
        lines[last].push_str(word);
    }
    lines.join(&format!("\n{}", " ".repeat(indent)))
}
