//! The chain of repair sizes: two tables with a line for each size, the same in JSON, and `chain.csv`.

use serde_json::{Map, Value, json};

use crate::case::sheet::Sheet;
use crate::report::number::{rounded, text};
use crate::report::show::{NOTHING, Show, fixed, percent};
use crate::report::toolsheet::rows::{Rows, cells};
use crate::result::summary::PathSummary;
use crate::study::toolsheet::{ChainSize, Finished};
use crate::units::quantity::Quantity;

/// Name of a size in tables and files.
fn name(which: usize) -> String {
    if which == 0 { "first size".to_owned() } else { format!("oversize {which}") }
}

/// Tools, holes and gauges; without repair sizes the head alone.
pub(super) fn tools(sheet: &Sheet, finished: &Finished) -> Rows {
    let show = Show { units: sheet.units };
    let range = |[low, high]: [f64; 2]| format!("{} to {}", show.length(low), show.length(high));
    let mut rows = vec![cells([
        "",
        "starting hole, go to no-go plug",
        "mandrel, new",
        "worn out below",
        "sleeve wall",
        "applied expansion %",
        "expanded hole, plug enters",
        "finished hole",
    ])];
    for (which, size) in finished.chain.iter().enumerate() {
        let limits = &size.limits;
        let [low, high] = size.expansion.map(percent);
        let sleeve = sheet.sleeve_thickness > 0.0;
        rows.push(vec![
            name(which),
            range(limits.start),
            range(limits.mandrel),
            show.length(limits.worn),
            if sleeve { range(limits.sleeve) } else { NOTHING.to_owned() },
            format!("{low} to {high}"),
            show.maybe_length(size.plug),
            range(limits.finished),
        ]);
    }
    rows
}

/// Edge margin and residual stress: cleaned up, through the chain, and of a new hole.
pub(super) fn left(sheet: &Sheet, finished: &Finished) -> Rows {
    let show = Show { units: sheet.units };
    let (mm, mpa) = (sheet.units.length_name(), sheet.units.stress_name());
    let mut rows = vec![vec![
        String::new(),
        "e/D".to_owned(),
        format!("cleaned up, edge hoop {mpa}"),
        format!("through the chain, edge hoop {mpa}"),
        format!("depth {mm}"),
        format!("a new hole, edge hoop {mpa}"),
        format!("depth {mm}"),
    ]];
    for (which, size) in finished.chain.iter().enumerate() {
        let edge = |path: &PathSummary| show.stress(path.edge_hoop);
        rows.push(vec![
            name(which),
            fixed(size.edge_margin, 2),
            size.cleaned_up.as_ref().map_or_else(|| NOTHING.to_owned(), edge),
            edge(&size.left),
            show.maybe_length(size.left.compression_depth),
            edge(&size.new),
            show.maybe_length(size.new.compression_depth),
        ]);
    }
    rows
}

/// The columns of both tables in words.
pub(super) const WORDS: &str = "Each oversize: ream to its starting hole, which cleans up the finished hole before it; expand; ream \
     to the oversize. Solved with the middle of all limits. Edge hoop and depth of compression of the path whose \
     edge keeps the least compression; cleaned up: before the expansion of the oversize; a new hole: never worked \
     before, made with the tools of the oversize. e/D of the middle of the finished limits.";

/// The numbers of a size, in the order of the columns.
fn fields(size: &ChainSize) -> Vec<(&'static str, Quantity, Option<f64>)> {
    let limits = &size.limits;
    let length = |name, value| (name, Quantity::Length, Some(value));
    let number = |name, value| (name, Quantity::Fraction, Some(value));
    let stress = |name, value| (name, Quantity::Stress, value);
    let cleaned_up = size.cleaned_up.as_ref();
    vec![
        length("starting_diameter_smallest", limits.start[0]),
        length("starting_diameter_largest", limits.start[1]),
        length("mandrel_new_smallest", limits.mandrel[0]),
        length("mandrel_new_largest", limits.mandrel[1]),
        length("mandrel_worn_out_below", limits.worn),
        length("sleeve_smallest", limits.sleeve[0]),
        length("sleeve_largest", limits.sleeve[1]),
        number("applied_expansion_smallest", size.expansion[0]),
        number("applied_expansion_largest", size.expansion[1]),
        length("finished_hole_smallest", limits.finished[0]),
        length("finished_hole_largest", limits.finished[1]),
        length("starting_hole_go", limits.start[0]),
        length("starting_hole_no_go", limits.start[1]),
        ("expanded_hole_plug", Quantity::Length, size.plug),
        length("expanded_hole_smallest", size.expanded[0]),
        length("expanded_hole_largest", size.expanded[1]),
        number("edge_margin", size.edge_margin),
        stress("cleaned_up_edge_hoop", cleaned_up.map(|path| path.edge_hoop)),
        (
            "cleaned_up_compression_depth",
            Quantity::Length,
            cleaned_up.and_then(|path| path.compression_depth),
        ),
        ("chain_angle_deg", Quantity::Degrees, Some(size.left.angle_deg)),
        stress("chain_edge_hoop", Some(size.left.edge_hoop)),
        ("chain_compression_depth", Quantity::Length, size.left.compression_depth),
        ("new_hole_angle_deg", Quantity::Degrees, Some(size.new.angle_deg)),
        stress("new_hole_edge_hoop", Some(size.new.edge_hoop)),
        ("new_hole_compression_depth", Quantity::Length, size.new.compression_depth),
    ]
}

/// The sizes for `toolsheet.json`; empty without repair sizes.
pub(super) fn json(sheet: &Sheet, finished: &Finished) -> Vec<Value> {
    let one = |(which, size): (usize, &ChainSize)| {
        let mut object = Map::new();
        object.insert("size".to_owned(), json!(name(which)));
        for (key, quantity, value) in fields(size) {
            let value = value.map(|value| rounded(quantity.at_border(value, sheet.units)));
            object.insert(key.to_owned(), json!(value));
        }
        Value::Object(object)
    };
    finished.chain.iter().enumerate().map(one).collect()
}

/// `chain.csv`: one size a row, in the units of the sheet, which the last two columns name; `None` without
/// repair sizes.
#[must_use]
pub fn chain_csv(sheet: &Sheet, finished: &Finished) -> Option<String> {
    let names: Vec<&str> = fields(finished.chain.first()?).iter().map(|field| field.0).collect();
    let mut rows = format!("size,{},length_unit,stress_unit\n", names.join(","));
    for (which, size) in finished.chain.iter().enumerate() {
        rows.push_str(&name(which));
        for (_, quantity, value) in fields(size) {
            let value = value.map(|value| text(quantity.at_border(value, sheet.units)));
            rows.push_str(&format!(",{}", value.unwrap_or_default()));
        }
        let (mm, mpa) = (sheet.units.length_name(), sheet.units.stress_name());
        rows.push_str(&format!(",{mm},{mpa}\n"));
    }
    Some(rows)
}
