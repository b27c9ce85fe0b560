//! `hoopset study`: many cases of one base, solved side by side, as one table with charts and a page.

use std::path::{Path, PathBuf};
use std::process::ExitCode;
use std::sync::Arc;
use std::time::Instant;

use sha2::{Digest, Sha256};

use crate::case;
use crate::case::study::{self, Study};
use crate::cli::args;
use crate::cli::check::beside;
use crate::cli::drawing::case_drawing;
use crate::cli::exit::{CliError, FAILED, INTERRUPTED};
use crate::cli::output::say;
use crate::cli::progress::{Cases, interrupt_flag};
use crate::cli::resume::program;
use crate::cli::shard::Shard;
use crate::cli::{search, slurm, warn};
use crate::plot::{Grid, Solved, Status, StudyFigure, effect_figures, study_figures};
use crate::report::folder::{ResultsFolder, STUDY, SUMMARY};
use crate::report::json::pretty;
use crate::report::page::figure::Figure;
use crate::report::record::Record;
use crate::report::study as files;
use crate::report::study::journal::{self, Journal, JournalError};
use crate::report::study::page::Page;
use crate::study::sweep::crew::{CrewEnd, work};
use crate::study::sweep::sensitivity::{Effect, effects};
use crate::study::sweep::solve::Task;
use crate::study::sweep::{PointStatus, Points, WorkList, numbers};

/// Counts of stages solved and spared, for the last line.
#[derive(Default)]
struct Tally {
    cases: usize,
    solved: usize,
    shared: usize,
}

pub(crate) fn study(arguments: &args::Study) -> Result<ExitCode, CliError> {
    let study = study::read(&arguments.file)?;
    let own = || beside(&arguments.file, "study");
    let target = match arguments.shard {
        Some(shard) => slurm::shard_folder(&arguments.file, shard),
        None => arguments.out.clone().unwrap_or_else(own),
    };
    let stop = interrupt_flag();
    // A run's results are another thing, and would be lost.
    if target.join(SUMMARY).exists() {
        return Err(CliError::Exists(target));
    }
    let points = Points::new(&study);
    let wanted = numbers(&study);
    let fingerprint = fingerprint(&study);
    let shards = slurm::journals(&arguments.file);
    if let Some(count) = arguments.slurm {
        let paths = [journals_at(&target), shards].concat();
        let finished = journal::finished_in(&paths, &fingerprint, points.len())?;
        let list = WorkList::new(&study, &points);
        return slurm::submit(arguments, usize::from(count), &list, &finished);
    }
    let folder = ResultsFolder::create(&target)?;
    let cores = || std::thread::available_parallelism().map_or(1, std::num::NonZero::get);
    let jobs = arguments.jobs.map_or_else(cores, usize::from);
    let threads = arguments.threads.map_or(1, usize::from);
    if let Some(search) = study.search.clone() {
        let task = Task::new(study, points, wanted, stop);
        return search::search(&task, &search, folder, [jobs, threads]);
    }
    let earlier = match (arguments.fresh, arguments.shard) {
        (true, _) => Vec::new(),
        (false, Some(_)) => earlier(&folder),
        (false, None) => [earlier(&folder), shards].concat(),
    };
    let mut journal = match Journal::begin(&folder, &fingerprint, points.len(), &earlier) {
        Ok(journal) => journal,
        Err(error) => {
            folder.abandon()?;
            return Err(error.into());
        }
    };
    let list = Arc::new(WorkList::new(&study, &points));
    let task = Arc::new(Task::new(study, points, wanted, stop));
    let mut finished = journal.finished();
    if let Some(shard) = arguments.shard {
        leave_to_others(&mut finished, arguments, (shard, &list), &fingerprint)?;
    }
    let left = finished.iter().filter(|finished| !**finished).count();
    let started = Instant::now();
    let bar = Cases::new(journal.found() + left, journal.found());
    let mut tally = Tally::default();
    let open = move |case: usize| !finished[case];
    let ended = work(&task, &list, [jobs, threads], open, |outcome| -> Result<(), JournalError> {
        if let Some(outcome) = outcome {
            journal.add(&outcome)?;
            tally.cases += 1;
            tally.solved += outcome.solved;
            tally.shared += outcome.shared;
            bar.one_more();
        }
        Ok(())
    });
    bar.finish();
    if ended? == CrewEnd::Stopped {
        return interrupted(folder, journal.found() + tally.cases, task.points.len());
    }
    if let Some(shard) = arguments.shard {
        let kept = folder.finish_as(true)?;
        say!(
            "shard {} of {}: {} cases solved, kept in `{}`",
            shard.number,
            shard.of,
            tally.cases,
            kept.display()
        );
        return Ok(ExitCode::SUCCESS);
    }
    conclude(folder, &task, &mut journal, (&tally, started, arguments.paper.record()))
}

/// Says what is kept of a study that was interrupted.
fn interrupted(folder: ResultsFolder, count: usize, of: usize) -> Result<ExitCode, CliError> {
    let kept = folder.finish_as(false)?;
    warn(&format!(
        "interrupted: {count} of {of} cases are kept in `{}`; the same command goes on from there",
        kept.display()
    ));
    Ok(ExitCode::from(INTERRUPTED))
}

/// Marks the cases that `shard` does not solve: those of other shards, and those that one of them, perhaps
/// of another count of shards, has solved.
fn leave_to_others(
    finished: &mut [bool],
    arguments: &args::Study,
    (shard, list): (Shard, &WorkList),
    fingerprint: &str,
) -> Result<(), CliError> {
    let own = shard.cases(list, finished.len());
    let whole = journals_at(&beside(&arguments.file, "study"));
    let paths = if arguments.fresh {
        Vec::new()
    } else {
        [whole, slurm::journals(&arguments.file)].concat()
    };
    let elsewhere = journal::finished_in(&paths, fingerprint, own.len())?;
    for ((finished, own), elsewhere) in finished.iter_mut().zip(own).zip(elsewhere) {
        *finished |= !own || elsewhere;
    }
    Ok(())
}

/// Writes the results of a study whose cases are all finished, and says how it went.
fn conclude(
    folder: ResultsFolder,
    task: &Task,
    journal: &mut Journal,
    (tally, started, record): (&Tally, Instant, Record),
) -> Result<ExitCode, CliError> {
    let seconds = started.elapsed().as_secs_f64();
    let counts = write(&folder, task, journal, record)?;
    let kept = folder.finish_as(true)?;
    let [done, failed, skipped, _] = counts;
    say!("{}", task.study.title);
    say!("{} cases: {done} done, {failed} failed, {skipped} skipped", task.points.len());
    if tally.cases > 0 {
        let [reused, made] = task.store.counts();
        say!(
            "{} solved now in {seconds:.1} s, {:.1} per second; stages solved {}, shared {}; orders of elimination made {made}, shared {reused}",
            tally.cases,
            tally.cases as f64 / seconds.max(1e-9),
            tally.solved,
            tally.shared,
        );
    }
    say!("results: {}", kept.display());
    Ok(if done == 0 && failed > 0 { ExitCode::from(FAILED) } else { ExitCode::SUCCESS })
}

/// Tables and description of a study whose cases are all finished; the counts by status.
fn write(
    folder: &ResultsFolder,
    task: &Task,
    journal: &mut Journal,
    record: Record,
) -> Result<[usize; 4], CliError> {
    let Task { study, points, numbers, .. } = task;
    let mut table = files::Table { study, points, numbers, journal };
    let counts = table.counts()?;
    folder.write("study.toml", study.text.as_bytes())?;
    folder.write("case.toml", study.base.text.as_bytes())?;
    folder.stream("table.csv", |file| files::table_csv(&mut table, file))?;
    folder.stream("table.parquet", |file| files::table_parquet(&mut table, file))?;
    if study.paths {
        folder.stream("paths.csv", |file| files::paths_csv(&mut table, file))?;
        folder.stream("paths.parquet", |file| files::paths_parquet(&mut table, file))?;
    }
    let cases = solved(&mut table)?;
    let grid = Grid { study, points, numbers, cases: &cases };
    let pictures = folder.subfolder("figures")?;
    let (figures, left_out) = study_figures(&grid, &pictures)?;
    let effects: Vec<Vec<Effect>> = (0..numbers.len())
        .map(|k| {
            let values: Vec<Option<f64>> = cases.iter().map(|case| case.numbers[k]).collect();
            effects(points, &values)
        })
        .collect();
    let bars = effect_figures(&grid, &effects, &pictures)?;
    let drawing = match case::parse(&study.base.text, &study.base.file) {
        Ok(base) => Some(case_drawing(&base, folder)?),
        // A base case that only an axis makes whole has no drawing.
        Err(_) => None,
    };
    let page = Page {
        record,
        drawing: drawing.as_ref(),
        counts,
        figures: &embedded(&figures)?,
        left_out: &left_out,
        effects: &effects,
        effect_figures: &embedded(&bars)?,
    };
    folder.write("study.html", files::page::page(&mut table, &page)?.as_bytes())?;
    let description = files::description(study, numbers, points, counts);
    folder.write(STUDY, pretty(&description).map_err(CliError::Json)?.as_bytes())?;
    Ok(counts)
}

/// Data of every case for the charts.
fn solved(table: &mut files::Table<'_>) -> Result<Vec<Solved>, CliError> {
    let mut cases = Vec::with_capacity(table.points.len());
    for index in 0..table.points.len() {
        cases.push(match table.journal.outcome(index)? {
            Some(outcome) => Solved {
                status: match outcome.status {
                    PointStatus::Done => Status::Done,
                    PointStatus::Failed(_) => Status::Failed,
                    PointStatus::Skipped(_) => Status::Skipped,
                },
                numbers: outcome.numbers,
            },
            None => Solved { status: Status::Skipped, numbers: vec![None; table.numbers.len()] },
        });
    }
    Ok(cases)
}

/// Charts for the page.
fn embedded(figures: &[StudyFigure]) -> Result<Vec<Figure>, CliError> {
    let read = |one: &StudyFigure| Figure::read(&one.figure.png, one.caption.clone());
    Ok(figures.iter().map(read).collect::<Result<Vec<_>, _>>()?)
}

/// Journals that an earlier run of the study may have left.
pub(crate) fn earlier(folder: &ResultsFolder) -> Vec<PathBuf> {
    let places = [Some(folder.target().to_owned()), folder.leftover()];
    places.into_iter().flatten().map(|place| place.join(journal::FILE)).collect()
}

/// Journals at `target` and of a killed run beside it.
fn journals_at(target: &Path) -> Vec<PathBuf> {
    let beside = |ending: &str| {
        let mut name = target.as_os_str().to_owned();
        name.push(ending);
        PathBuf::from(name)
    };
    [target.to_owned(), beside(".leftover"), beside(".partial")]
        .into_iter()
        .map(|place| place.join(journal::FILE))
        .collect()
}

/// Inputs that the numbers of a study depend on: base case, axes, numbers, and the program itself. Titles and
/// charts may be changed without solving anything again.
pub(crate) fn fingerprint(study: &Study) -> String {
    let mut all = Sha256::new();
    all.update(program());
    all.update(&study.base.sha256);
    all.update(format!(
        "{:?}|{:?}|{:?}|{:?}|{:?}|{:?}|{}",
        study.axes,
        study.values,
        study.ties,
        study.skips,
        study.design,
        numbers(study),
        study.paths
    ));
    let bytes = all.finalize();
    let digits: Vec<String> = bytes.iter().map(|byte| format!("{byte:02x}")).collect();
    digits.concat()
}
