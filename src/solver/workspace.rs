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
        switching.resize(trial.tools.len(), Switching::default());
        for (switching, tool) in switching.iter_mut().zip(&trial.tools) {
            switching.begin(tool.status.len());
        }
        step.fit(nodes);
    }
}
