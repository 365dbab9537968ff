//! What a fabric offers a face: how it lies, where a column would lead, how much room there is.

use super::{Category, Gauge, Instep, Rounds, Slipper, Spot};

/// Turn from the centre line beyond which a place shows less than half its width from above,
/// degrees: cos 60° = 1/2.
pub const SEEN_DEG: f64 = 60.0;

/// Share by which an increase round may pass the flat increase before it ruffles. Tried on the
/// trade's rule of 6 stitches a round for a flat disc, which at usual gauges (rows 0.83 to 1 of
/// a stitch) is 0 to 15 % over `2 pi h / w`.
const RUFFLE: f64 = 0.2;

/// A slipper measured.
#[derive(Debug, Clone, PartialEq)]
pub struct Survey {
    /// Stitches in 4 in, as the published yarn weight table counts.
    pub stitches_in_4_in: f64,
    /// How the gauge stands to the table's range for the yarn's weight.
    pub gauge: GaugeFit,
    /// How the columns and rows run, row by row from the edge.
    pub rows: Vec<SurveyRow>,
    /// Height by which a round climbs over the full width of the room for a face, mm; 0 where
    /// rounds are joined.
    pub rise_mm: f64,
    /// Increase that lies flat, stitches a round.
    pub flat_increase: f64,
    /// Increase rounds, the ring first.
    pub cap: Vec<CapRound>,
    /// Room for a face: from 60 degrees of turn on one side to 60 on the other, mm as worn.
    pub room_wide_mm: f64,
    /// Room for a face from the edge down to the cap, mm.
    pub room_long_mm: f64,
}

/// The gauge against the published range for the yarn.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum GaugeFit {
    /// No weight stated, or a weight without a range.
    Unknown,
    /// Fewer stitches than usual.
    Loose,
    /// Within the range.
    Usual,
    /// More stitches than usual.
    Firm,
}

/// One row at the centre line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SurveyRow {
    /// Number below the opening edge, 1 at the edge.
    pub below: u32,
    /// Where the column followed down from the middle of the edge would lie at the base of this
    /// row, mm as worn, + right of the centre line; `None` where the rounds differ in stitches.
    pub column_leads_mm: Option<f64>,
    /// Where the round begins, mm right of the centre line; `None` when it lies out of sight.
    pub round_starts_mm: Option<f64>,
}

/// One round of the toe.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CapRound {
    /// Round, 1 the ring.
    pub round: u32,
    /// Its stitches.
    pub stitches: u32,
    /// Stitches more than the round before; for the ring all of them.
    pub increase: i64,
    /// More than lies flat.
    pub ruffles: bool,
}

impl Survey {
    /// Measures a slipper.
    #[must_use]
    pub fn new(slipper: &Slipper, instep: &Instep) -> Self {
        let shell = instep.shell();
        let stitches_in_4_in = 4.0 * crate::units::MM_PER_INCH / shell.gauge().stitch_mm;
        let room_wide_mm = instep.around_mm() * SEEN_DEG / 180.0;
        let rises = match shell.rounds() {
            Rounds::Spiral => room_wide_mm / instep.around_mm(),
            Rounds::Joined => 0.0,
        };
        Self {
            stitches_in_4_in,
            gauge: gauge_fit(slipper.yarn.weight, stitches_in_4_in),
            rows: instep
                .rows()
                .iter()
                .map(|row| survey_row(instep, row.below))
                .collect(),
            rise_mm: rises * instep.row_mm(),
            flat_increase: shell.gauge().flat_increase(),
            cap: cap(instep),
            room_wide_mm,
            room_long_mm: instep.cap_mm().max(0.0),
        }
    }
}

/// The most stitches that a round may grow by without ruffling; at least one.
#[must_use]
pub fn most_flat(gauge: Gauge) -> u32 {
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a small positive number"
    )]
    let most = (gauge.flat_increase() * (1.0 + RUFFLE)).floor() as u32;
    most.max(1)
}

fn gauge_fit(weight: Option<Category>, stitches: f64) -> GaugeFit {
    match weight.and_then(Category::stitches_in_4_in) {
        None => GaugeFit::Unknown,
        Some((fewest, _)) if stitches < fewest - 0.5 => GaugeFit::Loose,
        Some((_, most)) if stitches > most + 0.5 => GaugeFit::Firm,
        Some(_) => GaugeFit::Usual,
    }
}

fn survey_row(instep: &Instep, below: u32) -> SurveyRow {
    let shell = instep.shell();
    let round = (shell.last_round() + 1).saturating_sub(below).max(1);
    let even = shell.count(round) == shell.last_count();
    let at = |stitch: f64| {
        instep
            .unfold(Spot {
                round,
                stitch,
                row: 0.0,
            })
            .x
    };
    let start = at(0.5);
    let in_sight = 2.0 * start.abs() <= instep.around_mm() * SEEN_DEG / 180.0;
    SurveyRow {
        below,
        column_leads_mm: even.then(|| at(shell.centre_stitch())),
        round_starts_mm: in_sight.then_some(start),
    }
}

fn cap(instep: &Instep) -> Vec<CapRound> {
    let shell = instep.shell();
    let most = i64::from(most_flat(shell.gauge()));
    let mut before = 0;
    (1..)
        .zip(&shell.counts()[..shell.toe_rounds()])
        .map(|(round, &stitches)| {
            let increase = i64::from(stitches) - i64::from(before);
            before = stitches;
            // The ring gathers into one hole, so any number of stitches can be drawn flat there.
            let ruffles = round > 1 && increase > most;
            CapRound {
                round,
                stitches,
                increase,
                ruffles,
            }
        })
        .collect()
}
