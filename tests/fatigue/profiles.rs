//! Hoop profiles on the crack line of a hole in an infinite plate.

use hoopset::fatigue::constants::GrowthModel;
use hoopset::fatigue::crack::{CrackGeometry, CrackSides};
use hoopset::fatigue::growth::GrowthLaw;
use hoopset::fatigue::origin::Origin;
use hoopset::numeric::profile::Profile;

/// `hoop` of `r/R`, sampled to 21 radii, points crowding towards the edge: straight lines
/// between them are within 1e-5 of the curves here.
pub(crate) fn sampled(radius: f64, hoop: impl Fn(f64) -> f64) -> Profile {
    let ends: Vec<f64> = (0..=3000).map(|k| 21.0 * (f64::from(k) / 3000.0).powi(3)).collect();
    let values = ends.iter().map(|y| hoop(1.0 + y)).collect();
    Profile::new(ends.iter().map(|y| y * radius).collect(), values)
}

/// Kirsch, across the pull: 3 at the edge.
pub(crate) fn uniaxial(r: f64) -> f64 {
    1.0 + 0.5 * r.powi(-2) + 1.5 * r.powi(-4)
}

/// Equal pull both ways.
pub(crate) fn biaxial(r: f64) -> f64 {
    1.0 + r.powi(-2)
}

/// Pressure in the hole (Lamé).
pub(crate) fn pressure(r: f64) -> f64 {
    r.powi(-2)
}

/// Residual hoop over Y in plane strain, perfectly plastic, after p = Y: Hill's field less
/// the elastic one; the front is at √e.
pub(crate) fn plane_strain_residual(r: f64) -> f64 {
    if r <= 0.5_f64.exp() { r.ln() - r.powi(-2) } else { (0.5 * 1_f64.exp() - 1.0) * r.powi(-2) }
}

pub(crate) fn hole(radius: f64, sides: CrackSides) -> CrackGeometry {
    CrackGeometry::new(radius, sides).unwrap()
}

pub(crate) fn given(law: GrowthLaw) -> GrowthModel {
    GrowthModel { law, origin: Origin::given("test metal", "invented for a test") }
}
