//! What a case file says arrives in the job, in mm, N, MPa and radians.

#![allow(clippy::unwrap_used, clippy::float_cmp)]

use approx::assert_relative_eq;
use hoopset::case::{self, Case};
use hoopset::geometry::plate::Outline;
use hoopset::material::hardening::{Hardening, Isotropic, PastEnd};
use hoopset::material::idealisation::Idealisation;
use hoopset::process::stage::Stage;
use hoopset::process::tool::Centre;
use hoopset::units::Units;

const SMALL: &str = r#"units = "mm-MPa"
[plate]
width = 60
height = 40
thickness = 5
alloy = "7075-T651 plate"
[[hole]]
name = "A"
at = [20, 20]
starting_diameter = 6
"#;

/// A case whose bytes never change, unlike those of the demonstration.
const PINNED: &str = "units = \"mm-MPa\"\nplate = { outer_diameter = 60, thickness = 6, \
    alloy = \"2024-T351 plate\" }\nhole = [{ name = \"A\", starting_diameter = 6 }]\n\
    stage = [{ expand = \"A\", applied_expansion = 0.03 }]\n";

fn parse(text: &str) -> Case {
    case::parse(text, "trial.toml")
        .unwrap_or_else(|complaint| panic!("{complaint}\n{}", complaint.hint()))
}

fn with_stage(stage: &str) -> Case {
    parse(&format!("{SMALL}[[stage]]\n{stage}\n"))
}

#[test]
fn the_demonstration_is_read_whole() {
    let case = case::parse(case::DEMO, "demo.toml").unwrap();
    assert_eq!(case.title, "Hinge plate, edge hole");
    assert_eq!(case.material_name, "2024-T351 plate");
    assert!(case.warnings.is_empty(), "{:?}", case.warnings);
    assert!(case.bracket && case.job.numerics.use_symmetry);
    assert_eq!(case.job.plate.outline, Outline::Rectangle { width: 60.0, height: 60.0 });
    let [Stage::Expand { hole: 0, tool }, Stage::Ream { hole: 0, diameter, .. }] =
        case.job.stages.as_slice()
    else {
        panic!("{:?}", case.job.stages)
    };
    // (5.52 + 2 × 0.20 − 5.70) / 5.70, by hand.
    assert_relative_eq!(tool.applied_expansion(5.70), 0.038_596_491, max_relative = 1e-7);
    assert_eq!(tool.elastic, Some((200_000.0, 0.3)));
    assert_relative_eq!(*diameter, 6.0);
}

#[test]
fn the_starter_is_a_valid_case_without_warnings() {
    let case = case::parse(case::STARTER, "starter.toml").unwrap();
    assert!(case.warnings.is_empty(), "{:?}", case.warnings);
    assert_eq!(case.job.stages.len(), 3);
    assert_eq!(case.path_angles, [vec![45.0]]);
}

#[test]
fn the_commented_keys_of_the_starter_are_valid_too() {
    // Uncomments keys and drops those they replace; the result must still be read.
    let changed = |uncomment: &[&str], drop: &[&str]| {
        let lines = case::STARTER.lines().filter_map(|line| {
            let bare = line.strip_prefix("# ").unwrap_or(line);
            let starts = |keys: &[&str]| keys.iter().any(|key| bare.starts_with(key));
            (!starts(drop)).then(|| if starts(uncomment) { bare } else { line })
        });
        parse(&lines.collect::<Vec<_>>().join("\n"))
    };
    let split = changed(&["split_angle", "split_gap"], &[]);
    let Stage::Expand { tool, .. } = &split.job.stages[0] else { panic!() };
    assert_relative_eq!(tool.split.unwrap().gap, 4.0_f64.to_radians());

    let rigid = changed(&["rigid_mandrel"], &["mandrel_modulus", "mandrel_poissons_ratio"]);
    let Stage::Expand { tool, .. } = &rigid.job.stages[0] else { panic!() };
    assert_eq!(tool.elastic, None);

    changed(&["applied_expansion"], &["mandrel_diameter", "sleeve_thickness"]);

    let round = changed(
        &["outer_diameter", "load = { pressure"],
        &["width", "height", "at =", "load = { tension"],
    );
    assert_eq!(round.job.plate.outline, Outline::Disc { diameter: 60.0 });

    let metal = ["[material]", "youngs", "poissons", "yield", "isotropic", "kinematic"];
    let own = changed(&metal, &["alloy"]);
    assert_eq!(own.material_name, "own");
    assert_eq!(own.job.material.kinematic.len(), 1);

    let held = ["fasten", "load = { bearing", "[[support]]", "edge =", "hold ="];
    let bearing = changed(&held, &["ream", "diameter", "offset", "load = { ten"]);
    let Stage::Load { load, .. } = &bearing.job.stages[2] else { panic!() };
    assert_eq!(load.bearing, [(0, [4000.0, 0.0])]);

    let draw = ["[section]", "friction", "lead_", "trail_", "land =", "support =", "rim ="];
    assert_eq!(changed(&draw, &[]).sections.len(), 1);

    let read = ["[[reading]]", "pull_force", "plus_minus = 120", "[[unknown]]", "name = \"kin"];
    let measured = changed(&[&draw[..], &read].concat(), &[]);
    assert_eq!((measured.readings.single.len(), measured.unknowns.len()), (1, 1));
    let gauge = [
        "[[gauge]]",
        "distance =",
        "angle_deg",
        "direction =",
        "grid_",
        "read_at",
        "strain =",
        "plus_minus = 40",
    ];
    assert_eq!(changed(&gauge, &[]).gauges.len(), 1);

    let pressed = changed(&["load = { pressure"], &["load = { tension"]);
    let Stage::Load { load, .. } = &pressed.job.stages[2] else { panic!() };
    assert_eq!(load.pressure, Some((0, 80.0)));
}

#[test]
fn inches_and_ksi_become_millimetres_and_megapascals() {
    let case = parse(
        r#"units = "in-ksi"
[plate]
outer_diameter = 4.0
thickness = 0.25
alloy = "2024-T351 plate"
[material]
youngs_modulus = 10700.0
[[hole]]
name = "bore"
starting_diameter = 0.25
[[stage]]
expand = "bore"
applied_expansion = 0.04
[[stage]]
load = { tension = 10.0, along = "rim", pressure = 5.0, hole = "bore" }
cycles = 3
"#,
    );
    assert_eq!(case.units, Units::InKsi);
    assert_eq!(case.title, "trial");
    assert_eq!(case.material_name, "2024-T351 plate, changed");
    let plate = &case.job.plate;
    assert_eq!(plate.outline, Outline::Disc { diameter: 101.6 });
    assert_eq!(plate.holes[0].centre, [0.0, 0.0]);
    assert_relative_eq!(plate.holes[0].starting_diameter, 6.35);
    // 10 700 ksi × 6.894757 MPa/ksi.
    assert_relative_eq!(case.job.material.elasticity.youngs_modulus, 73_773.9, max_relative = 1e-6);
    let [Stage::Expand { tool, .. }, Stage::Load { load, cycles: 3 }] = case.job.stages.as_slice()
    else {
        panic!("{:?}", case.job.stages)
    };
    assert_relative_eq!(tool.mandrel_diameter, 6.604, max_relative = 1e-12);
    assert_eq!(tool.elastic, None);
    assert_eq!(load.tractions.len(), 1);
    assert_relative_eq!(load.tractions[0].1, 68.947_573, max_relative = 1e-7);
    assert_relative_eq!(load.pressure.unwrap().1, 34.473_786, max_relative = 1e-7);
}

#[test]
fn applied_expansion_counts_from_the_last_ream() {
    let case = parse(&format!(
        "{SMALL}[[stage]]\nexpand = \"A\"\napplied_expansion = 0.03\n\
         [[stage]]\nream = \"A\"\ndiameter = 6.4\n\
         [[stage]]\nexpand = \"A\"\napplied_expansion = 0.03\ncentre = \"held\"\n"
    ));
    let Stage::Expand { tool, .. } = &case.job.stages[2] else { panic!() };
    assert_relative_eq!(tool.mandrel_diameter, 6.4 * 1.03, max_relative = 1e-12);
    assert_eq!(tool.centre, Centre::Held);
}

#[test]
fn a_mandrel_is_steel_when_sized_and_rigid_when_only_the_expansion_is_known() {
    let elastic = |stage: &str| match &with_stage(stage).job.stages[0] {
        Stage::Expand { tool, .. } => tool.elastic,
        other => panic!("{other:?}"),
    };
    assert_eq!(elastic("expand = \"A\"\nmandrel_diameter = 6.2"), Some((200_000.0, 0.3)));
    assert_eq!(elastic("expand = \"A\"\nmandrel_diameter = 6.2\nrigid_mandrel = true"), None);
    assert_eq!(elastic("expand = \"A\"\napplied_expansion = 0.03"), None);
    assert_eq!(
        elastic("expand = \"A\"\napplied_expansion = 0.03\nmandrel_modulus = 600e3"),
        Some((600e3, 0.3))
    );
}

#[test]
fn a_load_along_x_pulls_left_and_right() {
    let case = with_stage("load = { tension = -50, along = \"x\" }");
    let Stage::Load { load, cycles: 1 } = &case.job.stages[0] else { panic!() };
    assert_eq!(load.tractions, [("left".to_owned(), -50.0), ("right".to_owned(), -50.0)]);
}

#[test]
fn every_law_is_read() {
    let material = |isotropic: &str| {
        let text = SMALL.replace("alloy = \"7075-T651 plate\"\n", "")
            + &format!(
                "[[stage]]\nload = {{ tension = 50, along = \"x\" }}\n[material]\n\
                 youngs_modulus = 72000\npoissons_ratio = 0.33\n{isotropic}\n"
            );
        parse(&text).job.material
    };
    let linear = material("yield_stress = 350\nisotropic = { law = \"linear\", slope = 800 }");
    assert_relative_eq!(linear.yield_stress(0.01), 358.0);
    let power =
        material("yield_stress = 350\nisotropic = { law = \"ramberg-osgood\", exponent = 10 }");
    assert_relative_eq!(power.yield_stress(0.002), 350.0, max_relative = 1e-4);
    let voce = material(
        "yield_stress = 350\nisotropic = { law = \"voce\", saturation = 90, rate = 25 }\n\
         kinematic = [{ modulus = 20000, recall = 150 }, { modulus = 500, recall = 0 }]",
    );
    assert_relative_eq!(voce.yield_stress(10.0), 440.0, max_relative = 1e-12);
    assert_eq!(voce.kinematic.len(), 2);
    let none = material("yield_stress = 350\nisotropic = { law = \"none\" }");
    assert_eq!(none.isotropic, Isotropic::None);
    let table = material(
        "isotropic = { law = \"table\", points_are = \"true stress\", past_end = \"warn\", \
         points = [[0, 350], [0.01, 380]] }",
    );
    assert_eq!(
        table.isotropic,
        Isotropic::Table { points: vec![[0.0, 350.0], [0.01, 380.0]], past_end: PastEnd::Warn }
    );
    assert_relative_eq!(table.yield_stress, 350.0);
}

#[test]
fn an_engineering_table_is_converted_to_true_stress_and_plastic_strain() {
    let text = SMALL.replace("alloy = \"7075-T651 plate\"\n", "")
        + r#"[[stage]]
load = { tension = 50, along = "x" }
[material]
youngs_modulus = 72000
poissons_ratio = 0.33
[material.isotropic]
law = "table"
points_are = "engineering stress"
points = [[0, 0], [0.0025, 180], [0.005, 360], [0.05, 450]]
"#;
    let Isotropic::Table { points, .. } = parse(&text).job.material.isotropic else { panic!() };
    // By hand: 360 × 1.005 at the elastic limit; 450 × 1.05 = 472.5, ln 1.05 − 472.5/72000.
    assert_eq!(points.len(), 2);
    assert_relative_eq!(points[0][1], 361.8, max_relative = 1e-12);
    assert_eq!(points[0][0], 0.0);
    assert_relative_eq!(points[1][1], 472.5, max_relative = 1e-12);
    assert_relative_eq!(points[1][0], 0.048_790_164 - 0.006_562_5, max_relative = 1e-6);
}

#[test]
fn numerics_and_idealisation_are_read() {
    let text = SMALL
        .replace("thickness = 5", "thickness = 5\nidealisation = \"generalised plane strain\"")
        + "[[stage]]\nexpand = \"A\"\napplied_expansion = 0.03\n[numerics]\nfineness = 2\n\
           increments = 60\nsymmetry = false\nhardening_bracket = false\n";
    let case = parse(&text);
    assert_eq!(case.job.idealisation, Idealisation::GeneralisedPlaneStrain);
    assert_relative_eq!(case.job.numerics.fineness, 2.0);
    assert_eq!(case.job.numerics.increments, 60);
    assert!(!case.job.numerics.use_symmetry && !case.bracket);
}

#[test]
fn a_byte_order_mark_and_windows_line_ends_do_not_matter() {
    let plain = case::parse(case::DEMO, "demo.toml").unwrap();
    let text = format!("\u{feff}{}", case::DEMO.replace('\n', "\r\n"));
    let marked = case::parse(&text, "demo.toml").unwrap();
    assert_eq!(plain.job, marked.job);
    assert_ne!(plain.sha256, marked.sha256);
    assert_eq!(marked.text, text);
    let wrong = text.replace("thickness", "thicknes");
    let complaint = case::parse(&wrong, "demo.toml").unwrap_err();
    assert_eq!(complaint.place, Some((8, 1)), "{complaint}");
}

#[test]
fn the_sum_is_that_of_the_exact_bytes() {
    // Sums of the two texts by an independent program (sha256sum of coreutils).
    let sum = |text: &str| parse(text).sha256;
    assert_eq!(sum(PINNED), "ec65241425312c16bddfdf312b5ffb33704550e0cde5c81839f5022f628aa41b");
    assert_eq!(
        sum(&format!("{PINNED}\n")),
        "1b506391b49ea102b435b805993cf7510f387ff3805311be9a054f5c50868329"
    );
}

#[test]
fn odd_but_possible_things_are_warned_of() {
    let warnings = |stage: &str| with_stage(stage).warnings;
    assert_eq!(
        warnings("expand = \"A\"\napplied_expansion = 0.07"),
        ["line 13: an applied expansion of 7.00 % is more than the usual 3 to 6 %: check the \
          sizes, and that the hardening law holds for such strains"]
    );
    assert_eq!(
        warnings("load = { tension = 600, along = \"y\" }"),
        ["line 12: a tension of 600 MPa exceeds the elastic limit of 443.4 MPa: the whole plate \
          yields"]
    );
    let soft = format!(
        "{SMALL}[[stage]]\nload = {{ tension = 5, along = \"x\" }}\n[material]\nyoungs_modulus = 10300\n\
         yield_stress = 50\n"
    );
    assert_eq!(
        parse(&soft).warnings,
        ["line 14: a Young's modulus of 10300 MPa is soft; it looks like a value in ksi"]
    );
}

#[test]
fn a_deep_ream_and_a_modulus_in_the_other_unit_are_warned_of() {
    let deep = with_stage(
        "expand = \"A\"\napplied_expansion = 0.04\n[[stage]]\nream = \"A\"\ndiameter = 8",
    );
    assert_eq!(
        deep.warnings,
        ["line 16: the ream of hole `A` takes away the metal that the expansion has compressed \
          most: 6 mm to 8 mm"]
    );
    let stiff = case::DEMO
        .replace("\"mm-MPa\"", "\"in-ksi\"")
        .replace("[[hole]]", "[material]\nyoungs_modulus = 72000\n[[hole]]");
    assert_eq!(
        parse(&stiff).warnings,
        ["line 13: a Young's modulus of 72000 ksi is stiff; it looks like a value in MPa"]
    );
}

#[test]
fn numbers_may_be_written_in_every_way_of_toml() {
    for written in ["8_0.0", "80", "+80", "8e1", "8.0E+1", "0.8e2", "8_0"] {
        let case = parse(&case::DEMO.replace("width = 60.0", &format!("width = {written}")));
        assert_eq!(case.job.plate.outline, Outline::Rectangle { width: 80.0, height: 60.0 });
    }
}

#[test]
fn a_file_is_read_from_disk_as_it_is() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("plate.toml");
    std::fs::write(&path, case::DEMO).unwrap();
    let case = case::read(&path).unwrap();
    assert_eq!(case.text, case::DEMO);
}
