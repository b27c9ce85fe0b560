//! Tools of a case: its input, its settings, and the whole program from mesh to result.

use std::ops::ControlFlow;
use std::sync::atomic::{AtomicBool, Ordering};

use crate::case::{self, Case};
use crate::process::history::HistoryRecord;
use crate::process::job::Job;
use crate::process::sequence::{Ending, Observer, Sequence};
use crate::process::snapshot::Snapshot;
use crate::result::path::StressPath;
use crate::result::read::read;
use crate::result::stage::StageResult;
use crate::result::summary::{PathSummary, StageSummary};
use crate::verify::trouble::Trouble;

/// How much is run.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Effort {
    /// Few and coarse meshes: enough to see a mistake.
    Quick,
    /// Everything.
    Whole,
}

/// The place a case is run at.
#[derive(Debug)]
pub struct Bench<'a> {
    /// Name of the case.
    pub name: &'a str,
    /// Text of its input file.
    pub input: &'a str,
    /// Its settings.
    pub settings: &'a toml::Table,
    /// How much is run.
    pub effort: Effort,
    /// Raised when the user interrupts.
    pub stop: &'a AtomicBool,
}

/// Everything read from one snapshot.
#[derive(Clone, Debug)]
pub struct Reading {
    /// The snapshot.
    pub snapshot: Snapshot,
    /// Fields and paths.
    pub result: StageResult,
    /// Numbers.
    pub summary: StageSummary,
}

impl Bench<'_> {
    /// The input as a case file of the program.
    ///
    /// # Errors
    ///
    /// Whatever the reader complains about.
    pub fn case(&self) -> Result<Case, Trouble> {
        Ok(case::parse(self.input, &format!("{}/case.toml", self.name))?)
    }

    /// The work that the input describes.
    ///
    /// # Errors
    ///
    /// As [`case`](Self::case).
    pub fn job(&self) -> Result<Job, Trouble> {
        Ok(self.case()?.job)
    }

    /// The work on a mesh of another fineness.
    ///
    /// # Errors
    ///
    /// As [`case`](Self::case).
    pub fn job_at(&self, fineness: f64) -> Result<Job, Trouble> {
        let mut job = self.job()?;
        job.numerics.fineness = fineness;
        Ok(job)
    }

    /// The input as a plain table, for problems that are no plate with a hole.
    ///
    /// # Errors
    ///
    /// [`Trouble::Input`] when it is no TOML.
    pub fn table(&self) -> Result<toml::Table, Trouble> {
        toml::from_str(self.input).map_err(|e| Trouble::missing(format!("readable input: {e}")))
    }

    /// A setting.
    ///
    /// # Errors
    ///
    /// [`Trouble::Input`] when it is missing or no number.
    pub fn number(&self, key: &str) -> Result<f64, Trouble> {
        number(self.settings, key)
    }

    /// A list of settings.
    ///
    /// # Errors
    ///
    /// [`Trouble::Input`] when it is missing or no list of numbers.
    pub fn numbers(&self, key: &str) -> Result<Vec<f64>, Trouble> {
        numbers(self.settings, key)
    }

    /// The meshes or increments to run: `levels`, or `quick_levels` when time is short.
    ///
    /// # Errors
    ///
    /// As [`numbers`](Self::numbers).
    pub fn levels(&self) -> Result<Vec<f64>, Trouble> {
        match self.effort {
            Effort::Quick => self.numbers("quick_levels"),
            Effort::Whole => self.numbers("levels"),
        }
    }

    /// Gives up when the user interrupted.
    ///
    /// # Errors
    ///
    /// [`Trouble::Interrupted`].
    pub(crate) fn go_on(&self) -> Result<(), Trouble> {
        if self.stop.load(Ordering::SeqCst) { Err(Trouble::Interrupted) } else { Ok(()) }
    }

    /// Runs a job to its end and returns all snapshots.
    ///
    /// # Errors
    ///
    /// A stage that failed, or [`Trouble::Interrupted`].
    pub fn run(&self, job: &Job) -> Result<Vec<Snapshot>, Trouble> {
        self.run_until(job, |_| false)
    }

    /// Runs a job to the first snapshot that is the `last` one wanted.
    ///
    /// # Errors
    ///
    /// As [`run`](Self::run).
    pub(crate) fn run_until(
        &self,
        job: &Job,
        last: impl Fn(&Snapshot) -> bool,
    ) -> Result<Vec<Snapshot>, Trouble> {
        self.go_on()?;
        let mut keep = Keep { snapshots: Vec::new(), stop: self.stop, last };
        let ending = Sequence::new(job.clone())?.run(&mut keep)?;
        if ending == Ending::Interrupted {
            self.go_on()?;
        }
        Ok(keep.snapshots)
    }

    /// The elastic answer of a job to its first load, in one increment.
    ///
    /// # Errors
    ///
    /// As [`run`](Self::run).
    pub fn loaded(&self, mut job: Job, angles: &[Vec<f64>]) -> Result<Reading, Trouble> {
        job.numerics.increments = 1;
        let snapshots = self.run_until(&job, |snapshot| snapshot.loaded)?;
        let snapshot = snapshots.into_iter().next_back();
        reading(snapshot.ok_or_else(|| Trouble::missing("stage"))?, &job, angles)
    }

    /// The state at the end of a job.
    ///
    /// # Errors
    ///
    /// As [`run`](Self::run).
    pub fn finished(&self, job: &Job) -> Result<Reading, Trouble> {
        let snapshot = self.run(job)?.into_iter().next_back();
        reading(snapshot.ok_or_else(|| Trouble::missing("stage"))?, job, &[])
    }
}

/// Reads a snapshot.
///
/// # Errors
///
/// When its mesh is folded.
pub fn reading(snapshot: Snapshot, job: &Job, angles: &[Vec<f64>]) -> Result<Reading, Trouble> {
    let (result, summary) = read(&snapshot, job, angles)?;
    Ok(Reading { snapshot, result, summary })
}

impl Reading {
    /// The path from a hole in a direction, degrees.
    ///
    /// # Errors
    ///
    /// [`Trouble::Input`] when there is none.
    pub fn path(&self, hole: &str, angle_deg: f64) -> Result<&StressPath, Trouble> {
        let wanted = |path: &&StressPath| path.hole == hole && same(path.angle_deg, angle_deg);
        let found = self.result.paths.iter().find(wanted);
        found.ok_or_else(|| Trouble::missing(format!("path of hole {hole} at {angle_deg}°")))
    }

    /// The same path in numbers.
    ///
    /// # Errors
    ///
    /// [`Trouble::Input`] when there is none.
    pub fn numbers(&self, hole: &str, angle_deg: f64) -> Result<&PathSummary, Trouble> {
        let wanted = |path: &&PathSummary| path.hole == hole && same(path.angle_deg, angle_deg);
        let found = self.summary.paths.iter().find(wanted);
        found.ok_or_else(|| Trouble::missing(format!("path of hole {hole} at {angle_deg}°")))
    }

    /// Hoop stress at the edge of a hole in a direction, MPa.
    ///
    /// # Errors
    ///
    /// [`Trouble::Input`] when there is no such path.
    pub fn edge_hoop(&self, hole: &str, angle_deg: f64) -> Result<f64, Trouble> {
        Ok(self.path(hole, angle_deg)?.points[0].stress.hoop)
    }

    /// Hoop stress at the far end of that path, MPa.
    ///
    /// # Errors
    ///
    /// [`Trouble::Input`] when there is no such path.
    pub(crate) fn far_hoop(&self, hole: &str, angle_deg: f64) -> Result<f64, Trouble> {
        let path = self.path(hole, angle_deg)?;
        let last = path.points.last().ok_or_else(|| Trouble::missing("points on a path"))?;
        Ok(last.stress.hoop)
    }
}

fn same(one: f64, other: f64) -> bool {
    ((one - other + 180.0).rem_euclid(360.0) - 180.0).abs() < 1e-6
}

/// A number of a table.
///
/// # Errors
///
/// [`Trouble::Input`] when it is missing or no number.
pub fn number(table: &toml::Table, key: &str) -> Result<f64, Trouble> {
    table.get(key).and_then(plain).ok_or_else(|| Trouble::missing(format!("number `{key}`")))
}

/// A list of numbers of a table.
///
/// # Errors
///
/// [`Trouble::Input`] when it is missing or holds something else.
pub fn numbers(table: &toml::Table, key: &str) -> Result<Vec<f64>, Trouble> {
    table
        .get(key)
        .and_then(toml::Value::as_array)
        .and_then(|list| list.iter().map(plain).collect::<Option<Vec<f64>>>())
        .ok_or_else(|| Trouble::missing(format!("list of numbers `{key}`")))
}

/// A list of rows of numbers of a table.
///
/// # Errors
///
/// [`Trouble::Input`] when it is missing or a row has another length.
pub fn rows<const N: usize>(table: &toml::Table, key: &str) -> Result<Vec<[f64; N]>, Trouble> {
    let row = |value: &toml::Value| -> Option<[f64; N]> {
        let list = value.as_array()?.iter().map(plain).collect::<Option<Vec<f64>>>()?;
        list.try_into().ok()
    };
    table
        .get(key)
        .and_then(toml::Value::as_array)
        .and_then(|list| list.iter().map(row).collect::<Option<Vec<_>>>())
        .ok_or_else(|| Trouble::missing(format!("rows of {N} numbers `{key}`")))
}

fn plain(value: &toml::Value) -> Option<f64> {
    // Whole numbers of a settings table stay far below 2^52.
    value.as_float().or_else(|| value.as_integer().map(|whole| whole as f64))
}

/// Keeps snapshots until the last one wanted.
struct Keep<'a, F> {
    snapshots: Vec<Snapshot>,
    stop: &'a AtomicBool,
    last: F,
}

impl<F: Fn(&Snapshot) -> bool> Observer for Keep<'_, F> {
    fn increment(&mut self, _: &HistoryRecord) -> ControlFlow<()> {
        flow(self.stop.load(Ordering::SeqCst))
    }

    fn snapshot(&mut self, snapshot: Snapshot) -> ControlFlow<()> {
        let last = (self.last)(&snapshot);
        self.snapshots.push(snapshot);
        flow(last || self.stop.load(Ordering::SeqCst))
    }
}

/// A number of elements or increments from the settings, 1 at least.
#[must_use]
pub fn whole(number: f64) -> usize {
    // Settings are small; a number that is none becomes 1.
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    let count = number.max(1.0) as usize;
    count
}

/// Break when asked to.
pub fn flow(stop: bool) -> ControlFlow<()> {
    if stop { ControlFlow::Break(()) } else { ControlFlow::Continue(()) }
}
