//! A correction of all unknowns, and the unknowns before it.

use crate::solver::bordered::OF_TOOL;
use crate::solver::state::State;
use crate::solver::surface::Stance;

/// Weights and offset of a displacement that follows a tool.
pub(super) type Following = ([f64; OF_TOOL], f64);

/// How a node follows its tool along the normal, closing its gap, and along the tangent, undoing
/// its slip.
pub(super) fn following(stance: &Stance, slip: f64) -> [Following; 2] {
    let ([nx, ny], [tx, ty]) = (stance.normal, stance.tangent());
    [([nx, ny, stance.growth], -stance.gap), ([tx, ty, 0.0], -slip)]
}

/// The unknowns of an iterate, without what follows from them.
#[derive(Clone, Debug, Default)]
pub(crate) struct Kinematics {
    pub(super) displacement: Vec<[f64; 2]>,
    pub(super) tools: Vec<([f64; 2], f64)>,
    pub(super) axial_strain: f64,
}

impl Kinematics {
    pub(crate) fn note(&mut self, state: &State) {
        self.displacement.clone_from(&state.displacement);
        self.tools.clear();
        self.tools.extend(state.tools.iter().map(|tool| (tool.centre, tool.radius)));
        self.axial_strain = state.axial_strain;
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
#[derive(Clone, Debug, Default)]
pub(crate) struct Step {
    /// Displacements of the nodes, then the border unknowns.
    pub(super) parts: Vec<f64>,
    /// Number of displacements.
    pub(super) displacements: usize,
    /// Room for the right-hand sides, and how tool nodes follow their tools, by node.
    pub(super) column: Vec<f64>,
    pub(super) right: Vec<f64>,
    pub(super) ties: Vec<[Following; 2]>,
}

impl Step {
    /// Makes room for a mesh of so many nodes.
    pub(crate) fn fit(&mut self, nodes: usize) {
        self.ties.resize(nodes, [([0.0; OF_TOOL], 0.0); 2]);
    }

    /// Displacements, then border unknowns.
    pub(crate) fn parts_mut(&mut self) -> &mut [f64] {
        &mut self.parts
    }

    /// Largest displacement, mm.
    pub(crate) fn largest(&self) -> f64 {
        let displacements = &self.parts[..self.displacements];
        // f64::max drops a NaN; the sum does not.
        if displacements.iter().sum::<f64>().is_finite() {
            displacements.iter().map(|part| part.abs()).fold(0.0, f64::max)
        } else {
            f64::NAN
        }
    }

    pub(crate) fn halve(&mut self) {
        self.parts.iter_mut().for_each(|part| *part *= 0.5);
    }

    pub(crate) fn apply(&self, state: &mut State) {
        let (displacements, others) = self.parts.split_at(self.displacements);
        for (u, du) in state.displacement.iter_mut().zip(displacements.as_chunks::<2>().0) {
            u[0] += du[0];
            u[1] += du[1];
        }
        let (axial, tools) = others.split_last().expect("the axial strain is always there");
        for (tool, [x, y, radius]) in state.tools.iter_mut().zip(tools.as_chunks().0) {
            tool.centre[0] += x;
            tool.centre[1] += y;
            tool.radius += radius;
        }
        state.axial_strain += axial;
    }
}
