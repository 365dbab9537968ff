//! Every two strands of a filling weighed against every other two.

use super::Filling;

impl Filling<'_> {
    /// Replaces any two strands by the best two, and by whatever wins after them, again and again
    /// until no two can be bettered. Exhaustive but for a bound: for few candidates.
    pub(in crate::weave) fn exchange_pairs(&mut self) {
        loop {
            let before = self.score;
            let sewn = self.chosen();
            for (i, &a) in sewn.iter().enumerate() {
                for &b in &sewn[i..] {
                    if self.is_sewn[a as usize] && self.is_sewn[b as usize] {
                        self.exchange_pair(a, b);
                    }
                }
            }
            if self.score == before {
                return;
            }
        }
    }

    fn exchange_pair(&mut self, a: u32, b: u32) {
        let (old_score, old) = (self.score, self.sewn.clone());
        for strand in if a == b { vec![a] } else { vec![a, b] } {
            self.score += self.canvas.loss(&self.problem.strands[strand as usize]);
            self.unpick(strand);
        }
        if let Some(pair) = self.best_pair() {
            self.sew_all(&pair);
        }
        self.grow();
        if self.score <= old_score {
            self.restore(&old, old_score);
        }
    }

    /// The two strands that win most together.
    fn best_pair(&mut self) -> Option<[u32; 2]> {
        let problem = self.problem;
        let mut gains: Vec<(i64, u32)> = (0..self.count())
            .filter(|&s| !self.is_sewn[s as usize] && self.fits(s))
            .map(|s| (self.canvas.gain(&problem.strands[s as usize]), s))
            .filter(|&(gain, _)| gain > 0)
            .collect();
        gains.sort_by(|x, y| y.0.cmp(&x.0).then(x.1.cmp(&y.1)));
        let mut best = (0, None);
        for (at, &(first_gain, first)) in gains.iter().enumerate() {
            if 2 * first_gain <= best.0 && !problem.kin.twins {
                break;
            }
            self.sew(first);
            for &(second_gain, second) in &gains[at + 1..] {
                // Two strands on one side win at most what each wins alone; on both sides they
                // may also even each other out.
                let even = self.canvas.evening(
                    &problem.strands[first as usize],
                    &problem.strands[second as usize],
                );
                if first_gain + second_gain + even <= best.0 {
                    if problem.kin.twins {
                        continue;
                    }
                    break;
                }
                if self.fits(second) {
                    let both = first_gain + self.canvas.gain(&problem.strands[second as usize]);
                    if both > best.0 {
                        best = (both, Some([first, second]));
                    }
                }
            }
            self.unpick(first);
        }
        best.1
    }
}
