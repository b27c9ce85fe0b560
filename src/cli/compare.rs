//! `hoopset compare`: two results side by side.

use std::path::{Path, PathBuf};
use std::process::ExitCode;

use crate::cli::args::Compare;
use crate::cli::exit::CliError;
use crate::cli::output::say;
use crate::cli::warn;
use crate::plot::{Curve, CurveChart, FigureContext, Look, curve_chart};
use crate::report::comparison::{Pair, csv, page, pairs, rows};
use crate::report::folder::ResultsFolder;
use crate::report::laid_over::{self, points};
use crate::report::page::figure::Figure;
use crate::report::stored::{Stored, read};
use crate::report::table::aligned;
use crate::units::quantity::Quantity;

/// Depths of compression that a chart shows.
const REACH: f64 = 6.0;

pub(crate) fn compare(arguments: &Compare) -> Result<ExitCode, CliError> {
    let both = [read(&arguments.first)?, read(&arguments.second)?];
    for stored in both.iter().filter(|stored| !stored.complete) {
        warn(&format!("the results in `{}` are incomplete", stored.folder.display()));
    }
    let found = pairs(&both[0], &both[1]);
    if found.is_empty() {
        return Err(CliError::NothingShared);
    }
    let target = arguments.out.clone().unwrap_or_else(|| PathBuf::from("comparison"));
    let folder = ResultsFolder::create(&target)?;
    let figures = draw(&both, &found, &folder.subfolder("figures")?)?;
    let units = both[0].units;
    folder.write("comparison.csv", csv(&found, units).as_bytes())?;
    let text = page([&both[0], &both[1]], &found, &figures, &arguments.paper.record());
    folder.write("report.html", text.as_bytes())?;
    let kept = folder.finish_as(true)?;
    say!("A: {}\nB: {}\n", both[0].title, both[1].title);
    crate::cli::output::print(format_args!("{}", aligned(&rows(&found, units))));
    let measured = laid_over::rows([&both[0], &both[1]], units);
    if measured.len() > 1 {
        crate::cli::output::print(format_args!("\n{}", aligned(&measured)));
    }
    say!("results: {}", kept.display());
    Ok(ExitCode::SUCCESS)
}

/// A chart for every hole: both profiles along its paths in the last state that is compared.
fn draw(both: &[Stored; 2], found: &[Pair<'_>], folder: &Path) -> Result<Vec<Figure>, CliError> {
    let units = both[0].units;
    let last = found.last().map(|pair| pair.stages);
    let of_last: Vec<&Pair<'_>> = found.iter().filter(|pair| Some(pair.stages) == last).collect();
    let mut holes: Vec<&str> = of_last.iter().map(|pair| pair.paths[0].hole.as_str()).collect();
    holes.dedup();
    let context = FigureContext { case_title: &both[0].title, units };
    let (x, y) = (
        format!("Distance from the edge ({})", units.length_name()),
        format!("Hoop stress ({})", units.stress_name()),
    );
    let mut figures = Vec::new();
    for hole in holes {
        // Paths that mirror each other have the same profiles and share their lines.
        let mut own: Vec<&Pair<'_>> = Vec::new();
        for pair in of_last.iter().filter(|pair| pair.paths[0].hole == hole) {
            let twin = |o: &&Pair<'_>| (0..2).all(|k| o.paths[k].hoop == pair.paths[k].hoop);
            if !own.iter().any(twin) {
                own.push(pair);
            }
        }
        let reach = reach(&own);
        let mut curves = Vec::new();
        for (colour, pair) in own.iter().enumerate() {
            for (which, path) in ["A", "B"].iter().zip(pair.paths) {
                let points = path.hoop.distances().iter().zip(path.hoop.values());
                let shown = points.filter(|(distance, _)| **distance <= reach);
                let at = |(d, s): (&f64, &f64)| {
                    [Quantity::Length.at_border(*d, units), Quantity::Stress.at_border(*s, units)]
                };
                let look = if *which == "A" { Look::Bare(colour) } else { Look::Dashed(colour) };
                let label = format!("{which}, {}°", path.angle_deg);
                curves.push(Curve { label, points: shown.map(at).collect(), look });
            }
        }
        for (label, own) in points([&both[0], &both[1]], hole) {
            let shown = own.iter().filter(|point| point[0] <= reach);
            let at = |[distance, stress]: &[f64; 2]| {
                [
                    Quantity::Length.at_border(*distance, units),
                    Quantity::Stress.at_border(*stress, units),
                ]
            };
            let look = Look::Open(curves.len());
            curves.push(Curve { label: label.to_owned(), points: shown.map(at).collect(), look });
        }
        let [one, other] = last.unwrap_or_default();
        let figure = curve_chart(
            &CurveChart::new(
                [
                    &format!("comparison-{hole}"),
                    &format!("Hoop stress along paths from hole {hole} in both results"),
                    &if one == other { one.to_owned() } else { format!("{one} and {other}") },
                ],
                [&x, &y],
                &curves,
            ),
            context,
            folder,
        )?;
        let caption = format!(
            "Hoop stress along paths from hole {hole}: full lines result A, dashed lines result B"
        );
        figures.push(Figure::read(&figure.png, caption)?);
    }
    Ok(figures)
}

/// Where the lines of a chart end, mm: [`REACH`] times the deepest compression, or the whole paths.
fn reach(pairs: &[&Pair<'_>]) -> f64 {
    let depths = pairs.iter().flat_map(|pair| pair.depths()).flatten();
    let deepest = depths.fold(0.0, f64::max);
    if deepest > 0.0 { REACH * deepest } else { f64::INFINITY }
}
