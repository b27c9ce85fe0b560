//! The plate with its dimensions, for the first page of a report.

use crate::case::Case;
use crate::cli::exit::CliError;
use crate::geometry::outline::Loop;
use crate::geometry::plate::{Outline, Plate};
use crate::plot::{FigureContext, PlateMarks, plate_drawing};
use crate::process::stage::Stage;
use crate::report::folder::ResultsFolder;
use crate::report::page::figure::Figure;

/// The plate of `case`, drawn into `figures/` of its results.
pub(crate) fn case_drawing(case: &Case, folder: &ResultsFolder) -> Result<Figure, CliError> {
    let job = &case.job;
    let mut finished = vec![None; job.plate.holes.len()];
    // What is cut after a bush has been put in is the bush.
    let mut bushed = vec![false; finished.len()];
    for stage in &job.stages {
        match stage {
            Stage::Ream { hole, diameter, .. } if !bushed[*hole] => {
                finished[*hole] = Some(*diameter);
            }
            Stage::Bush(bush) => bushed[bush.hole] = true,
            _ => {}
        }
    }
    let held: Vec<&str> = job.supports.iter().map(|support| support.edge.as_str()).collect();
    let context = FigureContext { case_title: &case.title, units: case.units };
    let regions: Vec<&Loop> = job.regions.iter().map(|region| &region.outline).collect();
    let marks = PlateMarks { finished: &finished, held: &held, regions: &regions };
    drawing(&job.plate, marks, context, folder)
}

/// Any plate, drawn into `figures/`.
pub(crate) fn drawing(
    plate: &Plate,
    marks: PlateMarks,
    context: FigureContext,
    folder: &ResultsFolder,
) -> Result<Figure, CliError> {
    let figures = folder.subfolder("figures")?;
    let figure = plate_drawing(plate, marks, context, &figures)?;
    let datum = match plate.outline {
        Outline::Disc { .. } => "the centre",
        _ => "the lower left corner",
    };
    let mut caption = format!("The plate before any work, places from {datum}");
    if !marks.held.is_empty() {
        caption += "; hatched edges are held";
    }
    if !marks.regions.is_empty() {
        caption += "; dashed lines are round regions of another thickness or metal";
    }
    Ok(Figure::read(&figure.png, caption)?)
}
