//! A run followed increment by increment: one place in the metal, and frames of the whole.
//!
//! The place is the integration point nearest to a chosen spot of a hole's edge, so its values
//! are those the return map computed, not carried on. When a cut takes the metal there away,
//! the nearest point that is left is followed from then on; [`TraceRecord::position`] tells.
//!
//! Total strain is `ε = C⁻¹σ + εᵖ`: elastic by Hooke's law in all three dimensions, whatever
//! the idealisation, and plastic as remembered by the point.

use std::ops::ControlFlow;
use std::sync::Arc;

use nalgebra::Vector4;

use crate::geometry::hole::Hole;
use crate::material::hardening::Hardening;
use crate::material::state::PointFlow;
use crate::mesh::topology::Mesh;
use crate::process::history::{HistoryRecord, Phase};
use crate::process::job::Job;
use crate::process::sequence::{Moment, Observer};
use crate::process::snapshot::Snapshot;
use crate::solver::system::System;
use crate::tensor::{Polar, Stress};

/// Where the metal is followed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Watched {
    /// Index of the hole.
    pub hole: usize,
    /// Direction from its centre, radians counter-clockwise from +x.
    pub angle: f64,
    /// Distance from the edge as drilled, mm; 0 follows the edge itself.
    pub depth: f64,
}

/// The watched point after one increment. Tensors are polar about the watched hole.
#[derive(Clone, Debug, PartialEq)]
pub struct TraceRecord {
    /// Label of the stage; empty before any work.
    pub stage: String,
    /// Phase that the increment belongs to.
    pub phase: Phase,
    /// Number of the increment in the whole run; 0 before any work.
    pub increment: usize,
    /// Share of the phase done, 0 to 1.
    pub share: f64,
    /// As [`HistoryRecord::expansion`].
    pub expansion: f64,
    /// As [`HistoryRecord::mean_pressure`], MPa.
    pub mean_pressure: f64,
    /// As [`HistoryRecord::load_factor`].
    pub load_factor: f64,
    /// Mean displacement of the modelled hole edge away from the centre, mm.
    pub edge_displacement: f64,
    /// Reference position of the point in the modelled part, mm.
    pub position: [f64; 2],
    /// Stress, MPa.
    pub stress: Polar,
    /// Total strain, logarithmic unless strains are small; `shear` is the tensor component, half the engineering shear.
    pub strain: Polar,
    /// Plastic strain, components as [`TraceRecord::strain`].
    pub plastic_strain: Polar,
    /// Sum of the backstresses, MPa: the centre of the yield surface.
    pub backstress: Polar,
    /// Equivalent plastic strain.
    pub equivalent_plastic_strain: f64,
    /// Size of the yield surface now, MPa: largest von Mises stress beyond the backstress.
    pub yield_stress: f64,
}

/// All integration points after one increment.
#[derive(Clone, Debug)]
pub struct Frame {
    /// The record of the same increment: an index into [`Trace::records`].
    pub record: usize,
    /// The mesh then; frames between two cuts share it.
    pub mesh: Arc<Mesh>,
    /// Displacement `[x, y]` of every node, mm.
    pub displacement: Vec<[f64; 2]>,
    /// Stress `(xx, yy, zz, xy)` of every point, MPa.
    pub stress: Vec<Vector4<f64>>,
    /// Stress that does work on the strain, as [`State::conjugate`](crate::solver::state::State), MPa.
    pub conjugate: Vec<Vector4<f64>>,
    /// Uniform strain through the thickness, as in the state.
    pub axial_strain: f64,
    /// Strain that the metal of every region would have free of stress, plate first, see
    /// `free_strain` of the state.
    pub free_strain: Vec<f64>,
    /// Plastic strain `(εxx, εyy, εzz, γxy)` of every point, engineering shear.
    pub plastic_strain: Vec<Vector4<f64>>,
    /// Equivalent plastic strain of every point.
    pub equivalent: Vec<f64>,
    /// Part of it added since a tool last stood at full size; zero while one grows.
    pub reverse: Vec<f64>,
}

/// Records that belong together: one phase of one stage, at one point of the metal.
#[derive(Clone, Debug, PartialEq)]
pub struct Stretch<'a> {
    /// Stage and phase in words, e.g. `1-expand-A: tool leaving`.
    pub words: String,
    /// The records; the first is the last of the stretch before, unless a cut came between.
    pub records: Vec<&'a TraceRecord>,
}

/// Watches a run and keeps what a lesson shows of it.
#[derive(Clone, Debug)]
pub struct Trace {
    /// The watched point: before any work, then after every increment.
    pub records: Vec<TraceRecord>,
    /// Frames: before any work, every few increments, and the end of every phase.
    pub frames: Vec<Frame>,
    /// Snapshots of the run.
    pub snapshots: Vec<Snapshot>,
    /// Records of all increments.
    pub history: Vec<HistoryRecord>,
    watched: Watched,
    hole: Hole,
    every: usize,
}

impl Trace {
    /// Follows `watched` through a run of `job`; a frame every `every` increments, at least 1.
    ///
    /// # Panics
    ///
    /// When the plate has no such hole.
    #[must_use]
    pub fn new(job: &Job, watched: Watched, every: usize) -> Self {
        Self {
            records: Vec::new(),
            frames: Vec::new(),
            snapshots: Vec::new(),
            history: Vec::new(),
            watched,
            hole: job.plate.holes[watched.hole].clone(),
            every: every.max(1),
        }
    }

    /// The hole about which hoop and radial are meant.
    #[must_use]
    pub fn hole(&self) -> &Hole {
        &self.hole
    }

    /// Where the metal is followed.
    #[must_use]
    pub fn watched(&self) -> Watched {
        self.watched
    }

    /// The records by phase, in order.
    #[must_use]
    pub fn stretches(&self) -> Vec<Stretch<'_>> {
        let mut stretches: Vec<Stretch<'_>> = Vec::new();
        let mut before: Option<&TraceRecord> = None;
        for record in &self.records {
            let same_point = before.filter(|b| same_place(b.position, record.position));
            let goes_on = same_point.filter(|b| b.stage == record.stage && b.phase == record.phase);
            match stretches.last_mut() {
                Some(stretch) if goes_on.is_some() => stretch.records.push(record),
                _ if record.increment == 0 => {}
                _ => stretches.push(Stretch {
                    words: format!("{}: {}", record.stage, doing(record.phase)),
                    records: same_point.into_iter().chain([record]).collect(),
                }),
            }
            before = Some(record);
        }
        stretches
    }

    /// The integration point nearest to the watched spot.
    fn point(&self, system: &System) -> usize {
        let radius = self.hole.radius() + self.watched.depth;
        let (sin, cos) = self.watched.angle.sin_cos();
        let [x, y] = self.hole.centre;
        let (at, _) = system.mesh.symmetry.fold([x + radius * cos, y + radius * sin]);
        let away = |p: &[f64; 2]| (p[0] - at[0]).hypot(p[1] - at[1]);
        let points = system.tables.positions.iter().enumerate();
        points.min_by(|a, b| away(a.1).total_cmp(&away(b.1))).map_or(0, |(point, _)| point)
    }

    /// The point as it stands, in polar components about the hole.
    fn read(
        &self,
        record: &HistoryRecord,
        system: &System,
        (stress, conjugate): (Vector4<f64>, Vector4<f64>),
        (point, backs): (&PointFlow, &[Vector4<f64>]),
        position: [f64; 2],
    ) -> TraceRecord {
        let angle = self.hole.angle_to(position);
        let (metal, _) = system.region(system.mesh.region_of_point(self.point(system)));
        let strain = metal.elasticity.total_strain(conjugate, point.plastic_strain);
        TraceRecord {
            stage: record.stage.clone(),
            phase: record.phase,
            increment: record.increment,
            share: record.share,
            expansion: record.expansion,
            mean_pressure: record.mean_pressure,
            load_factor: record.load_factor,
            edge_displacement: 0.0,
            position,
            stress: Stress::from(stress).polar(angle),
            strain: tensor(strain).polar(angle),
            plastic_strain: tensor(point.plastic_strain).polar(angle),
            backstress: Stress::from(backs.iter().sum::<Vector4<f64>>()).polar(angle),
            equivalent_plastic_strain: point.equivalent,
            yield_stress: metal.yield_stress(point.equivalent),
        }
    }

    /// Mean outward displacement of the hole edge, mm.
    fn edge_displacement(&self, system: &System, displacement: &[[f64; 2]]) -> f64 {
        let edge = &system.mesh.holes[self.watched.hole].edge;
        let outward = |&node: &usize| {
            let (sin, cos) = self.hole.angle_to(system.mesh.nodes[node]).sin_cos();
            cos * displacement[node][0] + sin * displacement[node][1]
        };
        edge.iter().map(outward).sum::<f64>() / edge.len().max(1) as f64
    }

    fn mesh(&self, mesh: &Mesh) -> Arc<Mesh> {
        match self.frames.last() {
            Some(last) if *last.mesh == *mesh => Arc::clone(&last.mesh),
            _ => Arc::new(mesh.clone()),
        }
    }

    /// Record and frame of the untouched plate.
    fn start(&mut self, moment: &Moment<'_>, position: [f64; 2]) {
        let system = moment.system;
        let rest = HistoryRecord {
            stage: String::new(),
            increment: 0,
            share: 0.0,
            expansion: 0.0,
            mean_pressure: 0.0,
            load_factor: 0.0,
            ..moment.record.clone()
        };
        let virgin = (&PointFlow::default(), &[][..]);
        self.records.push(self.read(&rest, system, Default::default(), virgin, position));
        let points = moment.state.points.len();
        self.frames.push(Frame {
            record: 0,
            mesh: self.mesh(&system.mesh),
            displacement: vec![[0.0; 2]; system.mesh.nodes.len()],
            stress: vec![Vector4::zeros(); points],
            conjugate: vec![Vector4::zeros(); points],
            axial_strain: 0.0,
            free_strain: Vec::new(),
            plastic_strain: vec![Vector4::zeros(); points],
            equivalent: vec![0.0; points],
            reverse: vec![0.0; points],
        });
    }

    fn frame(&mut self, moment: &Moment<'_>) {
        let state = moment.state;
        // A growing tool has not stood at full size yet in this stage.
        let full = match moment.record.phase {
            Phase::Expand => &[],
            _ => moment.full_size_strain,
        };
        let added = |(point, now): (usize, &PointFlow)| {
            full.get(point).map_or(0.0, |full| (now.equivalent - full).max(0.0))
        };
        self.frames.push(Frame {
            record: self.records.len() - 1,
            mesh: self.mesh(&moment.system.mesh),
            displacement: state.displacement.clone(),
            stress: state.stress.clone(),
            conjugate: state.conjugate.clone(),
            axial_strain: state.axial_strain,
            free_strain: state.free_strain.clone(),
            plastic_strain: state.points.iter().map(|point| point.plastic_strain).collect(),
            equivalent: state.points.iter().map(|point| point.equivalent).collect(),
            reverse: state.points.iter().enumerate().map(added).collect(),
        });
    }
}

impl Observer for Trace {
    fn increment(&mut self, record: &HistoryRecord) -> ControlFlow<()> {
        self.history.push(record.clone());
        ControlFlow::Continue(())
    }

    fn state(&mut self, moment: &Moment<'_>) {
        let Moment { record, system, state, .. } = *moment;
        let point = self.point(system);
        let position = system.tables.positions[point];
        // A run that was taken up again did not start from rest.
        if self.records.is_empty() && record.increment == 1 {
            self.start(moment, position);
        }
        let history = (&state.points[point], state.backstress_of(point));
        let stresses = (state.stress[point], state.conjugate[point]);
        let mut now = self.read(record, system, stresses, history, position);
        now.edge_displacement = self.edge_displacement(system, &state.displacement);
        self.records.push(now);
        if record.increment % self.every == 0 || record.share >= 1.0 {
            self.frame(moment);
        }
    }

    fn snapshot(&mut self, snapshot: Snapshot) -> ControlFlow<()> {
        self.snapshots.push(snapshot);
        ControlFlow::Continue(())
    }
}

/// Whether two positions are one point, but for the rounding of a mesh that was made anew.
fn same_place(one: [f64; 2], other: [f64; 2]) -> bool {
    (one[0] - other[0]).hypot(one[1] - other[1]) < 1e-9
}

/// Description of a phase in words.
fn doing(phase: Phase) -> &'static str {
    match phase {
        Phase::Expand => "tool growing",
        Phase::Release => "tool leaving",
        Phase::Ream => "edge cut free",
        Phase::LoadUp => "load coming on",
        Phase::LoadDown => "load going off",
        Phase::Temperature => "temperature changing",
        Phase::Join => "doubler joined",
        Phase::Detach => "doubler coming off",
        Phase::Press => "bush pressed in",
    }
}

/// A strain as a symmetric tensor, which turns as a stress does.
fn tensor(strain: Vector4<f64>) -> Stress {
    Stress { xx: strain[0], yy: strain[1], zz: strain[2], xy: 0.5 * strain[3] }
}
