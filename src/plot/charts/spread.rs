//! Effect of tolerances: a band of profiles between its ends, and a histogram of drawn values.
//!
//! Small figures, three of which stand side by side on a printed page.

use std::fmt::Write as _;
use std::path::Path;

use crate::numeric::profile::Profile;
use crate::plot::charts::axis::Axis;
use crate::plot::charts::chart::Chart;
use crate::plot::charts::legend::{Key, ROW, Sample, legend, rows};
use crate::plot::figure::{Figure, FigureContext, FigureError, cell, check_finite, save};
use crate::plot::level::count;
use crate::plot::paper::colour::{INK, MESH, Rgb, series};
use crate::plot::paper::sheet::{HEAD, Pen, Sheet};
use crate::plot::paper::window::Window;

const SIZE: [f64; 2] = [560.0, 520.0];
const LEFT: f64 = 92.0;
/// Points along a band.
const ALONG: u32 = 120;
const DASHES: [&[f64]; 4] = [&[], &[8.0, 4.0], &[2.5, 3.0], &[12.0, 4.0, 2.5, 4.0]];

/// Hoop stress along one path for several sets of sizes, the band between them filled; into
/// `NAME.svg`, `.png`, `.csv`. Profiles in MPa against mm, `reach` in mm.
///
/// # Errors
/// [`FigureError::Nothing`] without a profile; [`FigureError::NotFinite`]; [`FigureError::Write`].
pub fn profile_band(
    name: &str,
    path: &str,
    profiles: &[(String, Profile)],
    reach: f64,
    context: FigureContext,
    folder: &Path,
) -> Result<Figure, FigureError> {
    let nothing = || FigureError::Nothing { figure: name.to_owned(), missing: "profile" };
    for (_, profile) in profiles {
        check_finite(name, "hoop stress", profile.values())?;
    }
    let places: Vec<f64> = (0..=ALONG).map(|k| reach * f64::from(k) / f64::from(ALONG)).collect();
    let mut curves: Vec<Vec<[f64; 2]>> = Vec::new();
    for (_, profile) in profiles {
        let point = |x: &f64| Some([context.length(*x), context.stress(profile.at(*x)?)]);
        curves.push(places.iter().map(point).collect::<Option<_>>().ok_or_else(nothing)?);
    }
    let all = || curves.iter().flatten().map(|point| point[1]);
    if curves.is_empty() {
        return Err(nothing());
    }
    let (low, high) = all().fold((0.0_f64, 0.0_f64), |(l, h), y| (l.min(y), h.max(y)));
    let keys: Vec<Key> = profiles
        .iter()
        .enumerate()
        .map(|(k, (label, _))| Key::new(Sample::Line(line(k)), label.clone()))
        .collect();
    let x =
        Axis::exact(0.0, context.length(reach), 6, context.length_axis("Distance from the edge"));
    let y = Axis::rounded(low, high, 6, context.stress_axis("Residual hoop stress"));
    let (mut sheet, chart, key_rows) =
        frame("Residual stress: the band", path, x, y, &keys, context)?;
    for k in 1..places.len() {
        let ends = |at: usize| {
            let ys = || curves.iter().map(|curve| curve[at][1]);
            let x = curves[0][at][0];
            [[x, ys().fold(f64::INFINITY, f64::min)], [x, ys().fold(f64::NEG_INFINITY, f64::max)]]
        };
        let ([a, b], [d, c]) = (ends(k - 1), ends(k));
        sheet.area(&[a, b, c, d].map(|point| chart.spot(point)), pale(series(0)));
    }
    chart.curve(&mut sheet, &[[0.0, 0.0], [chart.x.high, 0.0]], Pen::new(INK, 1.2));
    for (k, curve) in curves.iter().enumerate() {
        chart.curve(&mut sheet, curve, line(k));
    }
    finish(&mut sheet, &chart, &key_rows)?;
    let units = context.units;
    let mut csv = format!("curve,distance_{},hoop_{}\n", units.length_name(), units.stress_name());
    for ((label, _), curve) in profiles.iter().zip(&curves) {
        for [x, y] in curve {
            // Writing to a string cannot fail.
            let _ = writeln!(csv, "{},{x},{y}", cell(label));
        }
    }
    save(&sheet, Some(&csv), folder, name)
}

/// Values to be counted and what to call them.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Counted<'a> {
    /// Words in the legend.
    pub label: &'a str,
    /// In the unit of the axis.
    pub values: &'a [f64],
}

/// How often values fall where: a histogram, with upright lines at values of note.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Histogram<'a> {
    /// Name of the files.
    pub name: &'a str,
    /// Title.
    pub title: &'a str,
    /// Below the title, after that of the case.
    pub stage: &'a str,
    /// Quantity and unit along the axis.
    pub axis: &'a str,
    /// One or more sets of values.
    pub counted: &'a [Counted<'a>],
    /// Upright lines: words and value.
    pub lines: &'a [(String, f64)],
}

/// Draws `histogram` into `NAME.svg`, `.png` and `.csv`; heights are shares of each set in a bar.
///
/// # Errors
/// [`FigureError::Nothing`] without a value; [`FigureError::NotFinite`]; [`FigureError::Write`].
pub fn histogram(
    histogram: &Histogram<'_>,
    context: FigureContext,
    folder: &Path,
) -> Result<Figure, FigureError> {
    const BARS: usize = 48;
    let name = histogram.name;
    let values = || histogram.counted.iter().flat_map(|one| one.values.iter().copied());
    for one in histogram.counted {
        check_finite(name, "value", one.values)?;
    }
    let marked = histogram.lines.iter().map(|line| line.1);
    let (low, high) = values()
        .chain(marked)
        .fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), x| (l.min(x), h.max(x)));
    if values().next().is_none() || low > high {
        return Err(FigureError::Nothing { figure: name.to_owned(), missing: "value" });
    }
    // A width for values that are all one.
    let margin = (0.03 * (high - low)).max(1e-6 * high.abs()).max(f64::MIN_POSITIVE);
    let x = Axis::exact(low - margin, high + margin, 6, histogram.axis.to_owned());
    let width = (x.high - x.low) / count(BARS);
    let shares: Vec<Vec<f64>> = histogram
        .counted
        .iter()
        .map(|one| {
            let mut bars = vec![0.0; BARS];
            for value in one.values {
                // Inside the axis by its margin: the cast neither wraps nor loses a sign.
                #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
                let bar = (((value - x.low) / width) as usize).min(BARS - 1);
                bars[bar] += 100.0 / count(one.values.len());
            }
            bars
        })
        .collect();
    let top = shares.iter().flatten().fold(0.0_f64, |top, share| top.max(*share));
    let mut keys: Vec<Key> = Vec::new();
    for (k, one) in histogram.counted.iter().enumerate() {
        keys.push(Key::new(Sample::Area(bar_colour(k)), one.label));
    }
    for (k, (label, _)) in histogram.lines.iter().enumerate() {
        keys.push(Key::new(Sample::Line(mark(k)), label.clone()));
    }
    let y = Axis::rounded(0.0, top, 5, "Share of draws in a bar (%)".to_owned());
    let (mut sheet, chart, key_rows) =
        frame(histogram.title, histogram.stage, x, y, &keys, context)?;
    for (k, bars) in shares.iter().enumerate() {
        for (bar, share) in bars.iter().enumerate().filter(|(_, share)| **share > 0.0) {
            let left = chart.x.low + width * count(bar);
            let low = chart.spot([left, *share]);
            let high = chart.spot([left + width, 0.0]);
            sheet.rectangle(Window { low, high }, bar_colour(k));
        }
    }
    for (k, (_, value)) in histogram.lines.iter().enumerate() {
        chart.curve(&mut sheet, &[[*value, 0.0], [*value, chart.y.high]], mark(k));
    }
    finish(&mut sheet, &chart, &key_rows)?;
    let mut csv = format!("set,{} from,to,share_percent\n", cell(histogram.axis));
    for (one, bars) in histogram.counted.iter().zip(&shares) {
        for (bar, share) in bars.iter().enumerate() {
            let left = chart.x.low + width * count(bar);
            // Writing to a string cannot fail.
            let _ = writeln!(csv, "{},{left},{},{share}", cell(one.label), left + width);
        }
    }
    save(&sheet, Some(&csv), folder, name)
}

type KeyRows = Vec<Vec<(f64, Key)>>;

/// The empty sheet with its grid, and where the legend goes.
fn frame(
    title: &str,
    stage: &str,
    x: Axis,
    y: Axis,
    keys: &[Key],
    context: FigureContext,
) -> Result<(Sheet, Chart, KeyRows), FigureError> {
    let key_rows = rows(keys, SIZE[0] - LEFT + 50.0)?;
    let bottom = SIZE[1] - 64.0 - count(key_rows.len()) * ROW - 12.0;
    let window = Window { low: [LEFT, HEAD], high: [SIZE[0] - 24.0, bottom] };
    let chart = Chart { window, x, y };
    let mut sheet = Sheet::new(SIZE, title, &context.subtitle(stage));
    chart.grid(&mut sheet);
    Ok((sheet, chart, key_rows))
}

fn finish(sheet: &mut Sheet, chart: &Chart, key_rows: &KeyRows) -> Result<(), FigureError> {
    chart.frame(sheet)?;
    legend(sheet, key_rows, [30.0, chart.window.high[1] + 58.0]);
    Ok(())
}

fn line(k: usize) -> Pen {
    let colour = [1, 0, 2][k % 3];
    Pen::new(series(colour), if k == 1 { 3.0 } else { 2.0 }).dashed(DASHES[[1, 0, 2][k % 3]])
}

fn mark(k: usize) -> Pen {
    Pen::new(if k.is_multiple_of(2) { INK } else { MESH }, 1.8)
        .dashed(DASHES[(k + 1) % DASHES.len()])
}

fn bar_colour(k: usize) -> Rgb {
    let Rgb(channels) = series(k);
    Rgb(channels.map(|channel| mixed(channel, 110)))
}

/// A tint to write on.
fn pale(Rgb(channels): Rgb) -> Rgb {
    Rgb(channels.map(|channel| mixed(channel, 205)))
}

/// `channel` mixed with `white` parts in 255 of white.
fn mixed(channel: u8, white: u8) -> u8 {
    let (own, white) = (u32::from(channel), u32::from(white));
    // At most 255.
    u8::try_from((own * (255 - white) + 255 * white) / 255).unwrap_or(u8::MAX)
}
