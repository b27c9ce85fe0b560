//! Loads that an increment prescribes, on their straight way through a phase.

use crate::solver::increment::Drive;
use crate::solver::state::State;

/// Work of a force that goes from one value to another in proportion while its point moves.
pub(super) fn mean_work(from: [f64; 2], to: [f64; 2], by: [f64; 2]) -> f64 {
    0.5 * ((from[0] + to[0]) * by[0] + (from[1] + to[1]) * by[1])
}

/// Tool radius and forces at the start of a phase.
pub(super) struct Loads {
    external: Vec<[f64; 2]>,
    bearing: Vec<[f64; 2]>,
    free_strain: Vec<f64>,
}

impl Loads {
    pub(super) fn of(state: &State) -> Self {
        let bearing = state.tools.iter().map(|tool| tool.bearing).collect();
        let (external, free_strain) = (state.external.clone(), state.free_strain.clone());
        Self { external, bearing, free_strain }
    }
}

/// Sets the prescribed values of a phase at `share`.
pub(super) fn prescribe(
    trial: &mut State,
    drive: &Drive,
    start: &Loads,
    share: f64,
    elastic: &[bool],
) {
    if let Some((index, [from, to])) = drive.tool {
        let tool = &mut trial.tools[index];
        // The exact end value, not one that differs by a rounding of the blend.
        let radius = if share >= 1.0 { to } else { from + share * (to - from) };
        if !elastic[index] {
            tool.radius = radius;
        } else if trial.rate.displacement.is_empty() {
            // No rate to go by yet: what the tool gave way so far stays the same.
            tool.radius += radius - tool.unloaded_radius;
        }
        tool.unloaded_radius = radius;
    }
    if let Some((index, [from, to])) = drive.travel {
        trial.tools[index].centre =
            if share >= 1.0 { to } else { [0, 1].map(|i| from[i] + share * (to[i] - from[i])) };
    }
    let blend = |from: [f64; 2], to: [f64; 2]| {
        if share >= 1.0 { to } else { [0, 1].map(|i| from[i] + share * (to[i] - from[i])) }
    };
    if let Some(end) = &drive.external {
        for ((now, from), to) in trial.external.iter_mut().zip(&start.external).zip(end) {
            *now = blend(*from, *to);
        }
    }
    if let Some(end) = &drive.free_strain {
        for ((now, from), to) in trial.free_strain.iter_mut().zip(&start.free_strain).zip(end) {
            *now = if share >= 1.0 { *to } else { from + share * (to - from) };
        }
    }
    if let Some(end) = &drive.bearing {
        for ((tool, from), to) in trial.tools.iter_mut().zip(&start.bearing).zip(end) {
            tool.bearing = blend(*from, *to);
        }
    }
}
