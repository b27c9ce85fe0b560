//! Change of the thickness along the paths of one hole: how much the rim of a sheet grows thicker
//! under the tool, and what is left of it.

use std::path::Path;

use crate::geometry::hole::Hole;
use crate::plot::charts::curves::{Curve, CurveChart, Look, curve_chart};
use crate::plot::charts::paths::drawn_stages;
use crate::plot::figure::{Figure, FigureContext, FigureError};
use crate::result::path::PathPoint;
use crate::result::stage::StageResult;

/// Hole diameters that are shown.
const REACH: f64 = 1.5;

/// Change of the thickness along every path of `hole` after the stages of [`drawn_stages`], in percent of the drawn
/// thickness and positive where the plate has grown thicker, into `thickness-HOLE.svg`, `.png` and
/// `.csv`. Colours tell the stage; the paths of one stage have one colour, dashed while tool or load act.
///
/// # Errors
/// [`FigureError::Nothing`] when no stage has a path of `hole`; [`FigureError::NotFinite`];
/// [`FigureError::Write`].
pub fn thickness_paths(
    stages: &[StageResult],
    hole: &Hole,
    context: FigureContext,
    folder: &Path,
) -> Result<Figure, FigureError> {
    let name = format!("thickness-{}", hole.name);
    let reach = REACH * hole.starting_diameter;
    let mut drawn = Vec::new();
    let chosen = drawn_stages(stages, hole);
    let shown = stages.iter().filter(|stage| chosen.contains(&stage.label));
    for (number, stage) in shown.enumerate() {
        let paths = stage.paths.iter().filter(|path| path.hole == hole.name);
        for path in paths {
            let near = path.points.iter().filter(|point| point.distance <= reach);
            let point = |at: &PathPoint| [context.length(at.distance), 100.0 * at.thickness_change];
            drawn.push(Curve {
                label: stage.heading.clone(),
                points: near.map(point).collect(),
                look: if stage.loaded { Look::Dashed(number) } else { Look::Bare(number) },
            });
        }
    }
    if drawn.is_empty() {
        return Err(FigureError::Nothing { figure: name, missing: "path" });
    }
    curve_chart(
        &CurveChart::new(
            [
                &name,
                &format!("Change of thickness along paths from hole {}", hole.name),
                "percent of the drawn thickness",
            ],
            [&context.length_axis("Distance from the edge"), "Change of thickness (%)"],
            &drawn,
        ),
        context,
        folder,
    )
}
