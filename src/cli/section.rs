//! `hoopset section`: the metal round one hole through the thickness, and a mandrel drawn through.

use std::process::ExitCode;

use crate::case::section::{self, SectionInput};
use crate::cli::args::Section;
use crate::cli::check::beside;
use crate::cli::exit::{CliError, INTERRUPTED};
use crate::cli::output::say;
use crate::cli::progress::{Shares, interrupt_flag, use_threads};
use crate::cli::section_beside::beside_plane;
use crate::cli::section_files::{Watch, draw_figures, write_page, write_section};
use crate::cli::warn;
use crate::process::section::observer::SectionEnding;
use crate::process::section::run::SectionRun;
use crate::report::folder::{ResultsFolder, SUMMARY};
use crate::report::section as files;

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
    let mut watch = Watch::new(&shares, stop);
    let outcome = SectionRun::new(case.job.clone()).and_then(|mut run| run.run(&mut watch));
    shares.finish();
    let (kept, stage) = (watch.kept, watch.stage);
    let complete = matches!(outcome, Ok(SectionEnding::Done));
    folder.write("case.toml", case.text.as_bytes())?;
    write_section(&folder, "", &case, &kept, complete)?;
    let figures = draw_figures(&case, &kept, &folder.subfolder("figures")?)?;
    let record = arguments.paper.record();
    write_page(&folder, &case, &kept, (complete, &record), &figures)?;
    for stage in &kept {
        say!("{}", files::answer(&case, stage));
    }
    let written = folder.finish_as(complete)?;
    say!("results: {}", written.display());
    match outcome {
        Ok(SectionEnding::Done) => Ok(ExitCode::SUCCESS),
        Ok(SectionEnding::Interrupted) => {
            warn("interrupted: the stages that were finished are kept");
            Ok(ExitCode::from(INTERRUPTED))
        }
        Err(error) => Err(CliError::Stage {
            stage: case.job.label(stage.min(case.job.stages.len() - 1)),
            error: Box::new(error),
            kept: written,
        }),
    }
}
