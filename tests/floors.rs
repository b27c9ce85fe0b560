//! The floors of the house: a module imports from lower floors only, and no files import each other
//! in a circle.
//!
//! Every `crate::…` path under `src` counts, in `use` and inline, outside comments and unit tests. A path
//! is taken to the file that it leads to. The table of the floors in `DEVELOPERS.md` and on the page
//! of the crate is the one drawn here; run with `--nocapture` to see it and every arrow.
#![allow(clippy::unwrap_used, missing_docs)]
#![allow(clippy::print_stdout, reason = "the drawing, for `--nocapture`")]

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};

/// A module and what it holds, in a few words.
type Room = (&'static str, &'static str);

/// Modules by floor, lowest first.
const FLOORS: [&[Room]; 12] = [
    &[
        ("units", "units at the border"),
        ("tensor", "stress, strain"),
        ("numeric", "roots, profiles"),
        ("packed", "deflated bytes"),
    ],
    &[
        ("geometry", "plate, holes"),
        ("material", "metal at a point"),
        ("fatigue", "growth, life; reads profiles only"),
    ],
    &[("element", "shapes, kernel"), ("fit", "constants from measurements")],
    &[("mesh", "rings and fill"), ("theory", "closed forms")],
    &[("solver", "equilibrium and contact, one increment at a time")],
    &[("process", "tools, stages, their sequence, snapshots")],
    &[("result", "fields, paths, numbers"), ("fracture", "cracks opened in the mesh")],
    &[("case", "case file to job"), ("texts", "carried along")],
    &[("study", "many solutions: bracket, refinement, lives, tool sheet, studies")],
    &[("plot", "figures"), ("report", "folder, tables, fields, pages")],
    &[("verify", "the book of known answers"), ("live", "the page with sliders")],
    &[("cli", "commands, progress, messages, exit codes")],
];

/// The highest floor of the engine, a package of its own under `src/engine`: what computes, and neither asks nor shows.
const ENGINE: usize = 6;

/// Arrows that would point down and are wrong all the same.
const FORBIDDEN: [(&str, &str, &str); 3] = [
    ("case", "result", "a case is what is asked, not what is found"),
    ("solver", "theory", "the solver is held against the closed forms and must not know them"),
    ("process", "theory", "the process is held against the closed forms and must not know them"),
];

fn floor_of(module: &str) -> Option<usize> {
    FLOORS.iter().position(|floor| floor.iter().any(|(name, _)| *name == module))
}

fn top(module: &str) -> &str {
    module.split("::").next().unwrap()
}

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("src")
}

/// The head of a module.
fn head_of(floor: usize, room: &str) -> PathBuf {
    let root = if floor <= ENGINE { root().join("engine") } else { root() };
    root.join(format!("{room}.rs"))
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

/// The code without comments, and without the unit tests at its end.
fn code_of(text: &str) -> String {
    let code = text.split("#[cfg(test)]").next().unwrap();
    let lines = code.lines().map(|line| line.find("//").map_or(line, |comment| &line[..comment]));
    lines.collect::<Vec<_>>().join("\n")
}

/// Every path after a `crate::` in a source text, without the `crate`; a group counts as all of its
/// paths.
fn imported(text: &str) -> BTreeSet<Vec<String>> {
    let code = code_of(text);
    let mut paths = BTreeSet::new();
    for (at, word) in code.match_indices("crate::") {
        // `some_crate::` and the place in `pub(in crate::…)` are other things.
        let before = &code[..at];
        if !before.ends_with(|c: char| c.is_alphanumeric() || c == '_') && !before.ends_with("(in ")
        {
            branches(&code[at + word.len()..], &mut Vec::new(), &mut paths);
        }
    }
    paths
}

/// Reads one use tree at the start of `text` into `paths`; what is left of the text.
fn branches<'a>(
    text: &'a str,
    stem: &mut Vec<String>,
    paths: &mut BTreeSet<Vec<String>>,
) -> &'a str {
    let mut rest = text.trim_start();
    if let Some(group) = rest.strip_prefix('{') {
        rest = group.trim_start();
        while !rest.starts_with('}') && !rest.is_empty() {
            let depth = stem.len();
            let left = branches(rest, stem, paths);
            stem.truncate(depth);
            let left = left.trim_start().trim_start_matches(',').trim_start();
            assert!(left.len() < rest.len(), "not a use tree: {rest:.60}");
            rest = left;
        }
        return rest.strip_prefix('}').unwrap_or(rest);
    }
    let end = rest.find(|c: char| !(c.is_alphanumeric() || c == '_' || c == '*'));
    let (word, after) = rest.split_at(end.unwrap_or(rest.len()));
    stem.push(word.to_owned());
    if let Some(deeper) = after.trim_start().strip_prefix("::")
        && deeper.trim_start().starts_with(|c: char| c.is_alphabetic() || "_{*".contains(c))
    {
        return branches(deeper, stem, paths);
    }
    paths.insert(stem.clone());
    match after.trim_start().strip_prefix("as ") {
        Some(alias) => alias.trim_start_matches(|c: char| c.is_alphanumeric() || c == '_'),
        None => after,
    }
}

/// Every file of `src`, as `process::sequence`, with the files that it imports.
fn arrows() -> BTreeMap<String, BTreeSet<String>> {
    let mut files = Vec::new();
    source_files(&root(), &mut files);
    let name = |file: &Path| {
        let inside = file.strip_prefix(root()).unwrap().with_extension("");
        // The modules of the engine stand under the same names in the program.
        let inside = inside.strip_prefix("engine").unwrap_or(&inside);
        inside.iter().map(|part| part.to_str().unwrap()).collect::<Vec<_>>().join("::")
    };
    let names: BTreeSet<String> = files.iter().map(|file| name(file)).collect();
    let leads_to = |path: &[String]| {
        (1..=path.len()).rev().map(|k| path[..k].join("::")).find(|name| names.contains(name))
    };
    let mut all = BTreeMap::new();
    for file in files {
        let own = name(&file);
        if ["lib", "main", "build"].contains(&own.as_str()) {
            continue;
        }
        let paths = imported(&fs::read_to_string(&file).unwrap());
        // Names of the crate itself lead to no file: `crate::Job` is a re-export of `lib.rs`.
        let targets = paths.iter().filter_map(|path| leads_to(path)).filter(|name| *name != own);
        let targets: BTreeSet<String> = targets.collect();
        all.insert(own, targets);
    }
    all
}

#[test]
fn every_file_imports_from_lower_floors_only() {
    let all = arrows();
    let mut wrong = Vec::new();
    for (file, targets) in &all {
        let Some(floor) = floor_of(top(file)) else {
            wrong.push(format!("`{}` has no floor", top(file)));
            continue;
        };
        for target in targets.iter().filter(|target| top(target) != top(file)) {
            match floor_of(top(target)) {
                Some(below) if below < floor => {}
                other => wrong.push(format!("{file} ({floor}) imports {target} ({other:?})")),
            }
            for (from, to, why) in FORBIDDEN {
                if (top(file), top(target)) == (from, to) {
                    wrong.push(format!("{file} imports {target}: {why}"));
                }
            }
        }
    }
    println!("{}\n\n{}", table(), drawing(&all));
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    // The reader of the sources does read: these arrows are known to be there.
    assert!(all["process::sequence"].contains("process::snapshot"));
    assert!(all["study::bracket"].contains("result::read"));
    assert!(all.len() >= 200, "{}", all.len());
}

#[test]
fn no_files_import_each_other_in_a_circle() {
    let all = arrows();
    let found: Vec<String> = circles(&all).iter().map(|circle| circle.join(" ↔ ")).collect();
    assert!(found.is_empty(), "{}", found.join("\n"));
}

/// Sets of files each of which is reached from each other by imports.
fn circles(all: &BTreeMap<String, BTreeSet<String>>) -> Vec<Vec<String>> {
    let reached = |from: &String| {
        let mut seen = BTreeSet::new();
        let mut open: Vec<&String> = vec![from];
        while let Some(file) = open.pop() {
            for next in all.get(file).into_iter().flatten() {
                if seen.insert(next) {
                    open.push(next);
                }
            }
        }
        seen
    };
    let reach: BTreeMap<&String, BTreeSet<&String>> =
        all.keys().map(|file| (file, reached(file))).collect();
    let mut found: BTreeSet<Vec<String>> = BTreeSet::new();
    for file in all.keys().filter(|file| reach[file].contains(file)) {
        let both = |other: &&String| reach[file].contains(*other) && reach[*other].contains(file);
        found.insert(all.keys().filter(both).cloned().collect());
    }
    found.into_iter().collect()
}

/// The floors for people, highest first.
fn table() -> String {
    let floors = FLOORS.iter().enumerate().rev();
    let rows: Vec<String> = floors
        .map(|(floor, rooms)| {
            let rooms = rooms.iter().enumerate().map(|(k, (name, holds))| {
                if k + 1 == rooms.len() {
                    format!("{name:<10}{holds}")
                } else {
                    format!("{:<40}", format!("{name:<10}{holds}"))
                }
            });
            format!("{floor:>2}  {}", rooms.collect::<String>().trim_end())
        })
        .collect();
    rows.join("\n")
}

/// Every module with the modules that it imports.
fn drawing(all: &BTreeMap<String, BTreeSet<String>>) -> String {
    let mut lines = Vec::new();
    for (floor, rooms) in FLOORS.iter().enumerate().rev() {
        for (room, _) in *rooms {
            let files = all.iter().filter(|(file, _)| top(file) == *room);
            let below: BTreeSet<&str> =
                files.flat_map(|(_, targets)| targets.iter().map(|target| top(target))).collect();
            let mut below: Vec<&str> = below.into_iter().filter(|name| name != room).collect();
            below.sort_by_key(|name| std::cmp::Reverse(floor_of(name)));
            lines.push(format!("{floor:>2}  {room:<9} → {}", below.join(", ")));
        }
    }
    lines.join("\n")
}

#[test]
fn the_table_stands_in_the_guide_and_on_the_page_of_the_crate() {
    let guide = Path::new(env!("CARGO_MANIFEST_DIR")).join("DEVELOPERS.md");
    let guide = fs::read_to_string(guide).unwrap();
    assert!(guide.contains(&table()), "DEVELOPERS.md needs this table:\n{}", table());
    let on_page: Vec<String> = table().lines().map(|line| format!("//! {line}")).collect();
    let page = fs::read_to_string(root().join("lib.rs")).unwrap();
    assert!(page.contains(&on_page.join("\n")), "src/lib.rs needs:\n{}", on_page.join("\n"));
}

#[test]
fn the_head_of_every_module_states_its_floor() {
    for (floor, rooms) in FLOORS.iter().enumerate() {
        for (room, _) in *rooms {
            let head = head_of(floor, room);
            let text = fs::read_to_string(&head).unwrap();
            let line = text.lines().find(|line| line.starts_with("//! Floor "));
            assert_eq!(line, Some(format!("//! Floor {floor}.").as_str()), "{}", head.display());
        }
    }
}

#[test]
fn the_reader_finds_every_form_of_import() {
    let text = "
use crate::mesh::topology::Mesh;
use crate::{solver::state::{State, Rate}, tensor::Stress as Tensor, units};
// use crate::cli::nothing;
fn f() -> crate::process::job::Job { $crate::x() }
use other_crate::report;
pub(in crate::case) const X: f64 = 1.0;
#[cfg(test)]
use crate::theory::lame;
";
    let found: Vec<String> = imported(text).into_iter().map(|path| path.join("::")).collect();
    let expected = [
        "mesh::topology::Mesh",
        "process::job::Job",
        "solver::state::Rate",
        "solver::state::State",
        "tensor::Stress",
        "units",
        "x",
    ];
    assert_eq!(found, expected);
}

#[test]
fn a_circle_of_three_is_found() {
    let set = |names: &[&str]| names.iter().map(|name| (*name).to_owned()).collect();
    let all = BTreeMap::from([
        ("a".to_owned(), set(&["b"])),
        ("b".to_owned(), set(&["c", "d"])),
        ("c".to_owned(), set(&["a"])),
        ("d".to_owned(), set(&[])),
    ]);
    assert_eq!(circles(&all), [["a", "b", "c"].map(str::to_owned).to_vec()]);
}
