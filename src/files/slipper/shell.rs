//! The tables `[gauge]` and `[shell]`: stitch and row, rounds, lean, the strip.

use super::super::table::Table;
use super::super::value::{Choice, Count, Counts, Number};
use crate::fabric::{Gauge, Hand, Rounds, Shell, ShellError, ShellSpec};
use crate::units;

/// Smallest and largest stitch or row, mm: from crochet thread to rope.
const STITCH_MM: (f64, f64) = (0.5, 60.0);

/// Reads both and builds the shell; what does not fit together is a fault at its key.
pub(super) fn read(top: &Table<'_, '_>) -> Option<Shell> {
    let hands = [("right", Hand::Right), ("left", Hand::Left)];
    let hand = top.get("hand", Choice(&hands)).unwrap_or(Hand::Right);
    let ways = [("spiral", Rounds::Spiral), ("joined", Rounds::Joined)];
    let rounds = top.need(
        "rounds",
        Choice(&ways),
        "`\"joined\"` when each round is closed with a slip stitch, `\"spiral\"` when it goes on",
    );
    let gauge_table = top.needed_table("gauge", "measure it on the slipper itself");
    let gauge_read = gauge_table.as_ref().and_then(gauge);
    let lean = gauge_table.as_ref().and_then(|table| lean(table, rounds));
    let shell_table = top.needed_table("shell", "the rounds from the toe to the instep");
    let table = shell_table.as_ref()?;
    let toe = Counts {
        most: 60,
        each: Count(3, 300),
    };
    let toe = table.need(
        "toe",
        toe,
        "stitches of each increase round, the ring first",
    );
    let even_rounds = table.need(
        "even_rounds",
        Count(0, 150),
        "rounds worked without increase after the toe",
    );
    let flat_stitches = table.need(
        "flat_stitches",
        Count(1, 298),
        "stitches of the strip that is worked back and forth for sole and heel",
    );
    let extra = table.get("extra_before_turn", Count(0, 20)).unwrap_or(0);
    let centre_stitch = table.get("centre_stitch", Number(0.5, 300.5));
    let spec = ShellSpec {
        gauge: gauge_read?,
        hand,
        rounds: rounds?,
        toe: toe?,
        even_rounds: even_rounds?,
        lean: lean?,
        flat_stitches: flat_stitches?,
        extra_before_turn: extra,
        centre_stitch,
    };
    Shell::new(spec)
        .map_err(|error| shell_fault(table, gauge_table.as_ref(), &error))
        .ok()
}

fn gauge(table: &Table<'_, '_>) -> Option<Gauge> {
    let tip = "count them on the even part of the slipper";
    let stitches = table.need("stitches", Number(1.0, 100.0), tip);
    let rows = table.need("rows", Number(1.0, 100.0), tip);
    let over_cm = table.get("over_cm", Number(1.0, 50.0));
    let over_in = table.get("over_in", Number(0.5, 20.0));
    let stated = |key: &str| table.value(key).is_some();
    match (stated("over_cm"), stated("over_in")) {
        (true, true) => table.fault_at(
            "over_in",
            "expected `over_cm` or `over_in`, found both".into(),
            "4 in are 10.16 cm: keep the one that was measured",
        ),
        (false, false) => table.fault_at(
            "over_cm",
            "expected `over_cm` or `over_in`, found neither".into(),
            "the length over which stitches and rows were counted",
        ),
        _ => {}
    }
    let over_mm = over_cm
        .map(units::centimetres)
        .or_else(|| over_in.map(units::inches))?;
    let gauge = Gauge::from_swatch(stitches?, rows?, over_mm);
    let (least, most) = STITCH_MM;
    let sizes = [
        ("stitches", "a stitch", "wide", gauge.stitch_mm),
        ("rows", "a row", "high", gauge.row_mm),
    ];
    let mut fits = true;
    for (key, what, way, mm) in sizes {
        if !(least..=most).contains(&mm) {
            let message = format!("expected {what} {least} to {most} mm {way}, found {mm:.2} mm");
            table.fault_at(key, message, "was it counted over this length?");
            fits = false;
        }
    }
    fits.then_some(gauge)
}

/// Lean in stitches per round; 0 when a joined round does not state one.
fn lean(table: &Table<'_, '_>, rounds: Option<Rounds>) -> Option<f64> {
    const TIP: &str = "baste a thread straight from the middle of the edge to the toe and count \
                       by how many stitches a column leaves it: `{ stitches = 4, rounds = 16 }`";
    let limits = Number(-0.9, 0.9);
    let Some(value) = table.value("lean") else {
        return match rounds {
            Some(Rounds::Spiral) => table.need("lean", limits, TIP),
            _ => Some(0.0),
        };
    };
    let Some(counted) = table.inner(value, "lean", "lean") else {
        return table.get("lean", limits);
    };
    let stitches = counted.need("stitches", Number(-90.0, 90.0), TIP);
    let over = counted.need("rounds", Number(1.0, 100.0), TIP);
    let lean = stitches? / over?;
    if (limits.0..=limits.1).contains(&lean) {
        return Some(lean);
    }
    let message = format!("expected a lean of -0.9 to 0.9 stitches a round, found {lean:.2}");
    table.fault_at(
        "lean",
        message,
        "columns usually lean 0.2 to 0.33 stitch a round",
    );
    None
}

/// Names the key of what does not fit together.
fn shell_fault(shell: &Table<'_, '_>, gauge: Option<&Table<'_, '_>>, error: &ShellError) {
    let message = error.to_string();
    match error {
        ShellError::NoRounds | ShellError::TooFewStitches { .. } => {
            shell.fault_at("toe", message, "");
        }
        ShellError::OneRound => shell.fault_at(
            "even_rounds",
            message,
            "count the rounds from the ring to the instep",
        ),
        ShellError::ExtraPastStrip { .. } => shell.fault_at(
            "extra_before_turn",
            message,
            "only those worked past the last round before the work was turned",
        ),
        ShellError::NoOpening { .. } => shell.fault_at(
            "flat_stitches",
            message,
            "the strip is narrower than the tube; what stays open is the opening edge",
        ),
        ShellError::CentreOutside { .. } => shell.fault_at(
            if shell.value("centre_stitch").is_some() {
                "centre_stitch"
            } else {
                "extra_before_turn"
            },
            message,
            "count along the last round; a half lies between two stitches",
        ),
        ShellError::LeanTooLarge(_) => gauge.unwrap_or(shell).fault_at(
            "lean",
            message,
            "columns lean 0.2 to 0.33 stitch a round",
        ),
    }
}
