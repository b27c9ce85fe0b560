//! What every field must obey whatever its formula: equilibrium, yield condition, continuity
//! at the front, net hoop force, and strains that belong to the stresses.

use approx::{assert_abs_diff_eq, assert_relative_eq};
use hoopset::material::elasticity::Elasticity;
use hoopset::material::idealisation::Idealisation;
use hoopset::numeric::quadrature::integrate;
use hoopset::theory::field::RotationalField;
use hoopset::theory::hardening_sheet::{HardeningSheet, RambergOsgood};
use hoopset::theory::lame::Ring;
use hoopset::theory::plastic_cylinder::PlasticCylinder;
use hoopset::theory::plastic_sheet::PlasticSheet;
use hoopset::theory::ream::Reamed;

const METAL: Elasticity = Elasticity { youngs_modulus: 72_000.0, poissons_ratio: 0.33 };
const YIELD: f64 = 350.0;
const BORE: f64 = 3.0;

/// Every kind of field, with the pressure in its hole.
fn fields() -> Vec<(&'static str, Box<dyn RotationalField>, f64)> {
    let mut all: Vec<(&'static str, Box<dyn RotationalField>, f64)> = Vec::new();
    for outer in [7.5, 12.0, f64::INFINITY] {
        let ring = Ring::new(BORE, outer, METAL, Idealisation::PlaneStrain).unwrap();
        all.push(("ring", Box::new(ring.at_pressure(120.0).unwrap()), 120.0));
        let cylinder = PlasticCylinder::mises(BORE, outer, YIELD, METAL).unwrap();
        let share = cylinder.limit_pressure().min(3.0 * YIELD);
        let loaded = cylinder.at_pressure(0.95 * share).unwrap();
        all.push(("cylinder", Box::new(loaded), 0.95 * share));
        let residual = loaded.released(1.0).unwrap();
        all.push(("residual cylinder", Box::new(residual), 0.0));
        all.push(("weak residual cylinder", Box::new(loaded.released(0.6).unwrap()), 0.0));
        all.push(("reamed cylinder", Box::new(Reamed::new(residual, 3.2, 0.33).unwrap()), 0.0));
        let sheet = PlasticSheet::new(BORE, outer, YIELD, METAL).unwrap();
        let pressure = 0.97 * sheet.largest_pressure();
        all.push(("sheet", Box::new(sheet.at_pressure(pressure).unwrap()), pressure));
        let highest = sheet.reverse_yield_pressure(1.0).unwrap_or(pressure);
        let moderate = sheet.at_pressure(0.99 * highest).unwrap();
        all.push(("residual sheet", Box::new(moderate.released(1.0).unwrap()), 0.0));
    }
    let curve = RambergOsgood { offset_stress: YIELD, exponent: 10.0 };
    let hardening = HardeningSheet::new(BORE, METAL, curve).unwrap();
    all.push(("hardening sheet", Box::new(hardening.at_pressure(500.0).unwrap()), 500.0));
    all
}

#[test]
fn every_field_is_in_equilibrium_and_meets_its_edges() {
    let h = 1e-5;
    for (name, field, pressure) in fields() {
        let (inner, outer) = (field.inner(), field.outer().min(30.0));
        assert_abs_diff_eq!(field.radial(inner).unwrap(), -pressure, epsilon = 1e-9 * YIELD);
        if field.outer().is_finite() {
            assert_abs_diff_eq!(field.radial(outer).unwrap(), 0.0, epsilon = 1e-9 * YIELD);
        }
        for k in 1..40 {
            let r = inner + (outer - inner) * f64::from(k) / 40.013;
            let slope = (field.radial(r + h).unwrap() - field.radial(r - h).unwrap()) / (2.0 * h);
            let here = field.stress(r).unwrap();
            // 2e-5: rounding of stresses near 1e3 over h; a front between the two points
            // would show as a change of slope times h, smaller still.
            let gap = slope - (here.hoop - here.radial) / r;
            assert!(gap.abs() < 2e-5, "{name} at {r}: {gap}");
        }
    }
}

#[test]
fn the_hoop_force_of_a_wall_balances_its_pressure() {
    for (name, field, pressure) in fields() {
        let (inner, outer) = (field.inner(), field.outer().min(30.0));
        // ∫σθ dr = p a, plus what a cut of an infinite sheet at `outer` still carries.
        let beyond = outer * field.radial(outer).unwrap();
        let force = integrate(inner, outer, 4000, |r| field.hoop(r).unwrap());
        let error = (force - pressure * inner - beyond).abs() / (YIELD * inner);
        // 1e-6: the hoop has a corner at a front, or a step at a reverse front, inside one panel.
        assert!(error < 1e-6, "{name}: {error}");
    }
}

#[test]
fn plastic_zones_lie_on_their_yield_surface_and_the_rest_below() {
    let cylinder = PlasticCylinder::new(BORE, 12.0, YIELD, METAL).unwrap();
    let loaded = cylinder.at_pressure(0.8 * cylinder.limit_pressure()).unwrap();
    let front = loaded.front().unwrap();
    let sheet = PlasticSheet::new(BORE, 12.0, YIELD, METAL).unwrap();
    let thin = sheet.at_pressure(YIELD).unwrap();
    let thin_front = thin.front().unwrap();
    for k in 0..=30 {
        let r = BORE + 9.0 * f64::from(k) / 30.0;
        let stress = loaded.stress(r).unwrap();
        let difference = stress.hoop - stress.radial;
        assert!(r >= front || (difference - YIELD).abs() < 1e-10 * YIELD);
        assert!(difference < YIELD * (1.0 + 1e-12));
        let equivalent = thin.stress(r).unwrap().cartesian(0.0).von_mises();
        assert!(r >= thin_front || (equivalent - YIELD).abs() < 1e-10 * YIELD);
        assert!(equivalent < YIELD * (1.0 + 1e-12));
    }
}

#[test]
fn stresses_and_displacements_are_continuous_at_the_front() {
    let cylinder = PlasticCylinder::new(BORE, 12.0, YIELD, METAL).unwrap();
    let loaded = cylinder.at_pressure(0.8 * cylinder.limit_pressure()).unwrap();
    let sheet = PlasticSheet::new(BORE, 12.0, YIELD, METAL).unwrap();
    let thin = sheet.at_pressure(YIELD).unwrap();
    let fields: [(&dyn RotationalField, f64); 2] =
        [(&loaded, loaded.front().unwrap()), (&thin, thin.front().unwrap())];
    for (field, front) in fields {
        let (inside, outside) = (front * (1.0 - 1e-10), front * (1.0 + 1e-10));
        let (below, above) = (field.stress(inside).unwrap(), field.stress(outside).unwrap());
        // 1e-8: the points lie 2e-10 radii apart.
        assert_abs_diff_eq!(below.radial, above.radial, epsilon = 1e-8 * YIELD);
        assert_abs_diff_eq!(below.hoop, above.hoop, epsilon = 1e-8 * YIELD);
    }
    let front = thin.front().unwrap();
    let (inside, outside) =
        (thin.displacement(front * (1.0 - 1e-9)).unwrap(), thin.displacement(front).unwrap());
    assert_relative_eq!(inside, outside, max_relative = 1e-8);
}

#[test]
fn volume_changes_elastically_in_the_plastic_cylinder() {
    // Plane strain: u' + u/r = (1+ν)(1−2ν)(σr+σθ)/E, loaded and after reverse yielding.
    let h = 1e-4;
    let cylinder = PlasticCylinder::new(BORE, 12.0, YIELD, METAL).unwrap();
    let loaded = cylinder.at_pressure(0.9 * cylinder.limit_pressure()).unwrap();
    let residual = loaded.released(0.6).unwrap();
    let bulk = 1.33 * 0.34 / 72_000.0;
    for r in [3.1, 3.5, 5.0, 8.0, 11.5] {
        let slope =
            (loaded.displacement(r + h).unwrap() - loaded.displacement(r - h).unwrap()) / (2.0 * h);
        let stress = loaded.stress(r).unwrap();
        let change = slope + loaded.displacement(r).unwrap() / r;
        // 1e-10: h² times the third derivative of a displacement near 1e-2.
        assert_abs_diff_eq!(change, bulk * (stress.radial + stress.hoop), epsilon = 1e-10);
        let slope = (residual.displacement(r + h).unwrap() - residual.displacement(r - h).unwrap())
            / (2.0 * h);
        let stress = residual.stress(r).unwrap();
        let change = slope + residual.displacement(r).unwrap() / r;
        assert_abs_diff_eq!(change, bulk * (stress.radial + stress.hoop), epsilon = 1e-10);
    }
}

#[test]
fn the_finite_sheet_flows_by_the_flow_rule() {
    // (dεr − dεrᵉ)/(dεθ − dεθᵉ) = (2σr − σθ)/(2σθ − σr) at a fixed radius, between two
    // fronts close to each other; the module uses the integrated form instead.
    let sheet = PlasticSheet::new(BORE, 12.0, YIELD, METAL).unwrap();
    let (front, dc, h) = (4.2, 1e-3, 1e-3);
    for r in [3.05, 3.4, 3.9] {
        let change = |quantity: &dyn Fn(f64) -> f64| quantity(front + dc) - quantity(front - dc);
        let at = |c: f64| sheet.at_front(c).unwrap();
        let elastic = |c: f64, hoop: bool| {
            let s = at(c).stress(r).unwrap();
            let (own, other) = if hoop { (s.hoop, s.radial) } else { (s.radial, s.hoop) };
            (own - 0.33 * other) / 72_000.0
        };
        let radial = change(&|c| {
            (at(c).displacement(r + h).unwrap() - at(c).displacement(r - h).unwrap()) / (2.0 * h)
                - elastic(c, false)
        });
        let hoop = change(&|c| at(c).displacement(r).unwrap() / r - elastic(c, true));
        let s = at(front).stress(r).unwrap();
        let ratio = (2.0 * s.radial - s.hoop) / (2.0 * s.hoop - s.radial);
        // 1e-5: central differences of step 1e-3 in front and radius.
        assert_relative_eq!(radial / hoop, ratio, max_relative = 1e-5);
        assert!(hoop > 0.0, "plastic work is not negative");
    }
}

#[test]
fn a_wide_sheet_moves_as_the_infinite_one() {
    let bore = |outer: f64| {
        let sheet = PlasticSheet::new(BORE, outer, YIELD, METAL).unwrap();
        sheet.at_pressure(YIELD).unwrap().displacement(BORE).unwrap()
    };
    // 1e-5: what an outer edge 1000 radii away changes, (a/b)² times a few.
    assert_relative_eq!(bore(3000.0), bore(f64::INFINITY), max_relative = 1e-5);
    assert!(bore(12.0) > bore(f64::INFINITY));
}

#[test]
fn strains_of_the_hardening_sheet_are_compatible() {
    // εr = d(r εθ)/dr, with εr from the total-strain law.
    let curve = RambergOsgood { offset_stress: YIELD, exponent: 10.0 };
    let loaded = HardeningSheet::new(BORE, METAL, curve).unwrap().at_bore_strain(0.02).unwrap();
    let h = 1e-4;
    for r in [3.001, 3.3, 4.0, 6.0, 20.0] {
        let slope =
            (loaded.displacement(r + h).unwrap() - loaded.displacement(r - h).unwrap()) / (2.0 * h);
        let s = loaded.stress(r).unwrap();
        let equivalent = s.cartesian(0.0).von_mises();
        let secant = 0.002 * (equivalent / YIELD).powi(10) / equivalent;
        let strain = (s.radial - 0.33 * s.hoop) / 72_000.0 + secant * (s.radial - 0.5 * s.hoop);
        // 1e-8: h² times the third derivative of the displacement.
        assert_abs_diff_eq!(slope, strain, epsilon = 1e-8);
    }
}

#[test]
fn a_profile_follows_its_field() {
    let ring = Ring::new(BORE, 12.0, METAL, Idealisation::PlaneStress).unwrap();
    let field = ring.at_pressure(100.0).unwrap();
    let profile = field.hoop_profile(9.0, 90).unwrap();
    assert_eq!(profile.values().len(), 91);
    assert_relative_eq!(profile.at(1.0).unwrap(), field.hoop(4.0).unwrap(), max_relative = 1e-12);
    assert!(field.hoop_profile(9.5, 10).is_err());
}
