//! `headlines.csv`: the headline table of every stage, one row a stage and path.

use crate::report::csv::columns::{Cell, Column, column, table};
use crate::result::summary::{HoleSummary, PathSummary, StageSummary};
use crate::units::Units;
use crate::units::quantity::{Described, Quantity};

/// A row.
struct Row<'a> {
    stage: &'a StageSummary,
    hole: Option<&'a HoleSummary>,
    path: &'a PathSummary,
}

/// `headlines.csv` of these stages, in the order given. A cell is empty where there is no such number.
#[must_use]
pub fn headlines(stages: &[StageSummary], units: Units) -> String {
    let rows = stages.iter().flat_map(|stage| {
        stage.paths.iter().map(move |path| Row {
            stage,
            hole: stage.holes.iter().find(|hole| hole.hole == path.hole),
            path,
        })
    });
    table(&columns(), rows, units)
}

/// Its columns.
pub(super) fn described() -> Vec<Described> {
    columns().iter().map(|column| column.described).collect()
}

fn maybe(value: Option<f64>) -> Cell {
    value.map_or(Cell::Nothing, Cell::Number)
}

#[rustfmt::skip] // one line a column reads as a table
fn columns<'a>() -> Vec<Column<Row<'a>>> {
    use Cell::{Number, Text};
    use Quantity::{Count, Degrees, Fraction, Length, Name, Stress};
    vec![
        column("stage", Name, |r: &Row| Text(r.stage.stage.clone()), "label of the snapshot"),
        column("residual", Count, |r| Cell::Count(usize::from(!r.stage.loaded)), "1 without a tool in a hole or a load, else 0"),
        column("hole", Name, |r| Text(r.path.hole.clone()), "hole the path starts at"),
        column("angle_deg", Degrees, |r| Number(r.path.angle_deg), "direction of the path, counter-clockwise from +x"),
        column("edge_hoop", Stress, |r| Number(r.path.edge_hoop), "hoop stress at the edge, tension positive"),
        column("peak_compression", Stress, |r| maybe(r.path.peak_compression.map(|[s, _]| s)), "most compressive hoop stress next to the edge"),
        column("peak_compression_at", Length, |r| maybe(r.path.peak_compression.map(|[_, d]| d)), "its distance from the edge"),
        column("compression_depth", Length, |r| maybe(r.path.compression_depth), "where the compression that starts at the edge ends"),
        column("peak_tension", Stress, |r| maybe(r.path.peak_tension.map(|[s, _]| s)), "most tensile hoop stress of the path"),
        column("peak_tension_at", Length, |r| maybe(r.path.peak_tension.map(|[_, d]| d)), "its distance from the edge"),
        column("plastic_extent", Length, |r| Number(r.path.plastic_extent), "end of the yielded metal that starts at the edge"),
        column("reverse_yield_extent", Length, |r| Number(r.path.reverse_yield_extent), "end of the metal that yielded in reverse since a tool last stood at full size"),
        column("edge_error", Fraction, |r| maybe(r.path.edge_error), "radial or shear stress recovered at the bare edge over the largest hoop stress"),
        column("applied_expansion", Fraction, |r| maybe(r.hole.and_then(|h| h.applied_expansion)), "of the last tool in the hole"),
        column("retained_expansion", Fraction, |r| maybe(r.hole.and_then(|h| h.retained_expansion)), "when mandrel and sleeve are out"),
        column("mean_pressure", Stress, |r| maybe(r.hole.map(|h| h.mean_pressure)), "mean contact pressure now, positive in compression"),
        column("smallest_diameter", Length, |r| maybe(r.hole.map(|h| h.smallest_diameter)), "over all directions, deformed"),
        column("largest_diameter", Length, |r| maybe(r.hole.map(|h| h.largest_diameter)), "over all directions, deformed"),
        column("edge_margin", Fraction, |r| maybe(r.hole.map(|h| h.edge_margin)), "distance from the centre to the nearest free edge over the diameter"),
    ]
}
