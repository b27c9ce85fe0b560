//! Measured hoop or radial stresses of a user's own, read from a table: laid over the charts of paths and compared
//! with the computed ones.
//!
//! The table is CSV (RFC 4180 without line breaks in cells) with a head. Columns, in any order:
//!
//! | column | what it holds | |
//! |---|---|---|
//! | `distance` | from the edge of the hole, in the length unit of the case | |
//! | `hoop` or `radial` | hoop or radial stress in the stress unit of the case, tension positive | |
//! | `plus_minus` | half the width of its error bar, 0 or more | optional |
//! | `hole` | name of the hole; without it, points of the first | optional |
//! | `angle_deg` | direction of the path; without it, points of every path | optional |
//!
//! Lines that are empty or begin with `#` are skipped.

use std::fmt;

use crate::units::Units;

/// One measured point.
#[derive(Clone, Debug, PartialEq)]
pub struct MeasuredPoint {
    /// Name of the hole, when the table tells.
    pub hole: Option<String>,
    /// Direction of the path, degrees from +x, when the table tells.
    pub angle_deg: Option<f64>,
    /// Distance from the edge of the hole, mm.
    pub distance: f64,
    /// Stress in the direction that the table measures, MPa, tension positive.
    pub stress: f64,
    /// Half the width of the error bar, MPa.
    pub plus_minus: Option<f64>,
}

/// Direction of a stress at a path.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Component {
    /// Across the path, round the hole.
    #[default]
    Hoop,
    /// Along the path.
    Radial,
}

impl Component {
    /// Its name, which heads its column.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Hoop => "hoop",
            Self::Radial => "radial",
        }
    }
}

/// The part of the metal that a method averages over.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub enum Averaged {
    /// Nothing: a point.
    #[default]
    Point,
    /// A round spot of this diameter, mm.
    Spot(f64),
    /// This length along the path, mm.
    Length(f64),
}

/// Places in a spot or a length.
const PLACES: u32 = 9;

impl Averaged {
    /// Offsets along the path, mm, and their weights, which add up to 1.
    ///
    /// A spot has chords of `√(1 − x²)`; the places are those of the quadrature for that weight
    /// (Gauss and Chebyshev, second kind), and of equal parts for a length.
    #[must_use]
    pub fn places(self) -> Vec<[f64; 2]> {
        let all = 1..=PLACES;
        match self {
            Self::Point => vec![[0.0, 1.0]],
            Self::Spot(diameter) => {
                let turn = |k: u32| std::f64::consts::PI * f64::from(k) / f64::from(PLACES + 1);
                let weight = |k: u32| 2.0 * turn(k).sin().powi(2) / f64::from(PLACES + 1);
                all.map(|k| [0.5 * diameter * turn(k).cos(), weight(k)]).collect()
            }
            Self::Length(length) => {
                let share = |k: u32| (f64::from(k) - 0.5) / f64::from(PLACES) - 0.5;
                all.map(|k| [length * share(k), f64::from(PLACES).recip()]).collect()
            }
        }
    }
}

/// Points of one measurement.
#[derive(Clone, Debug, PartialEq)]
pub struct Measured {
    /// Words in the legend: method and source.
    pub label: String,
    /// The points, in the order of the table.
    pub points: Vec<MeasuredPoint>,
    /// Direction of the stresses.
    pub component: Component,
    /// Each of them is the mean over this.
    pub averaged: Averaged,
    /// Of points at the entry face: stress there over that of the plane model; `None` for the plane model itself.
    pub face_share: Option<f64>,
}

/// Why a table of measured points was rejected.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct MeasuredError {
    /// Line of the table, from 1.
    pub line: usize,
    /// Name of the column, when one is to blame.
    pub column: Option<&'static str>,
    /// The fault and a suggested fix.
    pub reason: String,
}

impl fmt::Display for MeasuredError {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(out, "line {}", self.line)?;
        if let Some(column) = self.column {
            write!(out, ", column `{column}`")?;
        }
        write!(out, ": {}", self.reason)
    }
}

impl std::error::Error for MeasuredError {}

const COLUMNS: [&str; 5] = ["distance", "hoop", "plus_minus", "hole", "angle_deg"];
/// A table with more points than anyone can see in a chart is some other file.
const MOST: usize = 10_000;

impl Measured {
    /// Reads a table in the `units` of the case; `label` goes into the legend.
    ///
    /// # Errors
    /// [`MeasuredError`] with the line: a head without `distance` or a stress, with both stresses, with a column twice or
    /// one that is not known; a cell that is missing, no finite number, or negative where it must
    /// not be; no point at all; more than 10 000.
    pub fn from_csv(label: &str, text: &str, units: Units) -> Result<Self, MeasuredError> {
        let lines = text.lines().enumerate().map(|(k, line)| (k + 1, line.trim()));
        let mut lines = lines.filter(|(_, line)| !line.is_empty() && !line.starts_with('#'));
        let fault =
            |line, reason: &str| MeasuredError { line, column: None, reason: reason.to_owned() };
        let (number, head) = lines.next().ok_or_else(|| fault(1, "the table is empty"))?;
        // A byte order mark that spreadsheets put before the first name.
        let (places, component) = columns(number, head.trim_start_matches('\u{feff}'))?;
        let mut points = Vec::new();
        for (line, text) in lines {
            if points.len() == MOST {
                return Err(fault(line, "more than 10000 points"));
            }
            points.push(point(&places, &Row { line, cells: cells(text) }, units)?);
        }
        if points.is_empty() {
            return Err(fault(number, "no point below the head"));
        }
        Ok(Self {
            label: label.to_owned(),
            points,
            component,
            averaged: Averaged::Point,
            face_share: None,
        })
    }

    /// The points that belong to a hole; `first` tells whether it is the first of the plate.
    pub fn of_hole(&self, hole: &str, first: bool) -> impl Iterator<Item = &MeasuredPoint> {
        self.points.iter().filter(move |point| match &point.hole {
            Some(name) => name == hole,
            None => first,
        })
    }
}

/// Where each of [`COLUMNS`] stands, and which stress the second is: `radial` may stand for `hoop`.
fn columns(line: usize, head: &str) -> Result<([Option<usize>; 5], Component), MeasuredError> {
    let mut places = [None; 5];
    let mut component = Component::Hoop;
    let fault = |column, reason| Err(MeasuredError { line, column, reason });
    for (at, name) in cells(head).iter().enumerate() {
        let wanted = if name == Component::Radial.name() {
            component = Component::Radial;
            Component::Hoop.name()
        } else {
            name.as_str()
        };
        let Some(known) = COLUMNS.iter().position(|column| *column == wanted) else {
            let all = COLUMNS.map(|column| format!("`{column}`")).join(", ") + ", `radial`";
            return fault(None, format!("unknown column `{}`; known are {all}", shown(name)));
        };
        if places[known].replace(at).is_some() {
            let reason = "the column stands twice in the head; one table holds one stress";
            return fault(Some(COLUMNS[known]), reason.to_owned());
        }
    }
    for known in 0..2 {
        if places[known].is_none() {
            return fault(Some(COLUMNS[known]), "the head has no such column".to_owned());
        }
    }
    Ok((places, component))
}

/// One row of the table.
struct Row {
    line: usize,
    cells: Vec<String>,
}

impl Row {
    fn number(
        &self,
        places: &[Option<usize>; 5],
        known: usize,
        lowest: f64,
    ) -> Result<Option<f64>, MeasuredError> {
        let fault =
            |reason| Err(MeasuredError { line: self.line, column: Some(COLUMNS[known]), reason });
        let Some(at) = places[known] else { return Ok(None) };
        let Some(cell) = self.cells.get(at).filter(|cell| !cell.is_empty()) else {
            return if known < 2 { fault("the cell is empty".to_owned()) } else { Ok(None) };
        };
        match cell.parse::<f64>() {
            Ok(value) if value.is_finite() && value >= lowest => Ok(Some(value)),
            Ok(value) if value.is_finite() => fault(format!("{value} is below {lowest}")),
            _ => fault(format!("`{}` is no finite number such as -412.5", shown(cell))),
        }
    }
}

fn point(
    places: &[Option<usize>; 5],
    row: &Row,
    units: Units,
) -> Result<MeasuredPoint, MeasuredError> {
    let any = f64::NEG_INFINITY;
    let hole = places[3].and_then(|at| row.cells.get(at)).filter(|cell| !cell.is_empty());
    let stress = |value: f64| value * units.stress_scale();
    Ok(MeasuredPoint {
        hole: hole.cloned(),
        angle_deg: row.number(places, 4, any)?,
        distance: row.number(places, 0, 0.0)?.unwrap_or(0.0) * units.length_scale(),
        stress: stress(row.number(places, 1, any)?.unwrap_or(0.0)),
        plus_minus: row.number(places, 2, 0.0)?.map(stress),
    })
}

/// The cells of a line; a quoted one may hold commas, and quotes that are doubled.
fn cells(line: &str) -> Vec<String> {
    let mut found = vec![String::new()];
    let mut quoted = false;
    let mut signs = line.chars().peekable();
    while let Some(sign) = signs.next() {
        let last = found.len() - 1;
        match sign {
            '"' if quoted && signs.peek() == Some(&'"') => {
                signs.next();
                found[last].push('"');
            }
            '"' => quoted = !quoted,
            ',' if !quoted => found.push(String::new()),
            sign => found[last].push(sign),
        }
    }
    found.iter().map(|cell| cell.trim().to_owned()).collect()
}

/// The start of a cell, for a message.
fn shown(cell: &str) -> String {
    cell.chars().take(30).map(|sign| if sign.is_control() { ' ' } else { sign }).collect()
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "a test may panic")]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    fn fault(text: &str) -> String {
        Measured::from_csv("", text, Units::MmMpa).unwrap_err().to_string()
    }

    #[test]
    fn a_table_is_read_in_the_units_of_the_case() {
        let text = "\u{feff}# strips cut out\nhoop,distance,plus_minus,hole,angle_deg\n\n\
                    -58.0, 0.02,3,\"A, upper\",90\n12.5,0.1,,,\n";
        let measured =
            Measured::from_csv("strips", text.trim_start_matches('\u{feff}'), Units::InKsi);
        let points = measured.unwrap().points;
        assert_eq!(points.len(), 2);
        assert_relative_eq!(points[0].stress, -58.0 * 6.894_757_293, max_relative = 1e-9);
        assert_relative_eq!(points[0].distance, 0.02 * 25.4);
        assert_relative_eq!(
            points[0].plus_minus.unwrap(),
            3.0 * 6.894_757_293,
            max_relative = 1e-9
        );
        assert_eq!(
            (points[0].hole.as_deref(), points[0].angle_deg),
            (Some("A, upper"), Some(90.0))
        );
        assert_eq!((points[1].hole.as_deref(), points[1].plus_minus), (None, None));
    }

    #[test]
    fn a_wrong_table_is_rejected_with_its_line_and_column() {
        assert_eq!(fault(""), "line 1: the table is empty");
        assert_eq!(fault("distance,hoop\n"), "line 1: no point below the head");
        assert_eq!(fault("distance\n1\n"), "line 1, column `hoop`: the head has no such column");
        assert!(
            fault("distance,hoop,sigma\n1,2,3\n").starts_with("line 1: unknown column `sigma`")
        );
        assert_eq!(
            fault("distance,hoop,hoop\n1,2,3\n"),
            "line 1, column `hoop`: the column stands twice in the head; one table holds one stress"
        );
        assert_eq!(
            fault("distance,hoop\n1,2\n\n0.5,three\n"),
            "line 4, column `hoop`: `three` is no finite number such as -412.5"
        );
        assert_eq!(fault("distance,hoop\n-1,2\n"), "line 2, column `distance`: -1 is below 0");
        assert_eq!(fault("distance,hoop\n1\n"), "line 2, column `hoop`: the cell is empty");
        assert_eq!(
            fault("distance,hoop,plus_minus\n1,2,NaN\n"),
            "line 2, column `plus_minus`: `NaN` is no finite number such as -412.5"
        );
    }
}
