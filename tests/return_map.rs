//! The return maps: tangents, projection, and published strain paths.

use approx::assert_relative_eq;
use hoopset::material::backstress::Backstress;
use hoopset::material::hardening::{Hardening, Isotropic, Material};
use hoopset::material::state::{
    Flowed, Place, PointFlow, PointState, Response, ReturnMapError, Start, back_places,
};
use hoopset::material::{plane_stress, return_map};
use nalgebra::{Matrix4, Vector4};

#[path = "common/laws.rs"]
mod laws;
#[path = "return_map/strain_path.rs"]
mod strain_path;

use laws::{metal, metals};

type Respond = fn(&Material, &Vector4<f64>, &PointState) -> Result<Response, ReturnMapError>;

type Follow = fn(
    &Material,
    &Vector4<f64>,
    (&PointState, &Vector4<f64>),
    &mut [f64],
) -> Result<Response, ReturnMapError>;

type Map =
    fn(&Material, &[Vector4<f64>], Start<'_>, Place<'_>) -> Result<Flowed, (usize, ReturnMapError)>;

const MAPS: [Respond; 2] = [return_map::respond, plane_stress::respond];

/// A forward, a sideways and a reversed strain: each point of the path is a start.
fn path() -> Vec<Vector4<f64>> {
    vec![
        Vector4::new(0.004, -0.001, -0.0013, 0.002),
        Vector4::new(0.012, -0.006, -0.004, 0.009),
        Vector4::new(0.018, -0.002, -0.012, 0.001),
        Vector4::new(0.009, 0.004, -0.010, -0.006),
        Vector4::new(-0.003, 0.011, -0.008, -0.002),
    ]
}

/// Holds `answer(strain).tangent` against central differences of the stress.
fn tangent_is_the_derivative(strain: &Vector4<f64>, answer: impl Fn(&Vector4<f64>) -> Response) {
    let tangent = answer(strain).tangent;
    for column in 0..4 {
        let h = 1e-8;
        let mut step = Vector4::zeros();
        step[column] = h;
        let differences =
            (answer(&(strain + step)).stress - answer(&(strain - step)).stress) / (2.0 * h);
        for row in 0..4 {
            // Differences carry yield tolerance and rounding, 1e-13·350/1e-8, about 3e-3 MPa,
            // against moduli of 7e4: well inside 1e-6 of Young's modulus.
            assert_relative_eq!(
                tangent[(row, column)],
                differences[row],
                epsilon = 1e-6 * 72_000.0
            );
        }
    }
}

#[test]
fn every_tangent_agrees_with_central_differences() {
    for respond in MAPS {
        for metal in metals() {
            let mut state = PointState::default();
            for strain in path() {
                let answer = |strain: &Vector4<f64>| {
                    respond(&metal, strain, &state).expect("the path is mild")
                };
                tangent_is_the_derivative(&strain, answer);
                state = answer(&strain).state;
            }
        }
    }
}

#[test]
fn every_tangent_of_several_steps_agrees_with_central_differences() {
    for follow in [return_map::follow as Follow, plane_stress::follow] {
        for metal in metals() {
            let (mut state, mut stress) = (PointState::default(), Vector4::zeros());
            for strain in path() {
                let start = (&state, &stress);
                let answer = |strain: &Vector4<f64>| {
                    follow(&metal, strain, start, &mut [0.0; 3]).expect("the path is mild")
                };
                tangent_is_the_derivative(&strain, answer);
                let Response { state: next, stress: there, .. } = answer(&strain);
                (state, stress) = (next, there);
            }
        }
    }
}

/// What several points answer together, with their tangents: bytes of everything.
fn answers(
    map: Map,
    metal: &Material,
    strains: &[Vector4<f64>],
    old: &[(PointState, Vector4<f64>)],
) -> Vec<Vec<u64>> {
    let places = back_places(metal);
    let flows: Vec<PointFlow> = old.iter().map(|(state, _)| state.flow()).collect();
    let backs: Vec<_> =
        old.iter().flat_map(|(state, _)| &state.backstress[..places]).copied().collect();
    let stresses: Vec<_> = old.iter().map(|(_, stress)| *stress).collect();
    let (mut new_flows, mut new_backs) = (flows.clone(), backs.clone());
    let mut new_stresses = stresses.clone();
    let mut tangents = vec![Matrix4::zeros(); old.len()];
    let mut parts = vec![0.0; 3 * old.len()];
    let start = Start { flows: &flows, backs: &backs, stresses: &stresses, before: &[] };
    let place = Place {
        flows: &mut new_flows,
        backs: &mut new_backs,
        stresses: &mut new_stresses,
        tangents: Some(&mut tangents),
        parts: &mut parts,
    };
    map(metal, strains, start, place).expect("the path is mild");
    let of_point = |k: usize| {
        let backs = new_backs[k * places..(k + 1) * places].iter().flatten();
        let numbers = new_flows[k].plastic_strain.iter().chain(&new_stresses[k]);
        let numbers = numbers.chain(&tangents[k]).chain(backs).chain([&new_flows[k].equivalent]);
        numbers.chain(parts.iter().skip(k).step_by(old.len())).map(|x| x.to_bits()).collect()
    };
    (0..old.len()).map(of_point).collect()
}

/// A point answers the same alone and in any company: of points that yield sooner or later, not at
/// all, or have no strain.
#[test]
fn company_makes_no_difference() {
    let map_of_one = MAPS.into_iter().zip([return_map::answer as Map, plane_stress::answer]);
    for (respond, map) in map_of_one {
        for metal in metals() {
            let mut old = vec![(PointState::default(), Vector4::zeros()); 4];
            for (k, (state, stress)) in old.iter_mut().enumerate().skip(1) {
                let answer = respond(&metal, &path()[k - 1], state).expect("mild");
                (*state, *stress) = (answer.state, answer.stress);
            }
            let strains = [Vector4::zeros(), path()[1], path()[1] * 1.001, path()[4]];
            for first in 0..4 {
                // Fours, threes, pairs and one alone, in another order each.
                for count in 1..=4 {
                    let chosen: Vec<usize> = (0..count).map(|k| (first + k) % 4).collect();
                    let these: Vec<_> = chosen.iter().map(|&k| strains[k]).collect();
                    let histories: Vec<_> = chosen.iter().map(|&k| old[k]).collect();
                    let together = answers(map, &metal, &these, &histories);
                    for (k, answer) in together.iter().enumerate() {
                        let alone = answers(map, &metal, &these[k..=k], &histories[k..=k]);
                        assert_eq!(alone[0], *answer, "{metal:?}, {k} of {chosen:?}");
                    }
                }
            }
        }
    }
}

/// Several steps along a straight strain are that many answers, each to a strain of its own.
#[test]
fn steps_are_answers_one_after_the_other() {
    // In plane stress too: the thickness is no part of the strain there.
    for (respond, follow) in
        MAPS.into_iter().zip([return_map::follow as Follow, plane_stress::follow])
    {
        for metal in metals() {
            let (mut state, mut stress) = (PointState::default(), Vector4::zeros());
            let mut before = Vector4::zeros();
            for strain in path() {
                let start = (&state, &stress);
                let together = follow(&metal, &strain, start, &mut [0.0; 4]).expect("mild");
                let mut one = respond(&metal, &before, &state).expect("mild");
                for k in 1..=4 {
                    let at = before + (strain - before) * (f64::from(k) / 4.0);
                    one = respond(&metal, &at, &one.state).expect("mild");
                }
                assert_relative_eq!(one.stress, together.stress, epsilon = 1e-9 * 350.0);
                assert_relative_eq!(
                    one.state.plastic_strain,
                    together.state.plastic_strain,
                    epsilon = 1e-13
                );
                assert_relative_eq!(
                    one.state.equivalent,
                    together.state.equivalent,
                    epsilon = 1e-13
                );
                for (a, b) in one.state.backstress.iter().zip(&together.state.backstress) {
                    assert_relative_eq!(a, b, epsilon = 1e-9 * 350.0);
                }
                (state, stress, before) = (together.state, together.stress, strain);
            }
        }
    }
}

#[test]
fn without_fading_backstress_the_tangent_is_symmetric() {
    for respond in MAPS {
        for metal in metals().into_iter().take(6) {
            let mut state = PointState::default();
            for strain in path() {
                let answer = respond(&metal, &strain, &state).expect("the path is mild");
                let skew = (answer.tangent - answer.tangent.transpose()).abs().max();
                assert!(skew < 1e-9 * 72_000.0, "{skew}");
                state = answer.state;
            }
        }
    }
}

#[test]
fn the_projected_map_is_the_full_map_with_its_thickness_strain() {
    for metal in metals() {
        let (mut projected, mut full) = (PointState::default(), PointState::default());
        for strain in path() {
            let flat = plane_stress::respond(&metal, &strain, &projected).expect("mild");
            let mut whole = strain;
            whole[2] =
                plane_stress::thickness_strain(&metal, &flat.stress, &flat.state.plastic_strain);
            let solid = return_map::respond(&metal, &whole, &full).expect("mild");
            for i in 0..4 {
                // 1e-8 of yield is the bound asked of σzz; both maps meet their yield
                // condition to 1e-13, so what is left is rounding.
                assert_relative_eq!(solid.stress[i], flat.stress[i], epsilon = 1e-9 * 350.0);
            }
            assert_relative_eq!(
                solid.state.equivalent,
                flat.state.equivalent,
                epsilon = 1e-14,
                max_relative = 1e-10
            );
            (projected, full) = (flat.state, solid.state);
        }
    }
}

#[test]
fn every_plastic_answer_lies_on_its_yield_surface() {
    for respond in MAPS {
        for metal in metals() {
            // The first strain of the path is elastic for some of the metals.
            let start = PointState::default();
            let mut state = respond(&metal, &path()[0], &start).expect("mild").state;
            for strain in path().into_iter().skip(1) {
                let answer = respond(&metal, &strain, &state).expect("mild");
                let back: Vector4<f64> = answer.state.backstress.iter().sum();
                let mean = (answer.stress[0] + answer.stress[1] + answer.stress[2]) / 3.0;
                let xi = answer.stress - back - Vector4::new(mean, mean, mean, 0.0);
                let q = (1.5
                    * (xi[0] * xi[0] + xi[1] * xi[1] + xi[2] * xi[2] + 2.0 * xi[3] * xi[3]))
                    .sqrt();
                let yield_stress = metal.yield_stress(answer.state.equivalent);
                assert!(answer.state.equivalent > state.equivalent);
                assert_relative_eq!(q, yield_stress, max_relative = 1e-11);
                let trace: f64 = answer.state.plastic_strain.iter().take(3).sum();
                assert_relative_eq!(trace, 0.0, epsilon = 1e-16);
                state = answer.state;
            }
        }
    }
}

#[test]
fn turning_the_axes_turns_the_answer() {
    // Frame indifference under a quarter turn, which swaps x and y and flips the shear.
    let turn = |v: &Vector4<f64>| Vector4::new(v[1], v[0], v[2], -v[3]);
    for respond in MAPS {
        for metal in metals() {
            let (mut state, mut turned) = (PointState::default(), PointState::default());
            for strain in path() {
                let a = respond(&metal, &strain, &state).expect("mild");
                let b = respond(&metal, &turn(&strain), &turned).expect("mild");
                let expected = turn(&a.stress);
                for i in 0..4 {
                    assert_relative_eq!(b.stress[i], expected[i], epsilon = 1e-9);
                }
                (state, turned) = (a.state, b.state);
            }
        }
    }
}

#[test]
fn a_uniaxial_pull_and_push_follow_the_closed_form_of_the_backstress() {
    // One Armstrong–Frederick term without isotropic growth: σ = σ₀ + C/γ (1 − e^(−γ p)) forward;
    // after reversal at α₁: σ = −σ₀ − C/γ + (α₁ + C/γ) e^(−γ Δp). Derived from dα = C dεᵖ − γ α dp.
    let (c, gamma) = (20_000.0, 150.0);
    let metal = metal(Isotropic::None, vec![Backstress { modulus: c, recall: gamma }]);
    let (mut state, mut strain) = (PointState::default(), Vector4::zeros());
    let mut along = 0.0;
    // εyy is found by Newton so that σyy vanishes: a tensile test on the plane-stress map.
    let mut pull = |target: f64, steps: usize| {
        let start = along;
        let mut stress = 0.0;
        for k in 1..=steps {
            along = start + (target - start) * k as f64 / steps as f64;
            strain[0] = along;
            for _ in 0..50 {
                let answer = plane_stress::respond(&metal, &strain, &state).expect("mild");
                stress = answer.stress[0];
                if answer.stress[1].abs() < 1e-9 {
                    break;
                }
                strain[1] -= answer.stress[1] / answer.tangent[(1, 1)];
            }
            state = plane_stress::respond(&metal, &strain, &state).expect("mild").state;
        }
        (stress, state)
    };
    let (forward, at_top) = pull(0.04, 4000);
    let back_at_top = c / gamma * (1.0 - (-gamma * at_top.equivalent).exp());
    // Backward Euler is first order: 4000 steps over γ·0.04 = 6 leave about 1e-3 of C/γ at worst.
    assert_relative_eq!(forward, 350.0 + back_at_top, epsilon = 0.15);
    let (reverse, at_end) = pull(0.02, 4000);
    let travelled = at_end.equivalent - at_top.equivalent;
    assert!(travelled > 0.005, "the push must yield: {travelled}");
    let expected = -350.0 - c / gamma + (back_at_top + c / gamma) * (-gamma * travelled).exp();
    assert_relative_eq!(reverse, expected, epsilon = 0.3);
}
