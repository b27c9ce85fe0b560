//! What is out of balance in an iterate.
//!
//! The sum of absolute out-of-balance forces over the sum over elements of their absolute
//! nodal forces. That reference does not vanish when tool and load are gone, because the
//! residual stresses are exactly what it measures.
//!
//! Floor 3, `solver`.

use crate::material::idealisation::Idealisation;
use crate::solver::assembly::{into_frame, out_of_frame};
use crate::solver::border::OF_TOOL;
use crate::solver::error::Cause;
use crate::solver::state::State;
use crate::solver::system::System;

/// Out-of-balance forces of one iterate.
pub(crate) struct Residual {
    /// External less internal, by degree of freedom, in the frames of the nodes.
    pub(crate) force: Vec<f64>,
    /// The measure of all of them; see the head of this module.
    pub(crate) relative: f64,
    /// Degree of freedom with the largest one.
    pub(crate) worst: usize,
}

impl System {
    pub(crate) fn residual(&self, trial: &State) -> Result<Residual, Cause> {
        let closed_on = self.closed_on(trial);
        let mut force = vec![0.0; 2 * self.mesh.nodes.len()];
        let (mut sum, mut largest, mut worst) = (0.0, -1.0, 0);
        // What plate and holder put on each tool, and the total radial force of the plate.
        let mut on_tool: Vec<[f64; OF_TOOL]> =
            trial.tools.iter().map(|tool| [tool.bearing[0], tool.bearing[1], 0.0]).collect();
        for node in 0..self.mesh.nodes.len() {
            let out = self.contact_force(trial, node).map(|force| -force);
            let local = self.frames[node].map_or(out, |normal| into_frame(out, normal));
            force[2 * node..2 * node + 2].copy_from_slice(&local);
            for axis in 0..2 {
                if self.is_held(node, axis) {
                    continue;
                }
                if let (0, Some(tool), Some(normal)) = (axis, closed_on[node], self.frames[node]) {
                    let push = out_of_frame([local[0], 0.0], normal);
                    on_tool[tool][0] += push[0];
                    on_tool[tool][1] += push[1];
                    on_tool[tool][2] += local[0];
                    continue;
                }
                sum += local[axis].abs();
                if local[axis].abs() > largest {
                    largest = local[axis].abs();
                    worst = 2 * node + axis;
                }
            }
        }
        for ((contact, tool), [x, y, radial]) in self.tools.iter().zip(&trial.tools).zip(on_tool) {
            for (free, net) in contact.free.into_iter().zip([x, y]) {
                sum += if free { net.abs() } else { 0.0 };
            }
            if contact.compliance > 0.0 {
                let push = (tool.unloaded_radius - tool.radius) / contact.compliance;
                sum += (push + radial).abs();
            }
        }
        if self.idealisation == Idealisation::GeneralisedPlaneStrain {
            sum += self.balance.axial_force.abs() / self.length;
        }
        let relative = sum / self.reference_force();
        if relative.is_finite() {
            Ok(Residual { force, relative, worst })
        } else {
            Err(Cause::NotFinite)
        }
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
