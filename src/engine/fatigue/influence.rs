//! Stress intensity along a quarter-elliptical corner crack at a hole, for any stress σ(x, z).
//!
//! ```text
//!   bore ┃ z, a at 90°                 K(φ) = K₀(φ) Σ Cₙ(φ; r/t, a/c, a/t) σ(xₙ, zₙ)
//!        ┃~~~.                         K₀: embedded ellipse under unit pressure
//!        ┃     `.                      front: x = c cos φ, z = a sin φ
//!   ─────┸───────`────► x, c at 0°
//!   hole      face of the plate
//! ```
//!
//! `σ` is the stress normal to the crack plane that the plate has *without* the crack (superposition),
//! replaced by its best fit in the rectangle `c × a`: piecewise quadratics, short near the bore and
//! the face, by their values at a grid of places. The influence coefficients `Cₙ` come from a three-dimensional elastic
//! model (`verification/corner-cracks/`: method, checks, errors, and which shapes are in the table). They hold for a
//! wide plate and Poisson's ratio 0.33.
//!
//! **Angles.** K is tabulated from 3° to 87°. At the free faces the stress is not that of a crack
//! front (the corner singularity); K at 0° and 90° is therefore not offered, and [`FrontIntensity::at`] answers
//! with the value at the nearest tabulated angle.
//!
//! **Outside the table** the nearest tabulated shape answers, and [`Influence::outside`] says so.

use std::fmt;

use crate::fatigue::crack::CrackSides;

mod axis;
mod data;
mod direction;

use data::Data;

/// Influence coefficients of the corner cracks of one hole, interpolated in shape and depth.
#[derive(Clone, Debug)]
pub struct Influence {
    radius: f64,
    thickness: f64,
    data: &'static Data,
    /// `(aspects, depths, angles, places)`, for this radius.
    table: Vec<f64>,
}

/// A quantity for which the table had to be left, with its value and the tabulated range.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Outside {
    /// `"r/t"`, `"a/c"` or `"a/t"`.
    pub quantity: &'static str,
    /// Value asked for.
    pub value: f64,
    /// Tabulated range.
    pub range: [f64; 2],
}

impl fmt::Display for Outside {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let [low, high] = self.range;
        write!(
            f,
            "corner crack with {} = {:.3} is outside the table of influence coefficients \
             ({low} to {high}); the nearest tabulated value is used",
            self.quantity, self.value
        )
    }
}

impl Influence {
    /// Coefficients for one or two corner cracks at a hole of `radius` in a plate of `thickness`, mm.
    ///
    /// `None` when the table has no rows for that number of cracks.
    ///
    /// # Panics
    /// When a length is not positive.
    #[must_use]
    pub fn new(sides: CrackSides, radius: f64, thickness: f64) -> Option<Self> {
        assert!(radius > 0.0 && thickness > 0.0, "lengths are positive");
        let wanted = match sides {
            CrackSides::One => 1,
            CrackSides::Two => 2,
        };
        let data = Data::get(wanted)?;
        let shares = data.radii.shares(radius / thickness);
        let block = data.block();
        let first = data.cracks.iter().position(|cracks| *cracks == wanted)? * shares.len() * block;
        let mut table = vec![0.0; block];
        for (k, share) in shares.iter().enumerate() {
            let part = data.numbers(first + k * block, block);
            table.iter_mut().zip(part).for_each(|(sum, value)| *sum += share * value);
        }
        Some(Self { radius, thickness, data, table })
    }

    /// Largest error of K between the nodes of the table, as a share of the largest K of the front: found by
    /// the tests, with residual-like fields among them.
    #[must_use]
    pub fn error(&self) -> f64 {
        self.data.error
    }

    /// Ranges of r/t, a/c and a/t for which the error was tested.
    #[must_use]
    pub fn ranges(&self) -> [[f64; 2]; 3] {
        [self.data.valid_radii, self.data.aspects.range(), [0.0, self.data.depths.range()[1]]]
    }

    /// Where a crack of depth `a` and length `c` (mm) leaves the table; empty inside it.
    ///
    /// Depths below the table are not reported: the coefficients have reached their limit there.
    #[must_use]
    pub fn outside(&self, a: f64, c: f64) -> Vec<Outside> {
        let [radii, aspects, depths] = self.ranges();
        let checks = [
            ("r/t", self.radius / self.thickness, radii),
            ("a/c", a / c, aspects),
            ("a/t", a / self.thickness, depths),
        ];
        let left = checks.into_iter().filter(|(_, value, [least, most])| {
            let slack = 1e-9 * most;
            *value > most + slack || *value < least - slack
        });
        left.map(|(quantity, value, range)| Outside { quantity, value, range }).collect()
    }

    /// Coefficients along the front of a crack of depth `a` along the bore and length `c` along the face, mm.
    ///
    /// # Panics
    /// When a length is not positive.
    #[must_use]
    pub fn front(&self, a: f64, c: f64) -> FrontCoefficients {
        assert!(a > 0.0 && c > 0.0, "lengths are positive");
        let (aspects, depths) =
            (self.data.aspects.shares(a / c), self.data.depths.shares(a / self.thickness));
        let size = self.data.angles.len() * self.data.places();
        let mut coefficients = vec![0.0; size];
        for (i, x) in aspects.iter().enumerate() {
            for (j, d) in depths.iter().enumerate() {
                let share = x * d;
                let start = (i * depths.len() + j) * size;
                let part = &self.table[start..start + size];
                coefficients.iter_mut().zip(part).for_each(|(sum, value)| *sum += share * value);
            }
        }
        let places = self.data.places();
        for (row, angle) in coefficients.chunks_mut(places).zip(&self.data.angles) {
            let scale = embedded(a, c, angle.to_radians());
            for value in row {
                *value *= scale;
            }
        }
        FrontCoefficients { a, c, data: self.data, coefficients }
    }
}

/// K along one front as a linear function of the stress at the places of the table.
#[derive(Clone, Debug)]
pub struct FrontCoefficients {
    a: f64,
    c: f64,
    data: &'static Data,
    /// `(angles, places)`, √mm.
    coefficients: Vec<f64>,
}

impl Influence {
    /// Distances from the bore over the length on the face, at which [`FrontCoefficients::samples`] ask for the stress, in
    /// their order.
    pub(crate) fn distances(&self) -> impl Iterator<Item = f64> + '_ {
        let (across, along) = (&self.data.x.samples, &self.data.z.samples);
        across.iter().flat_map(|x| along.iter().map(move |_| *x))
    }
}

impl FrontCoefficients {
    /// Distances from the bore and from the face, mm, at which the stress is asked for.
    pub fn samples(&self) -> impl Iterator<Item = [f64; 2]> + '_ {
        let (across, along) = (&self.data.x.samples, &self.data.z.samples);
        let pairs = across.iter().flat_map(|x| along.iter().map(move |z| (x, z)));
        pairs.map(|(x, z)| [x * self.c, z * self.a])
    }

    /// Stress intensity of a stress in MPa given at all [`FrontCoefficients::samples`], in their order.
    ///
    /// # Panics
    /// When the number of values is not that of the samples.
    #[must_use]
    pub(crate) fn of_values(&self, stress: &[f64]) -> FrontIntensity {
        let fitted = self.data.x.fitted(&self.data.z, stress);
        let sum = |row: &[f64]| row.iter().zip(&fitted).map(|(c, s)| c * s).sum();
        let values = self.coefficients.chunks(self.data.places()).map(sum).collect();
        FrontIntensity { angles: &self.data.angles, values }
    }

    /// Stress intensity of a stress `σ(x, z)` in MPa, `x` and `z` in mm from bore and face.
    #[must_use]
    pub fn of(&self, stress: impl Fn(f64, f64) -> f64) -> FrontIntensity {
        let values: Vec<f64> = self.samples().map(|[x, z]| stress(x, z)).collect();
        self.of_values(&values)
    }
}

/// Stress intensity along a front, MPa√mm, tension positive; negative where faces would overlap.
#[derive(Clone, Debug, PartialEq)]
pub struct FrontIntensity {
    angles: &'static [f64],
    values: Vec<f64>,
}

impl FrontIntensity {
    /// Parametric angles of the values, degrees: 0 at the face, 90 at the bore.
    #[must_use]
    pub fn angles(&self) -> &[f64] {
        self.angles
    }

    /// K at [`FrontIntensity::angles`].
    #[must_use]
    pub fn values(&self) -> &[f64] {
        &self.values
    }

    /// K at a parametric angle in degrees: a cubic through the four nearest values, the end value beyond them.
    #[must_use]
    pub fn at(&self, angle: f64) -> f64 {
        let last = self.angles.len() - 1;
        let angle = angle.clamp(self.angles[0], self.angles[last]);
        let upper = self.angles.partition_point(|tabulated| *tabulated <= angle);
        let first = upper.saturating_sub(2).min(last - 3);
        let near = &self.angles[first..first + 4];
        let share = |k: usize| -> f64 {
            let others = near.iter().enumerate().filter(|(other, _)| *other != k);
            others.map(|(_, other)| (angle - other) / (near[k] - other)).product()
        };
        (0..4).map(|k| share(k) * self.values[first + k]).sum()
    }

    /// Largest magnitude along the front.
    #[must_use]
    pub fn largest(&self) -> f64 {
        self.values.iter().fold(0.0, |most, value| most.max(value.abs()))
    }
}

/// K of an embedded ellipse with semi-axes `a` and `c` under unit pressure, √mm, at the parametric angle `phi` in
/// radians from the end of `c`.
///
/// Source: Irwin, J. Appl. Mech. 29 (1962) 651 (from memory; the exact values of the tests agree).
#[must_use]
pub fn embedded(a: f64, c: f64, phi: f64) -> f64 {
    let (small, large) = (a.min(c), a.max(c));
    let shape = (a * phi.cos()).hypot(c * phi.sin()) / large;
    (std::f64::consts::PI * small * shape).sqrt() / complete_elliptic(small / large)
}

/// Complete elliptic integral of the second kind with complementary modulus `k'` (1 for a circle),
/// by the arithmetic-geometric mean.
///
/// Source: Abramowitz & Stegun, 17.6.4 (from memory; checked at `k' = 1` and 0.5).
fn complete_elliptic(k: f64) -> f64 {
    let (mut mean, mut geometric, mut power) = (1.0, k, 0.5);
    let mut sum = power * (1.0 - k * k);
    // Seven steps reach rounding for any k' above 1e-3.
    for _ in 0..7 {
        let half = 0.5 * (mean - geometric);
        (mean, geometric) = (0.5 * (mean + geometric), (mean * geometric).sqrt());
        power *= 2.0;
        sum += power * half * half;
    }
    std::f64::consts::FRAC_PI_2 / mean * (1.0 - sum)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// E(k) for k' = 1 and k² = 0.75: Abramowitz & Stegun, table 17.1 (from memory).
    #[test]
    fn the_elliptic_integral_has_its_tabulated_values() {
        assert!((complete_elliptic(1.0) - std::f64::consts::FRAC_PI_2).abs() < 1e-14);
        assert!((complete_elliptic(0.5) - 1.211_056_027_568_459).abs() < 1e-12);
    }
}
