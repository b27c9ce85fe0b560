//! Lives of cracks at the holes of a case, plain and expanded, and what the difference is worth.
//!
//! From the last residual state of the run the hoop stress along every path a crack may take, from an
//! elastic solution on the same mesh that of the service load, and from both the lives
//! ([`crate::fatigue::assessment`]). Distances and the hole are those of the drawn plate: after an
//! expansion the hole stands larger in the deformed part by what it has retained.
//!
//! Floor 8, `study`.

mod life_report;
mod loops;
mod places;
mod plan;
mod refusal;
mod trade;

use crate::case::Case;
use crate::case::life::LifeSettings;
pub use crate::fatigue::assessment::{Assessed, Place};
use crate::fatigue::assessment::{Comparison, Ground, compare, worst};
use crate::process::snapshot::Snapshot;
pub use crate::study::life::life_report::{Alternative, Bound, LifeReport, StressLife, Trade};
pub use crate::study::life::loops::{add_loops, local};
pub use crate::study::life::places::residual_state;
use crate::study::life::places::{Found, places};
pub use crate::study::life::plan::{Plan, plan};
pub use crate::study::life::refusal::LifeRefusal;

/// Lives from the finished snapshots of `case`; `bounds` are the last states under the bounding
/// hardening laws, each with its name.
///
/// # Errors
/// [`LifeRefusal`].
pub fn lives(
    case: &Case,
    plan: Plan,
    snapshots: &[Snapshot],
    bounds: &[(&'static str, Snapshot)],
) -> Result<LifeReport, LifeRefusal> {
    let Some(settings) = &case.life else { return Err(LifeRefusal::NoTable) };
    let state = residual_state(snapshots).ok_or(LifeRefusal::NoResidualState)?;
    let Found { places, mut warnings } = places(case, settings, state)?;
    let comparisons =
        places.into_iter().map(|place| one(&plan.ground, place)).collect::<Result<Vec<_>, _>>()?;
    let Some(governing) = worst(&comparisons) else { return Err(LifeRefusal::NoPath) };
    let governing = governing.clone();
    warnings.extend(yielding(case, settings, &plan, &governing));
    if let Some(last) = snapshots.last().filter(|last| last.label != state.label) {
        warnings.push(format!(
            "the residual state is that of {}; stage {} after it leaves a load or pin in place and is not in it",
            state.label, last.label
        ));
    }
    let bounds = bounds
        .iter()
        .map(|(name, snapshot)| bound(case, settings, &plan, name, snapshot))
        .collect::<Result<Vec<_>, _>>()?;
    let trade = trade::trade(case, settings, &plan, &comparisons, state)?;
    Ok(LifeReport {
        title: case.title.clone(),
        case_sha256: case.sha256.clone(),
        case_text: case.text.clone(),
        units: case.units,
        material_name: case.material_name.clone(),
        idealisation: case.job.idealisation.name(),
        stage: state.label.clone(),
        tension: settings.tension,
        load_words: plan.load_words,
        loop_words: None,
        toughness_words: plan.toughness_words,
        ground: plan.ground,
        comparisons,
        governing,
        bounds,
        trade,
        warnings,
    })
}

fn one(ground: &Ground, place: Place) -> Result<Comparison, LifeRefusal> {
    let (hole, angle_deg) = (place.hole.clone(), place.angle_deg);
    compare(ground, place).map_err(|error| LifeRefusal::Life { hole, angle_deg, error })
}

fn bound(
    case: &Case,
    settings: &LifeSettings,
    plan: &Plan,
    name: &str,
    snapshot: &Snapshot,
) -> Result<Bound, LifeRefusal> {
    let comparisons = places(case, settings, snapshot)?
        .places
        .into_iter()
        .map(|place| one(&plan.ground, place))
        .collect::<Result<Vec<_>, _>>()?;
    let worst = worst(&comparisons).ok_or(LifeRefusal::NoPath)?;
    Ok(Bound { hardening: name.to_owned(), worst: worst.clone() })
}

/// Whether the load would make the edge yield again, so that the residual field does not stay.
fn yielding(case: &Case, settings: &LifeSettings, plan: &Plan, at: &Comparison) -> Option<String> {
    let edge = |profile: &crate::numeric::profile::Profile| profile.values().first().copied();
    let (load, residual) = (edge(&at.place.load_hoop)?, edge(&at.place.residual_hoop)?);
    let blocks = plan.ground.sequence.blocks();
    let lowest = blocks.iter().map(|block| block.cycle.minimum()).fold(f64::INFINITY, f64::min);
    let highest = settings.tension.max(plan.ground.sequence.severest().cycle.maximum());
    let limit = case.job.material.elastic_limit();
    let ends = [load * lowest + residual, load * highest + residual];
    let worst = if ends[0].abs() > ends[1].abs() { ends[0] } else { ends[1] };
    // The edge has yielded both ways: beyond its last state only the change counts, so this is no
    // proof, but a compression deeper than what springback left yields for certain.
    let deeper = ends[0] < residual.min(-limit);
    (deeper || worst > limit).then(|| {
        format!(
            "load and residual stress add up to {worst:.0} MPa at the edge of hole {}, beyond the \
             elastic limit of {limit:.0} MPa: the edge yields in service and the residual stress relaxes; \
             put the load into the case as a stage, so that what is left of it is used",
            at.place.hole
        )
    })
}
