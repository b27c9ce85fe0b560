//! The README against the program: its case files run, its keys are those of the reader, its
//! defaults are true, its files exist.

use std::collections::BTreeSet;
use std::path::Path;

use hoopset::{Case, parse};

const README: &str = include_str!("../README.md");
const KEY_TABLE: &str = include_str!("../src/case/table.rs");

fn case(text: &str) -> Case {
    parse(text, "case.toml").unwrap_or_else(|complaint| panic!("{complaint}\n{text}"))
}

/// Fenced blocks of `text` in `language`.
fn blocks<'t>(text: &'t str, language: &str) -> Vec<&'t str> {
    let opening = format!("```{language}\n");
    text.split(opening.as_str())
        .skip(1)
        .map(|rest| rest.split("```").next().unwrap_or_default())
        .collect()
}

/// Words in backticks in the second column of the table rows of `text`.
fn keys(text: &str) -> BTreeSet<String> {
    text.lines()
        .filter_map(|line| line.trim_start_matches("//!").trim().strip_prefix('|'))
        .filter_map(|row| row.split('|').nth(1))
        .flat_map(|cell| cell.split('`').skip(1).step_by(2).map(str::to_owned).collect::<Vec<_>>())
        .collect()
}

#[test]
fn the_case_file_of_the_readme_is_read() {
    let cases = blocks(README, "toml");
    assert_eq!(cases.len(), 3);
    assert_eq!(case(cases[0]).job.stages.len(), 4);
    // The second is a stage of its own: it takes the place of the last one of the first.
    let last = cases[0].rfind("[[stage]]").expect("the case has stages");
    let served = format!("{}{}", &cases[0][..last], cases[1]);
    assert_eq!(case(&served).job.stages.len(), 4);
    // So are those of the third, with what holds the plate.
    let pushed = format!("{}{}", &cases[0][..last], cases[2]);
    assert_eq!(case(&pushed).job.stages.len(), 5);
}

#[test]
fn the_readme_lists_the_keys_of_the_reader() {
    let start = README.find("### Every key").expect("the heading");
    let end = README.find("Isotropic laws").expect("the next table");
    let listed = keys(&README[start..end]);
    assert!(listed.len() > 30, "{listed:?}");
    assert_eq!(listed, keys(KEY_TABLE));
}

/// A case with a place for one more key in each of its tables.
fn with(plate: &str, hole: &str, stages: &str, rest: &str) -> Case {
    case(&format!(
        "title = \"case\"\nunits = \"mm-MPa\"\n\
         [plate]\nwidth = 60\nheight = 60\nthickness = 6\nalloy = \"2024-T351 plate\"\n{plate}\n\
         [[hole]]\nname = \"A\"\nat = [12, 30]\nstarting_diameter = 5.7\n{hole}\n\
         {stages}\n{rest}"
    ))
}

const EXPANSION: &str = "[[stage]]\nexpand = \"A\"\nmandrel_diameter = 5.92\n";
const REAM: &str = "[[stage]]\nream = \"A\"\ndiameter = 6.1\n";
const LOAD: &str = "[[stage]]\nload = { tension = 100, along = \"y\" }\n";

#[test]
fn a_default_written_out_changes_nothing() {
    let stages = format!("{EXPANSION}{REAM}{LOAD}");
    let plain = with("", "", &stages, "");
    assert!(plain.bracket);
    let same = |plate: &str, hole: &str, stages: &str, rest: &str| {
        let written = with(plate, hole, stages, rest);
        assert_eq!(written.job, plain.job, "{plate}{hole}{stages}{rest}");
        assert_eq!(written.path_angles, plain.path_angles);
        assert_eq!(written.bracket, plain.bracket);
        assert_eq!(written.title, plain.title);
    };
    same("idealisation = \"plane stress\"", "", &stages, "");
    same("", "paths = []", &stages, "");
    for key in [
        "sleeve_thickness = 0",
        "mandrel_modulus = 200000",
        "mandrel_poissons_ratio = 0.3",
        "rigid_mandrel = false",
        "centre = \"floating\"",
    ] {
        same("", "", &format!("{EXPANSION}{key}\n{REAM}{LOAD}"), "");
    }
    same("", "", &format!("{EXPANSION}{REAM}offset = [0, 0]\n{LOAD}"), "");
    same("", "", &format!("{stages}cycles = 1\n"), "");
    for key in [
        "fineness = 1",
        "increments = 8",
        "substeps = 4",
        "symmetry = true",
        "hardening_bracket = true",
    ] {
        same("", "", &stages, &format!("[numerics]\n{key}\n"));
    }
}

#[test]
fn a_pin_is_of_steel() {
    let pin = "[[stage]]\nfasten = \"A\"\n";
    let plain = with("", "", pin, "").job;
    for key in ["pin_modulus = 200000", "pin_poissons_ratio = 0.3", "rigid_pin = false"] {
        assert_eq!(with("", "", &format!("{pin}{key}\n"), "").job, plain, "{key}");
    }
    for key in ["pin_diameter = 5.7", "rigid_pin = true"] {
        assert_ne!(with("", "", &format!("{pin}{key}\n"), "").job, plain, "{key}");
    }
}

#[test]
fn a_mandrel_without_sizes_is_rigid() {
    let text = EXPANSION.replace("mandrel_diameter = 5.92", "applied_expansion = 0.04");
    assert_eq!(
        with("", "", &text, "").job,
        with("", "", &format!("{text}rigid_mandrel = true\n"), "").job
    );
    let given_way = with("", "", &format!("{text}rigid_mandrel = false\n"), "");
    assert_ne!(with("", "", &text, "").job, given_way.job);
}

#[test]
fn the_title_defaults_to_the_name_of_the_file_and_the_hole_to_the_centre() {
    let text = "units = \"mm-MPa\"\nplate = { outer_diameter = 60, thickness = 6, \
                alloy = \"2024-T351 plate\" }\nhole = [ { name = \"A\", starting_diameter = 6 } ]\n\
                stage = [ { expand = \"A\", applied_expansion = 0.04 } ]\n";
    let read = case(text);
    assert_eq!(read.title, "case");
    assert_eq!(read.job.plate.holes[0].centre.map(f64::to_bits), [0.0_f64, 0.0].map(f64::to_bits));
}

#[test]
fn the_tables_of_laws_are_read() {
    let text = |law: &str| {
        let rest = format!("[material]\nisotropic = {law}\n");
        with("", "", EXPANSION, &rest).job.material
    };
    let voce = text("{ law = \"voce\", saturation = 90, rate = 25 }");
    assert_eq!(voce, text("{ law = \"voce\", saturation = 90, rate = 25, slope = 0 }"));
    let points = "law = \"table\", points = [[0, 250], [0.05, 400]], holds = \"true\"";
    let own = |end: &str| {
        let law = format!("isotropic = {{ {points}{end} }}\n");
        let rest = format!("[material]\nyoungs_modulus = 72000\npoissons_ratio = 0.33\n{law}");
        with("", "", EXPANSION, &rest).job.material
    };
    // The yield stress comes from the table when none is written.
    assert!((own("").elastic_limit() - 250.0).abs() < 1e-9);
    assert_eq!(own(""), own(", past_end = \"flat\""));
    assert_ne!(own(""), own(", past_end = \"warn\""));
}

#[test]
fn files_that_the_documents_point_to_exist() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let lessons = std::fs::read_dir(root.join("examples")).expect("the lessons");
    let lessons = lessons.filter_map(|entry| entry.ok()?.file_name().into_string().ok());
    let page = |name: String| Some(format!("examples/{}.md", name.strip_suffix(".md")?));
    let lessons: Vec<String> = lessons.filter_map(page).collect();
    assert!(lessons.len() >= 13, "{lessons:?}");
    let documents = ["README.md", "DEVELOPERS.md", "CHANGELOG.md"];
    for name in documents.into_iter().chain(lessons.iter().map(String::as_str)) {
        let text = std::fs::read_to_string(root.join(name)).expect("a document");
        let folder = root.join(name);
        let folder = folder.parent().expect("a folder");
        for target in text.split("](").skip(1).filter_map(|rest| rest.split(')').next()) {
            if !target.contains("://") && !target.starts_with('#') {
                assert!(folder.join(target).exists(), "{name} points to `{target}`");
            }
        }
    }
}
