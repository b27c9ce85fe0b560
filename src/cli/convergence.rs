//! The convergence study of a run: solved, written, printed.

use std::ops::ControlFlow;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Mutex, PoisonError};

use crate::case::Case;
use crate::cli::exit::CliError;
use crate::cli::progress::Shares;
use crate::cli::resume::{store_level, stored_level};
use crate::cli::warn;
use crate::plot::{FigureContext, refinement};
use crate::process::job::Job;
use crate::report::folder::ResultsFolder;
use crate::report::page::figure::Figure;
use crate::report::run::RunReport;
use crate::report::{convergence, write};
use crate::study::refinement::{Companion, Plan, Solved, effort, refine};

/// How a study is watched over.
#[derive(Clone, Copy)]
pub(crate) struct Watchful<'a> {
    /// Raised to stop it.
    pub(crate) stop: &'a AtomicBool,
    /// Whether solutions of an earlier run are left alone.
    pub(crate) fresh: bool,
}

/// Adds the study to the results of the finished run `report` and returns its answer in words;
/// `None` when it was interrupted.
pub(crate) fn study(
    case: &Case,
    report: &RunReport,
    figures: &mut Vec<Figure>,
    folder: &ResultsFolder,
    watchful: Watchful<'_>,
) -> Result<Option<String>, CliError> {
    let own = Solved {
        elements: report.mesh.map_or(0, |mesh| mesh.quadrilaterals + mesh.triangles),
        halvings: report.history.iter().map(|record| record.halvings).sum(),
        stages: report.stages.to_vec(),
    };
    let settings = Plan::new(&case.job.numerics).settings();
    let follower = Follower {
        case,
        folder,
        watchful,
        shares: Shares::new("convergence study", settings.iter().map(effort).collect()),
        trouble: Mutex::new(None),
    };
    let refined = refine(case, &own, &follower);
    follower.shares.finish();
    let trouble = follower.trouble.into_inner().unwrap_or_else(PoisonError::into_inner);
    if let Some(trouble) = trouble {
        return Err(trouble);
    }
    let Some(refined) = refined else { return Ok(None) };
    for remark in convergence::remarks(&refined, case.units) {
        warn(&remark);
    }
    let context = FigureContext { case_title: &case.title, units: case.units };
    match refinement(&refined, context, &folder.subfolder("figures")?) {
        Ok(figure) => figures.push(Figure::read(
            &figure.png,
            "Discretisation error: the least certain number of each kind on three meshes and with \
             three numbers of increments",
        )?),
        // No reason to lose the numbers.
        Err(error) => warn(&format!("a figure is missing: {error}")),
    }
    let report = RunReport { convergence: Some(&refined), ..report.clone() };
    write::study(folder, &report, figures)?;
    Ok(Some(convergence::answer(&refined, case.units)))
}

struct Follower<'a> {
    case: &'a Case,
    folder: &'a ResultsFolder,
    watchful: Watchful<'a>,
    shares: Shares,
    trouble: Mutex<Option<CliError>>,
}

impl Companion for Follower<'_> {
    fn progress(&self, index: usize, share: f64) -> ControlFlow<()> {
        self.shares.set(index, share);
        let trouble = self.trouble.lock().unwrap_or_else(PoisonError::into_inner);
        if self.watchful.stop.load(Ordering::SeqCst) || trouble.is_some() {
            ControlFlow::Break(())
        } else {
            ControlFlow::Continue(())
        }
    }

    fn known(&self, job: &Job) -> Option<Solved> {
        if self.watchful.fresh {
            return None;
        }
        let solved = stored_level(self.folder, self.case, job)?;
        // Into the new folder too, which takes the place of the old one.
        self.keep(job, &solved);
        Some(solved)
    }

    fn keep(&self, job: &Job, solved: &Solved) {
        if let Err(error) = store_level(self.folder, self.case, job, solved) {
            let mut trouble = self.trouble.lock().unwrap_or_else(PoisonError::into_inner);
            trouble.get_or_insert(error);
        }
    }
}
