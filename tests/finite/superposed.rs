//! The elastic answer to a load, which the lives of cracks start from, on the part as the work left it.

use hoopset::case::{Case, parse};
use hoopset::material::strains::Strains;
use hoopset::process::snapshot::Snapshot;
use hoopset::process::stage::{Load, Stage};
use hoopset::study::lives::settle::answer;

use crate::common::plates::run;

/// MPa of remote tension: enough to be far above rounding, little enough for the answer to be in proportion.
const TENSION: f64 = 20.0;

fn worked() -> (Case, Vec<Snapshot>) {
    let text = format!(
        "units = \"mm-MPa\"\n[plate]\nwidth = 40.0\nheight = 40.0\nthickness = 5.0\n\
         [material]\nyoungs_modulus = 72000.0\npoissons_ratio = 0.33\nyield_stress = 350.0\n\
         isotropic = {{ law = \"linear\", slope = 6000.0 }}\n\
         [[hole]]\nname = \"A\"\nat = [20.0, 20.0]\nstarting_diameter = 6.0\n\
         [[stage]]\nexpand = \"A\"\napplied_expansion = 0.04\n\
         [[stage]]\nload = {{ tension = {TENSION}, along = \"y\" }}\n\
         [numerics]\nfineness = 0.7\nhardening_bracket = false\n"
    );
    let case = parse(&text, "superposed.toml").unwrap();
    let snapshots = run(&case.job);
    (case, snapshots)
}

fn load(case: &Case) -> Load {
    let load = case.job.stages.iter().find_map(|stage| match stage {
        Stage::Load { load, .. } => Some(load.clone()),
        _ => None,
    });
    load.unwrap()
}

/// Change of the stress of every point by a load stage on the expanded part, in a metal that hardens so
/// much that nothing yields again, against the answer to the load alone: the same to what the answer bends
/// within the load, some 1e-3 of it. An answer that knows nothing of the work (small strains) is off by the growth of the rim and of the hole.
#[test]
fn the_answer_to_a_load_is_what_the_load_adds_to_the_deformed_part() {
    let (case, snapshots) = worked();
    let state = snapshots.iter().find(|s| s.label == "1-expand-A").unwrap();
    let full = snapshots.iter().find(|s| s.label == "2-load-full").unwrap();
    let off = [Strains::Finite, Strains::Small].map(|strains| {
        let mut case = case.clone();
        case.job.numerics.strains = strains;
        let alone = answer(&case, state, &load(&case)).unwrap();
        let (mut worst, mut most) = (0.0_f64, 0.0_f64);
        for (point, found) in alone.state.stress.iter().enumerate() {
            let (before, after) = (&state.state, &full.state);
            let more = after.points[point].equivalent - before.points[point].equivalent;
            assert!(more == 0.0, "it yields at point {point}");
            let added = after.stress[point] - before.stress[point];
            worst = worst.max((added - found).amax());
            most = most.max(added.amax());
        }
        println!("{strains:?}: off by {worst:.3} of {most:.2} MPa");
        assert!(most > 2.0 * TENSION);
        worst / most
    });
    println!("shares of the largest: {off:?}");
    assert!(off[0] < 0.001 && off[1] > 0.005, "{off:?}");
}
