//! A bush put into a hole: its mesh, and the phases until it sits.

use nalgebra::Vector4;

use crate::element::point_field::QUAD_POINTS;
use crate::material::state::PointFlow;
use crate::material::strains::Strains;
use crate::mesh::bush::{BushPlan, bush_lines, with_bush};
use crate::process::bush::{Assembly, Bush};
use crate::process::history::Phase;
use crate::process::sequence::{Observer, Sequence};
use crate::process::stage::Stage;
use crate::process::stage_error::StageError;
use crate::solver::mated::{MatedEdges, MatedState};
use crate::solver::prescribed::Drive;
use crate::solver::state::Rate;

/// Increments of an assembly over those of an expansion: what it strains is as much less.
const ASSEMBLY_SHARE: f64 = 0.5;

impl Sequence {
    pub(super) fn bush(
        &mut self,
        label: &str,
        bush: &Bush,
        observer: &mut dyn Observer,
    ) -> Result<(), StageError> {
        let overlaps = self.lay_in(bush)?;
        let name = self.job.plate.holes[bush.hole].name.clone();
        let index = self.system.mated.len() - 1;
        let step = self.step() / ASSEMBLY_SHARE;
        match &bush.assembly {
            Assembly::Pressed if overlaps => {
                let drive = Drive { press: Some((index, [1.0, 0.0])), step, ..Drive::default() };
                self.phase(label, Phase::Press, &drive, bush.hole, observer)?;
            }
            Assembly::Pressed => {}
            Assembly::Shrunk { bush: of_bush, part, expansions } => {
                let region = usize::from(self.system.mated[index].mating.region);
                let strains = self.job.numerics.strains;
                let free = |(k, expansion): (usize, &f64)| {
                    let linear = expansion * if k == region { of_bush } else { part };
                    if strains == Strains::Finite { linear.ln_1p() } else { linear }
                };
                let apart: Vec<f64> = expansions.iter().enumerate().map(free).collect();
                self.state.free_strain.resize(apart.len(), 0.0);
                // Nothing touches while the temperatures part.
                let overlap = std::mem::take(&mut self.system.mated[index].overlap);
                self.system.mated[index].overlap = vec![-bush.outer_diameter; overlap.len()];
                let back = vec![0.0; apart.len()];
                let drive = Drive { free_strain: Some(apart), step, ..Drive::default() };
                self.phase(label, Phase::Temperature, &drive, bush.hole, observer)?;
                if self.stop {
                    return Ok(());
                }
                self.system.mated[index].overlap = vec![0.0; overlap.len()];
                let missing = -self.least_gap(index);
                if missing > 0.0 {
                    return Err(StageError::BushTooLarge { hole: name, missing: 2.0 * missing });
                }
                let drive = Drive { free_strain: Some(back), step, ..Drive::default() };
                self.phase(label, Phase::Temperature, &drive, bush.hole, observer)?;
            }
        }
        if !self.stop {
            self.finish(label, &format!("bush in hole {name}"), observer);
        }
        Ok(())
    }

    /// Smallest gap of the pairs of a mating, whether they touch or not, mm.
    fn least_gap(&self, index: usize) -> f64 {
        let (edges, mated) = (&self.system.mated[index], &self.state.mated[index]);
        let (mesh, displacement) = (&self.system.mesh, &self.state.displacement);
        (0..mated.status.len())
            .map(|place| edges.gap(mated, place, mesh, displacement))
            .fold(f64::INFINITY, f64::min)
    }

    /// Adds the rings of a bush to mesh, equations and state, facing the edge of its hole as that
    /// stands. Returns whether it is larger than the hole anywhere.
    fn lay_in(&mut self, bush: &Bush) -> Result<bool, StageError> {
        let hole = &self.job.plate.holes[bush.hole];
        let number = self.job.stages[..self.next_stage]
            .iter()
            .filter(|stage| matches!(stage, Stage::Bush(_)))
            .count();
        let mesh = &self.system.mesh;
        // A centre that is on a mirror line but for rounding is put on it.
        let centre =
            [mesh.symmetry.x.unwrap_or(hole.centre[0]), mesh.symmetry.y.unwrap_or(hole.centre[1])];
        let from_centre = |&node: &usize| {
            [0, 1].map(|i| mesh.nodes[node][i] + self.state.displacement[node][i] - centre[i])
        };
        let standing: Vec<[f64; 2]> = mesh.holes[bush.hole].edge.iter().map(from_centre).collect();
        let outer = 0.5 * bush.outer_diameter;
        let directions: Vec<[f64; 2]> =
            standing.iter().map(|[x, y]| [x / x.hypot(*y), y / x.hypot(*y)]).collect();
        let overlap: Vec<f64> =
            standing.iter().map(|[x, y]| (x.hypot(*y) - outer).min(0.0)).collect();
        let overlaps = overlap.iter().any(|gap| *gap < 0.0);
        let radii = bush_lines(0.5 * bush.inner_diameter, outer, self.job.numerics.fineness);
        let across = radii[radii.len() - 1] - radii[radii.len() - 2];
        let region = self.job.region_of_hole(bush.hole);
        let thickness = self.job.thickness_of(region);
        let outside = self.job.material_of(region);
        let modulus =
            outside.elasticity.youngs_modulus.max(bush.material.elasticity.youngs_modulus);
        let plan = BushPlan {
            hole: bush.hole,
            region: self.job.region_of_bush(number),
            relative_thickness: thickness / self.job.plate.thickness,
            centre,
            radii,
            directions,
        };
        let (mesh, first) = with_bush(mesh, &plan);
        let added = QUAD_POINTS * (mesh.quads.len() - self.system.mesh.quads.len());
        let normals = plan.directions.iter().map(|[x, y]| [-x, -y]).collect();
        let mating = mesh.matings.last().expect("just added").clone();
        let friction = bush.friction.clone();
        let edges = MatedEdges::new(&mesh, mating, (thickness, across, modulus), friction, overlap);
        self.system.retire();
        let mut system = self.next_system(mesh)?;
        system.set_tools(std::mem::take(&mut self.system.tools));
        let mut mated = std::mem::take(&mut self.system.mated);
        mated.push(edges);
        system.set_mated(mated);
        let places = system.back_places();
        self.system = system;
        let state = &mut self.state;
        let nodes = self.system.mesh.nodes.len();
        state.displacement.resize(nodes, [0.0; 2]);
        state.external.resize(nodes, [0.0; 2]);
        let at = QUAD_POINTS * first;
        state.points.splice(at..at, vec![PointFlow::default(); added]);
        let back = places * at;
        state.backstress.splice(back..back, vec![Vector4::zeros(); places * added]);
        state.stress.splice(at..at, vec![Vector4::zeros(); added]);
        state.conjugate.splice(at..at, vec![Vector4::zeros(); added]);
        self.full_size_strain = with_new(&self.full_size_strain, at..at + added);
        self.flowed = self.flowed.change(
            |strains| with_new(strains, at..at + added),
            |steps| with_new(steps, at..at + added),
        );
        state.mated.push(MatedState::new(normals));
        state.rate = Rate::default();
        let status = &mut self.holes[bush.hole];
        status.nominal_diameter = bush.inner_diameter;
        status.applied_expansion = None;
        status.reamed = false;
        Ok(overlaps)
    }
}

/// A number of every point, where `new` points without any were put in.
fn with_new<T: Clone + Default>(numbers: &[T], new: std::ops::Range<usize>) -> Vec<T> {
    let mut all = numbers.to_vec();
    if !all.is_empty() {
        all.splice(new.start..new.start, vec![T::default(); new.len()]);
    }
    all
}
