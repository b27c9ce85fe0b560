//! The two laws that bound a combined one: all of its hardening isotropic, or all kinematic.
//!
//! The three follow the same curve in a first, uniaxial pull and differ after the first
//! reversal, where the truth of a metal lies between. Where the parts of a law can be
//! exchanged they are, exactly:
//!
//! ```text
//! Q (1 − e^(−b p))  =  C/γ (1 − e^(−γ p))   with C = Q b, γ = b
//! h p               =  C p                  with C = h,   γ = 0
//! ```
//!
//! A Ramberg–Osgood or tabulated curve has no exact kinematic twin: it is fitted with
//! Armstrong–Frederick terms of fixed recalls, and the misfit is returned.

use nalgebra::{DMatrix, DVector};

use crate::material::backstress::{Backstress, MOST_TERMS};
use crate::material::hardening::{Isotropic, Material, PastEnd, VoceTerm};

/// Recalls of a fitted sum: none for the straight part, then a factor of 8 apart, at which
/// a sum of such terms follows a power law from p = 1e-4 to 0.1 to about 1 %.
const RECALLS: [f64; MOST_TERMS] = [0.0, 10.0, 80.0, 640.0, 5120.0, 40_960.0];

/// Plastic strains between which a fit counts. Smaller ones are lost beside the elastic
/// strain at yield, some 5e-3; larger ones lie beyond small-strain theory.
const FITTED: [f64; 2] = [1e-4, 0.1];

/// Points of a fit, spaced evenly on a logarithmic scale; 60 a decade.
const FIT_POINTS: usize = 180;

/// Last plastic strain of a tabulated sum of laws; no edge of a hole comes near it.
const TABLE_END: f64 = 1.0;

/// The material with all of its hardening isotropic.
///
/// Exact, except when a backstress is added to a Ramberg–Osgood or tabulated curve: the sum
/// is then tabulated, to better than 0.02 % in stress.
#[must_use]
pub fn purely_isotropic(material: &Material) -> Material {
    if material.kinematic.is_empty() {
        return material.clone();
    }
    let isotropic = match saturating_parts(&material.isotropic) {
        Some((mut terms, mut slope)) => {
            for term in &material.kinematic {
                if term.recall == 0.0 {
                    slope += term.modulus;
                } else {
                    let saturation = term.modulus / term.recall;
                    terms.push(VoceTerm { saturation, rate: term.recall });
                }
            }
            Isotropic::Voce { terms, slope }
        }
        None => tabulated(material),
    };
    let yield_stress = material.elastic_limit();
    Material { yield_stress, isotropic, kinematic: vec![], ..material.clone() }
}

/// The material with all of its hardening kinematic, and the largest misfit of its first
/// pull between p = 1e-4 and 0.1, as a fraction of the yield stress; 0 when exact.
///
/// For Ramberg–Osgood, whose elastic limit is nominal, the fit also chooses the yield
/// stress; every other law keeps its own.
#[must_use]
pub fn purely_kinematic(material: &Material) -> (Material, f64) {
    if let Some((terms, slope)) = saturating_parts(&material.isotropic) {
        let mut kinematic = material.kinematic.clone();
        for term in terms {
            add(&mut kinematic, term.saturation * term.rate, term.rate);
        }
        add(&mut kinematic, slope, 0.0);
        if kinematic.len() <= MOST_TERMS {
            return (Material { isotropic: Isotropic::None, kinematic, ..material.clone() }, 0.0);
        }
    }
    let free_start = matches!(material.isotropic, Isotropic::RambergOsgood { .. });
    let (yield_stress, kinematic) = fitted(material, free_start);
    let twin = Material { yield_stress, isotropic: Isotropic::None, kinematic, ..material.clone() };
    let misfit = fit_strains()
        .map(|p| (twin.monotonic_stress(p) - material.monotonic_stress(p)).abs())
        .fold(0.0, f64::max);
    (twin, misfit / material.yield_stress)
}

/// The law as saturating terms and a slope, when it is of that kind.
fn saturating_parts(law: &Isotropic) -> Option<(Vec<VoceTerm>, f64)> {
    match law {
        Isotropic::None => Some((vec![], 0.0)),
        Isotropic::Linear { slope } => Some((vec![], *slope)),
        Isotropic::Voce { terms, slope } => Some((terms.clone(), *slope)),
        // Any other law is fitted.
        _ => None,
    }
}

/// Adds a backstress term, or its modulus to a term of the same recall: such terms move together.
fn add(terms: &mut Vec<Backstress>, modulus: f64, recall: f64) {
    if modulus == 0.0 {
        return;
    }
    match terms.iter_mut().find(|term| term.recall.total_cmp(&recall).is_eq()) {
        Some(term) => term.modulus += modulus,
        None => terms.push(Backstress { modulus, recall }),
    }
}

/// The first pull as a table: the corners of the law, if it has any, and a fine grid.
fn tabulated(material: &Material) -> Isotropic {
    let (mut strains, past_end) = match &material.isotropic {
        Isotropic::Table { points, past_end } => {
            (points.iter().map(|point| point[0]).collect(), *past_end)
        }
        _ => (vec![], PastEnd::Flat),
    };
    strains.push(0.0);
    // 1e-7 to 1, 100 points a decade: chords of a curve with a steep start.
    strains.extend((0..=700).map(|k| TABLE_END * 10_f64.powf(f64::from(k) / 100.0 - 7.0)));
    strains.sort_by(f64::total_cmp);
    strains.dedup();
    let points = strains.into_iter().map(|p| [p, material.monotonic_stress(p)]).collect();
    Isotropic::Table { points, past_end }
}

#[allow(clippy::cast_precision_loss, reason = "a few hundred points")]
fn fit_strains() -> impl Iterator<Item = f64> {
    let step = (FITTED[1] / FITTED[0]).ln() / (FIT_POINTS - 1) as f64;
    (0..FIT_POINTS).map(move |k| FITTED[0] * (step * k as f64).exp())
}

/// Yield stress and backstress terms of the best fit, no term negative.
///
/// With so few unknowns every choice of terms can be tried: the best of the least-squares
/// solutions that came out without a negative one is the non-negative optimum.
fn fitted(material: &Material, free_start: bool) -> (f64, Vec<Backstress>) {
    let start = material.elastic_limit();
    let strains: Vec<f64> = fit_strains().collect();
    let unit_terms = RECALLS.map(|recall| Backstress { modulus: recall.max(1.0), recall });
    let columns = MOST_TERMS + usize::from(free_start);
    // Relative misfit: every row is divided by the stress wanted there.
    let basis = DMatrix::from_fn(strains.len(), columns, |row, column| {
        let p = strains[row];
        let rise = unit_terms.get(column).map_or(1.0, |term| term.monotonic_rise(p));
        rise / material.monotonic_stress(p)
    });
    let base = if free_start { 0.0 } else { start };
    let wanted = DVector::from_fn(strains.len(), |row, _| {
        let stress = material.monotonic_stress(strains[row]);
        (stress - base) / stress
    });
    let mut best = (f64::INFINITY, vec![0.0; columns]);
    for choice in 1..(1_usize << columns) {
        let chosen: Vec<usize> = (0..columns).filter(|at| choice & (1 << at) != 0).collect();
        if free_start && !chosen.contains(&MOST_TERMS) {
            continue; // a metal without yield stress
        }
        let part = basis.select_columns(&chosen);
        let decomposed = part.clone().qr();
        let right = decomposed.q().transpose() * &wanted;
        let Some(solution) = decomposed.r().solve_upper_triangular(&right) else { continue };
        let misfit = (&part * &solution - &wanted).norm_squared();
        if solution.iter().all(|value| *value > 0.0) && misfit < best.0 {
            let mut values = vec![0.0; columns];
            for (at, value) in chosen.iter().zip(solution.iter()) {
                values[*at] = *value;
            }
            best = (misfit, values);
        }
    }
    let (_, values) = best;
    let kinematic = unit_terms
        .iter()
        .zip(&values)
        .filter(|(_, value)| **value > 0.0)
        .map(|(term, value)| Backstress { modulus: term.modulus * value, recall: term.recall })
        .collect();
    (if free_start { values[MOST_TERMS] } else { start }, kinematic)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::material::elasticity::Elasticity;
    use approx::assert_relative_eq;

    fn metal(isotropic: Isotropic, kinematic: Vec<Backstress>) -> Material {
        let elasticity = Elasticity { youngs_modulus: 72_000.0, poissons_ratio: 0.33 };
        Material { elasticity, yield_stress: 350.0, isotropic, kinematic }
    }

    fn voce() -> Isotropic {
        let terms = vec![VoceTerm { saturation: 90.0, rate: 25.0 }];
        Isotropic::Voce { terms, slope: 300.0 }
    }

    fn terms() -> Vec<Backstress> {
        [(20_000.0, 150.0), (5_000.0, 25.0), (400.0, 0.0)]
            .map(|(modulus, recall)| Backstress { modulus, recall })
            .to_vec()
    }

    #[test]
    fn a_combined_law_and_its_bounds_pull_alike() {
        for isotropic in [Isotropic::None, Isotropic::Linear { slope: 800.0 }, voce()] {
            let combined = metal(isotropic, terms());
            let isotropic = purely_isotropic(&combined);
            let (kinematic, misfit) = purely_kinematic(&combined);
            assert!(isotropic.kinematic.is_empty());
            assert_eq!(kinematic.isotropic, Isotropic::None);
            assert!(misfit == 0.0);
            for p in [0.0, 1e-5, 2e-3, 0.04, 0.3] {
                let wanted = combined.monotonic_stress(p);
                // Rounding of sums in another order.
                assert_relative_eq!(isotropic.monotonic_stress(p), wanted, max_relative = 1e-13);
                assert_relative_eq!(kinematic.monotonic_stress(p), wanted, max_relative = 1e-13);
            }
        }
    }

    #[test]
    fn terms_of_one_recall_are_joined() {
        let (kinematic, _) = purely_kinematic(&metal(voce(), terms()));
        // Recalls 150, 25 (twice), 0 (twice).
        assert_eq!(kinematic.kinematic.len(), 3);
        // 5000 of the backstress + 90 × 25 of the Voce term, by hand.
        assert_relative_eq!(kinematic.kinematic[1].modulus, 7250.0);
    }

    #[test]
    fn a_ramberg_osgood_curve_is_fitted_within_one_percent() {
        for exponent in [5.0, 10.0, 20.0, 35.0] {
            let (kinematic, misfit) =
                purely_kinematic(&metal(Isotropic::RambergOsgood { exponent }, vec![]));
            // Terms a factor of 8 apart ripple about a power law by about this.
            assert!(misfit > 0.0 && misfit < 0.01, "n {exponent}: {misfit}");
            assert!(kinematic.yield_stress < 350.0);
        }
    }

    #[test]
    fn a_table_keeps_its_elastic_limit() {
        let points = vec![[0.0, 350.0], [0.01, 380.0], [0.05, 420.0], [0.1, 440.0]];
        let table = metal(Isotropic::Table { points, past_end: PastEnd::Flat }, vec![]);
        let (kinematic, misfit) = purely_kinematic(&table);
        assert_relative_eq!(kinematic.yield_stress, 350.0);
        // A smooth sum cuts the corners of a table.
        assert!(misfit < 0.02, "{misfit}");
    }

    #[test]
    fn a_backstress_on_a_power_law_is_tabulated_closely() {
        let combined = metal(Isotropic::RambergOsgood { exponent: 10.0 }, terms());
        let isotropic = purely_isotropic(&combined);
        for k in 0..400 {
            let p = 1e-6 * 10_f64.powf(f64::from(k) / 80.0);
            let wanted = combined.monotonic_stress(p);
            assert_relative_eq!(isotropic.monotonic_stress(p), wanted, max_relative = 2e-4);
        }
    }

    #[test]
    fn more_terms_than_a_point_carries_are_fitted() {
        let terms = (0..8)
            .map(|k| VoceTerm { saturation: 10.0, rate: 10.0 * 3_f64.powi(k) })
            .collect::<Vec<_>>();
        let (kinematic, misfit) =
            purely_kinematic(&metal(Isotropic::Voce { terms, slope: 0.0 }, vec![]));
        assert!(kinematic.kinematic.len() <= MOST_TERMS);
        assert!(misfit > 0.0 && misfit < 0.01, "{misfit}");
    }

    #[test]
    fn a_perfectly_plastic_metal_is_its_own_bound() {
        let plain = metal(Isotropic::None, vec![]);
        assert_eq!(purely_isotropic(&plain), plain);
        assert_eq!(purely_kinematic(&plain), (plain, 0.0));
    }
}
