//! The same part with holes that were never worked: what an expansion is judged against.

use crate::geometry::hole::Hole;
use crate::process::job::Job;
use crate::process::stage::Stage;

/// Why there is no plain part to compare with.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum NoPlain {
    /// Nothing is expanded or reamed: the part is plain already.
    Nothing,
    /// No service load acts on it.
    NoService,
    /// A hole has a bush in it.
    Bushed {
        /// Name of the hole.
        hole: String,
    },
    /// A hole keeps the size the expansion left, and its pin was made for that.
    PinOfExpanded {
        /// Name of the hole.
        hole: String,
    },
}

/// `job` with every hole drilled at its final diameter, where its last cutter stood, never
/// expanded and never reamed, under the same loads and with the same pins.
///
/// A hole that is expanded and not reamed is drilled at its starting diameter.
///
/// # Errors
///
/// [`NoPlain`] when there is nothing to compare.
pub fn plain_job(job: &Job) -> Result<Job, NoPlain> {
    if !job.stages.iter().any(|stage| matches!(stage, Stage::Service { .. })) {
        return Err(NoPlain::NoService);
    }
    let mut plain = job.clone();
    let drilled: Vec<Hole> = job.plate.holes.clone();
    let mut grown = vec![false; drilled.len()];
    let mut worked = false;
    plain.stages.clear();
    for stage in &job.stages {
        match stage {
            Stage::Expand { hole, .. } => {
                worked = true;
                grown[*hole] = true;
            }
            Stage::Bush(bush) => {
                return Err(NoPlain::Bushed { hole: drilled[bush.hole].name.clone() });
            }
            Stage::Ream { hole, diameter, offset } => {
                worked = true;
                grown[*hole] = false;
                let [x, y] = drilled[*hole].centre;
                let place = &mut plain.plate.holes[*hole];
                place.starting_diameter = *diameter;
                place.out_of_round = None;
                place.centre = [x + offset[0], y + offset[1]];
            }
            Stage::Fasten { hole, diameter: Some(_), .. } if grown[*hole] => {
                return Err(NoPlain::PinOfExpanded { hole: drilled[*hole].name.clone() });
            }
            Stage::Fasten { .. }
            | Stage::Unfasten { .. }
            | Stage::Join { .. }
            | Stage::Detach { .. }
            | Stage::Temperature { .. }
            | Stage::Load { .. }
            | Stage::Service { .. } => plain.stages.push(stage.clone()),
        }
    }
    if worked { Ok(plain) } else { Err(NoPlain::Nothing) }
}
