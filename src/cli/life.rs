//! `hoopset life`: what the expansion of a case is worth in cycles.
//!
//! The stages come from the results of `hoopset run`; where those are missing, old or incomplete the
//! run is made first, as that command makes it.

use std::process::ExitCode;
use std::sync::atomic::Ordering;

use crate::case;
use crate::cli::args::Life;
use crate::cli::check::beside;
use crate::cli::drawing::case_drawing;
use crate::cli::exit::{CliError, INTERRUPTED};
use crate::cli::finished::{Finished, finished};
use crate::cli::output::say;
use crate::cli::progress::{interrupt_flag, spinner};
use crate::cli::resume::{KeptStates, StoredStates};
use crate::cli::section_beside::compute;
use crate::cli::warn;
use crate::plot::life_figures;
use crate::process::snapshot::Snapshot;
use crate::report::folder::{LIFE, ResultsFolder, SUMMARY};
use crate::report::life;
use crate::report::page::figure::Figure;
use crate::study::bracket::{BoundingState, bounding_states};
use crate::study::last_state::Shelf;
use crate::study::lives::{add_loops, plan, shelved_lives};
use crate::study::plain_hole::{PlainHole, plain_hole};

pub(crate) fn life(arguments: &Life) -> Result<ExitCode, CliError> {
    let case = case::read(&arguments.case)?;
    // Everything that can be refused without a solution is, before anything is written.
    let mut plan = plan(&case).map_err(|refusal| CliError::no_lives(&arguments.case, refusal))?;
    let target = arguments.out.clone().unwrap_or_else(|| beside(&arguments.case, "life"));
    let results = beside(&arguments.case, "results");
    // Lives would take the place of the stages they are made from.
    if target == results || target.join(SUMMARY).exists() {
        return Err(CliError::Exists(target));
    }
    let stop = interrupt_flag();
    let how = (arguments.threads, arguments.fresh);
    let snapshots = match finished(&case, &arguments.case, how, &stop)? {
        Finished::Stages(snapshots) => snapshots,
        // A run that was interrupted has said so itself.
        Finished::Ended(code) => return Ok(code),
    };
    let folder = ResultsFolder::create(&target)?;
    match compute((&case, &arguments.case), (&folder, arguments.fresh), &stop) {
        Ok(sections) => {
            let all = sections.into_iter().flatten();
            plan.sections = all.map(|computed| computed.section).collect();
        }
        Err(error) => {
            folder.abandon()?;
            return Err(error);
        }
    }
    let spinner = spinner("lives of cracks");
    // Beside the stages a run has left the states under the bounding laws too, and the plain hole; with `--fresh` it was
    // made just now.
    let of_run = StoredStates { results: &results, case: &case };
    let (bounds, missing) = bounds(&case, &stop, &of_run);
    let own = KeptStates { folder: &folder, case: &case, fresh: arguments.fresh };
    let made = shelved_lives(&case, plan, (&snapshots, &bounds), &stop, &own).map(|mut report| {
        report.warnings.extend(missing);
        if let Some(last) = snapshots.last().filter(|last| !last.services.is_empty()) {
            let plain =
                if case.plain_hole { plain_hole(&case, &stop, &of_run) } else { PlainHole::None };
            add_loops(&mut report, &case, last, plain.solved());
            report.warnings.extend(plain.trouble().map(str::to_owned));
        }
        report
    });
    spinner.finish_and_clear();
    if stop.load(Ordering::SeqCst) {
        // The states that the load left stay in it for the next run.
        drop(folder);
        warn(
            "interrupted: no lives were written; the stages are kept and the same command goes on",
        );
        return Ok(ExitCode::from(INTERRUPTED));
    }
    let report = match made {
        Ok(report) => report,
        Err(error) => {
            folder.abandon()?;
            return Err(CliError::no_lives(&arguments.case, error));
        }
    };
    report.warnings.iter().for_each(|warning| warn(warning));
    let (drawn, troubles) = life_figures(&report, &folder.subfolder("figures")?);
    for trouble in &troubles {
        warn(trouble);
    }
    let pictures = drawn
        .into_iter()
        .map(|(figure, caption)| Figure::read(&figure.png, caption))
        .collect::<Result<Vec<_>, _>>()?;
    folder.write("case.toml", case.text.as_bytes())?;
    folder.write("life.csv", life::csv(&report).as_bytes())?;
    if let Some(sizes) = life::corner_csv(&report) {
        folder.write("corner.csv", sizes.as_bytes())?;
    }
    let drawing = case_drawing(&case, &folder)?;
    let page = life::page(&report, &arguments.paper.record(), &pictures, Some(&drawing));
    folder.write("life.html", page.as_bytes())?;
    let json = life::json(&report).map_err(crate::report::write::WriteError::from)?;
    folder.write(LIFE, json.as_bytes())?;
    let kept = folder.finish()?;
    say!("{}\nresults: {}", life::answer(&report), kept.display());
    Ok(ExitCode::SUCCESS)
}

/// The residual states under the bounding hardening laws, when the case wants them, and why any is
/// missing; none when `stop` was raised.
fn bounds(
    case: &case::Case,
    stop: &std::sync::atomic::AtomicBool,
    shelf: &dyn Shelf,
) -> (Vec<BoundingState>, Vec<String>) {
    if !case.bracket {
        return (Vec::new(), Vec::new());
    }
    let residual = |snapshot: &Snapshot| snapshot.finished && !snapshot.loaded;
    let bounds = bounding_states(case, stop, residual, shelf).unwrap_or_default();
    (bounds.states, bounds.missing)
}
