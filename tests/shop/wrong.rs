//! Shop files and tables that are wrong: one clear error each, with its place and a remedy.

use std::fs;
use std::process::Command;

use hoopset::case::shop::read;

use super::{DISC, HOLES, LOT, lay};

/// Runs the command on these files and gives what it said.
fn said(lot: &str, holes: &str) -> String {
    let folder = tempfile::tempdir().unwrap();
    lay(folder.path(), lot, holes);
    let double = DISC.replace(
        "[numerics]",
        "[[stage]]\nexpand = \"A\"\nmandrel_diameter = 5.9\nsleeve_thickness = 0.2\n[numerics]",
    );
    fs::write(folder.path().join("twice.toml"), double).unwrap();
    let ran = Command::new(env!("CARGO_BIN_EXE_hoopset"))
        .args(["shop", "lot.toml"])
        .current_dir(folder.path())
        .output()
        .unwrap();
    let said = String::from_utf8_lossy(&ran.stderr).into_owned();
    assert_eq!(ran.status.code(), Some(2), "{said}");
    assert_eq!(said.matches("error: ").count(), 1, "{said}");
    assert!(said.contains("hint: "), "{said}");
    assert!(!folder.path().join("lot-shop").exists());
    said
}

#[test]
fn a_wrong_shop_file_is_told_with_line_and_remedy() {
    for (old, new, wanted) in [
        ("case = \"disc.toml\"", "case = \"plate.toml\"", "lot.toml:2:8: the case: "),
        ("case = \"disc.toml\"", "case = \"twice.toml\"", "expands hole `A` 2 times"),
        (
            "holes = \"holes.csv\"",
            "holes = \"hole.csv\"",
            "lot.toml:3:9: there is no file `hole.csv`",
        ),
        ("[5.68, 5.72]", "[5.72, 5.68]", "lot.toml:5:10: `limits` is 5.72 to 5.68"),
        ("[5.68, 5.72]", "[6.68, 6.72]", "the hole of the case starts at 5.7 mm"),
        ("plus_minus = 0.003", "plus_minus = 0", "`plus_minus` is 0, but must be larger than zero"),
        ("[5.505, 5.535]", "[5.205, 5.235]", "the applied expansion lies between -2.19 and"),
        ("[expanded]\nplus_minus = 0.003\n", "", "this file has no `expanded`"),
        ("[reamed]\nlimits = [6.0, 6.012]\nplus_minus = 0.002\n", "", "this file has no `reamed`"),
        ("title", "tilte", "`tilte` is no key of"),
        (
            "plus_minus = 0.003",
            "plus_minus = 0.003\n[surrogate]\nchecks = 1",
            "`checks` is 1, outside 4 to 200",
        ),
        ("title = \"lot\"", "false_alarms = 0.5", "`false_alarms` is 0.5, outside"),
        ("title = \"lot\"", "hole = \"B\"", "the case has no hole `B`"),
        (
            "limits = [6.0, 6.012]",
            "limits = [5.8, 5.812]",
            "the ream does not clean the expanded hole",
        ),
    ] {
        assert!(LOT.contains(old), "{old}");
        let said = said(&LOT.replacen(old, new, 1), HOLES);
        assert!(said.contains(wanted), "{wanted}:\n{said}");
    }
}

#[test]
fn a_wrong_table_is_told_with_line_and_column() {
    let head = "hole,start,mandrel,sleeve,expanded,reamed\n";
    for (holes, wanted) in [
        (String::new(), "holes.csv: the table is empty"),
        (head.to_owned(), "the table has no row below its head"),
        (format!("{head}A1,5.70,5.52,0.2,5,87,6.0\n"), "holes.csv:2:7: "),
        (
            format!("{head}A1,5.70,5.52,0.2,5.87 mm,6.0\n"),
            "holes.csv:2:5: `5.87 mm` in column `expanded` is no number",
        ),
        (
            format!("{head}A1,5.70,5.52,0.2,587,6.0\n"),
            "holes.csv:2:5: `587` in column `expanded` lies outside",
        ),
        (
            format!("{head}A1,5.70,5.52,,,\nA1,5.70,5.52,,,\n"),
            "holes.csv:3:1: hole `A1` stands in this row and in line 2",
        ),
        (format!("{head},5.70,5.52,,,\n"), "holes.csv:2:1: the hole of this row has no name"),
        (format!("{head}A1,,5.52,,,\n"), "holes.csv:2:1: hole `A1` has no reading at all"),
        (
            "hole,strat\nA1,5.7\n".to_owned(),
            "holes.csv:1:2: a table of holes has no column `strat`",
        ),
        ("start\n5.7\n".to_owned(), "there is no column `hole`"),
        (
            "hole,order,start\nA1,,5.7\n".to_owned(),
            "holes.csv:2:2: the cell in column `order` is empty",
        ),
    ] {
        let said = said(LOT, &holes);
        assert!(said.contains(wanted), "{wanted}:\n{said}");
    }
}

/// Cut short, a line left out or doubled, a sign in place of any other: the reader of a lot answers all of it, of each of
/// the two files, and a complaint names a file of the lot.
#[test]
fn no_damage_to_a_lot_makes_the_reader_panic() {
    let folder = tempfile::tempdir().unwrap();
    let path = lay(folder.path(), LOT, HOLES);
    let mut refused = 0;
    let mut attempt = |name: &str, text: &[u8]| {
        fs::write(folder.path().join(name), text).unwrap();
        if let Err(complaint) = read(&path) {
            refused += 1;
            let said = complaint.to_string();
            assert!(said.contains("lot.toml") || said.contains("holes.csv"), "{said}");
            assert!(!complaint.hint().is_empty(), "{said}");
        }
    };
    for (name, whole) in [("lot.toml", LOT), ("holes.csv", HOLES)] {
        for end in 0..whole.len() {
            attempt(name, &whole.as_bytes()[..end]);
        }
        let lines: Vec<&str> = whole.lines().collect();
        for k in 0..lines.len() {
            let mut rest = lines.clone();
            rest.remove(k);
            attempt(name, rest.join("\n").as_bytes());
            let mut twice = lines.clone();
            twice.insert(k, lines[k]);
            attempt(name, twice.join("\n").as_bytes());
        }
        for at in 0..whole.len() {
            for wrong in [b'"', b'[', b',', b';', b'9', b'-', 0, 0xff] {
                let mut damaged = whole.as_bytes().to_vec();
                damaged[at] = wrong;
                attempt(name, &damaged);
            }
        }
        fs::write(folder.path().join(name), whole).unwrap();
    }
    assert!(read(&path).is_ok() && refused > 1000, "{refused}");
}
