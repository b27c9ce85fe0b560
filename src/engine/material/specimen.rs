//! A bar of the metal that is pulled and pushed along its axis, free across it: what a test machine
//! would record, for curves and loops.

use nalgebra::Vector4;

use crate::material::hardening::Material;
use crate::material::plane_stress::respond;
use crate::material::state::{PointState, ReturnMapError};

/// Stress across the bar that counts as none, over the yield stress.
const FREE: f64 = 1e-10;
/// Corrections of the strain across the bar.
const CORRECTIONS: usize = 50;

/// Axial stress (MPa) of a bar whose axial strain takes the values of `strains` one after another, from
/// none; strains are small, tension positive. Each step is integrated as one, so steps should be small.
///
/// # Errors
///
/// [`ReturnMapError`] when a step is too large for the metal to be followed.
pub fn pulled(material: &Material, strains: &[f64]) -> Result<Vec<f64>, ReturnMapError> {
    let mut state = PointState::default();
    let mut across = 0.0;
    let mut stresses = Vec::with_capacity(strains.len());
    for &axial in strains {
        let mut answer = respond(material, &Vector4::new(axial, across, 0.0, 0.0), &state)?;
        for _ in 0..CORRECTIONS {
            if answer.stress[1].abs() <= FREE * material.yield_stress {
                break;
            }
            across -= answer.stress[1] / answer.tangent[(1, 1)];
            answer = respond(material, &Vector4::new(axial, across, 0.0, 0.0), &state)?;
        }
        state = answer.state;
        stresses.push(answer.stress[0]);
    }
    Ok(stresses)
}

/// Strains of a first pull to `amplitude` and of `cycles` cycles between it and its negative, `steps` to
/// a quarter of a cycle.
#[must_use]
pub fn cycles(amplitude: f64, cycles: usize, steps: usize) -> Vec<f64> {
    let mut turns = vec![0.0, amplitude];
    for _ in 0..cycles {
        turns.extend([-amplitude, amplitude]);
    }
    let mut strains = vec![0.0];
    for pair in turns.windows(2) {
        let quarters = ((pair[1] - pair[0]).abs() / amplitude).round();
        let count = quarters * steps as f64;
        let mut step = 1.0;
        while step <= count {
            strains.push(pair[0] + (pair[1] - pair[0]) * step / count);
            step += 1.0;
        }
    }
    strains
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::material::library::alloys;

    #[test]
    fn a_first_pull_follows_the_monotonic_curve() {
        for alloy in alloys() {
            let metal = &alloy.material;
            let strains: Vec<f64> = (0..=4000).map(|k| 1e-5 * f64::from(k)).collect();
            let stresses = pulled(metal, &strains).expect("small steps");
            for (strain, stress) in strains.iter().zip(&stresses) {
                let plastic = strain - stress / metal.elasticity.youngs_modulus;
                let curve = if plastic > 1e-9 { metal.monotonic_stress(plastic) } else { *stress };
                // Backward steps lag by half a step of what saturates.
                assert!(
                    (stress - curve).abs() < 0.004 * metal.yield_stress,
                    "{} {strain}",
                    alloy.name
                );
            }
        }
    }

    #[test]
    fn a_cycle_turns_where_it_should() {
        let strains = cycles(0.01, 1, 4);
        assert_eq!(strains.len(), 1 + 4 + 8 + 8);
        assert!((strains[4] - 0.01).abs() < 1e-15);
        assert!((strains[12] + 0.01).abs() < 1e-15);
        assert!((strains[20] - 0.01).abs() < 1e-15);
    }
}
