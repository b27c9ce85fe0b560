//! The growth of the plastic zone as a page to scrub through: one file, no network.
//!
//! Each frame is the border of the yielded metal as a path of a few hundred points, so that
//! fifty frames weigh less than one picture. Beside the plate run the curves of contact
//! pressure and of stress against strain at the edge, each with a dot where the frame
//! stands. Without scripts, and on paper, the last frame and a strip of six are there.

mod page;

use std::collections::HashMap;
use std::fmt::Write as _;
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use crate::geometry::hole::Hole;
use crate::mesh::topology::Mesh;
use crate::plot::charts::curves::{Curve, CurveChart, Look, laid};
use crate::plot::charts::edge_loop::{curves, on_loop};
use crate::plot::charts::legend::{Key, Sample};
use crate::plot::charts::pressure::EXPANSION;
use crate::plot::figure::{FigureContext, FigureError};
use crate::plot::growth::page::{Dots, Page, Still};
use crate::plot::level::label;
use crate::plot::paper::colour::{ELASTIC, REVERSE_YIELDED, YIELDED};
use crate::plot::paper::lines::simplified_loop;
use crate::plot::paper::svg;
use crate::plot::paper::window::Window;
use crate::plot::plate::contour::Contours;
use crate::plot::plate::lattice::Spread;
use crate::plot::plate::view::{PlateView, Surround, close_up};
use crate::plot::plate::zone_border::{any, signed};
use crate::process::history::Phase;
use crate::process::job::Job;
use crate::process::trace::{Frame, Trace, TraceRecord};
use crate::result::frames::frame_fields;

/// Lattice divisions of an element side.
const DIVISIONS: usize = 3;
/// Farthest that a border may pass from its points, logical pixels.
const STRAIGHT: f64 = 0.12;
/// Size of the charts beside the plate.
const BESIDE: [f64; 2] = [620.0, 440.0];

/// The plastic zone and the zone of reverse yielding round the watched hole through all frames of
/// `trace`, into `growth-HOLE.html`. `reach` is how many hole diameters are shown to each side.
///
/// # Errors
/// [`FigureError::Nothing`] when no frame was kept; [`FigureError::Mesh`] when one cannot be
/// read; [`FigureError::Write`].
pub fn plastic_growth(
    trace: &Trace,
    job: &Job,
    reach: f64,
    context: FigureContext,
    folder: &Path,
) -> Result<PathBuf, FigureError> {
    let hole = trace.hole();
    let name = format!("growth-{}", hole.name);
    let (Some(first), Some(last)) = (trace.frames.first(), trace.frames.last()) else {
        return Err(FigureError::Nothing { figure: name, missing: "frame" });
    };
    let index = trace.watched().hole;
    let window = close_up(&last.mesh, hole, Some(index), reach);
    let keys = [
        Key::new(Sample::Area(ELASTIC), "elastic so far"),
        Key::new(Sample::Area(YIELDED), "yielded"),
        Key::new(Sample::Area(REVERSE_YIELDED), "reverse yielding"),
    ];
    let title = format!("Growth of the plastic zone, hole {}", hole.name);
    let heads = [title.as_str(), &context.subtitle("")];
    let surround = Surround { heads, keys: &keys, right: 30.0 };
    let (mut sheet, view) = PlateView::lay(&first.mesh, window, &surround, context)?;
    view.finish(&mut sheet)?;
    let undrawn = |_| FigureError::Font;
    let plate = svg::render(&sheet).map_err(undrawn)?;

    let mut page = Page::new(&title, context, plate, view.frame(), sheet.size);
    let mut plates: HashMap<*const Mesh, usize> = HashMap::new();
    for frame in &trace.frames {
        let known = plates.len();
        let metal = *plates.entry(Arc::as_ptr(&frame.mesh)).or_insert(known);
        if metal == known {
            let all = vec![0.0; frame.mesh.nodes.len()];
            page.metal(&path(&view, &loops(&frame.mesh, &all, f64::NEG_INFINITY)));
        }
        page.still(still(trace, frame, job, (&view, metal), (context, &name))?);
    }
    let (curve, dots) = edge_chart(trace, context)?;
    page.chart(&curve, dots);
    if let Some((curve, dots)) = pressure_chart(trace, context)? {
        page.chart(&curve, dots);
    }
    let file = folder.join(format!("{name}.html"));
    fs::write(&file, page.text())
        .map_err(|source| FigureError::Write { path: file.clone(), source })?;
    Ok(file)
}

/// Closed lines round the metal of the whole plate where `values` are at or above `level`, mm.
fn loops(mesh: &Mesh, values: &[f64], level: f64) -> Vec<Vec<[f64; 2]>> {
    Contours::new(mesh, values, &[level], (DIVISIONS, Spread::Straight)).loops(0)
}

/// One frame: the paths of its zones and its words.
fn still(
    trace: &Trace,
    frame: &Frame,
    job: &Job,
    (view, metal): (&PlateView<'_>, usize),
    (context, name): (FigureContext, &str),
) -> Result<Still, FigureError> {
    let nodal =
        frame_fields(frame, job).map_err(|_| FigureError::Mesh { figure: name.to_owned() })?;
    let border = |strain: &[f64]| {
        if any(strain) {
            path(view, &loops(&frame.mesh, &signed(&frame.mesh, strain), 0.0))
        } else {
            String::new()
        }
    };
    let record = &trace.records[frame.record];
    Ok(Still {
        metal,
        yielded: border(&nodal.equivalent_plastic_strain),
        again: border(&nodal.reverse_plastic_strain),
        words: words(record),
        numbers: numbers(record, trace.hole(), context),
    })
}

fn words(record: &TraceRecord) -> String {
    let percent = label(100.0 * record.share, 1.0);
    let doing = match record.phase {
        _ if record.increment == 0 => return "before the work".to_owned(),
        Phase::Expand => "tool growing",
        Phase::Release if record.share >= 1.0 => return format!("{}: tool out", record.stage),
        // The share of a release says little: it ends when contact is lost.
        Phase::Release => return format!("{}: tool leaving", record.stage),
        Phase::Ream => "edge cut free",
        Phase::LoadUp => "load coming on",
        Phase::LoadDown => "load going off",
        Phase::Temperature => "temperature changing",
        Phase::Join => "doubler joined",
        Phase::Detach => "doubler coming off",
        Phase::Press => "bush pressed in",
    };
    format!("{}: {doing}, {percent} %", record.stage)
}

fn numbers(record: &TraceRecord, hole: &Hole, context: FigureContext) -> String {
    let stress = |value: f64| {
        let printed = context.stress(value);
        let step = if printed.abs() < 100.0 { 0.1 } else { 1.0 };
        format!("{} {}", label(printed, step), context.units.stress_name())
    };
    let moved = 100.0 * record.edge_displacement / hole.radius();
    let mut text = format!(
        "edge moved out {} %; hoop stress at the watched point {}, hoop strain {} %",
        label(moved, 0.01),
        stress(record.stress.hoop),
        label(100.0 * record.strain.hoop, 0.01)
    );
    if record.mean_pressure > 0.0 {
        let _ = write!(text, "; contact pressure {}", stress(record.mean_pressure));
    }
    text
}

/// Closed lines in mm as the data of an SVG path in pixels of the sheet.
fn path(view: &PlateView<'_>, lines: &[Vec<[f64; 2]>]) -> String {
    let Window { low, high } = view.frame();
    let reach = [high[0] - low[0], high[1] - low[1]];
    let wide = Window {
        low: [low[0] - reach[0], low[1] - reach[1]],
        high: [high[0] + reach[0], high[1] + reach[1]],
    };
    let mut data = String::new();
    for line in lines {
        let spots: Vec<[f64; 2]> = line.iter().map(|point| view.spot(*point)).collect();
        if !wide.may_meet(&spots) {
            continue;
        }
        for (k, [x, y]) in simplified_loop(&spots, STRAIGHT).into_iter().enumerate() {
            // Writing to a string cannot fail.
            let _ = write!(data, "{}{x:.1} {y:.1}", if k == 0 { 'M' } else { 'L' });
        }
        data.push('Z');
    }
    data
}

/// Stress against strain of the watched point, and where each frame stands on it.
fn edge_chart(trace: &Trace, context: FigureContext) -> Result<(String, Dots), FigureError> {
    let lines = curves(&trace.stretches(), |record| on_loop(record, context));
    let (sheet, frame) = laid(
        &CurveChart::new(
            ["growth", "At the watched point of the edge", ""],
            ["Hoop strain (%)", &context.stress_axis("Hoop stress")],
            &lines,
        ),
        BESIDE,
        FigureContext { case_title: "", ..context },
    )?;
    let picture = svg::render(&sheet).map_err(|_| FigureError::Font)?;
    let at = |f: &Frame| Some(frame.spot(on_loop(&trace.records[f.record], context)));
    Ok((picture, Dots { size: sheet.size, spots: trace.frames.iter().map(at).collect() }))
}

/// Mean contact pressure against expansion; `None` when no tool was at work.
fn pressure_chart(
    trace: &Trace,
    context: FigureContext,
) -> Result<Option<(String, Dots)>, FigureError> {
    let tool = |record: &TraceRecord| matches!(record.phase, Phase::Expand | Phase::Release);
    let on_chart = |r: &TraceRecord| [100.0 * r.expansion, context.stress(r.mean_pressure)];
    let mut lines: Vec<Curve> = Vec::new();
    for (number, stretch) in trace.stretches().into_iter().enumerate() {
        if stretch.records.last().is_some_and(|record| tool(record)) {
            let own = stretch.records.iter().filter(|record| tool(record) || record.increment == 0);
            // A stretch begins where the one before ended, unless that was another tool.
            let stage = stretch.records.last().map_or("", |record| &record.stage);
            let own = own.filter(|r| r.increment == 0 || r.stage == stage);
            let own = own.filter(|record| touching(record));
            let points = own.map(|record| on_chart(record)).collect();
            let look = Look::Line(number);
            // The colours are those of the chart above, which has the words.
            lines.push(Curve { label: String::new(), points, look });
        }
    }
    if lines.is_empty() {
        return Ok(None);
    }
    let (sheet, frame) = laid(
        &CurveChart::new(
            ["growth", "Mean contact pressure", ""],
            [EXPANSION, &context.stress_axis("Contact pressure")],
            &lines,
        ),
        BESIDE,
        FigureContext { case_title: "", ..context },
    )?;
    let picture = svg::render(&sheet).map_err(|_| FigureError::Font)?;
    let at = |f: &Frame| {
        let record = &trace.records[f.record];
        let shown = record.increment == 0 || (tool(record) && touching(record));
        shown.then(|| frame.spot(on_chart(record)))
    };
    Ok(Some((picture, Dots { size: sheet.size, spots: trace.frames.iter().map(at).collect() })))
}

/// Whether a leaving tool still presses; once it does not, its size says nothing about the hole.
fn touching(record: &TraceRecord) -> bool {
    record.phase != Phase::Release || record.mean_pressure > 0.0
}
