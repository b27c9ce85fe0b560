//! The work of `hoopset run`, kept in memory: the same states, read by the same functions, as the same files.

use std::path::Path;
use std::sync::atomic::AtomicBool;

use hoopset::case::Case;
use hoopset::mesh::topology::Mesh;
use hoopset::process::history::HistoryRecord;
use hoopset::process::sequence::{Ending, Observer, StageFailure};
use hoopset::report::record::Record;
use hoopset::report::run::{Outcome, RunReport};
use hoopset::report::{csv, json, vtu};
use hoopset::result::closed_form::closed_forms;
use hoopset::result::measured::compare;
use hoopset::result::service_summary::services;
use hoopset::result::summary::MeshSummary;
use hoopset::result::warnings::warnings;
use hoopset::study::bracket::{Bounds, bounding_states, bracket};
use hoopset::study::effort::{LIMIT, effort};
use hoopset::study::idealisations::{Idealisations, idealisations};
use hoopset::study::last_state::NoShelf;
use hoopset::study::plain_hole::{PlainHole, plain_hole};
use hoopset::{Snapshot, read};

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
    failure: Option<StageFailure>,
}

fn other(error: impl std::fmt::Display) -> Unsolved {
    Unsolved::Other(error.to_string(), None)
}

/// Runs the stages of `case` under the eyes of `observer`.
pub(crate) fn stages(case: &Case, observer: &mut dyn Observer) -> Result<Ended, Unsolved> {
    let mut sequence = case
        .sequence(case.job.clone())
        .map_err(|error| Unsolved::Other(error.to_string(), error.hint()))?;
    let mesh = mesh_summary(sequence.mesh());
    let expected = effort(case, mesh.unknowns);
    if expected.is_large() {
        let words =
            format!("this run takes about {}; the limit is {}", expected.words(), LIMIT.words());
        let hint = "lower `fineness`, `increments` or the number of cycles, or use the command line with `--large`";
        return Err(Unsolved::Other(words, Some(hint.to_owned())));
    }
    match sequence.run(observer) {
        Ok(Ending::Done | Ending::Interrupted) => Ok(Ended { mesh, failure: None }),
        Err(failure) => Ok(Ended { mesh, failure: Some(failure) }),
    }
}

fn mesh_summary(mesh: &Mesh) -> MeshSummary {
    let quality = hoopset::mesh::check::measure(mesh);
    MeshSummary {
        nodes: mesh.nodes.len(),
        quadrilaterals: mesh.quads.len(),
        triangles: mesh.triangles.len(),
        unknowns: 2 * mesh.nodes.len(),
        symmetry_copies: mesh.symmetry.copies(),
        smallest_scaled_jacobian: quality.smallest_scaled_jacobian,
        largest_aspect_ratio: quality.largest_aspect_ratio,
    }
}

/// The solutions that stand beside that of the case.
struct Beside {
    bounds: Bounds,
    plain: PlainHole,
    idealisations: Idealisations,
}

impl Beside {
    fn solve(case: &Case, done: bool, stop: &AtomicBool) -> Result<Self, Unsolved> {
        let stopped = || Unsolved::Other("interrupted".to_owned(), None);
        let mut beside = Self {
            bounds: Bounds::default(),
            plain: PlainHole::default(),
            idealisations: Idealisations::default(),
        };
        if done && case.bracket {
            beside.bounds = bounding_states(case, stop, |_| true, &NoShelf).ok_or_else(stopped)?;
        }
        if done && case.plain_hole {
            beside.plain = plain_hole(case, stop, &NoShelf);
        }
        if done && case.idealisations {
            let found = idealisations(case, stop, &NoShelf).map_err(other)?;
            beside.idealisations = found.ok_or_else(stopped)?;
        }
        Ok(beside)
    }
}

/// Reads the snapshots and writes every file but figures, page and timings.
pub(crate) fn finish(
    case: &Case,
    file: &Path,
    (snapshots, history): (Vec<Snapshot>, Vec<HistoryRecord>),
    ended: Ended,
    stop: &AtomicBool,
) -> Result<Found, Unsolved> {
    let Ended { mesh, failure } = ended;
    let (job, units) = (&case.job, case.units);
    let Beside { bounds, plain, idealisations } = Beside::solve(case, failure.is_none(), stop)?;
    let mut files = vec![("case.toml".to_owned(), case.text.clone().into_bytes())];
    let (mut stages, mut summaries) = (Vec::new(), Vec::new());
    for snapshot in &snapshots {
        let (stage, summary) = read(snapshot, job, &case.path_angles).map_err(other)?;
        let label = &stage.label;
        files.push((format!("fields/{label}.vtu"), vtu::nodes(&stage, &job.plate.holes, units)));
        files.push((
            format!("fields/{label}-points.vtu"),
            vtu::points(&stage, &job.plate.holes, units),
        ));
        stages.push(stage);
        summaries.push(summary);
    }
    let read_bounds = bracket(case, &bounds).map_err(other)?;
    let residual = stages.iter().zip(&summaries).rev().find(|(_, summary)| !summary.loaded);
    let measured: Vec<_> = residual.map_or_else(Vec::new, |(stage, _)| {
        case.measured.iter().map(|measured| compare(measured, &stage.paths)).collect()
    });
    let forms = closed_forms(job, &snapshots, &stages);
    let service = snapshots
        .last()
        .map_or_else(Vec::new, |last| services(last, job, &case.path_angles, plain.solved()));
    let plastic = history.iter().map(|r| r.largest_plastic_strain).fold(0.0, f64::max);
    let broken = snapshots.last().map_or(&[][..], |last| &last.break_throughs);
    let mut told = case.warnings.clone();
    told.extend(warnings(job, &summaries, plastic, broken));
    told.extend([bounds.missing, idealisations.missing].concat());
    told.extend(plain.trouble().map(str::to_owned));
    let outcome = match &failure {
        None => Outcome::Done,
        Some(failure) => Outcome::Failed {
            message: format!("stage {}: {}", failure.stage, failure.error),
            hint: failure.error.hint(),
        },
    };
    let report = RunReport {
        title: &case.title,
        record: Record::default(),
        drawing: None,
        case_file: &file.to_string_lossy(),
        case_text: &case.text,
        case_sha256: &case.sha256,
        units,
        job,
        material_name: &case.material_name,
        material_sources: &case.material_sources,
        mesh: Some(&mesh),
        stages: &summaries,
        bracket: &read_bounds.summaries,
        idealisations: &idealisations.states,
        measured: &measured,
        closed_forms: &forms,
        service: &service,
        convergence: None,
        history: &history,
        outcome,
        warnings: &told,
    };
    files.push(("summary.json".to_owned(), json::summary(&report).map_err(other)?.into_bytes()));
    files.push(("paths.csv".to_owned(), csv::paths(&stages, units).into_bytes()));
    files.push(("headlines.csv".to_owned(), csv::headlines(&summaries, units).into_bytes()));
    files.push(("history.csv".to_owned(), csv::history(&history, units).into_bytes()));
    if !service.is_empty() {
        files.push(("service.csv".to_owned(), csv::service(&service, units).into_bytes()));
    }
    let failure =
        failure.map(|failure| (failure.stage, failure.error.to_string(), failure.error.hint()));
    Ok(Found { files, failure })
}
