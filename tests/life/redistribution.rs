//! The residual stress that a growing crack redistributes: superposition, which has the metal answer as an elastic
//! body does, against a crack that grows through the metal itself.

use std::ops::ControlFlow;

use hoopset::fracture::line::{Way, sides};
use hoopset::material::hardening::{Isotropic, Material};
use hoopset::process::load;
use hoopset::process::snapshot::Snapshot;
use hoopset::solver::increment::PhaseEnd;
use hoopset::solver::prescribed::Drive;
use hoopset::solver::state::State;
use hoopset::solver::supports::Supports;
use hoopset::solver::system::System;
use hoopset::study::lives::residual_state;

use crate::{Worked, one, two};

/// Lengths that the crack grows to one after the other, mm: within the compression, at its end, in the tension beyond.
const LENGTHS: [f64; 4] = [0.4, 0.8, 1.6, 3.3];
/// Steps in which the forces of a stretch are let go.
const STEP: f64 = 0.1;

/// A crack of one length.
struct Opened {
    length: f64,
    /// Displacement of its face beyond that of the state without it, with the distance from the edge, mm.
    face: Vec<[f64; 2]>,
    /// Largest growth of the equivalent plastic strain since, anywhere.
    flow: f64,
}

/// The plate under its highest load without a crack, in the metal of the case: after the work, or of a plain hole.
fn loaded(worked: &Worked, plain: bool) -> State {
    let job = &worked.case.job;
    let Snapshot { mesh, state, .. } = residual_state(&worked.snapshots).unwrap();
    let mut system =
        System::new(mesh.clone(), job.material.clone(), job.idealisation, 5.0, 3.0).unwrap();
    let mut now = if plain { system.virgin_state() } else { state.clone() };
    let load = &worked.case.life.as_ref().unwrap().load;
    let forces = load::forces(mesh, load, 5.0, &["left", "right", "bottom", "top"]).unwrap();
    run(&mut system, &mut now, forces);
    now
}

fn run(system: &mut System, state: &mut State, forces: Vec<[f64; 2]>) {
    let drive = Drive { external: Some(forces), step: STEP, ..Drive::default() };
    let end = system.run_phase(state, &drive, |_, _, _| ControlFlow::Continue(()));
    assert!(matches!(end, PhaseEnd::Done), "{end:?}");
}

/// Lets the line of `worked` go under the highest load, stretch by stretch, in the metal of the case or in one that no
/// longer yields.
fn grown(worked: &Worked, loaded: &State, yields: bool) -> Vec<Opened> {
    let job = &worked.case.job;
    let mesh = &residual_state(&worked.snapshots).unwrap().mesh;
    let metal = if yields {
        job.material.clone()
    } else {
        let elasticity = job.material.elasticity;
        let yield_stress = 1e3 * elasticity.youngs_modulus;
        Material { elasticity, yield_stress, isotropic: Isotropic::None, kinematic: vec![] }
    };
    let mut system = System::new(mesh.clone(), metal, job.idealisation, 5.0, 3.0).unwrap();
    let mut now = loaded.clone();
    if !yields {
        system.scale.force /= 1e6;
        now.backstress = system.virgin_state().backstress;
    }
    let bare = std::mem::replace(&mut system.supports, Supports::with(mesh, &[]));
    system.settle(&mut now).unwrap();
    system.supports = bare;
    let before = now.clone();
    let line = sides(mesh, &job.plate.holes[0], Way::Right);
    let edge = mesh.nodes[line[0][0]][0];
    let place = |node: usize| mesh.nodes[node][0] - edge;
    let mut grow = |length: f64| {
        let end = line.iter().position(|side| place(side[2]) >= length - 1e-9).unwrap();
        let free: Vec<usize> =
            line[..=end].iter().flat_map(|&[near, middle, _]| [near, middle]).collect();
        let mut target = now.external.clone();
        for &node in &free {
            system.supports.held[node][1] = false;
            target[node][1] = 0.0;
        }
        run(&mut system, &mut now, target);
        let moved = |state: &State, node: usize| state.displacement[node][1];
        let face = free.iter().map(|&node| [place(node), moved(&now, node) - moved(&before, node)]);
        let flow = now.points.iter().zip(&before.points);
        let flow = flow.map(|(after, before)| after.equivalent - before.equivalent);
        Opened { length: place(line[end][2]), face: face.collect(), flow: flow.fold(0.0, f64::max) }
    };
    LENGTHS.map(&mut grow).into_iter().collect()
}

/// Largest share by which the face of a crack in the metal has moved farther than that of one in an elastic body, at
/// its mouth and anywhere but the last tenth before the tip.
fn errors(metal: &Opened, elastic: &Opened) -> [f64; 2] {
    assert!((metal.length - elastic.length).abs() < 1e-12);
    let pairs = metal.face.iter().zip(&elastic.face);
    let share = pairs
        .filter(|(own, _)| own[0] < 0.9 * metal.length)
        .map(|(own, other)| (own[1] / other[1] - 1.0).abs());
    [metal.face[0][1] / elastic.face[0][1] - 1.0, share.fold(0.0, f64::max)]
}

/// Superposition takes K of the residual stress from the field without a crack, which is exact for an elastic body
/// however the crack grew. Here the crack grows through the expanded metal itself under the highest load, 190 MPa, and
/// that metal may flow as its stress is let go; the faces then open by the elastic amount, which goes with K, times
/// `1 + error`.
///
/// 2.5 %: 1.6 to 1.9 % were found while the crack is in the compression, where the factor on life is made. At 3.3 mm, in the
/// tension beyond and with a plastic zone of its own, its mouth opens by 14 and 21 % more, 0.7 and 1.2 µm. That is less than half of
/// the 1.8 and 3.6 µm that the same crack of a plain hole gains, which has no stress to redistribute.
#[test]
fn a_crack_that_grows_through_the_metal_redistributes_its_stress_as_superposition_has_it() {
    for (cracks, worked) in [("one", one()), ("two", two())] {
        let [expanded, plain] = [false, true].map(|plain| {
            let start = loaded(worked, plain);
            let [own, elastic] = [true, false].map(|yields| grown(worked, &start, yields));
            own.into_iter().zip(elastic).map(|(own, elastic)| {
                let [mouth, any] = errors(&own, &elastic);
                let of = if plain { "plain" } else { "expanded" };
                println!(
                    "{cracks}, {of}, a {:.3}: mouth {:.2e} mm, {:+.2} %, anywhere within {:.2} %, flow {:.1e}",
                    own.length, elastic.face[0][1], 100.0 * mouth, 100.0 * any, own.flow
                );
                [own.length, mouth * elastic.face[0][1], any]
            }).collect::<Vec<_>>()
        });
        for (own, other) in expanded.iter().zip(&plain) {
            if own[0] < 2.0 {
                assert!(own[2] < 0.025, "{own:?}");
            }
            assert!(own[1] < 0.5 * other[1], "{own:?} {other:?}");
        }
    }
}
