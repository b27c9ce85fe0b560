//! The elastic answer to a load, which the lives of cracks start from, on the part as the work left it.

use hoopset::case::{Case, parse};
use hoopset::material::strains::Strains;
use hoopset::process::elastic::elastic_answer;
use hoopset::process::snapshot::Snapshot;
use hoopset::process::stage::{Load, Stage};

use crate::common::plates::run;

/// MPa of remote tension: enough to be far above rounding, little enough for the answer to be in proportion.
const TENSION: f64 = 20.0;

/// A plate with these tables of its outline, its hole at `at`, expanded by 4 %, then these stages.
fn worked(outline: &str, at: &str, stages: &str) -> (Case, Vec<Snapshot>) {
    let text = format!(
        "units = \"mm-MPa\"\n[plate]\n{outline}thickness = 5.0\n\
         [material]\nyoungs_modulus = 72000.0\npoissons_ratio = 0.33\nyield_stress = 350.0\n\
         isotropic = {{ law = \"linear\", slope = 6000.0 }}\n\
         [[hole]]\nname = \"A\"\nat = {at}\nstarting_diameter = 6.0\n\
         [[stage]]\nexpand = \"A\"\napplied_expansion = 0.04\n{stages}\
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

fn labelled<'a>(snapshots: &'a [Snapshot], label: &str) -> &'a Snapshot {
    snapshots.iter().find(|snapshot| snapshot.label == label).unwrap()
}

/// Largest difference over all points, over the largest change, between the change of the stress from
/// one snapshot to another, in which nothing may yield, and the answer to the load alone on the first state: with finite and with
/// small strains.
fn shares_off(case: &Case, state: &Snapshot, [before, full]: [&Snapshot; 2]) -> [f64; 2] {
    let shares = [Strains::Finite, Strains::Small].map(|strains| {
        let mut case = case.clone();
        case.job.numerics.strains = strains;
        let alone = elastic_answer(&case.job, state, &load(&case)).unwrap();
        let (mut worst, mut most) = (0.0_f64, 0.0_f64);
        for (point, found) in alone.state.stress.iter().enumerate() {
            let (before, after) = (&before.state, &full.state);
            let more = after.points[point].equivalent - before.points[point].equivalent;
            assert!(more == 0.0, "it yields at point {point}");
            let added = after.stress[point] - before.stress[point];
            worst = worst.max((added - found).amax());
            most = most.max(added.amax());
        }
        println!("{strains:?}: off by {worst:.3} of {most:.2} MPa");
        worst / most
    });
    println!("shares of the largest: {shares:?}");
    shares
}

/// Change of the stress of every point by a load stage on the expanded part, in a metal that hardens so
/// much that nothing yields again, against the answer to the load alone: the same to what the answer bends
/// within the load, some 1e-3 of it. An answer that knows nothing of the work (small strains) is off by the growth of the rim and of the hole.
#[test]
fn the_answer_to_a_load_is_what_the_load_adds_to_the_deformed_part() {
    let stage = format!("[[stage]]\nload = {{ tension = {TENSION}, along = \"y\" }}\n");
    let (case, snapshots) = worked("width = 40.0\nheight = 40.0\n", "[20.0, 20.0]", &stage);
    let [state, full] = ["1-expand-A", "2-load-full"].map(|label| labelled(&snapshots, label));
    let off = shares_off(&case, state, [state, full]);
    assert!(off[0] < 0.001 && off[1] > 0.005, "{off:?}");
}

/// The same for a bearing force: a disc held at its rim, whose expanded hole is still round, so that a round pin fits it
/// as the pin of the answer does. 450 N over 6 · 5 mm² bear with 15 MPa.
#[test]
fn the_answer_to_a_pin_is_what_the_pin_adds_to_the_deformed_part() {
    let stages = "[[stage]]\nfasten = \"A\"\nrigid_pin = true\n\
         [[stage]]\nload = { bearing = [{ hole = \"A\", force = [450.0, 0.0] }] }\n\
         [[support]]\nedge = \"rim\"\nhold = \"both\"\n";
    let (case, snapshots) = worked("outer_diameter = 40.0\n", "[0.0, 0.0]", stages);
    let [state, before, full] =
        ["1-expand-A", "2-fasten-A", "3-load-full"].map(|label| labelled(&snapshots, label));
    let off = shares_off(&case, state, [before, full]);
    assert!(off[0] < 0.001 && off[1] > 0.005, "{off:?}");
}
