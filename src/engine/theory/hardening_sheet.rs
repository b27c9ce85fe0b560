//! Plane stress with hardening: an infinite sheet of Ramberg–Osgood metal, total-strain theory.
//!
//! ```text
//!   σr = (2s/√3) cos(ω + π/6),  σθ = (2s/√3) cos(ω − π/6),  s the stress of von Mises
//!   equilibrium     dσr = (σθ − σr) dr/r
//!   compatibility   dεθ = −D dσr,   D = (1+ν)/E + (3/2) q,   q = εp(s)/s
//!   εθ = (σθ − νσr)/E + q (σθ − σr/2)
//! ```
//!
//! Putting the stresses in leaves one equation for `ω(ln s)`, from `ω = π/2` far away,
//! where the sheet is elastic, to the bore; `ln r` follows by quadrature:
//!
//! ```text
//!   dω/d(ln s) = [2cos ω/E + εp' cos(ω − π/3) + √3 q cos(ω + π/6)] / [2 sin ω (1/E + q)]
//!   d(ln r)/d(ln s) = [cos(ω + π/6) − sin(ω + π/6) dω/d(ln s)] / sin ω
//! ```
//!
//! Takes as given: plane stress, a sheet without end, small strains, stresses that grow in
//! proportion, even pressure applied for the first time. Valid up to [`LARGEST_STRAIN`] as a
//! curve; see the trap for what it says of metal.
//!
//! ```
//! use hoopset_engine::material::elasticity::Elasticity;
//! use hoopset_engine::theory::field::RotationalField;
//! use hoopset_engine::theory::hardening_sheet::{HardeningSheet, RambergOsgood};
//!
//! let metal = Elasticity { youngs_modulus: 72_000.0, poissons_ratio: 0.33 };
//! let curve = RambergOsgood { offset_stress: 350.0, exponent: 10.0 };
//! let loaded = HardeningSheet::new(3.0, metal, curve)?.at_bore_strain(0.005)?;
//! // Computed: 249.47 MPa in the hole, hoop stress there 154.23 MPa.
//! assert!((loaded.pressure() - 249.47).abs() < 0.01);
//! assert!((loaded.hoop(3.0)? - 154.23).abs() < 0.01);
//! # Ok::<(), hoopset_engine::theory::range::OutOfRange>(())
//! ```
//!
//! Source: B. Budiansky, Q. Appl. Math. 28 (1971); Y. C. Hsu and R. G. Forman,
//! J. Appl. Mech. 42 (1975) 347 (attribution from memory, equations derived).
//!
//! Trap: this is *deformation* theory. It agrees with flow theory to about 2 % in
//! pressure, but after 1 % strain not in the hoop stress at the bore (0.15 of the
//! yield stress apart at 4 %). It knows nothing of unloading.

use std::f64::consts::{FRAC_PI_2, FRAC_PI_3, FRAC_PI_6};

use crate::material::elasticity::Elasticity;
use crate::numeric::root::bracketed_newton;
use crate::numeric::runge_kutta::step;
use crate::tensor::Polar;
use crate::theory::field::{RotationalField, elastic_wall};
use crate::theory::range::{OutOfRange, elastic_constants, positive, within};

/// `√3`.
const ROOT_3: f64 = 1.732_050_807_568_877_2;
/// Plastic strain at which the offset stress is defined.
const OFFSET: f64 = 0.002;
/// Plastic over elastic strain below which the sheet counts as elastic.
const ELASTIC_SHARE: f64 = 1e-10;
/// Step in `ln s`. A quarter of it moves stresses, over `σ₀.₂`, by 6e-11 at n = 10,
/// 9e-9 at n = 32 and 1.3e-6 at n = 100.
const STEP: f64 = 0.002;
/// Hoop strain at the bore where the path ends: far beyond where small strains mean anything.
pub const LARGEST_STRAIN: f64 = 0.1;

/// The curve `ε = σ/E + 0.002 (σ/σ₀.₂)ⁿ`.
///
/// Source: W. Ramberg and W. R. Osgood, NACA TN 902 (1943) (from memory).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RambergOsgood {
    /// Stress `σ₀.₂` at a plastic strain of 0.002, MPa.
    pub offset_stress: f64,
    /// Exponent `n`, above 1.
    pub exponent: f64,
}

/// An infinite sheet of hardening metal with a round hole, unloaded, and the path of
/// states from far away to the most strained bore.
#[derive(Clone, Debug, PartialEq)]
pub struct HardeningSheet {
    inner: f64,
    elasticity: Elasticity,
    curve: RambergOsgood,
    path: Vec<State>,
}

/// The sheet under pressure in its hole.
#[derive(Clone, Debug, PartialEq)]
pub struct LoadedHardeningSheet {
    sheet: HardeningSheet,
    /// How much of the path lies outside the hole, and the state at the bore.
    outside: usize,
    bore: State,
}

/// One radius: `ln s`, `ω`, and `ln r` up to a constant.
#[derive(Clone, Copy, Debug, PartialEq)]
struct State {
    log_stress: f64,
    angle: f64,
    log_radius: f64,
}

impl HardeningSheet {
    /// A sheet with a hole of radius `inner`, mm.
    ///
    /// # Errors
    /// [`OutOfRange`] for a radius or constants that make no sheet, or an exponent not above 1.
    pub fn new(
        inner: f64,
        elasticity: Elasticity,
        curve: RambergOsgood,
    ) -> Result<Self, OutOfRange> {
        positive("inner radius", inner)?;
        positive("0.2 % offset stress", curve.offset_stress)?;
        // 1.1 and 100 keep the start of the path within what logarithms and steps can follow.
        within("Ramberg–Osgood exponent", curve.exponent, 1.1, 100.0)?;
        elastic_constants(&elasticity)?;
        let mut sheet = Self { inner, elasticity, curve, path: Vec::new() };
        // E q = ELASTIC_SHARE there: q = (0.002/σ₀.₂)(s/σ₀.₂)^(n−1).
        let share = ELASTIC_SHARE * curve.offset_stress / (OFFSET * elasticity.youngs_modulus);
        let log_stress = curve.offset_stress.ln() + share.ln() / (curve.exponent - 1.0);
        let mut state = State { log_stress, angle: FRAC_PI_2, log_radius: 0.0 };
        sheet.path.push(state);
        while sheet.hoop_strain(&state) < LARGEST_STRAIN {
            state = sheet.advanced(&state, STEP);
            sheet.path.push(state);
        }
        Ok(sheet)
    }

    /// The sheet when its hole has grown by `strain`, the radial displacement of the edge
    /// over the radius.
    ///
    /// # Errors
    /// [`OutOfRange`] when `strain` is not above zero or beyond [`LARGEST_STRAIN`].
    pub fn at_bore_strain(&self, strain: f64) -> Result<LoadedHardeningSheet, OutOfRange> {
        let strain = within("bore strain", strain, f64::MIN_POSITIVE, LARGEST_STRAIN)?;
        let compliance = |s: &State| {
            let Elasticity { youngs_modulus, poissons_ratio } = self.elasticity;
            (1.0 + poissons_ratio) / youngs_modulus + 1.5 * self.secant(s)
        };
        let slope = |s: &State| -compliance(s) * self.radial_slope(s);
        Ok(self.loaded(strain, |s| self.hoop_strain(s), slope))
    }

    /// The sheet under `pressure`, MPa.
    ///
    /// # Errors
    /// [`OutOfRange`] when the pressure is not above zero or strains the bore beyond
    /// [`LARGEST_STRAIN`].
    pub fn at_pressure(&self, pressure: f64) -> Result<LoadedHardeningSheet, OutOfRange> {
        let largest = self.path.last().map_or(0.0, |s| -s.stress().radial);
        let pressure = within("pressure", pressure, f64::MIN_POSITIVE, largest)?;
        Ok(self.loaded(pressure, |s| -s.stress().radial, |s| -self.radial_slope(s)))
    }

    /// The bore where `quantity`, which grows along the path, is `wanted`.
    fn loaded(
        &self,
        wanted: f64,
        quantity: impl Fn(&State) -> f64,
        slope: impl Fn(&State) -> f64,
    ) -> LoadedHardeningSheet {
        let outside = self.path.partition_point(|s| quantity(s) < wanted);
        let bore = if outside == 0 {
            // Still elastic everywhere: every stress grows in proportion.
            let first = self.path[0];
            let share = wanted / quantity(&first);
            State { log_stress: first.log_stress + share.ln(), ..first }
        } else {
            let before = self.path[outside - 1];
            let by = bracketed_newton(0.0, STEP, 1e-14 * wanted, |h| {
                let state = self.advanced(&before, h);
                (quantity(&state) - wanted, slope(&state))
            });
            self.advanced(&before, by.unwrap_or(STEP))
        };
        LoadedHardeningSheet { sheet: self.clone(), outside, bore }
    }

    /// `q = εp/s`, 1/MPa.
    fn secant(&self, state: &State) -> f64 {
        let RambergOsgood { offset_stress, exponent } = self.curve;
        let log_ratio = state.log_stress - offset_stress.ln();
        OFFSET / offset_stress * ((exponent - 1.0) * log_ratio).exp()
    }

    fn hoop_strain(&self, state: &State) -> f64 {
        let Polar { radial, hoop, .. } = state.stress();
        let Elasticity { youngs_modulus, poissons_ratio } = self.elasticity;
        (hoop - poissons_ratio * radial) / youngs_modulus
            + self.secant(state) * (hoop - 0.5 * radial)
    }

    /// `dω/d(ln s)` and `d(ln r)/d(ln s)`.
    fn rates(&self, state: &State) -> [f64; 2] {
        let (angle, secant) = (state.angle, self.secant(state));
        let softness = self.elasticity.youngs_modulus.recip();
        let drive = 2.0 * angle.cos() * softness
            + secant * self.curve.exponent * (angle - FRAC_PI_3).cos()
            + ROOT_3 * secant * (angle + FRAC_PI_6).cos();
        let turn = drive / (2.0 * angle.sin() * (softness + secant));
        let (sin, cos) = (angle + FRAC_PI_6).sin_cos();
        [turn, (cos - sin * turn) / angle.sin()]
    }

    /// `dσr/d(ln s)`, MPa, negative.
    fn radial_slope(&self, state: &State) -> f64 {
        let Polar { radial, hoop, .. } = state.stress();
        (hoop - radial) * self.rates(state)[1]
    }

    fn advanced(&self, state: &State, by: f64) -> State {
        let [angle, log_radius] = step(
            state.log_stress,
            [state.angle, state.log_radius],
            by,
            |log_stress, [angle, _]| self.rates(&State { log_stress, angle, log_radius: 0.0 }),
        );
        State { log_stress: state.log_stress + by, angle, log_radius }
    }
}

impl State {
    fn stress(&self) -> Polar {
        let size = 2.0 / ROOT_3 * self.log_stress.exp();
        Polar {
            radial: size * (self.angle + FRAC_PI_6).cos(),
            hoop: size * (self.angle - FRAC_PI_6).cos(),
            axial: 0.0,
            shear: 0.0,
        }
    }
}

impl LoadedHardeningSheet {
    /// Pressure in the hole, MPa.
    #[must_use]
    pub fn pressure(&self) -> f64 {
        -self.bore.stress().radial
    }

    /// Growth of the hole, displacement of its edge over its radius.
    #[must_use]
    pub fn bore_strain(&self) -> f64 {
        self.sheet.hoop_strain(&self.bore)
    }

    /// Radial displacement at radius `r`, both mm, outward positive.
    ///
    /// # Errors
    /// [`OutOfRange`] when `r` lies inside the hole.
    pub fn displacement(&self, r: f64) -> Result<f64, OutOfRange> {
        let r = within("radius", r, self.sheet.inner, f64::INFINITY)?;
        Ok(r * match self.state(r) {
            Ok(state) => self.sheet.hoop_strain(&state),
            Err(elastic) => {
                let Elasticity { youngs_modulus, poissons_ratio } = self.sheet.elasticity;
                (1.0 + poissons_ratio) * elastic.hoop / youngs_modulus
            }
        })
    }

    /// State of the path at radius `r`, or the stress there when that is farther out than
    /// the path begins and all is elastic.
    fn state(&self, r: f64) -> Result<State, Polar> {
        let sheet = &self.sheet;
        let wanted = self.bore.log_radius + (r / sheet.inner).ln();
        let nearer = sheet.path[..self.outside].partition_point(|s| s.log_radius > wanted);
        let Some(index) = nearer.checked_sub(1) else {
            let first = if self.outside == 0 { self.bore } else { sheet.path[0] };
            let reach = sheet.inner * (first.log_radius - self.bore.log_radius).exp();
            return Err(elastic_wall(first.stress().hoop * reach * reach, f64::INFINITY, r));
        };
        let before = sheet.path[index];
        let by = bracketed_newton(0.0, STEP, 1e-15, |h| {
            let state = sheet.advanced(&before, h);
            (state.log_radius - wanted, sheet.rates(&state)[1])
        });
        // `None` at the bore alone, by rounding.
        Ok(by.map_or(self.bore, |h| sheet.advanced(&before, h)))
    }
}

impl RotationalField for LoadedHardeningSheet {
    fn inner(&self) -> f64 {
        self.sheet.inner
    }

    fn outer(&self) -> f64 {
        f64::INFINITY
    }

    fn stress_within(&self, r: f64) -> Polar {
        self.state(r).map_or_else(|elastic| elastic, |state| state.stress())
    }
}
