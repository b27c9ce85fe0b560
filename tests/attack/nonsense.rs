//! Cases that are well written and senseless, or beyond what a reader can use.

use std::fs;

use crate::workshop::{QUICK, hoopset, told, with_case};

#[test]
fn a_load_that_no_section_carries_is_called_a_collapse() {
    let case = QUICK
        .replace("alloy = \"2024-T351 plate\"\n", "")
        .split("[[stage]]")
        .next()
        .unwrap()
        .to_owned()
        + "[material]\nyoungs_modulus = 72000\npoissons_ratio = 0.33\nyield_stress = 350\n\
           isotropic = { law = \"linear\", slope = 400 }\n\
           [[stage]]\nload = { tension = 700.0, along = \"y\" }\n\
           [numerics]\nfineness = 0.25\nhardening_bracket = false\n";
    let folder = with_case(&case);
    let output = hoopset(folder.path(), &["run", "quick.toml"]);
    let told = told(&output);
    assert_eq!(output.status.code(), Some(1), "{told}");
    assert!(told.contains("the plate collapses"), "{told}");
}

#[test]
fn a_run_beyond_the_limits_is_asked_for() {
    let long = QUICK.replace("fineness = 0.25", "fineness = 4").replace(
        "[numerics]",
        "[[stage]]\nload = { tension = 60.0, along = \"y\" }\ncycles = 1000\n[numerics]",
    );
    let folder = with_case(&long);
    let output = hoopset(folder.path(), &["run", "quick.toml"]);
    let told = told(&output);
    assert_eq!(output.status.code(), Some(2), "{told}");
    assert!(told.contains("this run takes about") && told.contains("--large"), "{told}");
    assert!(!folder.path().join("quick-results").exists());
}

#[test]
fn a_plate_of_too_many_triangles_is_rejected_at_once() {
    let strip = QUICK
        .replace("height = 40.0", "height = 90000.0")
        .replace("[14.0, 20.0]", "[14.0, 45000.0]");
    let folder = with_case(&strip.replace("fineness = 0.25", "fineness = 2"));
    let begun = std::time::Instant::now();
    let output = hoopset(folder.path(), &["check", "quick.toml"]);
    let told = told(&output);
    assert_eq!(output.status.code(), Some(2), "{told}");
    assert!(told.contains("triangles"), "{told}");
    // Meshing it would take minutes.
    assert!(begun.elapsed().as_secs() < 20, "{:?}", begun.elapsed());
}

#[test]
fn a_tiny_hole_in_a_large_plate_has_paths_of_bounded_length() {
    let tiny = "units = \"mm-MPa\"\n[plate]\nouter_diameter = 120.0\nthickness = 5.0\nalloy = \"2024-T351 plate\"\n\
                [[hole]]\nname = \"A\"\nstarting_diameter = 0.002\n[[stage]]\nexpand = \"A\"\n\
                applied_expansion = 0.03\n[numerics]\nfineness = 0.25\nhardening_bracket = false\n";
    let folder = with_case(tiny);
    let output = hoopset(folder.path(), &["run", "quick.toml"]);
    let told = told(&output);
    assert_eq!(output.status.code(), Some(0), "{told}");
    assert!(told.contains("very small for a fastener"), "{told}");
    let paths = fs::metadata(folder.path().join("quick-results/paths.csv")).unwrap();
    assert!(paths.len() < 20_000_000, "{} bytes", paths.len());
}

#[test]
fn a_state_without_stress_raises_no_alarm() {
    // A neat pin that nothing loads: all stresses are rounding.
    let case = QUICK.split("[[stage]]").next().unwrap().to_owned()
        + "[[stage]]\nfasten = \"A\"\n[numerics]\nfineness = 0.25\nhardening_bracket = false\n";
    let folder = with_case(&case);
    let output = hoopset(folder.path(), &["run", "quick.toml"]);
    let told = told(&output);
    assert_eq!(output.status.code(), Some(0), "{told}");
    assert!(!told.contains("out of balance") && !told.contains("refine the mesh"), "{told}");
}

#[test]
fn twenty_holes_are_drawn_as_far_as_a_reader_looks() {
    let head = "title = \"Twenty holes\"\nunits = \"mm-MPa\"\n[plate]\nwidth = 120.0\nheight = 100.0\nthickness = 5.0\n\
                alloy = \"2024-T351 plate\"\n[numerics]\nfineness = 0.25\nincrements = 4\nhardening_bracket = false\n";
    let hole = |k: u32| {
        let at = [10 + 20 * (k % 6), 10 + 20 * (k / 6)];
        format!("[[hole]]\nname = \"H{k}\"\nat = {at:?}\nstarting_diameter = 5.0\n")
    };
    let stage = |k: u32| format!("[[stage]]\nexpand = \"H{k}\"\napplied_expansion = 0.03\n");
    let parts: Vec<String> = (0..20).map(hole).chain((0..3).map(stage)).collect();
    let folder = with_case(&format!("{head}{}", parts.concat()));
    let output = hoopset(folder.path(), &["run", "quick.toml"]);
    let told = told(&output);
    assert_eq!(output.status.code(), Some(0), "{told}");
    assert!(told.contains("figures of single states were left out"), "{told}");
    let figures = folder.path().join("quick-results/figures");
    let drawn = fs::read_dir(figures).unwrap().filter(|entry| {
        entry.as_ref().unwrap().path().extension().is_some_and(|extension| extension == "png")
    });
    // And the drawing of the plate with its dimensions.
    assert_eq!(drawn.count(), 80 + 1);
}

#[test]
fn a_pipe_in_place_of_a_case_does_not_block() {
    let folder = with_case(QUICK);
    let pipe = folder.path().join("pipe.toml");
    let made = std::process::Command::new("mkfifo").arg(&pipe).status().unwrap();
    assert!(made.success());
    let output = hoopset(folder.path(), &["run", "pipe.toml"]);
    let told = told(&output);
    assert_eq!(output.status.code(), Some(2), "{told}");
    assert!(told.contains("no ordinary file"), "{told}");
}

#[test]
fn a_link_to_nothing_is_no_results_folder() {
    let folder = with_case(QUICK);
    std::os::unix::fs::symlink("nowhere", folder.path().join("out")).unwrap();
    let output = hoopset(folder.path(), &["run", "quick.toml", "--out", "out"]);
    let told = told(&output);
    assert_eq!(output.status.code(), Some(2), "{told}");
    assert!(told.contains("is not a folder"), "{told}");
    assert!(!folder.path().join("nowhere").exists());
}
