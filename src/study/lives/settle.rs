//! The service load on the residual state until the metal no longer yields: what of the residual
//! stress the load itself leaves.
//!
//! A load that yields the worked metal again changes the field that the work left. The plate is taken
//! through whole cycles between the highest and the lowest load of the sequence, with the metal as it
//! stands, until a cycle adds no plastic strain that matters ([`SHAKEN_DOWN`]); what then stands
//! without load is the field that cracks grow in. Cracks, creep and cyclic softening beyond the
//! hardening law are not in it.
//!
//! The cycles cost as much as a stage does: what they left is kept on a shelf and taken from there the next time.

use std::ops::ControlFlow;
use std::sync::atomic::{AtomicBool, Ordering};

use nalgebra::Vector4;

use crate::case::Case;
use crate::material::hardening::Hardening;
use crate::material::state::back_places;
use crate::process::history::HistoryRecord;
use crate::process::job::Job;
use crate::process::program::{Block, Program};
use crate::process::sequence::{Ending, Observer, Sequence};
use crate::process::snapshot::Snapshot;
use crate::process::stage::{Load, Stage};
use crate::process::stage_error::StageError;
use crate::result::service_summary::SHAKEN_DOWN;
use crate::solver::tables::{FoldedElement, Tables};
use crate::study::last_state::Shelf;

/// Cycles after which the state is looked at: most loads are settled by the second.
const LOOKS: [usize; 3] = [2, 4, 14];

/// A residual state after the service load.
#[derive(Clone, Debug)]
pub struct Settled {
    /// The state without load.
    pub snapshot: Snapshot,
    /// Cycles run.
    pub cycles: usize,
    /// Largest growth of the equivalent plastic strain in the first cycle.
    pub first_growth: f64,
    /// The same in the last cycle.
    pub last_growth: f64,
}

impl Settled {
    /// Where `snapshot` has come to by cycles of a load on `before`.
    fn of(snapshot: Snapshot, before: &Snapshot) -> Self {
        let run = snapshot.services.iter().skip(before.services.len());
        let growths: Vec<f64> = run.flat_map(|one| &one.periods).map(|one| one.growth).collect();
        Self {
            cycles: growths.len(),
            first_growth: growths.first().copied().unwrap_or(f64::NAN),
            last_growth: growths.last().copied().unwrap_or(f64::INFINITY),
            snapshot,
        }
    }

    /// Whether the last cycle was elastic.
    #[must_use]
    pub(crate) fn is_settled(&self) -> bool {
        self.last_growth <= SHAKEN_DOWN
    }

    /// Whether the load yielded the metal at all.
    #[must_use]
    pub fn yielded(&self) -> bool {
        self.first_growth > SHAKEN_DOWN
    }
}

/// Takes `state` of `job` through cycles of `load` between the shares `[lowest, highest]`, from what a
/// shelf has of them under `name`. `None` when it was stopped or the plate does not bear the load.
///
/// # Errors
/// [`StageError`] when the equations cannot be set up.
pub fn settle(
    job: &Job,
    state: &Snapshot,
    load: &Load,
    [lowest, highest]: [f64; 2],
    stop: &AtomicBool,
    (shelf, name): (&dyn Shelf, &str),
) -> Result<Option<Settled>, StageError> {
    let mut job = job.clone();
    job.stages.truncate(state.stage);
    // Kept under the name of all cycles that it might have taken.
    let mut longest = job.clone();
    longest.stages.extend(service(load, Block { highest, lowest, cycles: LOOKS.iter().sum() }));
    let mut now = if let Some(kept) = shelf.take(name, &longest).filter(is_free) {
        Settled::of(kept, state)
    } else {
        let mut now = Settled::of(state.clone(), state);
        for cycles in LOOKS {
            job.stages.extend(service(load, Block { highest, lowest, cycles }));
            let Some(left) = left(&job, now.snapshot, stop)? else { return Ok(None) };
            now = Settled::of(left, state);
            if now.is_settled() {
                break;
            }
        }
        shelf.keep(name, &longest, &now.snapshot);
        now
    };
    // It stands for the state that the lives begin with, whose name it keeps.
    now.snapshot.label.clone_from(&state.label);
    Ok(Some(now))
}

/// Cycles of `load` on a plate that has none, its pins put in before and taken out after.
fn service(load: &Load, block: Block) -> impl Iterator<Item = Stage> {
    let pins = load.bearing.iter().map(|&(hole, _)| hole);
    let fasten = pins.clone().map(|hole| Stage::Fasten { hole, diameter: None, elastic: None });
    let cycles = Stage::Service { load: load.clone(), program: Program::Blocks(vec![block]) };
    fasten.chain([cycles]).chain(pins.map(|hole| Stage::Unfasten { hole }))
}

/// The state without load that the stages of `job` after `state` leave; `None` when it was stopped or a stage failed.
fn left(job: &Job, state: Snapshot, stop: &AtomicBool) -> Result<Option<Snapshot>, StageError> {
    let mut last = Last { stop, free: None };
    let ended = Sequence::resume(job.clone(), state)?.run(&mut last);
    Ok(last.free.filter(|_| matches!(ended, Ok(Ending::Done))))
}

/// Whether it is whole and bears no load.
fn is_free(snapshot: &Snapshot) -> bool {
    snapshot.finished && !snapshot.loaded
}

struct Last<'a> {
    stop: &'a AtomicBool,
    free: Option<Snapshot>,
}

impl Observer for Last<'_> {
    fn increment(&mut self, _: &HistoryRecord) -> ControlFlow<()> {
        if self.stop.load(Ordering::SeqCst) {
            ControlFlow::Break(())
        } else {
            ControlFlow::Continue(())
        }
    }

    fn snapshot(&mut self, snapshot: Snapshot) -> ControlFlow<()> {
        if is_free(&snapshot) {
            self.free = Some(snapshot);
        }
        ControlFlow::Continue(())
    }
}

/// Half the angle about the line of a crack in which metal is looked at, degrees.
const BESIDE_LINE: f64 = 10.0;
/// The same for the distance from the centre of the hole, in its radii.
const ALONG_LINE: f64 = 3.0;

/// The factor on the load at which the metal beside the lines of the cracks begins to yield under load, at
/// the highest or at the lowest load; infinite when neither end can. `lines` are holes with directions in
/// degrees.
///
/// From the stresses and histories of the state and the elastic `answer` to the load at share 1: at each
/// point the smallest positive root of `3/2 |s + f s₁ − α|² = σ_y²`. Metal that the release left on its
/// yield surface elsewhere at the edge yields a little under the smallest load, which no crack sees.
///
/// # Errors
/// [`FoldedElement`] for a mesh that was not solved on.
pub(crate) fn yielding_begins(
    case: &Case,
    (state, answer): (&Snapshot, &Snapshot),
    lines: &[(usize, f64)],
    shares: [f64; 2],
) -> Result<f64, FoldedElement> {
    let material = &case.job.material;
    let places = back_places(material);
    let tables = Tables::new(&state.mesh, case.job.measure())?;
    let mirrored = state.mesh.symmetry.copies() > 1;
    let beside = |position: [f64; 2]| {
        lines.iter().any(|&(hole, angle)| {
            let hole = &case.job.plate.holes[hole];
            let [x, y] = [position[0] - hole.centre[0], position[1] - hole.centre[1]];
            let at = y.atan2(x).to_degrees();
            // The sine is small on both sides of the hole, which carry the same line.
            let near =
                |line: f64| (at - line).to_radians().sin().abs() <= BESIDE_LINE.to_radians().sin();
            x.hypot(y) <= ALONG_LINE * hole.radius() && (near(angle) || mirrored && near(-angle))
        })
    };
    let mut least = f64::INFINITY;
    for (point, flow) in state.state.points.iter().enumerate() {
        if !beside(tables.positions[point]) {
            continue;
        }
        let backs = &state.state.backstress[point * places..(point + 1) * places];
        let back: Vector4<f64> = backs.iter().sum();
        let own = deviator(&state.state.stress[point]) - back;
        let limit = material.yield_stress(flow.equivalent);
        for share in shares.into_iter().filter(|share| *share != 0.0) {
            let step = deviator(&answer.state.stress[point]) * share;
            let (a, b) = (product(&step, &step), product(&own, &step));
            let c = product(&own, &own) - 2.0 / 3.0 * limit * limit;
            if a > 0.0 {
                let root = ((b * b - a * c.min(0.0)).sqrt() - b) / a;
                least = least.min(root.max(0.0));
            }
        }
    }
    Ok(least)
}

fn deviator(stress: &Vector4<f64>) -> Vector4<f64> {
    let mean = (stress[0] + stress[1] + stress[2]) / 3.0;
    Vector4::new(stress[0] - mean, stress[1] - mean, stress[2] - mean, stress[3])
}

/// `a : b` of tensors `(xx, yy, zz, xy)`.
fn product(a: &Vector4<f64>, b: &Vector4<f64>) -> f64 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2] + 2.0 * a[3] * b[3]
}
