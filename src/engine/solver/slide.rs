//! Edges that slide along each other, from one increment to the next.

use crate::mesh::topology::NodeId;
use crate::solver::increment_error::Cause;
use crate::solver::sliding::{Footing, OffEdge};
use crate::solver::state::State;
use crate::solver::symbolic::Symbolic;
use crate::solver::system::System;

impl System {
    /// Whether there are edges that slide along each other.
    pub(crate) fn slides(&self) -> bool {
        self.mated.iter().any(|edges| edges.sliding.is_some())
    }

    /// Finds anew which outer nodes the inner ones of sliding edges follow and along which normals, as the
    /// edges will stand in the middle of the next increment, of size `ahead`, if all goes on as in the last one, and
    /// counts slip from `state`. A node that slides over a curved edge then moves along the chord of its way, and its
    /// push does no work; with the normal of the start it is off the edge at the end, and is pushed back.
    ///
    /// # Errors
    ///
    /// [`Cause::OffSleeve`] where an edge ends too early, or is folded.
    pub(crate) fn slide_on(&mut self, state: &mut State, ahead: f64) -> Result<(), Cause> {
        for index in 0..self.mated.len() {
            let Some(sliding) = &self.mated[index].sliding else { continue };
            let mating = &self.mated[index].mating;
            let rates = &state.rate.displacement;
            let place = |node: NodeId| {
                let rate = rates.get(node).copied().unwrap_or([0.0; 2]);
                let moved = state.displacement[node];
                [0, 1].map(|k| self.mesh.nodes[node][k] + moved[k] + 0.5 * ahead * rate[k])
            };
            let inner: Vec<[f64; 2]> = mating.pairs.iter().map(|pair| place(pair[0])).collect();
            let footing = sliding.footing(&inner, mating.sides(), place);
            let footing = footing.map_err(|OffEdge(off)| Cause::OffSleeve {
                position: self.mesh.nodes[mating.pairs[off][0]],
            })?;
            self.couple(index, &footing)?;
            let Footing { weights, normals, .. } = footing;
            if let Some(sliding) = &mut self.mated[index].sliding {
                sliding.weights = weights;
            }
            state.mated[index].normals = normals;
            state.mated[index].begin_slip(&self.mated[index], &state.displacement);
            // The factor was made with other weights, and pairs are stiff.
            self.equations.tangent.forget();
        }
        Ok(())
    }

    /// Makes room in the matrix for what an edge couples where it stands now; there is some to slide on.
    fn couple(&mut self, index: usize, footing: &Footing) -> Result<(), Cause> {
        let edges = &self.mated[index];
        let Some(sliding) = &edges.sliding else { return Ok(()) };
        let known = |a: NodeId, b: NodeId| {
            a == b || self.mesh.couplings.binary_search(&[a.min(b), a.max(b)]).is_ok()
        };
        let coupled = |inner: NodeId, weights: &[(NodeId, f64)]| {
            weights.iter().enumerate().all(|(k, &(node, _))| {
                known(inner, node) && weights[k..].iter().all(|&(other, _)| known(node, other))
            })
        };
        let mut all = edges.mating.pairs.iter().zip(&footing.weights);
        if all.all(|(pair, weights)| coupled(pair[0], weights)) {
            return Ok(());
        }
        let mut couplings = Vec::new();
        for (pair, &[first, last]) in edges.mating.pairs.iter().zip(&footing.sides) {
            let sides = first.saturating_sub(1)..=(last + 1).min(sliding.outer.len() - 1);
            let mut nodes: Vec<NodeId> = sliding.outer[sides].iter().flatten().copied().collect();
            nodes.sort_unstable();
            nodes.dedup();
            for (k, &node) in nodes.iter().enumerate() {
                couplings.push([pair[0].min(node), pair[0].max(node)]);
                couplings.extend(nodes[k + 1..].iter().map(|&other| [node, other]));
            }
        }
        couplings.sort_unstable();
        couplings.dedup();
        self.mesh.couplings = couplings;
        let symbolic = Symbolic::new(&self.mesh).map_err(|_| Cause::Singular)?;
        self.equations.reconnect(symbolic);
        Ok(())
    }
}
