//! Every input of a file in a table: key, value as written, unit, meaning; and the defaults of keys that were left
//! out.
//!
//! Keys and meanings are those of the one list in [`case::keys`](crate::case::keys).

use toml_edit::{DocumentMut, Item, TableLike, Value as Written};

use crate::case::keys::row::{Row, Section, Value};
use crate::report::input_units::unit;
use crate::report::page::html::{details, table, verbatim};
use crate::units::Units;

/// Everything about one input file, as HTML: its values with units, what holds for keys left out, its text.
#[must_use]
pub(crate) fn echo(name: &str, text: &str, file: &[Section], units: Units) -> String {
    let Ok(document) = text.trim_start_matches('\u{feff}').parse::<DocumentMut>() else {
        return verbatim(name, text);
    };
    let mut listing = Listing { file, units, given: Vec::new(), left_out: Vec::new() };
    listing.top(&document);
    let left_out = if listing.left_out.is_empty() {
        String::new()
    } else {
        let head = ["key", "value when left out", "meaning"].map(str::to_owned).to_vec();
        let rows: Vec<Vec<String>> = [head].into_iter().chain(listing.left_out).collect();
        details(
            "Keys left out, and what holds then",
            &table(&format!("{name}: keys left out"), &rows),
        )
    };
    let head = ["key", "value", "unit", "meaning"].map(str::to_owned).to_vec();
    let rows: Vec<Vec<String>> = [head].into_iter().chain(listing.given).collect();
    format!(
        "{}{left_out}{}",
        table(&format!("{name}: inputs"), &rows),
        details("The file as written", &verbatim(name, text)),
    )
}

struct Listing<'a> {
    file: &'a [Section],
    units: Units,
    given: Vec<Vec<String>>,
    left_out: Vec<Vec<String>>,
}

impl Listing<'_> {
    fn top(&mut self, document: &DocumentMut) {
        let keys: Vec<&Row> = self.rows_of("", document.as_table());
        for (key, item) in document.iter() {
            match item {
                Item::Table(inner) => self.table(key, key, inner),
                Item::ArrayOfTables(all) => {
                    for (index, inner) in all.iter().enumerate() {
                        self.table(key, &format!("{key} {}", index + 1), inner);
                    }
                }
                _ => self.item(key, &keys, key.to_owned(), item),
            }
        }
        self.absent("", &keys, document.as_table());
        for section in self.file {
            // A table that is not there at all is in force with its defaults when it is about numerics.
            if section.table == "numerics" && !document.contains_key(section.table) {
                let rows: Vec<&Row> = section.rows.iter().collect();
                self.absent("numerics", &rows, &toml_edit::Table::new());
            }
        }
    }

    fn table(&mut self, name: &str, place: &str, inner: &dyn TableLike) {
        let rows = self.rows_of(name, inner);
        for (key, item) in inner.iter() {
            self.item(key, &rows, format!("{place} · {key}"), item);
        }
        self.absent(place, &rows, inner);
    }

    /// Rows of the sections of table `name` that speak of `inner`: those with a key of their own first row in it,
    /// else all.
    fn rows_of(&self, name: &str, inner: &dyn TableLike) -> Vec<&'static Row> {
        let named = || self.file.iter().filter(|section| section.table == name);
        let fits = |section: &&Section| {
            !section.repeated || section.rows[0].keys.iter().any(|key| inner.contains_key(key.name))
        };
        let chosen: Vec<&Section> = named().filter(fits).collect();
        let chosen = if chosen.is_empty() { named().collect() } else { chosen };
        chosen.into_iter().flat_map(|section| section.rows).collect()
    }

    fn item(&mut self, key: &str, rows: &[&Row], place: String, item: &Item) {
        let row = rows.iter().find(|row| row.keys.iter().any(|other| other.name == key));
        let nested = row.and_then(|row| row.keys.iter().find(|other| other.name == key));
        if let Some(Value::Table(inner) | Value::Tables(inner)) = nested.map(|key| key.value) {
            let inner: Vec<&Row> = inner.iter().collect();
            let parts = parts(item);
            let many = parts.len() > 1;
            for (index, part) in parts.into_iter().enumerate() {
                let place = if many { format!("{place} {}", index + 1) } else { place.clone() };
                for (key, item) in part.iter() {
                    self.item(key, &inner, format!("{place} · {key}"), item);
                }
            }
            return;
        }
        let written = item.as_value().map(written).unwrap_or_default();
        let is_number = item.as_value().is_some_and(is_number);
        let unit = if is_number { unit(key, self.units).to_owned() } else { String::new() };
        let meaning = row.map(|row| plain(row.meaning)).unwrap_or_default();
        self.given.push(vec![place, written, unit, meaning]);
    }

    fn absent(&mut self, place: &str, rows: &[&Row], inner: &dyn TableLike) {
        for row in rows.iter().filter(|row| !row.default.is_empty()) {
            let missing: Vec<&str> = row.keys.iter().map(|key| key.name).collect();
            if missing.iter().any(|key| inner.contains_key(key)) {
                continue;
            }
            let keys = missing.join(", ");
            let key = if place.is_empty() { keys } else { format!("{place} · {keys}") };
            self.left_out.push(vec![key, plain(row.default), plain(row.meaning)]);
        }
    }
}

/// The tables of a nested value, one or several, however it is written.
fn parts(item: &Item) -> Vec<&dyn TableLike> {
    match item {
        Item::ArrayOfTables(all) => all.iter().map(|inner| inner as &dyn TableLike).collect(),
        Item::Value(Written::Array(all)) => {
            let each = all.iter().filter_map(Written::as_inline_table);
            each.map(|inner| inner as &dyn TableLike).collect()
        }
        _ => item.as_table_like().into_iter().collect(),
    }
}

/// A value as written, without remarks and line breaks.
fn written(value: &Written) -> String {
    match value {
        Written::String(text) => text.value().clone(),
        Written::Array(all) => {
            format!("[{}]", all.iter().map(written).collect::<Vec<_>>().join(", "))
        }
        other => other.clone().decorated("", "").to_string(),
    }
}

fn is_number(value: &Written) -> bool {
    match value {
        Written::Integer(_) | Written::Float(_) => true,
        Written::Array(all) => all.iter().any(is_number),
        _ => false,
    }
}

/// Text without the marks of Markdown: code marks, and links but for their words.
fn plain(text: &str) -> String {
    let mut plain = String::with_capacity(text.len());
    let mut rest = text;
    while let Some(start) = rest.find('[') {
        let linked = rest[start..].find("](").map(|middle| start + middle);
        let end = linked.and_then(|middle| rest[middle..].find(')').map(|end| middle + end));
        let (Some(middle), Some(end)) = (linked, end) else { break };
        // A list such as `[x, y]` may stand before the link.
        let open = rest[..middle].rfind('[').unwrap_or(start);
        plain.push_str(&rest[..open]);
        plain.push_str(&rest[open + 1..middle]);
        rest = &rest[end + 1..];
    }
    plain.push_str(rest);
    plain.replace('`', "")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::case::DEMO;
    use crate::case::keys::CASE_FILE;

    #[test]
    fn every_value_of_the_demonstration_has_its_row() {
        let document: DocumentMut = DEMO.parse().expect("TOML");
        let mut listing = Listing {
            file: &CASE_FILE,
            units: Units::MmMpa,
            given: Vec::new(),
            left_out: Vec::new(),
        };
        listing.top(&document);
        // Lines `key = value` of the file, counted by their sign.
        let lines =
            DEMO.lines().filter(|line| !line.trim_start().starts_with('#') && line.contains(" = "));
        assert_eq!(listing.given.len(), lines.count());
        assert!(listing.given.iter().all(|row| !row[3].is_empty()), "{:?}", listing.given);
        let of = |key: &str| listing.given.iter().find(|row| row[0] == key).expect("a row");
        assert_eq!(of("hole 1 · at")[1..3], ["[12.0, 30.0]", "mm"]);
        assert_eq!(of("stage 2 · diameter")[2], "mm");
        let fineness = listing.left_out.iter().find(|row| row[0] == "numerics · fineness");
        assert_eq!(fineness.expect("a default")[1], "1");
    }

    #[test]
    fn nested_tables_are_taken_apart() {
        let text = "units = \"in-ksi\"\n[[stage]]\nload = { tension = 20.0, along = \"y\", bearing = [{ hole = \"A\", force = [1.0, 0.5] }] }\n";
        let document: DocumentMut = text.parse().expect("TOML");
        let mut listing = Listing {
            file: &CASE_FILE,
            units: Units::InKsi,
            given: Vec::new(),
            left_out: Vec::new(),
        };
        listing.top(&document);
        let rows: Vec<[&str; 3]> =
            listing.given.iter().map(|row| [row[0].as_str(), &row[1], &row[2]]).collect();
        assert_eq!(
            rows[1..],
            [
                ["stage 1 · load · tension", "20.0", "ksi"],
                ["stage 1 · load · along", "y", ""],
                ["stage 1 · load · bearing · hole", "A", ""],
                ["stage 1 · load · bearing · force", "[1.0, 0.5]", "kip"],
            ]
        );
    }

    #[test]
    fn marks_of_the_documents_do_not_show() {
        assert_eq!(plain("`[dx, dy]` is a [load](#loads), `x`"), "[dx, dy] is a load, x");
        assert_eq!(plain("`[0, 0]`"), "[0, 0]");
    }
}
