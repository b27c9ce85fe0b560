//! Wrong case files: each is refused with the exact message and hint that stand in
//! `bad_input/patches.txt`, and none panics.

#![allow(clippy::unwrap_used)]

use std::fmt::Write as _;

use hoopset::case::{self, Complaint};

const BASE: &str = include_str!("bad_input/base.toml");
const PATCHES: &str = include_str!("bad_input/patches.txt");

/// One block of the table.
struct Patch {
    title: String,
    /// Changes as written, for the report of a failure.
    changes: String,
    text: String,
    expected: String,
}

/// Reads the table; every block is applied to the base.
fn patches() -> Vec<Patch> {
    PATCHES
        .split("\n\n")
        .skip(1)
        .map(|block| {
            let mut lines = block.lines();
            let title = lines.next().unwrap().strip_prefix("# ").unwrap().to_owned();
            let (mut text, mut changes, mut expected) =
                (BASE.to_owned(), String::new(), String::new());
            let (mut old, mut new) = (String::new(), String::new());
            let mut apply = |old: &mut String, new: &mut String| {
                assert_eq!(text.matches(old.as_str()).count(), 1, "{title}: {old}");
                text = text.replace(old.as_str(), new);
                old.clear();
                new.clear();
            };
            for line in lines {
                let (mark, rest) = line.split_at(1);
                let rest = rest.strip_prefix(' ').unwrap_or(rest);
                match mark {
                    "-" => {
                        if !new.is_empty() {
                            apply(&mut old, &mut new);
                        }
                        writeln!(old, "{rest}").unwrap();
                    }
                    "+" => writeln!(new, "{rest}").unwrap(),
                    "!" | "?" => writeln!(expected, "{line}").unwrap(),
                    _ => panic!("{title}: {line}"),
                }
                if "-+".contains(mark) {
                    writeln!(changes, "{line}").unwrap();
                }
            }
            apply(&mut old, &mut new);
            Patch { title, changes, text, expected }
        })
        .collect()
}

fn refused(text: &str) -> Complaint {
    match case::parse(text, "bracket.toml") {
        Err(complaint) => complaint,
        Ok(case) => panic!("accepted: {:?}\n{text}", case.job),
    }
}

fn said(complaint: &Complaint) -> String {
    format!("! {complaint}\n? {}\n", complaint.hint())
}

#[test]
fn every_wrong_file_is_answered_with_its_exact_message() {
    let mut wrong = String::new();
    let patches = patches();
    assert!(patches.len() >= 120, "{} blocks were read", patches.len());
    for Patch { title, changes, text, expected } in patches {
        let found = match case::parse(&text, "bracket.toml") {
            Err(complaint) => said(&complaint),
            Ok(_) => "! accepted\n".to_owned(),
        };
        if found != expected {
            write!(wrong, "\n# {title}\n{changes}{found}").unwrap();
        }
    }
    assert!(wrong.is_empty(), "these differ from the table:\n{wrong}");
}

/// Writes bytes into a file of their own and reads them as a case; the folder is cut from what
/// is said.
fn said_of_file(name: &str, bytes: &[u8]) -> String {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join(name);
    std::fs::write(&path, bytes).unwrap();
    let complaint = case::read(&path).unwrap_err();
    said(&complaint).replace(&format!("{}/", folder.path().display()), "")
}

#[test]
fn files_that_are_no_case_at_all_are_refused() {
    let no_text = "! x.toml:1:1: the file says nothing\n\
                   ? `hoopset starter` writes a case file to begin from\n";
    assert_eq!(said_of_file("x.toml", b""), no_text);
    assert_eq!(said_of_file("x.toml", b"\n\n# only a remark\n"), no_text);
    assert_eq!(said_of_file("x.toml", "\u{feff}".as_bytes()), no_text);

    let noise: Vec<u8> =
        (0..10_000_000_u32).map(|k| (k.wrapping_mul(2_654_435_761) >> 24) as u8).collect();
    assert_eq!(
        said_of_file("noise.toml", &noise),
        "! noise.toml: the file is larger than 1 MiB\n\
         ? a case file has a few hundred lines; is this another file?\n"
    );
    assert_eq!(
        said_of_file("noise.toml", &noise[..1000]),
        "! noise.toml: line 1 is not UTF-8 text\n? save the file as UTF-8\n"
    );
    assert_eq!(
        said_of_file("latin.toml", b"title = \"a\"\nunits = \"mm-MPa\"\n# K\xf6rper\n"),
        "! latin.toml: line 3 is not UTF-8 text\n? save the file as UTF-8\n"
    );
    assert_eq!(
        said_of_file("nul.toml", b"\0\0\0\0"),
        "! nul.toml:1:5: this is not TOML: key with no value, expected `=`\n\
         ? a line is `key = value`, a [table] or a # remark; text stands in quotes, numbers stand \
         alone and take a decimal point\n"
    );
}

#[test]
fn a_file_of_another_command_is_pointed_to_it() {
    for (key, text, file, command) in [
        ("tool", "[tool]\nmandrel_diameter = 5.5\n", "a tool sheet", "toolsheet"),
        ("axis", "case = \"a.toml\"\n[[axis]]\nname = \"x\"\n", "a study", "study"),
        ("holes", "case = \"a.toml\"\nholes = \"a.csv\"\n", "a lot of holes", "shop"),
        ("test", "[[test]]\nfile = \"a.csv\"\n", "a file of bar tests", "metal"),
        ("plate", "[plate]\nidealisation = \"section\"\n", "a section file", "section"),
        ("plate", "[plate]\nthickness = 5\n[[stage]]\ndraw = \"A\"\n", "a section file", "section"),
    ] {
        let complaint = refused(text);
        assert_eq!(complaint.key.as_deref(), Some(key));
        let told = said(&complaint);
        assert!(told.contains(&format!("this is {file} and no case file")), "{told}");
        assert!(told.contains(&format!("`hoopset {command}` takes it")), "{told}");
    }
}

#[test]
fn a_missing_file_and_a_folder_are_named() {
    let folder = tempfile::tempdir().unwrap();
    let here = folder.path().display().to_string();
    let missing = case::read(&folder.path().join("none.toml")).unwrap_err();
    assert_eq!(
        said(&missing).replace(&here, "HERE"),
        "! HERE/none.toml: there is no such file\n\
         ? check the path; without a case file the demonstration runs\n"
    );
    let itself = case::read(folder.path()).unwrap_err();
    assert_eq!(
        said(&itself).replace(&here, "HERE"),
        "! HERE: this is a folder\n? name the case file in it\n"
    );
}

#[test]
fn a_plate_without_holes_or_work_is_refused() {
    let plate = BASE.split("[[hole]]").next().unwrap();
    assert_eq!(
        said(&refused(plate)),
        "! bracket.toml:1:1: this file has no `hole`\n\
         ? write [[hole]], with two brackets, above the keys of each hole\n"
    );
    let drilled = BASE.split("[[stage]]").next().unwrap();
    assert_eq!(
        said(&refused(drilled)),
        "! bracket.toml:1:1: this file has no `stage`\n\
         ? write [[stage]], with two brackets, above the keys of each stage\n"
    );
}

#[test]
fn lengths_are_complained_of_in_the_units_of_the_file() {
    let text = r#"units = "in-ksi"
plate = { width = 2.0, height = 2.0, thickness = 0.25, alloy = "7075-T651 plate" }
hole = [{ name = "A", at = [0.1, 1.0], starting_diameter = 0.25 }]
stage = [{ expand = "A", applied_expansion = 0.03 }]
"#;
    assert_eq!(
        said(&refused(text)),
        "! bracket.toml:3:23: hole `A` crosses the left edge: its centre is 0.1 in away and its \
         radius 0.125 in\n? keep the centre at least 0.15 in inside every edge\n"
    );
}

/// Keys and table names of a case file with the byte each begins at, remarks left out.
fn keys(text: &str) -> Vec<(usize, String)> {
    let mut found = vec![];
    let mut line_start = 0;
    for line in text.split_inclusive('\n') {
        let code = line.split('#').next().unwrap();
        let is_word = |letter: char| letter.is_ascii_alphanumeric() || letter == '_';
        if let Some(heading) = code.trim().strip_prefix('[') {
            let word: String =
                heading.chars().skip_while(|c| *c == '[').take_while(|c| is_word(*c)).collect();
            found.push((line_start + code.find(&word).unwrap(), word));
        } else {
            // A key stands before an equals sign, at the start of the line or inside braces.
            for (at, _) in code.match_indices(" =") {
                let word: String = code[..at]
                    .chars()
                    .rev()
                    .take_while(|c| is_word(*c))
                    .collect::<Vec<_>>()
                    .into_iter()
                    .rev()
                    .collect();
                found.push((line_start + at - word.len(), word));
            }
        }
        line_start += line.len();
    }
    found
}

#[test]
fn every_key_misspelt_by_one_letter_is_refused_on_its_own_line() {
    let mut tried = 0;
    for text in [case::DEMO, case::STARTER, BASE] {
        for (start, key) in keys(text) {
            let (before, rest) = text.split_at(start);
            let after = &rest[key.len()..];
            let mut doubled = key.clone();
            doubled.insert(1, key.chars().next().unwrap());
            for wrong in
                [format!("{key}x"), key[1..].to_owned(), key[..key.len() - 1].to_owned(), doubled]
            {
                let complaint = refused(&format!("{before}{wrong}{after}"));
                let line = before.matches('\n').count() + 1;
                assert_eq!(complaint.place.unwrap().0, line, "{key} as {wrong}: {complaint}");
                assert_eq!(complaint.key.as_deref(), Some(wrong.as_str()), "{complaint}");
                tried += 1;
            }
        }
    }
    // 17 keys and tables in the demonstration alone.
    assert!(tried > 4 * 60, "{tried}");
}

#[test]
fn no_damage_to_a_file_makes_the_reader_panic() {
    for text in [case::DEMO, case::STARTER] {
        for end in (0..text.len()).filter(|end| text.is_char_boundary(*end)) {
            let _ = case::parse(&text[..end], "cut.toml");
        }
        let lines: Vec<&str> = text.lines().collect();
        for skipped in 0..lines.len() {
            let mut rest = lines.clone();
            rest.remove(skipped);
            let _ = case::parse(&rest.join("\n"), "short.toml");
            let mut twice = lines.clone();
            twice.insert(skipped, lines[skipped]);
            let _ = case::parse(&twice.join("\n"), "long.toml");
        }
        for (at, _) in text.char_indices() {
            for wrong in ['"', '[', '=', '9', '-', '\u{0}', 'ö'] {
                let mut damaged = text.to_owned();
                damaged.replace_range(
                    at..at + text[at..].chars().next().unwrap().len_utf8(),
                    wrong.encode_utf8(&mut [0; 4]),
                );
                let _ = case::parse(&damaged, "damaged.toml");
            }
        }
    }
}

#[test]
fn a_file_nested_beyond_reason_is_refused() {
    for deep in [
        "[".repeat(100_000),
        format!("a = {}", "[".repeat(100_000)),
        format!("a = {}", "{b=".repeat(100_000)),
    ] {
        let complaint = refused(&deep);
        assert!(complaint.to_string().contains("this is not TOML"), "{complaint}");
    }
}

#[test]
fn the_base_itself_is_right() {
    let case = case::parse(BASE, "bracket.toml").unwrap();
    assert!(case.warnings.is_empty());
}
