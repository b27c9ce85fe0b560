//! How far the perfectly plastic sheet moves: the flow rule integrated from the front inward.
//!
//! ```text
//!   (dεr − dεrᵉ)/(dεθ − dεθᵉ) = (2σr − σθ)/(2σθ − σr) = cos(ω + π/3)/cos(ω − π/3) = R
//! ```
//!
//! With the front radius `c` as time, the velocity `v = ∂u/∂c` at fixed `c` obeys
//! `v' = R(v/r − ε̇θᵉ) + ε̇rᵉ`. Along `ω` its homogeneous solution is
//! `h = e^(√3ω/2)/√sin ω`, so that
//!
//! ```text
//!   v = h [ v_c/h_c + ½ M B ∫ e^(−√3ω) (dεrᵉ/dω − R dεθᵉ/dω) dω ],   front to r
//!   r = B e^(−√3ω/2)/√sin ω,     M = ∂ ln g/∂c at fixed r,
//! ```
//!
//! and `u(r)` is the elastic value when the front passes `r` plus `∫ v dc` since.
//!
//! Takes as given what [`crate::theory::plastic_sheet`] does, and a pressure that only ever grew.
//!
//! Source: flow rule of Prandtl and Reuss as in R. Hill, The Mathematical Theory of
//! Plasticity (1950) (derived).
//!
//! Trap: at the largest pressure `R` is infinite at the bore and the velocity grows
//! like a logarithm; the displacement stays finite. A total-strain (deformation)
//! theory gives other numbers.

use std::f64::consts::{FRAC_PI_3, FRAC_PI_6};

use crate::material::elasticity::Elasticity;
use crate::numeric::quadrature::integrate;
use crate::theory::field::RotationalField;
use crate::theory::plastic_sheet::{LAST_ANGLE, LoadedSheet, PlasticSheet, angle_for_shape};
use crate::theory::range::{OutOfRange, within};

/// Panels of each of the two integrals. Four times as many move the displacement of the bore
/// by less than 1e-8 of itself, and by 4e-7 at the largest pressure, where the logarithm is.
const PANELS: u32 = 32;
/// `√3`.
const ROOT_3: f64 = 1.732_050_807_568_877_2;

impl LoadedSheet {
    /// Radial displacement at radius `r`, both mm, outward positive.
    ///
    /// # Errors
    /// [`OutOfRange`] when `r` lies outside the sheet.
    pub fn displacement(&self, r: f64) -> Result<f64, OutOfRange> {
        let r = within("radius", r, self.inner(), self.outer())?;
        let sheet = self.sheet();
        let elastic = |strength: f64| {
            let Elasticity { youngs_modulus, poissons_ratio: nu } = sheet.wall().elasticity();
            let (uniform, varying) = (strength / sheet.wall().outer().powi(2), strength / (r * r));
            r * ((1.0 - nu) * uniform + (1.0 + nu) * varying) / youngs_modulus
        };
        let Some(front) = self.front().filter(|&front| r < front) else {
            return Ok(elastic(self.strength()));
        };
        let share = (r / sheet.wall().outer()).powi(2);
        let when_reached = sheet.yield_stress() * r * r / (3.0 + share * share).sqrt();
        // c = front − (front − r) s²: the velocity at r may change like the root of the
        // distance to the last front, and s makes that smooth.
        let flow = integrate(0.0, 1.0, PANELS, |s| {
            let c = front - (front - r) * s * s;
            2.0 * s * (front - r) * velocity(sheet, r, c)
        });
        Ok(elastic(when_reached) + flow)
    }
}

/// `∂u/∂c` at radius `r` while the front is at `front`, dimensionless.
fn velocity(sheet: &PlasticSheet, r: f64, front: f64) -> f64 {
    let Elasticity { youngs_modulus, poissons_ratio: nu } = sheet.wall().elasticity();
    let share = (front / sheet.wall().outer()).powi(2);
    let size = 3.0 + share * share;
    let at_front = 6.0 * sheet.yield_stress() / youngs_modulus * ((1.0 + nu) + (1.0 - nu) * share)
        / size.powf(1.5);
    let (start, _) = sheet.front_angle(front);
    let (shape, shape_rate) = sheet.shape_at(r, front);
    let end = angle_for_shape(shape, start).unwrap_or(LAST_ANGLE);
    let homogeneous = |angle: f64| (0.5 * ROOT_3 * angle).exp() / angle.sin().sqrt();
    let scale = front * (0.5 * ROOT_3 * start).exp() * start.sin().sqrt();
    let strain = sheet.yield_stress() * 2.0 / ROOT_3 / youngs_modulus;
    let forcing = |angle: f64| {
        let radial = -(angle + FRAC_PI_6).sin();
        let hoop = -(angle - FRAC_PI_6).sin();
        let ratio = (angle + FRAC_PI_3).cos() / (angle - FRAC_PI_3).cos();
        (-ROOT_3 * angle).exp() * strain * ((radial - nu * hoop) - ratio * (hoop - nu * radial))
    };
    // The ratio has a pole at the last angle; in y = ln(last − ω) the integrand is smooth.
    let left = |angle: f64| (LAST_ANGLE - angle).max(f64::EPSILON).ln();
    let inward =
        integrate(left(start), left(end), PANELS, |y| -y.exp() * forcing(LAST_ANGLE - y.exp()));
    homogeneous(end) * (at_front / homogeneous(start) + 0.5 * shape_rate / front * scale * inward)
}
