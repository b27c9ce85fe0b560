//! The work of `hoopset run`, kept in memory: the same states, read by the same functions, as the same files.

use std::path::Path;
use std::sync::atomic::AtomicBool;

use hoopset::Snapshot;
use hoopset::case::Case;
use hoopset::process::history::HistoryRecord;
use hoopset::process::sequence::{Ending, Observer, StageFailure};
use hoopset::report::run::{Outcome, RunReport};
use hoopset::report::{csv, json, vtu};
use hoopset::result::stage::StageResult;
use hoopset::result::summary::MeshSummary;
use hoopset::solver::tables::FoldedElement;
use hoopset::study::companions::Companions;
use hoopset::study::effort::{LIMIT, effort};
use hoopset::study::last_state::NoShelf;
use hoopset::study::reading::RunReading;

/// Files by name, and the stage that failed with its message and hint.
pub(crate) struct Found {
    pub(crate) files: Vec<(String, Vec<u8>)>,
    pub(crate) failure: Option<(String, String, Option<String>)>,
}

/// Why there is nothing to show, and a hint.
pub(crate) enum Unsolved {
    Other(String, Option<String>),
}

/// How the stages ended, and the mesh they began on.
pub(crate) struct Ended {
    mesh: MeshSummary,
    ending: Result<Ending, StageFailure>,
}

fn other(error: impl std::fmt::Display) -> Unsolved {
    Unsolved::Other(error.to_string(), None)
}

/// Runs the stages of `case` under the eyes of `observer`.
pub(crate) fn stages(case: &Case, observer: &mut dyn Observer) -> Result<Ended, Unsolved> {
    let mut sequence = case
        .sequence(case.job.clone())
        .map_err(|error| Unsolved::Other(error.to_string(), error.hint()))?;
    let mesh = MeshSummary::of(sequence.mesh());
    let expected = effort(case, mesh.unknowns);
    if expected.is_large() {
        let words =
            format!("this run takes about {}; the limit is {}", expected.words(), LIMIT.words());
        let hint = "lower `fineness`, `increments` or the number of cycles, or use the command line with `--large`";
        return Err(Unsolved::Other(words, Some(hint.to_owned())));
    }
    Ok(Ended { mesh, ending: sequence.run(observer) })
}

/// Reads the snapshots and writes every file but figures, page and timings.
pub(crate) fn finish(
    case: &Case,
    file: &Path,
    (snapshots, history): (Vec<Snapshot>, Vec<HistoryRecord>),
    ended: Ended,
    stop: &AtomicBool,
) -> Result<Found, Unsolved> {
    let Ended { mesh, ending } = ended;
    let units = case.units;
    let companions = match ending {
        Ok(_) => Companions::solve(case, stop, &NoShelf, |_| (), |_| ()).map_err(other)?,
        Err(_) => Companions::default(),
    };
    if companions.interrupted {
        return Err(Unsolved::Other("interrupted".to_owned(), None));
    }
    let mut files = vec![("case.toml".to_owned(), case.text.clone().into_bytes())];
    let holes = &case.job.plate.holes;
    let keep = |stage: &StageResult| {
        let name = |ending: &str| format!("fields/{}{ending}.vtu", stage.label);
        files.push((name(""), vtu::nodes(stage, holes, units)));
        files.push((name("-points"), vtu::points(stage, holes, units)));
        Ok::<(), FoldedElement>(())
    };
    let reading =
        RunReading::new(case, (&snapshots, &history), &companions, keep).map_err(other)?;
    let report = RunReport {
        mesh: Some(&mesh),
        idealisations: &companions.idealisations.states,
        history: &history,
        ..RunReport::of(case, file, &reading, Outcome::of(&ending))
    };
    let RunReading { stages, summaries, services, .. } = &reading;
    files.push(("summary.json".to_owned(), json::summary(&report).map_err(other)?.into_bytes()));
    files.push(("paths.csv".to_owned(), csv::paths(stages, units).into_bytes()));
    files.push(("headlines.csv".to_owned(), csv::headlines(summaries, units).into_bytes()));
    files.push(("history.csv".to_owned(), csv::history(&history, units).into_bytes()));
    if !services.is_empty() {
        files.push(("service.csv".to_owned(), csv::service(services, units).into_bytes()));
    }
    if summaries.iter().any(|stage| !stage.joints.is_empty()) {
        let fasteners = csv::fasteners(summaries, holes, units);
        files.push(("fasteners.csv".to_owned(), fasteners.into_bytes()));
        files.push(("doublers.csv".to_owned(), csv::doublers(summaries, units).into_bytes()));
    }
    let failure = ending
        .err()
        .map(|failure| (failure.stage, failure.error.to_string(), failure.error.hint()));
    Ok(Found { files, failure })
}
