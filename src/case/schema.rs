//! JSON Schema of the case file, the sheet and the study, for editors that complete and check TOML.
//!
//! Made of the key list that the readers check against ([`crate::case::keys`]). A schema says less than a
//! reader: whether a hole lies in the plate, or a ream is larger than the expanded hole, only the
//! program knows.
//!
//! Source: JSON Schema, draft 2020-12.

use serde_json::{Map, Value as Json, json};

use crate::case::keys::row::{Row, Section, Value};
use crate::case::keys::{CASE_FILE, METAL_FILE, SHOP_FILE, STUDY_FILE, section_file, sheet_file};

/// The schema of a case file.
#[must_use]
pub fn case_schema() -> Json {
    let needed = ["units", "plate", "hole", "stage"];
    document("Case file of hoopset", &file(&CASE_FILE), &needed)
}

/// The schema of a sheet file.
#[must_use]
pub fn sheet_schema() -> Json {
    let needed = ["units", "plate", "hole", "tool"];
    document("Tool sheet of hoopset", &file(&sheet_file()), &needed)
}

/// The schema of a section file.
#[must_use]
pub fn section_schema() -> Json {
    let needed = ["units", "plate", "hole", "stage"];
    document("Section file of hoopset", &file(&section_file()), &needed)
}

/// The schema of a study file.
#[must_use]
pub fn study_schema() -> Json {
    document("Study of hoopset", &file(&STUDY_FILE), &["case", "axis"])
}

/// The schema of a file of metal tests.
#[must_use]
pub fn metal_schema() -> Json {
    document("Metal tests of hoopset", &file(&METAL_FILE), &["units", "metal", "test"])
}

/// The schema of a shop file.
#[must_use]
pub fn shop_schema() -> Json {
    let needed = ["case", "holes", "starting_diameter", "mandrel", "expanded"];
    document("Holes from the shop of hoopset", &file(&SHOP_FILE), &needed)
}

fn document(title: &str, properties: &Map<String, Json>, needed: &[&str]) -> Json {
    json!({
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": title,
        "type": "object",
        "properties": properties,
        "required": needed,
        "additionalProperties": false,
    })
}

/// The tables of a file, and the keys at its top. Sections of one table are joined.
fn file(sections: &[Section]) -> Map<String, Json> {
    let mut top = Map::new();
    let mut tables: Vec<(&str, bool, Map<String, Json>)> = Vec::new();
    for section in sections {
        if section.table.is_empty() {
            top.extend(properties(section.rows));
            continue;
        }
        match tables.iter_mut().find(|(name, ..)| *name == section.table) {
            Some((.., keys)) => keys.extend(properties(section.rows)),
            None => tables.push((section.table, section.repeated, properties(section.rows))),
        }
    }
    for (name, repeated, keys) in tables {
        let table = object(&keys);
        let value = if repeated { json!({ "type": "array", "items": table }) } else { table };
        top.insert(name.to_owned(), value);
    }
    top
}

fn object(properties: &Map<String, Json>) -> Json {
    json!({ "type": "object", "properties": properties, "additionalProperties": false })
}

fn properties(rows: &[Row]) -> Map<String, Json> {
    let mut keys = Map::new();
    for row in rows {
        for key in row.keys {
            let mut schema = value(key.value);
            if let Json::Object(schema) = &mut schema {
                let default = if row.default.is_empty() {
                    String::new()
                } else {
                    format!(". Left out: {}", row.default)
                };
                let words = format!("{}{default}", row.meaning);
                schema.insert("description".to_owned(), Json::String(words));
            }
            keys.insert(key.name.to_owned(), schema);
        }
    }
    keys
}

fn scalar() -> Json {
    json!({ "type": ["number", "string", "boolean"] })
}

fn value(value: Value) -> Json {
    let number = json!({ "type": "number" });
    let pair = json!({ "type": "array", "items": number, "minItems": 2, "maxItems": 2 });
    match value {
        Value::Text => json!({ "type": "string" }),
        Value::Word(words) => json!({ "type": "string", "enum": words }),
        Value::Number => number,
        Value::Within([low, high]) => {
            json!({ "type": "number", "minimum": low, "maximum": high })
        }
        Value::Positive => json!({ "type": "number", "exclusiveMinimum": 0 }),
        Value::NotNegative => json!({ "type": "number", "minimum": 0 }),
        Value::Whole([low, high]) => {
            json!({ "type": "integer", "minimum": low, "maximum": high })
        }
        Value::Switch => json!({ "type": "boolean" }),
        Value::Pair => pair,
        Value::Numbers => json!({ "type": "array", "items": number }),
        Value::Pairs => json!({ "type": "array", "items": pair }),
        Value::Texts => json!({ "type": "array", "items": { "type": "string" } }),
        Value::Scalar => scalar(),
        Value::Scalars => json!({ "type": "array", "items": scalar() }),
        Value::Table(rows) => object(&properties(rows)),
        Value::Tables(rows) => {
            json!({ "type": "array", "items": object(&properties(rows)) })
        }
    }
}
