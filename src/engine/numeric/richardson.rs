//! How far a number computed on three levels of refinement is from its limit.
//!
//! ```text
//!   value(h) ≈ limit + C hᵖ            h the size of an element or of an increment
//!   (v₀ − v₁)/(v₁ − v₂) = (h₀ᵖ − h₁ᵖ)/(h₁ᵖ − h₂ᵖ)         coarse 0, middle 1, fine 2: gives p
//!   limit = v₂ + (v₂ − v₁)/((h₁/h₂)ᵖ − 1)                 Richardson's extrapolation
//!   band  = 1.25 · |v − limit|                            grid-convergence index, not relative
//! ```
//!
//! With `v = v₂` the band is the index of the fine level, with `v = v₁` that of the coarser one
//! of the pair, `1.25 |v₁ − v₂| rᵖ/(rᵖ − 1)`.
//!
//! Source: P. J. Roache, J. Fluids Eng. 116 (1994) 405 (index, factor 1.25 with three levels, 3
//! with two); I. B. Celik et al., J. Fluids Eng. 130 (2008) 078001 (order from uneven ratios;
//! all from memory). The equation for the order is theirs without the absolute values, which
//! would give a diverging sequence an order too.
//!
//! Trap: a number that three levels happen to approach in step need not do so on a fourth. The
//! band is an estimate, not a bound.

use serde::{Deserialize, Serialize};

use crate::numeric::root::bracketed_newton;

/// Roache's factor of safety for an order observed on three levels.
const SAFETY: f64 = 1.25;

/// Factor on the largest difference when no order can be trusted: Roache's 3 for two levels,
/// on the range of all three, which is the most cautious pair.
const FALLBACK: f64 = 3.0;

/// Orders searched: from next to none to far beyond any scheme.
const ORDERS: [f64; 2] = [1e-3, 30.0];

/// Range expected of an order.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Expected {
    /// Orders that count as the asymptotic range of the scheme, lowest and highest.
    pub range: [f64; 2],
    /// Order of the theory. A higher observed one is luck: the band is that of the theory,
    /// which is wider.
    pub theory: f64,
}

/// How three values approach their limit.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Approach {
    /// No change beyond the tolerance of the solver.
    Settled,
    /// In step, with an order in the expected range.
    Asymptotic,
    /// In step, with an order outside the expected range.
    UnexpectedOrder,
    /// To and fro.
    Oscillating,
    /// The differences do not shrink: no limit in sight.
    Receding,
}

impl Approach {
    /// Whether the band rests on an observed order or on no change at all.
    #[must_use]
    pub fn is_trusted(self) -> bool {
        matches!(self, Self::Settled | Self::Asymptotic)
    }

    /// Name in files.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Settled => "settled",
            Self::Asymptotic => "asymptotic",
            Self::UnexpectedOrder => "unexpected-order",
            Self::Oscillating => "oscillating",
            Self::Receding => "receding",
        }
    }
}

/// Result of three levels for one value.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Estimate {
    /// How the values approach their limit.
    pub approach: Approach,
    /// Observed order; `None` when they do not, or beyond what is searched.
    pub order: Option<f64>,
    /// Richardson's value, in the unit of the values; `None` outside the asymptotic range.
    pub limit: Option<f64>,
    /// Half width of the uncertainty band about the value asked for, in the unit of the values.
    pub band: f64,
}

/// Estimates the limit of `values` at `sizes`, both coarse to fine, and the band of
/// `values[asked]`. Differences up to `noise` count as none.
///
/// # Panics
///
/// When the sizes do not fall or `asked` is no level: programming errors.
#[must_use]
pub fn estimate(
    sizes: [f64; 3],
    values: [f64; 3],
    asked: usize,
    noise: f64,
    expected: &Expected,
) -> Estimate {
    assert!(sizes[0] > sizes[1] && sizes[1] > sizes[2] && sizes[2] > 0.0, "sizes fall");
    let [coarse, middle, fine] = values;
    let (first, second) = (coarse - middle, middle - fine);
    let range = first.abs().max(second.abs()).max((coarse - fine).abs());
    let without_order = |approach, order| Estimate {
        approach,
        order,
        limit: None,
        band: (FALLBACK * range).max(noise),
    };
    if range <= noise {
        return without_order(Approach::Settled, None);
    }
    if first * second < 0.0 {
        return without_order(Approach::Oscillating, None);
    }
    // Relative to the middle size, so that no power overflows.
    let relative = [sizes[0] / sizes[1], sizes[2] / sizes[1]];
    if first.abs() <= second.abs() * relative[0].ln() / -relative[1].ln() {
        return without_order(Approach::Receding, None);
    }
    let Some(order) = order(relative, first / second) else {
        return without_order(Approach::UnexpectedOrder, None);
    };
    if !(expected.range[0]..=expected.range[1]).contains(&order) {
        return without_order(Approach::UnexpectedOrder, Some(order));
    }
    let limit = |order: f64| fine - second / (relative[1].powf(-order) - 1.0);
    Estimate {
        approach: Approach::Asymptotic,
        order: Some(order),
        limit: Some(limit(order)),
        band: (SAFETY * (values[asked] - limit(order.min(expected.theory))).abs()).max(noise),
    }
}

/// Order at which the two differences have this `ratio`; sizes over the middle one.
fn order([coarse, fine]: [f64; 2], ratio: f64) -> Option<f64> {
    // `None` for a vanishing second difference, whose ratio is infinite.
    let wanted = ratio.is_finite().then(|| ratio.ln())?;
    let [low, high] = ORDERS;
    bracketed_newton(low, high, 1e-13, |p| {
        let (above, below) = (coarse.powf(p), fine.powf(p));
        let value = ((above - 1.0) / (1.0 - below)).ln() - wanted;
        let slope = above * coarse.ln() / (above - 1.0) + below * fine.ln() / (1.0 - below);
        (value, slope)
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    const EXPECTED: Expected = Expected { range: [0.5, 5.0], theory: 2.0 };

    /// `7 + 3 hᵖ` at three sizes.
    fn manufactured(sizes: [f64; 3], order: f64) -> [f64; 3] {
        sizes.map(|h| 7.0 + 3.0 * h.powf(order))
    }

    #[test]
    fn a_made_up_order_and_limit_are_found_again_with_even_and_uneven_ratios() {
        for sizes in [[2.0, 1.0, 0.5], [1.9, 1.0, 0.61], [0.4, 0.3, 0.1]] {
            for order in [0.6, 1.0, 1.5, 2.0, 3.7] {
                let values = manufactured(sizes, order);
                let found = estimate(sizes, values, 1, 1e-12, &EXPECTED);
                assert_eq!(found.approach, Approach::Asymptotic);
                assert_relative_eq!(found.order.unwrap_or(0.0), order, max_relative = 1e-9);
                assert_relative_eq!(found.limit.unwrap_or(0.0), 7.0, max_relative = 1e-11);
                // The band holds the true error, 25 % wider at least.
                assert!(found.band >= 1.25 * (values[1] - 7.0) * (1.0 - 1e-9));
            }
        }
    }

    #[test]
    fn the_band_is_the_index_of_the_level_asked_for() {
        let values = manufactured([2.0, 1.0, 0.5], 2.0);
        let band = |asked| estimate([2.0, 1.0, 0.5], values, asked, 0.0, &EXPECTED).band;
        let step = (values[1] - values[2]).abs();
        // Roache's two forms with r = 2, p = 2, from memory.
        assert_relative_eq!(band(2), 1.25 * step / 3.0, max_relative = 1e-12);
        assert_relative_eq!(band(1), 1.25 * step * 4.0 / 3.0, max_relative = 1e-12);
    }

    #[test]
    fn an_order_above_theory_does_not_narrow_the_band_below_that_of_theory() {
        let values = manufactured([2.0, 1.0, 0.5], 4.0);
        let found = estimate([2.0, 1.0, 0.5], values, 1, 0.0, &EXPECTED);
        let step = (values[1] - values[2]).abs();
        assert_relative_eq!(found.band, 1.25 * step * 4.0 / 3.0, max_relative = 1e-12);
        assert_relative_eq!(found.limit.unwrap_or(0.0), 7.0, max_relative = 1e-12);
    }

    #[test]
    fn what_is_not_asymptotic_is_said_and_gets_three_times_the_range() {
        let sizes = [2.0, 1.0, 0.5];
        for (values, approach) in [
            ([1.0, 2.0, 1.5], Approach::Oscillating),
            ([1.0, 2.0, 3.5], Approach::Receding),
            ([1.0, 2.0, 3.0], Approach::Receding),
            ([1.0, 2.0, 2.9], Approach::UnexpectedOrder), // order 0.15
            ([1.0, 2.0, 2.01], Approach::UnexpectedOrder), // order 6.6
            ([1.0, 2.0, 2.0], Approach::UnexpectedOrder), // none: infinite
        ] {
            let found = estimate(sizes, values, 1, 1e-9, &EXPECTED);
            assert_eq!(found.approach, approach, "{values:?}");
            assert!(found.limit.is_none() && !found.approach.is_trusted());
            let (low, high) = (1.0, values.into_iter().fold(1.0, f64::max));
            assert_relative_eq!(found.band, 3.0 * (high - low), max_relative = 1e-12);
        }
    }

    #[test]
    fn no_change_is_settled_and_not_an_order() {
        let found = estimate([2.0, 1.0, 0.5], [5.0, 5.0 + 1e-10, 5.0], 1, 1e-9, &EXPECTED);
        assert_eq!((found.approach, found.order), (Approach::Settled, None));
        assert_relative_eq!(found.band, 1e-9);
    }
}
