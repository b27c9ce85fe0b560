//! Warnings that a reader gets without asking.

use crate::material::hardening::{Isotropic, PastEnd};
use crate::material::strains::Strains;
use crate::mesh::check::LEAST_SCALED_JACOBIAN;
use crate::process::job::Job;
use crate::process::ligament::{Bound, BreakThrough};
use crate::result::fit::BushSummary;
use crate::result::summary::StageSummary;

/// Strain beyond which a case that is computed with small strains deserves a word.
pub(crate) const SMALL_STRAIN: f64 = 0.03;

/// Share of the compressive force by which a section may be out of balance before a coarse
/// mesh is suspected.
const SECTION_BALANCE: f64 = 0.02;

/// Share of the peak hoop stress that a bare edge may show as radial or shear stress.
const EDGE_ERROR: f64 = 0.02;

/// Share of its edge that a bush touches at least when it sits; sums of areas are rounded.
const SEATED: f64 = 0.999;

/// Warnings about the finished stages of `job`; `largest_plastic` is the largest equivalent
/// plastic strain of the run, `broken` what plastic zones broke through to.
#[must_use]
pub fn warnings(
    job: &Job,
    stages: &[StageSummary],
    largest_plastic: f64,
    broken: &[BreakThrough],
) -> Vec<String> {
    let mut warnings: Vec<String> = broken.iter().map(|broken| ligament(job, broken)).collect();
    if job.numerics.strains == Strains::Small
        && let Some((stage, strain)) = worst(stages, |stage| stage.largest_strain)
        && strain > SMALL_STRAIN
    {
        warnings.push(format!(
            "largest strain {:.1} % ({stage}) is above {:.0} %, where small strains are off by \
             about the same share: `strains = \"finite\"` in [numerics] follows the part as it deforms",
            100.0 * strain,
            100.0 * SMALL_STRAIN
        ));
    }
    let worst_shape = stages
        .iter()
        .map(|stage| (stage.stage.as_str(), stage.smallest_scaled_jacobian))
        .min_by(|a, b| a.1.total_cmp(&b.1));
    if let Some((stage, shape)) = worst_shape
        && shape < LEAST_SCALED_JACOBIAN
    {
        warnings.push(format!(
            "an element of {stage} is distorted to a scaled Jacobian of {shape:.2}, below \
             {LEAST_SCALED_JACOBIAN}: strains there are not to be trusted; refine the mesh or expand less"
        ));
    }
    if let Isotropic::Table { points, past_end: PastEnd::Warn } = &job.material.isotropic
        && let Some([end, _]) = points.last()
        && largest_plastic > *end
    {
        warnings.push(format!(
            "the plastic strain reached {largest_plastic:.4}, beyond the end of the hardening table at {end:.4}; \
             the curve went on flat"
        ));
    }
    if let Some(from) = job.material.softens_within(largest_plastic) {
        warnings.push(format!(
            "the plastic strain reached {largest_plastic:.4}, and the metal softens from {from:.4} on: \
             strains beyond are not to be relied on"
        ));
    }
    let section = |stage: &StageSummary| {
        stage.sections.iter().map(|s| s.net_over_compressive.abs()).fold(0.0, f64::max)
    };
    if let Some((stage, share)) = worst(stages, section)
        && share > SECTION_BALANCE
    {
        warnings.push(format!(
            "a straight section of {stage} is out of balance by {:.1} % of its compressive force: refine the mesh",
            100.0 * share
        ));
    }
    let edge = |stage: &StageSummary| {
        stage.paths.iter().filter_map(|path| path.edge_error).fold(0.0, f64::max)
    };
    if let Some((stage, share)) = worst(stages, edge)
        && share > EDGE_ERROR
    {
        warnings.push(format!(
            "the bare edge of {stage} shows {:.1} % of the peak hoop stress as radial or shear stress: refine the mesh",
            100.0 * share
        ));
    }
    warnings.extend(stages.last().into_iter().flat_map(|last| last.bushes.iter().filter_map(gap)));
    warnings
}

/// Says that a bush does not sit all round in the end.
fn gap(bush: &BushSummary) -> Option<String> {
    if bush.touching == 0.0 {
        return Some(format!(
            "the bush in hole {} touches nothing in the end: it lies loose",
            bush.name
        ));
    }
    (bush.touching < SEATED).then(|| {
        format!(
            "the bush in hole {} touches only {:.0} % of the edge in the end",
            bush.name,
            100.0 * bush.touching
        )
    })
}

/// Says in the trade's terms that a ligament has yielded through.
fn ligament(job: &Job, broken: &BreakThrough) -> String {
    let name = |hole: usize| job.plate.holes.get(hole).map_or("?", |hole| &hole.name);
    let bound = match &broken.bound {
        Bound::Edge(edge) => format!("the {edge} edge"),
        Bound::Hole(other) => format!("hole {}", name(*other)),
    };
    format!(
        "the plastic zone of hole {} has reached {bound} between {:.0} and {:.0} % of full expansion \
         ({}): the ligament has yielded through",
        name(broken.hole),
        100.0 * broken.not_yet,
        100.0 * broken.share,
        broken.stage
    )
}

fn worst(stages: &[StageSummary], measure: impl Fn(&StageSummary) -> f64) -> Option<(&str, f64)> {
    stages
        .iter()
        .map(|stage| (stage.stage.as_str(), measure(stage)))
        .max_by(|a, b| a.1.total_cmp(&b.1))
}
