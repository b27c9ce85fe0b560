//! The control charts of a lot of holes: single values above, moving ranges below.

use std::fmt::Write as _;
use std::path::Path;

use crate::case::shop::Shop;
use crate::plot::charts::axis::Axis;
use crate::plot::charts::chart::Chart;
use crate::plot::charts::legend::{Key, Sample, legend, rows};
use crate::plot::charts::marker::{Marker, Shape};
use crate::plot::figure::{Figure, FigureContext, FigureError, cell, check_finite, save};
use crate::plot::level::count;
use crate::plot::paper::colour::{INK, MESH, series};
use crate::plot::paper::sheet::{HEAD, Pen, Sheet};
use crate::plot::paper::window::Window;
use crate::study::shop::{Lot, Series};

const SIZE: [f64; 2] = [1000.0, 760.0];
const LEFT: f64 = 104.0;
/// Bottom of the upper frame, top and bottom of the lower.
const FRAMES: [f64; 3] = [420.0, 500.0, 660.0];
const DASH: &[f64] = &[8.0, 5.0];
/// Holes up to which every value has a marker.
const MARKED: usize = 150;
/// How far beyond its limits a chart goes, widths of the limits: one hole far off must not flatten it.
const FAR: f64 = 0.8;

/// A control chart for every series of `lot`, `control-NAME`, with its caption.
///
/// # Errors
///
/// [`FigureError`] of any kind.
pub fn shop_figures(
    shop: &Shop,
    lot: &Lot,
    folder: &Path,
) -> Result<Vec<(Figure, String)>, FigureError> {
    let context = FigureContext { case_title: &shop.title, units: shop.units };
    lot.series
        .iter()
        .map(|series| {
            let drawn = Drawn::new(series, lot, context);
            let caption = format!("Control chart: {}", series.words);
            Ok((drawn.figure(shop, context, folder)?, caption))
        })
        .collect()
}

/// A series in the units of its axis.
struct Drawn<'a> {
    series: &'a Series,
    name: String,
    scale: f64,
    points: Vec<[f64; 2]>,
    /// Those of holes that are no suspects: only they make mean, limits and ranges.
    sound: Vec<[f64; 2]>,
    ranges: Vec<[f64; 2]>,
    suspects: Vec<[f64; 2]>,
    out: Vec<[f64; 2]>,
    runs: Vec<[f64; 2]>,
}

impl<'a> Drawn<'a> {
    fn new(series: &'a Series, lot: &Lot, context: FigureContext) -> Self {
        let micro = context.units == crate::units::Units::MmMpa;
        let (scale, unit) = match (series.is_length, micro) {
            (true, true) => (1e3, "µm"),
            (true, false) => (1e3 * context.length(1.0), "0.001 in"),
            _ => (100.0, "%"),
        };
        let mut words = series.words.to_owned();
        if let Some(first) = words.get_mut(..1) {
            first.make_ascii_uppercase();
        }
        let point = |(k, value): (usize, f64)| [count(k + 1), scale * value];
        let of = |wanted: &[usize]| -> Vec<[f64; 2]> {
            let own = series.values.iter().filter(|(k, _)| wanted.binary_search(k).is_ok());
            own.map(|value| point(*value)).collect()
        };
        let suspects: Vec<usize> = lot.suspects().collect();
        let beyond: Vec<usize> =
            series.out.iter().filter(|k| suspects.binary_search(k).is_err()).copied().collect();
        let sound: Vec<(usize, f64)> = series
            .values
            .iter()
            .filter(|(k, _)| suspects.binary_search(k).is_err())
            .copied()
            .collect();
        let ranges = sound
            .windows(2)
            .map(|pair| [count(pair[1].0 + 1), scale * (pair[1].1 - pair[0].1).abs()]);
        Self {
            series,
            name: format!("{words} ({unit})"),
            scale,
            points: series.values.iter().map(|value| point(*value)).collect(),
            sound: sound.iter().map(|value| point(*value)).collect(),
            ranges: ranges.collect(),
            suspects: of(&suspects),
            out: of(&beyond),
            runs: of(&series.runs),
        }
    }

    fn figure(
        &self,
        shop: &Shop,
        context: FigureContext,
        folder: &Path,
    ) -> Result<Figure, FigureError> {
        let chart = &self.series.chart;
        let name = format!("control-{}", self.series.key);
        check_finite(&name, "value of a hole", self.points.iter().flatten())?;
        let [low, high] = chart.limits.map(|limit| self.scale * limit);
        let title = format!("Control chart: {}", self.series.words);
        let stage = format!("{} holes in the order of the work", shop.holes.len());
        let mut sheet = Sheet::new(SIZE, &title, &context.subtitle(&stage));
        let far = FAR * (high - low);
        let all = || self.points.iter().map(|point| point[1]);
        let bottom = all().fold(low, f64::min).max(low - far);
        let top = all().fold(high, f64::max).min(high + far);
        let range_limit = self.scale * chart.range_limit;
        let range_top = self
            .ranges
            .iter()
            .fold(range_limit, |top, range| top.max(range[1]))
            .min(3.0 * range_limit);
        let last = count(shop.holes.len());
        let along = |name: &str| Axis::exact(0.0, last + 1.0, 8, name.to_owned());
        let window =
            |low: f64, high: f64| Window { low: [LEFT, low], high: [SIZE[0] - 30.0, high] };
        let margin = 0.06 * (top - bottom).max(f64::MIN_POSITIVE);
        let frames = [
            Chart {
                window: window(HEAD, FRAMES[0]),
                x: along("Hole"),
                y: Axis::rounded(bottom - margin, top + margin, 7, self.name.clone()),
            },
            Chart {
                window: window(FRAMES[1], FRAMES[2]),
                x: along("Hole"),
                y: Axis::rounded(0.0, range_top, 4, "Moving range".to_owned()),
            },
        ];
        for frame in &frames {
            frame.grid(&mut sheet);
        }
        let centre = [self.scale * chart.centre, self.scale * chart.mean_range];
        let level = |y: f64| [[0.0, y], [last + 1.0, y]];
        for (frame, centre) in frames.iter().zip(centre) {
            frame.curve(&mut sheet, &level(centre), Pen::new(MESH, 1.4));
        }
        let limit = Pen::new(series(1), 2.0).dashed(DASH);
        for y in [low, high] {
            frames[0].curve(&mut sheet, &level(y), limit);
        }
        frames[1].curve(&mut sheet, &level(range_limit), limit);
        self.lay(&mut sheet, &frames);
        for frame in &frames {
            frame.frame(&mut sheet)?;
        }
        let keys = self.keys(limit);
        let key_rows = rows(&keys, SIZE[0] - 126.0)?;
        legend(&mut sheet, &key_rows, [LEFT, FRAMES[2] + 62.0]);
        save(&sheet, Some(&self.csv(shop)), folder, &name)
    }

    fn lay(&self, sheet: &mut Sheet, frames: &[Chart; 2]) {
        let thin = Pen::new(series(0), if self.points.len() > MARKED { 0.8 } else { 1.6 });
        for (frame, points) in frames.iter().zip([&self.sound, &self.ranges]) {
            frame.curve(sheet, points, thin);
            if points.len() <= MARKED {
                frame.markers(sheet, points, Marker::full(Shape::Round, series(0)));
            }
        }
        frames[0].markers(sheet, &self.runs, marker(Mark::Run));
        frames[0].markers(sheet, &self.out, marker(Mark::Out));
        // A suspect far off stands at the edge of the frame.
        let (low, high) = (frames[0].y.low, frames[0].y.high);
        let inside: Vec<[f64; 2]> =
            self.suspects.iter().map(|[x, y]| [*x, y.clamp(low, high)]).collect();
        frames[0].markers(sheet, &inside, marker(Mark::Suspect));
    }

    fn keys(&self, limit: Pen) -> Vec<Key> {
        let mut keys = vec![
            Key::new(Sample::Line(Pen::new(MESH, 1.4)), "mean"),
            Key::new(Sample::Line(limit), "limits"),
        ];
        for (mark, points, label) in [
            (
                Mark::Suspect,
                &self.suspects,
                "suspect (not in mean and limits; at the edge: beyond it)",
            ),
            (Mark::Out, &self.out, "beyond the limits"),
            (Mark::Run, &self.runs, "nine or more on one side"),
        ] {
            if !points.is_empty() {
                keys.push(Key::new(Sample::Marker(marker(mark)), label));
            }
        }
        keys
    }

    fn csv(&self, shop: &Shop) -> String {
        let chart = &self.series.chart;
        let mut text = format!("number,hole,{},lower_limit,mean,upper_limit\n", cell(&self.name));
        let [low, high] = chart.limits.map(|limit| self.scale * limit);
        let mean = self.scale * chart.centre;
        for ((k, _), [number, value]) in self.series.values.iter().zip(&self.points) {
            let hole = cell(&shop.holes[*k].name);
            // Writing to a string cannot fail.
            let _ = writeln!(text, "{number},{hole},{value},{low},{mean},{high}");
        }
        text
    }
}

/// The meaning of a marker.
#[derive(Clone, Copy)]
enum Mark {
    Suspect,
    Out,
    Run,
}

fn marker(mark: Mark) -> Marker {
    match mark {
        Mark::Suspect => Marker::full(Shape::Triangle, series(1)),
        Mark::Out => Marker { shape: Shape::Diamond, colour: series(2), open: true },
        Mark::Run => Marker { shape: Shape::Square, colour: INK, open: true },
    }
}
