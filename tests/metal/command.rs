//! Constants of a metal as a user asks for them: files, tables of a case, wrong tables.

use std::fmt::Write as _;
use std::fs;
use std::path::Path;
use std::process::{Command, Output};

use hoopset::material::constant::Constant;
use hoopset::numeric::random::Random;

use crate::{measured, simple};

fn run(folder: &Path, arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_hoopset"))
        .args(arguments)
        .current_dir(folder)
        .output()
        .unwrap()
}

const FILE: &str = "units = \"mm-MPa\"\n[metal]\npoissons_ratio = 0.33\nkinematic_terms = 1\n\
                    [[test]]\nfile = \"loop.csv\"\nmeasure = \"true\"\n";

/// A table of a loop of the simple metal.
fn table(turns: &[f64]) -> String {
    let mut random = Random::new(2);
    let record = measured(&simple(), turns, 50, 0.5, &mut random);
    let mut text = String::from("time,strain,stress\n");
    for (k, (strain, stress)) in record.strains.iter().zip(&record.stresses).enumerate() {
        writeln!(text, "{k},{strain},{stress}").unwrap();
    }
    text
}

#[test]
fn the_material_that_the_command_writes_is_one_of_a_case() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path();
    fs::write(path.join("tests.toml"), FILE).unwrap();
    fs::write(path.join("loop.csv"), table(&[0.0, 0.03, -0.03, 0.03])).unwrap();
    let ran = run(path, &["metal", "tests.toml"]);
    assert!(ran.status.success(), "{}", String::from_utf8_lossy(&ran.stderr));
    let out = path.join("tests-metal");
    for name in ["constants.csv", "correlation.csv", "deviations.csv", "metal.json", "metal.html"] {
        assert!(out.join(name).is_file(), "{name}");
    }
    let material = fs::read_to_string(out.join("material.toml")).unwrap();
    let case = format!(
        "units = \"mm-MPa\"\n[plate]\nouter_diameter = 60\nthickness = 6\n[[hole]]\nname = \"A\"\n\
         starting_diameter = 6\n[[stage]]\nexpand = \"A\"\napplied_expansion = 0.04\n{material}"
    );
    fs::write(path.join("case.toml"), &case).unwrap();
    let checked = run(path, &["check", "case.toml"]);
    assert!(checked.status.success(), "{}", String::from_utf8_lossy(&checked.stderr));
    let read = hoopset::parse(&case, "case.toml").unwrap().job.material;
    for constant in Constant::all(&simple()) {
        let (found, truth) = (constant.of(&read).unwrap(), constant.of(&simple()).unwrap());
        assert!((found / truth - 1.0).abs() < 0.2, "{constant:?} {found} {truth}");
    }
    // The same bytes for any number of threads.
    let first = fs::read(out.join("metal.json")).unwrap();
    assert!(run(path, &["metal", "tests.toml", "--threads", "1"]).status.success());
    assert_eq!(fs::read(out.join("metal.json")).unwrap(), first);
}

#[test]
fn a_first_pull_gives_two_tables_and_says_why() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path();
    fs::write(path.join("tests.toml"), FILE).unwrap();
    fs::write(path.join("loop.csv"), table(&[0.0, 0.04])).unwrap();
    let ran = run(path, &["metal", "tests.toml"]);
    let said = String::from_utf8_lossy(&ran.stderr).into_owned();
    assert!(
        ran.status.success() && said.contains("none tells how much of the hardening"),
        "{said}"
    );
    let out = path.join("tests-metal");
    assert!(!out.join("material.toml").exists());
    assert!(
        out.join("material-isotropic.toml").exists()
            && out.join("material-kinematic.toml").exists()
    );
}

/// Changes to the file and to the table, and the complaint.
#[test]
#[allow(clippy::too_many_lines, reason = "a table, a row a mistake")]
fn wrong_tables_are_rejected_with_line_column_and_remedy() {
    let table = table(&[0.0, 0.02, -0.02]);
    let line = |k: usize| table.lines().nth(k).unwrap().to_owned();
    let cells = |k: usize| line(k).split(',').map(str::to_owned).collect::<Vec<_>>();
    let seventh = cells(7);
    let row = |strain: &str, stress: &str| format!("{},{strain},{stress}", seventh[0]);
    let with = |row: String| table.replace(&line(7), &row);
    for (file, table, place, hint) in [
        (
            FILE.to_owned(),
            with(row("x", &seventh[2])),
            "loop.csv:8:2: `x` in column `strain` is no number",
            "such as",
        ),
        (
            FILE.to_owned(),
            with(row("", &seventh[2])),
            "loop.csv:8:2: the cell in column `strain` is empty",
            "leave the row out",
        ),
        (
            FILE.to_owned(),
            with(row("1.2", &seventh[2])),
            "loop.csv:8:2: `1.2` in column `strain` lies outside",
            "unit",
        ),
        (
            FILE.to_owned(),
            with(row(&seventh[1], "\"12,5\"")),
            "loop.csv:8:3: `12,5` in column `stress` has a comma",
            "point",
        ),
        (
            FILE.to_owned(),
            table.replace("stress", "Stress"),
            "loop.csv:1:1: there is no column `stress`",
            "`Stress`",
        ),
        (
            FILE.to_owned(),
            table.replace("time", "strain"),
            "loop.csv:1:2: the column `strain` stands twice",
            "rename",
        ),
        (
            FILE.to_owned(),
            "strain,stress\n".to_owned(),
            "loop.csv: the table has no row below its head",
            "head",
        ),
        (
            FILE.to_owned(),
            table
                .lines()
                .skip(45)
                .fold("time,strain,stress\n".to_owned(), |all, line| all + line + "\n"),
            "loop.csv:2:2: the test begins at a strain of 0.01",
            "order of time",
        ),
        (
            FILE.replace("loop.csv", "lop.csv"),
            table.clone(),
            "tests.toml:6:8: there is no file `lop.csv`",
            "beside",
        ),
        (
            FILE.replace("measure = \"true\"", ""),
            table.clone(),
            "tests.toml:5:1: test 1 has no `measure`",
            "engineering",
        ),
        (
            FILE.replace("poissons_ratio = 0.33", ""),
            table.clone(),
            "tests.toml:2:1: [metal] has no `poissons_ratio`",
            "0.33",
        ),
        (
            FILE.replace("kinematic_terms = 1", "kinematic_terms = 4"),
            table.clone(),
            "tests.toml:4:19: `kinematic_terms` is 4, outside 0 to 3",
            "no more",
        ),
        (
            FILE.replace("kinematic_terms = 1", "plastic_strains = [0, 1]"),
            table.clone(),
            "tests.toml:4:1: `plastic_strains` belongs to a `table` law",
            "leave it out",
        ),
        (
            format!("{FILE}[[constant]]\nname = \"recall 2\"\nfixed = 0\n"),
            table.clone(),
            "tests.toml:9:8: `recall 2` is no constant of this law",
            "recall 1",
        ),
        (
            format!("{FILE}[[constant]]\nname = \"recall 1\"\nlowest = 0\n"),
            table.clone(),
            "tests.toml:10:1: `lowest` is 0",
            "fixed = 0",
        ),
        (
            format!("{FILE}[[constant]]\nname = \"recall 1\"\nlowest = 9\nhighest = 8\n"),
            table.clone(),
            "tests.toml:10:1: `lowest` is not below `highest`",
            "widen",
        ),
        (
            format!("{FILE}[[constant]]\nname = \"recall 1\"\nfixed = 9\nhighest = 8\n"),
            table.clone(),
            "tests.toml:11:1: `fixed` and `highest` contradict",
            "one of them",
        ),
        (
            FILE.to_owned(),
            "time,strain,stress\n0,0,0\n1,0.001,72\n".to_owned(),
            "2 points cannot tell 6 constants",
            "more points",
        ),
    ] {
        let folder = tempfile::tempdir().unwrap();
        fs::write(folder.path().join("tests.toml"), &file).unwrap();
        fs::write(folder.path().join("loop.csv"), &table).unwrap();
        let ran = run(folder.path(), &["metal", "tests.toml"]);
        let said = String::from_utf8_lossy(&ran.stderr).into_owned();
        assert_eq!(ran.status.code(), Some(2), "{place}: {said}");
        assert!(said.contains(place), "{place}: {said}");
        let remedy = said.split("hint: ").nth(1).unwrap_or_default();
        assert!(remedy.contains(hint), "{hint}: {said}");
        assert!(!folder.path().join("tests-metal").exists());
    }
}
