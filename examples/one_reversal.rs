//! Lesson: from a pull with one reversal to the residual stress of a hole, and what the uncertainty of the
//! loop does to its life.
//!
//! ```text
//! cargo run --release --example one_reversal               prints and checks
//! cargo run --release --example one_reversal -- FOLDER     also draws the figures of the page
//! ```
//!
//! The page to read beside it is `examples/one_reversal.md`.
#![allow(clippy::print_stdout)]

#[path = "common/lesson.rs"]
mod lesson;
#[path = "common/page.rs"]
mod page;

use std::path::Path;
use std::sync::atomic::AtomicBool;

use hoopset::fit::groups::{Answer, answer};
use hoopset::fit::metal::{Fitted, Plan, Unknown};
use hoopset::fit::record::{Measure, Record};
use hoopset::fit::starts::Look;
use hoopset::material::bar::follow;
use hoopset::material::constant::Constant;
use hoopset::numeric::random::Random;
use hoopset::plot::{Curve, CurveChart, FigureContext, Look as Line, curve_chart};
use hoopset::study::last_state::{LastState, last_state};
use hoopset::study::lives::{lives, plan};
use hoopset::units::Units;
use hoopset::{Case, Material, parse, read};
use lesson::{Outcome, near};
use nalgebra::DVector;
use page::{Page, fixed, grouped};

/// Scatter of the tests, MPa.
const SCATTER: f64 = 3.0;
/// Points of a test from one turn to the next.
const POINTS: usize = 60;
/// Step of the logarithm of a constant, for differences of solutions.
const STEP: f64 = 0.03;

/// A test of the metal along straight ways between strains, with scatter.
fn test(metal: &Material, turns: &[f64]) -> Outcome<Record> {
    let mut random = Random::new(7);
    let ways = turns.windows(2).flat_map(|pair| {
        let (from, to) = (pair[0], pair[1]);
        (1..=POINTS).map(move |k| from + (to - from) * k as f64 / POINTS as f64)
    });
    let strains: Vec<f64> = ways.collect();
    let path = follow(metal, &[], strains.iter().copied()).ok_or("no such bar")?;
    let stresses = path.iter().map(|point| point.stress + SCATTER * random.normal()).collect();
    Ok(Record::new("test", [strains, stresses], Measure::True))
}

/// The constants of the law of `like` that follow the test.
fn fitted(record: &Record, like: &Material) -> Outcome<Answer> {
    let records = [record.clone()];
    let look = Look::at(&records, None);
    let unknowns = Constant::all(like)
        .into_iter()
        .map(|constant| Unknown { constant, limits: look.limits(constant), start: None })
        .collect();
    Ok(answer(&records, &Plan { metal: like.clone(), unknowns }, &|| false)?)
}

/// Answers of the hole made of a metal.
struct Hole {
    /// Hoop stress left at the edge, MPa.
    edge: f64,
    /// Equivalent plastic strain there.
    strain: f64,
    /// Cycles of the worst crack.
    life: f64,
}

fn hole(case: &Case, metal: &Material) -> Outcome<Hole> {
    let mut case = case.clone();
    case.job.material = metal.clone();
    let stop = AtomicBool::new(false);
    let state = last_state(&case, case.job.clone(), &stop, |snapshot| snapshot.finished);
    let LastState::Done(Some(snapshot)) = state else {
        return Err("the hole is not solved".into());
    };
    let (stage, summary) = read(&snapshot, &case.job, &[vec![90.0]])?;
    let edge = summary.paths.first().ok_or("no path")?.edge_hoop;
    let strain = stage.paths[0].points[0].equivalent_plastic_strain;
    let life = lives(&case, plan(&case)?, &[*snapshot], &[], &stop)?.expanded_life();
    Ok(Hole { edge, strain, life })
}

/// Half the 90 % interval of the edge stress, MPa, and of the logarithm of the life.
fn uncertainty(case: &Case, fit: &Fitted) -> Outcome<[f64; 2]> {
    let mut slopes = [Vec::new(), Vec::new()];
    for value in &fit.values {
        let constant = value.unknown.constant;
        let at = |by: f64| {
            let mut metal = fit.metal.clone();
            constant.put(&mut metal, value.value * by.exp());
            hole(case, &metal)
        };
        let (low, high) = (at(-STEP)?, at(STEP)?);
        slopes[0].push((high.edge - low.edge) / (2.0 * STEP));
        slopes[1].push((high.life / low.life).ln() / (2.0 * STEP));
    }
    Ok(slopes.map(|slopes| {
        let slopes = DVector::from_vec(slopes);
        fit.certainty.quantile * slopes.dot(&(&fit.certainty.covariance * &slopes)).sqrt()
    }))
}

fn main() -> Outcome<()> {
    let case = parse(include_str!("one_reversal.toml"), "one_reversal.toml")?;
    let truth = case.job.material.clone();
    let mut page = Page::open("examples/one_reversal.md")?;

    // A pull alone: the two ends between which the metal lies.
    let pull = test(&truth, &[0.0, 0.03])?;
    let alone = fitted(&pull, &truth)?;
    let (kinematic, _) = alone.kinematic_bound.ok_or("a pull alone tells no share")?;
    let ends = [hole(&case, &alone.all.metal)?, hole(&case, &kinematic)?];

    // One reversal: all constants, with their intervals.
    let reversed = test(&truth, &[0.0, 0.03, -0.01])?;
    let told = fitted(&reversed, &truth)?.all;
    let middle = hole(&case, &told.metal)?;
    let [stress, life] = uncertainty(&case, &told)?;
    let true_hole = hole(&case, &truth)?;

    let (mut rows, mut inside) = (Vec::new(), 0);
    for value in &told.values {
        let digits = usize::from(value.value < 1000.0);
        let show = |number: f64| fixed(number, digits);
        let [low, high] = value.interval.ok_or("the reversal tells all constants")?;
        let exact = value.unknown.constant.of(&truth).ok_or("of the same law")?;
        inside += usize::from(low < exact && exact < high);
        let cells = [value.value, low, high, exact].map(show);
        rows.push([vec![value.unknown.constant.name()], cells.to_vec()].concat());
    }
    // Each holds the truth nine times in ten.
    assert!(inside >= 4, "{inside} of {}", told.values.len());
    page.value("inside", inside as f64);
    page.table("constants", &["constant", "found", "90 % from", "to", "in truth"], &rows);

    // By hand: the edge is bare, and of the isotropic metal its stress is that of the first pull at the
    // strain of the edge. 3 %: it has not all yielded in the hoop direction.
    let by_hand = -alone.all.metal.monotonic_stress(ends[0].strain);
    near("the isotropic end", ends[0].edge, by_hand, 0.03);
    page.value("isotropic by hand", by_hand);
    let cycles = |cycles: f64| grouped(cycles, 2);
    let row =
        |words: &str, hole: &Hole| vec![words.to_owned(), fixed(hole.edge, 0), cycles(hole.life)];
    let interval = vec![
        "90 % interval of that".to_owned(),
        format!("{} to {}", fixed(middle.edge - stress, 0), fixed(middle.edge + stress, 0)),
        format!("{} to {}", cycles(middle.life * (-life).exp()), cycles(middle.life * life.exp())),
    ];
    page.table(
        "holes",
        &["metal of the hole", "hoop at the edge, MPa", "cycles"],
        &[
            row("pull alone, all hardening isotropic", &ends[0]),
            row("pull alone, all kinematic", &ends[1]),
            row("with one reversal", &middle),
            interval,
            row("in truth", &true_hole),
        ],
    );
    page.value("ends apart", (ends[1].edge - ends[0].edge).abs());
    page.value("half the interval", stress);
    page.value("lives apart", ends[0].life / ends[1].life);
    page.value("half the interval of life, percent", 100.0 * life.exp_m1());
    assert!(stress < 0.2 * (ends[1].edge - ends[0].edge).abs(), "the reversal tells most of it");
    assert!((middle.edge - true_hole.edge).abs() < 2.0 * stress, "the truth is near");

    if let Some(folder) = lesson::folder() {
        draw(&case, (&pull, &alone.all.metal, &kinematic), (&reversed, &told.metal), &folder)?;
    }
    Ok(page.close()?)
}

/// The test, the two metals that follow its pull, and the one that follows all of it.
fn draw(
    case: &Case,
    (pull, isotropic, kinematic): (&Record, &Material, &Material),
    (reversed, told): (&Record, &Material),
    folder: &Path,
) -> Outcome<()> {
    std::fs::create_dir_all(folder)?;
    let points = |record: &Record| -> Vec<[f64; 2]> {
        record.strains.iter().zip(&record.stresses).map(|(e, s)| [100.0 * e, *s]).collect()
    };
    let bar = |label: &str, metal: &Material, look: Line| -> Outcome<Curve> {
        let strains = reversed.strains.iter().copied();
        let path = follow(metal, &[], strains.clone()).ok_or("no such bar")?;
        let points = strains.zip(&path).map(|(e, point)| [100.0 * e, point.stress]).collect();
        Ok(Curve { label: label.to_owned(), points, look })
    };
    let measured = Curve {
        label: "test".to_owned(),
        points: points(reversed).into_iter().step_by(4).collect(),
        look: Line::Points,
    };
    let curves = [
        bar("pull alone, isotropic", isotropic, Line::Dashed(1))?,
        bar("pull alone, kinematic", kinematic, Line::Dashed(2))?,
        bar("with one reversal", told, Line::Bare(0))?,
        measured,
    ];
    println!("{} points of the pull", pull.strains.len());
    let context = FigureContext { case_title: &case.title, units: Units::MmMpa };
    curve_chart(
        &CurveChart::new(
            ["loops", "One reversal tells the metals apart", "tests of a bar"],
            ["Strain (%)", "Stress (MPa)"],
            &curves,
        ),
        context,
        folder,
    )?;
    Ok(())
}
