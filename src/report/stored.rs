//! Results read back from a folder: titles, headline numbers and profiles, in mm and MPa.

use std::fmt;
use std::fs;
use std::path::{Path, PathBuf};

use serde::Deserialize;

use crate::numeric::profile::Profile;
use crate::process::measured::Component;
use crate::report::folder::SUMMARY;
use crate::units::Units;

/// A path of a stored state.
#[derive(Clone, Debug, PartialEq)]
pub struct StoredPath {
    /// Name of the hole.
    pub hole: String,
    /// Direction, degrees counter-clockwise from +x.
    pub angle_deg: f64,
    /// Hoop stress (MPa) against distance from the edge (mm).
    pub hoop: Profile,
}

/// A stored state.
#[derive(Clone, Debug, PartialEq)]
pub struct StoredStage {
    /// Its label.
    pub label: String,
    /// Its paths, in the order of the file.
    pub paths: Vec<StoredPath>,
}

/// A measured hoop stress beside what was computed there.
#[derive(Clone, Debug, PartialEq)]
pub struct StoredPoint {
    /// Words of the measurement.
    pub label: String,
    /// Name of the hole.
    pub hole: String,
    /// Direction, degrees, when the table tells.
    pub angle_deg: Option<f64>,
    /// Distance from the edge, mm.
    pub distance: f64,
    /// Measured, MPa.
    pub stress: f64,
    /// Computed, MPa; `None` beyond the paths.
    pub computed: Option<f64>,
}

/// Results of a run, read from their folder.
#[derive(Clone, Debug, PartialEq)]
pub struct Stored {
    /// Where they lie.
    pub folder: PathBuf,
    /// Title of the case.
    pub title: String,
    /// SHA-256 of the case file, in hexadecimal.
    pub case_sha256: String,
    /// Units of the case.
    pub units: Units,
    /// Whether the run was complete.
    pub complete: bool,
    /// Its residual states, in order.
    pub stages: Vec<StoredStage>,
    /// Hoop stresses that were measured.
    pub measured: Vec<StoredPoint>,
}

/// Results that cannot be read back.
#[derive(Debug)]
pub struct Unreadable {
    /// The file or folder.
    pub path: PathBuf,
    /// Why not.
    pub reason: String,
}

impl fmt::Display for Unreadable {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "`{}` {}", self.path.display(), self.reason)
    }
}

impl std::error::Error for Unreadable {}

/// Entries of `summary.json` that are read back.
#[derive(Deserialize)]
struct Summary {
    title: String,
    complete: bool,
    case: CaseFile,
    units: UnitNames,
    stages: serde_json::Map<String, serde_json::Value>,
}

#[derive(Deserialize)]
struct CaseFile {
    sha256: String,
}

#[derive(Deserialize)]
struct UnitNames {
    system: String,
}

/// Columns of `paths.csv` that are read.
const COLUMNS: [&str; 5] = ["stage", "hole", "angle_deg", "distance", "hoop"];

/// Reads the results in `folder`.
///
/// # Errors
///
/// [`Unreadable`] when it is no results folder of a run, or a file in it is damaged.
pub fn read(folder: &Path) -> Result<Stored, Unreadable> {
    let at = |name: &str, reason: String| Unreadable { path: folder.join(name), reason };
    let text = |name: &str| {
        fs::read_to_string(folder.join(name))
            .map_err(|error| at(name, format!("cannot be read: {error}")))
    };
    let summary: Summary = serde_json::from_str(&text(SUMMARY)?)
        .map_err(|error| at(SUMMARY, format!("is no summary of a run: {error}")))?;
    let units = Units::named(&summary.units.system)
        .ok_or_else(|| at(SUMMARY, "names no known system of units".to_owned()))?;
    let residual =
        |label: &str| summary.stages.get(label).is_some_and(|stage| stage["residual"] == true);
    let table = text(PATHS)?;
    let mut stages = stages(&table, units).map_err(|reason| at(PATHS, reason))?;
    stages.retain(|stage| residual(&stage.label));
    if stages.is_empty() {
        return Err(at(PATHS, "holds no finished stage".to_owned()));
    }
    let measured = if folder.join(MEASURED).exists() {
        measured(&text(MEASURED)?, units).map_err(|reason| at(MEASURED, reason))?
    } else {
        Vec::new()
    };
    Ok(Stored {
        measured,
        folder: folder.to_owned(),
        title: summary.title,
        case_sha256: summary.case.sha256,
        units,
        complete: summary.complete,
        stages,
    })
}

const PATHS: &str = "paths.csv";
const MEASURED: &str = "measured.csv";

/// A row of `measured.csv`.
#[derive(Deserialize)]
struct MeasuredRow {
    measurement: String,
    component: String,
    hole: String,
    angle_deg: Option<f64>,
    distance: f64,
    measured: f64,
    computed: Option<f64>,
}

/// The hoop stresses of the table.
fn measured(table: &str, units: Units) -> Result<Vec<StoredPoint>, String> {
    let mut reader = csv::Reader::from_reader(table.as_bytes());
    let rows: Vec<MeasuredRow> = reader
        .deserialize()
        .collect::<Result<_, _>>()
        .map_err(|error| format!("is damaged: {error}"))?;
    let scale = units.stress_scale();
    let hoop = rows.into_iter().filter(|row| row.component == Component::Hoop.name());
    let point = |row: MeasuredRow| StoredPoint {
        label: row.measurement,
        hole: row.hole,
        angle_deg: row.angle_deg,
        distance: row.distance * units.length_scale(),
        stress: row.measured * scale,
        computed: row.computed.map(|stress| stress * scale),
    };
    Ok(hoop.map(point).collect())
}

/// One row of the table.
struct Row<'a> {
    stage: &'a str,
    hole: &'a str,
    angle_deg: f64,
    distance: f64,
    hoop: f64,
}

fn stages(table: &str, units: Units) -> Result<Vec<StoredStage>, String> {
    let mut lines = table.lines().enumerate();
    let (_, head) = lines.next().ok_or("is empty")?;
    let names: Vec<&str> = head.split(',').collect();
    let mut places = [0; COLUMNS.len()];
    for (place, column) in places.iter_mut().zip(COLUMNS) {
        *place = names
            .iter()
            .position(|name| *name == column)
            .ok_or_else(|| format!("has no column `{column}`"))?;
    }
    let mut stages: Vec<StoredStage> = Vec::new();
    let mut path: Option<(String, f64, Vec<f64>, Vec<f64>)> = None;
    for (number, line) in lines {
        let row = row(line, &places).ok_or_else(|| format!("line {} is damaged", number + 1))?;
        let (distance, hoop) =
            (row.distance * units.length_scale(), row.hoop * units.stress_scale());
        let same_stage = stages.last().is_some_and(|stage| stage.label == row.stage);
        let same_path = same_stage
            && path.as_ref().is_some_and(|(hole, angle, ..)| {
                hole == row.hole && angle.to_bits() == row.angle_deg.to_bits()
            });
        if !same_path {
            keep(&mut stages, path.take())?;
            if !same_stage {
                stages.push(StoredStage { label: row.stage.to_owned(), paths: Vec::new() });
            }
            path = Some((row.hole.to_owned(), row.angle_deg, Vec::new(), Vec::new()));
        }
        if let Some((_, _, distances, stresses)) = &mut path {
            if distances.last().is_some_and(|last| distance <= *last) {
                return Err(format!("line {} is out of order", number + 1));
            }
            distances.push(distance);
            stresses.push(hoop);
        }
    }
    keep(&mut stages, path)?;
    Ok(stages)
}

fn keep(
    stages: &mut [StoredStage],
    path: Option<(String, f64, Vec<f64>, Vec<f64>)>,
) -> Result<(), String> {
    let Some((hole, angle_deg, distances, stresses)) = path else { return Ok(()) };
    let stage = stages.last_mut().ok_or("has a path without a stage")?;
    stage.paths.push(StoredPath { hole, angle_deg, hoop: Profile::new(distances, stresses) });
    Ok(())
}

/// A row; names of stages and holes have no commas. `None` when it is damaged.
fn row<'a>(line: &'a str, places: &[usize; COLUMNS.len()]) -> Option<Row<'a>> {
    let cells: Vec<&str> = line.split(',').collect();
    let number = |place: usize| {
        let value: f64 = cells.get(places[place])?.parse().ok()?;
        value.is_finite().then_some(value)
    };
    Some(Row {
        stage: cells.get(places[0])?,
        hole: cells.get(places[1])?,
        angle_deg: number(2)?,
        distance: number(3)?,
        hoop: number(4)?,
    })
}
