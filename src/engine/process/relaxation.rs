//! Stress that heat takes away, as a share that the case states.
//!
//! Every component of the stress falls to the same share of itself: what is lost of the elastic strain becomes
//! plastic strain, at constant deformation. A field in balance stays so, because it is only scaled. The equivalent
//! plastic strain and the backstress stay, since no law of creep is behind it.

use serde::{Deserialize, Serialize};

use crate::solver::state::State;
use crate::solver::system::System;

/// A stated share of the residual stress, and who states it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Relaxation {
    /// Share that is left, 0 to 1.
    pub left: f64,
    /// Where the share comes from, in the words of the case.
    pub source: String,
}

/// Lets the stress of `state` fall to the share `left`; stresses are to be recomputed from the histories.
pub(crate) fn relax(system: &System, state: &mut State, left: f64) {
    for (point, flow) in state.points.iter_mut().enumerate() {
        let (material, _) = system.region(system.mesh.region_of_point(point));
        let lost = (1.0 - left) * state.conjugate[point];
        flow.plastic_strain = material.elasticity.total_strain(lost, flow.plastic_strain);
    }
}
