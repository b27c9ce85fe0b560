//! Stress intensity at the two tips of a growing corner crack, kept on a grid of sizes.
//!
//! ```text
//!   K = K_ref · W(σ)/W(σ_ref) · C(c √(a/t))
//! ```
//!
//! `K_ref` are the published equations in a wide plate and `σ_ref` the stress they are for: that of a hole
//! under tension, or a uniform one at the plate edge. `C` is the edge correction of through cracks, in which
//! a corner crack counts with `√(a/t)` of its length, as in the published width factor. K is read at 5°
//! from the face for the tip on the face and at 80° for the tip in the bore ([`ANGLES`]): at 0° and 90° the
//! singularity is not that of a crack, and lives by those angles differ by a third.
//!
//! A through crack (`ThroughTable`) follows when `a` reaches the thickness.

use serde::Serialize;

use crate::fatigue::crack::CrackGeometry;
use crate::fatigue::front::equations::{ASPECTS, RADII, Site, Surroundings, unit_intensity};
use crate::fatigue::front::field::lack;
use crate::fatigue::front::weight::FrontWeight;
use crate::fatigue::weight_function::WeightError;
use crate::fatigue::width::edge_correction;
use crate::numeric::profile::Profile;

/// Parametric angles at which growth reads K, degrees: on the face, in the bore.
pub const ANGLES: [f64; 2] = [5.0, 80.0];

/// Sizes on the grid along the bore, and along the face, where the residual field makes K bend.
const SIZES: [usize; 2] = [30, 44];
/// Parts of K at each tip: load, residual field in the middle, what the entry face lacks of it.
const PARTS: usize = 3;

/// A plate with a corner crack, and the stress on its plane before there is a crack.
#[derive(Clone, Debug, PartialEq)]
pub struct FrontCrack {
    /// Where the crack lies.
    pub site: Site,
    /// Hole, edges and number of through cracks that follow.
    pub geometry: CrackGeometry,
    /// Thickness of the plate, mm.
    pub thickness: f64,
    /// Elastic hoop stress over remote stress against distance from where the crack starts, mm.
    pub load: Profile,
    /// Residual hoop stress in the middle of the thickness, MPa; none beyond its last point.
    pub residual: Profile,
}

/// Parts of K at a tip; MPa√mm, that of the load per MPa of remote stress.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct TipParts {
    /// Of the remote load.
    pub load: f64,
    /// Of the residual field of the middle, over the whole crack.
    pub residual: f64,
    /// Of the residual field times what an entry share of 0 takes away.
    pub lack: f64,
}

/// How much of the residual field is there.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct FieldShare {
    /// Factor on the whole field.
    pub whole: f64,
    /// Share of the middle's field at the entry face.
    pub entry: f64,
}

impl TipParts {
    /// K of the residual field, MPa√mm.
    #[must_use]
    pub fn residual(&self, share: FieldShare) -> f64 {
        share.whole * (self.residual - (1.0 - share.entry) * self.lack)
    }
}

/// Parts of K at both tips for all sizes of a crack.
#[derive(Clone, Debug, PartialEq)]
pub struct FrontTable {
    thickness: f64,
    /// Logarithms of first and last `a` and `c`.
    ends: [[f64; 2]; 2],
    /// Where the crack lies, and the plate that the reference intensity is for.
    site: Site,
    plate: Surroundings,
    /// Parts of K over the reference intensity, by tip and part; `a` outside.
    values: Vec<[[f64; PARTS]; 2]>,
}

impl FrontTable {
    /// Parts for cracks from `least` mm up to the thickness, and to the longest through crack.
    ///
    /// # Errors
    /// [`WeightError`] when the profiles are not finite or the least crack is no crack.
    pub fn new(crack: &FrontCrack, least: f64) -> Result<Self, WeightError> {
        let longest = crack.geometry.longest();
        crack.geometry.valid_length(least)?;
        let finite = |profile: &Profile| profile.values().iter().all(|value| value.is_finite());
        if crack.load.values().is_empty() {
            return Err(WeightError::EmptyProfile);
        }
        if !(finite(&crack.load) && finite(&crack.residual)) {
            return Err(WeightError::NotFinite);
        }
        let ends = [[least, depth(crack)], [least, longest]].map(|[low, high]| {
            let high: f64 = high.max(1.001 * low);
            [low.ln(), high.ln()]
        });
        let weights = ANGLES.map(FrontWeight::new);
        let size = |side: usize, k: usize| {
            let [low, high]: [f64; 2] = ends[side];
            (low + (high - low) * k as f64 / (SIZES[side] - 1) as f64).exp()
        };
        let mut values = Vec::with_capacity(SIZES[0] * SIZES[1]);
        for i in 0..SIZES[0] {
            for j in 0..SIZES[1] {
                let [a, c] = [size(0, i), size(1, j)];
                values.push([0, 1].map(|tip| shares(crack, &weights[tip], [a, c])));
            }
        }
        let (site, plate) = (crack.site, plate(crack));
        Ok(Self { thickness: crack.thickness, ends, site, plate, values })
    }

    /// Thickness of the plate, mm.
    #[must_use]
    pub fn thickness(&self) -> f64 {
        self.thickness
    }

    /// Longest crack along the face, mm, and deepest along the bore.
    #[must_use]
    pub fn longest(&self) -> [f64; 2] {
        [self.ends[1][1].exp(), self.ends[0][1].exp()]
    }

    /// Parts at the tip on the face and at the tip in the bore, by cubics in the logarithms.
    #[must_use]
    pub fn at(&self, [a, c]: [f64; 2]) -> [TipParts; 2] {
        let (i, u) = cell(self.ends[0], SIZES[0], a);
        let (j, v) = cell(self.ends[1], SIZES[1], c);
        let (wu, wv) = (cubic(i, SIZES[0], u), cubic(j, SIZES[1], v));
        let mut sum = [[0.0; PARTS]; 2];
        for (p, wu) in wu.into_iter().enumerate() {
            let row = held(i, SIZES[0], p) * SIZES[1];
            for (q, wv) in wv.into_iter().enumerate() {
                let value = &self.values[row + held(j, SIZES[1], q)];
                for tip in 0..2 {
                    for part in 0..PARTS {
                        sum[tip][part] += wu * wv * value[tip][part];
                    }
                }
            }
        }
        [0, 1].map(|tip| {
            // Where the equations end, at a/t = 1, the corner is at its deepest.
            let size = [a.min(self.plate.thickness), c];
            let unit = unit_intensity(self.site, size, &self.plate, ANGLES[tip]);
            let [load, residual, lack] = sum[tip].map(|share| unit * share);
            TipParts { load, residual, lack }
        })
    }
}

/// Parts of K along the front of a crack `a` by `c` mm, at parametric angles in degrees.
#[must_use]
pub fn along_front(crack: &FrontCrack, [a, c]: [f64; 2], angles: &[f64]) -> Vec<(f64, TipParts)> {
    let plate = plate(crack);
    angles
        .iter()
        .map(|&degrees| {
            let shares = shares(crack, &FrontWeight::new(degrees), [a, c]);
            let unit = unit_intensity(crack.site, [a.min(plate.thickness), c], &plate, degrees);
            let [load, residual, lack] = shares.map(|share| unit * share);
            (degrees, TipParts { load, residual, lack })
        })
        .collect()
}

/// Depth at which the crack is through.
fn depth(crack: &FrontCrack) -> f64 {
    match crack.site {
        Site::Bore(_) => 0.5 * crack.thickness,
        _ => crack.thickness,
    }
}

/// The wide plate that the reference intensity is for.
fn plate(crack: &FrontCrack) -> Surroundings {
    let radius = crack.geometry.radius();
    Surroundings { radius, thickness: depth(crack), width: f64::INFINITY }
}

/// Load, residual field and lack of it at the angle of `weight`, over the reference intensity.
fn shares(crack: &FrontCrack, weight: &FrontWeight, [a, c]: [f64; 2]) -> [f64; PARTS] {
    let (t, r) = (crack.thickness, crack.geometry.radius());
    let at_hole = !matches!(crack.site, Site::EdgeCorner | Site::Face);
    let end = crack.residual.distances().last().copied().unwrap_or(0.0);
    let [own, load, residual, lacking] = weight.integrals([a, c], |x, z| {
        let own = if at_hole { tension_at_hole(1.0 + x / r) } else { 1.0 };
        let residual = if x > end { 0.0 } else { crack.residual.at(x).unwrap_or(0.0) };
        // A crack in the middle of the bore begins where the field is whole.
        let lacking = if matches!(crack.site, Site::Bore(_)) { 0.0 } else { lack(z, t) };
        [own, crack.load.at(x).unwrap_or(0.0), residual, residual * lacking]
    });
    let effective = (c * (a / depth(crack)).min(1.0).sqrt()).min(crack.geometry.longest());
    let edges = edge_correction(&crack.geometry, effective);
    [edges * load / own, residual / own, lacking / own]
}

/// Hoop stress of a hole in a wide plate under unit tension, on the line across it, at `s` radii.
/// Source: G. Kirsch (1898), any text on elasticity.
fn tension_at_hole(s: f64) -> f64 {
    let square = (s * s).recip();
    1.0 + 0.5 * square + 1.5 * square * square
}

/// Cell of a size on a side of the grid, and the place in it from 0 to 1.
fn cell([low, high]: [f64; 2], count: usize, size: f64) -> (usize, f64) {
    let place = (size.ln() - low) / (high - low) * (count - 1) as f64;
    let place = place.clamp(0.0, (count - 1) as f64);
    #[allow(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "positive and bounded on the line above"
    )]
    let below = (place as usize).min(count - 2);
    (below, place - below as f64)
}

/// Number of the `k`-th of the four sizes about a cell, held within the grid.
fn held(cell: usize, count: usize, k: usize) -> usize {
    (cell + k).saturating_sub(1).min(count - 1)
}

/// Weights of the four neighbours of a cell at `u` between its ends, continuous in value and slope; beyond
/// the grid the values go on in a straight line. Source: E. Catmull, R. Rom (1974), from memory.
fn cubic(cell: usize, count: usize, u: f64) -> [f64; 4] {
    let (square, cube) = (u * u, u * u * u);
    let mut weights = [
        0.5 * (-u + 2.0 * square - cube),
        0.5 * (2.0 - 5.0 * square + 3.0 * cube),
        0.5 * (u + 4.0 * square - 3.0 * cube),
        0.5 * (-square + cube),
    ];
    if cell == 0 {
        let [beyond, ..] = weights;
        weights = [0.0, weights[1] + 2.0 * beyond, weights[2] - beyond, weights[3]];
    }
    if cell == count - 2 {
        let [.., beyond] = weights;
        weights = [weights[0], weights[1] - beyond, weights[2] + 2.0 * beyond, 0.0];
    }
    weights
}

/// Whether the published equations were fitted for a crack of this size; `None` when they were.
#[must_use]
pub fn outside_fit(crack: &FrontCrack, [a, c]: [f64; 2]) -> Option<String> {
    let (aspect, radii) = (a / c, crack.geometry.radius() / crack.thickness);
    let within = |value: f64, [low, high]: [f64; 2]| (0.999 * low..=1.001 * high).contains(&value);
    if !within(aspect, ASPECTS) {
        return Some(format!("a/c {aspect:.2} is outside {} to {}", ASPECTS[0], ASPECTS[1]));
    }
    let at_hole = !matches!(crack.site, Site::EdgeCorner | Site::Face);
    (at_hole && !within(radii, RADII))
        .then(|| format!("r/t {radii:.2} is outside {} to {}", RADII[0], RADII[1]))
}
