//! Where the number of each strand stands: on its own bar, clear of other numbers, marks
//! and later bars; else beside the work with a line that leads to it.

use kurbo::{Line, ParamCurve, ParamCurveNearest, Point, Rect, Vec2};

use super::Font;
use super::text::FIGURE_HEIGHT;

/// A strand on the sheet, mm.
#[derive(Debug, Clone)]
pub struct Bar {
    /// Its number, with the letter of its thread where there are several.
    pub label: String,
    /// From where the needle comes up to where it goes down.
    pub line: Line,
    /// Its width.
    pub width: f64,
    /// Has no room for a number: a knot.
    pub hidden: bool,
}

/// Where a number stands on the sheet, mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Number {
    /// Its middle.
    pub at: Point,
    /// Turned by this, clockwise as seen on the page, so that it runs along its bar.
    pub turn_deg: f64,
    /// For a number beside the work: the place on the bar it belongs to.
    pub leads_to: Option<Point>,
}

/// Highest figures of a number beside the work, mm: many stand close there.
const BESIDE_MM: f64 = 1.9;

/// Height of the label round a number beside the work, for figures 1 high.
const LABEL: f64 = 1.7;

/// Places tried along a bar.
const TRIES: usize = 13;

/// From here on a place on the bar is worse than one beside the work: more than a fifth of a mm
/// of a number under another number or over a later bar. Tried in pictures: with half of it
/// numbers leave their bars for nothing, with twice as much they touch.
const TOO_CROWDED: f64 = 4.0;

/// Size of lettering whose figures are `height` mm high.
#[must_use]
pub fn size_mm(height: f64) -> f64 {
    height / FIGURE_HEIGHT
}

/// Places the numbers of all bars; later bars lie on top. `marks` are places to keep clear with
/// their radii, `height` is the height of the figures, mm, and `room` is what is seen of the
/// sheet. The answer is in the order of the bars.
#[must_use]
pub fn place(bars: &[Bar], marks: &[(Point, f64)], height: f64, room: Rect) -> Vec<Number> {
    let mut shortest_first: Vec<usize> = (0..bars.len()).collect();
    shortest_first.sort_by(|&a, &b| {
        let (first, second) = (bars[a].line.length(), bars[b].line.length());
        first.total_cmp(&second).then(a.cmp(&b))
    });
    let half = |bar: &Bar| Font::Sans.width_mm(&bar.label, size_mm(1.0)) / 2.0;
    let mut table = Table {
        bars,
        halves: bars.iter().map(half).collect(),
        marks,
        height,
        room,
        taken: Vec::new(),
    };
    let mut numbers: Vec<Option<Number>> = vec![None; bars.len()];
    for index in shortest_first {
        let number = table.number(index);
        let radius = number.radius(height);
        let discs = table.discs(index, &number);
        table
            .taken
            .extend(discs.into_iter().map(|disc| (disc, radius)));
        numbers[index] = Some(number);
    }
    numbers.into_iter().flatten().collect()
}

struct Table<'a> {
    bars: &'a [Bar],
    /// Half the length of each number, for figures 1 high.
    halves: Vec<f64>,
    marks: &'a [(Point, f64)],
    height: f64,
    room: Rect,
    /// Numbers placed so far, as discs with their radii.
    taken: Vec<(Point, f64)>,
}

/// What a number can run into as long as it stays near.
struct Near<'a> {
    /// Bars, in their order, with their indices.
    bars: Vec<(usize, &'a Bar)>,
    /// Marks, as discs with their radii.
    marks: Vec<(Point, f64)>,
    /// Numbers placed so far.
    taken: Vec<(Point, f64)>,
}

impl Number {
    /// Height of its figures, where those on the bars are so high, mm.
    #[must_use]
    pub fn height(&self, on_bars: f64) -> f64 {
        match self.leads_to {
            None => on_bars,
            Some(_) => on_bars.min(BESIDE_MM),
        }
    }

    /// Half the height of what it covers: of its figures, or of its label beside the work.
    #[must_use]
    pub fn radius(&self, on_bars: f64) -> f64 {
        let half = self.height(on_bars) / 2.0;
        match self.leads_to {
            None => half,
            Some(_) => LABEL * half,
        }
    }
}

/// Rings of places tried beside the work.
const RINGS: u32 = 24;

impl Table<'_> {
    fn number(&self, index: usize) -> Number {
        let line = self.bars[index].line;
        let near = self.near(index, line.midpoint(), line.length() / 2.0);
        self.on_bar(index, &near).unwrap_or_else(|| {
            let leads_to = self.clearest(index);
            let near = self.near(index, leads_to, self.reach(RINGS));
            self.beside(index, leads_to, &near)
        })
    }

    /// How far a ring of places beside the work is from what the number leads to, mm.
    fn reach(&self, ring: u32) -> f64 {
        self.height * (1.0 + 0.5 * f64::from(ring))
    }

    /// What the number of a bar can run into with its middle no farther than `reach` from a place.
    fn near(&self, index: usize, place: Point, reach: f64) -> Near<'_> {
        // The discs of a number are no larger than its figures are high, and a gap is kept.
        let reach = reach + (self.halves[index] + 2.0) * self.height;
        let touched = |discs: &[(Point, f64)]| {
            let discs = discs.iter().copied();
            let touched = discs.filter(|&(at, size)| at.distance(place) < reach + size);
            touched.collect()
        };
        let bars = self.bars.iter().enumerate();
        Near {
            bars: bars
                .filter(|(_, bar)| distance(bar.line, place) < reach + bar.width / 2.0)
                .collect(),
            marks: touched(self.marks),
            taken: touched(&self.taken),
        }
    }

    /// The best place on the bar itself, if it is good enough.
    fn on_bar(&self, index: usize, near: &Near<'_>) -> Option<Number> {
        let bar = &self.bars[index];
        if bar.hidden {
            return None;
        }
        let along = bar.line.p1 - bar.line.p0;
        let turn_deg = readable(along);
        (0..TRIES)
            .map(|step| {
                // The middle first, then by turns to both sides.
                let off =
                    step.div_ceil(2) as f64 / TRIES as f64 * if step % 2 == 0 { 1.0 } else { -1.0 };
                let number = Number {
                    at: bar.line.eval(0.5 + 0.8 * off),
                    turn_deg,
                    leads_to: None,
                };
                (self.crowding(index, &number, near) + off.abs(), number)
            })
            .min_by(|a, b| a.0.total_cmp(&b.0))
            .filter(|&(crowding, _)| crowding < TOO_CROWDED)
            .map(|(_, number)| number)
    }

    /// The nearest clear place beside the work.
    fn beside(&self, index: usize, leads_to: Point, near: &Near<'_>) -> Number {
        let mut least = f64::INFINITY;
        let mut best = Number {
            at: leads_to,
            turn_deg: 0.0,
            leads_to: None,
        };
        for reach in (1..=RINGS).map(|ring| self.reach(ring)) {
            // Farther out even a clear place is worse.
            if reach >= least {
                break;
            }
            for step in 0..24_u32 {
                let angle = f64::from(step) * std::f64::consts::TAU / 24.0;
                let number = Number {
                    at: leads_to + reach * Vec2::from_angle(angle),
                    turn_deg: 0.0,
                    leads_to: Some(leads_to),
                };
                let crowding = self.crowding_beside(index, &number, near, least - reach);
                if crowding + reach < least {
                    (least, best) = (crowding + reach, number);
                }
            }
        }
        best
    }

    /// The place of a bar that lies freest of later bars.
    fn clearest(&self, index: usize) -> Point {
        let line = self.bars[index].line;
        let freedom = |share: f64| {
            let at = line.eval(share);
            let nearest = self.bars[index + 1..]
                .iter()
                .map(|later| distance(later.line, at) - later.width / 2.0)
                .fold(f64::INFINITY, f64::min);
            nearest.min(1.0) - (share - 0.5).abs() / 10.0
        };
        let shares = (1..10).map(|tenth| f64::from(tenth) / 10.0);
        let best = shares.max_by(|&a, &b| freedom(a).total_cmp(&freedom(b)));
        line.eval(best.unwrap_or(0.5))
    }

    /// How badly a number on its bar runs into others: 20 for each mm.
    fn crowding(&self, index: usize, number: &Number, near: &Near<'_>) -> f64 {
        let bar = &self.bars[index];
        let radius = self.height / 2.0;
        let discs = self.discs(index, number);
        // The bar is as thick as the figures are high, so a disc off its line hangs over an end.
        let over_ends: f64 = discs.iter().map(|&disc| distance(bar.line, disc)).sum();
        let later: f64 = near
            .bars
            .iter()
            .filter(|&&(at, _)| at > index)
            .map(|(_, other)| {
                let into =
                    |disc: &Point| other.width / 2.0 + 0.85 * radius - distance(other.line, *disc);
                discs.iter().map(into).fold(0.0, f64::max)
            })
            .sum();
        20.0 * (later + over_ends + self.touching(&discs, radius, near))
    }

    /// The same for a number beside the work, twice and four times as much where it touches a
    /// number and leaves the room; not all of it once it comes to `most`.
    fn crowding_beside(&self, index: usize, number: &Number, near: &Near<'_>, most: f64) -> f64 {
        let radius = number.radius(self.height);
        let discs = self.discs(index, number);
        let outside = self.outside(&discs, radius);
        let beside = 2.0 * self.touching(&discs, radius, near) + 4.0 * outside;
        let mut bars = 0.0;
        for (_, bar) in &near.bars {
            if 20.0 * (bars + beside) >= most {
                break;
            }
            let into = |disc: &Point| bar.width / 2.0 + radius - distance(bar.line, *disc);
            bars += discs.iter().map(into).fold(0.0, f64::max);
        }
        20.0 * (bars + beside)
    }

    /// How far discs reach out of the room, mm.
    fn outside(&self, discs: &[Point], radius: f64) -> f64 {
        let inner = self.room.inset(-radius);
        let off = |disc: &Point| {
            let across = (inner.x0 - disc.x).max(disc.x - inner.x1).max(0.0);
            let down = (inner.y0 - disc.y).max(disc.y - inner.y1).max(0.0);
            across.max(down)
        };
        discs.iter().map(off).fold(0.0, f64::max)
    }

    /// Overlap of discs with numbers already placed and with marks, mm.
    fn touching(&self, discs: &[Point], radius: f64, near: &Near<'_>) -> f64 {
        let gap = 0.15 * self.height;
        discs
            .iter()
            .map(|&disc| {
                let numbers = near.taken.iter();
                let numbers =
                    numbers.map(|&(other, size)| radius + size + gap - disc.distance(other));
                let marks = near.marks.iter();
                let marks = marks.map(|&(mark, size)| 0.9 * radius + size - disc.distance(mark));
                numbers.chain(marks).fold(0.0, f64::max)
            })
            .sum()
    }

    /// The number of a bar as discs along its line.
    fn discs(&self, index: usize, number: &Number) -> [Point; 3] {
        let height = number.height(self.height);
        let along = Vec2::from_angle(number.turn_deg.to_radians());
        let reach = (self.halves[index] * height - height / 2.0).max(0.0);
        [-reach, 0.0, reach].map(|off| number.at + off * along)
    }
}

fn distance(line: Line, at: Point) -> f64 {
    line.nearest(at, 1e-6).distance_sq.sqrt()
}

/// Turn of a line in degrees, clockwise as seen on the page, such that figures along it can be
/// read: above -105 up to 75, so that steep bars, whichever way they lean, all read upward.
fn readable(along: Vec2) -> f64 {
    let turn = along.atan2().to_degrees();
    if turn > 75.0 {
        turn - 180.0
    } else if turn <= -105.0 {
        turn + 180.0
    } else {
        turn
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const ROOM: Rect = Rect::new(-100.0, -100.0, 200.0, 200.0);

    fn bar(order: usize, from: (f64, f64), to: (f64, f64)) -> Bar {
        Bar {
            label: order.to_string(),
            line: Line::new(from, to),
            width: 4.0,
            hidden: false,
        }
    }

    #[test]
    fn a_lone_bar_carries_its_number_in_its_middle() {
        let placed = place(&[bar(7, (0.0, 0.0), (20.0, 0.0))], &[], 1.6, ROOM);
        assert_eq!(placed[0].at, Point::new(10.0, 0.0));
        assert_eq!(placed[0].leads_to, None);
    }

    #[test]
    fn a_bar_under_a_later_one_has_its_number_beside_the_work() {
        let bars = [
            bar(1, (0.0, 0.0), (20.0, 0.0)),
            bar(2, (0.0, 0.5), (20.0, 0.5)),
        ];
        let placed = place(&bars, &[], 1.6, ROOM);
        assert!(placed[0].leads_to.is_some());
        assert!(placed[1].leads_to.is_none());
        assert!(
            bars.iter()
                .all(|b| distance(b.line, placed[0].at) > 2.0 + 0.8)
        );
    }

    #[test]
    fn numbers_of_crowded_bars_keep_apart() {
        let bars: Vec<Bar> = (0..12)
            .map(|i| bar(i + 90, (3.0 * i as f64, 0.0), (3.0 * i as f64, 12.0)))
            .collect();
        let placed = place(&bars, &[], 1.6, ROOM);
        for (index, one) in placed.iter().enumerate() {
            for other in &placed[index + 1..] {
                assert!(one.at.distance(other.at) >= 1.6, "{one:?} {other:?}");
            }
        }
    }

    #[test]
    fn numbers_beside_the_work_keep_apart_and_within_what_is_seen() {
        // Ten bars below one that hides them, near the right end of what is seen.
        let mut bars: Vec<Bar> = (0..10)
            .map(|i| bar(i + 90, (0.0, 0.2 * i as f64), (12.0, 0.2 * i as f64)))
            .collect();
        bars.push(Bar {
            width: 14.0,
            ..bar(100, (0.0, 1.0), (12.0, 1.0))
        });
        let room = Rect::new(-30.0, -30.0, 20.0, 30.0);
        let placed = place(&bars, &[], 1.6, room);
        let beside: Vec<&Number> = placed.iter().filter(|n| n.leads_to.is_some()).collect();
        assert_eq!(beside.len(), 10);
        for (index, one) in beside.iter().enumerate() {
            assert!(room.contains(one.at), "{one:?}");
            for other in &beside[index + 1..] {
                let apart = one.at.distance(other.at);
                assert!(apart >= 2.0 * one.radius(1.6), "{one:?} {other:?}");
            }
        }
    }

    #[test]
    fn steep_numbers_all_read_upward() {
        for lean in [-10.0_f64, 0.0, 10.0] {
            for way in [1.0, -1.0] {
                let along = way * Vec2::from_angle((90.0 + lean).to_radians());
                let turn = readable(along);
                assert!((-105.0..=-75.0).contains(&turn), "{turn}");
            }
        }
    }
}
