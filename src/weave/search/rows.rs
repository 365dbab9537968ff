//! Rows: fillings put together row by row.
//!
//! A row is strands end to end at one level. What is sewn hardly matters two rows on; so of all rows
//! found at all levels the best choice, each so far from the last as it may, is a longest path from
//! row to row. An exchange of strands hardly ever moves half of the rows of a shape at once, and
//! combs put all at the same distance.

use std::cmp::Reverse;
use std::iter;

use rayon::prelude::*;

use super::Filling;
use super::unit::Unit;
use crate::weave::canvas::{self, Strand};
use crate::weave::score::DOUBLED;

/// Distance of the levels at which rows are sought, in widths, and how far from one of these the
/// strands of a row may lie. With two thirds of the latter, worsted fillings are worth 0.02 % less.
const STEP_WIDTHS: f64 = 0.2;
const OFF_WIDTHS: f64 = 0.3;
/// How far the ends of two strands of a row may lie over each other, in widths.
const OVER_WIDTHS: f64 = 0.8;
/// Rows kept of those at a level, each with another last strand, and the share of the best that they
/// are worth.
const AT_A_LEVEL: usize = 4;
const WORTH: f64 = 0.85;
/// How far a row lies from the last one at least, and from where on the two do not touch, in widths.
const NEAR_WIDTHS: f64 = 0.5;
const FAR_WIDTHS: f64 = 1.6;
/// Tenths of what its unevenness costs that a row is taken to lose: some is evened by others.
const UNEVEN_TENTHS: i64 = 7;
/// How far the last rows of two fillings lie apart, in widths, for the two to be unlike.
const UNLIKE_WIDTHS: f64 = 0.2;

/// A strand that may lie in a row, or a couple.
#[derive(Debug)]
struct Part {
    unit: Unit,
    level: f64,
    /// From where to where it reaches along the row, mm.
    from: f64,
    to: f64,
    /// Points won by it alone.
    worth: i64,
}

/// Parts end to end.
#[derive(Debug)]
struct Row {
    parts: Vec<usize>,
    level: f64,
    worth: i64,
    /// Points won by the best rows up to this, and the one before it of these.
    path: (i64, Option<usize>),
}

/// What rows are made of.
struct Rows<'f, 'a> {
    bare: &'f Filling<'a>,
    /// In the order in which they end along the row.
    parts: Vec<Part>,
}

impl<'a> Filling<'a> {
    /// The best fillings of rows on this bare one, at most so many, with unlike last rows, the best
    /// first.
    pub(in crate::weave) fn in_rows(&self, at_most: usize) -> Vec<Self> {
        if at_most == 0 {
            return Vec::new();
        }
        let rows = Rows::new(self);
        let mut all = rows.at_all_levels();
        rows.join(&mut all);
        let mut order: Vec<usize> = (0..all.len()).collect();
        order.sort_by_key(|&row| Reverse(all[row].path.0));
        let unlike = UNLIKE_WIDTHS * self.problem.width;
        let mut last: Vec<usize> = Vec::new();
        for row in order {
            if last.len() == at_most {
                break;
            }
            let mut others = last.iter().map(|&other| all[other].level);
            if others.all(|level| (level - all[row].level).abs() >= unlike) {
                last.push(row);
            }
        }
        last.iter().map(|&row| rows.sewn(&all, row)).collect()
    }

    /// Points that strands lose on bare fabric to unevenness, taken together. A couple's own is in
    /// what it is worth.
    fn unevenness(&self, units: impl IntoIterator<Item = Unit>) -> i64 {
        let alone = units.into_iter().filter(|unit| unit.is_alone());
        let covered = alone.map(|unit| self.covered(unit));
        self.canvas.unevenness(covered)
    }
}

impl<'f, 'a> Rows<'f, 'a> {
    fn new(bare: &'f Filling<'a>) -> Self {
        let problem = bare.problem;
        let of_pair = problem.twins && !problem.strands.iter().any(Strand::is_on_both_layers);
        let part = |strand: u32| {
            let unit = match of_pair {
                true => bare.couple(strand)?,
                false => Unit::alone(strand),
            };
            let part = Part::new(bare, unit);
            (part.worth > 0).then_some(part)
        };
        let mut parts: Vec<Part> = (0..bare.count()).into_par_iter().filter_map(part).collect();
        parts.sort_by(|a, b| a.to.total_cmp(&b.to));
        Self { bare, parts }
    }

    /// About what two parts win less together, in points: where one lies on the other, the place is
    /// won once, and covered again.
    fn common(&self, a: usize, b: usize) -> i64 {
        let problem = self.bare.problem;
        let [a, b] = [a, b].map(|part| self.parts[part].unit);
        let lie = |strand: u32| &problem.lies[strand as usize];
        let pairs = a.pairs(b);
        let common_mm2: f64 = pairs
            .map(|(a, b)| lie(a).common(lie(b), problem.width))
            .sum();
        canvas::points((1.0 + DOUBLED) * common_mm2, problem.sample_mm2)
    }

    /// The best rows at all levels, in the order of these, each once.
    fn at_all_levels(&self) -> Vec<Row> {
        let step = STEP_WIDTHS * self.bare.problem.width;
        let all = || self.parts.iter().map(|part| part.level);
        let first = all().fold(f64::INFINITY, f64::min);
        let last = all().fold(f64::NEG_INFINITY, f64::max);
        let levels = (0..).map(|steps| first + step * f64::from(steps));
        let levels: Vec<f64> = levels.take_while(|&level| level < last + step).collect();
        let rows = levels
            .par_iter()
            .flat_map_iter(|&level| self.at_level(level));
        let mut rows: Vec<Row> = rows.collect();
        rows.sort_by(|a, b| a.level.total_cmp(&b.level).then(a.parts.cmp(&b.parts)));
        rows.dedup_by(|a, b| a.parts == b.parts);
        rows
    }

    /// The best rows at one level.
    fn at_level(&self, level: f64) -> Vec<Row> {
        let width = self.bare.problem.width;
        let is_here = |part: &usize| {
            let off = self.parts[*part].level - level;
            off.abs() <= OFF_WIDTHS * width
        };
        // In the order in which they end, and by where they begin.
        let here: Vec<usize> = (0..self.parts.len()).filter(is_here).collect();
        let part = |place: usize| &self.parts[here[place]];
        let mut order: Vec<usize> = (0..here.len()).collect();
        order.sort_by(|&a, &b| part(a).from.total_cmp(&part(b).from));
        // What the best row that ends with each is worth, and the one before it there.
        let mut chains: Vec<(i64, Option<usize>)> = vec![(i64::MIN, None); here.len()];
        // The best that ends so far before that it does not touch.
        let (mut apart, mut best_apart) = (0, (0, None));
        for place in order {
            let from = part(place).from;
            while part(apart).to <= from - width {
                if chains[apart].0 > best_apart.0 {
                    best_apart = (chains[apart].0, Some(apart));
                }
                apart += 1;
            }
            let mut best = best_apart;
            for before in apart..here.len() {
                if part(before).to > from + OVER_WIDTHS * width {
                    break;
                }
                if chains[before].0 > best.0 {
                    let won = chains[before].0 - self.common(here[before], here[place]);
                    if won > best.0 {
                        best = (won, Some(before));
                    }
                }
            }
            chains[place] = (best.0 + part(place).worth, best.1);
        }
        let mut ends: Vec<usize> = (0..here.len()).collect();
        ends.sort_by_key(|&end| Reverse(chains[end].0));
        let best = ends.first().map_or(0, |&end| chains[end].0);
        ends.retain(|&end| chains[end].0 as f64 > WORTH * best as f64);
        ends.truncate(AT_A_LEVEL);
        let row = |end: usize| {
            let row = iter::successors(Some(end), |&place| chains[place].1);
            self.row(row.map(|place| here[place]).collect(), chains[end].0)
        };
        ends.into_iter().map(row).collect()
    }

    /// Parts as a row, worth so much but for its unevenness.
    fn row(&self, parts: Vec<usize>, worth: i64) -> Row {
        let each = || parts.iter().map(|&part| &self.parts[part]);
        let length: f64 = each().map(|part| part.to - part.from).sum();
        let level: f64 = each().map(|part| part.level * (part.to - part.from)).sum();
        let uneven = self.bare.unevenness(each().map(|part| part.unit));
        Row {
            level: level / length,
            worth: worth - UNEVEN_TENTHS * uneven / 10,
            path: (0, None),
            parts,
        }
    }

    /// Finds the best rows that may come before each; they lie in the order of their levels.
    fn join(&self, rows: &mut [Row]) {
        let width = self.bare.problem.width;
        // The best path that ends so far before that it does not touch.
        let (mut apart, mut best_apart) = (0, (0, None));
        for at in 0..rows.len() {
            let level = rows[at].level;
            while rows[apart].level < level - FAR_WIDTHS * width {
                if rows[apart].path.0 > best_apart.0 {
                    best_apart = (rows[apart].path.0, Some(apart));
                }
                apart += 1;
            }
            let mut best = best_apart;
            for before in apart..at {
                if rows[before].level > level - NEAR_WIDTHS * width {
                    break;
                }
                let won = self.won_beside(&rows[before], &rows[at], best.0);
                if won > best.0 {
                    best = (won, Some(before));
                }
            }
            rows[at].path = (best.0 + rows[at].worth, best.1);
        }
    }

    /// What the rows up to one are worth, less what the next one wins less beside it; no more than
    /// `least` where it is not that much.
    fn won_beside(&self, row: &Row, next: &Row, least: i64) -> i64 {
        let mut won = row.path.0;
        for &a in &row.parts {
            for &b in &next.parts {
                if won <= least {
                    return won;
                }
                let [one, other] = [a, b].map(|part| &self.parts[part]);
                if one.from < other.to && other.from < one.to {
                    won -= self.common(a, b);
                }
            }
        }
        won
    }

    /// The rows up to one, sewn.
    fn sewn(&self, rows: &[Row], last: usize) -> Filling<'a> {
        let mut filling = self.bare.clone();
        for row in iter::successors(Some(last), |&row| rows[row].path.1) {
            for &part in &rows[row].parts {
                for strand in self.parts[part].unit.strands() {
                    filling.sew_with_room(strand);
                }
            }
        }
        filling
    }
}

impl Part {
    /// A unit on bare fabric. The left half of a centred shape lies before the right one, and what
    /// strands there lose to unevenness is told of whole rows.
    fn new(bare: &Filling<'_>, unit: Unit) -> Self {
        let strand = unit.strand;
        let lie = bare.lie(strand);
        let (from, to) = lie.reaches();
        let is_left = unit.is_alone() && lie.layer() == 1;
        Self {
            unit,
            level: bare.problem.levels[strand as usize],
            from: if is_left { -to } else { from },
            to: if is_left { -from } else { to },
            worth: bare.unit_gain(unit) + bare.unevenness([unit]),
        }
    }
}

#[cfg(test)]
mod tests {
    use kurbo::Point;

    use super::super::Problem;
    use super::*;
    use crate::weave::candidate::Cell;
    use crate::weave::canvas::Canvas;

    /// Strands 4 mm wide, from `from` to `to` along at a level; a tile is a millimetre square.
    fn problem(strands: &[(u32, u32, u32)]) -> Problem {
        let lying = |(number, &(level, from, to)): (u32, &(u32, u32, u32))| {
            let place = |along: u32| Point::new(f64::from(along), -f64::from(level));
            let tiles = (level..level + 4).flat_map(|row| (from..to).map(move |at| (row, at)));
            let mut cells: Vec<Cell> = tiles
                .map(|(row, at)| Cell {
                    tile: 2 * (COLUMNS * row + at),
                    bits: u64::MAX,
                })
                .collect();
            cells.sort_by_key(|cell| cell.tile);
            let inside = 64 * cells.len();
            let strand = Strand::new(cells, 8.0, 1.0 / 64.0, inside as i64, false);
            let ends = [2 * number, 2 * number + 1];
            (ends, [place(from), place(to)], 0, strand)
        };
        Problem::of((0..).zip(strands).map(lying), 4.0, 1.0 / 64.0)
    }

    const COLUMNS: u32 = 24;

    /// The best of all fillings, tried one by one, where one that wins most at once spoils two rows.
    #[test]
    fn the_best_rows_are_the_best_of_all_fillings() {
        let problem = problem(&[
            (0, 0, 20),
            (2, 0, 24),
            (4, 0, 11),
            (4, 11, 20),
            (5, 0, 20),
            (8, 0, 20),
            (9, 4, 20),
        ]);
        let bare = Filling::new(&problem, Canvas::new(&[u64::MAX; 24 * 16], false));
        let count = bare.count();
        let worth = |set: u32| {
            let mut filling = bare.clone();
            let sewn: Vec<u32> = (0..count).filter(|strand| set >> strand & 1 == 1).collect();
            filling.sew_all(&sewn);
            (filling.score, filling.chosen())
        };
        let best = (0..1 << count).map(worth).max().expect("some sets");
        let mut greedy = bare.clone();
        greedy.grow();
        assert!(greedy.score < best.0);
        assert!(bare.in_rows(0).is_empty());
        let rows = bare.in_rows(2);
        assert_eq!(rows.len(), 2);
        assert_eq!((rows[0].score, rows[0].chosen()), best);
        assert!(rows[1].score <= best.0);
    }
}
