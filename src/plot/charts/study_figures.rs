//! The charts of a study: those that its file asks for, else a few that any grid has.

use std::path::Path;

use crate::case::study::{Chart, Number};
use crate::plot::charts::bars::{Bars, bar_chart};
use crate::plot::charts::curves::{Curve, Look};
use crate::plot::charts::heat_map::{HeatCell, HeatMap, HeatPanel, heat_map};
use crate::plot::charts::multiples::multiples;
use crate::plot::charts::panels::{Multiples, Panel};
use crate::plot::charts::study_grid::{
    Grid, Solved, Status, caption, fixed, names, number, quantity, title,
};
use crate::plot::figure::{Figure, FigureContext, FigureError};
use crate::study::sweep::sensitivity::Effect;

/// Charts that are made when the file asks for none: one for each of the first numbers.
const USUAL: usize = 6;

/// A chart and the words below it.
#[derive(Clone, Debug)]
pub struct StudyFigure {
    /// Its files.
    pub figure: Figure,
    /// Its caption.
    pub caption: String,
}

/// Draws the charts of a study into `folder`. A chart that has nothing to show is left out and named in the
/// second list.
///
/// # Errors
/// [`FigureError`] but for [`FigureError::Nothing`].
pub fn study_figures(
    grid: &Grid<'_>,
    folder: &Path,
) -> Result<(Vec<StudyFigure>, Vec<String>), FigureError> {
    let usual = usual(grid);
    let charts = if grid.study.charts.is_empty() { &usual } else { &grid.study.charts };
    let (mut figures, mut left_out) = (Vec::new(), Vec::new());
    for (index, chart) in charts.iter().enumerate() {
        let name = format!("{:02}-{}", index + 1, chart.numbers[0]);
        let drawn = if !grid.points.is_grid() {
            scatter(grid, chart, &name, folder)
        } else if chart.y.is_some() {
            map(grid, chart, &name, folder)
        } else {
            curves(grid, chart, &name, folder)
        };
        match drawn {
            Ok(figure) => figures.push(StudyFigure { figure, caption: caption(grid, chart) }),
            Err(FigureError::Nothing { .. }) => left_out.push(caption(grid, chart)),
            Err(error) => return Err(error),
        }
    }
    Ok((figures, left_out))
}

/// Charts for a study that asks for none.
fn usual(grid: &Grid<'_>) -> Vec<Chart> {
    // Numeric axes first: they are drawn along, the others distinguish.
    let axes = &grid.study.axes;
    let mut order: Vec<usize> = (0..axes.len()).filter(|k| axes[*k].levels.len() > 1).collect();
    order.sort_by_key(|k| !axes[*k].is_numeric());
    let Some(&x) = order.first() else { return Vec::new() };
    let chart = |number: &Number| Chart {
        numbers: vec![number.name.clone()],
        x,
        y: None,
        family: order.get(1).copied(),
        panel: order.get(2).copied(),
        logarithmic: false,
        title: None,
    };
    grid.numbers.iter().take(USUAL).map(chart).collect()
}

/// The case with these values of the shown axes, first values of the others.
fn case<'g>(grid: &'g Grid<'_>, values: [(Option<usize>, usize); 3]) -> &'g Solved {
    let mut digits = vec![0; grid.study.axes.len()];
    for (axis, value) in values {
        if let Some(axis) = axis {
            digits[axis] = value;
        }
    }
    &grid.cases[grid.points.index(&digits)]
}

fn map(grid: &Grid<'_>, chart: &Chart, name: &str, folder: &Path) -> Result<Figure, FigureError> {
    let axes = &grid.study.axes;
    let y = chart.y.unwrap_or(chart.x);
    let Some((column, _)) = number(grid, &chart.numbers[0]) else {
        return Err(FigureError::Nothing { figure: name.to_owned(), missing: "number" });
    };
    let cell = |x: usize, up: usize, panel: usize| {
        let solved = case(grid, [(Some(chart.x), x), (Some(y), up), (chart.panel, panel)]);
        match (solved.status, solved.numbers.get(column).copied().flatten()) {
            (Status::Failed, _) => HeatCell::Failed,
            (Status::Skipped, _) => HeatCell::Skipped,
            (Status::Done, Some(value)) => HeatCell::Value(value),
            (Status::Done, None) => HeatCell::Nothing,
        }
    };
    let texts = |k: usize| axes[k].levels.iter().map(crate::case::study::Level::text).collect();
    let (x_names, y_names): (Vec<String>, Vec<String>) = (texts(chart.x), texts(y));
    let panels: Vec<HeatPanel> = names(grid, chart.panel)
        .into_iter()
        .enumerate()
        .map(|(panel, label)| HeatPanel {
            label,
            cells: (0..y_names.len())
                .map(|up| (0..x_names.len()).map(|x| cell(x, up, panel)).collect())
                .collect(),
        })
        .collect();
    let (x_title, y_title) = (axes[chart.x].title(), axes[y].title());
    let drawn = HeatMap {
        name,
        title: &title(grid, chart),
        stage: &fixed(grid, chart, ""),
        x: (&x_title, &x_names),
        y: (&y_title, &y_names),
        quantity: &quantity(grid, chart),
        logarithmic: chart.logarithmic,
        panels: &panels,
    };
    heat_map(&drawn, context(grid), folder)
}

fn context<'g>(grid: &'g Grid<'_>) -> FigureContext<'g> {
    FigureContext { case_title: &grid.study.title, units: grid.study.base.units }
}

fn curves(
    grid: &Grid<'_>,
    chart: &Chart,
    name: &str,
    folder: &Path,
) -> Result<Figure, FigureError> {
    let axis = &grid.study.axes[chart.x];
    let numeric = axis.is_numeric();
    let place = |k: usize| axis.levels[k].number().filter(|_| numeric).unwrap_or(k as f64);
    let families = names(grid, chart.family);
    let mut panels = Vec::new();
    for (panel, label) in names(grid, chart.panel).into_iter().enumerate() {
        let (mut drawn, mut failed) = (Vec::new(), Vec::new());
        for (family, words) in families.iter().enumerate() {
            for (also, name) in chart.numbers.iter().enumerate() {
                let Some((column, number)) = number(grid, name) else { continue };
                let words = match (chart.numbers.len(), words.is_empty()) {
                    (1, _) => words.clone(),
                    (_, true) => number.label.clone(),
                    (_, false) => format!("{words}, {}", number.label),
                };
                let look = Look::Joined(family * chart.numbers.len() + also);
                let mut run = Curve { label: words, points: Vec::new(), look };
                for k in 0..axis.levels.len() {
                    let at = [(Some(chart.x), k), (chart.family, family), (chart.panel, panel)];
                    let solved = case(grid, at);
                    if solved.status == Status::Failed {
                        failed.push(place(k));
                    }
                    if let Some(value) = solved.numbers.get(column).copied().flatten() {
                        run.points.push([place(k), value]);
                    } else {
                        // A gap: the rest is a curve of its own.
                        let rest = Curve { points: Vec::new(), ..run.clone() };
                        drawn.push(std::mem::replace(&mut run, rest));
                    }
                }
                drawn.push(run);
            }
        }
        drawn.retain(|curve: &Curve| !curve.points.is_empty());
        failed.dedup();
        panels.push(Panel { label, curves: drawn, failed, ..Panel::default() });
    }
    let texts: Vec<String> = axis.levels.iter().map(crate::case::study::Level::text).collect();
    let drawn = Multiples {
        name,
        title: &title(grid, chart),
        stage: &fixed(grid, chart, ""),
        x: &axis.title(),
        names: if numeric { &[] } else { &texts },
        y: &quantity(grid, chart),
        logarithmic: chart.logarithmic,
        panels: &panels,
    };
    multiples(&drawn, context(grid), folder)
}

/// The cases of a Latin hypercube as points; a panel and a colour for every value of an axis of words.
fn scatter(
    grid: &Grid<'_>,
    chart: &Chart,
    name: &str,
    folder: &Path,
) -> Result<Figure, FigureError> {
    let axes = &grid.study.axes;
    let listed = |axis: Option<usize>| axis.filter(|k| axes[*k].range.is_none());
    let (family, panel) = (listed(chart.family), listed(chart.panel));
    let Some((column, _)) = number(grid, &chart.numbers[0]) else {
        return Err(FigureError::Nothing { figure: name.to_owned(), missing: "number" });
    };
    let (families, labels) = (names(grid, family), names(grid, panel));
    let mut panels: Vec<Panel> = labels
        .into_iter()
        .map(|label| Panel {
            label,
            curves: families
                .iter()
                .enumerate()
                .map(|(k, words)| Curve {
                    label: words.clone(),
                    points: Vec::new(),
                    look: Look::Open(k),
                })
                .collect(),
            ..Panel::default()
        })
        .collect();
    let place = |axis: Option<usize>, levels: &[crate::case::study::Level]| {
        let Some(axis) = axis else { return 0 };
        axes[axis].levels.iter().position(|known| *known == levels[axis]).unwrap_or(0)
    };
    for (index, solved) in grid.cases.iter().enumerate() {
        let levels = grid.points.levels(index);
        let Some(x) = levels[chart.x].number() else { continue };
        let one = &mut panels[place(panel, &levels)];
        match solved.numbers.get(column).copied().flatten() {
            Some(y) => one.curves[place(family, &levels)].points.push([x, y]),
            None if solved.status == Status::Failed => one.failed.push(x),
            None => {}
        }
    }
    let drawn = Multiples {
        name,
        title: &title(grid, chart),
        stage: "",
        x: &axes[chart.x].title(),
        names: &[],
        y: &quantity(grid, chart),
        logarithmic: chart.logarithmic,
        panels: &panels,
    };
    multiples(&drawn, context(grid), folder)
}

/// Bars of main and total effects, one chart for every number that varies; `effects[number][axis]`.
///
/// # Errors
/// [`FigureError`] but for [`FigureError::Nothing`].
pub fn effect_figures(
    grid: &Grid<'_>,
    effects: &[Vec<Effect>],
    folder: &Path,
) -> Result<Vec<StudyFigure>, FigureError> {
    let mut figures = Vec::new();
    for (number, effects) in grid.numbers.iter().zip(effects) {
        let rows: Vec<(String, [Option<f64>; 2])> = grid
            .study
            .axes
            .iter()
            .zip(effects)
            .map(|(axis, effect)| (axis.label.clone(), [effect.main, effect.total]))
            .collect();
        let bars = Bars {
            name: &format!("effects-{}", number.name),
            title: &format!("Effects on {}", number.label),
            stage: "shares of the variance over all cases",
            axis: "share of the variance",
            kinds: ["main effect", "total effect"],
            rows: &rows,
        };
        match bar_chart(&bars, context(grid), folder) {
            Ok(figure) => {
                let caption = format!("Main and total effects on {}", number.label);
                figures.push(StudyFigure { figure, caption });
            }
            Err(FigureError::Nothing { .. }) => {}
            Err(error) => return Err(error),
        }
    }
    Ok(figures)
}
