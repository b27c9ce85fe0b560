//! Seconds of each part of a run.

use std::time::Instant;

use crate::solver::system::Times;

/// Laps since the start.
pub(super) struct Clock {
    last: Instant,
    laps: Vec<(&'static str, f64)>,
}

impl Clock {
    pub(super) fn new() -> Self {
        Self { last: Instant::now(), laps: Vec::new() }
    }

    /// Ends the part called `name`.
    pub(super) fn lap(&mut self, name: &'static str) {
        self.laps.push((name, self.last.elapsed().as_secs_f64()));
        self.last = Instant::now();
    }

    /// Ends the stages, with their three largest parts apart.
    pub(super) fn stages(&mut self, times: Times) {
        let all = self.last.elapsed().as_secs_f64();
        let rest = all - times.assembly - times.factorization - times.solution;
        self.laps.extend([
            ("assembly", times.assembly),
            ("factorization", times.factorization),
            ("solution", times.solution),
            ("rest of the stages", rest.max(0.0)),
        ]);
        self.last = Instant::now();
    }

    /// Every part so far and its seconds.
    pub(super) fn laps(&self) -> &[(&'static str, f64)] {
        &self.laps
    }

    /// One line for the terminal.
    pub(super) fn line(&self) -> String {
        let parts: Vec<String> =
            self.laps.iter().map(|(name, seconds)| format!("{name} {seconds:.2} s")).collect();
        format!("time: {}", parts.join(", "))
    }
}
