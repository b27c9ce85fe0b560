//! The floors of the house: a module imports from lower floors only.
//!
//! Every `crate::…` path under `src` counts, in `use` and inline, outside comments. Run with
//! `--nocapture` for the drawing in `DEVELOPERS.md`.
#![allow(clippy::unwrap_used, clippy::float_cmp, clippy::cast_precision_loss, missing_docs)]
#![allow(clippy::print_stdout, reason = "what was measured, for `--nocapture`")]

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};

/// Modules by floor, lowest first.
const FLOORS: [&[&str]; 10] = [
    &["units", "tensor", "numeric"],
    &["geometry", "material", "element"],
    &["mesh", "theory"],
    &["solver"],
    &["process"],
    &["result", "fracture"],
    &["fatigue", "case"],
    &["plot", "report"],
    &["study", "verify"],
    &["cli"],
];

fn floor_of(module: &str) -> Option<usize> {
    FLOORS.iter().position(|floor| floor.contains(&module))
}

fn source_files(folder: &Path, found: &mut Vec<PathBuf>) {
    let mut entries: Vec<PathBuf> =
        fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path()).collect();
    entries.sort();
    for path in entries {
        if path.is_dir() {
            source_files(&path, found);
        } else if path.extension().is_some_and(|extension| extension == "rs") {
            found.push(path);
        }
    }
}

/// First names after every `crate::` in a source text; `use crate::{a::…, b::…}` counts as all
/// of them.
fn imported(text: &str) -> BTreeSet<String> {
    let code: String = text
        .lines()
        .map(|line| line.find("//").map_or(line, |comment| &line[..comment]))
        .collect::<Vec<_>>()
        .join("\n");
    let word = |rest: &str| -> String {
        rest.chars().take_while(|c| c.is_alphanumeric() || *c == '_').collect()
    };
    let mut names = BTreeSet::new();
    for (at, path) in code.match_indices("crate::") {
        // `$crate::` and `some_crate::` are other things.
        if code[..at].ends_with(|c: char| c.is_alphanumeric() || c == '_') {
            continue;
        }
        let rest = &code[at + path.len()..];
        let Some(group) = rest.strip_prefix('{') else {
            names.insert(word(rest));
            continue;
        };
        let (mut depth, mut start) = (0, true);
        for (offset, c) in group.char_indices() {
            match c {
                '{' => depth += 1,
                '}' if depth == 0 => break,
                '}' => depth -= 1,
                ',' if depth == 0 => start = true,
                c if start && c.is_alphabetic() => {
                    names.insert(word(&group[offset..]));
                    start = false;
                }
                _ => {}
            }
        }
    }
    names
}

fn imports() -> BTreeMap<String, BTreeMap<String, Vec<PathBuf>>> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let mut files = Vec::new();
    source_files(&root, &mut files);
    let mut all: BTreeMap<String, BTreeMap<String, Vec<PathBuf>>> = BTreeMap::new();
    for file in files {
        let inside = file.strip_prefix(&root).unwrap();
        let first = inside.components().next().unwrap().as_os_str().to_str().unwrap();
        let module = first.strip_suffix(".rs").unwrap_or(first).to_owned();
        if module == "lib" || module == "main" {
            continue;
        }
        let own = all.entry(module.clone()).or_default();
        for name in imported(&fs::read_to_string(&file).unwrap()) {
            if name != module {
                own.entry(name).or_default().push(inside.to_owned());
            }
        }
    }
    all
}

#[test]
fn every_module_imports_from_lower_floors_only() {
    let all = imports();
    let mut wrong = Vec::new();
    for (module, arrows) in &all {
        let Some(floor) = floor_of(module) else {
            wrong.push(format!("`{module}` has no floor"));
            continue;
        };
        for (target, files) in arrows {
            match floor_of(target) {
                Some(below) if below < floor => {}
                Some(other) => wrong.push(format!(
                    "{module} ({floor}) imports {target} ({other}) in {}",
                    files[0].display()
                )),
                None => wrong.push(format!(
                    "{module} imports `{target}`, which has no floor, in {}",
                    files[0].display()
                )),
            }
        }
    }
    println!("{}", drawing(&all));
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    // The reader of the sources does read: these arrows are known to be there.
    assert!(all["solver"].contains_key("mesh") && all["process"].contains_key("solver"));
    assert!(all.len() >= 12, "{:?}", all.keys());
}

fn drawing(all: &BTreeMap<String, BTreeMap<String, Vec<PathBuf>>>) -> String {
    let mut lines = Vec::new();
    for (floor, modules) in FLOORS.iter().enumerate().rev() {
        for module in modules.iter().filter(|module| all.contains_key(**module)) {
            let mut below: Vec<&String> = all[*module].keys().collect();
            below.sort_by_key(|name| std::cmp::Reverse(floor_of(name)));
            let names: Vec<&str> = below.into_iter().map(String::as_str).collect();
            lines.push(format!("{floor}  {module:<9} → {}", names.join(", ")));
        }
    }
    lines.join("\n")
}

#[test]
fn the_reader_finds_every_form_of_import() {
    let text = "
use crate::mesh::topology::Mesh;
use crate::{solver::state::{State, Rate}, tensor::Stress};
// use crate::cli::nothing;
fn f() -> crate::process::job::Job { $crate::x() }
use other_crate::report;
";
    let found: Vec<String> = imported(text).into_iter().collect();
    assert_eq!(found, ["mesh", "process", "solver", "tensor", "x"]);
}
