//! `paths.csv`, `headlines.csv`, `history.csv` and `service.csv`.
//!
//! A column is one line of a table here: its name, quantity, meaning and value. The
//! header, the rows, the conversion of units and the `columns` block of `summary.json`
//! all come from that line, so none can be forgotten. Names are an interface: a rename
//! is a breaking change.

mod bushes;
mod columns;
mod headlines;
mod joints;

use crate::process::history::HistoryRecord;
use crate::process::service_history::Mark;
use crate::report::run::RunReport;
use crate::result::path::{PathPoint, StressPath};
use crate::result::service_summary::{ServicePath, ServiceRow, ServiceSummary};
use crate::result::stage::StageResult;
use crate::units::Units;
use crate::units::quantity::{Described, Quantity};

pub use crate::report::csv::bushes::bushes;
use crate::report::csv::columns::{Cell, Column, column, rows, table};
pub use crate::report::csv::headlines::headlines;
pub use crate::report::csv::joints::{doublers, fasteners};

/// A row of `paths.csv`.
struct PathRow<'a> {
    stage: &'a str,
    path: &'a StressPath,
    point: &'a PathPoint,
}

/// A row of `service.csv`.
struct ServiceCell<'a> {
    stage: &'a str,
    part: &'static str,
    row: &'a ServiceRow,
    path: &'a ServicePath,
    edge_hoop: f64,
}

/// `paths.csv` of these snapshots, in the order given.
#[must_use]
pub fn paths(stages: &[StageResult], units: Units) -> String {
    let rows = stages.iter().flat_map(|stage| {
        stage.paths.iter().flat_map(move |path| {
            path.points.iter().map(move |point| PathRow { stage: &stage.label, path, point })
        })
    });
    table(&path_columns(), rows, units)
}

/// `history.csv`: one row an increment.
#[must_use]
pub fn history(records: &[HistoryRecord], units: Units) -> String {
    table(&history_columns(), records.iter().cloned(), units)
}

/// The rows of `history.csv` for `records` alone, without the header.
#[must_use]
pub(crate) fn history_rows(records: &[HistoryRecord], units: Units) -> String {
    rows(&history_columns(), records.iter().cloned(), units)
}

/// `service.csv`: one row a reversal and path, the plain part after the worked one.
#[must_use]
pub fn service(stages: &[ServiceSummary], units: Units) -> String {
    let courses = stages.iter().flat_map(|stage| {
        let plain = stage.plain.as_ref().map(|course| ("plain", course));
        [("worked", &stage.worked)].into_iter().chain(plain).map(move |part| (stage, part))
    });
    let rows = courses.flat_map(|(stage, (part, course))| {
        course.rows.iter().filter(|row| row.mark != Mark::Between).flat_map(move |row| {
            course.paths.iter().zip(&row.edge_hoop).map(move |(path, &edge_hoop)| ServiceCell {
                stage: &stage.stage,
                part,
                row,
                path,
                edge_hoop,
            })
        })
    });
    table(&service_columns(), rows, units)
}

/// Every CSV file of `report` with its columns, for the `columns` block of the summary.
#[must_use]
pub fn columns(report: &RunReport) -> Vec<(&'static str, Vec<Described>)> {
    let mut files: Vec<(&'static str, Vec<Described>)> = vec![
        ("paths.csv", path_columns().iter().map(|column| column.described).collect()),
        ("headlines.csv", headlines::described()),
        ("history.csv", history_columns().iter().map(|column| column.described).collect()),
    ];
    if report.stages.iter().any(|stage| !stage.bushes.is_empty()) {
        files.push(("bushes.csv", bushes::described()));
    }
    if !report.service.is_empty() {
        files.push(("service.csv", service_columns().iter().map(|c| c.described).collect()));
    }
    if report.stages.iter().any(|stage| !stage.joints.is_empty()) {
        files.extend(joints::described());
    }
    files
}

#[rustfmt::skip] // one line a column reads as a table
fn path_columns<'a>() -> Vec<Column<PathRow<'a>>> {
    use Cell::{Number, Text};
    use Quantity::{Degrees, Fraction, Length, Name, Stress};
    vec![
        column("stage", Name, |r: &PathRow| Text(r.stage.to_owned()), "label of the snapshot"),
        column("hole", Name, |r| Text(r.path.hole.clone()), "hole the path starts at; polar components are about its centre"),
        column("angle_deg", Degrees, |r| Number(r.path.angle_deg), "direction of the path, counter-clockwise from +x"),
        column("distance", Length, |r| Number(r.point.distance), "from the hole edge, both as they stand at this stage"),
        column("x", Length, |r| Number(r.point.position[0]), "position in the part as it stands"),
        column("y", Length, |r| Number(r.point.position[1]), "position in the part as it stands"),
        column("x_drawn", Length, |r| Number(r.point.drawn[0]), "position in the drawing"),
        column("y_drawn", Length, |r| Number(r.point.drawn[1]), "position in the drawing"),
        column("hoop", Stress, |r| Number(r.point.stress.hoop), "recovered hoop stress, tension positive"),
        column("radial", Stress, |r| Number(r.point.stress.radial), "recovered radial stress, tension positive"),
        column("axial", Stress, |r| Number(r.point.stress.axial), "recovered stress through the thickness, tension positive"),
        column("shear", Stress, |r| Number(r.point.stress.shear), "recovered shear stress between radius and circumference"),
        column("von_mises", Stress, |r| Number(r.point.von_mises), "equivalent stress of the recovered components"),
        column("equivalent_plastic_strain", Fraction, |r| Number(r.point.equivalent_plastic_strain), "accumulated over all stages"),
        column("hoop_point", Stress, |r| Number(r.point.hoop_point), "hoop stress at the nearest integration point, as computed"),
        column("hoop_jump", Stress, |r| Number(r.point.hoop_jump), "largest difference of hoop stress between the elements that meet here"),
        column("thickness_change", Fraction, |r| Number(r.point.thickness_change), "change of the thickness over the drawn one, positive where the plate has grown thicker"),
    ]
}

#[rustfmt::skip] // one line a column reads as a table
fn history_columns() -> Vec<Column<HistoryRecord>> {
    use Cell::{Number, Text};
    use Quantity::{Count, Energy, Fraction, Length, Name, Stress};
    vec![
        column("stage", Name, |r: &HistoryRecord| Text(r.stage.clone()), "label of the stage"),
        column("phase", Name, |r| Text(r.phase.name().to_owned()), "what the increment is part of"),
        column("increment", Count, |r| Cell::Count(r.increment), "number in the whole run, from 1"),
        column("share", Fraction, |r| Number(r.share), "share of the phase done"),
        column("expansion", Fraction, |r| Number(r.expansion), "growth of the acting circle over the hole radius before the stage; 0 outside expansion"),
        column("mean_pressure", Stress, |r| Number(r.mean_pressure), "mean contact pressure round the hole, positive in compression"),
        column("peak_pressure", Stress, |r| Number(r.peak_pressure), "largest contact pressure, positive in compression"),
        column("closed_nodes", Count, |r| Cell::Count(r.closed_nodes), "edge nodes in contact"),
        column("mandrel_shift_x", Length, |r| Number(r.mandrel_shift[0]), "displacement of the mandrel centre"),
        column("mandrel_shift_y", Length, |r| Number(r.mandrel_shift[1]), "displacement of the mandrel centre"),
        column("load_factor", Fraction, |r| Number(r.load_factor), "share of the full load; 0 outside load stages"),
        column("iterations", Count, |r| Cell::Count(r.iterations), "Newton iterations"),
        column("contact_changes", Count, |r| Cell::Count(r.contact_changes), "contact states that changed during the iterations"),
        column("halvings", Count, |r| Cell::Count(r.halvings), "how often the increment was halved before it went through"),
        column("residual", Fraction, |r| Number(r.residual), "relative out-of-balance force at the end"),
        column("external_work", Energy, |r| Number(r.external_work), "work done on the whole plate so far"),
        column("elastic_energy", Energy, |r| Number(r.elastic_energy), "stored in the whole plate now"),
        column("plastic_work", Energy, |r| Number(r.plastic_work), "plastic work in the whole plate so far"),
        column("largest_plastic_strain", Fraction, |r| Number(r.largest_plastic_strain), "largest equivalent plastic strain in the plate"),
    ]
}

#[rustfmt::skip] // one line a column reads as a table
fn service_columns<'a>() -> Vec<Column<ServiceCell<'a>>> {
    use Cell::{Number, Text};
    use Quantity::{Count, Degrees, Fraction, Name, Stress};
    vec![
        column("stage", Name, |r: &ServiceCell| Text(r.stage.to_owned()), "label of the stage"),
        column("part", Name, |r| Text(r.part.to_owned()), "worked, or plain: holes of final size that were never worked"),
        column("moment", Name, |r| Text(moment(r.row.mark).to_owned()), "turn: a reversal; before, after: no load, before the first and after the last"),
        column("reversal", Count, |r| Cell::Count(r.row.reversal), "number of the last turning point in the stage, from 1; 0 before the first"),
        column("cycle", Count, |r| Cell::Count(r.row.period), "cycle, or pass of a spectrum, from 1; 0 before the first"),
        column("load", Fraction, |r| Number(r.row.load), "share of the stated load"),
        column("hole", Name, |r| Text(r.path.hole.clone()), "hole the path starts at"),
        column("angle_deg", Degrees, |r| Number(r.path.angle_deg), "direction of the path, counter-clockwise from +x"),
        column("edge_hoop", Stress, |r| Number(r.edge_hoop), "hoop stress at the edge, tension positive"),
        column("plastic_growth", Fraction, |r| Number(r.row.plastic_growth), "largest growth of the equivalent plastic strain at a point of the plate since the moment before"),
    ]
}

fn moment(mark: Mark) -> &'static str {
    match mark {
        Mark::Before => "before",
        Mark::Between => "between",
        Mark::Turn => "turn",
        Mark::After => "after",
    }
}
