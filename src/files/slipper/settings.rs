//! The table `[weave]`: how the face is sewn.

use std::collections::BTreeMap;

use super::super::table::Table;
use super::super::value::{Choice, Count, Flag, Number};
use crate::fabric::Yarn;
use crate::weave::{PointsAllowed, Settings, ThreadStock};

/// Reads it; what is left out is as usual.
pub(super) fn read(
    top: &Table<'_, '_>,
    own: Option<Yarn>,
    threads: &BTreeMap<String, ThreadStock>,
) -> Settings {
    let usual = Settings::default();
    let Some(table) = top.table("weave") else {
        return usual;
    };
    let points = [("all", PointsAllowed::All), ("open", PointsAllowed::Open)];
    let number = |key, from, to, usual| table.get(key, Number(from, to)).unwrap_or(usual);
    let settings = Settings {
        longest_mm: number("longest", 5.0, 80.0, usual.longest_mm),
        tie_down: table.get("tie_down", Flag).unwrap_or(usual.tie_down),
        spread_deg: number("spread", 0.0, 45.0, usual.spread_deg),
        hole_limit: table
            .get("hole_limit", Count(1, 8))
            .unwrap_or(usual.hole_limit),
        points: table.get("points", Choice(&points)).unwrap_or(usual.points),
        float_limit_mm: number("float_limit", 3.0, 100.0, usual.float_limit_mm),
        carry_mm: number("carry", 5.0, 500.0, usual.carry_mm),
        needleful_mm: number("needleful", 100.0, 5000.0, usual.needleful_mm),
        take_up: number("take_up", 0.0, 0.5, usual.take_up),
        tail_mm: number("tail", 20.0, 500.0, usual.tail_mm),
        thickness_mm: table.get("thickness", Number(0.5, 40.0)),
        seat_scale: number("seat_scale", 0.0, 0.04, usual.seat_scale),
        ..usual
    };
    let stated = |first, second| {
        if table.value(first).is_some() {
            first
        } else {
            second
        }
    };
    if settings.needleful_mm <= 2.0 * settings.tail_mm {
        let message = format!(
            "expected a needleful longer than two tails of {} mm, found {} mm",
            settings.tail_mm, settings.needleful_mm
        );
        let tip = "what is left between the tails is what is sewn with";
        table.fault_at(stated("needleful", "tail"), message, tip);
    }
    if settings.float_limit_mm > settings.carry_mm {
        let message = format!(
            "expected `float_limit` not over `carry`, found {} mm over {} mm",
            settings.float_limit_mm, settings.carry_mm
        );
        let tip = "yarn is caught every `float_limit`, and ended beyond `carry`";
        table.fault_at(stated("float_limit", "carry"), message, tip);
    }
    let widths = own
        .into_iter()
        .chain(threads.values().map(|stock| stock.yarn));
    let widest = widths.map(|yarn| yarn.width_mm()).fold(0.0, f64::max);
    if settings.longest_mm <= 1.5 * widest {
        let message = format!(
            "expected more than {:.1} mm, one and a half widths of the yarn, found {} mm",
            1.5 * widest,
            settings.longest_mm
        );
        table.fault_at("longest", message, "no strand can be that short");
    }
    settings
}
