//! Bushes that yield, against a radial solution of the tests' own (`radial`).

use hoopset::material::hardening::{Isotropic, Material, VoceTerm};
use hoopset::material::idealisation::Idealisation;
use hoopset::process::job::{Job, Numerics};
use hoopset::process::snapshot::Snapshot;
use hoopset::process::stage::Stage;

use crate::common::expansion::{expand, rigid};
use crate::common::metals::perfect;
use crate::common::plates::{disc, path, results, run};
use crate::parts::{bush, job, mean_and_spread, pressures, put_in};
use crate::radial::{Bore, Metal, Rings};

const STEEL: Metal = Metal { young: 200_000.0, nu: 0.3, yield_stress: 400.0, slope: 2000.0 };
const ALUMINIUM: Metal = Metal { young: 72_000.0, nu: 0.33, yield_stress: 300.0, slope: 1000.0 };

/// The same metal for the program: linear isotropic hardening.
fn metal(of: Metal) -> Material {
    let terms: Vec<VoceTerm> = vec![];
    Material {
        isotropic: Isotropic::Voce { terms, slope: of.slope },
        ..perfect(of.young, of.nu, of.yield_stress)
    }
}

fn plane_strain(job: Job) -> Job {
    let numerics = Numerics { increments: 40, ..job.numerics };
    Job { idealisation: Idealisation::PlaneStrain, numerics, ..job }
}

fn bore(snapshot: &Snapshot) -> f64 {
    let edge = &snapshot.mesh.holes[0].edge;
    let outward = |&node: &usize| {
        let ([x, y], [u, v]) = (snapshot.mesh.nodes[node], snapshot.state.displacement[node]);
        (x * u + y * v) / x.hypot(y)
    };
    edge.iter().map(outward).sum::<f64>() / edge.len() as f64
}

fn beside(what: &str, snapshot: &Snapshot, rings: &Rings) -> [f64; 2] {
    let [mean, spread] = mean_and_spread(&pressures(snapshot, 0));
    let off = [mean / rings.pressure() - 1.0, bore(snapshot) / rings.bore() - 1.0];
    println!(
        "{what}: pressure {mean:.3} for {:.3}, spread {spread:.1e}, bore {:.6} for {:.6}; off {off:.6?}",
        rings.pressure(),
        bore(snapshot),
        rings.bore()
    );
    off.map(f64::abs)
}

/// Elements of each ring of the radial solution.
const ELEMENTS: usize = 600;

/// Largest distance of the hoop stress along a path from that of the rings, over the lower yield stress.
fn hoop_off(snapshots: &[Snapshot], label: &str, job: &Job, rings: &Rings) -> f64 {
    let (result, _) = results(snapshots, label, job);
    let hoop = path(&result, "A", 0.0).hoop();
    let Stage::Bush(bush) = &job.stages[0] else { panic!("a bush comes first") };
    let (a, b, c) = (0.5 * bush.inner_diameter, 0.5 * bush.outer_diameter, 8.0);
    let mut worst = 0.0_f64;
    for k in (0..2 * ELEMENTS).step_by(20) {
        let [radius, expected] = rings.hoop(k);
        let distance = if k < ELEMENTS { radius - a } else { (b - a) + (radius - c) };
        worst = worst.max((hoop.at(distance).unwrap() - expected).abs());
    }
    worst / 300.0
}

/// An interference at which the bush yields through and the plate about the hole too.
#[test]
fn a_bush_that_yields_as_it_is_pressed_in_has_the_pressure_of_the_radial_solution() {
    for (inside, outside, interference) in
        [(STEEL, ALUMINIUM, 0.06), (ALUMINIUM, STEEL, 0.08), (ALUMINIUM, ALUMINIUM, 0.1)]
    {
        let (b, c) = (8.0 + interference, 8.0);
        let case = job(disc(c, 30.0), metal(outside), vec![put_in(bush(6.0, b, metal(inside)))]);
        let case = plane_strain(case);
        let snapshots = run(&case);
        let mut rings = Rings::new([6.0, b], [c, 30.0], ELEMENTS, [inside, outside]);
        for step in 1..=200 {
            rings.allowance = 1.0 - f64::from(step) / 200.0;
            rings.settle(Bore::Free);
        }
        let last = snapshots.last().unwrap();
        let yielded = last.state.largest_plastic_strain();
        let off = beside(&format!("pressed, plastic strain {yielded:.4}"), last, &rings);
        assert!(yielded > 1e-3);
        assert!(off[0] < 0.01 && off[1] < 0.01, "{off:?}");
        assert!(last.state.energy.imbalance() < 1e-3, "{:?}", last.state.energy);
        let hoop = hoop_off(&snapshots, "1-bush-A", &case, &rings);
        println!("hoop off by {hoop:.5} of the yield stress");
        assert!(hoop < 0.01, "{hoop}");
    }
}

/// A bush with play that a mandrel drives out until it yields against the hole, and that the plate then
/// holds.
#[test]
fn a_bush_expanded_into_place_is_held_as_in_the_radial_solution() {
    let (a, b, c) = (6.0, 7.98, 8.0);
    let tool = rigid(2.0 * 6.3);
    let stages = vec![put_in(bush(a, b, metal(STEEL))), expand(tool)];
    let case = plane_strain(job(disc(c, 30.0), metal(ALUMINIUM), stages));
    let snapshots = run(&case);
    let mut rings = Rings::new([a, b], [c, 30.0], ELEMENTS, [STEEL, ALUMINIUM]);
    for step in 1..=600 {
        rings.settle(Bore::At(0.3 * f64::from(step) / 600.0));
    }
    let full = snapshots.iter().find(|s| s.label == "2-expand-A-full").unwrap();
    let off = beside("at full size", full, &rings);
    assert!(off[0] < 0.01 && off[1] < 1e-6, "{off:?}");
    // The tool leaves: the bore comes back until nothing presses on it.
    rings.settle(Bore::Free);
    let last = snapshots.last().unwrap();
    let off = beside("tool out", last, &rings);
    assert!(rings.pressure() > 20.0, "the plate holds it: {}", rings.pressure());
    assert!(off[0] < 0.01 && off[1] < 0.01, "{off:?}");
    assert!(last.state.energy.imbalance() < 1e-3, "{:?}", last.state.energy);
    let hoop = hoop_off(&snapshots, "2-expand-A", &case, &rings);
    println!("hoop off by {hoop:.5} of the yield stress");
    assert!(hoop < 0.01, "{hoop}");
}
