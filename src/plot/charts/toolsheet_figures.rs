//! The figures of a tool sheet.

use std::path::Path;

use crate::case::sheet::Sheet;
use crate::plot::charts::spread::{Counted, Histogram, histogram, profile_band};
use crate::plot::figure::{Figure, FigureContext, FigureError};
use crate::study::toolsheet::{Corner, Finished, Output};

/// How far profiles are drawn, finished diameters.
const REACH: f64 = 1.5;

/// The three figures of the sheet, in the order of the page. `place` says in words where stresses are
/// read.
///
/// # Errors
///
/// [`FigureError`] of any kind.
pub fn toolsheet_figures(
    sheet: &Sheet,
    finished: &Finished,
    place: &str,
    folder: &Path,
) -> Result<Vec<Figure>, FigureError> {
    let context = FigureContext { case_title: &sheet.title, units: sheet.units };
    let profiles: Vec<_> = finished
        .corners
        .iter()
        .map(|corner| {
            let expansion = 100.0 * corner.sizes.expansion();
            (format!("{}, {expansion:.2} %", corner.name), corner.found.hoop.clone())
        })
        .collect();
    let end = |corner: &Corner| corner.found.hoop.distances().last().copied();
    let shortest = finished.corners.iter().filter_map(end).fold(f64::INFINITY, f64::min);
    let reach = shortest.min(REACH * sheet.finished[1]);
    let path = format!("reamed, {place}");
    let mut drawn = vec![profile_band("residual-band", &path, &profiles, reach, context, folder)?];
    let stress = |value: &f64| context.stress(*value);
    if let (Some(sorted), Some(three)) =
        (finished.sorted(Output::EdgeHoop), finished.percentiles(Output::EdgeHoop))
    {
        let values: Vec<f64> = sorted.iter().map(stress).collect();
        let lines: Vec<(String, f64)> = ["5 %", "50 %", "95 %"]
            .iter()
            .zip(three)
            .map(|(name, value)| ((*name).to_owned(), stress(&value)))
            .collect();
        drawn.push(histogram(
            &Histogram {
                name: "edge-hoop",
                title: "Edge hoop stress over the draws",
                stage: &path,
                axis: &format!("Hoop stress at the edge ({})", sheet.units.stress_name()),
                counted: &[Counted { label: "draws", values: &values }],
                lines: &lines,
            },
            context,
            folder,
        )?);
    }
    if let Some(expanded) = finished.sorted(Output::ExpandedDiameter) {
        let length = |value: &f64| context.length(*value);
        let expanded: Vec<f64> = expanded.iter().map(length).collect();
        let start: Vec<f64> = finished.sizes.iter().map(|sizes| length(&sizes.start)).collect();
        let mut lines = vec![("no-go plug".to_owned(), length(&finished.limits.start[1]))];
        if let Some(plug) = finished.expanded_plug {
            lines.push(("expanded-hole plug".to_owned(), length(&plug)));
        }
        drawn.push(histogram(
            &Histogram {
                name: "diameters",
                title: "What a gauge finds",
                stage: "before and after expansion",
                axis: &format!("Mean diameter ({})", sheet.units.length_name()),
                counted: &[
                    Counted { label: "starting hole", values: &start },
                    Counted { label: "expanded", values: &expanded },
                ],
                lines: &lines,
            },
            context,
            folder,
        )?);
    }
    Ok(drawn)
}
