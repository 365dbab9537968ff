//! Sizes on the screen: counts, measures, ease, and the shoe sizes they come near to.

use instep::fabric::{Graded, Grading, ShoeSizes, Slipper};
use instep::files::words::halves;
use instep::files::{FootAsked, Words};
use instep::units::Ruler;

use super::screen::{HEADING, NOTE, hung};

/// All that is shown of a run of sizes.
#[derive(Debug)]
pub(crate) struct Run<'a> {
    pub(crate) proven: &'a Slipper,
    pub(crate) grading: &'a Grading,
    /// What was taken as given and why, a sentence each.
    pub(crate) told: Vec<String>,
    pub(crate) sizes: &'a [(FootAsked, Graded)],
}

/// Length of a foot under which it is a child's under three, mm: at three years feet are 153 to
/// 156 mm long on the mean, with a standard deviation of 8 to 9 (Children 2022, 9(5):750).
const UNDER_THREE_MM: f64 = 140.0;

/// The text of a run.
pub(crate) fn table(run: &Run<'_>, words: Words) -> String {
    let mut text = format!(
        "{HEADING}Sizes of {}{HEADING:#}  {} around, on a foot of {} around\n",
        run.proven.name,
        words.ruler.tape(run.proven.tube_around_mm()),
        words.ruler.tape(run.grading.foot().around_mm)
    );
    for told in &run.told {
        text.push_str(&hung(told, 0));
        text.push('\n');
    }
    text.push('\n');
    text.push_str(&measures(run.sizes, words.ruler));
    text.push('\n');
    text.push_str(&counts(run.sizes));
    text.push('\n');
    text.push_str(&shoes(run.sizes));
    text.push('\n');
    text.push_str(&notes(run));
    text
}

/// Width of the column of sizes.
fn size_column(sizes: &[(FootAsked, Graded)]) -> usize {
    let width = |(asked, _): &(FootAsked, Graded)| asked.name.chars().count();
    sizes.iter().map(width).max().unwrap_or(0).max(4)
}

fn measures(sizes: &[(FootAsked, Graded)], ruler: Ruler) -> String {
    let column = size_column(sizes);
    let (unit, per_mm) = match ruler {
        Ruler::Metric => ("cm", 0.1),
        Ruler::Inch => ("in", 1.0 / instep::units::MM_PER_INCH),
    };
    let mut text = format!(
        "{HEADING}{:<column$}  foot, {unit}        slipper, {unit}     ease, %{HEADING:#}\n{:<column$}  \
         long   around   long   around   along   around\n",
        "size", ""
    );
    for (asked, graded) in sizes {
        let ease = graded.ease();
        let number = |mm: f64| match ruler {
            Ruler::Metric => format!("{:.1}", per_mm * mm),
            Ruler::Inch => format!("{:.2}", per_mm * mm),
        };
        let estimated = if asked.estimated { "*" } else { " " };
        text.push_str(&format!(
            "{:<column$}  {:>4}   {:>5}{estimated}  {:>5}   {:>5}   {:>+5.1}   {:>+5.1}\n",
            asked.name,
            number(asked.foot.length_mm),
            number(asked.foot.around_mm),
            number(graded.length_mm()),
            number(graded.around_mm()),
            100.0 * ease.along,
            100.0 * ease.around,
        ));
    }
    text
}

fn counts(sizes: &[(FootAsked, Graded)]) -> String {
    let column = size_column(sizes);
    let mut text = format!(
        "{HEADING}{:<column$}  even rounds  strip           toe rounds{HEADING:#}\n",
        "size"
    );
    for (asked, graded) in sizes {
        let shell = &graded.shell;
        let toe: Vec<String> = shell.counts()[..shell.toe_rounds()]
            .iter()
            .map(u32::to_string)
            .collect();
        text.push_str(&format!(
            "{:<column$}  {:>11}  {:>2} st, {:>2} rows  {}\n",
            asked.name,
            shell.counts().len() - shell.toe_rounds(),
            shell.flat_stitches(),
            graded.flat_rows,
            hung(&toe.join(" "), column + 32),
        ));
    }
    text
}

fn shoes(sizes: &[(FootAsked, Graded)]) -> String {
    let column = size_column(sizes);
    let mut text = format!("{HEADING}{:<column$}  shoes, about{HEADING:#}\n", "size");
    for (asked, _) in sizes {
        let near = ShoeSizes::of(asked.foot.length_mm);
        let scale = if near.child_scale { "child " } else { "" };
        let us = match near.us_women {
            Some(women) => format!("{} men, {} women", halves(near.us), halves(women)),
            None => format!("child {}", halves(near.us)),
        };
        text.push_str(&format!(
            "{:<column$}  EU {}, UK {scale}{}, US {us}\n",
            asked.name,
            halves(near.eu),
            halves(near.uk)
        ));
    }
    text
}

fn notes(run: &Run<'_>) -> String {
    let mut notes = vec![
        "Sizes are the length of the foot in mm (Mondopoint, ISO 9407). Shoe sizes are \
         approximations from Paris points of 2/3 cm and barleycorns of 1/3 in, a foot two points \
         shorter than the last; makers differ by a size."
            .to_owned(),
        "Along: from the ring along the sole to the heel seam, rounds and rows of the strip. Ease \
         is off by what whole stitches and rows leave."
            .to_owned(),
    ];
    if run.sizes.iter().any(|(asked, _)| asked.estimated) {
        notes.push(
            "* Estimated as 0.93 of the length, the mean of 6068 adults (ANSUR II, 2012); of \
             twenty feet one is 7 % wider and one 7 % narrower. Measure if you can."
                .to_owned(),
        );
    }
    let small = |(asked, _): &(FootAsked, Graded)| asked.foot.length_mm < UNDER_THREE_MM;
    if run.sizes.iter().any(small) && !run.proven.for_baby {
        notes.push(format!(
            "{NOTE}Sizes under {UNDER_THREE_MM} are for children under three:{NOTE:#} set \
             `for_baby = true` in their files, so that no loose yarn inside catches small toes."
        ));
    }
    notes
        .iter()
        .map(|note| format!("{}\n", hung(note, 0)))
        .collect()
}
