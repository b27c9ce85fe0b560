//! Over a whole draw the tool does the work that the metal stores and spends and that friction takes.

use hoopset::material::strains::Strains;
use hoopset::process::job::Numerics;
use hoopset::process::section::record::TravelRecord;

use crate::shop::{CAP, draw, isotropic, job, mandrel, run};

/// Pull times way, with a mandrel that is larger than the hole by 4 %: the last record of the draw.
fn after(friction: f64, strains: Strains) -> TravelRecord {
    let stage = draw(mandrel(5.7 * 1.04, friction), CAP, false);
    let mut job = job(vec![stage], isotropic());
    // The travel per increment of the default, on half its mesh.
    job.numerics =
        Numerics { fineness: 0.5, increments: 16, strains, strain_parts: None, ..job.numerics };
    run(job).remove(0).travel.pop().unwrap()
}

/// The three sums come from different things: forces of the tool and its way, slip of the nodes, stress and strain at
/// the points. Energy is conserved; what is left goes with the square of the increments.
fn the_pull_does_the_work_that_is_taken(friction: f64, strains: Strains) {
    let last = after(friction, strains);
    let spent = last.friction_work + last.elastic_energy + last.plastic_work;
    let off = last.tool_work / spent - 1.0;
    println!("{strains:?}, friction {friction}: {} for {spent}, {off:.2e}", last.tool_work);
    assert!(off.abs() < 1e-4, "{off} with friction {friction}, {strains:?}");
    assert!((friction > 0.0) == (last.friction_work > 0.5 * last.tool_work), "{last:?}");
}

#[test]
fn the_pull_does_the_work_that_the_metal_takes() {
    the_pull_does_the_work_that_is_taken(0.0, Strains::Finite);
}

#[test]
fn the_pull_does_the_work_that_metal_and_friction_take() {
    the_pull_does_the_work_that_is_taken(0.1, Strains::Small);
}

#[test]
#[ignore = "half a minute"]
fn the_pull_does_the_work_that_is_taken_with_other_frictions_and_strains() {
    for (friction, strains) in [
        (0.0, Strains::Small),
        (0.05, Strains::Small),
        (0.05, Strains::Finite),
        (0.1, Strains::Finite),
    ] {
        the_pull_does_the_work_that_is_taken(friction, strains);
    }
}
