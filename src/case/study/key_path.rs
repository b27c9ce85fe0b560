//! A key of the case file written with dots, and a document with another value there.
//!
//! `plate.thickness`, `hole.A.at.x`, `stage.2.diameter`, `stage.3.load.tension`. Items of lists of
//! tables are named by their `name`, else by their number from 1. Every step is looked up in the list of
//! keys of the case file, so a key that no case has is rejected before any case is made.

use toml_edit::{DocumentMut, Item, Value as TomlValue};

use crate::case::keys::CASE_FILE;
use crate::case::keys::row::{Row, Value, names};
use crate::case::table::{Scalar, quoted};
use crate::numeric::nearest::nearest;

/// One step from a table to a value.
#[derive(Clone, Debug, PartialEq)]
enum Step {
    /// To a key of a table.
    Key(String),
    /// To the item of a list that has this name, or this number from 1.
    Item(String),
}

/// A key of the case file.
#[derive(Clone, Debug, PartialEq)]
pub struct KeyPath {
    text: String,
    steps: Vec<Step>,
    /// Whether it takes whole numbers only.
    whole: bool,
}

/// Problem and remedy of a key that cannot be set.
type Wrong = (String, String);

impl KeyPath {
    /// Reads `text`.
    ///
    /// # Errors
    ///
    /// The mistake in it, and the remedy.
    pub fn parse(text: &str) -> Result<Self, Wrong> {
        let mut words = text.split('.');
        let first = words.next().unwrap_or_default();
        let sections: Vec<_> = CASE_FILE.iter().filter(|s| s.table == first).collect();
        let Some(section) = sections.first().filter(|section| !section.table.is_empty()) else {
            let tables = CASE_FILE.iter().map(|section| section.table).filter(|t| !t.is_empty());
            let remedy = match nearest(first, tables) {
                Some(meant) => format!("did you mean `{meant}`?"),
                None => "write table and key with a dot, for example `plate.thickness`".to_owned(),
            };
            return Err((format!("`{text}`: a case has no table `{first}`"), remedy));
        };
        let mut steps = vec![Step::Key(first.to_owned())];
        if section.repeated {
            steps.push(Step::Item(item(text, first, words.next())?));
        }
        let rows: Vec<Row> = sections.iter().flat_map(|section| section.rows).copied().collect();
        let table = if section.repeated { format!("[[{first}]]") } else { format!("[{first}]") };
        let whole = walk(text, &table, &rows, &mut words, &mut steps)?;
        Ok(Self { text: text.to_owned(), steps, whole })
    }

    /// As it was written.
    #[must_use]
    pub fn text(&self) -> &str {
        &self.text
    }

    /// The number of the stage that it belongs to, from 1; `None` for a key of the plate, a hole, the metal.
    #[must_use]
    pub fn stage(&self) -> Option<usize> {
        match self.steps.as_slice() {
            [Step::Key(table), Step::Item(number), ..] if table == "stage" => number.parse().ok(),
            _ => None,
        }
    }

    /// Puts `value` at this key of `document`, which is made when its table is there.
    ///
    /// # Errors
    ///
    /// The missing part, in words.
    pub fn set(&self, document: &mut DocumentMut, value: &Scalar) -> Result<(), String> {
        let value = match value {
            // A whole number of this size is exact.
            #[allow(clippy::cast_possible_truncation)]
            Scalar::Number(number)
                if self.whole && number.fract() == 0.0 && number.abs() < 1e15 =>
            {
                TomlValue::from(*number as i64)
            }
            Scalar::Number(number) => TomlValue::from(*number),
            Scalar::Text(text) => TomlValue::from(text.as_str()),
            Scalar::Switch(switch) => TomlValue::from(*switch),
        };
        set_in_item(document.as_item_mut(), &self.steps, value)
            .map_err(|what| format!("`{}`: {what}", self.text))
    }
}

/// The name or number of an item of list `list`.
fn item(text: &str, list: &str, word: Option<&str>) -> Result<String, Wrong> {
    word.filter(|word| !word.is_empty() && *word != "0").map(str::to_owned).ok_or_else(|| {
        let problem = format!("`{text}` does not say which {list}");
        (problem, format!("name it or give its number from 1, for example `{list}.1.`"))
    })
}

/// Follows `words` through `rows` of `table`; whether the value at the end is a whole number.
fn walk<'t>(
    text: &str,
    table: &str,
    rows: &[Row],
    words: &mut impl Iterator<Item = &'t str>,
    steps: &mut Vec<Step>,
) -> Result<bool, Wrong> {
    let known = names(rows);
    let Some(word) = words.next() else {
        return Err((
            format!("`{text}` names a table, not a key"),
            format!("keys: {}", quoted(&known)),
        ));
    };
    let found = rows.iter().flat_map(|row| row.keys).find(|key| key.name == word);
    let Some(key) = found else {
        let remedy = match nearest(word, known.iter().copied()) {
            Some(meant) => format!("did you mean `{meant}`?"),
            None => format!("keys of {table}: {}", quoted(&known)),
        };
        return Err((format!("`{text}`: `{word}` is no key of {table}"), remedy));
    };
    steps.push(Step::Key(word.to_owned()));
    let name = format!("`{word}`");
    let whole = match key.value {
        Value::Table(rows) => return walk(text, &name, rows, words, steps),
        Value::Tables(rows) => {
            steps.push(Step::Item(item(text, word, words.next())?));
            return walk(text, &name, rows, words, steps);
        }
        Value::Pair => {
            steps.push(Step::Item(component(text, words.next())?));
            false
        }
        Value::Numbers | Value::Texts | Value::Scalars => {
            steps.push(Step::Item(item(text, word, words.next())?));
            false
        }
        Value::Pairs => {
            steps.push(Step::Item(item(text, word, words.next())?));
            steps.push(Step::Item(component(text, words.next())?));
            false
        }
        value => matches!(value, Value::Whole(_)),
    };
    match words.next() {
        None => Ok(whole),
        Some(more) => {
            let problem = format!("`{text}`: nothing stands below {name}");
            Err((problem, format!("leave out `.{more}`")))
        }
    }
}

/// The place of `x` or `y` in a pair.
fn component(text: &str, word: Option<&str>) -> Result<String, Wrong> {
    match word {
        Some("x") => Ok("1".to_owned()),
        Some("y") => Ok("2".to_owned()),
        _ => Err((
            format!("`{text}` is a pair of numbers"),
            format!("write `{text}.x` or `{text}.y`"),
        )),
    }
}

fn set_in_item(item: &mut Item, steps: &[Step], value: TomlValue) -> Result<(), String> {
    let Some((step, rest)) = steps.split_first() else {
        match item.as_value_mut() {
            Some(old) => replace(old, value),
            None => *item = Item::Value(value),
        }
        return Ok(());
    };
    if let Item::Value(inner) = item {
        return set_in_value(inner, steps, value);
    }
    match step {
        Step::Key(key) => {
            let table =
                item.as_table_like_mut().ok_or_else(|| format!("`{key}` is in no table"))?;
            if table.get(key).is_none() {
                // An item of a list cannot be made up, a key or a table can.
                if rest.iter().any(|step| matches!(step, Step::Item(_))) {
                    return Err(format!("the base case has no `{key}`"));
                }
                if rest.is_empty() {
                    table.insert(key, Item::Value(value));
                    return Ok(());
                }
                table.insert(key, toml_edit::table());
            }
            let inner = table.get_mut(key).ok_or_else(|| format!("there is no `{key}`"))?;
            set_in_item(inner, rest, value)
        }
        Step::Item(name) => {
            let list = item.as_array_of_tables_mut().ok_or_else(|| no_item(name))?;
            let place = place(name, list.len(), |index| {
                list.get(index).and_then(|table| table.get("name")).and_then(Item::as_str)
            });
            let table = place.and_then(|index| list.get_mut(index)).ok_or_else(|| no_item(name))?;
            // An array of tables hands out tables, not items; its keys are walked from here.
            let Some((Step::Key(key), rest)) = rest.split_first() else {
                return Err(no_item(name));
            };
            if !table.contains_key(key) {
                if rest.iter().any(|step| matches!(step, Step::Item(_))) {
                    return Err(format!("the base case has no `{key}` there"));
                }
                if rest.is_empty() {
                    table.insert(key, Item::Value(value));
                    return Ok(());
                }
                table.insert(key, toml_edit::table());
            }
            let inner = table.get_mut(key).ok_or_else(|| format!("there is no `{key}`"))?;
            set_in_item(inner, rest, value)
        }
    }
}

fn set_in_value(item: &mut TomlValue, steps: &[Step], value: TomlValue) -> Result<(), String> {
    let Some((step, rest)) = steps.split_first() else {
        replace(item, value);
        return Ok(());
    };
    match step {
        Step::Key(key) => {
            let table =
                item.as_inline_table_mut().ok_or_else(|| format!("`{key}` is in no table"))?;
            if !table.contains_key(key) {
                if !rest.is_empty() {
                    return Err(format!("the base case has no `{key}` there"));
                }
                table.insert(key, value);
                return Ok(());
            }
            let inner = table.get_mut(key).ok_or_else(|| format!("there is no `{key}`"))?;
            set_in_value(inner, rest, value)
        }
        Step::Item(name) => {
            let list = item.as_array_mut().ok_or_else(|| no_item(name))?;
            let named = |index: usize| {
                let table = list.get(index).and_then(TomlValue::as_inline_table)?;
                table.get("name").and_then(TomlValue::as_str)
            };
            let place = place(name, list.len(), named);
            let inner = place.and_then(|index| list.get_mut(index)).ok_or_else(|| no_item(name))?;
            set_in_value(inner, rest, value)
        }
    }
}

fn no_item(name: &str) -> String {
    format!("the base case has no `{name}` there")
}

/// The index of the item called `name`, else of that with this number.
fn place<'n>(name: &str, count: usize, named: impl Fn(usize) -> Option<&'n str>) -> Option<usize> {
    let by_name = (0..count).find(|index| named(*index) == Some(name));
    by_name.or_else(|| name.parse::<usize>().ok()?.checked_sub(1).filter(|index| *index < count))
}

/// Replaces a value and keeps the blanks and remarks around it, so that lines stay where they are.
fn replace(old: &mut TomlValue, mut new: TomlValue) {
    *new.decor_mut() = old.decor().clone();
    *old = new;
}

#[cfg(test)]
mod tests {
    use super::*;

    const BASE: &str = "units = \"mm-MPa\"\n[plate]\nwidth = 60.0 # wide\nthickness = 5.0\n\
                        [[hole]]\nname = \"A\"\nat = [12.0, 30.0]\n[[stage]]\nexpand = \"A\"\n\
                        [[stage]]\nload = { tension = 100.0, along = \"y\" }\n";

    fn set(key: &str, value: &Scalar) -> Result<String, String> {
        let mut document: DocumentMut = BASE.parse().expect("a document");
        KeyPath::parse(key).expect("a key").set(&mut document, value)?;
        Ok(document.to_string())
    }

    #[test]
    fn a_value_is_replaced_where_it_stands() {
        for (key, value, expected) in [
            ("plate.width", Scalar::Number(80.0), "width = 80.0 # wide"),
            ("hole.A.at.x", Scalar::Number(9.5), "at = [9.5, 30.0]"),
            ("hole.1.at.y", Scalar::Number(9.5), "at = [12.0, 9.5]"),
            ("stage.2.load.tension", Scalar::Number(50.0), "load = { tension = 50.0, along"),
            ("stage.1.expand", Scalar::Text("B".to_owned()), "expand = \"B\""),
        ] {
            let text = set(key, &value).expect("the key is there");
            assert!(text.contains(expected), "{key}: {text}");
            assert_eq!(text.lines().count(), BASE.lines().count(), "{key}");
        }
    }

    #[test]
    fn a_key_that_is_not_written_is_added() {
        let text = set("numerics.increments", &Scalar::Number(12.0)).expect("a table is made");
        assert!(text.contains("[numerics]\nincrements = 12\n"), "{text}");
        let text = set("stage.1.applied_expansion", &Scalar::Number(0.04)).expect("a key is made");
        assert!(text.contains("expand = \"A\"\napplied_expansion = 0.04\n"), "{text}");
    }

    #[test]
    fn a_key_of_no_case_is_rejected_with_the_nearest() {
        for (key, problem, remedy) in [
            ("plate.thicknes", "`thicknes` is no key of [plate]", "`thickness`"),
            ("hole.A.at", "is a pair of numbers", "`hole.A.at.x`"),
            ("holes.A.at.x", "a case has no table `holes`", "`hole`"),
            ("stage", "does not say which stage", "stage.1."),
            ("plate", "names a table", "width"),
            ("plate.width.x", "nothing stands below", ".x"),
        ] {
            let (found, hint) = KeyPath::parse(key).expect_err(key);
            assert!(found.contains(problem) && hint.contains(remedy), "{key}: {found}; {hint}");
        }
    }

    #[test]
    fn an_item_that_is_not_in_the_base_case_is_told() {
        assert!(set("hole.C.at.x", &Scalar::Number(1.0)).expect_err("none").contains("`C`"));
        assert!(set("stage.3.diameter", &Scalar::Number(1.0)).expect_err("none").contains("`3`"));
    }
}
