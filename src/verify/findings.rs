//! Results of a case: numbers by key, curves to lay over theory, errors on finer and finer meshes.

use crate::plot::{Compared, ComparisonChart, Spacing, Style};

/// All that a case computed.
#[derive(Clone, Debug, Default)]
pub struct Findings {
    /// Numbers by key.
    pub values: Vec<(String, f64)>,
    /// Charts, each with the name of its file.
    pub charts: Vec<(String, ComparisonChart)>,
    /// Errors of one quantity on rising meshes or increments.
    pub series: Vec<Series>,
}

/// Errors of one quantity on finer and finer meshes (or more and more increments).
#[derive(Clone, Debug, PartialEq)]
pub struct Series {
    /// Which quantity; the observed order is reported under `order: NAME`.
    pub name: String,
    /// Quantity that is refined: `fineness` or `increments`.
    pub levels_are: &'static str,
    /// The levels.
    pub levels: Vec<f64>,
    /// The error at each.
    pub errors: Vec<f64>,
}

impl Series {
    /// Orders observed between neighbours.
    #[must_use]
    pub fn orders(&self) -> Vec<f64> {
        let errors = self.errors.windows(2);
        errors
            .zip(self.levels.windows(2))
            .map(|(e, l)| (e[0] / e[1]).ln() / (l[1] / l[0]).ln())
            .collect()
    }
}

impl Findings {
    /// Reports a number.
    pub(crate) fn put(&mut self, key: impl Into<String>, value: f64) {
        self.values.push((key.into(), value));
    }

    /// The number reported under `key`.
    #[must_use]
    pub fn get(&self, key: &str) -> Option<f64> {
        self.values.iter().find(|(known, _)| known == key).map(|(_, value)| *value)
    }

    /// Reports errors on rising `fineness`, and the order observed at the end.
    pub(crate) fn converge(&mut self, name: &str, levels: &[f64], errors: Vec<f64>) {
        self.converge_by("fineness", name, levels, errors);
    }

    /// The same by `increments` or whatever rises.
    pub(crate) fn converge_by(
        &mut self,
        levels_are: &'static str,
        name: &str,
        levels: &[f64],
        errors: Vec<f64>,
    ) {
        let series = Series { name: name.to_owned(), levels_are, levels: levels.to_vec(), errors };
        if let Some(last) = series.orders().last() {
            self.put(format!("order: {name}"), *last);
        }
        self.series.push(series);
    }

    /// Adds a chart.
    pub fn chart(&mut self, file: &str, chart: ComparisonChart) {
        self.charts.push((file.to_owned(), chart));
    }
}

/// A chart with plain axes and no curves yet.
#[must_use]
pub fn chart(title: &str, x: &str, y: &str) -> ComparisonChart {
    ComparisonChart {
        title: title.to_owned(),
        x: x.to_owned(),
        y: y.to_owned(),
        scale: Spacing::Plain,
        curves: Vec::new(),
    }
}

/// Curve of theory or of a source, as a line.
#[must_use]
pub fn theory(label: &str, points: Vec<[f64; 2]>) -> Compared {
    Compared { label: label.to_owned(), points, look: Style::Line }
}

/// Curve of theory that a table gives, as a smooth line through it.
#[must_use]
pub fn tabulated(label: &str, points: Vec<[f64; 2]>) -> Compared {
    Compared { label: label.to_owned(), points, look: Style::Smooth }
}

/// Computed curve, as markers.
#[must_use]
pub fn computed(label: &str, points: Vec<[f64; 2]>) -> Compared {
    Compared { label: label.to_owned(), points, look: Style::Markers }
}
