//! Which closed form a run finds beside it, and how near it is. The forms themselves are held
//! against their sources in `tests/theory.rs`; here the matching is, and that a form laid over a
//! chart does speak of what was computed.
#![allow(clippy::unwrap_used, missing_docs)]

use hoopset::material::strains::Strains;
use hoopset::result::closed_form::{HoleForms, closed_forms};
use hoopset::{Sequence, Snapshot, case, parse, read};

const YIELD: f64 = 350.0;

/// Runs a case with small strains, which the forms speak of, and looks for forms.
fn forms(text: &str) -> Vec<HoleForms> {
    let mut case = parse(text, "case.toml").unwrap_or_else(|complaint| panic!("{complaint}"));
    case.job.numerics.strains = Strains::Small;
    let mut snapshots: Vec<Snapshot> = Vec::new();
    Sequence::new(case.job.clone()).unwrap().run(&mut snapshots).unwrap();
    let stages: Vec<_> = snapshots
        .iter()
        .map(|snapshot| read(snapshot, &case.job, &case.path_angles).unwrap().0)
        .collect();
    closed_forms(&case.job, &snapshots, &stages)
}

/// A round plate of 60 mm with a hole of 6 mm, or what `plate` says.
fn text(plate: &str, metal: &str, stages: &str) -> String {
    let plate = if plate.is_empty() { "outer_diameter = 60.0" } else { plate };
    let at = if plate.starts_with("outer") { "" } else { "at = [65.0, 65.0]" };
    format!(
        "units = \"mm-MPa\"\n[plate]\n{plate}\nthickness = 3.0\n[material]\n\
         youngs_modulus = 72000.0\nyield_stress = {YIELD:.1}\n{metal}\n\
         [[hole]]\nname = \"A\"\nstarting_diameter = 6.0\n{at}\n{stages}\n"
    )
}

const PERFECT: &str = "poissons_ratio = 0.33";

/// `(snapshot, first word of the name, largest difference over the yield stress)` of one hole.
fn told(of_hole: &HoleForms) -> Vec<(&str, &str, f64)> {
    let each = of_hole.forms.iter().map(|form| {
        let [difference, _] = form.largest_difference.unwrap();
        let name = form.name.split([',', ' ']).next().unwrap();
        (form.stage.as_str(), name, difference.abs() / YIELD)
    });
    each.collect()
}

/// Asserts that the forms are those expected and within `tolerance` of the yield stress.
fn assert_told(of_hole: &HoleForms, expected: &[(&str, &str)], tolerance: f64) {
    let told = told(of_hole);
    let names: Vec<(&str, &str)> = told.iter().map(|(stage, name, _)| (*stage, *name)).collect();
    assert_eq!(names, expected, "{:?}", of_hole.reason);
    for (stage, name, difference) in told {
        assert!(difference < tolerance, "{stage}, {name}: {difference}");
    }
}

/// Plane stress, opened to less than the 0.92 % at which the release would yield the edge again.
/// 1 %: mesh and increments of the default.
#[test]
fn an_expanded_and_reamed_ring_lies_on_nadais_sheet() {
    let stages = "[[stage]]\nexpand = \"A\"\napplied_expansion = 0.008\n\
                  [[stage]]\nream = \"A\"\ndiameter = 6.2\n";
    let found = &forms(&text("", PERFECT, stages))[0];
    let expected = [("1-expand-A-full", "Nádai"), ("1-expand-A", "Nádai"), ("2-ream-A", "Nádai")];
    assert_told(found, &expected, 0.01);
    assert_eq!(found.reason, None);
    assert!(found.forms[0].statement.contains("measured opening of 0.8"));
    assert!(found.forms[1].statement.contains("ring of 10.00 hole radii"));
    assert!(found.forms[2].statement.contains("cut to 1.0"));
    // The form is drawn from the edge as it stands to three diameters.
    let distances = found.forms[2].profile.distances();
    assert!(distances[0].abs() < 1e-12 && (distances[distances.len() - 1] - 18.0).abs() < 1e-9);
}

/// Plane strain at ν = 0.499, where Hill's cylinder is von Mises too; the release yields in reverse.
#[test]
fn a_pressurised_cylinder_lies_on_hills() {
    let plate = "outer_diameter = 24.0\nidealisation = \"plane strain\"";
    // Limit: 2/√3 · 350 · ln 4 = 560 MPa.
    let stages = "[[stage]]\nload = { pressure = 480.0, hole = \"A\" }\n";
    let found = &forms(&text(plate, "poissons_ratio = 0.499", stages))[0];
    assert_told(found, &[("1-load-full", "Hill"), ("1-load", "Hill")], 0.01);
    assert!(found.forms[1].statement.contains("yielding in reverse"));
}

#[test]
fn what_has_not_yielded_is_lames_ring_whatever_the_metal() {
    let metal = "poissons_ratio = 0.33\nkinematic = [{ modulus = 20000.0, recall = 150.0 }]";
    let stages = "[[stage]]\nload = { pressure = 100.0, hole = \"A\" }\n\
                  [[stage]]\nexpand = \"A\"\napplied_expansion = 0.002\n";
    let found = &forms(&text("", metal, stages))[0];
    // Nothing is left after either, so the released states have no form and need none.
    assert_told(found, &[("1-load-full", "Lamé"), ("2-expand-A-full", "Lamé")], 0.002);
    assert_eq!(found.reason, None);
}

/// 1 %: the plate ends at 22 radii; flow theory and total-strain theory are 0.4 % apart here.
#[test]
fn a_hardening_sheet_is_matched_at_full_size_only() {
    let metal = "poissons_ratio = 0.33\nisotropic = { law = \"ramberg-osgood\", exponent = 10 }";
    let plate = "width = 130.0\nheight = 130.0";
    let stages = "[[stage]]\nexpand = \"A\"\napplied_expansion = 0.005\n";
    let found = &forms(&text(plate, metal, stages))[0];
    assert_told(found, &[("1-expand-A-full", "hardening")], 0.01);
    assert!(found.reason.as_deref().unwrap().contains("unloading"), "{:?}", found.reason);
}

/// 100 MPa on gross: peak 300. 1 % of it: mesh, and a width of 43 radii.
#[test]
fn a_pulled_plate_is_kirschs_on_every_path() {
    let plate = "width = 130.0\nheight = 130.0";
    let stages = "[[stage]]\nload = { tension = 100.0, along = \"y\" }\n";
    let found = &forms(&text(plate, PERFECT, stages))[0];
    assert_told(found, &[("1-load-full", "Kirsch"); 2], 3.0 / YIELD);
    let edge: Vec<f64> = found.forms.iter().map(|form| form.profile.values()[0]).collect();
    assert!((edge[0] - 300.0).abs() < 1e-9 && (edge[1] + 100.0).abs() < 1e-9, "{edge:?}");
    assert_eq!(
        found.forms.iter().map(|f| f.angle_deg).collect::<Vec<_>>(),
        [Some(0.0), Some(90.0)]
    );
}

/// Why there is none, case by case.
#[test]
fn where_no_form_speaks_the_reason_is_told() {
    let expand = |size: f64| format!("[[stage]]\nexpand = \"A\"\napplied_expansion = {size}\n");
    let quick = "[numerics]\nfineness = 0.5\nincrements = 8\n";
    let kinematic = "poissons_ratio = 0.33\nkinematic = [{ modulus = 2000.0, recall = 0.0 }]";
    let near = "width = 50.0\nheight = 50.0";
    let held = "[[support]]\nedge = \"rim\"\nhold = \"both\"\n";
    let slit = "split_angle = 0.0\nsplit_gap = 5.0\n";
    let cases = [
        ("", PERFECT, expand(0.04), "1-expand-A-full: the hole is opened by 4.00 %, beyond"),
        ("", PERFECT, expand(0.012), "1-expand-A: the hole yields in reverse"),
        ("", kinematic, expand(0.01), "kinematic hardening"),
        (near, PERFECT, expand(0.008), "20 of its radii from every edge"),
        ("", PERFECT, format!("{held}{}", expand(0.008)), "edges of the plate are held"),
        ("", PERFECT, format!("{}{slit}", expand(0.008)), "the sleeve has a slit"),
        ("", PERFECT, format!("{}{}", expand(0.008), expand(0.009)), "loaded again"),
    ];
    for (plate, metal, stages, reason) in cases {
        let mut text = text(plate, metal, &format!("{stages}{quick}"));
        if plate == near {
            text = text.replace("at = [65.0, 65.0]", "at = [25.0, 25.0]");
        }
        let found = &forms(&text)[0];
        let told = found.reason.as_deref().unwrap_or_default();
        assert!(told.contains(reason), "{told}\nfor {text}");
        if plate == near {
            assert!(found.forms.is_empty());
        }
    }
}

#[test]
fn the_demonstration_has_no_closed_form_and_shows_none() {
    let quick = format!("{}\n[numerics]\nfineness = 0.5\nincrements = 8\n", case::DEMO);
    let found = &forms(&quick)[0];
    assert!(found.forms.is_empty());
    assert!(found.reason.as_deref().unwrap().starts_with("the hole is neither in the middle"));
}
