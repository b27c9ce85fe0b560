//! The embedded demonstration (expand, release, ream) at a wanted size.

use std::time::Instant;

use hoopset::process::sequence::{Ending, Sequence};
use hoopset::process::snapshot::Snapshot;
use serde::{Deserialize, Serialize};

use crate::unit;

/// Runs of which the fastest counts, and seconds after which there is no further one.
const BEST_OF: usize = 5;
const ENOUGH: f64 = 60.0;

/// What one size on some threads took.
#[derive(Debug, Deserialize, Serialize)]
pub struct Measured {
    pub threads: usize,
    pub unknowns: usize,
    pub factor: usize,
    pub increments: usize,
    pub iterations: usize,
    pub factorizations: usize,
    /// Seconds.
    pub set_up: f64,
    pub assembly: f64,
    pub factorization: f64,
    pub solution: f64,
    pub whole: f64,
    pub faer: f64,
    pub cholmod: Option<f64>,
    pub own_single: f64,
    pub own_double: f64,
    /// Megabytes.
    pub peak: f64,
    pub edge_hoop: f64,
}

impl Measured {
    pub fn unit(&self) -> f64 {
        self.cholmod.map_or(self.faer, |cholmod| cholmod.min(self.faer))
    }

    pub fn heading() -> String {
        let columns = [
            "unknowns",
            "threads",
            "factor values",
            "unit s",
            "faer s",
            "CHOLMOD s",
            "own f64 units",
            "own f32 units",
            "increments",
            "iterations",
            "factorizations",
            "set-up s",
            "assembly s",
            "factorization s",
            "solution s",
            "rest s",
            "whole s",
            "whole units",
            "peak MB",
            "peak / factor",
            "edge hoop MPa",
        ];
        format!("| {} |\n|{}", columns.join(" | "), "---|".repeat(columns.len()))
    }

    pub fn row(&self) -> String {
        let unit = self.unit();
        let rest = self.whole - self.set_up - self.assembly - self.factorization - self.solution;
        let factor_megabytes = 8e-6 * self.factor as f64;
        let cells = [
            self.unknowns.to_string(),
            self.threads.to_string(),
            self.factor.to_string(),
            format!("{unit:.4}"),
            format!("{:.4}", self.faer),
            self.cholmod.map_or_else(|| "–".to_owned(), |seconds| format!("{seconds:.4}")),
            format!("{:.2}", self.own_double / unit),
            format!("{:.2}", self.own_single / unit),
            self.increments.to_string(),
            self.iterations.to_string(),
            self.factorizations.to_string(),
            format!("{:.3}", self.set_up),
            format!("{:.3}", self.assembly),
            format!("{:.3}", self.factorization),
            format!("{:.3}", self.solution),
            format!("{rest:.3}"),
            format!("{:.3}", self.whole),
            format!("{:.1}", self.whole / unit),
            format!("{:.0}", self.peak),
            format!("{:.2}", self.peak / factor_megabytes),
            format!("{:.1}", self.edge_hoop),
        ];
        format!("| {} |", cells.join(" | "))
    }
}

/// The demonstration.
pub fn demonstration() -> Result<hoopset::process::job::Job, String> {
    let case =
        hoopset::parse(hoopset::case::DEMO, "demo.toml").map_err(|error| error.to_string())?;
    Ok(case.job)
}

/// Fineness at which the demonstration has about `unknowns`.
pub fn fineness_for(unknowns: usize) -> Result<f64, String> {
    let mut job = demonstration()?;
    // Unknowns grow with the square of the fineness, nearly: two steps find it.
    for _ in 0..2 {
        let sequence = Sequence::new(job.clone()).map_err(|error| error.to_string())?;
        let found = 2 * sequence.mesh().nodes.len();
        job.numerics.fineness *= (unknowns as f64 / found as f64).sqrt();
    }
    Ok(job.numerics.fineness)
}

/// The demonstration with another fineness.
pub fn refined(fineness: f64) -> Result<hoopset::process::job::Job, String> {
    let mut job = demonstration()?;
    job.numerics.fineness = fineness;
    Ok(job)
}

/// The job alone, for a profiler; prints where the time went.
pub fn alone(unknowns: usize) -> Result<(), String> {
    let run = whole(&refined(fineness_for(unknowns)?)?)?;
    println!(
        "{} unknowns, set-up {:.3} s, assembly {:.3} s, factorization {:.3} s, solution {:.3} s, whole \
         {:.3} s, {} iterations, {} factorizations, {:.0} MB, edge hoop {} MPa",
        run.unknowns,
        run.set_up,
        run.assembly,
        run.factorization,
        run.solution,
        run.whole,
        run.iterations,
        run.factorizations,
        peak_megabytes(),
        run.edge_hoop
    );
    Ok(())
}

/// One fineness on some threads, units beside it.
pub fn measure(fineness: f64, threads: usize) -> Result<Measured, String> {
    let job = refined(fineness)?;
    let mut best = whole(&job)?;
    let peak = peak_megabytes();
    let mut spent = best.whole;
    // As the unit is the best of a few, so is the job.
    for _ in 1..BEST_OF {
        if spent > ENOUGH {
            break;
        }
        let again = whole(&job)?;
        spent += again.whole;
        if again.whole < best.whole {
            best = again;
        }
    }
    // Later in the job the matrix may be left as it was gathered, supports and contact not in it.
    let mut first = Sequence::new(job).map_err(|error| error.to_string())?;
    first.run(&mut OneIncrement).map_err(|failure| failure.error.to_string())?;
    let matrix = first.system().tangent();
    Ok(Measured {
        threads,
        faer: unit::faer(matrix, threads),
        cholmod: unit::cholmod(matrix),
        own_single: unit::own::<f32>(matrix),
        own_double: unit::own::<f64>(matrix),
        peak,
        ..best
    })
}

/// The whole job, once; units and peak memory are left open.
fn whole(job: &hoopset::process::job::Job) -> Result<Measured, String> {
    let clock = Instant::now();
    let mut sequence = Sequence::new(job.clone()).map_err(|error| error.to_string())?;
    let unknowns = 2 * sequence.mesh().nodes.len();
    let factor = sequence.system().factor_size();
    let set_up = clock.elapsed().as_secs_f64();
    let mut watch = Watch::default();
    let ending = sequence.run(&mut watch).map_err(|failure| failure.error.to_string())?;
    let whole = clock.elapsed().as_secs_f64();
    assert_eq!(ending, Ending::Done);
    let times = sequence.system().times;
    Ok(Measured {
        threads: 0,
        unknowns,
        factor,
        increments: watch.increments,
        iterations: watch.iterations,
        factorizations: watch.factorizations,
        set_up,
        assembly: times.assembly,
        factorization: times.factorization,
        solution: times.solution,
        whole,
        faer: 0.0,
        cholmod: None,
        own_single: 0.0,
        own_double: 0.0,
        peak: 0.0,
        edge_hoop: watch.edge_hoop,
    })
}

/// Stops after the first increment.
struct OneIncrement;

impl hoopset::process::sequence::Observer for OneIncrement {
    fn increment(
        &mut self,
        _: &hoopset::process::history::HistoryRecord,
    ) -> std::ops::ControlFlow<()> {
        std::ops::ControlFlow::Break(())
    }

    fn snapshot(&mut self, _: Snapshot) -> std::ops::ControlFlow<()> {
        std::ops::ControlFlow::Break(())
    }
}

/// Counts what goes by.
#[derive(Default)]
struct Watch {
    increments: usize,
    iterations: usize,
    factorizations: usize,
    edge_hoop: f64,
}

impl hoopset::process::sequence::Observer for Watch {
    fn increment(
        &mut self,
        record: &hoopset::process::history::HistoryRecord,
    ) -> std::ops::ControlFlow<()> {
        self.increments += 1;
        self.iterations += record.residuals.len();
        std::ops::ControlFlow::Continue(())
    }

    fn snapshot(&mut self, snapshot: Snapshot) -> std::ops::ControlFlow<()> {
        self.factorizations = snapshot.factorizations;
        self.edge_hoop = snapshot.state.stress.first().map_or(0.0, |s| s[0].min(s[1]));
        std::ops::ControlFlow::Continue(())
    }
}

/// Peak memory of this process so far, MB; 0 where the system does not say.
pub fn peak_megabytes() -> f64 {
    let status = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    let line = status.lines().find(|line| line.starts_with("VmHWM:"));
    let kilobytes = line.and_then(|line| line.split_whitespace().nth(1)?.parse::<f64>().ok());
    kilobytes.unwrap_or(0.0) * 1024e-6
}
