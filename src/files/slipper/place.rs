//! The table `[place]`: where the face goes; and what a slipper has no room for.

use super::super::table::Table;
use super::super::value::{Choice, Number};
use crate::fabric::Slipper;
use crate::face::{Facing, Place};
use crate::units::{self, Ruler};

/// Narrowest face, stitches: an eye is three stitches wide.
const NARROWEST: f64 = 3.0;

/// Half the coarsest step of a tape, an eighth of an inch: a limit typed as it is told is accepted.
const TAPE_MM: f64 = 1.6;

/// A width or a distance that the slipper has no room for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Misfit {
    /// The key that states it: `width_cm` or `below_cm`.
    pub key: &'static str,
    /// What was expected.
    pub message: String,
    /// What it is measured by.
    pub tip: &'static str,
}

/// Reads it; what is left out is worked out later.
pub(super) fn read(top: &Table<'_, '_>, slipper: Option<&Slipper>) -> Place {
    let Some(table) = top.table("place") else {
        return Place::default();
    };
    let facings = [("onlooker", Facing::Onlooker), ("wearer", Facing::Wearer)];
    let facing = table.get("facing", Choice(&facings)).unwrap_or_default();
    let width_cm = table.get("width_cm", Number(0.5, 60.0));
    let below_cm = table.get("below_cm", Number(0.0, 60.0));
    let place = Place {
        width_mm: width_cm.map(units::centimetres),
        below_mm: below_cm.map(units::centimetres),
        facing,
    };
    let misfits = slipper.map(|slipper| misfits(&place, slipper, Ruler::Metric));
    for misfit in misfits.into_iter().flatten() {
        table.fault_at(misfit.key, misfit.message, misfit.tip);
    }
    place
}

/// What is asked of the place and cannot be on this slipper, said in a ruler's lengths.
#[must_use]
pub fn misfits(place: &Place, slipper: &Slipper, ruler: Ruler) -> Vec<Misfit> {
    let gauge = slipper.shell.gauge();
    let stitch_mm = gauge.stitch_mm * slipper.stretch();
    let narrowest_mm = NARROWEST * stitch_mm;
    let around_mm = stitch_mm * f64::from(slipper.shell.last_count());
    let length_mm = gauge.row_mm * f64::from(slipper.shell.last_round());
    let mut misfits = Vec::new();
    if place
        .width_mm
        .is_some_and(|width| width < narrowest_mm - TAPE_MM)
    {
        misfits.push(Misfit {
            key: "width_cm",
            message: format!(
                "expected at least three stitches, {}, found less",
                ruler.tape(narrowest_mm)
            ),
            tip: "a face of fewer stitches cannot be told",
        });
    }
    if place
        .width_mm
        .is_some_and(|width| width > around_mm + TAPE_MM)
    {
        misfits.push(Misfit {
            key: "width_cm",
            message: format!(
                "expected at most the way round, {}, found more",
                ruler.tape(around_mm)
            ),
            tip: "about a third of that is seen from above",
        });
    }
    if place
        .below_mm
        .is_some_and(|below| below >= length_mm + TAPE_MM)
    {
        misfits.push(Misfit {
            key: "below_cm",
            message: format!(
                "expected less than the {} from edge to toe, found more",
                ruler.tape(length_mm)
            ),
            tip: "the distance from the opening edge to the face",
        });
    }
    misfits
}
