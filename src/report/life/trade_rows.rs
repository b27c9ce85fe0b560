//! Worth of the expansion: allowable stress and thickness beside other alloys, as cells of text.

use crate::fatigue::origin::Origin;
use crate::report::show::{NOTHING, Show, fixed};
use crate::study::lives::LifeReport;

/// Plain holes for the life asked for.
pub(super) fn trade(report: &LifeReport) -> Vec<Vec<String>> {
    let show = Show { units: report.units };
    let trade = &report.trade;
    let mm = report.units.length_name();
    let mut rows = vec![vec![
        "plain hole in".to_owned(),
        "stress ×".to_owned(),
        "thickness ×".to_owned(),
        format!("thickness {mm}"),
        "mass ×".to_owned(),
        "mass g".to_owned(),
        "growth constants".to_owned(),
    ]];
    let mass =
        |value: Option<f64>| value.map_or_else(|| NOTHING.to_owned(), |grams| fixed(grams, 1));
    rows.push(vec![
        format!("expanded, {}", report.material_name),
        "1".to_owned(),
        "1".to_owned(),
        show.length(trade.thickness),
        "1".to_owned(),
        mass(trade.mass),
        short_origin(&report.ground.model.origin),
    ]);
    for option in &trade.options {
        let name = option.material.clone();
        rows.push(match &option.answer {
            Ok(found) => {
                let ratio = option.mass_known.then_some(found.mass_ratio);
                vec![
                    name,
                    fixed(found.stress_factor, 3),
                    fixed(found.thickness_ratio, 3),
                    show.length(found.thickness_ratio * trade.thickness),
                    ratio.map_or_else(|| NOTHING.to_owned(), |ratio| fixed(ratio, 3)),
                    mass(trade.mass.zip(ratio).map(|(mass, ratio)| mass * ratio)),
                    short_origin(&found.origin),
                ]
            }
            Err(error) => {
                let mut row = vec![name];
                row.extend(std::iter::repeat_n(NOTHING.to_owned(), 5));
                row.push(error.to_string());
                row
            }
        });
    }
    rows
}

fn short_origin(origin: &Origin) -> String {
    let other = if origin.stand_in { format!(", of {}", origin.product) } else { String::new() };
    format!("{}{other}", origin.reliability)
}
