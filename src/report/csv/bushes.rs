//! `bushes.csv`: how bushes sit in their holes, place by place.

use crate::report::csv::columns::{Cell, Column, column, table};
use crate::result::fit::{BushSummary, FitPoint};
use crate::result::summary::StageSummary;
use crate::units::Units;
use crate::units::quantity::{Described, Quantity};

/// A row of `bushes.csv`.
struct BushRow<'a> {
    stage: &'a str,
    bush: &'a BushSummary,
    point: &'a FitPoint,
}

/// `bushes.csv`: one row a place where a bush faces its hole, at every snapshot.
#[must_use]
pub fn bushes(stages: &[StageSummary], units: Units) -> String {
    let rows = stages.iter().flat_map(|stage| {
        stage.bushes.iter().flat_map(move |bush| {
            bush.points.iter().map(move |point| BushRow { stage: &stage.stage, bush, point })
        })
    });
    table(&bush_columns(), rows, units)
}

/// Its columns.
pub(super) fn described() -> Vec<Described> {
    bush_columns().iter().map(|column| column.described).collect()
}

#[rustfmt::skip] // one line a column reads as a table
fn bush_columns<'a>() -> Vec<Column<BushRow<'a>>> {
    use Cell::{Number, Text};
    use Quantity::{Degrees, Length, Name, Stress};
    vec![
        column("stage", Name, |r: &BushRow| Text(r.stage.to_owned()), "label of the snapshot"),
        column("bush", Name, |r| Text(r.bush.name.clone()), "hole that the bush sits in, with a number from its second bush on"),
        column("angle_deg", Degrees, |r| Number(r.point.angle_deg), "direction from the drilled centre, counter-clockwise from +x"),
        column("pressure", Stress, |r| Number(r.point.pressure), "contact pressure, positive in compression"),
        column("friction", Stress, |r| Number(r.point.friction), "friction on the bush along the edge, positive clockwise"),
        column("gap", Length, |r| Number(r.point.gap), "gap between bush and hole, 0 where they touch"),
        column("status", Name, |r| Text(r.point.status.clone()), "open, stick or slip"),
        column("bush_hoop", Stress, |r| Number(r.point.bush_hoop), "recovered hoop stress on the outside of the bush"),
        column("hole_hoop", Stress, |r| Number(r.point.hole_hoop), "recovered hoop stress on the edge that it sits in"),
    ]
}
