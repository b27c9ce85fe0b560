//! Patch test: any uniform stress on any mesh gives that stress everywhere.
//!
//! Source: B. M. Irons' test, as R. L. Taylor et al., Int. J. Numer. Meth. Engng 22 (1986),
//! state it (from memory). Uniform tractions all round the outline; no displacement is
//! prescribed beyond what stops a rigid motion, the strictest form of the test.

use std::ops::ControlFlow;

use approx::assert_abs_diff_eq;
use hoopset::material::elasticity::Elasticity;
use hoopset::material::idealisation::Idealisation;
use hoopset::material::strains::Strains;
use hoopset::mesh::build;
use hoopset::mesh::plan::MeshPlan;
use hoopset::mesh::topology::{HoleMesh, Mesh};
use hoopset::solver::increment::PhaseEnd;
use hoopset::solver::newton::Scheme;
use hoopset::solver::prescribed::Drive;
use hoopset::solver::state::State;
use hoopset::solver::system::System;

use crate::common::meshes::{self, patch};
use crate::common::metals::elastic;
use crate::common::plates::rectangle;

const YOUNG: f64 = 72_000.0;
const NU: f64 = 0.33;
const ALL: [Idealisation; 3] =
    [Idealisation::PlaneStress, Idealisation::PlaneStrain, Idealisation::GeneralisedPlaneStrain];
/// Three independent uniform stresses `(xx, yy, xy)` and one mixture, MPa.
const STRESSES: [[f64; 3]; 4] =
    [[100.0, 0.0, 0.0], [0.0, 100.0, 0.0], [0.0, 0.0, 100.0], [70.0, -40.0, 55.0]];

/// Nodal forces of the tractions that a uniform stress has on the given sides.
fn tractions<'a>(
    mesh: &Mesh,
    sides: impl Iterator<Item = (&'a [usize; 3], f64)>,
    [xx, yy, xy]: [f64; 3],
) -> Vec<[f64; 2]> {
    meshes::tractions(mesh, sides, [xx, xy, xy, yy])
}

fn answer(mesh: Mesh, idealisation: Idealisation, forces: Vec<[f64; 2]>) -> (System, State) {
    let mut system = System::new(mesh, elastic(YOUNG, NU), idealisation, 1.0, 1.0).unwrap();
    system.method.strains = Strains::Small;
    system.method.scheme = Scheme::Newton;
    let mut state = system.virgin_state();
    let drive = Drive { external: Some(forces), step: 1.0, ..Drive::default() };
    let end = system.run_phase(&mut state, &drive, |_, _, _| ControlFlow::Continue(()));
    assert_eq!(end, PhaseEnd::Done);
    (system, state)
}

/// Stress and strain through the thickness that go with a uniform stress in the plane.
fn through_thickness(idealisation: Idealisation, [xx, yy, _]: [f64; 3]) -> (f64, f64) {
    match idealisation {
        Idealisation::PlaneStrain => (NU * (xx + yy), 0.0),
        _ => (0.0, -NU * (xx + yy) / YOUNG),
    }
}

#[test]
fn a_patch_of_both_elements_carries_any_uniform_stress() {
    for idealisation in ALL {
        for stress in STRESSES {
            let mesh = patch();
            let sides = mesh.edges[0].sides.iter().map(|side| (side, 1.0));
            let forces = tractions(&mesh, sides, stress);
            let (_, state) = answer(mesh, idealisation, forces);
            let [xx, yy, xy] = stress;
            let (zz, _) = through_thickness(idealisation, stress);
            for point in &state.stress {
                for (found, expected) in point.iter().zip([xx, yy, zz, xy]) {
                    // 1e-10 of the stress: rounding of a solve of a hundred unknowns.
                    assert_abs_diff_eq!(*found, expected, epsilon = 1e-8);
                }
            }
        }
    }
}

#[test]
fn a_patch_of_both_elements_moves_linearly() {
    for idealisation in ALL {
        for stress in STRESSES {
            let mesh = patch();
            let sides = mesh.edges[0].sides.iter().map(|side| (side, 1.0));
            let forces = tractions(&mesh, sides, stress);
            let (system, state) = answer(mesh, idealisation, forces);
            let [xx, yy, xy] = stress;
            let (zz, axial) = through_thickness(idealisation, stress);
            let strain = [
                (xx - NU * (yy + zz)) / YOUNG,
                (yy - NU * (xx + zz)) / YOUNG,
                Elasticity { youngs_modulus: YOUNG, poissons_ratio: NU }.shear_modulus().recip()
                    * 0.5
                    * xy,
            ];
            // Two nodes give the rigid motion; all the others are then foretold.
            let at = |node: usize| (system.mesh.nodes[node], state.displacement[node]);
            let ((p, u), (q, v)) = (at(0), at(3));
            let turn = (v[1] - u[1]) / (q[0] - p[0]) - strain[2];
            for node in 0..system.mesh.nodes.len() {
                let (r, w) = at(node);
                let (x, y) = (r[0] - p[0], r[1] - p[1]);
                let expected = [
                    u[0] + strain[0] * x + (strain[2] - turn) * y,
                    u[1] + (strain[2] + turn) * x + strain[1] * y,
                ];
                for axis in 0..2 {
                    // Displacements are about 4e-3 mm: 1e-10 of that.
                    assert_abs_diff_eq!(w[axis], expected[axis], epsilon = 4e-13);
                }
            }
            if idealisation == Idealisation::GeneralisedPlaneStrain {
                assert_abs_diff_eq!(state.axial_strain, axial, epsilon = 1e-13);
            }
        }
    }
}

/// Curved sides are no exception: an edge of three nodes turns the integral of the gradients of
/// both elements into polynomials that their 2×2 and 3 points integrate exactly. So the whole mesh
/// of a plate with a hole passes, when the tractions act round the hole as well.
#[test]
fn the_mesh_of_a_plate_with_a_hole_carries_any_uniform_stress() {
    let plate = rectangle(20.0, 14.0, &[[7.0, 8.0, 2.0]]);
    let mesh = build(&plate, &MeshPlan { fineness: 0.5, ..MeshPlan::default() }).unwrap();
    assert!(!mesh.quads.is_empty() && !mesh.triangles.is_empty());
    for idealisation in ALL {
        for stress in STRESSES {
            let holes: Vec<[usize; 3]> = mesh.holes.iter().flat_map(HoleMesh::sides).collect();
            // Round a hole the plate lies on the right of a side.
            let outer = mesh.edges.iter().flat_map(|edge| &edge.sides).map(|side| (side, 1.0));
            let sides = outer.chain(holes.iter().map(|side| (side, -1.0)));
            let forces = tractions(&mesh, sides, stress);
            let (_, state) = answer(mesh.clone(), idealisation, forces);
            let [xx, yy, xy] = stress;
            let (zz, _) = through_thickness(idealisation, stress);
            for point in &state.stress {
                for (found, expected) in point.iter().zip([xx, yy, zz, xy]) {
                    // 1e-10 of the stress.
                    assert_abs_diff_eq!(*found, expected, epsilon = 1e-8);
                }
            }
        }
    }
}
