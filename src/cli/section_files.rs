//! A section while it is computed, and its files and figures.

use std::ops::ControlFlow;
use std::path::Path;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

use crate::case::section::SectionCase;
use crate::cli::drawing::drawing;
use crate::cli::exit::CliError;
use crate::cli::output::tell;
use crate::cli::progress::Shares;
use crate::cli::resume_section::SectionStages;
use crate::geometry::hole::Hole;
use crate::geometry::plate::{Outline, Plate};
use crate::plot::{
    self, DepthMap, FigureContext, PlateMarks, bore_diameter, depth_map, hoop_along_bore,
    hoop_by_depth, pull_force,
};
use crate::process::section::observer::SectionObserver;
use crate::process::section::record::{SectionSnapshot, TravelRecord};
use crate::process::section::run::SectionRun;
use crate::process::section::{SectionJob, SectionStage};
use crate::process::stage_error::StageError;
use crate::report::folder::ResultsFolder;
use crate::report::page::figure::Figure;
use crate::report::record::Record;
use crate::report::section::{self as files, SectionStageResult};
use crate::report::section_page::section_page;
use crate::report::section_vtu::section_vtu;
use crate::result::measured::Agreement;
use crate::result::section::{SectionReading, read_section};
use crate::solver::state::State;
use crate::solver::system::System;
use crate::study::section_beside::section_field;

/// Shows progress, keeps what each stage leaves, and stops when asked.
pub(crate) struct Watch<'a> {
    shares: &'a Shares,
    /// Number of the stage under way, from 0.
    pub(crate) stage: usize,
    stop: Arc<AtomicBool>,
    /// Where stages are kept on the disk.
    disk: &'a SectionStages<'a>,
    /// Every stage so far.
    pub(crate) kept: Vec<SectionStageResult>,
    /// The disk's refusal to take one.
    trouble: Option<CliError>,
}

impl<'a> Watch<'a> {
    /// At the beginning of the work.
    pub(crate) fn new(
        shares: &'a Shares,
        stop: Arc<AtomicBool>,
        disk: &'a SectionStages<'a>,
    ) -> Self {
        Self { shares, stage: 0, stop, disk, kept: Vec::new(), trouble: None }
    }

    /// The work on `job` as earlier work has left it: at its beginning, or behind the stages that are on the disk.
    pub(crate) fn begin(&mut self, job: &SectionJob) -> Result<SectionRun, StageError> {
        let stored = self.disk.stored();
        let Some(last) = stored.last().cloned() else { return SectionRun::new(job.clone()) };
        tell!("taking {} finished stage(s) of the section; --fresh computes them anew", last.stage);
        for snapshot in stored {
            self.keep(snapshot);
        }
        SectionRun::resume(job.clone(), last)
    }

    /// The first refusal of the disk, as an error.
    pub(crate) fn refused(&mut self) -> Result<(), CliError> {
        self.trouble.take().map_or(Ok(()), Err)
    }

    fn keep(&mut self, snapshot: SectionSnapshot) {
        if let Err(error) = self.disk.store(&snapshot) {
            self.trouble.get_or_insert(error);
        }
        // A tool at full size is no end of a stage.
        self.stage += usize::from(!snapshot.loaded);
        let reading = read_section(&snapshot);
        self.kept.push(SectionStageResult { snapshot, reading });
    }

    fn flow(&self) -> ControlFlow<()> {
        if self.trouble.is_some() || self.stop.load(Ordering::SeqCst) {
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
        self.keep(snapshot);
        self.flow()
    }
}

/// How far from the bore charts of hoop stress reach, over the starting radius.
const REACH: f64 = 4.0;

/// Draws the figures of a section into the folder `into`; each with its caption, those that tell most first.
pub(crate) fn draw_figures(
    case: &SectionCase,
    kept: &[SectionStageResult],
    measured: &[Agreement],
    into: &Path,
) -> Result<Vec<Figure>, CliError> {
    let Some(last) = kept.last() else { return Ok(Vec::new()) };
    let mut drawn: Vec<(plot::Figure, String)> = Vec::new();
    let context = FigureContext { case_title: &case.title, units: case.units };
    let part = &case.job.part;
    let most = 0.5 * (part.outer_diameter - part.starting_diameter);
    let reach = (0.5 * REACH * part.starting_diameter).min(most);
    for stage in kept {
        let heading = &stage.snapshot.heading;
        let compared = if stage.snapshot.stage == last.snapshot.stage { measured } else { &[] };
        let figure = hoop_by_depth(&stage.reading, (heading, reach), compared, context, into)?;
        drawn.push((figure, format!("Hoop stress against distance from the bore, {heading}")));
        if let Some(field) = section_field(&stage.snapshot) {
            let map = DepthMap {
                name: &format!("field-{}", stage.reading.label),
                title: &format!("Hole {}: hoop stress in the section", case.job.hole),
                stage: heading,
                reach,
                field: &field,
            };
            let figure = depth_map(&map, context, into)?;
            drawn.push((figure, format!("Hoop stress over distance and depth, {heading}")));
        }
    }
    let residual: Vec<&SectionReading> =
        kept.iter().filter(|stage| !stage.snapshot.loaded).map(|stage| &stage.reading).collect();
    if !residual.is_empty() {
        let figure = hoop_along_bore(&residual, context, into)?;
        drawn.push((figure, "Residual hoop stress along the bore".to_owned()));
        let figure = bore_diameter(&residual, context, into)?;
        drawn.push((figure, "Diameter of the bore through the thickness".to_owned()));
    }
    let travel = &last.snapshot.travel;
    for (index, stage) in case.job.stages.iter().enumerate() {
        let label = case.job.label(index);
        let is_draw = matches!(stage, SectionStage::Draw { .. });
        if is_draw && travel.iter().any(|record| record.stage == label) {
            let figure = pull_force(travel, &label, context, into)?;
            drawn.push((figure, format!("Force of the pull, {label}")));
        }
    }
    let read = |(figure, caption): (plot::Figure, String)| Figure::read(&figure.png, caption);
    Ok(drawn.into_iter().map(read).collect::<Result<_, _>>()?)
}

/// Writes the tables and fields of a section, their names after `prefix`.
pub(crate) fn write_section(
    folder: &ResultsFolder,
    prefix: &str,
    case: &SectionCase,
    kept: &[SectionStageResult],
    complete: bool,
) -> Result<(), CliError> {
    let write = |name: &str, bytes: &[u8]| folder.write(&format!("{prefix}{name}"), bytes);
    write("section.csv", files::section_csv(case, kept).as_bytes())?;
    write("hoop-map.csv", files::hoop_map_csv(case, kept).as_bytes())?;
    let travel = kept.last().map_or(&[][..], |last| &last.snapshot.travel);
    write("travel.csv", files::travel_csv(case, travel).as_bytes())?;
    let json = files::json(case, kept, complete).map_err(CliError::Json)?;
    write("section.json", json.as_bytes())?;
    for stage in kept {
        let name = format!("fields/{}.vtu", stage.reading.label);
        write(&name, &section_vtu(&stage.snapshot, case.units))?;
    }
    Ok(())
}

/// Writes the page of a section, with the ring as it is drawn.
pub(crate) fn write_page(
    folder: &ResultsFolder,
    case: &SectionCase,
    kept: &[SectionStageResult],
    (complete, record): (bool, &Record),
    (figures, measured): (&[Figure], &[Agreement]),
) -> Result<(), CliError> {
    let part = &case.job.part;
    let hole = Hole::round(case.job.hole.clone(), [0.0, 0.0], part.starting_diameter);
    let plate = Plate {
        outline: Outline::Disc { diameter: part.outer_diameter },
        thickness: part.thickness,
        holes: vec![hole],
    };
    let context = FigureContext { case_title: &case.title, units: case.units };
    let drawing = drawing(&plate, PlateMarks::default(), context, folder)?;
    let page = section_page(case, kept, complete, record, measured, (figures, Some(&drawing)));
    folder.write("section.html", page.as_bytes())?;
    Ok(())
}
