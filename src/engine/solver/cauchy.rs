//! Stress in the part as it stands, of a state in equilibrium.

use nalgebra::Vector4;
use rayon::prelude::*;

use crate::element::kernel::PointGeometry;
use crate::element::nominal::gradient;
use crate::element::point_field::{QUAD_POINTS, TRIANGLE_POINTS, quad_shares, triangle_shares};
use crate::element::shape::{QUAD8_NODES, TRI6_NODES};
use crate::material::hardening::Material;
use crate::material::idealisation::Idealisation;
use crate::material::logarithmic::Deformation;
use crate::material::plane_stress::thickness_strain;
use crate::material::state::PointFlow;
use crate::material::strains::Strains;
use crate::mesh::topology::NodeId;
use crate::solver::state::State;
use crate::solver::system::System;

/// Elements that one task answers for.
const TASK: usize = 256;

/// Elements at a tool.
fn touched(framed: &[bool]) -> impl Iterator<Item = usize> + '_ {
    framed.iter().enumerate().filter(|(_, framed)| **framed).map(|(k, _)| k)
}

impl System {
    /// Computes the Cauchy stresses of `state`, which is in equilibrium, from those that do work on
    /// the logarithmic strain.
    pub(crate) fn conclude(&mut self, state: &mut State) {
        if self.method.strains == Strains::Small {
            state.stress.clone_from(&state.conjugate);
            return;
        }
        let split = QUAD_POINTS * self.mesh.quads.len();
        let State { displacement, points, stress, conjugate, axial_strain, free_strain, .. } =
            state;
        let quads = Elements {
            system: self,
            regions: &self.regions.quads,
            displacement,
            axial_strain: *axial_strain,
            free_strain,
        };
        let (of_quads, of_triangles) = stress.split_at_mut(split);
        quads.answer(
            (&self.mesh.quads, &self.tables.quads),
            (&points[..split], &conjugate[..split]),
            of_quads,
        );
        let triangles = Elements { regions: &self.regions.triangles, ..quads };
        triangles.answer(
            (&self.mesh.triangles, &self.tables.triangles),
            (&points[split..], &conjugate[split..]),
            of_triangles,
        );
        let mut sums = std::mem::take(&mut self.scratch.across);
        for (index, contact) in self.tools.iter().enumerate() {
            let mut grown = std::mem::take(&mut state.tools[index].grown);
            self.growth(&contact.nodes, state, &mut sums, &mut grown);
            state.tools[index].grown = grown;
        }
        for (index, edges) in self.mated.iter().enumerate() {
            let mut grown = std::mem::take(&mut state.mated[index].grown);
            let inner: Vec<NodeId> = edges.mating.pairs.iter().map(|pair| pair[0]).collect();
            self.growth(&inner, state, &mut sums, &mut grown);
            state.mated[index].grown = grown;
        }
        self.scratch.across = sums;
    }

    /// Area of edge that every contact node stands for as the part stands, over that drawn: how much
    /// the line through its neighbours has grown, times the stretch across the drawing. `sums` is room
    /// for sums at every node.
    fn growth(
        &self,
        nodes: &[NodeId],
        state: &State,
        sums: &mut Vec<(f64, f64)>,
        grown: &mut Vec<f64>,
    ) {
        self.stretch_across(nodes, state, sums, grown);
        if nodes.len() < 2 {
            return;
        }
        let place = |k: usize, moved: bool| {
            let node = nodes[k];
            let by = if moved { state.displacement[node] } else { [0.0; 2] };
            [self.mesh.nodes[node][0] + by[0], self.mesh.nodes[node][1] + by[1]]
        };
        let last = nodes.len().saturating_sub(1);
        let length = |k: usize, moved: bool| {
            let (before, here, after) = (
                place(k.saturating_sub(1), moved),
                place(k, moved),
                place((k + 1).min(last), moved),
            );
            (here[0] - before[0]).hypot(here[1] - before[1])
                + (after[0] - here[0]).hypot(after[1] - here[1])
        };
        for (k, grown) in grown.iter_mut().enumerate() {
            *grown *= length(k, true) / length(k, false);
        }
    }

    /// Stretch of the third direction at every contact node: mean over its elements of their points'
    /// values carried on to it.
    fn stretch_across(
        &self,
        nodes: &[NodeId],
        state: &State,
        sums: &mut Vec<(f64, f64)>,
        stretches: &mut Vec<f64>,
    ) {
        stretches.clear();
        if self.metal.idealisation == Idealisation::Axisymmetric {
            let hoop =
                |&node: &NodeId| 1.0 + state.displacement[node][0] / self.mesh.nodes[node][0];
            stretches.extend(nodes.iter().map(hoop));
            return;
        }
        sums.clear();
        sums.resize(self.mesh.nodes.len(), (0.0, 0.0));
        let third = |point: usize, region: u8| {
            let (metal, idealisation) = self.region(region);
            let uniform = Vector4::new(0.0, 0.0, state.axial_strain, 0.0);
            let history = (&state.conjugate[point], &state.points[point]);
            let free = state.free_strain_of(region);
            third_strain((metal, free), idealisation, &uniform, history)
        };
        let mut add = |node: NodeId, shares: &[f64], first: usize, region: u8| {
            let values = shares.iter().enumerate().map(|(k, s)| s * third(first + k, region));
            sums[node].0 += values.sum::<f64>();
            sums[node].1 += 1.0;
        };
        for element in touched(&self.equations.quads.framed) {
            let region = self.regions.quads.get(element).copied().unwrap_or(0);
            for (&node, local) in self.mesh.quads[element].iter().zip(QUAD8_NODES) {
                add(node, &quad_shares(local), QUAD_POINTS * element, region);
            }
        }
        for element in touched(&self.equations.triangles.framed) {
            let region = self.regions.triangles.get(element).copied().unwrap_or(0);
            let first = QUAD_POINTS * self.mesh.quads.len() + TRIANGLE_POINTS * element;
            for (&node, local) in self.mesh.triangles[element].iter().zip(TRI6_NODES) {
                add(node, &triangle_shares(local), first, region);
            }
        }
        let mean = |&node: &NodeId| (sums[node].0 / f64::max(sums[node].1, 1.0)).exp();
        stretches.extend(nodes.iter().map(mean));
    }

    /// Says that no element keeps its stiffness: what was done before must not show.
    pub(crate) fn forget_stiffness(&mut self) {
        // With small strains the elastic stiffness is always the same.
        if self.method.strains == Strains::Finite {
            self.equations.quads.forget();
            self.equations.triangles.forget();
        }
    }
}

/// Elements of one shape, deformed.
#[derive(Clone, Copy)]
struct Elements<'a> {
    system: &'a System,
    regions: &'a [u8],
    displacement: &'a [[f64; 2]],
    axial_strain: f64,
    free_strain: &'a [f64],
}

impl Elements<'_> {
    fn answer<const N: usize, const P: usize>(
        &self,
        (elements, geometry): (&[[NodeId; N]], &[[PointGeometry<N>; P]]),
        (points, conjugate): (&[PointFlow], &[Vector4<f64>]),
        into: &mut [Vector4<f64>],
    ) {
        let histories = points.par_chunks(P).zip(conjugate.par_chunks(P));
        elements
            .par_iter()
            .zip(geometry)
            .zip(histories.zip(into.par_chunks_mut(P)))
            .with_min_len(TASK)
            .enumerate()
            .for_each(|(index, ((nodes, geometry), ((points, stresses), into)))| {
                let displacement = nodes.map(|node| self.displacement[node]);
                let gradients = geometry.each_ref().map(|point| gradient(point, &displacement));
                let (deformation, strains) = Deformation::of(&gradients, self.axial_strain);
                let region = self.regions.get(index).copied().unwrap_or(0);
                let (metal, idealisation) = self.system.region(region);
                let free = self.free_strain.get(usize::from(region)).copied().unwrap_or(0.0);
                let third = std::array::from_fn(|k| {
                    let history = (&stresses[k], &points[k]);
                    third_strain((metal, free), idealisation, &strains[k], history)
                });
                into.copy_from_slice(&deformation.cauchy::<P>(stresses, third));
            });
    }
}

/// Strain in the third direction of a point with this strain, conjugate stress and plastic strain, of a
/// metal with this free strain.
fn third_strain(
    (metal, free): (&Material, f64),
    idealisation: Idealisation,
    strain: &Vector4<f64>,
    (stress, flow): (&Vector4<f64>, &PointFlow),
) -> f64 {
    match idealisation {
        Idealisation::PlaneStress => thickness_strain(metal, stress, &flow.plastic_strain) + free,
        Idealisation::PlaneStrain
        | Idealisation::GeneralisedPlaneStrain
        | Idealisation::Axisymmetric => strain[2],
    }
}
