//! One power of many numbers, faster than the general function.
//!
//! ```text
//!   x = 2ᵉ m,  1 ≤ m < 2:   x^p = 2^(e p) · m^p
//! ```
//!
//! `m^p` is a cubic in each of 256 cells, through value and slope at both ends. Its relative error is at most
//! `|p (p − 1)(p − 2)(p − 3)|/(384 · 256⁴)`, 1e-10 for `p = 4.1` and 7e-9 for `p = 12`.

/// Bits of the cell in the fraction of a number.
const CELL_BITS: u32 = 8;
const CELLS: usize = 1 << CELL_BITS;
/// Bits of a fraction in double precision.
const FRACTION_BITS: u32 = 52;
const REST_BITS: u32 = FRACTION_BITS - CELL_BITS;
/// The bits of 1, and those of every fraction.
const ONE: u64 = 1023 << FRACTION_BITS;
const FRACTION: u64 = (1 << FRACTION_BITS) - 1;
/// Least and largest binary exponent in the table.
const OCTAVES: [i32; 2] = [-40, 40];
/// Biased exponent of the first.
const FIRST: u64 = 1023 - 40;
/// Largest magnitude of an exponent that the cubics are close enough for.
const LARGEST: f64 = 12.0;

/// `x^p` for one `p`.
#[derive(Clone, Debug)]
pub(crate) struct Power {
    exponent: f64,
    /// Coefficients of the cubics, constant first.
    cells: Box<[[f64; 4]; CELLS]>,
    /// `2^(e p)`, rising in `e`.
    octaves: Vec<f64>,
}

impl Power {
    /// From here on a number is beyond the table.
    pub(crate) const LARGEST: f64 = (1_u64 << 40) as f64;

    /// `None` for an exponent beyond 12 in magnitude.
    pub(crate) fn new(exponent: f64) -> Option<Self> {
        if exponent.is_nan() || exponent.abs() > LARGEST {
            return None;
        }
        let width = (CELLS as f64).recip();
        let node = |k: usize| {
            let m = 1.0 + k as f64 * width;
            [m.powf(exponent), width * exponent * m.powf(exponent - 1.0)]
        };
        let cells = std::array::from_fn(|k| {
            let ([low, rise], [high, rise_high]) = (node(k), node(k + 1));
            let chord = high - low;
            [low, rise, 3.0 * chord - 2.0 * rise - rise_high, rise + rise_high - 2.0 * chord]
        });
        let [first, last] = OCTAVES;
        let octaves = (first..=last).map(|e| (f64::from(e) * exponent).exp2());
        Some(Self { exponent, cells: Box::new(cells), octaves: octaves.collect() })
    }

    /// The power of a number from 1e-12 to less than [`Self::LARGEST`].
    ///
    /// # Panics
    /// Beyond the table.
    #[inline]
    pub(crate) fn inside(&self, x: f64) -> f64 {
        let (octave, share) = self.split(x);
        self.octaves[octave] * share
    }

    /// The power of a number that is not negative.
    #[inline]
    pub(crate) fn of(&self, x: f64) -> f64 {
        let (octave, share) = self.split(x);
        match self.octaves.get(octave) {
            Some(scale) => scale * share,
            // Far out, zero, or no number.
            None => x.powf(self.exponent),
        }
    }

    /// Octave of a number, and the power of its share in it.
    #[allow(
        clippy::cast_possible_truncation,
        reason = "an exponent of 11 bits and a cell of 8 fit any integer"
    )]
    #[inline]
    fn split(&self, x: f64) -> (usize, f64) {
        let bits = x.to_bits();
        let octave = (bits >> FRACTION_BITS).wrapping_sub(FIRST) as usize;
        let cell = (bits >> REST_BITS) as usize % CELLS;
        let [a, b, c, d] = self.cells[cell];
        let t = f64::from_bits(ONE | (bits << CELL_BITS) & FRACTION) - 1.0;
        (octave, a + t * (b + t * (c + t * d)))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_power_is_that_of_the_standard_library() {
        for exponent in [-0.7, 0.0, 0.5, 1.0, 1.88, 2.88, 4.1, 12.0_f64] {
            let power = Power::new(exponent).expect("a small exponent");
            let [a, b, c, d] = [0.0, 1.0, 2.0, 3.0].map(|k| exponent - k);
            // The bound of the module's head, and what rounding adds.
            let bound = (a * b * c * d).abs() / (384.0 * 256.0_f64.powi(4)) * 1.1 + 2e-14;
            for k in 0..40_000 {
                let x = (0.0007 * f64::from(k) - 14.0).exp();
                let error = power.of(x) / x.powf(exponent) - 1.0;
                assert!(power.inside(x).total_cmp(&power.of(x)).is_eq(), "{x}");
                assert!(error.abs() <= bound, "{x}^{exponent}: {error:e}, bound {bound:e}");
            }
        }
    }

    #[test]
    fn numbers_beyond_the_table_have_their_power_too() {
        let power = Power::new(2.5).expect("a small exponent");
        assert!(power.of(0.0) == 0.0 && power.of(f64::INFINITY) == f64::INFINITY);
        assert!(power.of(f64::NAN).is_nan());
        for x in [1e-100, 1e-13, 1e13, 1e100_f64] {
            assert!((power.of(x) / x.powf(2.5) - 1.0).abs() < 1e-13, "{x}");
        }
        assert!(Power::new(12.5).is_none() && Power::new(f64::NAN).is_none());
    }
}
