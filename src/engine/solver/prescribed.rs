//! Prescribed values of a phase, and loads on their straight way through it.

use crate::solver::state::State;

/// Prescribed change of a phase, from its start to its end.
#[derive(Clone, Debug, Default)]
pub struct Drive {
    /// Index of a tool and its unloaded radius at start and end, mm.
    pub tool: Option<(usize, [f64; 2])>,
    /// Index of a tool whose reference point is moved, and its displacement at start and end
    /// `[x, y]`, mm.
    pub travel: Option<(usize, [[f64; 2]; 2])>,
    /// Index of a mating and its [allowance](crate::solver::mated::MatedState::allowance) at start and end.
    pub press: Option<(usize, [f64; 2])>,
    /// External nodal forces at the end, N; they start from those of the state.
    pub external: Option<Vec<[f64; 2]>>,
    /// Bearing forces at the end, N of the modelled part: of every tool by its index; they start
    /// from those of the state.
    pub bearing: Option<Vec<[f64; 2]>>,
    /// Free strain of every region at the end, plate first; it starts from that of the state.
    pub free_strain: Option<Vec<f64>>,
    /// Planned size of an increment, as a share of the phase.
    pub step: f64,
    /// Shares of the phase, `[from, to]`, rising, in which no increment is longer than `step`.
    pub close: Vec<[f64; 2]>,
    /// Longest increment outside of those, over `step`, where there are any.
    pub elsewhere: f64,
    /// Whether the phase ends as soon as no node touches that tool, or the one that travels.
    pub until_open: bool,
    /// Largest growth of the equivalent plastic strain at any point that an increment longer
    /// than `step` may bring: a phase in which nothing yields is then one increment. `None`: no
    /// increment is longer than `step`.
    pub leap: Option<f64>,
    /// For tests of the roll-back: attempts (counted from 0 over the phase) that are
    /// declared failed after they have run.
    pub refused_attempts: Vec<usize>,
}

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
    if let Some((index, [from, to])) = drive.press {
        let allowance = if share >= 1.0 { to } else { from + share * (to - from) };
        trial.mated[index].allowance = allowance;
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
