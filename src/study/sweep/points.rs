//! The cases of a study by number: which value of every axis each has.
//!
//! A grid is counted like digits, the last axis fastest. A Latin hypercube (M. D. McKay, R. J. Beckman,
//! W. J. Conover, Technometrics 21 (1979) 239–245, from memory) cuts every axis into as many parts as
//! there are cases, puts one case into each part, and joins the parts of different axes at random.

use crate::case::study::{Axis, Design, Level, Scalar, Study};
use crate::numeric::random::Random;

/// The cases of a study.
#[derive(Clone, Debug)]
pub struct Points {
    axes: Vec<Axis>,
    count: usize,
    /// For a Latin hypercube: the part of every axis that each case lies in, and where the random places
    /// inside the parts start.
    parts: Option<(Vec<Vec<u32>>, u64)>,
}

impl Points {
    /// Numbers the cases of `study`, whose size its reader has checked.
    #[must_use]
    pub fn new(study: &Study) -> Self {
        let axes = study.axes.clone();
        match study.design {
            Design::Grid => {
                let count = axes.iter().map(|axis| axis.levels.len()).product();
                Self { axes, count, parts: None }
            }
            Design::LatinHypercube { count, seed } => {
                let mut random = Random::new(seed);
                let parts = axes.iter().map(|_| permutation(count, &mut random)).collect();
                Self { axes, count, parts: Some((parts, random.bits())) }
            }
        }
    }

    /// How many there are.
    #[must_use]
    pub fn len(&self) -> usize {
        self.count
    }

    /// Whether there are none.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.count == 0
    }

    /// Whether every combination of values is there.
    #[must_use]
    pub(crate) fn is_grid(&self) -> bool {
        self.parts.is_none()
    }

    /// The axes.
    #[must_use]
    pub fn axes(&self) -> &[Axis] {
        &self.axes
    }

    /// On a grid, the number of the value of every axis in case `index`.
    #[must_use]
    pub fn digits(&self, index: usize) -> Vec<usize> {
        let mut rest = index;
        let mut digits: Vec<usize> = Vec::with_capacity(self.axes.len());
        for axis in self.axes.iter().rev() {
            digits.push(rest % axis.levels.len());
            rest /= axis.levels.len();
        }
        digits.reverse();
        digits
    }

    /// On a grid, the case with these numbers of values.
    #[must_use]
    pub fn index(&self, digits: &[usize]) -> usize {
        let axes = self.axes.iter().zip(digits);
        axes.fold(0, |index, (axis, digit)| index * axis.levels.len() + digit)
    }

    /// The value of every axis in case `index`.
    #[must_use]
    pub fn levels(&self, index: usize) -> Vec<Level> {
        match &self.parts {
            None => {
                let digits = self.digits(index);
                self.axes.iter().zip(digits).map(|(axis, k)| axis.levels[k].clone()).collect()
            }
            Some((parts, seed)) => {
                // Every case draws from a stream of its own, so that it does not depend on others.
                let mut random = Random::new(seed.wrapping_add(index as u64).wrapping_mul(0x9e37));
                let axes = self.axes.iter().zip(parts);
                axes.map(|(axis, parts)| {
                    let place = f64::from(parts[index]) + random.share();
                    level(axis, place / self.count as f64)
                })
                .collect()
            }
        }
    }
}

/// The value of `axis` at `share` of it, 0 to 1.
fn level(axis: &Axis, share: f64) -> Level {
    if let Some(range) = axis.range {
        return Level::One(Scalar::Number(range.at(share)));
    }
    let count = axis.levels.len();
    // A share below 1 of a small number: the cast neither wraps nor loses a sign.
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    let index = (share * count as f64) as usize;
    axis.levels[index.min(count - 1)].clone()
}

/// The numbers 0 to `count` − 1 in random order (R. Durstenfeld, Comm. ACM 7 (1964) 420, from memory).
fn permutation(count: usize, random: &mut Random) -> Vec<u32> {
    let mut numbers: Vec<u32> = (0..u32::try_from(count).unwrap_or(u32::MAX)).collect();
    for end in (1..numbers.len()).rev() {
        // Up to `end`: the cast neither wraps nor loses a sign.
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
        let other = (random.share() * (end + 1) as f64) as usize;
        numbers.swap(end, other.min(end));
    }
    numbers
}
