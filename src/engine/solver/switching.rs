//! Wanted changes of contact status, and how often each node has changed.

use crate::solver::contact::ContactStatus;

/// Gap of a closed node over the radius: rounding of positions, far below any surface finish.
pub(crate) const GAP_TOLERANCE: f64 = 1e-10;

/// A status that a contact node should have, and how badly it contradicts the present one.
#[derive(Clone, Copy, Debug)]
pub(super) struct Wish {
    pub(super) place: usize,
    pub(super) status: ContactStatus,
    pub(super) offence: f64,
}

/// Memory of the status changes of one tool.
#[derive(Clone, Debug, Default)]
pub(crate) struct Switching {
    /// Changes of every contact node in this increment.
    pub(super) counts: Vec<usize>,
    /// Changes wanted now; kept for its room.
    pub(super) wanted: Vec<Wish>,
}

impl Switching {
    /// Forgets the last increment and makes room for `nodes` contact nodes.
    pub(crate) fn begin(&mut self, nodes: usize) {
        self.counts.clear();
        self.counts.resize(nodes, 0);
        self.wanted.reserve(nodes);
    }
}
