//! The unknowns of a case: where they stand, how they are varied, and what they change.

use std::borrow::Cow;

use crate::case::Case;
use crate::case::unknown::Asked;
use crate::material::backstress::Backstress;
use crate::material::bracket::purely_kinematic;
use crate::material::hardening::{Isotropic, Material, VoceTerm};
use crate::process::job::Job;
use crate::process::section::SectionStage;
use crate::process::section::beside::SectionBeside;
use crate::process::stage::Stage;
use crate::solver::friction::Friction;
use crate::study::infer::infer_error::InferError;

/// Change of the logarithm of a yield stress or expansion that is as much as is plausible.
const PLAUSIBLE: f64 = 0.3;

/// Change of a coefficient of friction that is as much as is plausible: lubricated fits have 0.05 to 0.2 (common
/// practice, no source).
const FRICTION: f64 = 0.1;

/// Largest coefficient of friction of the search.
const MOST_FRICTION: f64 = 0.5;

/// Where the search for a friction begins when the case has none.
const USUAL_FRICTION: f64 = 0.05;

/// Limits of a yield stress and an expansion over those of the case.
const TIMES: [f64; 2] = [0.5, 2.0];

/// The value that an unknown has in `case`.
///
/// # Errors
///
/// [`InferError::Missing`] when the case has no such thing.
pub fn start(case: &Case, asked: Asked) -> Result<f64, InferError> {
    let job = &case.job;
    match asked {
        Asked::EntryFaceShare => {
            let by_field = case.life.as_ref().is_some_and(|life| life.part_through.field.is_some());
            if by_field || !case.sections.is_empty() {
                let why = "`entry_face_share` is asked for, and a section says how the stress goes through the \
                           thickness";
                return Err(InferError::Missing(why));
            }
            let mut shares = case.measured.iter().filter_map(|measured| measured.face_share);
            let why = "`entry_face_share` is asked for, and no [[measured]] has `face = \"entry\"`";
            shares.next().ok_or(InferError::Missing(why))
        }
        Asked::KinematicShare => {
            let rise = job.material.monotonic_stress(0.05) - job.material.elastic_limit();
            if rise <= 1e-6 * job.material.elastic_limit() {
                let why = "`kinematic_share` is asked for, and the metal does not harden";
                return Err(InferError::Missing(why));
            }
            Ok(0.5)
        }
        Asked::YieldStress => Ok(job.material.yield_stress),
        Asked::AppliedExpansion => job
            .stages
            .iter()
            .find_map(|stage| match stage {
                Stage::Expand { hole, tool } => {
                    Some(tool.applied_expansion(job.plate.holes[*hole].starting_diameter))
                }
                _ => None,
            })
            .ok_or(InferError::Missing("`applied_expansion` is asked for, and no stage expands")),
        Asked::Friction => {
            let drawn = case.sections.iter().flat_map(|beside| &beside.section.stages);
            let mut tools = drawn.filter_map(|stage| match stage {
                SectionStage::Draw { tool, .. } => Some(tool.friction.coefficient(0.0)),
                _ => None,
            });
            let why =
                "`friction` is asked for, and no mandrel is drawn: a plane case has no friction";
            let own = tools.next().ok_or(InferError::Missing(why))?;
            Ok(if own > 0.0 { own.min(MOST_FRICTION) } else { USUAL_FRICTION })
        }
    }
}

/// The variable of a value, with that of the case at 0.
pub(super) fn variable(asked: Asked, start: f64, value: f64) -> f64 {
    match asked {
        Asked::KinematicShare | Asked::EntryFaceShare => (value - start) / 0.5,
        Asked::Friction => (value - start) / FRICTION,
        _ => (value / start).ln() / PLAUSIBLE,
    }
}

/// The value of a variable.
pub(super) fn value(asked: Asked, start: f64, variable: f64) -> f64 {
    match asked {
        Asked::KinematicShare | Asked::EntryFaceShare => start + 0.5 * variable,
        Asked::Friction => start + FRICTION * variable,
        _ => start * (PLAUSIBLE * variable).exp(),
    }
}

/// Limits of the variable.
pub(super) fn limits(asked: Asked, start: f64) -> [f64; 2] {
    match asked {
        Asked::KinematicShare | Asked::EntryFaceShare => {
            [0.0, 1.0].map(|share| variable(asked, start, share))
        }
        Asked::Friction => [0.0, MOST_FRICTION].map(|friction| variable(asked, start, friction)),
        _ => TIMES.map(|times| variable(asked, start, times * start)),
    }
}

/// The job with these values.
#[must_use]
pub fn changed(job: &Job, values: &[(Asked, f64)]) -> Job {
    let mut job = job.clone();
    // The share is that of the metal with its own yield stress.
    for (asked, value) in values {
        match asked {
            Asked::YieldStress => yield_at(&mut job.material, *value),
            Asked::AppliedExpansion => {
                for stage in &mut job.stages {
                    if let Stage::Expand { hole, tool } = stage {
                        let acting = job.plate.holes[*hole].starting_diameter * (1.0 + value);
                        tool.mandrel_diameter = acting - 2.0 * tool.sleeve_thickness;
                    }
                }
            }
            // The face has its share of the stress whatever the work is; friction is the section's.
            Asked::KinematicShare | Asked::EntryFaceShare | Asked::Friction => {}
        }
    }
    for (asked, value) in values {
        if *asked == Asked::KinematicShare {
            job.material = with_share(&job.material, *value);
        }
    }
    job
}

/// The case with what `values` say beside its job: of the entry face, points measured there and the share of the life;
/// the friction of drawn mandrels.
#[must_use]
pub fn at_faces<'a>(case: &'a Case, values: &[(Asked, f64)]) -> Cow<'a, Case> {
    let of = |wanted: Asked| values.iter().find(|(asked, _)| *asked == wanted).map(|(_, v)| *v);
    let mut case = Cow::Borrowed(case);
    if let Some(share) = of(Asked::EntryFaceShare) {
        let case = case.to_mut();
        for measured in &mut case.measured {
            measured.face_share = measured.face_share.map(|_| share);
        }
        if let Some(life) = &mut case.life {
            life.entry_share = Some(share);
        }
    }
    if let Some(friction) = of(Asked::Friction) {
        let stages =
            case.to_mut().sections.iter_mut().flat_map(|beside| &mut beside.section.stages);
        for stage in stages {
            if let SectionStage::Draw { tool, .. } = stage {
                tool.friction = Friction::constant(friction);
            }
        }
    }
    case
}

/// The section with the metal and the tools of `job`, whose expansions of its hole are those of the section in their
/// order.
#[must_use]
pub(super) fn following(beside: &SectionBeside, job: &Job, hole: usize) -> SectionBeside {
    let mut beside = beside.clone();
    beside.section.material.clone_from(&job.material);
    let tools = || {
        job.stages.iter().filter_map(move |stage| match stage {
            Stage::Expand { hole: at, tool } if *at == hole => Some(*tool),
            _ => None,
        })
    };
    let mut own = tools();
    for stage in &mut beside.section.stages {
        match stage {
            SectionStage::Draw { tool, .. } => {
                tool.mandrel_diameter =
                    own.next().map_or(tool.mandrel_diameter, |t| t.mandrel_diameter);
            }
            SectionStage::Grow { diameter } => {
                *diameter = own.next().map_or(*diameter, |tool| tool.acting_diameter());
            }
            _ => {}
        }
    }
    let mut own = tools();
    for stage in &mut beside.stages {
        if let Stage::Expand { tool, .. } = stage {
            *tool = own.next().unwrap_or(*tool);
        }
    }
    beside
}

/// Gives the metal another yield stress; a tabulated curve is moved as a whole.
fn yield_at(material: &mut Material, value: f64) {
    let by = value - material.yield_stress;
    material.yield_stress = value;
    if let Isotropic::Table { points, .. } = &mut material.isotropic {
        for point in points {
            point[1] += by;
        }
    }
}

/// The metal with the same first pull and this share of its hardening kinematic; of a power law or a table
/// as nearly as terms of backstress follow it.
fn with_share(material: &Material, share: f64) -> Material {
    let (mut mixed, _) = purely_kinematic(material);
    let rest = 1.0 - share;
    let slope: f64 =
        mixed.kinematic.iter().filter(|term| term.recall == 0.0).map(|term| term.modulus).sum();
    let terms = mixed.kinematic.iter().filter(|term| term.recall > 0.0 && rest > 0.0);
    let terms: Vec<VoceTerm> = terms
        .map(|term| VoceTerm { saturation: rest * term.modulus / term.recall, rate: term.recall })
        .collect();
    mixed.isotropic = Isotropic::Voce { terms, slope: rest * slope };
    mixed.kinematic = mixed
        .kinematic
        .iter()
        .filter(|_| share > 0.0)
        .map(|term| Backstress { modulus: share * term.modulus, recall: term.recall })
        .collect();
    mixed
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::material::library::alloys;

    #[test]
    fn a_share_leaves_the_first_pull_as_it_is() {
        for alloy in alloys() {
            let (twin, _) = purely_kinematic(&alloy.material);
            for share in [0.0, 0.3, 1.0] {
                let mixed = with_share(&alloy.material, share);
                for p in [0.0, 0.002, 0.02, 0.06] {
                    let (one, other) = (mixed.monotonic_stress(p), twin.monotonic_stress(p));
                    assert!((one - other).abs() < 1e-9 * one, "{} {share} {p}", alloy.name);
                }
            }
        }
    }
}
