//! Two results side by side: where they differ, and by how much.

use crate::report::band::Band;
use crate::report::cautions::CAUTIONS;
use crate::report::page::figure::Figure;
use crate::report::page::html;
use crate::report::page::shell::Shell;
use crate::report::record::Record;
use crate::report::show::{NOTHING, Show, angle};
use crate::report::stored::{Stored, StoredPath, StoredStage};
use crate::report::{escape, laid_over, number};
use crate::units::Units;
use crate::units::quantity::Quantity;

/// A path that both results have, in states that are compared.
#[derive(Clone, Debug)]
pub struct Pair<'a> {
    /// Labels of the two states.
    pub stages: [&'a str; 2],
    /// The path in each.
    pub paths: [&'a StoredPath; 2],
}

/// Directions that differ by less, degrees, are the same.
const SAME_DIRECTION: f64 = 1e-6;

/// Paths that `first` and `second` share: in every residual state of the same label, else in the last
/// state of each.
#[must_use]
pub fn pairs<'a>(first: &'a Stored, second: &'a Stored) -> Vec<Pair<'a>> {
    let mut states: Vec<[&StoredStage; 2]> = Vec::new();
    for stage in &first.stages {
        states.extend(second.stages.iter().find(|o| o.label == stage.label).map(|o| [stage, o]));
    }
    if states.is_empty() {
        states.extend(first.stages.last().zip(second.stages.last()).map(|(a, b)| [a, b]));
    }
    let mut found = Vec::new();
    for [one, other] in states {
        for path in &one.paths {
            let same = |candidate: &&StoredPath| {
                let turn = (candidate.angle_deg - path.angle_deg).rem_euclid(360.0);
                candidate.hole == path.hole && turn.min(360.0 - turn) < SAME_DIRECTION
            };
            if let Some(twin) = other.paths.iter().find(same) {
                found.push(Pair { stages: [&one.label, &other.label], paths: [path, twin] });
            }
        }
    }
    found
}

impl Pair<'_> {
    /// Largest difference of hoop stress, second less first, `[MPa, distance in mm]`, at the distances
    /// of the first as far as both reach.
    #[must_use]
    pub fn largest(&self) -> Option<[f64; 2]> {
        let [one, other] = self.paths.map(|path| &path.hoop);
        let end = other.distances().last().copied()?;
        let differences = one
            .distances()
            .iter()
            .zip(one.values())
            .filter(|(at, _)| **at <= end)
            .filter_map(|(at, value)| Some([other.at(*at)? - value, *at]));
        differences.max_by(|a, b| a[0].abs().total_cmp(&b[0].abs()))
    }

    fn edges(&self) -> [Option<f64>; 2] {
        self.paths.map(|path| path.hoop.values().first().copied())
    }

    fn lowest(&self) -> [Option<f64>; 2] {
        self.paths.map(|path| path.hoop.lowest().map(|extreme| extreme.value))
    }

    /// Where the compression at the edge ends in each, mm; `None` without compression there.
    #[must_use]
    pub fn depths(&self) -> [Option<f64>; 2] {
        self.paths.map(|path| {
            let compressed = path.hoop.values().first().is_some_and(|value| *value < 0.0);
            path.hoop.crossings(0.0).first().copied().filter(|_| compressed)
        })
    }

    fn state(&self) -> String {
        match self.stages {
            [one, other] if one == other => one.to_owned(),
            [one, other] => format!("{one} / {other}"),
        }
    }
}

/// Head and rows, a row a path; cells as text in `units`.
#[must_use]
pub fn rows(pairs: &[Pair<'_>], units: Units) -> Vec<Vec<String>> {
    let show = Show { units };
    let (mm, mpa) = (units.length_name(), units.stress_name());
    let mut rows = vec![vec![
        "state".to_owned(),
        "path".to_owned(),
        format!("edge hoop A {mpa}"),
        "B".to_owned(),
        format!("compression A {mpa}"),
        "B".to_owned(),
        format!("depth A {mm}"),
        "B".to_owned(),
        format!("largest B − A {mpa}"),
        format!("at {mm}"),
    ]];
    for pair in pairs {
        let stress = |value: Option<f64>| value.map_or(NOTHING.to_owned(), |v| show.stress(v));
        let [largest, at] = show.peak(pair.largest());
        let mut row = vec![
            pair.state(),
            format!("{} {}", pair.paths[0].hole, angle(pair.paths[0].angle_deg)),
        ];
        row.extend(pair.edges().map(stress));
        row.extend(pair.lowest().map(stress));
        row.extend(pair.depths().map(|depth| show.maybe_length(depth)));
        row.extend([largest, at]);
        rows.push(row);
    }
    rows
}

/// `comparison.csv`: one row a path.
#[must_use]
pub fn csv(pairs: &[Pair<'_>], units: Units) -> String {
    let length = |value: Option<f64>| cell(value, Quantity::Length, units);
    let stress = |value: Option<f64>| cell(value, Quantity::Stress, units);
    let mut text = String::from(
        "stage_a,stage_b,hole,angle_deg,edge_hoop_a,edge_hoop_b,peak_compression_a,peak_compression_b,\
         compression_depth_a,compression_depth_b,largest_difference,largest_difference_at\n",
    );
    for pair in pairs {
        let mut cells: Vec<String> =
            pair.stages.iter().map(|stage| escape::cell(stage).into_owned()).collect();
        cells.push(escape::cell(&pair.paths[0].hole).into_owned());
        cells.push(number::text(pair.paths[0].angle_deg));
        cells.extend(pair.edges().map(stress));
        cells.extend(pair.lowest().map(stress));
        cells.extend(pair.depths().map(length));
        cells.push(stress(pair.largest().map(|[difference, _]| difference)));
        cells.push(length(pair.largest().map(|[_, at]| at)));
        text.push_str(&cells.join(","));
        text.push('\n');
    }
    text
}

fn cell(value: Option<f64>, quantity: Quantity, units: Units) -> String {
    value.map_or_else(String::new, |value| number::text(quantity.at_border(value, units)))
}

/// The page: both titles, the table, the figures.
#[must_use]
pub fn page(both: [&Stored; 2], pairs: &[Pair<'_>], figures: &[Figure], record: &Record) -> String {
    let title = "Two results compared";
    let [one, other] = both;
    let names = [("A", one), ("B", other)].map(|(mark, stored)| {
        let state = if stored.complete { "" } else { ", incomplete" };
        format!("{mark}: {}{state}", stored.title)
    });
    Shell {
        kind: "Comparison",
        title,
        subtitle: format!("values in the units of A, {}", one.units.name()),
        record: record.clone(),
        inputs: [("Case of A", one), ("Case of B", other)]
            .map(|(name, stored)| (name.to_owned(), stored.case_sha256.clone()))
            .to_vec(),
        asked: vec![
            "Two results side by side, and the largest difference along every path.".to_owned(),
        ],
        answer: format!(
            "{}{}{}",
            html::list(&names),
            html::table("Paths of both results", &rows(pairs, one.units)),
            measured(both)
        ),
        band: Some(Band {
            mesh: "that of each result, in its own report; where both have one mesh, most of it falls out of the difference"
                .to_owned(),
            hardening: "that of each result, in its own report".to_owned(),
            idealisation: "that of each result, in its own report".to_owned(),
        }),
        parts: vec![("Figures", figures.iter().map(Figure::html).collect())],
        cautions: CAUTIONS.to_vec(),
        footer: "inputs stand in the results compared".to_owned(),
        ..Shell::default()
    }
    .html()
}

/// Measurements of either result beside both; nothing without any.
fn measured(both: [&Stored; 2]) -> String {
    let rows = laid_over::rows(both, both[0].units);
    if rows.len() < 2 {
        String::new()
    } else {
        html::table("Measurements beside both results", &rows)
    }
}
