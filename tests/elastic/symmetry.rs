//! Mirrors and turns: what does not depend on how the plate lies or how much of it is modelled.

use std::f64::consts::FRAC_PI_2;
use std::ops::ControlFlow;

use approx::assert_relative_eq;
use hoopset::material::idealisation::Idealisation;
use hoopset::material::strains::Strains;
use hoopset::mesh::build;
use hoopset::mesh::plan::MeshPlan;
use hoopset::mesh::topology::{Mesh, Symmetry};
use hoopset::process::load::forces;
use hoopset::process::stage::Load;
use hoopset::solver::increment::PhaseEnd;
use hoopset::solver::newton::Scheme;
use hoopset::solver::prescribed::Drive;
use hoopset::solver::state::State;
use hoopset::solver::system::System;
use hoopset::tensor::Stress;

use crate::common::meshes::{turned, unfolded};
use crate::common::metals::{elastic, perfect};
use crate::common::plates::{at_full_load, loaded, path, pull, rectangle};

const EDGES: [&str; 4] = ["left", "right", "bottom", "top"];

fn solve(mesh: Mesh, forces: Vec<[f64; 2]>, yield_stress: f64, step: f64) -> State {
    let metal = perfect(72_000.0, 0.33, yield_stress);
    let mut system = System::new(mesh, metal, Idealisation::PlaneStress, 1.0, 1.0).unwrap();
    system.method.strains = Strains::Small;
    system.method.scheme = Scheme::Newton;
    let mut state = system.virgin_state();
    let drive = Drive { external: Some(forces), step, ..Drive::default() };
    let end = system.run_phase(&mut state, &drive, |_, _, _| ControlFlow::Continue(()));
    assert_eq!(end, PhaseEnd::Done);
    state
}

fn part(symmetry: Symmetry) -> Mesh {
    let plate = rectangle(10.0, 8.0, &[[5.0, 4.0, 1.0]]);
    build(&plate, &MeshPlan { fineness: 0.5, symmetry, ..MeshPlan::default() }).unwrap()
}

/// A half or a quarter is not an approximation: on a mirrored mesh it gives the whole's stress
/// to the rounding of the solve, and when the metal yields (at 2.1 times the remote stress) to
/// the tolerance of equilibrium.
#[test]
fn halves_and_quarters_give_the_stress_of_the_whole() {
    for symmetry in [
        Symmetry { x: Some(5.0), y: None },
        Symmetry { x: None, y: Some(4.0) },
        Symmetry { x: Some(5.0), y: Some(4.0) },
    ] {
        for (yield_stress, step, tolerance) in [(720.0, 1.0, 1e-10), (210.0, 0.125, 1e-7)] {
            let load = Load {
                tractions: [("top", 100.0), ("bottom", 100.0), ("left", -30.0), ("right", -30.0)]
                    .map(|(edge, stress)| (edge.to_owned(), stress))
                    .to_vec(),
                ..Load::default()
            };
            let few = part(symmetry);
            let all = unfolded(&few);
            assert_eq!(all.element_count(), few.element_count() * symmetry.copies());
            let some =
                solve(few.clone(), forces(&few, &load, 1.0, &EDGES).unwrap(), yield_stress, step);
            let whole =
                solve(all.clone(), forces(&all, &load, 1.0, &EDGES).unwrap(), yield_stress, step);
            assert_eq!(some.largest_plastic_strain() > 1e-5, yield_stress < 300.0);
            // Quads of the part come first in the whole; so do its triangles, after all quads.
            let quads = 4 * few.quads.len();
            let shift = 4 * (all.quads.len() - few.quads.len());
            for (point, stress) in some.stress.iter().enumerate() {
                let twin = if point < quads { point } else { point + shift };
                let off = (stress - whole.stress[twin]).amax();
                assert!(off < tolerance * 300.0, "{symmetry:?}: {off} MPa at point {point}");
            }
        }
    }
}

/// Frame indifference: mesh and load turned by any angle, the stresses turn along.
#[test]
fn a_turned_plate_has_turned_stresses() {
    let mesh = part(Symmetry::default());
    let load = pull(["top", "bottom"], 100.0);
    let straight = forces(&mesh, &load, 1.0, &EDGES).unwrap();
    for (yield_stress, step, tolerance) in [(720.0, 1.0, 1e-10), (210.0, 0.125, 1e-7)] {
        let reference = solve(mesh.clone(), straight.clone(), yield_stress, step);
        for angle in [FRAC_PI_2, 0.65] {
            let (sin, cos) = angle.sin_cos();
            let around =
                straight.iter().map(|[x, y]| [cos * x - sin * y, sin * x + cos * y]).collect();
            let state = solve(turned(&mesh, angle), around, yield_stress, step);
            for (stress, turned) in reference.stress.iter().zip(&state.stress) {
                let back = Stress::from(*turned).polar(angle);
                let off = [
                    back.radial - stress[0],
                    back.hoop - stress[1],
                    back.axial - stress[2],
                    back.shear - stress[3],
                ];
                assert!(off.iter().all(|off| off.abs() < tolerance * 300.0), "{off:?} at {angle}");
            }
        }
    }
}

/// A square plate cannot tell a pull along x from one along y, up to its mesh, which is not
/// symmetric about the diagonal outside the rings: 0.1 %.
#[test]
fn a_pull_turned_by_a_right_angle_turns_the_stress() {
    let plate = rectangle(10.0, 10.0, &[[5.0, 5.0, 1.0]]);
    let metal = elastic(72_000.0, 0.33);
    let pulled = |edges| {
        let load = pull(edges, 1.0);
        at_full_load(loaded(plate.clone(), metal.clone(), Idealisation::PlaneStress, load), 1.0)
    };
    let (up, along) = (pulled(["top", "bottom"]), pulled(["left", "right"]));
    for (a, b) in [(0.0, 90.0), (90.0, 180.0), (180.0, 270.0), (270.0, 0.0)] {
        let (first, second) = (path(&up, "A", a), path(&along, "A", b));
        assert_relative_eq!(
            first.points[0].stress.hoop,
            second.points[0].stress.hoop,
            max_relative = 1e-3
        );
    }
}
