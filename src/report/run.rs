//! All that is known of a run, as the summary, the page and the table take it.

use std::path::Path;

use crate::case::Case;
use crate::process::history::HistoryRecord;
use crate::process::job::Job;
use crate::process::sequence::{Ending, StageFailure};
use crate::process::stage::Stage;
use crate::process::tool::Tool;
use crate::report::page::figure::Figure;
use crate::report::record::Record;
use crate::result::closed_form::HoleForms;
use crate::result::measured::Agreement;
use crate::result::refinement::Refinement;
use crate::result::service_summary::ServiceSummary;
use crate::result::summary::{
    BracketSummary, HoleSummary, IdealisationSummary, MeshSummary, StageSummary,
};
use crate::study::reading::RunReading;
use crate::units::Units;

/// End of the label of the snapshot with the tool at full size.
const FULL_SIZE: &str = "-full";

/// How a run ended.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Outcome {
    /// Every stage is finished.
    Done,
    /// A stage could not be finished.
    Failed {
        /// Cause of the failure.
        message: String,
        /// Remedy to try first, when the cause suggests one.
        hint: Option<String>,
    },
    /// Stopped from outside after a finished increment.
    Interrupted,
}

impl Outcome {
    /// Of stages that ended so.
    #[must_use]
    pub fn of(ending: &Result<Ending, StageFailure>) -> Self {
        match ending {
            Ok(Ending::Done) => Self::Done,
            Ok(Ending::Interrupted) => Self::Interrupted,
            Err(failure) => Self::Failed {
                message: format!("stage {}: {}", failure.stage, failure.error),
                hint: failure.error.hint(),
            },
        }
    }

    /// Word in `summary.json`.
    #[must_use]
    pub fn name(&self) -> &'static str {
        match self {
            Self::Done => "done",
            Self::Failed { .. } => "failed",
            Self::Interrupted => "interrupted",
        }
    }
}

/// A run in numbers and words. Values in mm, N, MPa.
#[derive(Clone, Debug)]
pub struct RunReport<'a> {
    /// Title of the case.
    pub title: &'a str,
    /// Number, revision and date of the report.
    pub record: Record,
    /// The plate with its dimensions.
    pub drawing: Option<&'a Figure>,
    /// The case file; only its name is written, as results do not depend on where it lies.
    pub case_file: &'a Path,
    /// The case file as written.
    pub case_text: &'a str,
    /// SHA-256 of its bytes, hexadecimal.
    pub case_sha256: &'a str,
    /// Units of the case.
    pub units: Units,
    /// The job that was simulated.
    pub job: &'a Job,
    /// Name of the metal.
    pub material_name: &'a str,
    /// Where its constants come from.
    pub material_sources: &'a [String],
    /// The mesh; `None` when the run ended before there was one.
    pub mesh: Option<&'a MeshSummary>,
    /// Finished snapshots, in order.
    pub stages: &'a [StageSummary],
    /// Last state under the bounding hardening laws; empty when not asked for.
    pub bracket: &'a [BracketSummary],
    /// Last state in the other idealisations; empty when not asked for.
    pub idealisations: &'a [IdealisationSummary],
    /// Measurements beside the last residual state.
    pub measured: &'a [Agreement],
    /// Closed forms beside the computed stresses, hole by hole.
    pub closed_forms: &'a [HoleForms],
    /// States at the reversals of service loads, stage by stage.
    pub service: &'a [ServiceSummary],
    /// The convergence study, when there was one; the summary does not depend on it.
    pub convergence: Option<&'a Refinement>,
    /// Every increment so far.
    pub history: &'a [HistoryRecord],
    /// How the run ended.
    pub outcome: Outcome,
    /// Anything a reader should look at.
    pub warnings: &'a [String],
}

impl<'a> RunReport<'a> {
    /// The report of `case`, read from `file`, as far as case and `reading` tell it.
    #[must_use]
    pub fn of(case: &'a Case, file: &'a Path, reading: &'a RunReading, outcome: Outcome) -> Self {
        Self {
            title: &case.title,
            record: Record::default(),
            drawing: None,
            case_file: file,
            case_text: &case.text,
            case_sha256: &case.sha256,
            units: case.units,
            job: &case.job,
            material_name: &case.material_name,
            material_sources: &case.material_sources,
            mesh: None,
            stages: &reading.summaries,
            bracket: &reading.bounds.summaries,
            idealisations: &[],
            measured: &reading.measured,
            closed_forms: &reading.forms,
            service: &reading.services,
            convergence: None,
            history: &[],
            outcome,
            warnings: &reading.warnings,
        }
    }
}

impl RunReport<'_> {
    /// Name of the case file without its folder.
    #[must_use]
    pub(crate) fn case_name(&self) -> String {
        let name = self.case_file.file_name().unwrap_or_default();
        name.to_string_lossy().into_owned()
    }

    /// Whether every stage is finished.
    #[must_use]
    pub fn complete(&self) -> bool {
        self.outcome == Outcome::Done
    }

    /// Snapshots without a tool in a hole or a load on the plate.
    pub(crate) fn residual_stages(&self) -> impl Iterator<Item = &StageSummary> {
        self.stages.iter().filter(|stage| !stage.loaded)
    }

    /// Hole `name` with the tool at full size in `stage`; `None` when no tool worked there.
    #[must_use]
    pub fn at_full_size(&self, stage: &StageSummary, name: &str) -> Option<&HoleSummary> {
        let label = format!("{}{FULL_SIZE}", stage.stage);
        let full = self.stages.iter().find(|other| other.stage == label)?;
        full.holes.iter().find(|hole| hole.hole == name && hole.peak_pressure > 0.0)
    }

    /// Every tool of the job: hole index, tool, applied expansion (fraction of the diameter
    /// that the hole was drilled or last reamed to).
    #[must_use]
    pub fn tools(&self) -> Vec<(usize, Tool, f64)> {
        let holes = &self.job.plate.holes;
        let mut diameters: Vec<f64> = holes.iter().map(|hole| hole.starting_diameter).collect();
        let mut tools = Vec::new();
        for stage in &self.job.stages {
            match stage {
                Stage::Expand { hole, tool } => {
                    tools.push((*hole, *tool, tool.applied_expansion(diameters[*hole])));
                }
                Stage::Ream { hole, diameter, .. } => diameters[*hole] = *diameter,
                Stage::Bush(bush) => diameters[bush.hole] = bush.inner_diameter,
                Stage::Fasten { .. }
                | Stage::Unfasten { .. }
                | Stage::Join { .. }
                | Stage::Detach { .. }
                | Stage::Temperature { .. }
                | Stage::Load { .. }
                | Stage::Service { .. } => {}
            }
        }
        tools
    }
}
