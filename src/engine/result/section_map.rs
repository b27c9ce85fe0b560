//! Hoop stress over distance and depth, carried from a section to a path of the plane model.
//!
//! The plane model has edges and neighbours and no depth, the section has depth and neither. For a
//! path of the plane model,
//!
//! ```text
//! σ(d, z) = s(d, z) + k(d, z) (σ_plane(d) − s_plane(d))        k = s / s_plane, from 0 to 2
//! ```
//!
//! with `s` the section and `s_plane` the plane model of the same ring. While k is within its bounds
//! this is `σ_plane · s/s_plane`, the plane path times the ratio of the section. Where the plane
//! ring is small the ratio means nothing: k goes smoothly over to 1 as the ring goes from a quarter of
//! its largest stress to zero, and the difference is carried instead. On the
//! ring itself the map is the section. Elsewhere it is an approximation: what an edge does to the
//! plane path it is taken to do at every depth in proportion.

use crate::numeric::profile::Profile;

/// Bound of the ratio: beyond it the plane ring is close to zero.
const LARGEST_RATIO: f64 = 2.0;

/// Share of the largest stress of the plane ring from which on the ratio counts in full.
const WHOLE: f64 = 0.25;

/// Hoop stress of a section and of the plane model of the same ring.
#[derive(Clone, Debug, PartialEq)]
pub struct SectionMap {
    /// Depth below the entry face (mm), rising, with hoop stress (MPa) against distance from the
    /// bore (mm) there.
    rows: Vec<(f64, Profile)>,
    /// Hoop stress of the plane ring against distance.
    plane: Profile,
}

/// Hoop stress at distances and depths.
#[derive(Clone, Debug, PartialEq)]
pub struct HoopMap {
    /// Depth below the entry face (mm), rising, with hoop stress (MPa) against distance (mm) there.
    pub rows: Vec<(f64, Profile)>,
}

impl SectionMap {
    /// A map from the rows of a section, as [`super::section::hoop_by_row`] gives them, and the plane
    /// model of the same ring.
    ///
    /// # Panics
    ///
    /// Without a row, or when depths do not rise.
    #[must_use]
    pub fn new(rows: Vec<(f64, Profile)>, plane: Profile) -> Self {
        assert!(!rows.is_empty() && rows.windows(2).all(|two| two[0].0 < two[1].0));
        Self { rows, plane }
    }

    /// Hoop stress of the section over that of the plane ring at a `distance` in mm, in the row of this
    /// number, from 0 to 2; going over to 1 where the plane ring has little.
    fn ratio(&self, row: usize, distance: f64) -> f64 {
        let section = self.rows[row].1.at(distance).unwrap_or(0.0);
        let plane = self.plane.at(distance).unwrap_or(0.0);
        let largest = self.plane.values().iter().fold(0.0_f64, |most, value| most.max(value.abs()));
        if plane == 0.0 || largest == 0.0 {
            return 1.0;
        }
        let share = (plane.abs() / (WHOLE * largest)).min(1.0);
        // Flat at both ends, so that the map has no kink of its own.
        let weight = share * share * (3.0 - 2.0 * share);
        1.0 + weight * ((section / plane).clamp(0.0, LARGEST_RATIO) - 1.0)
    }

    /// The map for a path of the plane model: hoop stress (MPa) against distance (mm), at its points and
    /// those of the section that it reaches.
    #[must_use]
    pub fn apply(&self, path: &Profile) -> HoopMap {
        let end = path.distances().last().copied().unwrap_or(0.0);
        let row = |(number, (depth, section)): (usize, &(f64, Profile))| {
            let mut distances: Vec<f64> = path.distances().to_vec();
            distances.extend(section.distances().iter().copied().filter(|&d| d < end));
            distances.sort_by(f64::total_cmp);
            distances.dedup();
            let value = |&d: &f64| {
                let [here, ring, plane] =
                    [section, &self.plane, path].map(|profile| profile.at(d).unwrap_or(0.0));
                here + self.ratio(number, d) * (plane - ring)
            };
            let hoop = distances.iter().map(value).collect();
            (*depth, Profile::new(distances, hoop))
        };
        HoopMap { rows: self.rows.iter().enumerate().map(row).collect() }
    }
}

impl HoopMap {
    /// Hoop stress (MPa) at a distance from the bore and a depth below the entry face, mm; straight
    /// between the rows, constant beyond them.
    #[must_use]
    pub fn at(&self, distance: f64, depth: f64) -> f64 {
        let value = |row: usize| self.rows[row].1.at(distance).unwrap_or(0.0);
        let after = self.rows.partition_point(|(z, _)| *z < depth);
        if after == 0 {
            return value(0);
        }
        if after == self.rows.len() {
            return value(after - 1);
        }
        let (above, below) = (self.rows[after - 1].0, self.rows[after].0);
        let share = (depth - above) / (below - above);
        value(after - 1) + share * (value(after) - value(after - 1))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    fn ring() -> SectionMap {
        let plane = Profile::new(vec![0.0, 1.0, 2.0, 4.0], vec![-400.0, -200.0, 0.0, 80.0]);
        let face = Profile::new(vec![0.0, 1.0, 3.0], vec![-100.0, -100.0, 50.0]);
        let middle = Profile::new(vec![0.0, 1.0, 3.0], vec![-440.0, -220.0, 60.0]);
        SectionMap::new(vec![(0.0, face), (3.0, middle)], plane)
    }

    /// Ring against plane ring: no error at any place.
    #[test]
    fn on_the_ring_itself_the_map_is_the_section() {
        let map = ring();
        let of_ring = map.apply(&map.plane);
        for (distance, face, middle) in
            [(0.0, -100.0, -440.0), (0.5, -100.0, -330.0), (2.0, -25.0, -80.0)]
        {
            assert_relative_eq!(of_ring.at(distance, 0.0), face, epsilon = 1e-9);
            assert_relative_eq!(of_ring.at(distance, 3.0), middle, epsilon = 1e-9);
            assert_relative_eq!(of_ring.at(distance, 1.5), 0.5 * (face + middle), epsilon = 1e-9);
        }
    }

    /// Half the plane stress gives half of the section where the ratio holds: by hand.
    #[test]
    fn a_path_with_half_the_stress_has_half_the_section() {
        let map = ring();
        let half = Profile::new(vec![0.0, 1.0], vec![-200.0, -100.0]);
        let of_path = map.apply(&half);
        assert_relative_eq!(of_path.at(0.0, 0.0), -50.0, epsilon = 1e-9);
        assert_relative_eq!(of_path.at(1.0, 3.0), -110.0, epsilon = 1e-9);
    }

    /// Where the plane ring passes through zero nothing grows without bound.
    #[test]
    fn at_the_zero_of_the_plane_ring_the_map_is_bounded() {
        let map = ring();
        let path = Profile::new(vec![0.0, 2.0, 4.0], vec![-300.0, 30.0, 60.0]);
        let at_zero = map.apply(&path).at(2.0, 0.0);
        // Section −25, and the whole of the 30 that the path is above the ring.
        assert_relative_eq!(at_zero, 5.0, epsilon = 1e-9);
        // No jump on either side of it.
        let near = [1.999, 2.001].map(|distance| map.apply(&path).at(distance, 0.0));
        assert!((near[0] - near[1]).abs() < 0.5, "{near:?}");
    }
}
