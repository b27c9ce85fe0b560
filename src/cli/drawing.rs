//! The plate with its dimensions, for the first page of a report.

use crate::case::Case;
use crate::cli::exit::CliError;
use crate::geometry::plate::{Outline, Plate};
use crate::plot::{FigureContext, plate_drawing};
use crate::process::stage::Stage;
use crate::report::folder::ResultsFolder;
use crate::report::page::figure::Figure;

/// The plate of `case`, drawn into `figures/` of its results.
pub(crate) fn case_drawing(case: &Case, folder: &ResultsFolder) -> Result<Figure, CliError> {
    let job = &case.job;
    let mut finished = vec![None; job.plate.holes.len()];
    for stage in &job.stages {
        if let Stage::Ream { hole, diameter, .. } = stage {
            finished[*hole] = Some(*diameter);
        }
    }
    let held: Vec<&str> = job.supports.iter().map(|support| support.edge.as_str()).collect();
    let context = FigureContext { case_title: &case.title, units: case.units };
    drawing(&job.plate, &finished, &held, context, folder)
}

/// Any plate, drawn into `figures/`.
pub(crate) fn drawing(
    plate: &Plate,
    finished: &[Option<f64>],
    held: &[&str],
    context: FigureContext,
    folder: &ResultsFolder,
) -> Result<Figure, CliError> {
    let figures = folder.subfolder("figures")?;
    let figure = plate_drawing(plate, finished, held, context, &figures)?;
    let datum = match plate.outline {
        Outline::Disc { .. } => "the centre",
        _ => "the lower left corner",
    };
    let hatched = if held.is_empty() { "" } else { "; hatched edges are held" };
    let caption = format!("The plate before any work, places from {datum}{hatched}");
    Ok(Figure::read(&figure.png, caption)?)
}
