//! Four points of the metal side by side, one in every lane of a vector register.
//!
//! The answer of a point is one long chain of operations, each of which waits for the one before;
//! four chains take hardly longer than one. No lane sees another, so a point answers the same
//! whatever company it is in.

use nalgebra::Vector4;
use simba::simd::{SimdBool, SimdValue, WideBoolF64x4, WideF64x4};
use wide::bytemuck::cast;
use wide::{f64x4, u64x4};

/// Points that are answered for at once.
pub(crate) const LANES: usize = 4;

/// A number of every point.
pub(crate) type Four = WideF64x4;

/// Some of the points.
pub(crate) type Some4 = WideBoolF64x4;

/// The same number for every point.
pub(crate) fn all(value: f64) -> Four {
    Four::splat(value)
}

/// A number of each of `count` points; the last stands in where there are fewer than four.
pub(crate) fn of_each(count: usize, of: impl Fn(usize) -> f64) -> Four {
    let last = count - 1;
    Four::from([of(0), of(last.min(1)), of(last.min(2)), of(last.min(3))])
}

/// A vector of each of `count` points, as [`of_each`].
pub(crate) fn vectors(count: usize, of: impl Fn(usize) -> Vector4<f64>) -> Vector4<Four> {
    let last = count - 1;
    let (a, b, c, d) = (of(0), of(last.min(1)), of(last.min(2)), of(last.min(3)));
    Vector4::from_fn(|i, _| Four::from([a[i], b[i], c[i], d[i]]))
}

/// Whether a point is among them.
pub(crate) fn has(some: Some4, point: usize) -> bool {
    some.bitmask() >> point & 1 == 1
}

/// The vectors of the single points.
pub(crate) fn apart(vectors: &Vector4<Four>) -> [Vector4<f64>; LANES] {
    let [xx, yy, zz, xy] = [0, 1, 2, 3].map(|i| <[f64; LANES]>::from(vectors[i]));
    [0, 1, 2, 3].map(|k| Vector4::new(xx[k], yy[k], zz[k], xy[k]))
}

/// `eˣ` of every point, for `x ≤ 0`, to two roundings.
///
/// The library's own minds what is not a number, infinite or denormal, which costs it half its time;
/// exponentials are a third of the return map.
pub(crate) fn exponential(x: Four) -> Four {
    /// 1.5 · 2⁵²: a number added to it is rounded to a whole one, which is then its lowest bits.
    const ROUNDER: f64x4 = f64x4::splat(6_755_399_441_055_744.0);
    const LOG2_E: f64x4 = f64x4::splat(std::f64::consts::LOG2_E);
    /// ln 2 in two parts, the first with so few digits that whole multiples of it are exact.
    const LN_2: f64x4 = f64x4::splat(0.693_145_751_953_125);
    const LN_2_REST: f64x4 = f64x4::splat(1.428_606_820_309_417_2e-6);
    /// Digits of a double behind its exponent, and the exponent of one.
    const DIGITS: u32 = 52;
    const ONE: u64x4 = u64x4::splat(1023);

    // e⁻⁷⁰⁰ is nothing beside any stress.
    let x = x.0.max(f64x4::splat(-700.0));
    let rounded = x * LOG2_E + ROUNDER;
    let whole = rounded - ROUNDER;
    let r = x - whole * LN_2 - whole * LN_2_REST;
    // Taylor's series: the first term left out is below 4e-18.
    let pair = |k: usize| f64x4::splat(TAYLOR[k]) + r * f64x4::splat(TAYLOR[k + 1]);
    let r2 = r * r;
    let r4 = r2 * r2;
    let low = pair(0) + r2 * pair(2) + r4 * (pair(4) + r2 * pair(6));
    let high = pair(8) + r2 * pair(10) + r4 * pair(12);
    let power: u64x4 = (cast::<_, u64x4>(rounded) + ONE) << DIGITS;
    WideF64x4((low + r4 * r4 * high) * cast::<_, f64x4>(power))
}

/// `1/k!`.
const TAYLOR: [f64; 14] = {
    let mut terms = [1.0; 14];
    let mut k = 1;
    while k < terms.len() {
        terms[k] = terms[k - 1] / k as f64;
        k += 1;
    }
    terms
};

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    #[test]
    fn the_exponential_is_that_of_the_standard_library() {
        for k in 0..2000 {
            // From zero to far below what a yield stress notices, unevenly.
            let x = -45.0 * (f64::from(k) / 2000.0).powi(2);
            let found = <[f64; LANES]>::from(exponential(Four::from([x, 0.5 * x, -1e-9, 0.0])));
            let expected = [x, 0.5 * x, -1e-9, 0.0].map(f64::exp);
            for (found, expected) in found.into_iter().zip(expected) {
                assert_relative_eq!(found, expected, max_relative = 4.5e-16);
            }
        }
        assert!(exponential(all(-1e9)).0.as_array().iter().all(|&e| e < 1e-300));
    }
}
