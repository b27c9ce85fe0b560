//! Strain gauges: readings of an elastic ring against Lamé, known values from readings alone, wrong tables.

use std::fmt::Write as _;
use std::fs;
use std::process::Command;
use std::sync::atomic::AtomicBool;

use hoopset::case::Case;
use hoopset::study::infer::{InferError, changed, infer, solve};

use crate::{DISC, TRUTH};

/// A gauge of the disc, read in a state.
fn gauge(place: &str, direction: &str, read_at: &str) -> String {
    format!(
        "[[gauge]]\n{place}\ndirection = \"{direction}\"\nread_at = \"{read_at}\"\nstrain = 0.0\n\
         plus_minus = 20e-6\n"
    )
}

fn case_of(text: &str) -> Case {
    hoopset::parse(text, "disc.toml").unwrap_or_else(|complaint| panic!("{complaint}"))
}

/// Lamé, from S. P. Timoshenko and J. N. Goodier, Theory of Elasticity, 3rd ed. (1970), article 28: a ring
/// `a`, `b` under pressure `p` inside moves out by `u(r) = ((1−ν) r + (1+ν) b²/r) p a²/(E (b² − a²))`.
#[test]
fn gauges_on_an_elastic_ring_read_what_lame_says() {
    let (a, b, p) = (3.0_f64, 24.0_f64, 20.0);
    let press = "[[stage]]\nload = { hole = \"A\", pressure = 20.0 }\n";
    let expand = "[[stage]]\nexpand = \"A\"\napplied_expansion = 0.04\n";
    let places = [
        ("distance = 2.0\ngrid_length = 1.5", "radial"),
        ("distance = 2.0\ngrid_length = 1.5", "hoop"),
        // On the part that symmetry leaves out.
        ("distance = 5.0\ngrid_length = 3.0\nangle_deg = 200", "hoop"),
    ];
    let gauges: String =
        places.iter().map(|(place, way)| gauge(place, way, "1-load-full")).collect();
    let case = case_of(&(DISC.replace(expand, press).replace("0.25", "0.5") + &gauges));
    let found = solve(&case, &case.job, &AtomicBool::new(false)).unwrap();
    let metal = case.job.material.elasticity;
    let (e, nu) = (metal.youngs_modulus, metal.poissons_ratio);
    let out =
        |r: f64| ((1.0 - nu) * r + (1.0 + nu) * b * b / r) * p * a * a / (e * (b * b - a * a));
    let radial = (out(5.75) - out(4.25)) / 1.5;
    // The ends of a straight grid lie farther out than its middle and move along their radii.
    let round = |middle: f64, length: f64| {
        let end = middle.hypot(0.5 * length);
        out(end) / end
    };
    for (reading, by_hand) in found.gauges.iter().zip([radial, round(5.0, 1.5), round(8.0, 3.0)]) {
        let computed = reading.computed.unwrap();
        // 0.3 %: the mesh of the disc is coarse.
        assert!((computed / by_hand - 1.0).abs() < 3e-3, "{computed} {by_hand}");
    }
}

/// Readings with the tool in and out, of gauges bonded before the work and one bonded in between.
fn gauged() -> String {
    let near = "distance = 2.5\ngrid_length = 1.0";
    let far = "distance = 6.0\ngrid_length = 2.0";
    let mut all = String::new();
    for (place, direction) in [(near, "hoop"), (near, "radial"), (far, "hoop")] {
        for state in ["1-expand-A-full", "1-expand-A"] {
            all += &gauge(place, direction, state);
        }
    }
    all + "[[unknown]]\nname = \"kinematic_share\"\n[[unknown]]\nname = \"applied_expansion\"\n"
}

#[test]
fn known_values_come_back_from_gauges_alone() {
    let mut case = case_of(&(DISC.to_owned() + &gauged()));
    let truth = solve(&case, &changed(&case.job, &TRUTH), &AtomicBool::new(false)).unwrap();
    for (gauge, reading) in case.gauges.iter_mut().zip(&truth.gauges) {
        gauge.strain = reading.computed.unwrap();
    }
    let answer = infer(&case, &AtomicBool::new(false), &|_| ()).unwrap();
    for (unknown, (_, truth)) in answer.unknowns.iter().zip(TRUTH) {
        assert!((unknown.value / truth - 1.0).abs() < 1e-5, "{} {truth}", unknown.value);
    }
}

#[test]
fn a_gauge_bonded_in_between_reads_what_is_added() {
    let load = "[[stage]]\nload = { hole = \"A\", pressure = 30.0 }\n";
    let place = "distance = 3.0\ngrid_length = 1.0";
    let before = gauge(place, "hoop", "1-expand-A") + &gauge(place, "hoop", "2-load-full");
    let after = gauge(&format!("{place}\nbonded_after = \"1-expand-A\""), "hoop", "2-load-full");
    let case = case_of(&format!("{DISC}{load}{before}{after}"));
    let found = solve(&case, &case.job, &AtomicBool::new(false)).unwrap();
    let [left, all, added] = [0, 1, 2].map(|k| found.gauges[k].computed.unwrap());
    assert!(((1.0 + all) / (1.0 + left) - 1.0 - added).abs() < 1e-12);
    assert!(added > 1e-4);
}

#[test]
fn wrong_gauges_are_rejected_with_line_and_remedy() {
    let folder = tempfile::tempdir().unwrap();
    let one = gauge("distance = 2.5\ngrid_length = 1.0", "radial", "1-expand-A");
    for (old, new, said) in [
        ("radial", "around", "`around` is no direction"),
        ("1-expand-A\"", "2-ream-A\"", "`2-ream-A` is no state"),
        ("grid_length = 1.0", "grid_length = 5.0", "the grid reaches over the edge of the hole"),
        ("strain = 0.0", "strain = 1250", "`strain` is 1250, beyond 0.2"),
        ("plus_minus = 20e-6\n", "", "gauge 1 has no `plus_minus`"),
        ("plus_minus = 20e-6", "plus_minus = 0", "`plus_minus` is 0, which is no error"),
        (
            "grid_length",
            "bonded_after = \"1-expand-A\"\ngrid_length",
            "the gauge is read at `1-expand-A`, before it is bonded",
        ),
        ("distance = 2.5", "distance = 0", "`distance`"),
        ("distance = 2.5", "hole = \"B\"\ndistance = 2.5", "`B` is no hole"),
    ] {
        let mut text = String::new();
        write!(text, "{DISC}{}", one.replace(old, new)).unwrap();
        fs::write(folder.path().join("wrong.toml"), text).unwrap();
        let ran = Command::new(env!("CARGO_BIN_EXE_hoopset"))
            .args(["check", "wrong.toml"])
            .current_dir(folder.path())
            .output()
            .unwrap();
        let told = String::from_utf8_lossy(&ran.stderr).into_owned();
        assert_eq!(ran.status.code(), Some(2), "{told}");
        assert!(told.contains(said) && told.contains("hint: "), "{said}: {told}");
        assert!(told.starts_with("error: wrong.toml:"), "{told}");
    }
}

#[test]
fn a_gauge_off_the_metal_is_named() {
    let text = format!("{DISC}{}", gauged().replace("distance = 6.0", "distance = 30.0"));
    let case = case_of(&text);
    let error = infer(&case, &AtomicBool::new(false), &|_| ()).unwrap_err();
    assert_eq!(error, InferError::OffMetal("gauge 5".to_owned()));
}
