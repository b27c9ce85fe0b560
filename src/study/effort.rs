//! Cost of a case, estimated before it is solved: time, memory, disk.
//!
//! The estimate counts phases (a tool that grows, a ream, one ramp of a load) and unknowns. Its
//! constants were measured on one core of an ordinary processor with the demonstration at three
//! finenesses (`verification/performance.md`); the time is right within a factor of about two.

use crate::case::Case;
use crate::process::job::{Job, Numerics};
use crate::process::section::{DrawTool, SectionJob, SectionStage};
use crate::process::stage::Stage;

/// Seconds per unknown, phase of the default number of increments, at [`MEASURED_AT`] unknowns.
const SECONDS: f64 = 3.0e-5;
/// Unknowns at which [`SECONDS`] was measured.
const MEASURED_AT: f64 = 13_000.0;
/// Growth of the time per unknown with their number.
const GROWTH: f64 = 0.17;
/// Memory of the equations and of one state, bytes per unknown.
const MEMORY: f64 = 2_600.0;
/// Memory of a kept state, bytes per unknown.
const MEMORY_OF_STATE: f64 = 250.0;
/// Disk that one kept state takes as snapshot, fields and paths, bytes per unknown.
const DISK: f64 = 450.0;
/// Solutions beside that of the case while the bounding hardening laws are solved: both at once.
const BOUNDS: f64 = 2.0;

/// Tallest row of a section over the smaller of thickness and bore radius at fineness 1, and the share of the increments
/// of a draw that longer ones leave.
const ROW: f64 = 0.08;
const LONGER: f64 = 0.8;
/// Seconds per unknown and increment of a draw without friction, up to [`MEASURED_AT`] unknowns (`docs/section.md`).
const SECONDS_OF_DRAW: f64 = 5.0e-6;
/// Times the first with friction (measured there), and times the second with a sleeve of elements (a guess, not measured).
const FRICTION: f64 = 1.5;
const SLEEVE: f64 = 3.0;
/// Phases of a plate that a cut, or a tool that grows evenly, takes as long as.
const PHASES: f64 = 2.0;

/// Estimated cost of a run on one core.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Effort {
    /// Seconds of one core.
    pub seconds: f64,
    /// Memory at its highest, bytes.
    pub memory: f64,
    /// Results folder, bytes.
    pub disk: f64,
}

/// More than this is not begun unless asked for: an hour of one core, 8 GB of memory, 4 GB of disk.
pub const LIMIT: Effort = Effort { seconds: 3600.0, memory: 8e9, disk: 4e9 };

impl Effort {
    /// Whether any part is beyond [`LIMIT`].
    #[must_use]
    pub fn is_large(&self) -> bool {
        self.seconds > LIMIT.seconds || self.memory > LIMIT.memory || self.disk > LIMIT.disk
    }

    /// In words: `3 s of one core, 0.1 GB of memory, 20 MB of disk`.
    #[must_use]
    pub fn words(&self) -> String {
        format!(
            "{} of one core, {} of memory, {} of disk",
            time(self.seconds),
            bytes(self.memory),
            bytes(self.disk)
        )
    }
}

/// The cost of `case` on a mesh of `unknowns`.
#[must_use]
pub fn effort(case: &Case, unknowns: usize) -> Effort {
    let unknowns = unknowns as f64;
    let job = &case.job;
    let work = phases(job, |_| true);
    let mut solved = work;
    if case.bracket {
        solved += BOUNDS * work;
    }
    if case.idealisations {
        solved += 2.0 * work;
    }
    if case.plain_hole {
        solved += phases(job, |stage| matches!(stage, Stage::Service { .. }));
    }
    let effort = job.numerics.increments as f64 / Numerics::default().increments as f64;
    let each = SECONDS * unknowns * (unknowns / MEASURED_AT).max(1.0).powf(GROWTH);
    let states: f64 = job.stages.iter().map(|stage| states(stage) as f64).sum();
    let side_by_side = if case.bracket || case.idealisations { BOUNDS } else { 1.0 };
    Effort {
        seconds: solved * effort * each,
        memory: unknowns * (side_by_side * MEMORY + states * MEMORY_OF_STATE),
        disk: unknowns * states * DISK,
    }
}

/// The cost of the work of `hoopset section` on a mesh of `unknowns`.
#[must_use]
pub fn section_effort(job: &SectionJob, unknowns: usize) -> Effort {
    let unknowns = unknowns as f64;
    let finer = job.numerics.increments as f64 / Numerics::default().increments as f64;
    let larger = unknowns * (unknowns / MEASURED_AT).max(1.0).powf(GROWTH);
    let seconds = |stage: &SectionStage| match stage {
        SectionStage::Draw { tool, .. } => {
            let friction = if tool.friction.acts() { FRICTION } else { 1.0 };
            let sleeve = if tool.sleeve.is_some() { SLEEVE } else { 1.0 };
            SECONDS_OF_DRAW * friction * sleeve * increments(job, tool)
        }
        _ => SECONDS * PHASES * finer,
    };
    let states = job.stages.len() as f64;
    Effort {
        seconds: larger * job.stages.iter().map(seconds).sum::<f64>(),
        memory: unknowns * (MEMORY + states * MEMORY_OF_STATE),
        disk: unknowns * states * DISK,
    }
}

/// About how many increments a draw takes.
fn increments(job: &SectionJob, tool: &DrawTool) -> f64 {
    let (thickness, bore) = (job.part.thickness, 0.5 * job.part.starting_diameter);
    let wide = (0.5 * tool.acting_diameter() - bore).max(0.0);
    let [behind, ahead] = tool.profile.reach(wide);
    let row = ROW * thickness.min(bore) / job.numerics.fineness;
    LONGER * (ahead - behind + thickness) / row * job.numerics.increments as f64
}

fn phases(job: &Job, counted: impl Fn(&Stage) -> bool) -> f64 {
    job.stages.iter().filter(|stage| counted(stage)).map(|stage| stage.phases() as f64).sum()
}

/// States that a stage leaves.
fn states(stage: &Stage) -> usize {
    match stage {
        Stage::Expand { .. } | Stage::Load { .. } | Stage::Service { .. } => 2,
        Stage::Ream { .. }
        | Stage::Bush(_)
        | Stage::Fasten { .. }
        | Stage::Unfasten { .. }
        | Stage::Join { .. }
        | Stage::Detach { .. }
        | Stage::Temperature { .. } => 1,
    }
}

fn time(seconds: f64) -> String {
    match seconds {
        s if s < 1.0 => "1 s".to_owned(),
        s if s < 120.0 => format!("{s:.0} s"),
        s if s < 7200.0 => format!("{:.0} min", s / 60.0),
        s => format!("{:.0} h", s / 3600.0),
    }
}

fn bytes(bytes: f64) -> String {
    if bytes < 1e9 {
        format!("{:.0} MB", (bytes / 1e6).max(1.0))
    } else {
        format!("{:.1} GB", bytes / 1e9)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ten_times_the_increments_take_ten_times_as_long() {
        let text = |increments: usize| {
            format!("{}\n[numerics]\nincrements = {increments}\n", crate::case::DEMO)
        };
        let of = |increments| {
            let case = crate::case::parse(&text(increments), "case.toml").expect("a case");
            effort(&case, 13_000)
        };
        let (few, many) = (of(8), of(80));
        assert!((many.seconds / few.seconds - 10.0).abs() < 1e-9);
        assert!((many.memory - few.memory).abs() < 1.0);
        assert!(!few.is_large() && of(2000).seconds < LIMIT.seconds);
    }
}
