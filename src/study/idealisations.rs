//! The same work in every plane idealisation: plane stress, generalised plane strain, plane strain.

use std::sync::atomic::AtomicBool;

use crate::case::Case;
use crate::material::idealisation::Idealisation;
use crate::process::job::Job;
use crate::result::read::read;
use crate::result::summary::IdealisationSummary;
use crate::solver::tables::FoldedElement;
use crate::study::last_state::{LastState, Shelf, shelved_state};

/// The idealisations of a plate, from thin to thick.
const ALL: [Idealisation; 3] =
    [Idealisation::PlaneStress, Idealisation::GeneralisedPlaneStrain, Idealisation::PlaneStrain];

/// The last states in the other idealisations, and why some are missing.
#[derive(Debug, Default)]
pub struct Idealisations {
    /// Thin to thick, without that of the case.
    pub states: Vec<IdealisationSummary>,
    /// One line for each that is missing.
    pub missing: Vec<String>,
}

/// The last state of the work of `case` in every idealisation but its own, side by side. `None` when
/// `stop` was raised. States that an earlier run left on `shelf` are taken from there.
///
/// # Errors
///
/// [`FoldedElement`] when a state stands on a mesh that cannot be read.
pub fn idealisations(
    case: &Case,
    stop: &AtomicBool,
    shelf: &dyn Shelf,
) -> Result<Option<Idealisations>, FoldedElement> {
    let others: Vec<Idealisation> =
        ALL.into_iter().filter(|other| *other != case.job.idealisation).collect();
    let [one, other] = others.as_slice() else { return Ok(Some(Idealisations::default())) };
    let solve = |idealisation: Idealisation| {
        let job = Job { idealisation, ..case.job.clone() };
        let name = idealisation.name().replace(' ', "-");
        (shelved_state(case, &job, stop, |_| true, (shelf, &name)), job)
    };
    let (first, second) = rayon::join(|| solve(*one), || solve(*other));
    let mut found = Idealisations::default();
    for (idealisation, (state, job)) in [(one, first), (other, second)] {
        let name = idealisation.name();
        match state {
            LastState::Done(Some(snapshot)) => {
                let (_, summary) = read(&snapshot, &job, &case.path_angles)?;
                let idealisation = name.to_owned();
                found.states.push(IdealisationSummary { idealisation, paths: summary.paths });
            }
            LastState::Done(None) => found.missing.push(format!("no {name}: no such state")),
            LastState::Interrupted => return Ok(None),
            LastState::Failed(error) => found.missing.push(format!("no {name}: {error}")),
        }
    }
    Ok(Some(found))
}
