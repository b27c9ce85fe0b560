//! The solver as numerics: rate of Newton's method, roll-back, threads, failure, resumption.
//!
//! Expectations follow from definitions: a consistent tangent converges quadratically (J. C. Simo
//! and R. L. Taylor, Comput. Methods Appl. Mech. Engng 48 (1985) 101–118, from memory); everything
//! else is bitwise equality.
#![allow(clippy::unwrap_used, clippy::float_cmp, clippy::cast_precision_loss, missing_docs)]
#![allow(clippy::print_stdout, reason = "what was measured, for `--nocapture`")]

mod common;

use std::ops::ControlFlow;

use common::expansion::{drive, expand, ready, rigid};
use common::metals::{combined, perfect, power_law};
use common::plates::{disc, rectangle, run, run_sequence};
use common::wall::Wall;
use hoopset::material::hardening::Material;
use hoopset::material::idealisation::Idealisation;
use hoopset::material::strains::Strains;
use hoopset::process::job::{Job, Numerics};
use hoopset::process::sequence::Sequence;
use hoopset::process::snapshot::Snapshot;
use hoopset::process::stage::Stage;
use hoopset::solver::increment::PhaseEnd;
use hoopset::solver::increment_error::Cause;
use hoopset::solver::newton::Scheme;
use hoopset::solver::prescribed::Drive;
use hoopset::solver::state::State;
use hoopset::solver::system::System;

/// Orders of convergence seen in the residuals of one increment: `ln(r₃/r₂)/ln(r₂/r₁)` where
/// all three are small enough for the theory and large enough for the arithmetic.
fn orders(residuals: &[f64]) -> Vec<f64> {
    residuals
        .windows(3)
        .filter(|r| r[0] < 5e-2 && r[1] < 1e-2 && r[2] > 1e-13 && r[2] < r[1] && r[1] < r[0])
        .map(|r| (r[2] / r[1]).ln() / (r[1] / r[0]).ln())
        .collect()
}

/// Residual histories of a pressurised ring and of an expanded disc of `material`.
fn histories(material: &Material, idealisation: Idealisation) -> Vec<Vec<f64>> {
    let mut kept = Vec::new();
    let mut wall = Wall::by_hand((100.0, 200.0), material.clone(), idealisation, (16, 1.05, 8));
    // The derivative of several parts together is not symmetric.
    wall.system.method.strain_parts = 1;
    wall.system.method.path_tolerance = None;
    // Large increments: each takes enough iterations to show a rate.
    let end = wall.try_press(0.7 * material.yield_stress, 0.5, |_, increment| {
        kept.push(increment.iterations.residuals.clone());
    });
    assert_eq!(end, PhaseEnd::Done);
    let job = Job {
        plate: disc(3.0, 15.0),
        idealisation,
        material: material.clone(),
        stages: vec![expand(rigid(6.12))],
        numerics: Numerics { fineness: 0.5, increments: 3, ..Numerics::default() },
        supports: vec![],
        regions: vec![],
    };
    let (mut system, mut state, start) = ready(&job);
    system.method.scheme = Scheme::Newton;
    system.method.strain_parts = 1;
    system.method.path_tolerance = None;
    drive(&mut system, &mut state, [start, 3.06], 3, false, |_, _, increment| {
        kept.push(increment.iterations.residuals.clone());
    });
    kept
}

fn median(mut values: Vec<f64>) -> f64 {
    values.sort_by(f64::total_cmp);
    values[values.len() / 2]
}

/// Isotropic laws have a symmetric tangent that is exactly the derivative: order 2. Single triples
/// scatter, because the residual is a sum over many points that change regime one by one.
#[test]
fn newton_is_quadratic_when_the_tangent_is_symmetric() {
    for material in [perfect(72_000.0, 0.33, 350.0), power_law(72_000.0, 0.33, 350.0, 10.0)] {
        for idealisation in [
            Idealisation::PlaneStress,
            Idealisation::PlaneStrain,
            Idealisation::GeneralisedPlaneStrain,
        ] {
            let found: Vec<f64> =
                histories(&material, idealisation).iter().flat_map(|r| orders(r)).collect();
            assert!(found.len() >= 3, "too few good triples of residuals: {found:?}");
            let middle = median(found.clone());
            println!(
                "{idealisation:?} {:?}: median order {middle:.2} of {found:.2?}",
                material.isotropic
            );
            assert!(middle > 1.8, "{idealisation:?}: {found:?}");
        }
    }
}

/// Recall terms make the tangent unsymmetric; the solver takes its symmetric half and pays with a
/// rate that is only nearly quadratic.
#[test]
fn newton_stays_fast_when_backstress_fades() {
    for idealisation in [Idealisation::PlaneStress, Idealisation::PlaneStrain] {
        let all = histories(&combined(), idealisation);
        let found: Vec<f64> = all.iter().flat_map(|r| orders(r)).collect();
        let iterations = all.iter().map(Vec::len).max().unwrap();
        println!("{idealisation:?} fading: orders {found:.2?}, at most {iterations} iterations");
        assert!(median(found.clone()) > 1.2, "{found:?}");
        assert!(iterations <= 8, "{iterations}");
    }
}

fn strip(stages: Vec<Stage>) -> Job {
    Job {
        plate: rectangle(40.0, 30.0, &[[8.0, 15.0, 2.85]]),
        idealisation: Idealisation::PlaneStress,
        material: combined(),
        stages,
        numerics: Numerics { fineness: 0.4, increments: 8, ..Numerics::default() },
        supports: vec![],
        regions: vec![],
    }
}

fn expand_and_ream() -> Job {
    strip(vec![expand(rigid(5.92)), Stage::Ream { hole: 0, diameter: 6.1, offset: [0.0; 2] }])
}

/// States at every increment of an expansion, with the share they belong to.
fn states(step: f64, refused: &[usize]) -> Vec<(f64, State)> {
    let job = strip(vec![expand(rigid(5.92))]);
    let (mut system, mut state, start) = ready(&job);
    let drive = Drive {
        tool: Some((0, [start, 2.96])),
        step,
        refused_attempts: refused.to_vec(),
        ..Drive::default()
    };
    let mut kept = Vec::new();
    let end = system.run_phase(&mut state, &drive, |_, state, increment| {
        kept.push((increment.share, state.clone()));
        ControlFlow::Continue(())
    });
    assert_eq!(end, PhaseEnd::Done);
    kept
}

/// An attempt that is thrown away leaves no trace: what follows equals, bit for bit, a run that
/// was asked for the smaller increments from the start.
#[test]
fn a_refused_increment_leaves_no_trace() {
    for (step, refused, halved) in [(0.5, vec![0], 0.25), (0.5, vec![0, 1], 0.125)] {
        let cut = states(step, &refused);
        let asked = states(halved, &[]);
        // Both make the first two increments at the halved size; afterwards the first run grows.
        for k in 0..2 {
            assert_eq!(cut[k].0, asked[k].0);
            assert!(cut[k].1 == asked[k].1, "increment {k} after {} refusals", refused.len());
        }
    }
    // Refused in the middle: the increment that is repeated starts from the same state, so the
    // increments before it are those of a run without refusal.
    let (plain, cut) = (states(0.25, &[]), states(0.25, &[2]));
    assert!(plain[..2] == cut[..2]);
    assert!(cut.len() > plain.len());
}

/// Elements are integrated in parallel and added in their order, so the sums are the same.
#[test]
fn any_number_of_threads_gives_the_same_bytes() {
    let job = expand_and_ream();
    let bytes = |threads: usize| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
        postcard::to_allocvec(&pool.install(|| run(&job))).unwrap()
    };
    let one = bytes(1);
    for threads in [2, 4] {
        assert!(bytes(threads) == one, "{threads} threads");
    }
}

/// A run that goes on from a stored snapshot cannot be told from one that never stopped.
#[test]
fn a_resumed_run_gives_the_same_bytes() {
    let job = expand_and_ream();
    let whole = run(&job);
    let stored = whole.iter().find(|snapshot| snapshot.label == "1-expand-A").unwrap();
    let bytes = postcard::to_allocvec(stored).unwrap();
    let read: Snapshot = postcard::from_bytes(&bytes).unwrap();
    assert!(read == *stored);
    let resumed = run_sequence(&mut Sequence::resume(job, read).unwrap());
    assert_eq!(resumed.len(), 1);
    let (end, expected) = (&resumed[0], whole.last().unwrap());
    assert_eq!(end.label, "2-ream-A");
    assert!(postcard::to_allocvec(end).unwrap() == postcard::to_allocvec(expected).unwrap());
}

/// Beyond its limit load a perfectly plastic ring has no equilibrium: the run says where it stood
/// and what was wrong, and leaves the last state whole.
#[test]
fn a_limit_load_is_a_typed_failure_and_the_last_state_is_in_balance() {
    let metal = perfect(210_000.0, 0.3, 240.0);
    let mut wall =
        Wall::by_hand((100.0, 200.0), metal.clone(), Idealisation::PlaneStrain, (12, 1.08, 6));
    // The limit is (2σy/√3) ln 2 = 192.09 MPa (R. Hill, 1950, ch. V).
    let end = wall.try_press(250.0, 0.125, |_, _| {});
    let PhaseEnd::Failed(error) = end else { panic!("{end:?}") };
    println!("{error}");
    assert!((250.0 * error.done - 192.09).abs() < 0.2, "{error}");
    assert!((10..60).contains(&error.halvings), "{error}");
    match &error.cause {
        Cause::NotConverged { residuals, node, position } => {
            // In the last tiny increments forces may balance while displacements run away.
            let settles = residuals.last().unwrap() > &1e-8;
            assert!(settles || error.to_string().contains("do not settle"), "{error}");
            assert!(settles || error.hint().unwrap().contains("limit load"));
            assert!(residuals.len() > 3);
            assert_eq!(*position, wall.system.mesh.nodes[*node]);
        }
        Cause::Singular => {}
        other => panic!("{other:?}"),
    }
    // The state carries the share it claims, in balance: forces computed anew.
    let mut system =
        System::new(wall.system.mesh.clone(), metal, Idealisation::PlaneStrain, 1.0, 100.0)
            .unwrap();
    system.method.strains = Strains::Small;
    let mut settled = wall.state.clone();
    system.settle(&mut settled).unwrap();
    let applied = wall.pressure_forces(250.0 * error.done);
    let mut sum = 0.0;
    for (node, held) in system.supports.held.iter().enumerate() {
        for axis in 0..2 {
            if !held[axis] {
                sum += (settled.external[node][axis] - applied[node][axis]).abs();
            }
        }
    }
    println!("out of balance {:.1e}", sum / system.reference_force());
    assert!(sum <= 1.001e-8 * system.reference_force());
}
