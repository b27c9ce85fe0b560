//! One Newton correction: ties, border, factorization, and what moves how far.
//!
//! Floor 3, `solver`.

use std::time::Instant;

use crate::material::idealisation::Idealisation;
use crate::solver::assembly::out_of_frame;
use crate::solver::border::{Border, OF_TOOL, Tie};
use crate::solver::contact::ContactStatus;
use crate::solver::error::Cause;
use crate::solver::residual::Residual;
use crate::solver::state::State;
use crate::solver::system::System;

impl System {
    /// Solves for a correction with the tangent of the last assembly.
    pub(crate) fn correct(&mut self, trial: &State, residual: &Residual) -> Result<Step, Cause> {
        let nodes = self.mesh.nodes.len();
        let mut active: Vec<bool> = self
            .tools
            .iter()
            .flat_map(|contact| [contact.free[0], contact.free[1], contact.compliance > 0.0])
            .collect();
        // What is held is tied to a first tool with no weight, so there is always room for one.
        active.resize(active.len().max(OF_TOOL), false);
        let axial = active.len();
        active.push(self.idealisation == Idealisation::GeneralisedPlaneStrain);
        let mut border = Border::new(2 * nodes, active);

        // Ties: one for everything held, one for every closed node.
        let mut ties = vec![Tie::default()];
        let mut tie_of: Vec<Option<u32>> =
            (0..2 * nodes).map(|dof| self.is_held(dof / 2, dof % 2).then_some(0)).collect();
        for (index, tool) in trial.tools.iter().enumerate() {
            for (k, &status) in tool.status.iter().enumerate() {
                if status == ContactStatus::Closed {
                    let node = self.tools[index].nodes[k];
                    tie_of[2 * node] = u32::try_from(ties.len()).ok();
                    ties.push(self.tie(trial, index, node, residual, &mut border));
                }
            }
            for (axis, force) in tool.bearing.into_iter().enumerate() {
                border.right[OF_TOOL * index + axis] += force;
            }
            let contact = &self.tools[index];
            if contact.compliance > 0.0 {
                let radius = OF_TOOL * index + 2;
                border.stiffness[(radius, radius)] += contact.compliance.recip();
                border.right[radius] += (tool.unloaded_radius - tool.radius) / contact.compliance;
            }
        }
        if border.active[axial] {
            border.stiffness[(axial, axial)] += self.balance.axial_stiffness;
            border.right[axial] -= self.balance.axial_force;
            for (node, coupling) in self.balance.axial_coupling.iter().enumerate() {
                border.add_coupling(2 * node, axial, coupling[0]);
                border.add_coupling(2 * node + 1, axial, coupling[1]);
            }
        }
        let clock = Instant::now();
        border.condense(self.pattern.columns_mut(), &residual.force, &tie_of, &ties);
        self.factor.factorize(self.pattern.matrix()).map_err(|_| Cause::Singular)?;
        self.times.factorization += clock.elapsed().as_secs_f64();
        let clock = Instant::now();
        let factor = &mut self.factor;
        let (mut local, moves) = border.solve(|columns, count| factor.solve(columns, count));
        self.times.solution += clock.elapsed().as_secs_f64();
        for (dof, tie) in tie_of.iter().enumerate() {
            if let Some(tie) = tie.map(|index| &ties[index as usize]) {
                let moved = tie.weights.iter().zip(&moves[tie.first..]);
                local[dof] = moved.map(|(w, b)| w * b).sum::<f64>() + tie.offset;
            }
        }
        let displacement = (0..nodes)
            .map(|node| {
                let moved = [local[2 * node], local[2 * node + 1]];
                self.frames[node].map_or(moved, |normal| out_of_frame(moved, normal))
            })
            .collect();
        Ok(Step { displacement, border: moves })
    }

    /// The tie of a closed node to its tool, and in `border` and matrix the stiffness that comes
    /// from the circle: it turns the force as the node slides along it, −λ/|r| on the tangential
    /// motion relative to the centre.
    fn tie(
        &mut self,
        trial: &State,
        index: usize,
        node: usize,
        residual: &Residual,
        border: &mut Border,
    ) -> Tie {
        let contact = &self.tools[index];
        let free = contact.free;
        let tool = &trial.tools[index];
        let stance = contact.stance(tool, self.mesh.nodes[node], trial.displacement[node]);
        let [nx, ny] = stance.normal;
        let first = OF_TOOL * index;
        let shares = [nx, ny, 1.0];
        let weights =
            std::array::from_fn(|k| if border.active[first + k] { shares[k] } else { 0.0 });
        if !self.is_held(node, 1) {
            let turn = -residual.force[2 * node] / stance.distance;
            let (offsets, _, values) = self.pattern.columns_mut();
            values[offsets[2 * node + 1]] -= turn;
            let tangent = [-ny, nx];
            for k in (0..2).filter(|&k| free[k]) {
                border.add_coupling(2 * node + 1, first + k, turn * tangent[k]);
                for m in (0..2).filter(|&m| free[m]) {
                    border.stiffness[(first + k, first + m)] -= turn * tangent[k] * tangent[m];
                }
            }
        }
        Tie { first, weights, offset: -stance.gap }
    }
}

/// The unknowns of an iterate, without what follows from them.
pub(crate) struct Kinematics {
    displacement: Vec<[f64; 2]>,
    tools: Vec<([f64; 2], f64)>,
    axial_strain: f64,
}

impl Kinematics {
    pub(crate) fn of(state: &State) -> Self {
        Self {
            displacement: state.displacement.clone(),
            tools: state.tools.iter().map(|tool| (tool.centre, tool.radius)).collect(),
            axial_strain: state.axial_strain,
        }
    }

    pub(crate) fn restore(&self, state: &mut State) {
        state.displacement.clone_from(&self.displacement);
        for (tool, (centre, radius)) in state.tools.iter_mut().zip(&self.tools) {
            tool.centre = *centre;
            tool.radius = *radius;
        }
        state.axial_strain = self.axial_strain;
    }
}

/// A correction of all unknowns.
#[derive(Clone, Debug)]
pub(crate) struct Step {
    displacement: Vec<[f64; 2]>,
    border: Vec<f64>,
}

impl Step {
    pub(crate) fn largest(&self) -> f64 {
        // f64::max drops a NaN; the sum does not.
        let sum: f64 = self.displacement.iter().map(|[x, y]| x + y).sum();
        if sum.is_finite() {
            self.displacement.iter().map(|[x, y]| x.abs().max(y.abs())).fold(0.0, f64::max)
        } else {
            f64::NAN
        }
    }

    pub(crate) fn scaled(&self, share: f64) -> Self {
        Self {
            displacement: self.displacement.iter().map(|[x, y]| [share * x, share * y]).collect(),
            border: self.border.iter().map(|b| share * b).collect(),
        }
    }

    pub(crate) fn apply(&self, state: &mut State) {
        for (u, du) in state.displacement.iter_mut().zip(&self.displacement) {
            u[0] += du[0];
            u[1] += du[1];
        }
        let (axial, tools) = self.border.split_last().expect("the axial strain is always there");
        for (tool, [x, y, radius]) in state.tools.iter_mut().zip(tools.as_chunks().0) {
            tool.centre[0] += x;
            tool.centre[1] += y;
            tool.radius += radius;
        }
        state.axial_strain += axial;
    }
}
