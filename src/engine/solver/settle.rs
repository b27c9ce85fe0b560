//! Stresses and holding forces of a state that was carried to another mesh.

use crate::solver::elements::Asked;
use crate::solver::increment_error::Cause;
use crate::solver::state::{Energy, Rate, State};
use crate::solver::system::{Method, System};

impl System {
    /// Recomputes the stresses of `state` from its displacements and histories, and sets the
    /// external forces that hold it as it is.
    ///
    /// # Errors
    ///
    /// [`Cause::ReturnMap`] when a point cannot answer its strain.
    pub fn settle(&mut self, state: &mut State) -> Result<(), Cause> {
        let old = state.clone();
        // There is no increment to follow, and the stress handed in need not fit the histories.
        let method = self.method;
        self.method = Method { strain_parts: 1, path_tolerance: None, ..method };
        self.begin_parts();
        let outcome = self.assemble(&old, state, Asked::Stress);
        self.method = method;
        self.begin_parts();
        outcome?;
        state.external.clone_from(&self.equations.balance.internal);
        // Tools that stay in other holes go on carrying their share.
        for (contact, tool) in self.tools.iter().zip(&state.tools) {
            for (&node, force) in contact.nodes.iter().zip(&tool.force) {
                state.external[node][0] -= force[0];
                state.external[node][1] -= force[1];
            }
        }
        for (edges, mated) in self.mated.iter().zip(&state.mated) {
            let pairs = edges.mating.pairs.iter().zip(&mated.force).enumerate();
            for (place, (&[inner, _], force)) in pairs {
                for (axis, part) in force.iter().enumerate() {
                    state.external[inner][axis] -= part;
                    for (outer, weight) in edges.outer(place) {
                        state.external[outer][axis] += weight * part;
                    }
                }
            }
        }
        self.conclude(state);
        self.account(&old, state, 1.0);
        // Carrying over is no work; only what is stored now is taken from the account.
        state.energy = Energy { elastic: state.energy.elastic, ..old.energy };
        state.rate = Rate::default();
        Ok(())
    }
}
