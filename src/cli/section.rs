//! `hoopset section`: the metal round one hole through the thickness, and a mandrel drawn through.

use std::process::ExitCode;

use crate::case::section::{self, SectionCase, SectionInput};
use crate::cli::args::Section;
use crate::cli::check::beside;
use crate::cli::exit::{CliError, INTERRUPTED};
use crate::cli::output::say;
use crate::cli::progress::{Shares, interrupt_flag, use_threads};
use crate::cli::resume_section::SectionStages;
use crate::cli::section_beside::beside_plane;
use crate::cli::section_files::{Watch, draw_figures, write_page, write_section};
use crate::cli::warn;
use crate::process::section::observer::SectionEnding;
use crate::report::folder::{ResultsFolder, SUMMARY};
use crate::report::section as files;
use crate::report::{measured, section::SectionStageResult};
use crate::result::depth::compare_at_depth;
use crate::result::measured::Agreement;

pub(crate) fn section(arguments: &Section) -> Result<ExitCode, CliError> {
    let case = match section::read_either(&arguments.case)? {
        SectionInput::Section(case) => *case,
        SectionInput::Plane(case) => return beside_plane(arguments, &case),
    };
    use_threads(arguments.threads)?;
    let target = arguments.out.clone().unwrap_or_else(|| beside(&arguments.case, "section"));
    let stop = interrupt_flag();
    case.warnings.iter().for_each(|warning| warn(warning));
    // A run's results are another thing, and would be lost.
    if target.join(SUMMARY).exists() {
        return Err(CliError::Exists(target));
    }
    // Before the work, so that a folder that cannot be used is told at once.
    let folder = ResultsFolder::create(&target)?;
    let shares = Shares::new("section", vec![1.0; case.job.stages.len()]);
    let disk = SectionStages::new(&folder, &case.job, arguments.fresh);
    let mut watch = Watch::new(&shares, stop, &disk);
    let outcome = watch.begin(&case.job).and_then(|mut run| run.run(&mut watch));
    shares.finish();
    watch.refused()?;
    let (kept, stage) = (watch.kept, watch.stage);
    let complete = matches!(outcome, Ok(SectionEnding::Done));
    folder.write("case.toml", case.text.as_bytes())?;
    write_section(&folder, "", &case, &kept, complete)?;
    let compared = compared(&case, &kept);
    if !compared.is_empty() {
        let text = measured::csv(&compared, case.units);
        folder.write("measured.csv", text.as_bytes())?;
    }
    let figures = draw_figures(&case, &kept, &compared, &folder.subfolder("figures")?)?;
    let record = arguments.paper.record();
    write_page(&folder, &case, &kept, (complete, &record), (&figures, &compared))?;
    for stage in &kept {
        say!("{}", files::answer(&case, stage));
    }
    for agreement in &compared {
        say!("{}", measured::words(agreement, case.units));
    }
    let written = folder.finish_as(complete)?;
    say!("results: {}", written.display());
    match outcome {
        Ok(SectionEnding::Done) => Ok(ExitCode::SUCCESS),
        Ok(SectionEnding::Interrupted) => {
            warn(
                "interrupted: the stages that were finished are kept; the same command goes on from there",
            );
            Ok(ExitCode::from(INTERRUPTED))
        }
        Err(error) => Err(CliError::Stage {
            stage: case.job.label(stage.min(case.job.stages.len() - 1)),
            error: Box::new(error),
            kept: written,
        }),
    }
}

/// Measured stresses beside the last residual state.
fn compared(case: &SectionCase, kept: &[SectionStageResult]) -> Vec<Agreement> {
    let Some(last) = kept.iter().rev().find(|stage| !stage.snapshot.loaded) else {
        return Vec::new();
    };
    let stresses = case.readings.stresses.iter();
    stresses.map(|asked| compare_at_depth(asked, &case.job.hole, &last.snapshot)).collect()
}
