//! How a toe grows, and how it grows to another count.

use super::Gauge;
use super::survey::most_flat;

/// The increases of a proven toe: a ring, steps of so many stitches a round, at the end perhaps a
/// few smaller ones.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Increases {
    ring: u32,
    steps: Vec<u32>,
    /// The step when all steps are taken; where rounds without increase stand between, they are
    /// taken from the beginning again.
    usual: u32,
    taper: Vec<u32>,
    most: Option<u32>,
}

/// The round of a toe that has fewer stitches than the one before.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Shrinks(
    /// Round, 1 the ring.
    pub usize,
);

impl Increases {
    /// Reads the increases off the counts of a toe, the ring first. No round grows by more than
    /// lies flat.
    ///
    /// # Errors
    /// A round that shrinks.
    pub fn of(toe: &[u32], gauge: Gauge) -> Result<Self, Shrinks> {
        let shrinking = toe.windows(2).position(|pair| pair[1] < pair[0]);
        if let Some(at) = shrinking {
            return Err(Shrinks(at + 2));
        }
        let most = most_flat(gauge);
        let grown = || toe.windows(2).map(|pair| pair[1] - pair[0]);
        let mut steps: Vec<u32> = grown().map(|step| step.min(most)).collect();
        while steps.last() == Some(&0) {
            steps.pop(); // rounds without increase that end the toe are even rounds
        }
        let often = |step: u32| steps.iter().filter(|&&other| other == step).count();
        let usual = steps
            .iter()
            .copied()
            .filter(|&step| step > 0)
            .max_by_key(|&step| (often(step), std::cmp::Reverse(step)));
        let usual = usual.unwrap_or(most.min(6));
        let full = steps.iter().rposition(|&step| step >= usual);
        let taper = steps.split_off(full.map_or(0, |at| at + 1));
        Ok(Self {
            ring: toe.first().copied().unwrap_or(usual),
            steps,
            usual,
            taper,
            most: grown().any(|step| step > most).then_some(most),
        })
    }

    /// The most that a round may grow by, where the proven toe grows by more.
    #[must_use]
    pub fn held_back(&self) -> Option<u32> {
        self.most
    }

    /// Counts of a toe that ends with `last` stitches: the ring and the steps of the proven one,
    /// as many as it takes; what is left over comes at the end, never more than a step.
    #[must_use]
    pub fn toe(&self, last: u32) -> Vec<u32> {
        if last <= self.ring {
            return vec![last];
        }
        let mut toe = vec![self.ring];
        let mut left = last - self.ring;
        let mut grow = |step: u32| toe.push(toe[toe.len() - 1] + step);
        let kept: u32 = self.taper.iter().sum();
        let rounds = u32::try_from(self.taper.len()).map_or(1, |rounds| rounds.max(1));
        let largest = self.steps.iter().copied().fold(self.usual, u32::max);
        for index in 0.. {
            let step = self.step(index);
            let rest_fits = left <= rounds * largest && left < step + kept;
            if left == 0 || rest_fits || step > left {
                break;
            }
            grow(step);
            left -= step;
        }
        if left == kept {
            self.taper.iter().for_each(|&step| grow(step));
            return toe;
        }
        for rounds_left in (1..=rounds).rev() {
            let step = left.div_ceil(rounds_left);
            if step > 0 {
                grow(step);
            }
            left -= step;
        }
        toe
    }

    fn step(&self, index: usize) -> u32 {
        match self.steps.get(index) {
            Some(&step) => step,
            None if self.steps.contains(&0) => self.steps[index % self.steps.len()],
            None => self.usual,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Rows as high as stitches are wide: 2 pi lie flat, and a fifth more does not ruffle yet.
    const SQUARE: Gauge = Gauge {
        stitch_mm: 10.0,
        row_mm: 10.0,
    };

    fn increases(toe: &[u32]) -> Increases {
        Increases::of(toe, SQUARE).unwrap()
    }

    #[test]
    fn a_toe_grown_to_its_own_count_is_the_same() {
        for toe in [
            &[6, 12, 18, 22][..],
            &[5, 10, 15, 20, 24],
            &[6, 12, 18, 24],
            &[6, 12, 12, 18, 18, 24],
            &[6, 12, 18, 22, 24],
            &[4, 8],
            &[20],
        ] {
            assert_eq!(increases(toe).toe(toe[toe.len() - 1]), toe);
        }
    }

    #[test]
    fn steps_are_those_of_the_proven_toe_and_the_rest_comes_last() {
        // Worked out by hand.
        let six = increases(&[6, 12, 18, 22]);
        assert_eq!(six.toe(24), [6, 12, 18, 24]);
        assert_eq!(six.toe(25), [6, 12, 18, 24, 25]);
        assert_eq!(six.toe(28), [6, 12, 18, 24, 28]);
        assert_eq!(six.toe(17), [6, 12, 17]);
        assert_eq!(six.toe(6), [6]);
        assert_eq!(six.toe(5), [5]);
        let tapered = increases(&[6, 12, 18, 21, 24]);
        assert_eq!(tapered.toe(30), [6, 12, 18, 24, 27, 30]);
        assert_eq!(tapered.toe(27), [6, 12, 18, 23, 27]);
        let resting = increases(&[6, 12, 12, 18]);
        assert_eq!(resting.toe(30), [6, 12, 12, 18, 24, 24, 30]);
        let even_end = increases(&[6, 12, 18, 18]);
        assert_eq!(even_end.toe(24), [6, 12, 18, 24]);
    }

    #[test]
    fn no_round_grows_by_more_than_lies_flat() {
        // 2 pi and a fifth more are 7.5.
        let steep = increases(&[8, 16, 26]);
        assert_eq!(steep.held_back(), Some(7));
        assert_eq!(steep.toe(26), [8, 15, 22, 26]);
        assert_eq!(increases(&[6, 12]).held_back(), None);
    }

    #[test]
    fn a_toe_that_shrinks_is_refused() {
        let refused = Increases::of(&[6, 12, 10], SQUARE);
        assert_eq!(refused, Err(Shrinks(3)));
    }
}
