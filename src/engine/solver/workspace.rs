//! Memory of the iterations, kept from one increment to the next.

use crate::solver::acceleration::Acceleration;
use crate::solver::residual::Residual;
use crate::solver::state::State;
use crate::solver::step::{Kinematics, Step};
use crate::solver::switching::Switching;

/// Memory of the iterations, kept from one increment to the next.
#[derive(Debug, Default)]
pub(crate) struct Workspace {
    pub(super) residual: Residual,
    pub(super) step: Step,
    pub(super) start: Kinematics,
    pub(super) switching: Vec<Switching>,
    pub(super) acceleration: Acceleration,
}

impl Workspace {
    /// Makes room for the iterations of one increment and forgets those of the last.
    pub(super) fn begin(&mut self, trial: &State, nodes: usize) {
        let Self { step, switching, acceleration, .. } = self;
        acceleration.forget();
        // Those of the tools, then those of the matings.
        let counts = trial.tools.iter().map(|tool| tool.status.len());
        let counts = counts.chain(trial.mated.iter().map(|mated| mated.status.len()));
        switching.resize(trial.tools.len() + trial.mated.len(), Switching::default());
        for (switching, count) in switching.iter_mut().zip(counts) {
            switching.begin(count);
        }
        step.fit(nodes);
    }
}
