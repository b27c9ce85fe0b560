//! A run read: fields and numbers of every state, and what stands beside the last ones.

use crate::case::Case;
use crate::process::history::HistoryRecord;
use crate::process::snapshot::Snapshot;
use crate::result::closed_form::{HoleForms, closed_forms};
use crate::result::measured::{Agreement, compare};
use crate::result::read::read;
use crate::result::service_summary::{ServiceSummary, services};
use crate::result::stage::StageResult;
use crate::result::summary::StageSummary;
use crate::result::warnings::warnings;
use crate::solver::tables::FoldedElement;
use crate::study::bracket::{ReadBounds, bracket};
use crate::study::companions::Companions;

/// All that is read of a run. One entry a snapshot in `stages` and `summaries`.
#[derive(Debug)]
pub struct RunReading {
    /// Fields and paths.
    pub stages: Vec<StageResult>,
    /// The same in numbers.
    pub summaries: Vec<StageSummary>,
    /// The last states under the bounding hardening laws.
    pub bounds: ReadBounds,
    /// Measurements beside the last residual state.
    pub measured: Vec<Agreement>,
    /// Closed forms beside the computed stresses, hole by hole.
    pub forms: Vec<HoleForms>,
    /// States at the reversals of service loads.
    pub services: Vec<ServiceSummary>,
    /// Warnings of the case, then those of its results, then of its companions.
    pub warnings: Vec<String>,
}

impl RunReading {
    /// Reads the finished `snapshots` of `case`. `each` hears of every state as soon as it is read.
    ///
    /// # Errors
    ///
    /// [`FoldedElement`] when a state stands on a mesh that cannot be read; whatever `each` says.
    pub fn new<E: From<FoldedElement>>(
        case: &Case,
        (snapshots, history): (&[Snapshot], &[HistoryRecord]),
        companions: &Companions,
        mut each: impl FnMut(&StageResult) -> Result<(), E>,
    ) -> Result<Self, E> {
        let job = &case.job;
        let (mut stages, mut summaries) = (Vec::new(), Vec::new());
        for snapshot in snapshots {
            let (stage, summary) = read(snapshot, job, &case.path_angles)?;
            each(&stage)?;
            stages.push(stage);
            summaries.push(summary);
        }
        let bounds = bracket(case, &companions.bounds)?;
        let residual = stages.iter().zip(&summaries).rev().find(|(_, summary)| !summary.loaded);
        let measured = residual.map_or_else(Vec::new, |(stage, _)| {
            case.measured.iter().map(|measured| compare(measured, &stage.paths)).collect()
        });
        let forms = closed_forms(job, snapshots, &stages);
        let services = snapshots.last().map_or_else(Vec::new, |last| {
            services(last, job, &case.path_angles, companions.plain.solved())
        });
        let plastic = history.iter().map(|r| r.largest_plastic_strain).fold(0.0, f64::max);
        let broken = snapshots.last().map_or(&[][..], |last| &last.break_throughs);
        let mut told = case.warnings.clone();
        told.extend(warnings(job, &summaries, plastic, broken));
        told.extend(companions.troubles());
        Ok(Self { stages, summaries, bounds, measured, forms, services, warnings: told })
    }
}
