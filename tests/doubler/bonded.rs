//! A bonded doubler against shear lag.
//!
//! Two strips of forces `N₁`, `N₂` and a layer of shear stiffness `G/h` between them:
//! `dN₂/dx = w τ`, `τ = (G/h)(u₁ − u₂)`, so `N₂″ = λ² (N₂ − N₂∞)` with
//! `λ² = (G/h)(1/(E₁t₁) + 1/(E₂t₂))` and `N₂∞ = P E₂t₂/(E₁t₁ + E₂t₂)`. With free ends at `±L`,
//! `N₂ = N₂∞ (1 − cosh λx/cosh λL)` and `w |τ| = N₂∞ λ sinh λx/cosh λL`.
//! Source: O. Volkersen, Luftfahrtforschung 15 (1938) 41–47 (from memory; derived here).

use super::parts::{YOUNG, at, bond, joint, outline, pulled, strap, strip};
use crate::common::metals::elastic;
use crate::common::plates::{results, run};
use approx::assert_relative_eq;
use hoopset::process::doubler::Doubler;
use hoopset::process::job::Job;
use hoopset::process::stage::Stage;

const WIDTH: f64 = 12.0;
const LENGTH: f64 = 240.0;
const HALF: f64 = 70.0;
const THICK: [f64; 2] = [2.0, 1.5];
const PULL: f64 = 100.0;

fn bonded(second: f64, stiffness: f64) -> Job {
    let (low, high) = (0.5 * LENGTH - HALF, 0.5 * LENGTH + HALF);
    let doubler = Doubler {
        bond: Some(bond(stiffness * 0.2, 0.2)),
        ..strap(outline([low, 0.0], [high, WIDTH]), THICK[1], elastic(second, 0.0))
    };
    pulled(strip(LENGTH, WIDTH, THICK[0], (&[], 0.0)), elastic(YOUNG, 0.0), doubler, PULL)
}

/// Poisson's ratio is nought, so that strips stay one-dimensional. Left over is the mesh: elements of the
/// plate do not end where the doubler does.
#[test]
fn load_and_shear_of_a_bonded_doubler_are_those_of_shear_lag() {
    for (second, stiffness, limit) in [(YOUNG, 60.0, 0.01), (210_000.0, 200.0, 0.01)] {
        let snapshots = run(&bonded(second, stiffness));
        let reading = joint(at(&snapshots, "2-load-full"));
        let bars = [YOUNG * THICK[0], second * THICK[1]];
        let lambda = (stiffness * (bars[0].recip() + bars[1].recip())).sqrt();
        let whole = PULL * THICK[0] * WIDTH;
        let far = whole * bars[1] / (bars[0] + bars[1]);
        let mut worst = 0.0_f64;
        for section in &reading.sections {
            let x = section.at - 0.5 * LENGTH;
            let exact = if x.abs() > HALF {
                0.0
            } else {
                far * (1.0 - (lambda * x).cosh() / (lambda * HALF).cosh())
            };
            // A section runs along sides of elements: its place is that of their nodes.
            worst = worst.max((section.doubler - exact).abs() / far);
            // Plate and doubler have their sides in different places, between which the layer acts.
            assert_relative_eq!(section.plate + section.doubler, whole, max_relative = 5e-3);
        }
        let middle = reading
            .sections
            .iter()
            .min_by(|a, b| (a.at - 0.5 * LENGTH).abs().total_cmp(&(b.at - 0.5 * LENGTH).abs()));
        let exact_middle = far * (1.0 - (lambda * HALF).cosh().recip());
        let highest = far * lambda * (lambda * HALF).tanh() / WIDTH;
        let shear = reading.bond.as_ref().unwrap();
        println!(
            "λ {lambda:.4}: load off {worst:.5}, middle {:.3} for {exact_middle:.3}, shear {:.4} for {highest:.4} at {:?}",
            middle.unwrap().doubler,
            shear.highest,
            shear.at
        );
        assert_relative_eq!(middle.unwrap().doubler, exact_middle, max_relative = limit);
        assert_relative_eq!(shear.highest, highest, max_relative = limit);
        assert!((shear.at[0] - 0.5 * LENGTH).abs() > 0.999 * HALF);
        // Along the whole of it.
        let snapshot = at(&snapshots, "2-load-full");
        let nodes = snapshot.mesh.part(Some(0)).nodes;
        for (node, [x, y]) in nodes.zip(&shear.shear) {
            let from_middle = snapshot.mesh.nodes[node][0] - 0.5 * LENGTH;
            let exact =
                far * lambda * (lambda * from_middle).sinh() / (lambda * HALF).cosh() / WIDTH;
            assert!((x + exact).abs().min((x - exact).abs()) < limit * highest, "{x} for {exact}");
            assert!(y.abs() < limit * highest);
        }
    }
}

/// A layer without stiffness leaves the plate alone; one that hardly shears makes plate and doubler one.
#[test]
fn the_limits_of_a_bond_are_the_plate_alone_and_one_plate_of_both() {
    let soft = run(&bonded(YOUNG, 1e-9));
    let (result, _) = results(&soft, "2-load-full", &bonded(YOUNG, 1e-9));
    for stress in &result.nodal.stress {
        assert_relative_eq!(stress.xx, PULL, max_relative = 1e-6);
    }
    let stiff = run(&bonded(YOUNG, 1e7));
    let reading = joint(at(&stiff, "2-load-full"));
    let share = THICK[1] / (THICK[0] + THICK[1]);
    let inner = reading.sections.iter().filter(|s| (s.at - 0.5 * LENGTH).abs() < 0.8 * HALF);
    for section in inner {
        assert_relative_eq!(section.doubler, share * PULL * THICK[0] * WIDTH, max_relative = 1e-4);
    }
}

/// Energy that the plate and the doubler store, and the layer between them, is the work of the load; off again it is
/// gone. Both to the tolerance of equilibrium.
#[test]
fn the_energy_of_the_layer_is_in_the_balance() {
    let mut job = bonded(YOUNG, 60.0);
    job.stages.push(Stage::Detach { doubler: "strap".into() });
    let snapshots = run(&job);
    for snapshot in &snapshots {
        println!("{}: {:?}", snapshot.label, snapshot.state.energy);
        let energy = snapshot.state.energy;
        let missing = energy.external - energy.elastic - energy.plastic - energy.removed;
        let work = at(&snapshots, "2-load-full").state.energy.external;
        assert!(missing.abs() < 1e-9 * work, "{}", snapshot.label);
    }
    let last = at(&snapshots, "3-detach-strap");
    assert!(last.mesh.sheets.is_empty() && last.mesh.regions.quads.is_empty());
    assert_eq!(last.mesh.nodes.len(), last.state.displacement.len());
    let largest = last.state.stress.iter().map(nalgebra::Vector4::norm).fold(0.0, f64::max);
    assert!(largest < 1e-6 * PULL, "{largest}");
}

/// Cooled by 60 degrees, a doubler of the other metal is pressed by the plate that shrinks more: `N₂ = N∞
/// (1 − cosh λx/cosh λL)`, `N∞ = (α₁ − α₂) ΔT w/(1/(E₁t₁) + 1/(E₂t₂))`. Source: as above, with free strains. Joined
/// when it is cold already, nothing strains it.
#[test]
fn a_bonded_doubler_of_another_metal_is_strained_by_the_cold() {
    let (stiffness, cold, expansions) = (60.0, -60.0, vec![23e-6, 12e-6]);
    let (second, plate) = (210_000.0, YOUNG);
    let mut job = bonded(second, stiffness);
    job.stages.truncate(1);
    job.stages.push(Stage::temperature(cold, expansions.clone()));
    let snapshots = run(&job);
    let reading = joint(at(&snapshots, "2-temperature"));
    let bars = [plate * THICK[0], second * THICK[1]];
    let soft = bars[0].recip() + bars[1].recip();
    let lambda = (stiffness * soft).sqrt();
    let far = (expansions[0] - expansions[1]) * cold * WIDTH / soft;
    for section in &reading.sections {
        let x = section.at - 0.5 * LENGTH;
        if x.abs() < 0.9 * HALF {
            let exact = far * (1.0 - (lambda * x).cosh() / (lambda * HALF).cosh());
            assert!((section.doubler - exact).abs() < 0.01 * far.abs(), "{section:?} {exact}");
        }
    }
    let highest = reading.bond.as_ref().unwrap().highest;
    // Across so narrow a strip the sheets move freely on each other, which the corners of the doubler feel too.
    let across = stiffness * ((expansions[0] - expansions[1]) * cold).abs() * 0.5 * WIDTH;
    let exact = (far.abs() * lambda * (lambda * HALF).tanh() / WIDTH).hypot(across);
    println!("cold: shear {highest:.4} for {exact:.4}");
    assert_relative_eq!(highest, exact, max_relative = 0.01);

    let cold_first = vec![job.stages[1].clone(), job.stages[0].clone(), job.stages[1].clone()];
    let snapshots = run(&Job { stages: cold_first, ..job });
    let strained = joint(at(&snapshots, "3-temperature")).largest_force();
    assert!(strained.abs() < 1e-6 * far.abs(), "{strained}");
}
