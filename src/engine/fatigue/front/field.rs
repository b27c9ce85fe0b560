//! The residual hoop stress over the crack plane, from the bore inwards and from the entry face down.
//!
//! ```text
//!   known in the plane alone:     σ(x, z) = σ(x) · g(z)
//!   known over the section:       σ(x, z) from a table of distance and depth, straight between its lines
//! ```
//!
//! `x` is the distance from the bore, `z` the depth from the face where the mandrel entered. `g` rises from the
//! entry share at `z = 0` to 1 at the middle of the thickness, and stays. Measured fields have an entry face
//! with 30 to 60 % of the compression in the middle (from memory, no single source), which a plane model cannot
//! know; the share is stated in every result.

use serde::Serialize;

use crate::numeric::profile::Profile;

/// The entry-face share of measured fields, from least to most: from memory, no single source.
pub const MEASURED_SHARES: [f64; 2] = [0.3, 0.6];
/// The share when none is given: the middle of the measured ones.
pub const USUAL_SHARE: f64 = 0.45;

/// Residual hoop stress over the crack plane, MPa, tension positive; none beyond its last distance.
#[derive(Clone, Debug, PartialEq)]
pub enum ResidualField {
    /// The stress in the middle of the thickness against the distance from the bore, mm. The entry face has a
    /// share of it.
    Plane(Profile),
    /// The stress over distance and depth.
    Section(SectionField),
}

/// Residual hoop stress on a grid of distances and depths, straight between its lines; MPa and mm.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct SectionField {
    distances: Vec<f64>,
    depths: Vec<f64>,
    /// Depth by depth.
    hoop: Vec<f64>,
}

impl ResidualField {
    /// Whether every value is a finite number.
    #[must_use]
    pub fn is_finite(&self) -> bool {
        let values = match self {
            Self::Plane(profile) => profile.values(),
            Self::Section(field) => &field.hoop,
        };
        values.iter().all(|value| value.is_finite())
    }

    /// The stress at `x`, `z` mm in a plate of `thickness` mm, and what an entry share of 0 takes away there.
    ///
    /// A field over the section knows its entry face: nothing is taken away.
    #[must_use]
    pub fn at(&self, x: f64, z: f64, thickness: f64) -> [f64; 2] {
        self.at_depth(self.middle(x), x, z, thickness)
    }

    /// The stress in the middle of the thickness at `x` mm, MPa, of a field that is known in the plane alone; else 0.
    pub(super) fn middle(&self, x: f64) -> f64 {
        match self {
            Self::Plane(profile) => {
                let end = profile.distances().last().copied().unwrap_or(0.0);
                if x > end { 0.0 } else { profile.at(x).unwrap_or(0.0) }
            }
            Self::Section(_) => 0.0,
        }
    }

    /// [`at`](Self::at) with the stress in the middle at `x` at hand.
    pub(super) fn at_depth(&self, middle: f64, x: f64, z: f64, thickness: f64) -> [f64; 2] {
        match self {
            Self::Plane(_) => [middle, middle * lack(z, thickness)],
            Self::Section(field) => [field.at(x, z), 0.0],
        }
    }

    /// Mean over the thickness of a plate, against the distance: what a through crack gets where the entry share
    /// is 1.
    #[must_use]
    pub fn through_mean(&self) -> Profile {
        match self {
            Self::Plane(profile) => profile.clone(),
            Self::Section(field) => field.mean(),
        }
    }

    /// Whether the entry share acts on it.
    #[must_use]
    pub fn has_entry_share(&self) -> bool {
        matches!(self, Self::Plane(_))
    }
}

impl SectionField {
    /// A field from rising distances and depths, at least two of each; `hoop` depth by depth.
    ///
    /// `None` when the numbers do not make a grid.
    #[must_use]
    pub fn new(distances: Vec<f64>, depths: Vec<f64>, hoop: Vec<f64>) -> Option<Self> {
        let rises = |all: &[f64]| all.len() > 1 && all.windows(2).all(|pair| pair[0] < pair[1]);
        let is_grid =
            rises(&distances) && rises(&depths) && hoop.len() == distances.len() * depths.len();
        is_grid.then_some(Self { distances, depths, hoop })
    }

    /// The field whose mean over the depth is `plane`: `plane(x) + σ(x, z) − mean of σ(x)`.
    ///
    /// Joins a plane model, which knows edges and neighbours, with a section, which knows the depth. An
    /// approximation: the change with depth is that of another part, a ring.
    #[must_use]
    pub fn about(&self, plane: &Profile) -> Self {
        let mean = self.mean();
        let mut distances = [plane.distances(), &self.distances].concat();
        distances.sort_by(f64::total_cmp);
        distances.dedup();
        let end = plane.distances().last().copied().unwrap_or(0.0);
        let own_end = self.distances[self.distances.len() - 1];
        let at = |x: f64, z: f64| {
            let middle = if x > end { 0.0 } else { plane.at(x).unwrap_or(0.0) };
            let change = if x > own_end { 0.0 } else { self.at(x, z) - mean.at(x).unwrap_or(0.0) };
            middle + change
        };
        let hoop = self
            .depths
            .iter()
            .flat_map(|&z| distances.iter().map(move |&x| (x, z)))
            .map(|(x, z)| at(x, z))
            .collect();
        Self { distances, depths: self.depths.clone(), hoop }
    }

    /// Distances, mm, rising.
    #[must_use]
    pub fn distances(&self) -> &[f64] {
        &self.distances
    }

    /// Depths, mm, rising.
    #[must_use]
    pub fn depths(&self) -> &[f64] {
        &self.depths
    }

    /// Stress at distance `x` and depth `z` mm; the first or last depth outside, none beyond the last distance.
    #[must_use]
    pub fn at(&self, x: f64, z: f64) -> f64 {
        let last = self.distances.len() - 1;
        if x > self.distances[last] {
            return 0.0;
        }
        let (i, u) = place(&self.distances, x);
        let (j, v) = place(&self.depths, z);
        let row = |j: usize| {
            let row = &self.hoop[j * (last + 1)..];
            row[i] + u * (row[i + 1] - row[i])
        };
        row(j) + v * (row(j + 1) - row(j))
    }

    /// Mean over the depths against the distance.
    fn mean(&self) -> Profile {
        let count = self.distances.len();
        let height = self.depths[self.depths.len() - 1] - self.depths[0];
        let mean = |i: usize| {
            let column = (1..self.depths.len()).map(|j| {
                let step = self.depths[j] - self.depths[j - 1];
                0.5 * step * (self.hoop[j * count + i] + self.hoop[(j - 1) * count + i])
            });
            column.sum::<f64>() / height
        };
        Profile::new(self.distances.clone(), (0..count).map(mean).collect())
    }
}

/// The interval of rising `nodes` that holds `x`, and the place in it from 0 to 1; held at the ends.
fn place(nodes: &[f64], x: f64) -> (usize, f64) {
    let last = nodes.len() - 2;
    let k = nodes.partition_point(|node| *node <= x).saturating_sub(1).min(last);
    (k, ((x - nodes[k]) / (nodes[k + 1] - nodes[k])).clamp(0.0, 1.0))
}

/// Share of the residual stress in the middle of the thickness that stands at the entry face.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct EntryShare(pub f64);

impl EntryShare {
    /// `g(z)` in a plate of `thickness` mm, `z` mm from the entry face.
    #[must_use]
    pub fn at(self, z: f64, thickness: f64) -> f64 {
        1.0 - (1.0 - self.0) * lack(z, thickness)
    }

    /// Mean of `g` over the thickness: what a through crack gets.
    #[must_use]
    pub fn mean(self) -> f64 {
        1.0 - 0.25 * (1.0 - self.0)
    }
}

/// Part that a share of 0 takes away at `z`: 1 at the entry face, 0 from the middle on.
#[must_use]
pub fn lack(z: f64, thickness: f64) -> f64 {
    (1.0 - 2.0 * z / thickness).max(0.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_field_linear_in_distance_and_depth_is_its_own_table() {
        let (xs, zs) = (vec![0.0, 1.0, 4.0], vec![0.0, 2.0, 6.0]);
        let exact = |x: f64, z: f64| -300.0 + 40.0 * x - 10.0 * z + 3.0 * x * z;
        let hoop = zs.iter().flat_map(|&z| xs.iter().map(move |&x| exact(x, z))).collect();
        let field = SectionField::new(xs, zs, hoop).expect("a grid");
        for (x, z) in [(0.0, 0.0), (0.3, 1.7), (2.5, 5.0), (4.0, 6.0)] {
            assert!((field.at(x, z) - exact(x, z)).abs() < 1e-12, "{x} {z}");
        }
        assert!(field.at(4.1, 1.0).abs() < 1e-12);
        assert!((field.at(1.0, 7.0) - field.at(1.0, 6.0)).abs() < 1e-12);
        // The mean of a field linear in depth is its value in the middle.
        let mean = field.mean();
        assert!((mean.at(2.0).expect("a grid") - exact(2.0, 3.0)).abs() < 1e-12);
    }

    #[test]
    fn about_a_plane_field_the_depth_changes_and_the_mean_stays() {
        let plane = Profile::new(vec![0.0, 1.0, 3.0, 8.0], vec![-400.0, -300.0, -50.0, 30.0]);
        let hoop = vec![-100.0, -50.0, -300.0, -150.0];
        let section = SectionField::new(vec![0.0, 4.0], vec![0.0, 6.0], hoop).expect("a grid");
        let field = section.about(&plane);
        for x in [0.0, 1.0, 3.0, 4.0, 8.0] {
            let mean = field.mean().at(x).expect("a grid");
            assert!((mean - plane.at(x).expect("a grid")).abs() < 1e-12, "{x}: {mean}");
        }
        // At the edge the section goes from -100 to -300 about its mean of -200.
        assert!(
            (field.at(0.0, 0.0) + 300.0).abs() < 1e-12
                && (field.at(0.0, 6.0) + 500.0).abs() < 1e-12
        );
    }
}
