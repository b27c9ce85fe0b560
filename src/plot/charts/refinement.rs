//! Headline numbers against mesh size and increment size.
//!
//! Of each kind of number the one with the widest band is drawn: the least certain of the run.
//! Its values at three levels are joined, an open marker at size 0 is the extrapolated limit, and the
//! bar about the case is its band.

use std::fmt::Write as _;
use std::path::Path;

use crate::plot::charts::axis::Axis;
use crate::plot::charts::chart::Chart;
use crate::plot::charts::legend::{Key, ROW, Sample, legend, rows};
use crate::plot::charts::marker::{Marker, Shape};
use crate::plot::figure::{Figure, FigureContext, FigureError, cell, save};
use crate::plot::level::{count, label};
use crate::plot::paper::colour::{INK, series};
use crate::plot::paper::sheet::{Anchor, HEAD, Pen, Sheet};
use crate::plot::paper::window::Window;
use crate::result::headline::{Headline, Measure, Place};
use crate::result::refinement::{Refined, Refinement, Series, Trend};

const NAME: &str = "refinement";
/// Dashes tell apart the lines that share a colour.
const DASHES: [&[f64]; 3] = [&[], &[8.0, 4.0], &[2.5, 3.0]];
/// Share of the horizontal axis between two bars.
const BARS_APART: f64 = 0.012;
/// Half width of the ends of a bar, as a share of the axis.
const BAR_END: f64 = 0.004;

/// Headline numbers against the size of elements and of increments, into `refinement.svg`,
/// `.png` and `.csv`; all over their value in the case itself.
///
/// # Errors
/// [`FigureError::Nothing`] when no number has a trend; [`FigureError::Write`].
pub fn refinement(
    study: &Refinement,
    context: FigureContext,
    folder: &Path,
) -> Result<Figure, FigureError> {
    let shown = widest(study);
    let panels: Vec<Panel> = [
        study.mesh.as_ref().map(|series| Panel {
            series,
            trend: |number| number.mesh,
            name: "Element size over that of the case",
        }),
        study.increments.as_ref().map(|series| Panel {
            series,
            trend: |number| number.increments,
            name: "Increment over that of the case",
        }),
    ]
    .into_iter()
    .flatten()
    .collect();
    if panels.is_empty() || shown.is_empty() {
        return Err(FigureError::Nothing { figure: NAME.to_owned(), missing: "number" });
    }
    let mut keys: Vec<Key> = shown
        .iter()
        .enumerate()
        .map(|(k, number)| {
            Key::new(Sample::Marked(pen(k), marker(k, false)), words(&number.headline))
        })
        .collect();
    keys.push(Key::new(
        Sample::Marker(Marker { shape: Shape::Round, colour: INK, open: true }),
        "at size 0: extrapolated; bar: band of the case",
    ));
    let (width, height) = (1200.0, 800.0);
    let key_rows = rows(&keys, width - 126.0)?;
    let subtitle = context.subtitle("the least certain number of each kind");
    let mut sheet = Sheet::new([width, height], "Discretisation error", &subtitle);
    let foot = height - count(key_rows.len()) * ROW - 14.0;
    legend(&mut sheet, &key_rows, [96.0, foot]);
    let room = (width - 30.0) / count(panels.len());
    for (k, panel) in panels.iter().enumerate() {
        let left = room * count(k);
        let window =
            Window { low: [left + 106.0, HEAD + 10.0], high: [left + room - 10.0, foot - 62.0] };
        panel.draw(&mut sheet, window, &shown)?;
    }
    save(&sheet, Some(&table(study, &shown)), folder, NAME)
}

/// Of every kind of number the one with the widest band, that has a value to relate to.
fn widest(study: &Refinement) -> Vec<&Refined> {
    let band = |number: &Refined| {
        let bands = [number.mesh, number.increments].into_iter().flatten();
        bands.filter_map(|trend| trend.estimate).map(|estimate| estimate.band).sum::<f64>()
    };
    let of = |measure: Measure| {
        let kind = study.numbers.iter().filter(move |number| {
            number.headline.measure == measure && value(number).is_some_and(|value| value != 0.0)
        });
        kind.filter(|number| band(number) > 0.0)
            .reduce(|best, other| if band(other) > band(best) { other } else { best })
    };
    Measure::ALL.into_iter().filter_map(of).collect()
}

fn value(number: &Refined) -> Option<f64> {
    number.headline.value
}

/// Difference of `v` from the case, per cent of the case.
fn relative(number: &Refined, v: f64) -> f64 {
    value(number).map_or(0.0, |own| 100.0 * (v - own) / own.abs())
}

fn pen(k: usize) -> Pen {
    Pen::new(series(k), 1.6).dashed(DASHES[(k / 6) % DASHES.len()])
}

fn marker(k: usize, open: bool) -> Marker {
    Marker { shape: Shape::number(k), colour: series(k), open }
}

/// One of the two charts.
struct Panel<'a> {
    series: &'a Series,
    trend: fn(&Refined) -> Option<Trend>,
    name: &'static str,
}

impl Panel<'_> {
    fn points(&self, number: &Refined) -> Vec<[f64; 2]> {
        let values = (self.trend)(number).map_or([None; 3], |trend| trend.values);
        let levels = self.series.levels.iter().zip(values);
        levels.filter_map(|(level, v)| Some([level.size, relative(number, v?)])).collect()
    }

    fn draw(
        &self,
        sheet: &mut Sheet,
        window: Window,
        shown: &[&Refined],
    ) -> Result<(), FigureError> {
        let estimate = |number: &Refined| (self.trend)(number).and_then(|trend| trend.estimate);
        let band = |number: &Refined| {
            let own = value(number).unwrap_or(1.0).abs();
            estimate(number).map(|estimate| 100.0 * estimate.band / own)
        };
        let (mut low, mut high) = (0.0f64, 0.0f64);
        for number in shown {
            let limit = estimate(number).and_then(|estimate| estimate.limit);
            let ends = band(number).into_iter().flat_map(|band| [-band, band]);
            let heights = self.points(number).into_iter().map(|[_, y]| y);
            for y in heights.chain(ends).chain(limit.map(|limit| relative(number, limit))) {
                low = low.min(y);
                high = high.max(y);
            }
        }
        // Room for the bars, which stand to both sides of the case.
        let spread = 0.5 * count(shown.len()) * BARS_APART;
        let widest = (1.0 / (1.0 - spread - BARS_APART)).max(1.08 * self.series.levels[0].size);
        let chart = Chart {
            window,
            x: Axis::exact(0.0, widest, 6, self.name.to_owned()),
            y: Axis::rounded(low, high, 8, "Difference from the case (%)".to_owned()),
        };
        chart.grid(sheet);
        chart.curve(sheet, &[[0.0, 0.0], [chart.x.high, 0.0]], Pen::new(INK, 1.2));
        for (k, number) in shown.iter().enumerate() {
            let points = self.points(number);
            chart.curve(sheet, &points, pen(k));
            chart.markers(sheet, &points, marker(k, false));
            if let Some(limit) = estimate(number).and_then(|estimate| estimate.limit) {
                let end = [0.0, relative(number, limit)];
                let last: Vec<[f64; 2]> = points.last().copied().into_iter().chain([end]).collect();
                chart.curve(sheet, &last, Pen::new(series(k), 0.8));
                chart.markers(sheet, &[end], marker(k, true));
            }
            if let Some(band) = band(number) {
                // Side by side, or the bars would hide each other.
                let shift = (count(k) - 0.5 * count(shown.len() - 1)) * BARS_APART;
                let x = 1.0 + shift * chart.x.high;
                let end = BAR_END * chart.x.high;
                let bar = Pen::new(series(k), 1.2);
                chart.curve(sheet, &[[x, -band], [x, band]], bar);
                for y in [-band, band] {
                    chart.curve(sheet, &[[x - end, y], [x + end, y]], bar);
                }
            }
        }
        let spot = chart.spot([1.0, chart.y.high]);
        sheet.text([spot[0], spot[1] - 6.0], Anchor::Middle, "case");
        chart.frame(sheet)?;
        Ok(())
    }
}

/// `edge hoop, A 180°, 2-ream-A`.
fn words(headline: &Headline) -> String {
    let place = match &headline.place {
        Place::Path(hole, degrees) => {
            let step = if degrees.fract() == 0.0 { 1.0 } else { 0.1 };
            format!("{hole} {}°", label(*degrees, step))
        }
        Place::Hole(hole) => hole.clone(),
        Place::Edge(edge) => format!("{edge} edge"),
    };
    format!("{}, {place}, {}", headline.measure.words(), headline.stage)
}

fn table(study: &Refinement, shown: &[&Refined]) -> String {
    let mut text = "number,series,size,difference_percent\n".to_owned();
    for number in shown {
        let name = words(&number.headline);
        let both = [
            ("mesh", study.mesh.as_ref(), number.mesh),
            ("increments", study.increments.as_ref(), number.increments),
        ];
        for (which, series, trend) in both {
            let (Some(series), Some(trend)) = (series, trend) else { continue };
            for (level, v) in series.levels.iter().zip(trend.values) {
                let Some(v) = v else { continue };
                let difference = relative(number, v);
                // Writing to a string cannot fail.
                let _ = writeln!(text, "{},{which},{},{difference}", cell(&name), level.size);
            }
        }
    }
    text
}
