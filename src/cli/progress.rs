//! Progress of a run on the terminal, and how a run is stopped.
//!
//! The bar is on standard error and hides itself when that is not a terminal.

use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex, PoisonError};

use indicatif::{ProgressBar, ProgressStyle};

use crate::cli::args::Threads;
use crate::cli::exit::{CliError, INTERRUPTED};
use crate::cli::output::tell;
use crate::process::history::{HistoryRecord, Phase};
use crate::process::job::Job;
use crate::process::stage::Stage;

/// Steps of the bar for one phase.
const PHASE_STEPS: u32 = 100;

/// Steps of the bar of a study.
const SHARE_STEPS: u32 = 1000;

/// A bar over all phases of a job.
pub(crate) struct Progress {
    bar: ProgressBar,
    phases_done: u64,
    last: Option<(String, Phase, f64)>,
}

impl Progress {
    pub(crate) fn new(job: &Job) -> Self {
        let phases: usize = job.stages.iter().map(Stage::phases).sum();
        let bar = ProgressBar::new(phases as u64 * u64::from(PHASE_STEPS));
        style(&bar);
        Self { bar, phases_done: 0, last: None }
    }

    pub(crate) fn increment(&mut self, record: &HistoryRecord) {
        let phase = (record.stage.clone(), record.phase, record.share);
        if let Some((stage, kind, share)) = &self.last
            && (*stage != record.stage || *kind != record.phase || record.share <= *share)
        {
            self.phases_done += 1;
        }
        let within = f64::from(PHASE_STEPS) * record.share.clamp(0.0, 1.0);
        // Clamped above: the cast neither wraps nor loses a sign.
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
        let within = within as u64;
        self.bar.set_position(self.phases_done * u64::from(PHASE_STEPS) + within);
        self.bar.set_message(format!(
            "{} {} {:3.0} %",
            record.stage,
            record.phase.name(),
            100.0 * record.share
        ));
        self.last = Some(phase);
    }

    pub(crate) fn say(&self, message: &'static str) {
        self.bar.set_message(message);
    }

    pub(crate) fn finish(&self) {
        self.bar.finish_and_clear();
    }
}

/// A bar over solutions that run side by side, each with its own weight.
pub(crate) struct Shares {
    bar: ProgressBar,
    weights: Vec<f64>,
    done: Mutex<Vec<f64>>,
}

impl Shares {
    pub(crate) fn new(what: &'static str, weights: Vec<f64>) -> Self {
        let bar = ProgressBar::new(u64::from(SHARE_STEPS));
        style(&bar);
        bar.set_message(what);
        let done = Mutex::new(vec![0.0; weights.len()]);
        Self { bar, weights, done }
    }

    /// Solution `index` is done to `share`.
    pub(crate) fn set(&self, index: usize, share: f64) {
        // A panic elsewhere ends the program; until then the bar may as well go on.
        let mut done = self.done.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(place) = done.get_mut(index) {
            *place = share;
        }
        let parts = done.iter().zip(&self.weights);
        let sum: f64 = parts.map(|(share, weight)| share * weight).sum();
        let all: f64 = self.weights.iter().sum();
        let steps = f64::from(SHARE_STEPS) * (sum / all).clamp(0.0, 1.0);
        // Clamped above: the cast neither wraps nor loses a sign.
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
        self.bar.set_position(steps as u64);
    }

    pub(crate) fn finish(&self) {
        self.bar.finish_and_clear();
    }
}

/// A bar over the cases of a study.
pub(crate) struct Cases {
    bar: ProgressBar,
}

impl Cases {
    /// For `all` cases, of which `found` were finished before.
    pub(crate) fn new(all: usize, found: usize) -> Self {
        let bar = ProgressBar::new(all as u64).with_position(found as u64);
        let style = ProgressStyle::with_template(
            "{pos} of {len} cases [{bar:30}] {per_sec}  {elapsed} elapsed, {eta} left",
        );
        if let Ok(style) = style {
            bar.set_style(style.progress_chars("=> "));
        }
        // Rate and time left count from here, not from the cases found.
        bar.reset_eta();
        Self { bar }
    }

    pub(crate) fn one_more(&self) {
        self.bar.inc(1);
    }

    pub(crate) fn finish(&self) {
        self.bar.finish_and_clear();
    }
}

/// A moving sign beside `message`, for work that cannot say how far it is.
pub(crate) fn spinner(message: &'static str) -> ProgressBar {
    let spinner = ProgressBar::new_spinner();
    spinner.set_message(message);
    spinner.enable_steady_tick(std::time::Duration::from_millis(120));
    spinner
}

fn style(bar: &ProgressBar) {
    let style = ProgressStyle::with_template(
        "{msg:34} [{bar:30}] {percent:>3} %  {elapsed} elapsed, {eta} left",
    );
    if let Ok(style) = style {
        bar.set_style(style.progress_chars("=> "));
    }
}

/// Set by the first interrupt; the run stops after the increment at hand. A second
/// interrupt ends the program at once.
pub(crate) fn interrupt_flag() -> Arc<AtomicBool> {
    let flag = Arc::new(AtomicBool::new(false));
    let raised = Arc::clone(&flag);
    // Where no handler can be set, an interrupt ends the program as it always did.
    let _ = ctrlc::set_handler(move || {
        if raised.swap(true, Ordering::SeqCst) {
            std::process::exit(i32::from(INTERRUPTED));
        }
        tell!("stopping after this increment; interrupt again to stop at once");
    });
    flag
}

/// Limits the threads, when asked.
pub(crate) fn use_threads(threads: Threads) -> Result<(), CliError> {
    let Some(threads) = threads.most else { return Ok(()) };
    rayon::ThreadPoolBuilder::new()
        .num_threads(usize::from(threads))
        .build_global()
        .map_err(CliError::Threads)
}
