//! The ream, from cut to new balance.

use crate::process::history::Phase;
use crate::process::ream::{Cut, Cutter, cut};
use crate::process::sequence::{Observer, Sequence};
use crate::process::snapshot::CutReading;
use crate::process::stage_error::StageError;
use crate::solver::prescribed::Drive;

/// Increments of a ream over those of an expansion: the traction given up is small beside
/// that of a tool.
const REAM_SHARE: f64 = 0.25;

impl Sequence {
    pub(super) fn ream(
        &mut self,
        label: &str,
        hole: usize,
        diameter: f64,
        offset: [f64; 2],
        observer: &mut dyn Observer,
    ) -> Result<(), StageError> {
        let drawn = &self.job.plate.holes[hole];
        let name = drawn.name.clone();
        let cutter = Cutter {
            centre: [drawn.centre[0] + offset[0], drawn.centre[1] + offset[1]],
            radius: 0.5 * diameter,
        };
        // Two sets of equations at once would be the most memory the whole run needs. Nothing is
        // solved on the old mesh any more, even when the cut fails.
        self.system.retire();
        let Cut { mesh, state, extra, old_point, largest_move, removed_volume, old_node } =
            cut(&self.system, &self.state, drawn, hole, cutter, &self.full_size_strain)?;
        let copies = mesh.symmetry.copies() as f64;
        let mut system = self.next_system(mesh)?;
        // Pins in other holes stay; only the numbers of their nodes change.
        let mut tools = std::mem::take(&mut self.system.tools);
        for node in tools.iter_mut().flat_map(|tool| &mut tool.nodes) {
            *node = old_node.partition_point(|&old| old < *node);
        }
        system.set_tools(tools);
        let mut mated = std::mem::take(&mut self.system.mated);
        for (edges, mating) in mated.iter_mut().zip(&system.mesh.matings) {
            edges.mating.clone_from(mating);
        }
        system.set_mated(mated);
        self.system = system;
        self.state = state;
        self.full_size_strain = extra;
        self.flowed = self.flowed.cut(&old_point, &self.full_size_strain);
        let transfer_error = self.hold(hole)?;
        self.holes[hole].nominal_diameter = diameter;
        self.holes[hole].axis = cutter.centre;
        self.holes[hole].reamed = true;
        let drive = Drive {
            external: Some(vec![[0.0; 2]; self.system.mesh.nodes.len()]),
            step: self.step() / REAM_SHARE,
            ..Drive::default()
        };
        self.phase(label, Phase::Ream, &drive, hole, observer)?;
        if self.stop {
            return Ok(());
        }
        let mut snapshot = self.snapshot(label, &format!("hole {name} reamed"));
        snapshot.finished = true;
        snapshot.cut = Some(CutReading {
            removed_volume: copies * removed_volume,
            largest_move,
            transfer_error,
        });
        self.hand_over(snapshot, observer);
        Ok(())
    }

    /// Recomputes the stresses of a state just carried over and holds it in place by the
    /// forces it lacks. Returns what of them lies away from the edge of `hole`, as a share of the
    /// reference force.
    fn hold(&mut self, hole: usize) -> Result<f64, StageError> {
        let before = self.state.energy.elastic;
        let increment = |cause| {
            StageError::Increment(crate::solver::increment_error::IncrementError {
                done: 0.0,
                halvings: 0,
                cause,
            })
        };
        self.system.settle(&mut self.state).map_err(increment)?;
        self.state.energy.removed += before - self.state.energy.elastic;
        let mut on_edge = vec![false; self.system.mesh.nodes.len()];
        for &node in &self.system.mesh.holes[hole].edge {
            on_edge[node] = true;
        }
        let held = &self.system.supports.held;
        let away: f64 = self
            .state
            .external
            .iter()
            .enumerate()
            .filter(|(node, _)| !on_edge[*node])
            .map(|(node, force)| {
                (0..2).filter(|&axis| !held[node][axis]).map(|axis| force[axis].abs()).sum::<f64>()
            })
            .sum();
        Ok(away / self.system.reference_force())
    }
}
