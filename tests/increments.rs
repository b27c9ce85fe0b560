//! Errors that the size of increments leaves in the stress.
#![allow(clippy::unwrap_used, missing_docs)]
#![allow(clippy::print_stdout, reason = "measured values, for `--nocapture`")]

use hoopset::process::sequence::Sequence;
use hoopset::process::snapshot::Snapshot;

/// Yield stress of the metal below, MPa.
const YIELD: f64 = 330.0;

/// Hoop stress at full size along the path of a ring that is expanded by 6 %, MPa; all of its hardening is kinematic, so that the
/// stress remembers the way of the strain.
fn hoop(numerics: &str) -> Vec<f64> {
    let text = format!(
        "title = \"ring\"\nunits = \"mm-MPa\"\n\
         [plate]\nouter_diameter = 60\nthickness = 6\nidealisation = \"plane stress\"\n\
         [material]\nyoungs_modulus = 72000\npoissons_ratio = 0.33\nyield_stress = 330\n\
         kinematic = [{{ modulus = 20000, recall = 150 }}, {{ modulus = 500, recall = 0 }}]\n\
         [[hole]]\nname = \"A\"\nstarting_diameter = 6\n\
         [[stage]]\nexpand = \"A\"\napplied_expansion = 0.06\n\
         [numerics]\nfineness = 0.5\nhardening_bracket = false\n{numerics}\n"
    );
    let job = hoopset::parse(&text, "ring.toml").unwrap().job;
    let mut snapshots: Vec<Snapshot> = Vec::new();
    Sequence::new(job.clone()).unwrap().run(&mut snapshots).unwrap();
    let full = snapshots.iter().find(|one| one.label == "1-expand-A-full").unwrap();
    let stress = full.state.stress.iter();
    stress.map(|s| s[0].hypot(s[1])).collect()
}

/// Against 96 increments on the same mesh, at the integration points. Straight, with the most parts, eight increments are
/// off by 0.44 % of the yield stress, bent by 0.13.
#[test]
fn strain_that_bends_through_increments_halves_their_error() {
    let fine = hoop("increments = 96");
    let off = |numerics: &str| {
        let apart =
            hoop(numerics).iter().zip(&fine).map(|(a, b)| (a - b).abs()).fold(0.0, f64::max);
        apart / YIELD
    };
    let (bent, straight) = (off("increments = 8"), off("increments = 8\nstrain_parts = 16"));
    println!("eight increments, over the yield stress: bent {bent:.5}, straight {straight:.5}");
    assert!(bent < 0.5 * straight && bent < 0.005, "{bent} {straight}");
    let twice = off("increments = 16");
    println!("sixteen: bent {twice:.5}");
    assert!(twice < 0.6 * bent, "{twice} {bent}");
}
