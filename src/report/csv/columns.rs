//! Tables whose columns say their name, quantity, meaning and value in one line each.

use crate::report::{escape, number};
use crate::units::Units;
use crate::units::quantity::{Described, Quantity};

/// Value of one cell, inside units.
pub(super) enum Cell {
    Text(String),
    Count(usize),
    Number(f64),
    Nothing,
}

/// One column of a table whose rows are made from `R`.
pub(super) struct Column<R> {
    pub(super) described: Described,
    pub(super) cell: fn(&R) -> Cell,
}

/// Header and rows, each line ended by a line feed.
pub(super) fn table<R>(
    columns: &[Column<R>],
    rows: impl Iterator<Item = R>,
    units: Units,
) -> String {
    let names: Vec<&str> = columns.iter().map(|column| column.described.name).collect();
    let mut text = names.join(",");
    text.push('\n');
    text + &self::rows(columns, rows, units)
}

/// Rows alone, each line ended by a line feed.
pub(super) fn rows<R>(
    columns: &[Column<R>],
    rows: impl Iterator<Item = R>,
    units: Units,
) -> String {
    let mut text = String::new();
    for row in rows {
        for (index, column) in columns.iter().enumerate() {
            if index > 0 {
                text.push(',');
            }
            match (column.cell)(&row) {
                Cell::Text(name) => text.push_str(&escape::cell(&name)),
                Cell::Nothing => {}
                Cell::Count(count) => text.push_str(&count.to_string()),
                Cell::Number(value) => {
                    let value = column.described.quantity.at_border(value, units);
                    text.push_str(&number::text(value));
                }
            }
        }
        text.push('\n');
    }
    text
}

/// One column.
pub(super) fn column<R>(
    name: &'static str,
    quantity: Quantity,
    cell: fn(&R) -> Cell,
    meaning: &'static str,
) -> Column<R> {
    Column { described: Described { name, quantity, meaning }, cell }
}
