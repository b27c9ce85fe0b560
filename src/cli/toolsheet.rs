//! `hoopset toolsheet`: from a finished hole and a wanted expansion to tools, gauges and what they
//! leave.

use std::ops::ControlFlow;
use std::process::ExitCode;
use std::sync::atomic::Ordering;

use crate::case::sheet;
use crate::cli::args::Toolsheet;
use crate::cli::check::beside;
use crate::cli::exit::{CliError, INTERRUPTED};
use crate::cli::output::say;
use crate::cli::progress::{Shares, interrupt_flag, use_threads};
use crate::cli::warn;
use crate::plot::toolsheet_figures;
use crate::report::folder::{ResultsFolder, SUMMARY, TOOL_SHEET};
use crate::report::page::figure::Figure;
use crate::report::toolsheet as files;
use crate::study::toolsheet::{self, SheetError};

pub(crate) fn toolsheet(arguments: &Toolsheet) -> Result<ExitCode, CliError> {
    let sheet = sheet::read(&arguments.sheet)?;
    use_threads(arguments.threads)?;
    let target = arguments.out.clone().unwrap_or_else(|| beside(&arguments.sheet, "toolsheet"));
    let stop = interrupt_flag();
    // A run's results are another thing, and would be lost.
    if target.join(SUMMARY).exists() {
        return Err(CliError::Exists(target));
    }
    // Before the work, so that a folder that cannot be used is told at once.
    let folder = ResultsFolder::create(&target)?;
    let shares = Shares::new("tool sheet", vec![1.0; toolsheet::solutions(&sheet)]);
    let made = toolsheet::make(&sheet, &|solution, share| {
        shares.set(solution, share);
        if stop.load(Ordering::SeqCst) { ControlFlow::Break(()) } else { ControlFlow::Continue(()) }
    });
    shares.finish();
    let finished = match made {
        Ok(finished) => finished,
        Err(error) => {
            folder.abandon()?;
            if matches!(error, SheetError::Stopped) {
                warn("interrupted: nothing was written");
                return Ok(ExitCode::from(INTERRUPTED));
            }
            return Err(error.into());
        }
    };
    finished.warnings.iter().for_each(|warning| warn(warning));
    let figures =
        toolsheet_figures(&sheet, &finished, &files::place(&sheet), &folder.subfolder("figures")?)?;
    let captions = ["Residual hoop stress band", "Edge hoop stress", "Diameters before and after"];
    let pictures = figures
        .iter()
        .zip(captions)
        .map(|(figure, caption)| Figure::read(&figure.png, caption))
        .collect::<Result<Vec<_>, _>>()?;
    folder.write("sheet.toml", sheet.text.as_bytes())?;
    folder.write("toolsheet.csv", files::csv(&sheet, &finished).as_bytes())?;
    if let Some(chain) = files::chain_csv(&sheet, &finished) {
        folder.write("chain.csv", chain.as_bytes())?;
    }
    let page = files::page(&sheet, &finished, &pictures, &arguments.paper.record());
    folder.write("toolsheet.html", page.as_bytes())?;
    folder.write(TOOL_SHEET, files::json(&sheet, &finished).map_err(CliError::Json)?.as_bytes())?;
    let kept = folder.finish()?;
    say!("{}\nresults: {}", files::answer(&sheet, &finished), kept.display());
    Ok(ExitCode::SUCCESS)
}
