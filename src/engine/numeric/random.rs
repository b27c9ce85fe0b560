//! Random numbers that are the same on every machine and for any number of threads.

/// A stream of pseudorandom numbers.
///
/// Source: G. L. Steele, D. Lea, C. H. Flood, Fast splittable pseudorandom number generators,
/// OOPSLA 2014, the function `SplitMix64` (constants from memory; the first outputs are held
/// against a published list).
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Random {
    state: u64,
}

impl Random {
    /// The stream that starts at `seed`.
    #[must_use]
    pub fn new(seed: u64) -> Self {
        Self { state: seed }
    }

    /// The next 64 bits.
    pub fn bits(&mut self) -> u64 {
        self.state = self.state.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.state;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// Uniform in `[0, 1)`, all 53 bits of it.
    pub fn share(&mut self) -> f64 {
        (self.bits() >> 11) as f64 * 2.0_f64.powi(-53)
    }

    /// Standard normal. Source: G. Marsaglia, T. A. Bray, SIAM Review 6 (1964) 260–264, the polar
    /// method (from memory); the second of each pair is dropped.
    pub fn normal(&mut self) -> f64 {
        loop {
            let [u, v] = [0, 1].map(|_| 2.0 * self.share() - 1.0);
            let square = u * u + v * v;
            if square > 0.0 && square < 1.0 {
                return u * (-2.0 * square.ln() / square).sqrt();
            }
        }
    }
}

/// How a size lies between its limits.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Spread {
    /// Anywhere alike.
    Uniform,
    /// Normal about the middle, the limits three standard deviations off, cut there.
    Normal,
}

/// Standard deviations from the middle to a limit.
const CUT: f64 = 3.0;

impl Spread {
    /// Names in a file.
    pub const NAMES: [&'static str; 2] = ["uniform", "normal"];

    /// The distribution called `name`.
    #[must_use]
    pub fn named(name: &str) -> Option<Self> {
        [Self::Uniform, Self::Normal].into_iter().find(|spread| spread.name() == name)
    }

    /// Name in a file.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Uniform => Self::NAMES[0],
            Self::Normal => Self::NAMES[1],
        }
    }

    /// A number between `low` and `high`.
    pub fn draw(self, random: &mut Random, [low, high]: [f64; 2]) -> f64 {
        match self {
            Self::Uniform => low + (high - low) * random.share(),
            Self::Normal => loop {
                let deviations = random.normal();
                if deviations.abs() <= CUT {
                    break 0.5 * (low + high) + 0.5 * (high - low) * deviations / CUT;
                }
            },
        }
    }
}

/// The value below which the share `p` of `sorted` lies, between ranks by straight lines: rank
/// `p (n − 1)` counted from 0. `None` of an empty list.
#[must_use]
pub fn percentile(sorted: &[f64], p: f64) -> Option<f64> {
    let last = sorted.len().checked_sub(1)?;
    let rank = p.clamp(0.0, 1.0) * last as f64;
    // Between 0 and `last`: the cast neither wraps nor loses a sign.
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    let below = (rank.floor() as usize).min(last);
    let above = (below + 1).min(last);
    Some(sorted[below] + (rank - below as f64) * (sorted[above] - sorted[below]))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_first_numbers_are_those_of_the_published_list() {
        // Seed 1234567: the list that several public implementations test against (from memory).
        let mut random = Random::new(1_234_567);
        let first: [u64; 3] = std::array::from_fn(|_| random.bits());
        assert_eq!(
            first,
            [6_457_827_717_110_365_317, 3_203_168_211_198_807_973, 9_817_491_932_198_370_423]
        );
    }

    #[test]
    fn percentiles_lie_between_ranks() {
        let sorted = [1.0, 2.0, 4.0];
        // Rank 0.5 of 0, 1, 2: half way from 1 to 2; the ends are the ends.
        let found = [0.0, 0.25, 0.5, 0.75, 1.0].map(|p| percentile(&sorted, p));
        assert_eq!(found, [1.0, 1.5, 2.0, 3.0, 4.0].map(Some));
        assert_eq!(percentile(&[], 0.5), None);
    }
}
