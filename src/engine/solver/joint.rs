//! Joints of the plate with the sheets on it: layers that shear, and springs between the parts of fasteners.
//!
//! A layer of shear modulus `G` and thickness `h` carries the traction `τ = (G/h) δ`, where `δ` is how far the
//! sheet has moved on the plate since it was joined. With `δ = Σ cₐ (uₐ − uₐ⁰)` the nodal forces are
//! `fₐ = (G/h) Σ_b (u_b − u_b⁰) ∫ cₐ c_b dA`, the same along x and along y; the integrals come with the mesh
//! ([`Sheet::overlap`](crate::mesh::topology::Sheet)).
//!
//! A fastener is a tool in the hole of the plate and one in the hole of the sheet; a spring joins their
//! reference points, which are unknowns of the bordered system.

use nalgebra::Matrix2;

use crate::solver::bordered::{BorderedSystem, OF_TOOL};
use crate::solver::frame::into_frame;
use crate::solver::layer::Joint;
use crate::solver::state::State;
use crate::solver::system::System;

impl System {
    /// Says what is under the sheets of the mesh.
    ///
    /// # Panics
    ///
    /// Without one for every sheet.
    pub(crate) fn set_joints(&mut self, joints: Vec<Joint>) {
        assert_eq!(joints.len(), self.mesh.sheets.len(), "one layer for every sheet");
        self.joints = joints;
    }

    /// Calls `each` with two nodes, how stiffly the layers couple them (N/mm), and how far each has moved
    /// since its sheet was joined.
    fn layers(&self, state: &State, mut each: impl FnMut([usize; 2], f64, [[f64; 2]; 2])) {
        for (sheet, joint) in self.mesh.sheets.iter().zip(&self.joints) {
            for &(high, low, area) in &sheet.overlap {
                let moved = [high, low].map(|node| {
                    let (now, then) = (state.displacement[node], joint.reference[node]);
                    [now[0] - then[0], now[1] - then[1]]
                });
                each([high, low], joint.stiffness * area, moved);
            }
        }
    }

    /// Forces of the layers on their nodes, as internal forces: what holds them against the layers,
    /// `[x, y]` in N.
    pub(crate) fn layer_forces(&self, state: &State, into: &mut [[f64; 2]]) {
        self.layers(state, |[high, low], stiffness, [a, b]| {
            for axis in 0..2 {
                into[high][axis] += stiffness * b[axis];
                if high != low {
                    into[low][axis] += stiffness * a[axis];
                }
            }
        });
    }

    /// Internal forces of the last assembly, elements and layers together, `[x, y]` in N.
    pub(crate) fn internal_forces(&self) -> &[[f64; 2]] {
        &self.equations.balance.internal
    }

    /// Adds the forces of the layers to those of the elements.
    pub(crate) fn add_layer_forces(&mut self, trial: &State) {
        if self.joints.is_empty() {
            return;
        }
        let mut internal = std::mem::take(&mut self.equations.balance.internal);
        self.layer_forces(trial, &mut internal);
        self.equations.balance.internal = internal;
    }

    /// Energy that the layers store, N·mm of the modelled part.
    pub(crate) fn layer_energy(&self, state: &State) -> f64 {
        let mut energy = 0.0;
        self.layers(state, |[high, low], stiffness, [a, b]| {
            let once = 0.5 * stiffness * (a[0] * b[0] + a[1] * b[1]);
            energy += if high == low { once } else { 2.0 * once };
        });
        energy
    }

    /// Brings the stiffness of the layers up to date with the frames of their nodes.
    pub(crate) fn renew_layers(&mut self) {
        let Self { mesh, joints, frames, equations, .. } = self;
        equations.layers.clear();
        for (sheet, joint) in mesh.sheets.iter().zip(joints) {
            equations.layers.extend(sheet.overlap.iter().map(|&(high, low, area)| {
                let stiffness = joint.stiffness * area;
                match (frames[high], frames[low]) {
                    (None, None) => [stiffness, 0.0, 0.0, stiffness],
                    (row, column) => {
                        let turned = axes(row) * axes(column).transpose() * stiffness;
                        [turned[(0, 0)], turned[(0, 1)], turned[(1, 0)], turned[(1, 1)]]
                    }
                }
            }));
        }
    }

    /// The tool in the same hole of the plate as tool `index`, which stands in a sheet and hangs on it.
    fn partner(&self, index: usize) -> Option<usize> {
        let contact = &self.tools[index];
        contact.link?;
        self.tools.iter().position(|other| other.sheet == 0 && other.hole == contact.hole)
    }

    /// Force of its spring on the tool in a sheet, and the tool in the plate that it hangs on; `[x, y]` in N of
    /// the modelled part.
    fn link_force(&self, trial: &State, index: usize) -> Option<(usize, [f64; 2])> {
        let link = self.tools[index].link?;
        let other = self.partner(index)?;
        let (own, its) = (trial.tools[index].centre, trial.tools[other].centre);
        let stretch = |axis: usize| own[axis] - its[axis] - link.apart[axis];
        Some((other, [0, 1].map(|axis| -link.stiffness * stretch(axis))))
    }

    /// Force on the reference point of a tool besides that of the metal: of its holder and of its springs,
    /// `[x, y]` in N of the modelled part.
    pub(crate) fn push_on(&self, trial: &State, index: usize) -> [f64; 2] {
        // The forces on one body are in balance by themselves.
        let mut push = if self.hangs(index) { [0.0; 2] } else { trial.tools[index].bearing };
        for tool in (0..self.tools.len()).filter(|&tool| self.tools[tool].link.is_some()) {
            let Some((other, force)) = self.link_force(trial, tool) else { continue };
            for axis in 0..2 {
                if tool == index {
                    push[axis] += force[axis];
                } else if other == index {
                    push[axis] -= force[axis];
                }
            }
        }
        push
    }

    /// Adds the springs of fasteners to the border.
    pub(crate) fn stiffen_links(&self, bordered: &mut BorderedSystem) {
        for (index, contact) in self.tools.iter().enumerate() {
            let (Some(link), Some(other)) = (contact.link, self.partner(index)) else { continue };
            for axis in 0..2 {
                let (own, its) = (OF_TOOL * index + axis, OF_TOOL * other + axis);
                bordered.add_stiffness(own, own, link.stiffness);
                bordered.add_stiffness(its, its, link.stiffness);
                bordered.add_stiffness(own, its, -link.stiffness);
                bordered.add_stiffness(its, own, -link.stiffness);
            }
        }
    }
}

/// Axes of the frame of a node, one a row.
fn axes(frame: Option<[f64; 2]>) -> Matrix2<f64> {
    let Some(normal) = frame else { return Matrix2::identity() };
    let (x, y) = (into_frame([1.0, 0.0], normal), into_frame([0.0, 1.0], normal));
    Matrix2::new(x[0], y[0], x[1], y[1])
}
