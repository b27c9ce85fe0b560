//! Everything an increment changes, in one value: commit and roll-back are assignments.

use nalgebra::Vector4;
use serde::{Deserialize, Serialize};

use crate::material::state::PointFlow;
use crate::solver::contact::ToolState;
use crate::solver::mated::MatedState;

/// The plate in equilibrium: what the next increment starts from.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct State {
    /// Displacement `[x, y]` of every node, mm.
    pub displacement: Vec<[f64; 2]>,
    /// History of every integration point.
    pub points: Vec<PointFlow>,
    /// Backstress terms of every integration point, `(xx, yy, zz, xy)`, MPa: those of one point after
    /// those of another, as many as [`back_places`](crate::material::state::back_places).
    pub backstress: Vec<Vector4<f64>>,
    /// Stress `(xx, yy, zz, xy)` of every integration point, MPa: of Cauchy, in the part as it stands.
    pub stress: Vec<Vector4<f64>>,
    /// Stress that does work on the logarithmic strain, per drawn volume and in drawn directions, of
    /// every integration point, MPa: what the metal goes on from. With small strains the same as
    /// [`Self::stress`].
    pub conjugate: Vec<Vector4<f64>>,
    /// Uniform strain through the thickness (generalised plane strain), else 0; logarithmic unless
    /// strains are small.
    pub axial_strain: f64,
    /// Strain that the metal of every region would have free of stress, by heat, plate first; regions
    /// beyond its end have none. Logarithmic unless strains are small.
    #[serde(default)]
    pub free_strain: Vec<f64>,
    /// External nodal forces other than contact, `[x, y]` in N.
    pub external: Vec<[f64; 2]>,
    /// The tools in holes now, in step with [`System::tools`](crate::solver::system::System).
    pub tools: Vec<ToolState>,
    /// The bushes in holes now, in step with [`System::mated`](crate::solver::system::System).
    #[serde(default)]
    pub mated: Vec<MatedState>,
    /// How the last increment moved things, by unit of the share: the next one's guess.
    pub rate: Rate,
    /// Energies of the modelled part, N·mm.
    pub energy: Energy,
}

/// Derivative of the unknowns by the share of the phase.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Rate {
    /// Of the displacements; empty when the phase has made no increment yet.
    pub displacement: Vec<[f64; 2]>,
    /// Of every tool: centre x, centre y, acting radius.
    pub tools: Vec<[f64; 3]>,
    /// Of the strain through the thickness.
    pub axial_strain: f64,
    /// The same in the increment before; as now when there was none. Kept within a phase only.
    #[serde(skip)]
    pub(crate) before: Before,
    /// Sizes of the last increment and of the one before, shares of the phase.
    #[serde(skip)]
    sizes: [f64; 2],
}

/// Rates of the increment before the last.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct Before {
    pub(crate) displacement: Vec<[f64; 2]>,
    pub(crate) tools: Vec<[f64; 3]>,
    pub(crate) axial_strain: f64,
}

impl Rate {
    /// Part of the last change of the rates by which they will have changed further in the middle
    /// of an increment of `size`.
    pub(crate) fn curve(&self, size: f64) -> f64 {
        let [last, before] = self.sizes;
        if before > 0.0 { (last + size) / (last + before) } else { 0.0 }
    }

    /// Makes the last increment the one before, as one of `size` is about to be booked.
    pub(crate) fn step_on(&mut self, size: f64) {
        std::mem::swap(&mut self.displacement, &mut self.before.displacement);
        std::mem::swap(&mut self.tools, &mut self.before.tools);
        self.before.axial_strain = self.axial_strain;
        self.sizes = [size, if self.before.displacement.is_empty() { 0.0 } else { self.sizes[0] }];
    }

    /// Where there was no increment before, it is taken to have been like the last.
    pub(crate) fn settle(&mut self) {
        if self.before.displacement.is_empty() {
            self.before.displacement.clone_from(&self.displacement);
            self.before.tools.clone_from(&self.tools);
            self.before.axial_strain = self.axial_strain;
        }
    }

    fn take(&mut self, other: &Self) {
        self.displacement.clone_from(&other.displacement);
        self.tools.clone_from(&other.tools);
        self.axial_strain = other.axial_strain;
        self.before.displacement.clone_from(&other.before.displacement);
        self.before.tools.clone_from(&other.before.tools);
        self.before.axial_strain = other.before.axial_strain;
        self.sizes = other.sizes;
    }
}

/// Energies since the start of the run, N·mm, of the modelled part.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Energy {
    /// Work done on the plate by tool, loads, and the traction a cut gives up.
    pub external: f64,
    /// Elastic energy stored now.
    pub elastic: f64,
    /// Plastic work.
    pub plastic: f64,
    /// Stored energy and plastic work that left with removed metal.
    pub removed: f64,
}

impl Energy {
    /// `|external − elastic − plastic − removed| / external`; 0 before any work.
    #[must_use]
    pub fn imbalance(&self) -> f64 {
        let missing = self.external - self.elastic - self.plastic - self.removed;
        let scale = self.external.abs().max(self.elastic + self.plastic + self.removed);
        if scale > 0.0 { missing.abs() / scale } else { 0.0 }
    }
}

impl State {
    /// The virgin state of a mesh with `nodes` nodes and `points` integration points, each with
    /// `places` for terms of the backstress.
    #[must_use]
    pub(crate) fn virgin(nodes: usize, points: usize, places: usize) -> Self {
        Self {
            displacement: vec![[0.0; 2]; nodes],
            points: vec![PointFlow::default(); points],
            backstress: vec![Vector4::zeros(); places * points],
            stress: vec![Vector4::zeros(); points],
            conjugate: vec![Vector4::zeros(); points],
            axial_strain: 0.0,
            free_strain: Vec::new(),
            external: vec![[0.0; 2]; nodes],
            tools: Vec::new(),
            mated: Vec::new(),
            rate: Rate::default(),
            energy: Energy::default(),
        }
    }

    /// Takes over everything of `other` but stresses, histories and forces that follow from the
    /// unknowns; no memory is asked for where there is room.
    pub(crate) fn take_unknowns(&mut self, other: &Self) {
        self.displacement.clone_from(&other.displacement);
        self.external.clone_from(&other.external);
        self.axial_strain = other.axial_strain;
        self.free_strain.clone_from(&other.free_strain);
        self.energy = other.energy;
        self.rate.take(&other.rate);
        self.tools.resize_with(other.tools.len(), || ToolState::new(0.0, 0));
        for (tool, other) in self.tools.iter_mut().zip(&other.tools) {
            tool.centre = other.centre;
            tool.unloaded_radius = other.unloaded_radius;
            tool.radius = other.radius;
            tool.bearing = other.bearing;
            tool.status.clone_from(&other.status);
            tool.force.clone_from(&other.force);
            tool.relative.clone_from(&other.relative);
        }
        self.mated.resize_with(other.mated.len(), || MatedState::new(Vec::new()));
        for (own, other) in self.mated.iter_mut().zip(&other.mated) {
            own.take(other);
        }
    }

    /// Free strain of a region, see [`Self::free_strain`].
    #[must_use]
    pub fn free_strain_of(&self, region: u8) -> f64 {
        self.free_strain.get(usize::from(region)).copied().unwrap_or(0.0)
    }

    /// Backstress terms of an integration point, MPa.
    #[must_use]
    pub(crate) fn backstress_of(&self, point: usize) -> &[Vector4<f64>] {
        let places = self.backstress.len() / self.points.len();
        &self.backstress[point * places..(point + 1) * places]
    }

    /// Largest equivalent plastic strain of all points.
    #[must_use]
    pub fn largest_plastic_strain(&self) -> f64 {
        self.points.iter().map(|point| point.equivalent).fold(0.0, f64::max)
    }
}
