//! `hoopset infer`: what measured residual stresses say of the metal and the work of a case.

use std::process::ExitCode;
use std::sync::atomic::Ordering;

use crate::case::section::read_measurements;
use crate::cli::args::Infer;
use crate::cli::check::beside;
use crate::cli::exit::{CliError, INTERRUPTED};
use crate::cli::output::{print, say};
use crate::cli::progress::{interrupt_flag, spinner, use_threads};
use crate::cli::warn;
use crate::plot::{FigureContext, infer_figures};
use crate::report::folder::{INFER, ResultsFolder, SUMMARY};
use crate::report::infer as words;
use crate::report::page::figure::Figure;
use crate::report::table::aligned;
use crate::study::infer::{InferError, infer as study};

pub(crate) fn infer(arguments: &Infer) -> Result<ExitCode, CliError> {
    let case = read_measurements(&arguments.case)?;
    use_threads(arguments.threads)?;
    let target = arguments.out.clone().unwrap_or_else(|| beside(&arguments.case, "infer"));
    let stop = interrupt_flag();
    if target.join(SUMMARY).exists() {
        return Err(CliError::Exists(target));
    }
    let folder = ResultsFolder::create(&target)?;
    let spinner = spinner("solutions");
    let found = study(&case, &stop, &|done| spinner.set_message(format!("{done} solutions")));
    spinner.finish_and_clear();
    let found = match found {
        Ok(found) => found,
        Err(error) => {
            folder.abandon()?;
            if error == InferError::Stopped || stop.load(Ordering::SeqCst) {
                warn("interrupted: nothing was written");
                return Ok(ExitCode::from(INTERRUPTED));
            }
            return Err(CliError::Infer(error));
        }
    };
    for sentence in &words::sentences(&case, &found) {
        warn(sentence);
    }
    let context = FigureContext { case_title: &case.title, units: case.units };
    let figures = infer_figures(&found, context, &folder.subfolder("figures")?)?
        .into_iter()
        .map(|(figure, caption)| Figure::read(&figure.png, caption))
        .collect::<Result<Vec<_>, _>>()?;
    folder.write("case.toml", case.text.as_bytes())?;
    folder.write("band.csv", words::band(&found, case.units).as_bytes())?;
    let compared = crate::report::measured::csv(&found.agreements, case.units);
    folder.write("measured.csv", compared.as_bytes())?;
    if !found.gauges.is_empty() {
        folder.write("gauges.csv", crate::report::gauge::csv(&found.gauges).as_bytes())?;
    }
    if !found.singles.is_empty() {
        folder.write("readings.csv", words::readings(&found, case.units).as_bytes())?;
    }
    let page = words::page(&case, &found, &figures, &arguments.paper.record());
    folder.write("infer.html", page.as_bytes())?;
    folder.write(INFER, words::json(&case, &found).map_err(CliError::Json)?.as_bytes())?;
    let kept = folder.finish_as(true)?;
    print(format_args!("{}\n", aligned(&words::rows(&found, case.units))));
    print(format_args!("{}", aligned(&words::numbers(&found, case.units))));
    say!("results: {}", kept.display());
    Ok(ExitCode::SUCCESS)
}
