//! The figures of a case: its own charts, and errors against the mesh.

use std::path::Path;

use crate::plot::{Compared, ComparisonChart, Spacing, Style, comparison_chart};
use crate::verify::Judged;
use crate::verify::book::BookError;
use crate::verify::findings::Series;

/// A drawn figure.
#[derive(Clone, Debug)]
pub(super) struct Picture {
    /// Name of its files, without ending.
    pub(super) file: String,
    /// Content of the figure.
    pub(super) caption: String,
    /// The scalable picture, as it may stand inside a page.
    pub(super) svg: String,
}

/// Draws all figures of a case into its folder.
pub(super) fn draw(case: &Judged, folder: &Path) -> Result<Vec<Picture>, BookError> {
    let mut pictures = Vec::new();
    let convergence = convergence(case);
    for (file, chart) in case.findings.charts.iter().chain(&convergence) {
        let figure = comparison_chart(chart, &case.expected.title, folder, file)?;
        let text = std::fs::read_to_string(&figure.svg).map_err(BookError::Read)?;
        let svg = text.split_once("?>\n").map_or(text.as_str(), |(_, svg)| svg).to_owned();
        pictures.push(Picture { file: file.clone(), caption: chart.title.clone(), svg });
    }
    Ok(pictures)
}

/// The order that theory gives a series, when the case expects one.
pub(super) fn theoretical_order(case: &Judged, series: &Series) -> Option<f64> {
    let key = format!("order: {}", series.name);
    case.rows.iter().find(|row| row.expected.key == key).and_then(|row| row.expected.value)
}

/// One chart of errors for each thing that rises.
fn convergence(case: &Judged) -> Vec<(String, ComparisonChart)> {
    let mut charts: Vec<(&str, ComparisonChart)> = Vec::new();
    for series in case.findings.series.iter().filter(|series| series.levels.len() > 1) {
        let rises = series.levels_are;
        let known = charts.iter().position(|(known, _)| *known == rises);
        let index = known.unwrap_or(charts.len());
        if known.is_none() {
            let chart = ComparisonChart {
                title: format!("Errors against {rises}"),
                x: capital(rises),
                y: "Relative error".to_owned(),
                scale: Spacing::Logarithmic,
                curves: Vec::new(),
            };
            charts.push((rises, chart));
        }
        let chart = &mut charts[index].1;
        let points: Vec<[f64; 2]> =
            series.levels.iter().zip(&series.errors).map(|(x, y)| [*x, *y]).collect();
        if let (Some(order), [x0, y0]) = (theoretical_order(case, series), points[points.len() - 1])
        {
            let slope = points.iter().map(|[x, _]| [*x, y0 * (x0 / x).powf(order)]);
            chart.curves.push(Compared {
                label: format!("order {order}"),
                points: slope.collect(),
                look: Style::Dashed,
            });
        }
        chart.curves.push(Compared { label: series.name.clone(), points, look: Style::Joined });
    }
    let many = charts.len() > 1;
    charts
        .into_iter()
        .map(|(rises, chart)| {
            (if many { format!("convergence-{rises}") } else { "convergence".to_owned() }, chart)
        })
        .collect()
}

/// A word with a capital in front, for an axis.
fn capital(word: &str) -> String {
    let mut letters = word.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}
