//! Which file of the results folder holds what.

use std::error::Error;
use std::fmt;

use crate::geometry::hole::Hole;
use crate::report::folder::folder_error::FolderError;
use crate::report::folder::{ResultsFolder, SUMMARY};
use crate::report::page::figure::Figure;
use crate::report::run::RunReport;
use crate::report::{convergence, csv, json, measured, page, vtu};
use crate::result::stage::StageResult;
use crate::units::Units;

/// Results that could not be written.
#[derive(Debug)]
#[non_exhaustive]
pub enum WriteError {
    /// The folder refused a file.
    Folder(FolderError),
    /// A JSON file could not be made.
    Json(serde_json::Error),
}

impl WriteError {
    /// Remedy to try first, when the cause suggests one.
    #[must_use]
    pub fn hint(&self) -> Option<&'static str> {
        match self {
            Self::Folder(failure) => failure.hint(),
            Self::Json(_) => None,
        }
    }
}

impl fmt::Display for WriteError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Folder(failure) => failure.fmt(f),
            Self::Json(_) => f.write_str("cannot write the summary"),
        }
    }
}

impl Error for WriteError {
    fn source(&self) -> Option<&(dyn Error + 'static)> {
        match self {
            Self::Folder(failure) => failure.source(),
            Self::Json(failure) => Some(failure),
        }
    }
}

impl From<FolderError> for WriteError {
    fn from(failure: FolderError) -> Self {
        Self::Folder(failure)
    }
}

impl From<serde_json::Error> for WriteError {
    fn from(failure: serde_json::Error) -> Self {
        Self::Json(failure)
    }
}

/// The two field files of one snapshot, which may be written as soon as it is there.
///
/// # Errors
///
/// [`FolderError`] when the folder rejects a file.
pub fn fields(
    folder: &ResultsFolder,
    stage: &StageResult,
    holes: &[Hole],
    units: Units,
) -> Result<(), FolderError> {
    let label = &stage.label;
    folder.write(&format!("fields/{label}.vtu"), &vtu::nodes(stage, holes, units))?;
    folder.write(&format!("fields/{label}-points.vtu"), &vtu::points(stage, holes, units))?;
    Ok(())
}

/// Everything but the field files, the figures and the timings: case, tables, page, and last
/// the summary, which makes the folder one that can be finished.
///
/// # Errors
///
/// [`WriteError`] of any kind but `Fields`.
pub fn rest(
    folder: &ResultsFolder,
    report: &RunReport,
    stages: &[StageResult],
    figures: &[Figure],
) -> Result<(), WriteError> {
    let labels = stages.iter().map(|stage| stage.label.as_str());
    folder.write("case.toml", report.case_text.as_bytes())?;
    folder.write("paths.csv", csv::paths(stages, report.units).as_bytes())?;
    folder.write("headlines.csv", csv::headlines(report.stages, report.units).as_bytes())?;
    folder.write("history.csv", csv::history(report.history, report.units).as_bytes())?;
    if report.stages.iter().any(|stage| !stage.bushes.is_empty()) {
        let text = csv::bushes(report.stages, report.units);
        folder.write("bushes.csv", text.as_bytes())?;
    }
    if !report.measured.is_empty() {
        let text = measured::csv(report.measured, report.units);
        folder.write("measured.csv", text.as_bytes())?;
    }
    if !report.service.is_empty() {
        let text = csv::service(report.service, report.units);
        folder.write("service.csv", text.as_bytes())?;
    }
    if report.stages.iter().any(|stage| !stage.joints.is_empty()) {
        let holes = &report.job.plate.holes;
        let text = csv::fasteners(report.stages, holes, report.units);
        folder.write("fasteners.csv", text.as_bytes())?;
        folder.write("doublers.csv", csv::doublers(report.stages, report.units).as_bytes())?;
    }
    folder.write("fields/stages.pvd", vtu::collection(labels).as_bytes())?;
    folder.write("report.html", page::page(report, figures).as_bytes())?;
    folder.write(SUMMARY, json::summary(report)?.as_bytes())?;
    Ok(())
}

/// Files that the convergence study of `report` adds: its own two, and the page once more with the
/// study in it. Nothing without a study.
///
/// # Errors
///
/// [`WriteError`] of any kind but `Fields`.
pub fn study(
    folder: &ResultsFolder,
    report: &RunReport,
    figures: &[Figure],
) -> Result<(), WriteError> {
    let Some(study) = report.convergence else { return Ok(()) };
    let text = convergence::json(study, report.case_sha256, report.units)?;
    folder.write("convergence.json", text.as_bytes())?;
    folder.write("convergence.csv", convergence::csv(study, report.units).as_bytes())?;
    folder.write("report.html", page::page(report, figures).as_bytes())?;
    Ok(())
}

/// `timings.json`: phases and their seconds.
///
/// # Errors
///
/// [`WriteError::Folder`] when the system refuses.
pub fn timings(folder: &ResultsFolder, phases: &[(&str, f64)]) -> Result<(), WriteError> {
    folder.write("timings.json", json::timings(phases)?.as_bytes())?;
    Ok(())
}
