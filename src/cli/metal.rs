//! `hoopset metal`: the constants of a metal from tests of a bar.

use std::process::ExitCode;
use std::sync::atomic::Ordering;

use crate::case::metal_tests::{self, MetalTests};
use crate::cli::args::Metal;
use crate::cli::check::beside;
use crate::cli::exit::{CliError, INTERRUPTED};
use crate::cli::output::say;
use crate::cli::progress::{interrupt_flag, use_threads};
use crate::cli::warn;
use crate::fit::groups::{Answer, answer};
use crate::fit::metal::FitError;
use crate::material::hardening::Material;
use crate::plot::{FigureContext, metal_figures};
use crate::report::folder::{METAL, ResultsFolder, SUMMARY};
use crate::report::material::for_case;
use crate::report::metal as words;
use crate::report::page::figure::Figure;
use crate::report::table::aligned;

pub(crate) fn metal(arguments: &Metal) -> Result<ExitCode, CliError> {
    let tests = metal_tests::read(&arguments.tests)?;
    use_threads(arguments.threads)?;
    let target = arguments.out.clone().unwrap_or_else(|| beside(&arguments.tests, "metal"));
    let stop = interrupt_flag();
    // A run's results are another thing, and would be lost.
    if target.join(SUMMARY).exists() {
        return Err(CliError::Exists(target));
    }
    let folder = ResultsFolder::create(&target)?;
    let found = match answer(&tests.records, &tests.plan, &|| stop.load(Ordering::SeqCst)) {
        Ok(found) => found,
        Err(error) => {
            folder.abandon()?;
            if error == FitError::Stopped {
                warn("interrupted: nothing was written");
                return Ok(ExitCode::from(INTERRUPTED));
            }
            return Err(CliError::Fit(error));
        }
    };
    let said = words::sentences(&tests, &found);
    for sentence in &said {
        warn(sentence);
    }
    let materials = materials(&tests, &found);
    let context = FigureContext { case_title: &tests.title, units: tests.units };
    let drawn = metal_figures(&tests.records, &found.all, context, &folder.subfolder("figures")?)?;
    let captions = ["Tests, and the metal that was found", "Measured less computed"];
    let figures = drawn
        .iter()
        .zip(captions)
        .map(|(figure, caption)| Figure::read(&figure.png, caption))
        .collect::<Result<Vec<_>, _>>()?;
    folder.write("tests.toml", tests.text.as_bytes())?;
    for (name, text) in &materials {
        folder.write(name, text.as_bytes())?;
    }
    let units = tests.units;
    folder.write("constants.csv", words::constants(&found.all, units).as_bytes())?;
    folder.write("correlation.csv", words::correlation(&found.all).as_bytes())?;
    folder.write("deviations.csv", words::deviations(&tests, &found.all).as_bytes())?;
    let page = words::page(&tests, &found, &materials, &figures, &arguments.paper.record());
    folder.write("metal.html", page.as_bytes())?;
    folder.write(METAL, words::json(&tests, &found).map_err(CliError::Json)?.as_bytes())?;
    let kept = folder.finish_as(true)?;
    crate::cli::output::print(format_args!("{}", aligned(&words::rows(&found.all, units))));
    say!("results: {}", kept.display());
    Ok(ExitCode::SUCCESS)
}

/// Names and texts of the `[material]` tables that the answer gives.
fn materials(tests: &MetalTests, found: &Answer) -> Vec<(String, String)> {
    let text = |metal: &Material| for_case(metal, tests.units);
    let mut all = match &found.kinematic_bound {
        None => vec![("material.toml".to_owned(), text(&found.all.metal))],
        Some((kinematic, _)) => vec![
            ("material-isotropic.toml".to_owned(), text(&found.all.metal)),
            ("material-kinematic.toml".to_owned(), text(kinematic)),
        ],
    };
    if let Some(apart) = found.apart.as_ref().filter(|apart| apart.is_needed()) {
        for (name, fitted) in ["small", "large"].iter().zip(&apart.fitted) {
            all.push((format!("material-{name}.toml"), text(&fitted.metal)));
        }
    }
    all
}
