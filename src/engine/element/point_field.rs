//! The field through the integration points of an element: what lies between and beyond them.
//!
//! Bilinear through the four points of a quadrilateral, linear through the three of a
//! triangle. The 2×2 points are where a quadratic element's stresses are most accurate, so
//! carrying them to the edge this way is the recovery used everywhere in this program.

/// Integration points of a quadrilateral.
pub const QUAD_POINTS: usize = 4;
/// Integration points of a triangle.
pub(crate) const TRIANGLE_POINTS: usize = 3;

/// Bilinear shares of the 2×2 points, in their order, at local `[ξ, η]`.
#[must_use]
pub(crate) fn quad_shares([x, y]: [f64; 2]) -> [f64; QUAD_POINTS] {
    let root = 3.0_f64.sqrt();
    let (x, y) = (root * x, root * y);
    [
        0.25 * (1.0 - x) * (1.0 - y),
        0.25 * (1.0 + x) * (1.0 - y),
        0.25 * (1.0 + x) * (1.0 + y),
        0.25 * (1.0 - x) * (1.0 + y),
    ]
}

/// Linear shares of two points that follow each other in `ξ`, at local `ξ`; none of the other two.
#[must_use]
pub(crate) fn column_shares(column: [usize; 2], x: f64) -> [f64; QUAD_POINTS] {
    let x = 3.0_f64.sqrt() * x;
    let mut shares = [0.0; QUAD_POINTS];
    shares[column[0]] = 0.5 * (1.0 - x);
    shares[column[1]] = 0.5 * (1.0 + x);
    shares
}

/// Linear shares of the three points of a triangle, in their order, at local `[ξ, η]`.
#[must_use]
pub(crate) fn triangle_shares([x, y]: [f64; 2]) -> [f64; TRIANGLE_POINTS] {
    let z = 1.0 - x - y;
    // The points form a triangle of half the size, turned with it: barycentric 2λ − 1/3.
    [2.0 * z - 1.0 / 3.0, 2.0 * x - 1.0 / 3.0, 2.0 * y - 1.0 / 3.0]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::numeric::gauss::{SQUARE_2X2, TRIANGLE_3};
    use approx::assert_relative_eq;

    #[test]
    fn a_share_is_one_at_its_own_point_and_zero_at_the_others() {
        for (k, (at, _)) in SQUARE_2X2.into_iter().enumerate() {
            for (m, share) in quad_shares(at).into_iter().enumerate() {
                assert_relative_eq!(share, f64::from(u8::from(k == m)), epsilon = 1e-14);
            }
        }
        for (k, (at, _)) in TRIANGLE_3.into_iter().enumerate() {
            for (m, share) in triangle_shares(at).into_iter().enumerate() {
                assert_relative_eq!(share, f64::from(u8::from(k == m)), epsilon = 1e-14);
            }
        }
    }
}
