//! `hoopset shop`: what measured sizes say of every hole of a lot.

use std::path::PathBuf;
use std::process::ExitCode;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

use crate::case::shop::{self, Shop};
use crate::cli::args;
use crate::cli::check::beside;
use crate::cli::exit::{CliError, INTERRUPTED};
use crate::cli::output::say;
use crate::cli::progress::{Cases, interrupt_flag, spinner, use_threads};
use crate::cli::study::{earlier, fingerprint};
use crate::cli::warn;
use crate::plot::shop_figures;
use crate::report::folder::{ResultsFolder, SHOP, SUMMARY};
use crate::report::page::figure::Figure;
use crate::report::shop as files;
use crate::report::study::journal::{Journal, JournalError};
use crate::study::shop::domain::{domain, widest};
use crate::study::shop::nodes::{Nodes, values};
use crate::study::shop::{ShopError, Surrogate, judge_lot};
use crate::study::sweep::crew::{CrewEnd, work};
use crate::study::sweep::solve::Task;
use crate::study::sweep::{Points, WorkList};

pub(crate) fn shop(arguments: &args::Shop) -> Result<ExitCode, CliError> {
    let shop = shop::read(&arguments.file)?;
    use_threads(arguments.threads)?;
    let target = arguments.out.clone().unwrap_or_else(|| beside(&arguments.file, "shop"));
    let stop = interrupt_flag();
    // A run's results are another thing, and would be lost.
    if target.join(SUMMARY).exists() {
        return Err(CliError::Exists(target));
    }
    let folder = ResultsFolder::create(&target)?;
    let surrogate = match solve(&shop, &folder, arguments, &stop) {
        Ok(surrogate) => surrogate,
        Err(Ended::Interrupted(kept)) => {
            let Some([count, of]) = kept else {
                folder.abandon()?;
                warn("interrupted: nothing was written");
                return Ok(ExitCode::from(INTERRUPTED));
            };
            let kept = folder.finish_as(false)?;
            warn(&format!(
                "interrupted: {count} of {of} solutions are kept in `{}`; the same command goes on from there",
                kept.display()
            ));
            return Ok(ExitCode::from(INTERRUPTED));
        }
        Err(Ended::Failed(error)) => {
            folder.abandon()?;
            return Err(*error);
        }
    };
    let kept = write(&shop, &surrogate, folder, arguments)?;
    say!("results: {}", kept.display());
    Ok(ExitCode::SUCCESS)
}

/// Why there is no surrogate.
enum Ended {
    /// Stopped from outside; solutions that are kept, of how many.
    Interrupted(Option<[usize; 2]>),
    Failed(Box<CliError>),
}

impl<E: Into<CliError>> From<E> for Ended {
    fn from(error: E) -> Self {
        Self::Failed(Box::new(error.into()))
    }
}

/// Solves the nodes that the folder does not hold yet, and makes the surrogate.
fn solve(
    shop: &Shop,
    folder: &ResultsFolder,
    arguments: &args::Shop,
    stop: &Arc<AtomicBool>,
) -> Result<Surrogate, Ended> {
    let first = spinner("the largest expansion");
    let widest = widest(shop, stop);
    first.finish_and_clear();
    let widest = match widest {
        Err(ShopError::Stopped) => return Err(Ended::Interrupted(None)),
        widest => widest?,
    };
    let nodes = Nodes::new(shop, domain(shop, widest)?);
    let study = nodes.study(shop)?;
    let points = Points::new(&study);
    let earlier: Vec<PathBuf> = if arguments.fresh { vec![] } else { earlier(folder) };
    let mut journal = match Journal::begin(folder, &fingerprint(&study), points.len(), &earlier) {
        // Nodes of other limits or of another case: nothing of them can be used.
        Err(JournalError::OfAnotherStudy { .. }) => {
            Journal::begin(folder, &fingerprint(&study), points.len(), &[])?
        }
        journal => journal?,
    };
    let list = Arc::new(WorkList::new(&study, &points));
    let numbers = study.numbers.clone();
    let stop = Arc::clone(stop);
    let task = Arc::new(Task::new(study, points, numbers, stop));
    let cores = || std::thread::available_parallelism().map_or(1, std::num::NonZero::get);
    let jobs = arguments.threads.most.map_or_else(cores, usize::from);
    let finished = journal.finished();
    let bar = Cases::new(task.points.len(), journal.found());
    let mut now = 0;
    let ended = work(
        &task,
        &list,
        [jobs, 1],
        move |case| !finished[case],
        |outcome| {
            if let Some(outcome) = outcome {
                journal.add(&outcome)?;
                now += 1;
                bar.one_more();
            }
            Ok::<(), JournalError>(())
        },
    );
    bar.finish();
    if ended? == CrewEnd::Stopped || task.stop.load(Ordering::SeqCst) {
        return Err(Ended::Interrupted(Some([journal.found() + now, task.points.len()])));
    }
    let mut all = Vec::with_capacity(task.points.len());
    for case in 0..task.points.len() {
        let outcome = journal.outcome(case)?.ok_or(ShopError::Stopped)?;
        all.push(values(shop, &nodes, &outcome)?);
    }
    let lost = || ShopError::Unsolved {
        what: "the surrogate".to_owned(),
        why: "a solution has no retained expansion".to_owned(),
    };
    Ok(Surrogate::new(&nodes, &all).ok_or_else(lost)?)
}

/// Judges the lot and writes the results.
fn write(
    shop: &Shop,
    surrogate: &Surrogate,
    folder: ResultsFolder,
    arguments: &args::Shop,
) -> Result<PathBuf, CliError> {
    let lot = judge_lot(shop, surrogate);
    let figures = shop_figures(shop, &lot, &folder.subfolder("figures")?)?
        .into_iter()
        .map(|(figure, caption)| Figure::read(&figure.png, caption))
        .collect::<Result<Vec<_>, _>>()?;
    let record = arguments.paper.record();
    folder.write("shop.toml", shop.text.as_bytes())?;
    folder.write("case.toml", shop.base.text.as_bytes())?;
    folder.write("holes.csv", files::csv(shop, &lot).as_bytes())?;
    let page = files::page(shop, surrogate, &lot, &figures, &record);
    folder.write("shop.html", page.as_bytes())?;
    let sheet = files::inspector(shop, surrogate, &lot, &record);
    folder.write("inspector.html", sheet.as_bytes())?;
    let json = files::json(shop, surrogate, &lot).map_err(CliError::Json)?;
    folder.write(SHOP, json.as_bytes())?;
    let kept = folder.finish_as(true)?;
    say!("{}", files::answer(shop, surrogate, &lot));
    Ok(kept)
}
