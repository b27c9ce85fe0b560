//! The residual of an iterate, from the forces of its last assembly, and the support of every node.

use crate::material::idealisation::Idealisation;
use crate::solver::contact::{ContactStatus, Drag};
use crate::solver::frame::{into_frame, out_of_frame};
use crate::solver::increment_error::Cause;
use crate::solver::residual::{Hold, Residual};
use crate::solver::state::State;
use crate::solver::system::System;

impl System {
    /// Computes what is out of balance in `trial` since the last assembly.
    pub(crate) fn residual(&self, trial: &State, into: &mut Residual) -> Result<(), Cause> {
        let nodes = self.mesh.nodes.len();
        into.force.resize(2 * nodes, 0.0);
        into.free.clear();
        into.free.resize(2 * nodes, 0.0);
        into.hold.clear();
        into.hold.resize(nodes, Hold::Free);
        into.dragged.clear();
        into.dragged.resize(self.tools.len(), [0.0; 2]);
        for (index, (contact, tool)) in self.tools.iter().zip(&trial.tools).enumerate() {
            for (place, (&node, &status)) in contact.nodes.iter().zip(&tool.status).enumerate() {
                into.hold[node] = match status {
                    ContactStatus::Open => Hold::Free,
                    ContactStatus::Stick => Hold::Both,
                    ContactStatus::Slip(drag) => Hold::Normal(drag, index, place),
                };
            }
        }
        self.pass_on(trial, &mut into.passed);
        let (mut sum, mut largest, mut worst) = (0.0, -1.0, 0);
        for (node, local) in into.force.as_chunks_mut::<2>().0.iter_mut().enumerate() {
            let passed = into.passed.get(node).copied().unwrap_or([0.0; 2]);
            let needed = self.contact_force(trial, node);
            let out = [0, 1].map(|axis| passed[axis] - needed[axis]);
            *local = self.frames[node].map_or(out, |normal| into_frame(out, normal));
            let hold = into.hold[node];
            if let (Hold::Normal(drag, index, place), Some(normal)) = (hold, self.frames[node])
                && drag != Drag::None
            {
                let contact = &self.tools[index];
                let q = drag.sign() * contact.friction.limit(-local[0], contact.areas[place]);
                local[1] += q;
                let force = out_of_frame([0.0, q], normal);
                into.dragged[index][0] += force[0];
                into.dragged[index][1] += force[1];
            }
            for (axis, &mut part) in local.iter_mut().enumerate() {
                // The tool carries what is normal to its face, and all where the node sticks.
                let carried = hold == Hold::Both || (hold != Hold::Free && axis == 0);
                if self.is_held(node, axis) || carried {
                    continue;
                }
                into.free[2 * node + axis] = part;
                sum += part.abs();
                if part.abs() > largest {
                    largest = part.abs();
                    worst = 2 * node + axis;
                }
            }
        }
        let mut nets = vec![[0.0; 2]; self.tools.len()];
        for (index, (contact, tool)) in self.tools.iter().zip(&trial.tools).enumerate() {
            // What plate and holder put on the tool, and the total radial force of the plate.
            let push = self.push_on(trial, index);
            let [mut x, mut y] = [0, 1].map(|axis| push[axis] - into.dragged[index][axis]);
            let mut radial = 0.0;
            for (place, (&node, &status)) in contact.nodes.iter().zip(&tool.status).enumerate() {
                let Some(normal) = self.frames[node] else { continue };
                if !status.touches() || self.is_held(node, 0) {
                    continue;
                }
                let force = into.force[2 * node];
                let along =
                    if status == ContactStatus::Stick { into.force[2 * node + 1] } else { 0.0 };
                let push = out_of_frame([force, along], normal);
                x += push[0];
                y += push[1];
                let (at, moved) = (self.mesh.nodes[node], trial.displacement[node]);
                radial += force * contact.stance(tool, place, at, moved).growth;
            }
            nets[index][0] += x;
            nets[self.body(index)][1] += y;
            if contact.compliance > 0.0 {
                let push = (tool.unloaded_radius - tool.radius) / contact.compliance;
                sum += (push + radial).abs();
            }
        }
        for (index, net) in nets.into_iter().enumerate() {
            for (free, net) in self.moves(trial, index).into_iter().zip(net) {
                sum += if free { net.abs() } else { 0.0 };
            }
        }
        if self.metal.idealisation == Idealisation::GeneralisedPlaneStrain {
            sum += self.equations.balance.axial_force.abs() / self.scale.length;
        }
        self.close_gaps(trial, into);
        into.relative = sum / self.reference_force();
        into.worst = worst;
        if into.relative.is_finite() { Ok(()) } else { Err(Cause::NotFinite) }
    }

    /// Whether the displacement of `node` along `axis` of its frame is held.
    ///
    /// A contact node on a mirror line has its normal along the line, so what is held of it is
    /// the tangential displacement.
    pub(crate) fn is_held(&self, node: usize, axis: usize) -> bool {
        let held = self.supports.held[node];
        match self.frames[node] {
            Some(normal) => {
                let along_x = normal[0].abs() > normal[1].abs();
                // Frame axis 0 lies along x (or y), so axis 1 lies along y (or x).
                held[usize::from((axis == 0) != along_x)]
            }
            None => held[axis],
        }
    }
}
