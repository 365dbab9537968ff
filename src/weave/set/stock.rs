//! How much yarn a set takes, and how many balls that are.

use std::collections::BTreeMap;

/// A yarn as it is bought: one strand of it.
#[derive(Debug, Clone, PartialEq)]
pub struct Skein {
    /// Thread role it is for.
    pub thread: String,
    /// Red, green, blue.
    pub colour: [u8; 3],
    /// Wraps per inch.
    pub wraps_per_inch: f64,
    /// Metres in 100 g.
    pub metres_per_100g: f64,
    /// Weight of a ball, g.
    pub ball_g: f64,
}

/// What one piece takes of a yarn.
#[derive(Debug, Clone, PartialEq)]
pub struct Taken {
    /// The yarn.
    pub skein: Skein,
    /// Length of one face, tails included, mm of what is held in the needle.
    pub length_mm: f64,
    /// Strands of it held together.
    pub held: u32,
    /// Faces made of it: two for each pair that wears it on both feet.
    pub faces: u32,
}

/// A yarn to buy.
#[derive(Debug, Clone, PartialEq)]
pub struct Bought {
    /// The yarn.
    pub skein: Skein,
    /// Faces it is for.
    pub faces: u32,
    /// Yarn of all faces as planned, single strand, m.
    pub planned_m: f64,
    /// The same with the margin, m.
    pub metres: f64,
    /// Its weight, g.
    pub grams: f64,
    /// Whole balls.
    pub balls: u32,
}

/// What to buy for all faces, one line for each yarn: the same role in another colour, width or
/// length to the weight is another yarn. In the order of the roles, then the thickest first.
/// `margin` is the share on top.
///
/// metres = (1 + margin) sum of length * held * faces; grams = 100 metres / metres in 100 g;
/// balls are rounded up.
#[must_use]
pub fn buy(taken: &[Taken], margin: f64) -> Vec<Bought> {
    let mut lines: BTreeMap<(&str, u64, u64, [u8; 3], u64), Bought> = BTreeMap::new();
    for each in taken.iter().filter(|taken| taken.faces > 0) {
        let skein = &each.skein;
        // Positive numbers are in the order of their bits.
        let bits = f64::to_bits;
        let key = (
            skein.thread.as_str(),
            bits(skein.wraps_per_inch),
            bits(skein.metres_per_100g),
            skein.colour,
            bits(skein.ball_g),
        );
        let line = lines.entry(key).or_insert_with(|| Bought {
            skein: skein.clone(),
            faces: 0,
            planned_m: 0.0,
            metres: 0.0,
            grams: 0.0,
            balls: 0,
        });
        line.faces += each.faces;
        line.planned_m += each.length_mm * f64::from(each.held) * f64::from(each.faces) / MM_PER_M;
    }
    let mut bought: Vec<Bought> = lines.into_values().collect();
    for line in &mut bought {
        line.metres = line.planned_m * (1.0 + margin);
        line.grams = 100.0 * line.metres / line.skein.metres_per_100g;
        line.balls = balls(line.grams, line.skein.ball_g);
    }
    bought
}

const MM_PER_M: f64 = 1000.0;

/// Whole balls of a weight that hold so many grams; what rounding adds is no other ball.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a count, not negative; a cast of more saturates"
)]
fn balls(grams: f64, ball_g: f64) -> u32 {
    (grams / ball_g - 1e-9).ceil().max(1.0) as u32
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;

    #[test]
    fn yarn_is_bought_for_all_pairs_with_a_margin_and_in_whole_balls() {
        // Worked out: 4 faces of 3 m held double and 2 of 5 m are 24 + 10 = 34 m; a quarter more
        // is 42.5 m; 100 m in 100 g: 42.5 g, five balls of 10 g.
        let skein = Skein {
            thread: "dark".into(),
            colour: [0; 3],
            wraps_per_inch: 9.0,
            metres_per_100g: 100.0,
            ball_g: 10.0,
        };
        let taken = |length_mm, held, faces| Taken {
            skein: skein.clone(),
            length_mm,
            held,
            faces,
        };
        let mut all = vec![taken(3000.0, 2, 4), taken(5000.0, 1, 2)];
        let mut other = taken(1000.0, 1, 2);
        other.skein.colour = [255; 3];
        all.push(other);
        let bought = buy(&all, 0.25);
        assert_eq!(bought.len(), 2);
        assert_abs_diff_eq!(bought[0].planned_m, 34.0, epsilon = 1e-9);
        assert_abs_diff_eq!(bought[0].metres, 42.5, epsilon = 1e-9);
        assert_abs_diff_eq!(bought[0].grams, 42.5, epsilon = 1e-9);
        assert_eq!((bought[0].balls, bought[0].faces), (5, 6));
        assert_eq!((bought[1].balls, bought[1].faces), (1, 2));
        // Exactly one ball is one ball.
        assert_eq!(balls(50.0, 50.0), 1);
        assert_eq!(balls(0.1 + 0.2, 0.3), 1);
        assert_eq!(balls(50.01, 50.0), 2);
    }
}
