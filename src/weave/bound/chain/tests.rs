//! A line's choice against every set of intervals.

use super::*;

/// A line of some steps, with intervals, costs and pairs that exclude each other.
struct Case {
    worth: Vec<f64>,
    intervals: Vec<Interval>,
    costs: Vec<f64>,
    pairs: Vec<(usize, usize)>,
}

impl Case {
    fn new(random: &mut fastrand::Rng, equal: bool) -> Self {
        let worth = (0..24).map(|_| 2.0 * random.f64() - 0.7).collect();
        let mut intervals: Vec<Interval> = (0..9)
            .map(|strand| {
                let length = if equal { 5.0 } else { 1.0 + 6.0 * random.f64() };
                let from = (24.0 - length) * random.f64();
                Interval {
                    strand,
                    id: strand,
                    before: 0,
                    after: 0,
                    from: Spot::new(from),
                    to: Spot::new(from + length),
                }
            })
            .collect();
        order(&mut intervals);
        let pairs = (0..if equal { 0 } else { 6 })
            .map(|_| (random.usize(0..9), random.usize(0..9)))
            .filter(|(a, b)| a != b)
            .collect();
        Self {
            worth,
            intervals,
            costs: (0..9).map(|_| 1.2 * random.f64() - 0.2).collect(),
            pairs,
        }
    }

    /// What a set of intervals is worth, by hundredths of a step; `None` where two exclude
    /// each other.
    fn worth_of(&self, set: u32) -> Option<f64> {
        let has = |strand: usize| set >> strand & 1 == 1;
        if self.pairs.iter().any(|&(a, b)| has(a) && has(b)) {
            return None;
        }
        let sewn = || self.intervals.iter().filter(|i| has(i.strand as usize));
        let mut ends: Vec<f64> = sewn()
            .flat_map(|i| [i.from.steps(), i.to.steps()])
            .collect();
        ends.extend((0..=24).map(f64::from));
        ends.sort_by(f64::total_cmp);
        let pieces = ends
            .windows(2)
            .map(|w| (f64::midpoint(w[0], w[1]), w[1] - w[0]));
        let covered = |at: f64| sewn().any(|i| i.from.steps() < at && at < i.to.steps());
        let worth = pieces
            .filter(|&(at, _)| covered(at))
            .map(|(at, length)| length * self.worth[Spot::new(at).step as usize]);
        Some(worth.sum::<f64>() - sewn().map(|i| self.costs[i.id as usize]).sum::<f64>())
    }

    fn best_of(&self, must: impl Fn(u32) -> bool) -> f64 {
        let sets = (0..1_u32 << 9).filter(|&set| must(set));
        sets.filter_map(|set| self.worth_of(set))
            .fold(f64::NEG_INFINITY, f64::max)
    }
}

/// Every set of nine intervals, against the best choice and the best with each: never less,
/// and the same where no interval lies within another and none excludes another.
#[test]
fn a_line_chooses_no_less_than_the_best_of_all_sets() {
    let mut random = fastrand::Rng::with_seed(1957);
    let mut same = 0;
    for case in 0..200 {
        let equal = case % 2 == 0;
        let line = Case::new(&mut random, equal);
        let conflicts = Conflicts::of_pairs(9, &line.pairs);
        let mut desk = Desk::default();
        desk.lay(line.worth.iter().copied(), 0, &line.intervals);
        let mut chosen = 0;
        let hints: Vec<Hint> = line.intervals.iter().map(|_| Hint::new(NONE)).collect();
        let laid = (&line.intervals[..], &hints[..]);
        let found = desk.best(laid, &line.costs, &conflicts, |interval| {
            chosen |= 1 << interval.strand;
        });
        let again = desk.best(laid, &line.costs, &conflicts, |_| {});
        assert!(
            (found - again).abs() < 1e-9,
            "{case}: {found}, then {again}"
        );
        let best = line.best_of(|_| true);
        assert!(found >= best - 1e-9, "{case}: {found} of {best}");
        if equal {
            assert!(found <= best + 1e-9, "{case}: {found}, the best is {best}");
            let told = line.worth_of(chosen);
            assert!(
                told.is_some_and(|told| (told - best).abs() < 1e-9),
                "{case}: {told:?}"
            );
        }
        same += usize::from(found <= best + 1e-9);
        desk.short(laid, &line.costs, &conflicts, |interval, short| {
            let with = line.best_of(|set| set >> interval.strand & 1 == 1);
            assert!(
                found - short >= with - 1e-9,
                "{case}: {} of {with}",
                found - short
            );
            if equal {
                assert!(
                    found - short <= with + 1e-9,
                    "{case}: {} of {with}",
                    found - short
                );
            }
        });
    }
    assert!(same >= 120, "{same} of 200 exact");
}
