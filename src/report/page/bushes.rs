//! How bushes sit in their holes, as a table of the page.

use crate::report::page::html::table;
use crate::report::run::RunReport;
use crate::report::show::{Show, percent, short};
use crate::result::summary::StageSummary;
use crate::units::quantity::Quantity;

/// The bushes of one state; nothing without any.
pub(super) fn bushes(report: &RunReport, stage: &StageSummary) -> String {
    if stage.bushes.is_empty() {
        return String::new();
    }
    let (show, units) = (Show { units: report.units }, report.units);
    let (mm, mpa) = (units.length_name(), units.stress_name());
    let mut rows = vec![vec![
        "bush".to_owned(),
        format!("mean pressure {mpa}"),
        format!("lowest {mpa}"),
        format!("highest {mpa}"),
        "edge that touches %".to_owned(),
        format!("widest gap {mm}"),
        format!("push-out force {}", units.force_name()),
        format!("hoop at its bore {mpa}"),
        format!("hoop on the edge it sits in {mpa}"),
    ]];
    let spread = |[low, high]: [f64; 2]| format!("{} to {}", show.stress(low), show.stress(high));
    for bush in &stage.bushes {
        let force = Quantity::Force.at_border(bush.push_out_force, units);
        rows.push(vec![
            bush.name.clone(),
            show.stress(bush.mean_pressure),
            show.stress(bush.lowest_pressure),
            show.stress(bush.highest_pressure),
            percent(bush.touching),
            show.length(bush.widest_gap),
            short(force, units.force_digits()),
            spread(bush.bore_hoop),
            spread(bush.hole_hoop),
        ]);
    }
    table(&format!("{}: bushes", stage.stage), &rows)
}
