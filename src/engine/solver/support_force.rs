//! Forces that the supports of the case carry.

use crate::mesh::topology::{NamedEdge, NodeId};
use crate::solver::state::State;
use crate::solver::supports::on_line;
use crate::solver::system::System;

impl System {
    /// Force that the support of `edge` puts on the whole plate in `state`, which the last assembly
    /// belongs to: `[x, y]` in N. Where a mirror line cuts the edge, its other half counts too.
    pub(crate) fn support_force(&self, edge: &NamedEdge, state: &State) -> [f64; 2] {
        let mut nodes: Vec<NodeId> = edge.sides.iter().flatten().copied().collect();
        nodes.sort_unstable();
        nodes.dedup();
        let mut force = [0.0; 2];
        for &node in &nodes {
            let carried = self.contact_force(state, node);
            for axis in (0..2).filter(|&axis| self.supports.held[node][axis]) {
                force[axis] += carried[axis];
            }
        }
        let lines = [self.mesh.symmetry.x, self.mesh.symmetry.y];
        for (axis, line) in lines.into_iter().enumerate() {
            let Some(line) = line else { continue };
            if nodes.iter().any(|&node| on_line(self.mesh.nodes[node][axis], line)) {
                force[axis] = 0.0;
                force[1 - axis] *= 2.0;
            }
        }
        force
    }
}
