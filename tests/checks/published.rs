//! Tables and measurements in print. Each check names its source.

use approx::assert_abs_diff_eq;
use instep::fabric::colour::{contrast, luminance};
use instep::fabric::{Category, Gauge, Hand, Instep, Rounds, ShellSpec, Spot};
use instep::units;

use super::slippers::{even_tube, slipper, unfolded, yarn};

/// Yarn Weight System of the Craft Yarn Council (Standards & Guidelines): category, single
/// crochet stitches in 4 in, and the stitch width in mm that follows, `101.6 / n`.
const WEIGHTS: [(u8, &str, f64, f64, f64, f64); 6] = [
    (1, "super fine", 21.0, 32.0, 3.175, 4.838),
    (2, "fine", 16.0, 20.0, 5.080, 6.350),
    (3, "light", 12.0, 17.0, 5.976, 8.467),
    (4, "medium", 11.0, 14.0, 7.257, 9.236),
    (5, "bulky", 8.0, 11.0, 9.236, 12.700),
    (6, "super bulky", 6.0, 9.0, 11.289, 16.933),
];

#[test]
fn the_yarn_categories_are_those_of_the_published_table() {
    for (number, name, fewest, most, tight, loose) in WEIGHTS {
        let category = Category::new(number).expect("a category of the table");
        assert_eq!(category.name(), name);
        assert_eq!(category.number(), number);
        let (from, to) = category.stitches_in_4_in().expect("a gauge");
        assert_abs_diff_eq!(from, fewest, epsilon = 0.0);
        assert_abs_diff_eq!(to, most, epsilon = 0.0);
        let width = |stitches| Gauge::from_swatch(stitches, 1.0, units::inches(4.0)).stitch_mm;
        assert_abs_diff_eq!(width(to), tight, epsilon = 0.0005);
        assert_abs_diff_eq!(width(from), loose, epsilon = 0.0005);
    }
}

/// The same table: lace is given in double crochet, jumbo as "5 and fewer", and there is no
/// category 8.
#[test]
fn lace_has_no_single_crochet_gauge_and_jumbo_only_a_most() {
    assert_eq!(Category::ALL[0].name(), "lace");
    assert!(Category::ALL[0].stitches_in_4_in().is_none());
    let (_, most) = Category::ALL[7].stitches_in_4_in().expect("a gauge");
    assert_abs_diff_eq!(units::inches(4.0) / most, 20.320, epsilon = 0.0005);
    assert!(Category::new(8).is_none());
}

/// The same table: its ranges touch and overlap, so that a gauge does not name one category.
#[test]
fn a_gauge_may_belong_to_two_categories() {
    let holding = |stitches: f64| -> Vec<u8> {
        Category::ALL
            .iter()
            .filter(|c| {
                c.stitches_in_4_in()
                    .is_some_and(|(from, to)| (from..=to).contains(&stitches))
            })
            .map(|c| c.number())
            .collect()
    };
    assert_eq!(holding(17.0), [2, 3]);
    assert_eq!(holding(15.0), [3]);
    assert_eq!(holding(12.0), [3, 4]);
    assert_eq!(holding(11.0), [4, 5]);
    assert_eq!(holding(10.0), [5]);
    assert_eq!(holding(8.0), [5, 6]);
}

/// The inch is 25.4 mm (international yard and pound agreement, 1959): 4 in are 101.6 mm, 1.6 %
/// more than 10 cm. 14 stitches and 16 rows in 4 in: 7.257 by 6.350 mm.
#[test]
fn fourteen_stitches_in_4_in_are_wider_than_in_10_cm() {
    let inch = Gauge::from_swatch(14.0, 16.0, units::inches(4.0));
    let metric = Gauge::from_swatch(14.0, 16.0, units::centimetres(10.0));
    assert_abs_diff_eq!(inch.stitch_mm, 7.257, epsilon = 0.0005);
    assert_abs_diff_eq!(inch.row_mm, 6.350, epsilon = 0.0005);
    assert_abs_diff_eq!(metric.stitch_mm, 7.143, epsilon = 0.0005);
    assert_abs_diff_eq!(inch.stitch_mm / metric.stitch_mm, 1.016, epsilon = 1e-12);
}

/// Wraps per inch, how to wrap: touching and not overlapping, so that a strand is 25.4 / WPI mm
/// wide.
#[test]
fn a_strand_is_as_wide_as_a_wrap() {
    for (wraps, mm) in [
        (6.0, 4.233),
        (7.0, 3.629),
        (8.0, 3.175),
        (9.0, 2.822),
        (10.0, 2.540),
        (11.0, 2.309),
        (12.0, 2.117),
        (14.0, 1.814),
        (15.0, 1.693),
        (18.0, 1.411),
        (30.0, 0.847),
    ] {
        assert_abs_diff_eq!(yarn(wraps, 1, 100.0).width_mm(), mm, epsilon = 0.0005);
    }
}

/// A round bundle of n strands is the root of n times as wide: equal areas of cross-section.
#[test]
fn four_strands_held_together_are_twice_as_wide() {
    assert_abs_diff_eq!(yarn(9.0, 4, 100.0).width_mm(), 5.644, epsilon = 0.0005);
}

/// Printed table of held strands (a yarn supplier's chart, seen in a copy): from 800 m/100 g two
/// strands give 400 m, then 265, 200, 160, 130; from 600: 300, 200, 150, 120, 100; from 425: 210,
/// 140. The table rounds down to fives and tens: tolerance 4 m.
#[test]
fn strands_held_together_share_the_metres() {
    for (single, printed) in [
        (800.0, vec![400.0, 265.0, 200.0, 160.0, 130.0]),
        (600.0, vec![300.0, 200.0, 150.0, 120.0, 100.0]),
        (425.0, vec![210.0, 140.0]),
    ] {
        for (held, metres) in (2..).zip(printed) {
            let grams_a_metre = yarn(14.0, held, single).grams(1000.0);
            assert_abs_diff_eq!(100.0 / grams_a_metre, metres, epsilon = 4.0);
        }
    }
}

/// Grams = metres * 100 / (metres in 100 g): 10 m of 225, 160 and 115 m/100 g.
#[test]
fn ten_metres_weigh_what_the_label_says() {
    for (label, grams) in [(225.0, 4.444), (160.0, 6.25), (115.0, 8.696)] {
        assert_abs_diff_eq!(
            yarn(11.0, 1, label).grams(10_000.0),
            grams,
            epsilon = 0.0005
        );
    }
}

/// Trade rule for a flat circle (five pages agree): 6 single, 8 half double, 12 double crochet
/// more a round, which is `2 pi h / w` at h/w 0.955, 1.273, 1.910; and the formula's own table.
#[expect(clippy::approx_constant, reason = "figures as printed")]
#[test]
fn a_disc_lies_flat_with_the_increases_of_the_trade() {
    for (height_over_width, increase) in [
        (0.955, 6.0),
        (1.273, 8.0),
        (1.910, 12.0),
        (0.875, 5.498),
        (1.0, 6.283),
        (1.25, 7.854),
        (1.5, 9.425),
        (2.0, 12.566),
        (3.0, 18.850),
    ] {
        let gauge = Gauge {
            stitch_mm: 4.0,
            row_mm: 4.0 * height_over_width,
        };
        assert_abs_diff_eq!(gauge.flat_increase(), increase, epsilon = 0.002);
    }
}

/// Printed list of the counts of an ideal flat circle of square stitches, and the same for
/// h/w 0.875.
#[test]
fn the_counts_of_a_flat_circle_are_the_printed_ones() {
    let counts = |height_over_width| -> Vec<f64> {
        let gauge = Gauge {
            stitch_mm: 1.0,
            row_mm: height_over_width,
        };
        (1..=8)
            .map(|round| (f64::from(round) * gauge.flat_increase()).round())
            .collect()
    };
    assert_eq!(counts(1.0), [6., 13., 19., 25., 31., 38., 44., 50.]);
    assert_eq!(counts(0.875), [5., 11., 16., 22., 27., 33., 38., 44.]);
}

/// ANSUR II (US Army 2012, NATICK/TR-15/007), ball of foot circumference in mm, worked out from
/// all rows of its public tables. The slipper is 30 stitches of 100/14 mm: 214.286 mm around.
#[test]
fn measured_feet_stretch_the_slipper() {
    let gauge = Gauge::from_swatch(14.0, 16.0, units::centimetres(10.0));
    let worn = |foot| slipper(even_tube(30, 10, gauge), Some(foot));
    for (foot, stretch) in [
        (252.017, 1.176_079), // men, mean
        (284.0, 1.325_333),   // men, 99th percentile
        (228.110, 1.064_513), // women, mean
        (257.0, 1.199_333),   // women, 99th percentile
        (209.0, 1.0),         // women, 5th percentile: the slipper is looser
        (203.0, 1.0),         // women, 1st percentile
    ] {
        let slipper = worn(foot);
        assert_abs_diff_eq!(slipper.stretch(), stretch, epsilon = 5e-7);
        // The worn tube closes round the foot, or keeps its own size.
        let around = Instep::new(&slipper).around_mm();
        assert_abs_diff_eq!(around, foot.max(3000.0 / 14.0), epsilon = 1e-9);
    }
    for percentiles in [
        [
            224.0, 232.0, 236.0, 243.0, 252.0, 261.0, 268.9, 273.0, 284.0,
        ],
        [
            203.0, 209.0, 214.0, 220.0, 227.0, 236.0, 244.0, 248.0, 257.0,
        ],
    ] {
        let stretches = percentiles.map(|foot| worn(foot).stretch());
        assert!(stretches.is_sorted(), "{stretches:?}");
        assert!(stretches[8] > stretches[0]);
    }
}

/// Spiral rounds climb one row in a turn: `atan(h / (N w))`, h/w 0.875, around 24, 30, 36, 48.
/// A right-handed maker works to the left, so the row climbs (y falls) to the left.
#[test]
fn a_spiral_row_climbs_at_the_helix_angle() {
    let gauge = Gauge {
        stitch_mm: 8.0,
        row_mm: 7.0,
    };
    for (around, degrees) in [(24, 2.09), (30, 1.67), (36, 1.39), (48, 1.04)] {
        let instep = unfolded(ShellSpec {
            rounds: Rounds::Spiral,
            ..even_tube(around, 6, gauge)
        });
        let at = |stitch| {
            instep.unfold(Spot {
                round: 5,
                stitch,
                row: 0.0,
            })
        };
        let along = at(4.0) - at(1.0);
        assert!(along.x < 0.0 && along.y < 0.0, "{along:?}");
        let slope = (along.y / along.x).atan().to_degrees();
        assert_abs_diff_eq!(slope, degrees, epsilon = 0.005);
    }
}

/// Four tutorials agree: stitches shift to the right with each round for a right-handed maker,
/// right side facing, to the left for a left-handed one; a shift stitch every four rounds is a
/// lean of 0.25, five stitches in twenty rounds.
#[test]
fn a_column_leans_five_stitches_in_twenty_rounds() {
    let gauge = Gauge {
        stitch_mm: 8.0,
        row_mm: 7.0,
    };
    for rounds in [Rounds::Spiral, Rounds::Joined] {
        for (hand, to_the_right) in [(Hand::Right, 1.0), (Hand::Left, -1.0)] {
            let instep = unfolded(ShellSpec {
                hand,
                rounds,
                lean: 0.25,
                ..even_tube(36, 24, gauge)
            });
            let column = |round| {
                instep.unfold(Spot {
                    round,
                    stitch: 6.0,
                    row: 1.0,
                })
            };
            let stitches = (column(24).x - column(4).x) / 8.0;
            assert_abs_diff_eq!(stitches, 5.0 * to_the_right, epsilon = 1e-9);
        }
    }
}

/// W3C WCAG 2.2: "contrast ratios can range from 1 to 21", black on white; the grey that just
/// passes the 4.5 : 1 of its 1.4.3 on white is #767676, with 4.54 : 1. The luminance of each
/// primary is its weight in the formula.
#[test]
fn contrast_is_that_of_the_web_guidelines() {
    let white = [0xff; 3];
    for (colour, ratio) in [([0x00; 3], 21.0), ([0xff; 3], 1.0), ([0x76; 3], 4.54)] {
        // To the two decimals that are published.
        assert_abs_diff_eq!(contrast(colour, white), ratio, epsilon = 0.005);
        assert_abs_diff_eq!(contrast(white, colour), contrast(colour, white));
    }
    for (colour, weight) in [
        ([0xff, 0, 0], 0.2126),
        ([0, 0xff, 0], 0.7152),
        ([0, 0, 0xff], 0.0722),
    ] {
        assert_abs_diff_eq!(luminance(colour), weight, epsilon = 1e-12);
    }
}
