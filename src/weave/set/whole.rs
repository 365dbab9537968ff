//! A set as a whole: which faces look alike, which fail, from which slipper on each reads, what
//! stands out.

use rayon::prelude::*;

use super::steady::{Group, MATCH_FLOOR, YARN_FLOOR, outliers, reads};
use super::{Apart, Drawing, Sewn, apart};
use crate::units::Ruler;
use crate::weave::Level;

/// A slipper of the set.
#[derive(Debug, Clone, PartialEq)]
pub struct Shoe {
    /// What it is called.
    pub name: String,
    /// Circumference as worn, mm.
    pub around_mm: f64,
}

/// A face of the set.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Look {
    /// What it is called, its mood included.
    pub name: String,
    /// Only the mirror image of another for the other foot: not compared with the others.
    pub is_mirror: bool,
}

/// A piece that was made.
#[derive(Debug, Clone, Copy)]
pub struct Made<'a> {
    /// Which slipper, 0 the first.
    pub shoe: usize,
    /// Which face, 0 the first.
    pub look: usize,
    /// Its plan.
    pub sewn: &'a Sewn,
}

/// Two faces on a slipper.
#[derive(Debug, Clone, PartialEq)]
pub struct Pair {
    /// Which slipper.
    pub shoe: usize,
    /// Which faces, the first of the set first.
    pub looks: [usize; 2],
    /// How far they differ.
    pub apart: Apart,
}

/// Something to beware of in the set.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SetFinding {
    /// Problem or advice.
    pub level: Level,
    /// Short name, stable, for programs: `look-alike`.
    pub code: &'static str,
    /// The slipper it is about, if it is about one.
    pub shoe: Option<usize>,
    /// The faces it is about.
    pub looks: Vec<usize>,
    /// What was found, and what to change.
    pub text: String,
}

/// The set looked at as a whole.
#[derive(Debug, Clone, PartialEq)]
pub struct Whole {
    /// Every two faces on every slipper.
    pub pairs: Vec<Pair>,
    /// The smallest slipper on which each face reads.
    pub reads_from: Vec<Option<usize>>,
    /// What to beware of, problems first.
    pub findings: Vec<SetFinding>,
}

/// Looks at a set.
#[must_use]
pub fn whole(shoes: &[Shoe], looks: &[Look], made: &[Made<'_>], ruler: Ruler) -> Whole {
    let set = Set {
        shoes,
        looks,
        made,
        ruler,
    };
    let pairs = set.pairs();
    let reads_from: Vec<Option<usize>> = (0..looks.len()).map(|at| set.reads_from(at)).collect();
    let mut findings = set.fails();
    findings.extend(pairs.iter().filter_map(|pair| set.look_alike(pair)));
    findings.extend((0..looks.len()).filter_map(|at| set.too_small(at, reads_from[at])));
    findings.extend((0..shoes.len()).flat_map(|shoe| set.stand_out(shoe)));
    findings.sort_by_key(|finding| finding.level);
    Whole {
        pairs,
        reads_from,
        findings,
    }
}

struct Set<'a> {
    shoes: &'a [Shoe],
    looks: &'a [Look],
    made: &'a [Made<'a>],
    ruler: Ruler,
}

impl Set<'_> {
    fn on(&self, shoe: usize) -> Vec<Made<'_>> {
        let made = self.made.iter().copied();
        made.filter(|made| made.shoe == shoe).collect()
    }

    fn name(&self, look: usize) -> &str {
        &self.looks[look].name
    }

    fn pairs(&self) -> Vec<Pair> {
        let of_shoe = |shoe: usize| -> Vec<Pair> {
            let mut made = self.on(shoe);
            made.retain(|made| !self.looks[made.look].is_mirror);
            let drawings = Drawing::all(&made.iter().map(|made| made.sewn).collect::<Vec<_>>());
            let two: Vec<[usize; 2]> = (0..made.len())
                .flat_map(|a| (a + 1..made.len()).map(move |b| [a, b]))
                .collect();
            two.into_par_iter()
                .map(|two| Pair {
                    shoe,
                    looks: two.map(|at| made[at].look),
                    apart: apart(&drawings[two[0]], &drawings[two[1]]),
                })
                .collect()
        };
        let shoes: Vec<Vec<Pair>> = (0..self.shoes.len()).into_par_iter().map(of_shoe).collect();
        shoes.concat()
    }

    /// Pieces whose own plan holds a problem.
    fn fails(&self) -> Vec<SetFinding> {
        let fails = |made: &Made<'_>| {
            let texts: Vec<&str> = made.sewn.problems().map(|f| f.text.as_str()).collect();
            (!texts.is_empty()).then(|| SetFinding {
                level: Level::Problem,
                code: "fails",
                shoe: Some(made.shoe),
                looks: vec![made.look],
                text: format!(
                    "{} fails on {}: {}",
                    self.name(made.look),
                    self.shoes[made.shoe].name,
                    texts.join(" ")
                ),
            })
        };
        self.made.iter().filter_map(fails).collect()
    }

    /// Two faces that a person would not tell from each other.
    fn look_alike(&self, pair: &Pair) -> Option<SetFinding> {
        if !pair.apart.looks_alike() {
            return None;
        }
        let [a, b] = pair.looks.map(|look| self.name(look));
        let change = match pair.apart.enlarge.as_slice() {
            [] => "They are drawn alike too: draw them farther apart.".to_owned(),
            features => format!(
                "Drawn, {:.0} % differs: enlarge {}, or draw it farther apart.",
                100.0 * pair.apart.drawn,
                features.join(", ")
            ),
        };
        Some(SetFinding {
            level: Level::Problem,
            code: "look-alike",
            shoe: Some(pair.shoe),
            looks: pair.looks.to_vec(),
            text: format!(
                "{a} and {b} look alike on {}: {:.0} % of the yarn seen differs. {change}",
                self.shoes[pair.shoe].name,
                100.0 * pair.apart.sewn
            ),
        })
    }

    fn reads_from(&self, look: usize) -> Option<usize> {
        let own = self.made.iter().filter(|made| made.look == look);
        own.filter(|made| reads(made.sewn))
            .map(|made| made.shoe)
            .min_by(|&a, &b| {
                let around = |shoe: usize| self.shoes[shoe].around_mm;
                around(a).total_cmp(&around(b))
            })
    }

    /// A face that does not read on every slipper.
    fn too_small(&self, look: usize, from: Option<usize>) -> Option<SetFinding> {
        let own = self.made.iter().filter(|made| made.look == look);
        let not: Vec<&str> = own
            .filter(|made| !reads(made.sewn))
            .map(|made| self.shoes[made.shoe].name.as_str())
            .collect();
        if not.is_empty() {
            return None;
        }
        let found = match from {
            None => "reads on none of the slippers".to_owned(),
            Some(shoe) => format!(
                "reads from {} on, {} around; not on {}",
                self.shoes[shoe].name,
                self.ruler.tape(self.shoes[shoe].around_mm),
                not.join(", ")
            ),
        };
        Some(SetFinding {
            level: Level::Advice,
            code: "reads-from",
            shoe: from,
            looks: vec![look],
            text: format!(
                "{} {found}: there a shape is covered by less than {:.0} %, or its plan holds a \
                 problem. Make the face wider, or leave out detail.",
                self.name(look),
                100.0 * super::READS
            ),
        })
    }

    /// Pieces that are not like the others on their slipper.
    fn stand_out(&self, shoe: usize) -> Vec<SetFinding> {
        let made = self.on(shoe);
        let figures = |of: fn(&Sewn) -> f64| made.iter().map(|m| of(m.sewn)).collect::<Vec<_>>();
        let finding = |code, at: usize, text| SetFinding {
            level: Level::Advice,
            code,
            shoe: Some(shoe),
            looks: vec![made[at].look],
            text,
        };
        let piece =
            |at: usize| format!("{} on {}", self.name(made[at].look), self.shoes[shoe].name);
        let matches = figures(Sewn::match_share);
        let low = |&(at, group): &(usize, Group)| matches[at] < group.median;
        let poor = outliers(&matches, |_| MATCH_FLOOR);
        let poor = poor.into_iter().filter(low).map(|(at, group)| {
            let text = format!(
                "{} matches its shapes by {:.0} %, the faces of this slipper by {:.0} % (median, \
                 {:.0} allowed either way): see its chart for what stays bare.",
                piece(at),
                100.0 * matches[at],
                100.0 * group.median,
                100.0 * group.allowed
            );
            finding("match-stands-out", at, text)
        });
        let yarns = figures(Sewn::yarn_share);
        let dear = outliers(&yarns, |median| YARN_FLOOR * median);
        let dear = dear.into_iter().map(|(at, group)| {
            let text = format!(
                "{} takes {:.1} times the yarn that is seen, the faces of this slipper {:.1} times \
                 (median, {:.1} allowed either way): {}.",
                piece(at),
                yarns[at],
                group.median,
                group.allowed,
                if yarns[at] > group.median {
                    "many short strands or new starts; larger shapes take less"
                } else {
                    "large shapes; nothing to mend"
                }
            );
            finding("yarn-stands-out", at, text)
        });
        poor.chain(dear).collect()
    }
}
