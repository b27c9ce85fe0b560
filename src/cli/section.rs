//! `hoopset section`: the metal round one hole through the thickness, and a mandrel drawn through.

use std::ops::ControlFlow;
use std::process::ExitCode;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

use crate::case::section::{self, SectionCase};
use crate::cli::args::Section;
use crate::cli::check::beside;
use crate::cli::exit::{CliError, INTERRUPTED};
use crate::cli::output::say;
use crate::cli::progress::{Shares, interrupt_flag, use_threads};
use crate::cli::warn;
use crate::plot::{FigureContext, bore_diameter, hoop_along_bore, hoop_by_depth, pull_force};
use crate::process::section::SectionStage;
use crate::process::section::record::{SectionSnapshot, TravelRecord};
use crate::process::section::run::{SectionEnding, SectionObserver, SectionRun};
use crate::report::folder::{ResultsFolder, SUMMARY};
use crate::report::section::{self as files, SectionStageResult};
use crate::result::section::{SectionReading, read_section};
use crate::solver::state::State;
use crate::solver::system::System;

/// Shows progress, keeps what each stage leaves, and stops when asked.
struct Watch<'a> {
    shares: &'a Shares,
    stage: usize,
    stop: Arc<AtomicBool>,
    kept: Vec<SectionStageResult>,
}

impl Watch<'_> {
    fn flow(&self) -> ControlFlow<()> {
        if self.stop.load(Ordering::SeqCst) {
            ControlFlow::Break(())
        } else {
            ControlFlow::Continue(())
        }
    }
}

impl SectionObserver for Watch<'_> {
    fn increment(&mut self, record: &TravelRecord, _: &System, _: &State) -> ControlFlow<()> {
        self.shares.set(self.stage, record.share);
        self.flow()
    }

    fn snapshot(&mut self, snapshot: SectionSnapshot) -> ControlFlow<()> {
        // A tool at full size is no end of a stage.
        self.stage += usize::from(!snapshot.loaded);
        let reading = read_section(&snapshot);
        self.kept.push(SectionStageResult { snapshot, reading });
        self.flow()
    }
}

/// How far from the bore charts of hoop stress reach, over the starting radius.
const REACH: f64 = 4.0;

fn draw_figures(
    case: &SectionCase,
    kept: &[SectionStageResult],
    folder: &ResultsFolder,
) -> Result<(), CliError> {
    let Some(last) = kept.last() else { return Ok(()) };
    let context = FigureContext { case_title: &case.title, units: case.units };
    let into = folder.subfolder("figures")?;
    let part = &case.job.part;
    let most = 0.5 * (part.outer_diameter - part.starting_diameter);
    let reach = (0.5 * REACH * part.starting_diameter).min(most);
    for stage in kept {
        hoop_by_depth(&stage.reading, &stage.snapshot.heading, reach, context, &into)?;
    }
    let residual: Vec<&SectionReading> =
        kept.iter().filter(|stage| !stage.snapshot.loaded).map(|stage| &stage.reading).collect();
    if !residual.is_empty() {
        hoop_along_bore(&residual, context, &into)?;
        bore_diameter(&residual, context, &into)?;
    }
    let travel = &last.snapshot.travel;
    for (index, stage) in case.job.stages.iter().enumerate() {
        let label = case.job.label(index);
        let drawn = matches!(stage, SectionStage::Draw { .. });
        if drawn && travel.iter().any(|record| record.stage == label) {
            pull_force(travel, &label, context, &into)?;
        }
    }
    Ok(())
}

pub(crate) fn section(arguments: &Section) -> Result<ExitCode, CliError> {
    let case = section::read(&arguments.case)?;
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
    let mut watch = Watch { shares: &shares, stage: 0, stop, kept: Vec::new() };
    let outcome = SectionRun::new(case.job.clone()).and_then(|mut run| run.run(&mut watch));
    shares.finish();
    let Watch { kept, stage, .. } = watch;
    let complete = matches!(outcome, Ok(SectionEnding::Done));
    folder.write("case.toml", case.text.as_bytes())?;
    folder.write("section.csv", files::section_csv(&case, &kept).as_bytes())?;
    folder.write("hoop-map.csv", files::hoop_map_csv(&case, &kept).as_bytes())?;
    let travel = kept.last().map_or(&[][..], |last| &last.snapshot.travel);
    folder.write("travel.csv", files::travel_csv(&case, travel).as_bytes())?;
    let json = files::json(&case, &kept, complete).map_err(CliError::Json)?;
    folder.write("section.json", json.as_bytes())?;
    draw_figures(&case, &kept, &folder)?;
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
