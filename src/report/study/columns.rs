//! The columns of the table of a study: names, units, meanings.

use serde::Serialize;

use crate::case::study::{Number, Reading, Study, Towards};

/// Content of the cells of a column.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Kind {
    /// Whole numbers.
    Count,
    /// Texts.
    Text,
    /// Numbers, perhaps none.
    Number,
}

/// One cell.
#[derive(Clone, Debug, PartialEq)]
pub enum Cell {
    /// A whole number.
    Count(usize),
    /// A text.
    Text(String),
    /// A number, or none.
    Number(Option<f64>),
}

/// A column.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Column {
    /// Its name.
    pub name: String,
    /// Its unit; `1` for numbers without one, empty for texts.
    pub unit: String,
    /// Its meaning.
    pub meaning: String,
    /// Its content.
    pub kind: Kind,
}

fn unit(unit: &str) -> String {
    if unit.is_empty() { "1".to_owned() } else { unit.to_owned() }
}

/// The columns of `study` with these `numbers`, in order.
#[must_use]
pub fn columns(study: &Study, numbers: &[Number]) -> Vec<Column> {
    let mut columns = vec![
        column("case", "1", "number of the case, from 1", Kind::Count),
        column("status", "", "done, failed or skipped", Kind::Text),
        column("reason", "", "why it failed, or the condition that it was skipped for", Kind::Text),
    ];
    for axis in &study.axes {
        let sets = match &axis.target {
            Some(target) => format!("{}; sets `{}`", axis.label, target.text()),
            None => axis.label.clone(),
        };
        columns.push(if axis.is_numeric() {
            Column {
                name: axis.name.clone(),
                unit: unit(&axis.unit),
                meaning: sets,
                kind: Kind::Number,
            }
        } else {
            column(&axis.name, "", &sets, Kind::Text)
        });
    }
    columns.extend(study.values.iter().map(|value| Column {
        name: value.name.clone(),
        unit: unit(&value.unit),
        meaning: format!("{}: {}", value.label, value.expression.text()),
        kind: Kind::Number,
    }));
    columns.extend(numbers.iter().map(|number| Column {
        name: number.name.clone(),
        unit: unit(&number.unit),
        meaning: meaning(study, number),
        kind: Kind::Number,
    }));
    columns
}

fn column(name: &str, unit: &str, meaning: &str, kind: Kind) -> Column {
    Column { name: name.to_owned(), unit: unit.to_owned(), meaning: meaning.to_owned(), kind }
}

/// Name of a number, with the place and the stage that it is read at.
#[must_use]
pub fn meaning(study: &Study, number: &Number) -> String {
    let measured = match &number.reading {
        Reading::Computed(expression) => return format!("{}: {}", number.label, expression.text()),
        Reading::Life(life) => return life.meaning(),
        Reading::Measured(measured) => measured,
    };
    let name = |hole: usize| study.base.holes.get(hole).map_or("?", String::as_str);
    let path = match &measured.towards {
        Towards::Edge => "towards the nearest edge".to_owned(),
        Towards::Inside => "away from the nearest edge".to_owned(),
        Towards::Hole(other) => format!("towards hole {}", name(*other)),
        Towards::Angle(angle) => format!("at {angle}°"),
    };
    let at = match measured.measure {
        "hoop_at"
        | "depth_to"
        | "edge_hoop"
        | "peak_compression"
        | "compression_depth"
        | "peak_tension"
        | "plastic_extent"
        | "reverse_yield_extent" => format!(", {path}"),
        _ => String::new(),
    };
    let words = measured.measure.replace('_', " ");
    format!("{words}, hole {}{at}, {}", name(measured.hole), measured.when.words())
}
