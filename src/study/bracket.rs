//! The same work under the two bounding hardening laws: all hardening isotropic, and all kinematic.
//!
//! Both have the tensile curve of the metal of the case. The truth about reverse yielding lies between
//! them.

use std::sync::atomic::AtomicBool;

use crate::case::Case;
use crate::material::bracket::{purely_isotropic, purely_kinematic};
use crate::process::job::Job;
use crate::process::snapshot::Snapshot;
use crate::result::path::StressPath;
use crate::result::read::read;
use crate::result::summary::BracketSummary;
use crate::solver::tables::FoldedElement;
use crate::study::last_state::{LastState, Shelf, shelved_state};

/// A state under one of the bounding laws.
#[derive(Debug)]
pub struct BoundingState {
    /// `isotropic` or `kinematic`.
    pub hardening: &'static str,
    /// Largest misfit of the tensile curve against that of the case up to 10 % plastic strain, over the
    /// yield stress.
    pub curve_misfit: f64,
    /// The job of the case with that metal.
    pub job: Job,
    /// The state.
    pub snapshot: Snapshot,
}

/// The bounding states that could be computed, and why others could not.
#[derive(Debug, Default)]
pub struct Bounds {
    /// Isotropic first.
    pub states: Vec<BoundingState>,
    /// One line for each bound that is missing.
    pub missing: Vec<String>,
}

/// The last snapshot that is `wanted` of the work of `case` under each bounding law, side by side.
/// `None` when `stop` was raised. States that an earlier run left on `shelf` are taken from there.
#[must_use]
pub fn bounding_states(
    case: &Case,
    stop: &AtomicBool,
    wanted: fn(&Snapshot) -> bool,
    shelf: &dyn Shelf,
) -> Option<Bounds> {
    let isotropic = case.job.with_metals(purely_isotropic);
    let kinematic = case.job.with_metals(|metal| purely_kinematic(metal).0);
    let misfit = case.job.materials().map(|metal| purely_kinematic(metal).1).fold(0.0, f64::max);
    let solve =
        |job: Job, name: &str| (shelved_state(case, &job, stop, wanted, (shelf, name)), job);
    let solved =
        rayon::join(|| solve(isotropic, "bound-isotropic"), || solve(kinematic, "bound-kinematic"));
    let mut bounds = Bounds::default();
    for (hardening, curve_misfit, (state, job)) in
        [("isotropic", 0.0, solved.0), ("kinematic", misfit, solved.1)]
    {
        match state {
            LastState::Done(Some(snapshot)) => {
                bounds.states.push(BoundingState {
                    hardening,
                    curve_misfit,
                    job,
                    snapshot: *snapshot,
                });
            }
            LastState::Done(None) => {
                bounds.missing.push(format!("no bound with {hardening} hardening: no such state"));
            }
            LastState::Interrupted => return None,
            LastState::Failed(error) => {
                bounds.missing.push(format!("no bound with {hardening} hardening: {error}"));
            }
        }
    }
    Some(bounds)
}

/// Bounding states as read: one entry per state, isotropic first.
#[derive(Debug, Default)]
pub struct ReadBounds {
    /// Their paths in numbers.
    pub summaries: Vec<BracketSummary>,
    /// Stresses along their paths.
    pub paths: Vec<Vec<StressPath>>,
}

/// Reads bounding states along the paths of the case.
///
/// # Errors
///
/// [`FoldedElement`] when a state stands on a mesh that cannot be read.
pub fn bracket(case: &Case, bounds: &Bounds) -> Result<ReadBounds, FoldedElement> {
    let mut found = ReadBounds::default();
    for state in &bounds.states {
        let (stage, summary) = read(&state.snapshot, &state.job, &case.path_angles)?;
        found.summaries.push(BracketSummary {
            hardening: state.hardening.to_owned(),
            paths: summary.paths,
            curve_misfit: state.curve_misfit,
        });
        found.paths.push(stage.paths);
    }
    Ok(found)
}
