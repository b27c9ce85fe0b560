//! The section of a hole for the page: a mandrel drawn through the thickness, coarsely or as the command line does.

use std::ops::ControlFlow;
use std::time::Instant;

use crate::case::Case;
use crate::case::section::SectionCase;
use crate::live::Trouble;
use crate::live::answer::{Accuracy, Ticket};
use crate::process::job::Numerics;
use crate::process::section::observer::{SectionEnding, SectionObserver};
use crate::process::section::record::{SectionSnapshot, TravelRecord};
use crate::process::section::run::SectionRun;
use crate::process::section::{SectionPart, SectionStage};
use crate::report::section::SectionStageResult;
use crate::result::section::read_section;
use crate::solver::state::State;
use crate::solver::system::System;

/// Fineness of a coarse answer, as a share of that of the case.
pub const COARSER: f64 = 0.5;
/// The coarsest mesh that a section may ask for.
const COARSEST: f64 = 0.5;
/// Increments of a coarse answer, at least: those in which the lead taper widens the hole.
const FEWEST: usize = 4;
/// Longest hole that is drawn for a page, in radii or thicknesses of its part, whichever is less: rows of elements
/// follow from it.
const LONGEST: f64 = 40.0;
/// Work of a cut or of a tool that grows, over that of a draw.
const QUICK: f64 = 0.05;

/// A solved section, read.
#[derive(Debug)]
pub struct SectionAnswer {
    /// The section as a file of its own would describe it; its numerics are those of the answer.
    pub case: SectionCase,
    /// How exact it is.
    pub accuracy: Accuracy,
    /// Every stage.
    pub stages: Vec<SectionStageResult>,
    /// Unknown displacements.
    pub unknowns: usize,
    /// Seconds that it took.
    pub seconds: f64,
}

impl Accuracy {
    /// The numerics that a section with `numerics` is solved with.
    #[must_use]
    pub fn section_numerics(self, numerics: &Numerics) -> Numerics {
        self.coarsened(numerics, [COARSER, COARSEST], FEWEST)
    }
}

/// The section of hole `hole` of `case` (that of the first with one when empty), as it is to be solved.
///
/// # Errors
///
/// [`Trouble::Nothing`] without such a section, or for a hole too long to be drawn while one waits.
pub fn section_case(case: &Case, hole: &str, accuracy: Accuracy) -> Result<SectionCase, Trouble> {
    let beside = case.sections.iter().find(|beside| hole.is_empty() || beside.section.hole == hole);
    let beside = beside.ok_or_else(|| Trouble::Nothing(format!("hole `{hole}` has no section")))?;
    let SectionPart { thickness, starting_diameter, .. } = beside.section.part;
    if thickness > LONGEST * 0.5 * starting_diameter {
        return Err(Trouble::Nothing(format!(
            "the page draws through holes of up to {LONGEST} radii; `hoopset section` draws through longer ones"
        )));
    }
    let mut case = SectionCase::beside(case, beside);
    case.job.numerics = accuracy.section_numerics(&case.job.numerics);
    Ok(case)
}

/// Solves and reads a section.
///
/// # Errors
///
/// [`Trouble`]: a stage cannot be finished, or `ticket` was stopped.
pub fn solve(
    case: SectionCase,
    accuracy: Accuracy,
    ticket: &Ticket,
) -> Result<SectionAnswer, Trouble> {
    let began = Instant::now();
    let job = &case.job;
    let mut run = SectionRun::new(job.clone()).map_err(|error| Trouble::SetUp(Box::new(error)))?;
    let unknowns = 2 * run.system().mesh.nodes.len();
    let work = job.stages.iter().map(|stage| match stage {
        SectionStage::Draw { .. } => 1.0,
        _ => QUICK,
    });
    let mut watch = Watch { ticket, work: work.collect(), stage: 0, kept: Vec::new() };
    let outcome = run.run(&mut watch);
    let (stages, last) = (watch.kept, watch.stage.min(job.stages.len() - 1));
    match outcome {
        Ok(SectionEnding::Done) => {}
        Ok(SectionEnding::Interrupted) => return Err(Trouble::Superseded),
        Err(error) => {
            return Err(Trouble::Stage { stage: job.label(last), error: Box::new(error) });
        }
    }
    let seconds = began.elapsed().as_secs_f64();
    Ok(SectionAnswer { case, accuracy, stages, unknowns, seconds })
}

/// Keeps the stages of a run, says how far it is, and stops it when its ticket is.
struct Watch<'a> {
    ticket: &'a Ticket,
    /// Work of every stage, in draws.
    work: Vec<f64>,
    stage: usize,
    kept: Vec<SectionStageResult>,
}

impl SectionObserver for Watch<'_> {
    fn increment(&mut self, record: &TravelRecord, _: &System, _: &State) -> ControlFlow<()> {
        let done = self.work.iter().take(self.stage).sum::<f64>();
        let now = self.work.get(self.stage).map_or(0.0, |work| work * record.share);
        self.ticket.set((done + now) / self.work.iter().sum::<f64>());
        self.ticket.flow()
    }

    fn snapshot(&mut self, snapshot: SectionSnapshot) -> ControlFlow<()> {
        // A tool at full size is no end of a stage.
        self.stage += usize::from(!snapshot.loaded);
        let reading = read_section(&snapshot);
        self.kept.push(SectionStageResult { snapshot, reading });
        self.ticket.flow()
    }
}
