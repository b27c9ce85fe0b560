//! A quantity along a distance: the common word of theory, results, fatigue and plots.
//!
//! Between its points a profile is straight, so extremes lie at points and every
//! crossing and integral below is exact for the polyline.

use serde::{Deserialize, Serialize};

/// Values of one quantity at distances that never fall.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Profile {
    distance: Vec<f64>,
    value: Vec<f64>,
}

/// Where a profile is extreme.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Extreme {
    /// Distance of the point.
    pub distance: f64,
    /// Value there.
    pub value: f64,
}

impl Profile {
    /// A profile from its points.
    ///
    /// # Panics
    ///
    /// When the lengths differ or a distance falls: both are programming errors.
    #[must_use]
    pub fn new(distance: Vec<f64>, value: Vec<f64>) -> Self {
        assert_eq!(distance.len(), value.len(), "a profile needs one value a distance");
        assert!(distance.windows(2).all(|w| w[0] <= w[1]), "distances of a profile never fall");
        Self { distance, value }
    }

    /// Distances, rising.
    #[must_use]
    pub fn distances(&self) -> &[f64] {
        &self.distance
    }

    /// Values, one a distance.
    #[must_use]
    pub fn values(&self) -> &[f64] {
        &self.value
    }

    /// Value at distance `x` by straight lines; the end values outside the range.
    /// `None` for a profile without points.
    #[must_use]
    pub fn at(&self, x: f64) -> Option<f64> {
        let (first, last) = (*self.distance.first()?, *self.distance.last()?);
        if x <= first {
            return self.value.first().copied();
        }
        if x >= last {
            return self.value.last().copied();
        }
        let right = self.distance.partition_point(|&d| d <= x);
        let (x0, x1) = (self.distance[right - 1], self.distance[right]);
        let share = (x - x0) / (x1 - x0);
        Some(self.value[right - 1] + share * (self.value[right] - self.value[right - 1]))
    }

    /// The points at distances up to `end`.
    #[must_use]
    pub fn up_to(&self, end: f64) -> Self {
        let count = self.distance.partition_point(|&distance| distance <= end);
        Self { distance: self.distance[..count].to_vec(), value: self.value[..count].to_vec() }
    }

    /// The lowest point, the first of equals.
    #[must_use]
    pub fn lowest(&self) -> Option<Extreme> {
        self.extreme(|candidate, best| candidate < best)
    }

    /// The highest point, the first of equals.
    #[must_use]
    pub fn highest(&self) -> Option<Extreme> {
        self.extreme(|candidate, best| candidate > best)
    }

    fn extreme(&self, better: impl Fn(f64, f64) -> bool) -> Option<Extreme> {
        let mut points = self.distance.iter().zip(&self.value);
        let (&distance, &value) = points.next()?;
        let mut best = Extreme { distance, value };
        for (&distance, &value) in points {
            if better(value, best.value) {
                best = Extreme { distance, value };
            }
        }
        Some(best)
    }

    /// Distances at which the value passes through `level`, rising order.
    #[must_use]
    pub fn crossings(&self, level: f64) -> Vec<f64> {
        let mut found = Vec::new();
        for (x, y) in self.distance.windows(2).zip(self.value.windows(2)) {
            let (below, above) = (y[0] - level, y[1] - level);
            if below * above < 0.0 {
                found.push(x[0] + (x[1] - x[0]) * below / (below - above));
            } else if above == 0.0 && below != 0.0 {
                found.push(x[1]);
            }
        }
        found
    }

    /// Integral of the value over the whole distance.
    #[must_use]
    pub fn integral(&self) -> f64 {
        self.segments().map(|([x0, x1], [y0, y1])| 0.5 * (x1 - x0) * (y0 + y1)).sum()
    }

    /// Integral of the negative part alone, itself negative or zero.
    #[must_use]
    pub fn negative_integral(&self) -> f64 {
        self.segments()
            .map(|([x0, x1], [y0, y1])| {
                let width = x1 - x0;
                match (y0 < 0.0, y1 < 0.0) {
                    (true, true) => 0.5 * width * (y0 + y1),
                    (true, false) => 0.5 * width * y0 * y0 / (y0 - y1),
                    (false, true) => 0.5 * width * y1 * y1 / (y1 - y0),
                    (false, false) => 0.0,
                }
            })
            .sum()
    }

    fn segments(&self) -> impl Iterator<Item = ([f64; 2], [f64; 2])> + '_ {
        self.distance
            .windows(2)
            .zip(self.value.windows(2))
            .map(|(x, y)| ([x[0], x[1]], [y[0], y[1]]))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    fn saw() -> Profile {
        Profile::new(vec![0.0, 1.0, 3.0, 4.0], vec![-2.0, 2.0, 2.0, -1.0])
    }

    #[test]
    fn crossings_lie_on_the_straight_lines() {
        let crossings = saw().crossings(0.0);
        assert_eq!(crossings.len(), 2);
        assert_relative_eq!(crossings[0], 0.5);
        assert_relative_eq!(crossings[1], 3.0 + 2.0 / 3.0, max_relative = 1e-15);
    }

    #[test]
    fn the_negative_integral_and_the_rest_add_up() {
        let profile = saw();
        // Triangles by hand: −0.5·0.5·2 at the start, −0.5·(1/3)·1 at the end.
        assert_relative_eq!(profile.negative_integral(), -0.5 - 1.0 / 6.0, max_relative = 1e-14);
        assert_relative_eq!(profile.integral(), 0.0 + 4.0 + 0.5, max_relative = 1e-14);
    }

    #[test]
    fn extremes_and_values_between_points() {
        let profile = saw();
        assert_relative_eq!(profile.lowest().map_or(f64::NAN, |e| e.distance), 0.0);
        assert_relative_eq!(profile.highest().map_or(f64::NAN, |e| e.distance), 1.0);
        assert_relative_eq!(profile.at(0.75).unwrap_or(f64::NAN), 1.0);
        assert_relative_eq!(profile.at(9.0).unwrap_or(f64::NAN), -1.0);
        assert!(Profile::default().at(0.0).is_none());
    }
}
