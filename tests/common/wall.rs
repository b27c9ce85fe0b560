//! A round wall with a pressurised hole, loaded step by step: what closed forms speak of.

use std::ops::ControlFlow;

use hoopset::geometry::hole::Hole;
use hoopset::geometry::plate::{Outline, Plate};
use hoopset::material::hardening::Material;
use hoopset::material::idealisation::Idealisation;
use hoopset::material::strains::Strains;
use hoopset::mesh::topology::Mesh;
use hoopset::numeric::profile::Profile;
use hoopset::process::flowed::Flowed;
use hoopset::process::job::{Job, Numerics};
use hoopset::process::load::forces;
use hoopset::process::snapshot::{HoleStatus, Snapshot, VERSION};
use hoopset::process::stage::Load;
use hoopset::process::transfer::Reader;
use hoopset::result::path::StressPath;
use hoopset::result::read::read;
use hoopset::solver::increment::{Increment, PhaseEnd};
use hoopset::solver::newton::Scheme;
use hoopset::solver::prescribed::Drive;
use hoopset::solver::state::State;
use hoopset::solver::system::System;

use super::meshes::{graded, quarter_annulus};

/// A wall of unit thickness on a quarter mesh.
pub struct Wall {
    pub job: Job,
    pub system: System,
    pub state: State,
    /// Equivalent plastic strain at the points when [`Wall::mark`] was last called.
    marked: Vec<f64>,
}

impl Wall {
    /// A wall from `inner` to `outer` radius, mm, on a mesh made by hand.
    pub fn by_hand(
        (inner, outer): (f64, f64),
        material: Material,
        idealisation: Idealisation,
        (layers, growth, sectors): (usize, f64, usize),
    ) -> Self {
        let mesh = quarter_annulus(&graded(inner, outer, layers, growth), sectors);
        Self::on_mesh((inner, outer), material, idealisation, mesh)
    }

    pub fn on_mesh(
        (inner, outer): (f64, f64),
        material: Material,
        idealisation: Idealisation,
        mesh: Mesh,
    ) -> Self {
        let hole = Hole::round("A", [0.0; 2], 2.0 * inner);
        let job = Job {
            plate: Plate {
                outline: Outline::Disc { diameter: 2.0 * outer },
                thickness: 1.0,
                holes: vec![hole],
            },
            idealisation,
            material: material.clone(),
            stages: vec![],
            numerics: Numerics::default(),
            supports: vec![],
            regions: vec![],
        };
        let mut system = System::new(mesh, material, idealisation, 1.0, inner).unwrap();
        // Closed forms are met to more digits than balance alone would give.
        system.method.scheme = Scheme::Newton;
        // The closed forms of walls speak of small strains.
        system.method.strains = Strains::Small;
        let state = system.virgin_state();
        Self { job, system, state, marked: Vec::new() }
    }

    /// Nodal forces of `pressure` in the hole, MPa.
    pub fn pressure_forces(&self, pressure: f64) -> Vec<[f64; 2]> {
        let load = Load { pressure: Some((0, pressure)), ..Load::default() };
        forces(&self.system.mesh, &load, 1.0, &["rim"]).unwrap()
    }

    /// Changes the pressure to `pressure` in increments of `step` (share of the change).
    pub fn try_press(
        &mut self,
        pressure: f64,
        step: f64,
        mut watch: impl FnMut(&State, &Increment),
    ) -> PhaseEnd {
        let drive =
            Drive { external: Some(self.pressure_forces(pressure)), step, ..Drive::default() };
        self.system.run_phase(&mut self.state, &drive, |_, state, increment| {
            watch(state, increment);
            ControlFlow::Continue(())
        })
    }

    /// The same, and it must succeed.
    pub fn press(&mut self, pressure: f64, step: f64) {
        let end = self.try_press(pressure, step, |_, _| {});
        assert_eq!(end, PhaseEnd::Done);
    }

    /// Takes the present plastic strain as that at full size, for reverse yielding.
    pub fn mark(&mut self) {
        self.marked = self.state.points.iter().map(|point| point.equivalent).collect();
    }

    /// Largest plastic strain added since [`Wall::mark`].
    pub fn largest_reverse_strain(&self) -> f64 {
        let now = self.state.points.iter().map(|point| point.equivalent);
        now.zip(&self.marked).map(|(now, then)| now - then).fold(0.0, f64::max)
    }

    /// The recovered stresses along +x.
    pub fn path(&self) -> StressPath {
        let (result, _) = read(&self.snapshot(), &self.job, &[]).unwrap();
        result.paths.into_iter().find(|path| path.angle_deg.abs() < 1e-9).unwrap()
    }

    /// Hoop and radial stress against radius, mm and MPa.
    pub fn hoop_and_radial(&self) -> (Profile, Profile) {
        let path = self.path();
        let inner = self.job.plate.holes[0].radius();
        let against_radius = |quantity: fn(&hoopset::result::path::PathPoint) -> f64| {
            Profile::new(
                path.points.iter().map(|point| inner + point.distance).collect(),
                path.points.iter().map(quantity).collect(),
            )
        };
        (against_radius(|point| point.stress.hoop), against_radius(|point| point.stress.radial))
    }

    /// Radial displacement at radius `r` on +x, mm.
    pub fn displacement(&self, r: f64) -> f64 {
        // A hair inside, so that the parabola of the rim does not matter.
        let outer = 0.5 * self.job.plate.outline.extent();
        let r = r.min(outer * (1.0 - 1e-12));
        Reader::new(&self.system, &self.state).displacement([r, 0.0]).unwrap()[0]
    }

    /// Radius to which the metal has yielded along +x: where the plastic strain of the
    /// integration points, carried to the ring lines, ends; mm.
    pub fn front(&self) -> f64 {
        let (_, summary) = read(&self.snapshot(), &self.job, &[]).unwrap();
        self.job.plate.holes[0].radius() + summary.paths[0].plastic_extent
    }

    pub fn snapshot(&self) -> Snapshot {
        let diameter = self.job.plate.holes[0].starting_diameter;
        Snapshot {
            version: VERSION,
            label: "wall".into(),
            heading: "wall".into(),
            stage: 1,
            finished: true,
            loaded: true,
            mesh: self.system.mesh.clone(),
            state: self.state.clone(),
            full_size_strain: self.marked.clone(),
            flowed: Flowed::default(),
            holes: vec![HoleStatus {
                nominal_diameter: diameter,
                axis: [0.0; 2],
                starting_diameter: diameter,
                applied_expansion: None,
                reamed: false,
            }],
            mated: vec![],
            contacts: vec![],
            joints: vec![],
            joint_readings: vec![],
            tools: vec![],
            support_forces: vec![],
            break_throughs: vec![],
            cut: None,
            factorizations: 0,
            services: vec![],
            history: vec![],
        }
    }
}
