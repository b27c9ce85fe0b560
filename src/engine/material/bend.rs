//! The path of the strain through an increment: a parabola that begins half-way between the direction of the increment
//! before and its own.
//!
//! A point that the plastic front has passed turns its strain as it yields. Straight from increment to increment its path is
//! a polygon, whose corners the stress follows, and the error falls with the size of an increment; that of the parabolas falls
//! with its square. In `τ` from 0 to 1 the strain has gone `τ Δε + (τ − τ²)(Δε₀ − Δε)/2`, with `Δε₀` what the
//! increment would add were it like the one before.

use nalgebra::SVector;

use crate::material::lanes::{Four, all};

/// How far elastic stresses of four points are off their straight way, at `(τ − τ²)` of one.
pub(crate) struct Bend<const N: usize>(Option<SVector<Four, N>>);

impl<const N: usize> Bend<N> {
    /// Of an increment that changes elastic stresses by `change`, after one that would change them by `before`, where
    /// there was one.
    pub(crate) fn new(before: Option<SVector<Four, N>>, change: SVector<Four, N>) -> Self {
        Self(before.map(|before| (before - change) * all(0.5)))
    }

    /// The elastic stress at `share` of the way from `begin` to `end`.
    pub(crate) fn at(
        &self,
        (begin, end): (&SVector<Four, N>, &SVector<Four, N>),
        share: f64,
    ) -> SVector<Four, N> {
        let straight = begin * all(1.0 - share) + end * all(share);
        match &self.0 {
            Some(bend) if share < 1.0 => straight + bend * all(share - share * share),
            _ => straight,
        }
    }

    /// Derivative of the strain there by the strain at the end.
    pub(crate) fn follows(&self, share: f64) -> f64 {
        if self.0.is_some() { 0.5 * (share + share * share) } else { share }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;
    use nalgebra::SVector;
    use simba::simd::SimdValue;

    fn first(vector: SVector<Four, 1>) -> f64 {
        vector[0].extract(0)
    }

    #[test]
    fn a_parabola_begins_between_both_directions_and_ends_where_the_increment_does() {
        let of = |value: f64| SVector::<Four, 1>::from_element(all(value));
        let (begin, end) = (of(10.0), of(14.0));
        let bend = Bend::new(Some(of(2.0)), end - begin);
        assert_relative_eq!(first(bend.at((&begin, &end), 1.0)), 14.0);
        let step = 1e-6;
        let slope = (first(bend.at((&begin, &end), step)) - 10.0) / step;
        assert_relative_eq!(slope, 3.0, epsilon = 1e-5);
        // Δσ at the end grows by one: the strain half-way by 3/8.
        let more = Bend::new(Some(of(2.0)), of(5.0)).at((&begin, &of(15.0)), 0.5);
        assert_relative_eq!(first(more - bend.at((&begin, &end), 0.5)), bend.follows(0.5));
        let straight = Bend::new(None, end - begin);
        assert_relative_eq!(first(straight.at((&begin, &end), 0.25)), 11.0);
        assert_relative_eq!(straight.follows(0.25), 0.25);
    }
}
