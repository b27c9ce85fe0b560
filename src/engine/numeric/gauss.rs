//! Integration rules: points and weights on line, square and triangle.
//!
//! Line and square live on `[−1, 1]`, the triangle has corners (0,0), (1,0),
//! (0,1) and area ½. Source: any text on finite elements, e.g. O. C. Zienkiewicz
//! and R. L. Taylor, The Finite Element Method (tables from memory; the tests
//! integrate every polynomial a rule must integrate).

/// `1/√3`, the abscissa of the two-point rule.
const TWO_POINT: f64 = 0.577_350_269_189_625_8;
/// `√(3/5)`, the outer abscissa of the three-point rule.
const THREE_POINT: f64 = 0.774_596_669_241_483_4;

/// Two points on the line, exact to degree 3: `(ξ, weight)`.
#[cfg(test)]
const LINE_2: [(f64, f64); 2] = [(-TWO_POINT, 1.0), (TWO_POINT, 1.0)];

/// Three points on the line, exact to degree 5: `(ξ, weight)`.
pub const LINE_3: [(f64, f64); 3] =
    [(-THREE_POINT, 5.0 / 9.0), (0.0, 8.0 / 9.0), (THREE_POINT, 5.0 / 9.0)];

/// Two by two points on the square, exact to degree 3: `([ξ, η], weight)`,
/// counter-clockwise like the corners of an element.
pub const SQUARE_2X2: [([f64; 2], f64); 4] = [
    ([-TWO_POINT, -TWO_POINT], 1.0),
    ([TWO_POINT, -TWO_POINT], 1.0),
    ([TWO_POINT, TWO_POINT], 1.0),
    ([-TWO_POINT, TWO_POINT], 1.0),
];

/// Three points inside the triangle, exact to degree 2: `([ξ, η], weight)`.
pub const TRIANGLE_3: [([f64; 2], f64); 3] = [
    ([1.0 / 6.0, 1.0 / 6.0], 1.0 / 6.0),
    ([2.0 / 3.0, 1.0 / 6.0], 1.0 / 6.0),
    ([1.0 / 6.0, 2.0 / 3.0], 1.0 / 6.0),
];

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    #[test]
    fn lines_integrate_their_degree() {
        for power in 0..=5_i32 {
            let exact = if power % 2 == 0 { 2.0 / f64::from(power + 1) } else { 0.0 };
            let three: f64 = LINE_3.iter().map(|(x, w)| w * x.powi(power)).sum();
            assert_relative_eq!(three, exact, epsilon = 1e-14);
            if power <= 3 {
                let two: f64 = LINE_2.iter().map(|(x, w)| w * x.powi(power)).sum();
                assert_relative_eq!(two, exact, epsilon = 1e-14);
            }
        }
    }

    #[test]
    fn the_triangle_integrates_quadratics() {
        let moment = |f: fn([f64; 2]) -> f64| -> f64 {
            TRIANGLE_3.iter().map(|&(at, weight)| weight * f(at)).sum()
        };
        // ∫ξᵃηᵇ over the triangle = a! b! / (a + b + 2)!
        assert_relative_eq!(moment(|_| 1.0), 0.5, epsilon = 1e-15);
        assert_relative_eq!(moment(|[x, _]| x), 1.0 / 6.0, epsilon = 1e-15);
        assert_relative_eq!(moment(|[x, _]| x * x), 1.0 / 12.0, epsilon = 1e-15);
        assert_relative_eq!(moment(|[x, y]| x * y), 1.0 / 24.0, epsilon = 1e-15);
    }
}
