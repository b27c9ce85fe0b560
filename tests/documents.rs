//! The documents against the program: their case files are read, their keys are those of the
//! readers, their defaults are true, the files that they point to exist.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

use hoopset::case::keys::{
    CASE_FILE as CASE_KEYS, METAL_FILE as METAL_KEYS, SECTION_FILE as SECTION_KEYS,
    SHEET_FILE as SHEET_KEYS, SHOP_FILE as SHOP_KEYS, STUDY_FILE as STUDY_KEYS, markdown,
};
use hoopset::{Case, parse};

const README: &str = include_str!("../README.md");
const CASE_FILE: &str = include_str!("../docs/case-file.md");
const TOOL_SHEET: &str = include_str!("../docs/tool-sheet.md");
const METAL: &str = include_str!("../docs/metal.md");
const STUDIES: &str = include_str!("../docs/studies.md");
const SECTION: &str = include_str!("../docs/section.md");
const SHOP: &str = include_str!("../docs/shop.md");

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

#[test]
fn the_case_files_of_the_documents_are_read() {
    let whole = blocks(README, "toml");
    let stages = blocks(CASE_FILE, "toml");
    assert_eq!((whole.len(), stages.len()), (1, 7));
    assert_eq!(case(whole[0]).job.stages.len(), 4);
    // Those of the page on the case file take the place of the last stage of the whole case.
    let last = whole[0].rfind("[[stage]]").expect("the case has stages");
    for (block, count) in stages.iter().zip([3, 3, 4, 5, 4, 4, 5]) {
        assert_eq!(case(&format!("{}{block}", &whole[0][..last])).job.stages.len(), count);
    }
}

#[test]
fn the_readme_can_be_read_at_one_sitting() {
    assert!(README.len() <= 9000, "{} bytes: a subject of its own belongs in docs/", README.len());
}

/// The part of `page` from one heading to the next.
fn section<'t>(page: &'t str, heading: &str) -> &'t str {
    let start = page.find(heading).expect("the heading");
    let rest = &page[start + heading.len()..];
    &rest[..rest.find("\n## ").unwrap_or(rest.len())]
}

#[test]
fn the_key_tables_of_the_documents_are_those_of_the_program() {
    for (page, heading, option, file) in [
        (CASE_FILE, "\n## Keys\n", "", &CASE_KEYS[..]),
        (TOOL_SHEET, "\n## Keys of the sheet\n", " --sheet", &SHEET_KEYS[..]),
        (METAL, "\n## Keys of the file of tests\n", " --metal", &METAL_KEYS[..]),
        (STUDIES, "\n## Keys of the study\n", " --study", &STUDY_KEYS[..]),
        (SECTION, "\n## Keys\n", " --section", &SECTION_KEYS[..]),
        (SHOP, "\n## Keys of the shop file\n", " --shop", &SHOP_KEYS[..]),
    ] {
        let table = markdown(file);
        assert!(
            section(page, heading).contains(table.trim_end()),
            "below {heading} must stand the output of `hoopset keys{option}`:\n{table}"
        );
    }
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
    let bush = "[[stage]]\nbush = \"A\"\ninner_diameter = 4\nouter_diameter = 6.12\n";
    let bushed = format!("{stages}{bush}");
    let smooth = with("", "", &format!("{bushed}friction = 0\n"), "");
    assert_eq!(smooth.job, with("", "", &bushed, "").job);
    for key in [
        "fineness = 1",
        "increments = 8",
        "path_tolerance = 0.001",
        "strains = \"finite\"",
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
    let points = "law = \"table\", points = [[0, 250], [0.05, 400]], points_are = \"true stress\"";
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

/// Every page of the repository, as paths from its root.
fn pages() -> Vec<PathBuf> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut folders = vec![PathBuf::new()];
    let mut pages = Vec::new();
    while let Some(folder) = folders.pop() {
        for entry in std::fs::read_dir(root.join(&folder)).expect("a folder").flatten() {
            let name = entry.file_name().into_string().expect("a name in plain letters");
            let kind = entry.file_type().expect("a kind");
            if kind.is_dir() && name != "target" && !name.starts_with('.') {
                folders.push(folder.join(name));
            } else if name.rsplit_once('.').is_some_and(|(_, end)| end == "md") {
                pages.push(folder.join(name));
            }
        }
    }
    pages.sort();
    pages
}

#[test]
fn files_that_the_documents_point_to_exist() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let pages = pages();
    assert!(pages.len() > 60, "{pages:?}");
    for page in pages {
        let text = std::fs::read_to_string(root.join(&page)).expect("a document");
        let folder = root.join(&page);
        let folder = folder.parent().expect("a folder");
        for target in text.split("](").skip(1).filter_map(|rest| rest.split(')').next()) {
            if target.contains("://") {
                continue;
            }
            let (file, heading) = target.split_once('#').unwrap_or((target, ""));
            let linked = if file.is_empty() { root.join(&page) } else { folder.join(file) };
            let shown = page.display();
            assert!(linked.exists(), "{shown} points to `{target}`");
            if !heading.is_empty() {
                let text = std::fs::read_to_string(&linked).expect("a document");
                assert!(anchors(&text).contains(heading), "{shown} points to `{target}`");
            }
        }
    }
}

/// The headings of a page as links name them: small letters, hyphens between words.
fn anchors(page: &str) -> BTreeSet<String> {
    page.lines()
        .filter(|line| line.starts_with('#'))
        .map(|line| {
            let words = line.trim_start_matches('#').trim().to_lowercase();
            let kept = |c: &char| c.is_alphanumeric() || *c == ' ' || *c == '-';
            words.chars().filter(kept).collect::<String>().replace(' ', "-")
        })
        .collect()
}

#[test]
fn every_lesson_is_in_the_index() {
    let index = include_str!("../examples/README.md");
    let lessons = pages().into_iter().filter(|page| page.starts_with("examples"));
    for lesson in lessons.filter(|page| !page.ends_with("README.md")) {
        let name = lesson.file_name().and_then(|name| name.to_str()).expect("a name");
        assert!(index.contains(&format!("]({name})")), "{name} is not in examples/README.md");
    }
}

/// Files that DEVELOPERS.md names in backticks, from the root, from `src/` or from `src/engine/`.
#[test]
fn files_that_the_page_for_developers_names_exist() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let page = include_str!("../DEVELOPERS.md");
    let named = page.split('`').skip(1).step_by(2).filter(|word| {
        let file =
            word.rsplit_once('.').is_some_and(|(_, end)| ["rs", "md", "toml"].contains(&end));
        file && word.contains('/') && !word.contains([' ', '…', '*'])
    });
    let missing: Vec<&str> = named
        .filter(|name| {
            !["", "src", "src/engine"].iter().any(|at| root.join(at).join(name).exists())
        })
        .collect();
    assert!(missing.is_empty(), "{missing:?}");
}

/// Doc lines of the sources that open with "What" as the subject of a sentence, which reads as a
/// riddle. A question may.
fn opens_with_what(line: &str) -> bool {
    let line = line.trim_start();
    let words = ["//! ", "/// "].iter().find_map(|mark| line.strip_prefix(mark));
    words.is_some_and(|words| words.starts_with("What ") && !words.contains('?'))
}

#[test]
fn doc_lines_do_not_open_with_what() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let mut folders = vec![root.clone()];
    let mut found = Vec::new();
    while let Some(folder) = folders.pop() {
        for entry in std::fs::read_dir(&folder).expect("a folder").flatten() {
            let path = entry.path();
            if path.is_dir() {
                folders.push(path);
            } else if path.extension().is_some_and(|end| end == "rs") {
                let text = std::fs::read_to_string(&path).expect("a source");
                let place = path.strip_prefix(&root).expect("inside").display().to_string();
                let lines = text.lines().enumerate().filter(|(_, line)| opens_with_what(line));
                found.extend(lines.map(|(number, line)| format!("{place}:{}: {line}", number + 1)));
            }
        }
    }
    found.sort();
    assert!(found.is_empty(), "lines that open with \"What\":\n{}", found.join("\n"));
}
