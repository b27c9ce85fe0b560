//! A hole with pressure in a plate under two unequal remote stresses: the elliptical front.
//!
//! Plane strain, perfectly plastic, yield in shear at `k`; the plastic zone encloses
//! the whole hole. With `m = (σx+σy)/2`, `d = (σy−σx)/2` remote, `D = m + p`,
//! `ξ = sign D`, `κ = ξ d/k`:
//!
//! ```text
//!   front    ellipse, semi-axes c₀(1+κ) on x and c₀(1−κ) on y, c₀ = a e^(|D|/2k − ½)
//!   plastic  σr = −p + 2kξ ln(r/a),  σθ = σr + 2kξ
//!   elastic  w = c₀(ζ + κ/ζ) = z
//!            φ = (−p+kξ)/2 + kξ ln(w/ζa),  φ' = −2ξkκ/[ζ(ζ²+κ)],  w' = c₀(1 − κ/ζ²)
//!            ψ = (kξ/ζ) c₀(1/ζ + κζ)/w'
//!            F = 2[(w/w')φ' + (w/w̄)ψ]
//!            σr = 2Re φ − ½Re F,  σθ = 2Re φ + ½Re F,  τ = ½Im F
//! ```
//!
//! Takes as given: plane strain, no hardening, small strains, stresses that grow so that nothing
//! unloads, an infinite plate.
//!
//! Source: L. A. Galin, Prikl. Mat. Mekh. 10 (1946) (formulae read in a public
//! transcription; held here against traction at the front, equilibrium and far field).
//! The only elastic-plastic closed form found that is not the same in all directions.
//!
//! Traps: stresses only; a simulation needs ν near ½ and `k = σy/√3`. Valid while the
//! ellipse encloses the hole and `|κ| ≤ √2 − 1` (the first limit usually bites first).

use nalgebra::Complex;

use crate::tensor::Polar;
use crate::theory::range::{OutOfRange, positive, within};

/// A hole whose plastic zone is bounded by an ellipse.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct EllipticFront {
    radius: f64,
    shear_yield: f64,
    pressure: f64,
    /// `ξ`.
    sense: f64,
    /// `κ`.
    ovality: f64,
    /// `c₀`, mm.
    mean_radius: f64,
}

impl EllipticFront {
    /// A hole of `radius` mm in metal that yields in shear at `shear_yield`, under
    /// `pressure` in the hole and the remote stresses `remote = [σx, σy]`, all MPa.
    ///
    /// # Errors
    /// [`OutOfRange`] when the remote stresses differ too much, or the front would cut
    /// into the hole.
    pub fn new(
        radius: f64,
        shear_yield: f64,
        pressure: f64,
        remote: [f64; 2],
    ) -> Result<Self, OutOfRange> {
        positive("radius", radius)?;
        positive("shear yield stress", shear_yield)?;
        let excess = 0.5 * (remote[0] + remote[1]) + pressure;
        let sense = excess.signum();
        let largest = std::f64::consts::SQRT_2 - 1.0;
        let ovality = sense * 0.5 * (remote[1] - remote[0]) / shear_yield;
        let ovality = within("half the remote difference over k", ovality, -largest, largest)?;
        let mean_radius = radius * (0.5 * excess.abs() / shear_yield - 0.5).exp();
        within("shorter semi-axis", mean_radius * (1.0 - ovality.abs()), radius, f64::MAX)?;
        Ok(Self { radius, shear_yield, pressure, sense, ovality, mean_radius })
    }

    /// Semi-axes of the front on x and on y, mm.
    #[must_use]
    pub fn semi_axes(&self) -> [f64; 2] {
        [self.mean_radius * (1.0 + self.ovality), self.mean_radius * (1.0 - self.ovality)]
    }

    /// Whether `(x, y)` in mm from the centre of the hole lies in the plastic zone.
    #[must_use]
    pub(crate) fn is_plastic(&self, [x, y]: [f64; 2]) -> bool {
        let [on_x, on_y] = self.semi_axes();
        x.hypot(y) >= self.radius && (x / on_x).powi(2) + (y / on_y).powi(2) <= 1.0
    }

    /// Stress at `(x, y)` in mm from the centre of the hole, polar about that centre,
    /// MPa. The axial one is that of metal that cannot change its volume, `(σr+σθ)/2`.
    ///
    /// # Errors
    /// [`OutOfRange`] inside the hole.
    pub fn stress(&self, at: [f64; 2]) -> Result<Polar, OutOfRange> {
        let r = within("radius", at[0].hypot(at[1]), self.radius, f64::MAX)?;
        let plane = if self.is_plastic(at) {
            let reach = 2.0 * self.shear_yield * self.sense;
            let radial = -self.pressure + reach * (r / self.radius).ln();
            Polar { radial, hoop: radial + reach, ..Polar::default() }
        } else {
            self.elastic_stress(Complex::new(at[0], at[1]))
        };
        Ok(Polar { axial: 0.5 * (plane.radial + plane.hoop), ..plane })
    }

    fn elastic_stress(&self, z: Complex<f64>) -> Polar {
        let (kappa, c0) = (self.ovality, self.mean_radius);
        let reach = self.shear_yield * self.sense;
        let zeta = self.outside_circle(z);
        let slope = (-zeta.powi(-2) * kappa + 1.0) * c0;
        let phi = (z / (zeta * self.radius)).ln() * reach + 0.5 * (reach - self.pressure);
        let phi_slope = -(zeta * (zeta * zeta + kappa)).inv() * (2.0 * reach * kappa);
        let psi = (zeta.inv() + zeta * kappa) * c0 * reach / (zeta * slope);
        let f = (z / slope * phi_slope + z / z.conj() * psi) * 2.0;
        Polar {
            radial: 2.0 * phi.re - 0.5 * f.re,
            hoop: 2.0 * phi.re + 0.5 * f.re,
            axial: 0.0,
            shear: 0.5 * f.im,
        }
    }

    /// The `ζ` outside the unit circle with `c₀(ζ + κ/ζ) = z`.
    fn outside_circle(&self, z: Complex<f64>) -> Complex<f64> {
        let half = z * (0.5 / self.mean_radius);
        let root = (half * half - self.ovality).sqrt();
        // The product of the two roots is κ, smaller than one: the larger is outside.
        let (plus, minus) = (half + root, half - root);
        if plus.norm_sqr() >= minus.norm_sqr() { plus } else { minus }
    }
}
