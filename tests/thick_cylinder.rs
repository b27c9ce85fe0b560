//! The solver on a pressurised ring, against closed forms.

mod common;

use std::ops::ControlFlow;

use approx::assert_relative_eq;
use common::{graded, perfect, pressure_forces, quarter_annulus};
use hoopset::material::idealisation::Idealisation;
use hoopset::solver::increment::{Drive, PhaseEnd};
use hoopset::solver::system::System;

#[test]
fn textbook_cylinder() {
    // inner 100, outer 200 mm, E 210 GPa, nu 0.3, 240 MPa
    let mesh = quarter_annulus(&graded(100.0, 200.0, 20, 1.05), 9);
    let forces = pressure_forces(&mesh, 180.0, 1.0);
    let mut system =
        System::new(mesh, perfect(210_000.0, 0.3, 240.0), Idealisation::PlaneStrain, 1.0, 100.0)
            .unwrap();
    let mut state = system.virgin_state();
    let drive = Drive { external: Some(forces), step: 0.1, ..Drive::default() };
    let end = system.run_phase(&mut state, &drive, |_, s, i| {
        println!("{} its {:?} {:?} {:?}", i.share, i.iterations.residuals, i.cutbacks, s.energy);
        ControlFlow::Continue(())
    });
    assert_eq!(end, PhaseEnd::Done);
    let rim = system.mesh.edges[0].sides[0][0];
    println!("u_b {}", state.displacement[rim][0]);
    assert_relative_eq!(state.displacement[rim][0], 0.153_301_5, max_relative = 0.01);
}
