//! `hoopset study` as a user runs it.

use std::fs;
use std::path::Path;

use parquet::file::reader::{FileReader as _, SerializedFileReader};
use parquet::record::RowAccessor as _;

use crate::BASE;
use crate::run::hoopset;

/// Sixteen cases: one expansion is skipped, one alloy does not exist.
pub(crate) const STUDY: &str = r#"title = "Discs"
case = "disc.toml"
skip = ["expansion < 0.012"]
[[axis]]
name = "expansion"
key = "stage.1.applied_expansion"
values = [0.01, 0.02, 0.03, 0.04]
[[axis]]
name = "tension"
key = "stage.2.load.tension"
values = [50.0, 100.0]
unit = "MPa"
[[axis]]
name = "metal"
key = "plate.alloy"
values = ["2024-T351 plate", "no such alloy"]
[[number]]
name = "edge"
measure = "edge_hoop"
[[number]]
name = "depth"
measure = "compression_depth"
[[chart]]
number = "edge"
x = "expansion"
y = "tension"
panel = "metal"
[[chart]]
number = "depth"
x = "expansion"
family = "tension"
"#;

/// A folder with base case and study.
pub(crate) fn folder(study: &str) -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("disc.toml"), BASE).unwrap();
    fs::write(folder.path().join("discs.toml"), study).unwrap();
    folder
}

pub(crate) fn tables(folder: &Path, results: &str) -> [Vec<u8>; 2] {
    ["table.csv", "table.parquet"].map(|name| fs::read(folder.join(results).join(name)).unwrap())
}

#[test]
fn a_study_writes_one_row_per_case_whatever_became_of_it() {
    let place = folder(STUDY);
    let ran = hoopset(place.path(), &["study", "discs.toml"]);
    let said = String::from_utf8_lossy(&ran.stdout).into_owned();
    assert_eq!(ran.status.code(), Some(0), "{}", String::from_utf8_lossy(&ran.stderr));
    assert!(said.contains("16 cases: 6 done, 6 failed, 4 skipped"), "{said}");
    let results = place.path().join("discs-study");
    let table = fs::read_to_string(results.join("table.csv")).unwrap();
    let rows: Vec<&str> = table.lines().collect();
    assert_eq!(rows[0], "case,status,reason,expansion,tension,metal,edge,depth");
    assert_eq!(rows.len(), 17);
    assert_eq!(rows[1], "1,skipped,expansion < 0.012,0.01,50,2024-T351 plate,,");
    // The reason is that of the case reader, with the line of the base case.
    assert!(
        rows[6].starts_with("6,failed,disc.toml:6:9: ") && rows[6].contains("no such alloy"),
        "{}",
        rows[6]
    );
    assert!(rows[5].starts_with("5,done,,0.02,50,2024-T351 plate,-"), "{}", rows[5]);
    for name in
        ["study.json", "study.html", "figures/01-edge.svg", "figures/02-depth.png", "journal.jsonl"]
    {
        assert!(results.join(name).is_file(), "{name}");
    }
    // The metadata: every column with unit and meaning.
    let json: serde_json::Value =
        serde_json::from_slice(&fs::read(results.join("study.json")).unwrap()).unwrap();
    let columns = json["columns"].as_array().unwrap();
    assert_eq!(columns.len(), 8);
    assert!(columns.iter().all(|column| !column["meaning"].as_str().unwrap().is_empty()));
    assert_eq!(columns[6]["unit"], "MPa");
    // A second run solves nothing and gives the same bytes.
    let before = tables(place.path(), "discs-study");
    let again = hoopset(place.path(), &["study", "discs.toml", "--jobs", "1"]);
    assert!(!String::from_utf8_lossy(&again.stdout).contains("solved now"));
    assert_eq!(tables(place.path(), "discs-study"), before);
}

#[test]
fn parquet_holds_what_csv_holds() {
    let place = folder(&STUDY.replace("title =", "paths = true\ntitle ="));
    assert!(hoopset(place.path(), &["study", "discs.toml"]).status.success());
    let results = place.path().join("discs-study");
    let file = fs::File::open(results.join("table.parquet")).unwrap();
    let reader = SerializedFileReader::new(file).unwrap();
    let csv = fs::read_to_string(results.join("table.csv")).unwrap();
    let rows: Vec<_> = reader.get_row_iter(None).unwrap().map(Result::unwrap).collect();
    assert_eq!(rows.len(), 16);
    for (row, line) in rows.iter().zip(csv.lines().skip(1)) {
        // The reasons hold commas; the last three cells do not.
        let cells: Vec<&str> = line.rsplit(',').collect();
        assert_eq!(row.get_long(0).unwrap().to_string(), line.split(',').next().unwrap());
        assert_eq!(row.get_string(5).unwrap(), cells[2]);
        let edge = row.get_double(6).ok();
        assert_eq!(edge, cells[1].parse().ok(), "{line}");
    }
    let facts = reader.metadata().file_metadata().key_value_metadata().unwrap();
    let columns = facts.iter().find(|fact| fact.key == "columns").unwrap().value.clone().unwrap();
    assert!(columns.contains("\"unit\":\"MPa\""));
    let paths = fs::File::open(results.join("paths.parquet")).unwrap();
    let count = SerializedFileReader::new(paths).unwrap().metadata().file_metadata().num_rows();
    let lines = fs::read_to_string(results.join("paths.csv")).unwrap().lines().count();
    assert_eq!(usize::try_from(count).unwrap() + 1, lines);
    assert!(lines > 500);
}

#[test]
fn a_journal_of_another_study_is_not_used() {
    let place = folder(STUDY);
    assert!(hoopset(place.path(), &["study", "discs.toml"]).status.success());
    let before = tables(place.path(), "discs-study");
    fs::write(place.path().join("discs.toml"), STUDY.replace("0.04]", "0.045]")).unwrap();
    let other = hoopset(place.path(), &["study", "discs.toml"]);
    assert_eq!(other.status.code(), Some(2));
    assert!(String::from_utf8_lossy(&other.stderr).contains("cases of another study"));
    assert_eq!(tables(place.path(), "discs-study"), before, "what stood there stays");
    assert!(hoopset(place.path(), &["study", "discs.toml", "--fresh"]).status.success());
    assert_ne!(tables(place.path(), "discs-study"), before);
    // A chart is no other study.
    let text = STUDY
        .replace("0.04]", "0.045]")
        .replace("x = \"expansion\"\ny = \"tension\"\n", "x = \"expansion\"\n");
    fs::write(place.path().join("discs.toml"), text).unwrap();
    let drawn = hoopset(place.path(), &["study", "discs.toml"]);
    assert!(
        drawn.status.success() && !String::from_utf8_lossy(&drawn.stdout).contains("solved now")
    );
}

#[test]
fn shards_gathered_are_the_study() {
    let place = folder(STUDY);
    let whole = hoopset(place.path(), &["study", "discs.toml", "--out", "whole"]);
    assert!(whole.status.success());
    for shard in ["3/3", "1/3"] {
        let ran = hoopset(place.path(), &["study", "discs.toml", "--shard", shard]);
        assert!(ran.status.success(), "{}", String::from_utf8_lossy(&ran.stderr));
    }
    let solved = |folder: &str| {
        let path = place.path().join("discs-shards").join(folder).join("journal.jsonl");
        fs::read_to_string(path).unwrap().lines().count() - 1
    };
    // The second shard was lost: gathering solves its cases, and those alone.
    let missing = 16 - solved("1-of-3") - solved("3-of-3");
    assert!((1..16).contains(&missing));
    let gathered = hoopset(place.path(), &["study", "discs.toml"]);
    let said = String::from_utf8_lossy(&gathered.stdout).into_owned();
    assert!(said.contains(&format!("{missing} solved now")), "{said}");
    assert_eq!(tables(place.path(), "discs-study"), tables(place.path(), "whole"));
}

#[test]
fn a_search_answers_for_every_value_of_the_other_axes() {
    let place = folder(
        "case = \"disc.toml\"\n\
         [[axis]]\nname = \"expansion\"\nkey = \"stage.1.applied_expansion\"\nfrom = 0.005\nto = 0.045\n\
         [[axis]]\nname = \"thickness\"\nkey = \"plate.thickness\"\nvalues = [3.0, 4.0]\n\
         [[number]]\nname = \"deep\"\nmeasure = \"depth_to\"\nlevel = -100\nstage = \"expand-A\"\n\
         [search]\nfind = \"smallest\"\nof = \"expansion\"\nsuch_that = \"deep >= 1\"\nwithin = 0.1\n",
    );
    let ran = hoopset(place.path(), &["study", "discs.toml"]);
    let said = String::from_utf8_lossy(&ran.stdout).into_owned();
    assert!(ran.status.success(), "{said}{}", String::from_utf8_lossy(&ran.stderr));
    let answers = fs::read_to_string(place.path().join("discs-study/search.csv")).unwrap();
    let rows: Vec<Vec<&str>> = answers.lines().skip(1).map(|l| l.split(',').collect()).collect();
    assert_eq!((rows.len(), rows[0][0], rows[1][0]), (2, "3", "4"));
    // Plane stress knows no thickness: both answers are the same.
    assert_eq!(rows[0][1..4], rows[1][1..4], "{answers}");
    assert_eq!(rows[0][1], "bracketed");
    assert!(place.path().join("discs-study/figures/border.svg").is_file());
}
