//! The schemas for editors against the readers: every case file and sheet of the repository, as it is and
//! with one key or value of it spoilt.
//!
//! The part of JSON Schema (draft 2020-12) that the schemas use is judged here in a few lines.
#![allow(clippy::unwrap_used, clippy::panic, missing_docs)]

use std::path::{Path, PathBuf};

use hoopset::case::schema::{case_schema, sheet_schema};
use hoopset::case::{self, sheet};
use serde_json::{Value, json};

/// Whether `value` satisfies `schema`; else where and why not.
fn judge(schema: &Value, value: &Value, at: &str) -> Result<(), String> {
    let wrong = |why: &str| Err(format!("{at}: {why}"));
    let fits = match schema["type"].as_str().unwrap() {
        "object" => value.is_object(),
        "array" => value.is_array(),
        "string" => value.is_string(),
        "boolean" => value.is_boolean(),
        "number" => value.is_number(),
        "integer" => value.is_u64() || value.is_i64(),
        other => panic!("type {other}"),
    };
    if !fits {
        return wrong(&format!("{value} is no {}", schema["type"]));
    }
    if let Some(words) = schema["enum"].as_array()
        && !words.contains(value)
    {
        return wrong(&format!("{value} is not among the words"));
    }
    if let Some(number) = value.as_f64() {
        let over = |key: &str| schema[key].as_f64();
        if over("minimum").is_some_and(|least| number < least)
            || over("maximum").is_some_and(|most| number > most)
            || over("exclusiveMinimum").is_some_and(|least| number <= least)
        {
            return wrong(&format!("{number} is outside"));
        }
    }
    if let Some(list) = value.as_array() {
        let count = |key: &str| schema[key].as_u64().map(|count| usize::try_from(count).unwrap());
        if count("minItems").is_some_and(|least| list.len() < least)
            || count("maxItems").is_some_and(|most| list.len() > most)
        {
            return wrong("the count");
        }
        for (k, entry) in list.iter().enumerate() {
            judge(&schema["items"], entry, &format!("{at}[{k}]"))?;
        }
    }
    if let Some(table) = value.as_object() {
        for (key, entry) in table {
            let Some(inner) = schema["properties"].get(key) else {
                return wrong(&format!("no key `{key}`"));
            };
            judge(inner, entry, &format!("{at}.{key}"))?;
        }
        for key in schema["required"].as_array().into_iter().flatten() {
            if !table.contains_key(key.as_str().unwrap()) {
                return wrong(&format!("`{key}` is missing"));
            }
        }
    }
    Ok(())
}

/// Case files and sheets of the repository; files of `hoopset section` alone and inputs of the second
/// opinion's draw are of other kinds.
fn files() -> Vec<PathBuf> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut found = Vec::new();
    let mut open = vec![root.join("examples"), root.join("verification"), root.join("src/case")];
    while let Some(folder) = open.pop() {
        for entry in std::fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                open.push(path);
            } else if path.extension().is_some_and(|end| end == "toml") {
                let text = std::fs::read_to_string(&path).unwrap();
                let other = ["idealisation = \"section\"", "\n[draw]"];
                if text.contains("\n[plate]") && !other.iter().any(|mark| text.contains(mark)) {
                    found.push(path);
                }
            }
        }
    }
    found.sort();
    found
}

/// A file as a tree, whether it is a sheet, and its schema.
struct Written {
    path: PathBuf,
    tree: Value,
    sheet: bool,
    schema: Value,
}

impl Written {
    fn all() -> Vec<Self> {
        let read = |path: PathBuf| {
            let tree: Value = toml::from_str(&std::fs::read_to_string(&path).unwrap()).unwrap();
            let sheet = tree["hole"].is_object();
            let schema = if sheet { sheet_schema() } else { case_schema() };
            Self { path, tree, sheet, schema }
        };
        let all: Vec<Self> = files().into_iter().map(read).collect();
        assert!(all.len() > 25 && all.iter().any(|one| one.sheet), "{}", all.len());
        all
    }

    /// What the reader says of `tree` in the place of the file.
    fn reader_takes(&self, tree: &Value) -> Result<(), String> {
        let text = toml::to_string(tree).unwrap();
        let name = self.path.to_str().unwrap();
        if self.sheet {
            sheet::parse(&text, name).map(|_| ()).map_err(|complaint| complaint.to_string())
        } else {
            case::parse(&text, name).map(|_| ()).map_err(|complaint| complaint.to_string())
        }
    }

    fn schema_takes(&self, tree: &Value) -> Result<(), String> {
        judge(&self.schema, tree, "file")
    }
}

/// The tree with `change` made to the table and key at every place in turn.
fn mutants(tree: &Value, change: &dyn Fn(&mut serde_json::Map<String, Value>, &str)) -> Vec<Value> {
    fn places(tree: &Value, stem: &str, found: &mut Vec<(String, String)>) {
        match tree {
            Value::Object(table) => {
                for (key, entry) in table {
                    found.push((stem.to_owned(), key.clone()));
                    places(entry, &format!("{stem}/{key}"), found);
                }
            }
            // Entries of a list are alike: the first stands for all, but every stage is its own.
            Value::Array(list) => {
                let all = if stem == "/stage" { list.len() } else { 1 };
                for (k, entry) in list.iter().take(all).enumerate() {
                    places(entry, &format!("{stem}/{k}"), found);
                }
            }
            _ => {}
        }
    }
    let mut found = Vec::new();
    places(tree, "", &mut found);
    let one = |(stem, key): &(String, String)| {
        let mut mutant = tree.clone();
        change(mutant.pointer_mut(stem).unwrap().as_object_mut().unwrap(), key);
        mutant
    };
    found.iter().map(one).filter(|mutant| mutant != tree).collect()
}

#[test]
fn every_file_of_the_repository_satisfies_its_schema() {
    for file in Written::all() {
        file.schema_takes(&file.tree)
            .unwrap_or_else(|why| panic!("{}: {why}", file.path.display()));
        file.reader_takes(&file.tree)
            .unwrap_or_else(|why| panic!("{}: {why}", file.path.display()));
    }
}

#[test]
fn a_misspelt_key_is_rejected_by_schema_and_reader() {
    let misspell = |table: &mut serde_json::Map<String, Value>, key: &str| {
        let value = table.remove(key).unwrap();
        table.insert(format!("{key}x"), value);
    };
    let mut count = 0;
    for file in Written::all() {
        for mutant in mutants(&file.tree, &misspell) {
            count += 1;
            assert!(
                file.schema_takes(&mutant).is_err(),
                "schema: {}\n{mutant}",
                file.path.display()
            );
            assert!(
                file.reader_takes(&mutant).is_err(),
                "reader: {}\n{mutant}",
                file.path.display()
            );
        }
    }
    assert!(count > 400, "{count}");
}

#[test]
fn a_value_of_the_wrong_kind_is_rejected_by_schema_and_reader() {
    let spoil = |table: &mut serde_json::Map<String, Value>, key: &str| {
        let other = match &table[key] {
            Value::String(_) => json!(12.5),
            Value::Number(_) | Value::Bool(_) => json!("word"),
            Value::Array(_) | Value::Object(_) => json!(true),
            Value::Null => return,
        };
        table.insert(key.to_owned(), other);
    };
    for file in Written::all() {
        for mutant in mutants(&file.tree, &spoil) {
            assert!(
                file.schema_takes(&mutant).is_err(),
                "schema: {}\n{mutant}",
                file.path.display()
            );
            assert!(
                file.reader_takes(&mutant).is_err(),
                "reader: {}\n{mutant}",
                file.path.display()
            );
        }
    }
}

#[test]
fn a_number_that_the_schema_rejects_is_rejected_by_the_reader() {
    for factor in [-1.0, 0.0, 1000.0] {
        let scale = |table: &mut serde_json::Map<String, Value>, key: &str| {
            if let Some(whole) = table[key].as_i64() {
                #[allow(clippy::cast_possible_truncation, reason = "factors are whole")]
                table.insert(key.to_owned(), json!(whole * factor as i64));
            } else if let Some(number) = table[key].as_f64() {
                table.insert(key.to_owned(), json!(number * factor));
            }
        };
        for file in Written::all() {
            for mutant in mutants(&file.tree, &scale) {
                if let Err(why) = file.schema_takes(&mutant) {
                    assert!(
                        file.reader_takes(&mutant).is_err(),
                        "{}: the schema says {why}, the reader takes it",
                        file.path.display()
                    );
                }
            }
        }
    }
}
