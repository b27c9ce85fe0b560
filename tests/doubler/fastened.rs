//! Fastened doublers.

use super::parts::{YOUNG, at, joint, outline, pulled, springs, strap, strip};
use crate::common::expansion::rigid;
use crate::common::metals::{combined, elastic};
use crate::common::plates::run;
use hoopset::material::strains::Strains;
use hoopset::process::doubler::{Doubler, Filling};
use hoopset::process::job::Job;
use hoopset::process::joint_reading::JointReading;
use hoopset::process::stage::Stage;

const WIDTH: f64 = 30.0;
const THICK: [f64; 2] = [2.0, 1.6];
const PULL: f64 = 80.0;
const PITCH: f64 = 40.0;

fn row(count: usize, diameter: f64, flexibility: f64) -> Job {
    let length = PITCH * (count as f64 + 3.0);
    let at: Vec<f64> = (0..count).map(|k| PITCH * (k as f64 + 2.0)).collect();
    let plate = strip(length, WIDTH, THICK[0], (&at, diameter));
    let ends = [at[0] - 15.0, at[count - 1] + 15.0];
    let doubler = Doubler {
        fasteners: springs(count, diameter, flexibility),
        ..strap(outline([ends[0], 0.0], [ends[1], WIDTH]), THICK[1], elastic(YOUNG, 0.3))
    };
    pulled(plate, elastic(YOUNG, 0.3), doubler, PULL)
}

/// Forces on the doubler of a row of springs `flexibility` apart by strips of one dimension. Between fastener k and
/// the next, the doubler carries `N_k`, the sum of the forces before, and the sheets lengthen by
/// `N_k p/(E t₂ w)` and `(P − N_k) p/(E t₁ w)`; the difference is that of the springs' stretch,
/// `f (F_{k+1} − F_k)`. Solved as a tridiagonal system in `N_k`, which shares nothing with the program.
fn discrete(count: usize, flexibility: f64, load: f64) -> Vec<f64> {
    let bar = |thickness: f64| PITCH / (YOUNG * thickness * WIDTH);
    let (plate, doubler) = (bar(THICK[0]), bar(THICK[1]));
    let spans = count - 1;
    // f (F_{k+1} − F_k) with F_k = N_k − N_{k−1}, N_0 = N_count = 0.
    let mut matrix = nalgebra::DMatrix::<f64>::zeros(spans, spans);
    let right = nalgebra::DVector::from_element(spans, load * plate);
    for k in 0..spans {
        matrix[(k, k)] = 2.0 * flexibility + plate + doubler;
        if k > 0 {
            matrix[(k, k - 1)] = -flexibility;
            matrix[(k - 1, k)] = -flexibility;
        }
    }
    let carried = matrix.lu().solve(&right).unwrap();
    let n = |k: usize| if k == 0 || k == count { 0.0 } else { carried[k - 1] };
    (1..=count).map(|k| n(k - 1) - n(k)).collect()
}

/// A row of two, three and five. The metal round a hole gives way by about `ln(w/d)/(2π E t)` in each sheet,
/// 1 % of the first flexibility, which strips leave out, and a filled hole is stiffer than the strip by about
/// `(d/w)²`, 0.3 %: what is left of the difference where fasteners are ten times as soft.
#[test]
fn a_row_of_fasteners_shares_the_load_as_strips_and_springs_do() {
    for (count, flexibility, limit) in [(2, 1e-3, 0.02), (5, 1e-3, 0.02), (3, 1e-2, 0.004)] {
        let snapshots = run(&row(count, 1.5, flexibility));
        let reading = joint(at(&snapshots, "2-load-full"));
        let exact = discrete(count, flexibility, PULL * THICK[0] * WIDTH);
        let forces: Vec<f64> = reading.fasteners.iter().map(|f| f.force[0]).collect();
        println!("{count}: {forces:.4?} for {exact:.4?}");
        let largest = exact.iter().fold(0.0_f64, |most, force| most.max(force.abs()));
        for (force, exact) in forces.iter().zip(&exact) {
            assert!((force - exact).abs() < limit * largest, "{force} for {exact}");
        }
        balanced(reading, 1.5, 1e-8);
    }
}

/// The forces of all fasteners cancel, and the force in a section of the doubler is the sum of those beyond
/// it: what the stresses carry against what the pins say, within a share of the load.
fn balanced(reading: &JointReading, diameter: f64, within: f64) {
    let load = PULL * THICK[0] * WIDTH;
    let sum: f64 = reading.fasteners.iter().map(|f| f.force[0]).sum();
    assert!(sum.abs() < within * load, "{sum}");
    // Sides of elements beside a hole lie on either hand of a section through it.
    let clear = |at: f64| reading.fasteners.iter().all(|f| (f.at - at).abs() > 2.0 * diameter);
    let mut seen = 0;
    for section in reading.sections.iter().filter(|section| clear(section.at)) {
        let beyond = reading.fasteners.iter().filter(|f| f.at > section.at);
        let beyond: f64 = beyond.map(|f| f.force[0]).sum();
        assert!((section.doubler - beyond).abs() < within * load, "{section:?} {beyond}");
        assert!((section.plate + section.doubler - load).abs() < 1e-7 * load, "{section:?}");
        seen += 1;
    }
    assert!(seen > 10);
}

fn contact(mut job: Job, pin: Option<f64>) -> Job {
    for stage in &mut job.stages {
        if let Stage::Join { doubler } = stage {
            for fastener in &mut doubler.fasteners {
                fastener.filling = Filling::Contact;
                fastener.pin_diameter = pin;
            }
        }
    }
    job.numerics.increments = 4;
    job
}

/// Pins that only push carry what springs do but for how the holes give way; in neat holes the difference is
/// that of half an edge in place of a whole one. Twice the load is twice the force, and off again none is left.
#[test]
fn neat_pins_in_contact_carry_the_load_of_springs() {
    let flexibility = 1e-3;
    let count = 3;
    let job = contact(row(count, 4.0, flexibility), None);
    let snapshots = run(&job);
    let reading = joint(at(&snapshots, "2-load-full"));
    balanced(reading, 4.0, 1e-8);
    let exact = discrete(count, flexibility, PULL * THICK[0] * WIDTH);
    let forces: Vec<f64> = reading.fasteners.iter().map(|f| f.force[0]).collect();
    println!("{count} in contact: {forces:.4?} for {exact:.4?}");
    let largest = exact.iter().fold(0.0_f64, |most, force| most.max(force.abs()));
    for (force, exact) in forces.iter().zip(&exact) {
        assert!((force - exact).abs() < 0.03 * exact.abs().max(largest), "{force} for {exact}");
    }
    let off = joint(at(&snapshots, "2-load"));
    for fastener in &off.fasteners {
        assert!(fastener.force[0].abs() < 1e-4 * exact[0].abs(), "{fastener:?}");
    }
}

/// Two fasteners with play `c` in each of their holes carry nothing until the inner edges of the two holes of
/// the plate are `4c` farther apart: they part by `S p/E − 6 S a/E`, of which the second is what holes of
/// radius `a` become longer. Source: the displacement `3 S a/E` of the edge of a hole in a wide sheet, G. Kirsch, Z.
/// Verein. deutscher Ing. 42 (1898) 797–807 (from memory); a width of eight diameters changes it by a few per
/// cent.
#[test]
fn fasteners_with_play_carry_once_it_is_used_up() {
    let parted = PULL * (PITCH - 6.0 * 2.0) / YOUNG;
    for (share, carries) in [(0.9, true), (1.1, false)] {
        let play = share * 0.25 * parted;
        let mut job = contact(row(2, 4.0, 1e-3), Some(4.0 - 2.0 * play));
        job.numerics.fineness = 0.5;
        let snapshots = run(&job);
        let reading = joint(at(&snapshots, "2-load-full"));
        let forces = [0, 1].map(|k| reading.fasteners[k].force[0]);
        println!("play {play:.5}: {forces:?}");
        if carries {
            assert!(forces[1] > 0.2 && forces[1] < 5.0, "{forces:?}");
        } else {
            assert!(forces.iter().all(|force| force.abs() < 1e-9), "{forces:?}");
        }
        balanced(reading, 4.0, 1e-8);
    }
}

/// An expanded hole with the residual stress of its work, reamed, then fastened with interference and loaded:
/// forces and energies stay in balance, and any number of threads gives the same bytes.
#[test]
fn an_expanded_hole_under_a_fastened_doubler_is_in_balance_on_any_number_of_threads() {
    let metal = combined();
    let make = || {
        let mut job = contact(row(2, 6.0, 2e-5), Some(6.31));
        job.material = metal.clone();
        if let Stage::Join { doubler } = &mut job.stages[0] {
            doubler.material = metal.clone();
            for fastener in &mut doubler.fasteners {
                fastener.hole_diameter = 6.29;
            }
        }
        let work = [
            Stage::Expand { hole: 0, tool: rigid(6.24) },
            Stage::Ream { hole: 0, diameter: 6.29, offset: [0.0; 2] },
            Stage::Expand { hole: 1, tool: rigid(6.24) },
            Stage::Ream { hole: 1, diameter: 6.29, offset: [0.0; 2] },
        ];
        job.stages.splice(0..0, work);
        job.stages.push(Stage::Detach { doubler: "strap".into() });
        job.numerics.fineness = 0.5;
        job.numerics.strains = Strains::Finite;
        job
    };
    let on = |threads: usize| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
        pool.install(|| run(&make()))
    };
    let snapshots = on(1);
    for snapshot in &snapshots {
        let energy = snapshot.state.energy;
        println!(
            "{}: {energy:?} off {:.2e}, {} iterations",
            snapshot.label,
            energy.imbalance(),
            snapshot.iterations()
        );
        assert!(snapshot.residual() < 1e-8, "{}", snapshot.label);
        assert!(energy.imbalance() < 2e-3, "{}", snapshot.label);
    }
    let reading = joint(at(&snapshots, "6-load-full"));
    println!("{:?}", reading.fasteners);
    // Iterations end at 1e-8 of the forces of all elements together, which are many times the load.
    balanced(reading, 6.29, 1e-7);
    assert!(reading.fasteners[1].force[0] > 100.0);
    assert!(on(2) == snapshots);
}
