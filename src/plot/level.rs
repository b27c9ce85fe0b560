//! Round numbers: steps, levels, tick positions and the way they are printed.

/// The smallest of 1, 2 or 5 times a power of ten that covers `range` in at most
/// `most` steps. `range` is positive and finite, `most` at least 1.
pub(crate) fn round_step(range: f64, most: usize) -> f64 {
    let wanted = range / count(most);
    let power = wanted.log10().floor();
    // A hair of slack: 0.3 / 3 is a bit more than 0.1 in binary.
    let slack = 1.0 - 1e-9;
    [1.0, 2.0, 5.0, 10.0]
        .into_iter()
        .map(|digit| digit * 10f64.powf(power))
        .find(|step| *step >= wanted * slack)
        .unwrap_or(10f64.powf(power + 1.0))
}

/// Multiples of `step` inside `low..=high`, rising, zero printed as a plain 0.
pub(crate) fn multiples(low: f64, high: f64, step: f64) -> Vec<f64> {
    let slack = 1e-9;
    let (first, last) = ((low / step - slack).ceil(), (high / step + slack).floor());
    let mut found = Vec::new();
    let mut k = first;
    while k <= last {
        found.push(if k == 0.0 { 0.0 } else { k * step });
        k += 1.0;
    }
    found
}

/// `value` with as many decimals as multiples of `step` need, and a true minus sign.
pub(crate) fn label(value: f64, step: f64) -> String {
    let decimals = (-(step.log10() + 1e-9).floor()).max(0.0);
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0 to 300")]
    let text = format!("{value:.*}", decimals as usize);
    match text.strip_prefix('-') {
        Some(digits) if digits.chars().all(|c| c == '0' || c == '.') => digits.to_owned(),
        Some(digits) => format!("\u{2212}{digits}"),
        None => text,
    }
}

/// An angle in degrees, to a tenth, without needless digits.
pub(crate) fn degrees(angle: f64) -> String {
    let rounded = (10.0 * angle).round() / 10.0;
    format!("{}°", label(rounded, if rounded.fract() == 0.0 { 1.0 } else { 0.1 }))
}

/// Levels of a contour picture: multiples of a round step, symmetric about zero.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Levels {
    /// Distance of two levels, in the unit of the picture.
    pub(crate) step: f64,
    /// Steps on either side of zero: the colour scale spans `± steps · step`.
    pub(crate) steps: i32,
    /// Lowest band in use; band `k` lies between `k · step` and `(k + 1) · step`.
    pub(crate) first: i32,
    /// Highest band in use.
    pub(crate) last: i32,
}

impl Levels {
    /// Bands on either side of zero, at most.
    const MOST: usize = 10;

    /// Levels that cover `low..=high`. Equal to one band each side when both are zero.
    pub(crate) fn covering(low: f64, high: f64) -> Self {
        let size = low.abs().max(high.abs());
        if size <= f64::MIN_POSITIVE {
            return Self { step: 1.0, steps: 1, first: -1, last: 0 };
        }
        let step = round_step(size, Self::MOST);
        #[expect(clippy::cast_possible_truncation, reason = "at most a dozen steps")]
        let whole = |value: f64| value as i32;
        let steps = whole((size / step * (1.0 - 1e-9)).ceil());
        // A field that just touches a level opens no band of its own.
        let first = whole((low / step + 1e-9).floor()).max(-steps);
        let last = (whole((high / step - 1e-9).ceil()) - 1).clamp(first, steps - 1);
        Self { step, steps, first, last }
    }

    /// The values of band `k`.
    pub(crate) fn band(&self, k: i32) -> [f64; 2] {
        [f64::from(k) * self.step, f64::from(k + 1) * self.step]
    }

    /// Middle of band `k` as a share of the scale, −1 to 1.
    pub(crate) fn share(&self, k: i32) -> f64 {
        (f64::from(k) + 0.5) / f64::from(self.steps)
    }

    /// How many bands are in use.
    pub(crate) fn bands(&self) -> usize {
        usize::try_from(self.last - self.first + 1).unwrap_or(0)
    }
}

/// An array length as a float; exact below 2⁵³.
#[expect(clippy::cast_precision_loss, reason = "lengths are far below 2^53")]
pub(crate) fn count(n: usize) -> f64 {
    n as f64
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    #[expect(clippy::float_cmp, reason = "round numbers are chosen, not computed")]
    fn steps_are_round_and_few() {
        assert_eq!(round_step(97.0, 10), 10.0);
        assert_eq!(round_step(401.0, 10), 50.0);
        assert_eq!(round_step(0.3, 3), 0.1);
        assert_eq!(round_step(7.0, 4), 2.0);
    }

    #[test]
    fn numbers_print_with_the_decimals_of_their_step() {
        assert_eq!(label(-250.0, 50.0), "\u{2212}250");
        assert_eq!(label(0.1 + 0.2, 0.1), "0.3");
        assert_eq!(label(-1e-17, 0.1), "0.0");
        assert_eq!(label(3.0, 0.5), "3.0");
        assert_eq!(label(0.02, 0.02), "0.02");
        assert_eq!((degrees(-90.0), degrees(22.5)), ("\u{2212}90°".to_owned(), "22.5°".to_owned()));
    }

    #[test]
    fn levels_are_symmetric_about_zero_and_cover_the_values() {
        let levels = Levels::covering(-412.0, 133.0);
        assert_eq!(levels, Levels { step: 50.0, steps: 9, first: -9, last: 2 });
        assert_eq!(levels.bands(), 12);
        for k in 0..levels.steps {
            assert!((levels.share(k) + levels.share(-k - 1)).abs() < 1e-15);
        }
    }

    #[test]
    fn a_field_of_zeros_still_has_levels() {
        assert_eq!(Levels::covering(0.0, 0.0).bands(), 2);
    }

    #[test]
    fn multiples_include_both_ends() {
        assert_eq!(multiples(-0.2, 0.2, 0.1).len(), 5);
        assert_eq!(multiples(0.05, 0.95, 0.1).len(), 9);
    }
}
