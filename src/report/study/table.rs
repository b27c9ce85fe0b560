//! The rows of the table of a study, in the order of its cases whatever the order they were solved in.

use crate::case::study::{Made, Number, Study};
use crate::report::study::columns::Cell;
use crate::report::study::journal::{Journal, JournalError};
use crate::study::sweep::{Outcome, PointStatus, Points};

/// A study with its journal.
#[derive(Debug)]
pub struct Table<'a> {
    /// The study.
    pub study: &'a Study,
    /// Its cases.
    pub points: &'a Points,
    /// The numbers wanted.
    pub numbers: &'a [Number],
    /// Results.
    pub journal: &'a mut Journal,
}

/// One case, done or not.
#[derive(Clone, Debug)]
pub struct Row {
    /// Its cells, in the order of the columns.
    pub cells: Vec<Cell>,
    /// How it ended.
    pub outcome: Outcome,
}

impl Table<'_> {
    /// The row of case `index`; `None` when it is not finished.
    ///
    /// # Errors
    ///
    /// [`JournalError`].
    pub fn row(&mut self, index: usize) -> Result<Option<Row>, JournalError> {
        let Some(outcome) = self.journal.outcome(index)? else { return Ok(None) };
        let levels = self.points.levels(index);
        let variables = match self.study.make(&levels) {
            Ok(Made::Wanted(variables) | Made::Skipped(variables, _)) => variables,
            Err(_) => std::collections::BTreeMap::new(),
        };
        let status = &outcome.status;
        let mut cells = vec![
            Cell::Count(index + 1),
            Cell::Text(status.name().to_owned()),
            Cell::Text(status.reason().to_owned()),
        ];
        for (axis, level) in self.study.axes.iter().zip(&levels) {
            cells.push(match level.number() {
                Some(number) if axis.is_numeric() => Cell::Number(Some(number)),
                _ => Cell::Text(level.text()),
            });
        }
        for value in &self.study.values {
            cells.push(Cell::Number(variables.get(&value.name).copied()));
        }
        cells.extend(outcome.numbers.iter().map(|number| Cell::Number(*number)));
        Ok(Some(Row { cells, outcome }))
    }

    /// How many cases are done, failed, skipped, and not finished.
    ///
    /// # Errors
    ///
    /// [`JournalError`].
    pub fn counts(&mut self) -> Result<[usize; 4], JournalError> {
        let mut counts = [0; 4];
        for index in 0..self.points.len() {
            let kind = match self.journal.outcome(index)?.map(|outcome| outcome.status) {
                Some(PointStatus::Done) => 0,
                Some(PointStatus::Failed(_)) => 1,
                Some(PointStatus::Skipped(_)) => 2,
                None => 3,
            };
            counts[kind] += 1;
        }
        Ok(counts)
    }
}
