//! `hoopset study` of a file with `[search]`: answers in place of a table.

use std::process::ExitCode;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Mutex, PoisonError};

use crate::case::study::{Search, Study};
use crate::cli::exit::{CliError, FAILED, INTERRUPTED};
use crate::cli::output::say;
use crate::cli::progress::Cases;
use crate::cli::warn;
use crate::plot::{Curve, FigureContext, Interval, Look, Multiples, Panel, multiples};
use crate::report::folder::{ResultsFolder, STUDY};
use crate::report::json::pretty;
use crate::report::search::{answers_csv, answers_json, answers_text, trials_csv};
use crate::study::search::{Answer, Found, answer, combinations};
use crate::study::sweep::solve::{Solver, Task};

/// Searches all combinations on `jobs` threads and writes what was found.
pub(crate) fn search(
    task: &Task,
    search: &Search,
    folder: ResultsFolder,
    [jobs, threads]: [usize; 2],
) -> Result<ExitCode, CliError> {
    let count = combinations(task, search);
    let bar = Cases::new(count, 0);
    let next = AtomicUsize::new(0);
    let found: Mutex<Vec<Answer>> = Mutex::new(Vec::new());
    let worker = || {
        loop {
            let row = next.fetch_add(1, Ordering::Relaxed);
            if row >= count {
                return;
            }
            let Some(answer) = answer(task, search, &mut Solver::new(task), row) else { return };
            found.lock().unwrap_or_else(PoisonError::into_inner).push(answer);
            bar.one_more();
        }
    };
    std::thread::scope(|scope| {
        for _ in 0..jobs.min(count).max(1) {
            scope.spawn(|| match rayon::ThreadPoolBuilder::new().num_threads(threads).build() {
                Ok(pool) => pool.install(worker),
                // Without a pool of its own it borrows the one of the program.
                Err(_) => worker(),
            });
        }
    });
    bar.finish();
    if task.stop.load(Ordering::Relaxed) {
        folder.abandon()?;
        warn("interrupted: nothing was written");
        return Ok(ExitCode::from(INTERRUPTED));
    }
    let mut answers = found.into_inner().unwrap_or_else(PoisonError::into_inner);
    answers.sort_by_key(|answer| answer.row);
    let study = &task.study;
    folder.write("study.toml", study.text.as_bytes())?;
    folder.write("case.toml", study.base.text.as_bytes())?;
    folder.write("search.csv", answers_csv(study, search, &answers).as_bytes())?;
    folder.write("search-cases.csv", trials_csv(task, search, &answers).as_bytes())?;
    border(study, search, &answers, &folder)?;
    let json = pretty(&answers_json(study, search, &answers)).map_err(CliError::Json)?;
    folder.write(STUDY, json.as_bytes())?;
    let kept = folder.finish_as(true)?;
    say!("{}\n{}results: {}", study.title, answers_text(study, search, &answers), kept.display());
    let any = answers.iter().any(|one| matches!(one.found, Found::Bracketed | Found::AtTheEnd));
    Ok(if any { ExitCode::SUCCESS } else { ExitCode::from(FAILED) })
}

/// The border over the first numeric axis that is not searched, a curve for every value of the others.
fn border(
    study: &Study,
    search: &Search,
    answers: &[Answer],
    folder: &ResultsFolder,
) -> Result<(), CliError> {
    let along = (0..study.axes.len()).find(|k| {
        *k != search.of && study.axes[*k].is_numeric() && study.axes[*k].levels.len() > 1
    });
    let Some(along) = along else { return Ok(()) };
    let words = |answer: &Answer| {
        let rest = (0..study.axes.len()).filter(|k| *k != search.of && *k != along);
        let texts: Vec<String> = rest.map(|k| answer.levels[k].text()).collect();
        texts.join(", ")
    };
    let mut curves: Vec<Curve> = Vec::new();
    let mut intervals: Vec<Interval> = Vec::new();
    for answer in answers {
        let (Some(x), Some(y)) = (answer.levels[along].number(), answer.holds_at) else { continue };
        let label = words(answer);
        let known = curves.iter().position(|curve| curve.label == label);
        let place = known.unwrap_or_else(|| {
            let look = Look::Joined(curves.len());
            curves.push(Curve { label, points: Vec::new(), look });
            curves.len() - 1
        });
        curves[place].points.push([x, y]);
        if let Some(ends) = answer.with_error.filter(|_| search.error > 0.0) {
            intervals.push(Interval { colour: place, x, ends });
        }
    }
    if curves.is_empty() {
        return Ok(());
    }
    let of = study.axes[search.of].title();
    let chart = Multiples {
        name: "border",
        title: &study.title,
        stage: "",
        x: &study.axes[along].title(),
        names: &[],
        y: &of,
        logarithmic: false,
        panels: &[Panel { curves, intervals, ..Panel::default() }],
    };
    let (find, such_that) = (search.find.name(), search.such_that.text());
    let question = format!("{find} such that {such_that}");
    let context = FigureContext { case_title: &question, units: study.base.units };
    multiples(&chart, context, &folder.subfolder("figures")?)?;
    Ok(())
}
