//! A plate whose load is changed step by step: what closed forms of walls and sheets speak of.
//!
//! The sequence of a case loads and unloads; here a load may stop anywhere, and equilibrium
//! may be looked for until there is none.

use std::sync::atomic::Ordering;

use crate::geometry::hole::Hole;
use crate::mesh::build;
use crate::mesh::topology::Mesh;
use crate::numeric::profile::Profile;
use crate::process::expand::{contact, touching_radius};
use crate::process::flowed::Flowed;
use crate::process::job::Job;
use crate::process::load::forces;
use crate::process::plan::mesh_plan;
use crate::process::snapshot::{HoleStatus, Snapshot, VERSION};
use crate::process::stage::Load;
use crate::process::tool::Tool;
use crate::process::transfer::Reader;
use crate::result::path::PathPoint;
use crate::solver::contact::ToolState;
use crate::solver::increment::PhaseEnd;
use crate::solver::increment_error::IncrementError;
use crate::solver::newton::Scheme;
use crate::solver::prescribed::Drive;
use crate::solver::state::State;
use crate::solver::system::{STRAIN_PARTS, System};
use crate::theory::field::RotationalField;
use crate::theory::range::OutOfRange;
use crate::verify::bench::{Bench, Reading, flow, reading};
use crate::verify::trouble::Trouble;

/// A plate under a load that is driven by hand.
#[derive(Debug)]
pub struct Wall {
    /// The plate, its metal, its numerics; stages are not looked at.
    pub job: Job,
    /// The equations.
    pub system: System,
    /// Where it stands.
    pub state: State,
    /// Increments so far, and Newton iterations in them.
    pub effort: [usize; 2],
    /// Equivalent plastic strain at the points when [`Wall::mark`] was last called.
    marked: Vec<f64>,
}

impl Wall {
    /// The plate of `job` on the program's own mesh.
    ///
    /// # Errors
    ///
    /// When it cannot be meshed or set up.
    pub fn new(job: Job) -> Result<Self, Trouble> {
        let mesh = build(&job.plate, &mesh_plan(&job))
            .map_err(crate::process::stage_error::StageError::from)?;
        Self::on_mesh(job, mesh)
    }

    /// The same on a given mesh.
    ///
    /// # Errors
    ///
    /// When the equations cannot be set up.
    pub fn on_mesh(job: Job, mesh: Mesh) -> Result<Self, Trouble> {
        let smallest = job.plate.holes.iter().map(Hole::radius);
        let length = smallest.fold(0.5 * job.plate.outline.extent(), f64::min);
        let thickness = job.plate.thickness;
        let mut system =
            System::new(mesh, job.material.clone(), job.idealisation, thickness, length)?;
        // Closed forms are met to more digits than balance alone would give.
        system.method.scheme = Scheme::Newton;
        system.method.strains = job.numerics.strains;
        // Orders in the increment show where its parts do not adapt.
        let parts = job.numerics.strain_parts.unwrap_or(STRAIN_PARTS);
        system.follow_strain(Some(parts), job.numerics.path_tolerance);
        let state = system.virgin_state();
        Ok(Self { job, system, state, effort: [0; 2], marked: Vec::new() })
    }

    /// Changes the load to `load` in increments of `step` (share of the change).
    ///
    /// # Errors
    ///
    /// [`Trouble::Refused`] without equilibrium, [`Trouble::Interrupted`].
    pub fn load(&mut self, bench: &Bench<'_>, load: &Load, step: f64) -> Result<(), Trouble> {
        self.try_load(bench, load, step)?.map_err(Trouble::from)
    }

    /// The same where equilibrium may end; the inner error tells how far it went.
    ///
    /// # Errors
    ///
    /// [`Trouble::Interrupted`], or a load that does not fit the plate.
    pub fn try_load(
        &mut self,
        bench: &Bench<'_>,
        load: &Load,
        step: f64,
    ) -> Result<Result<(), IncrementError>, Trouble> {
        let names = self.job.plate.outline.edge_names();
        let external = forces(&self.system.mesh, load, self.job.plate.thickness, &names)?;
        let drive = Drive { external: Some(external), step, ..Drive::default() };
        self.drive(bench, &drive)
    }

    /// Changes the pressure in the first hole to `pressure`, MPa.
    ///
    /// # Errors
    ///
    /// As [`load`](Self::load).
    pub fn press(&mut self, bench: &Bench<'_>, pressure: f64, step: f64) -> Result<(), Trouble> {
        self.load(bench, &Load { pressure: Some((0, pressure)), ..Load::default() }, step)
    }

    /// Drives anything.
    ///
    /// # Errors
    ///
    /// As [`try_load`](Self::try_load).
    pub fn drive(
        &mut self,
        bench: &Bench<'_>,
        drive: &Drive,
    ) -> Result<Result<(), IncrementError>, Trouble> {
        bench.go_on()?;
        let effort = &mut self.effort;
        let end = self.system.run_phase(&mut self.state, drive, |_, _, increment| {
            effort[0] += 1;
            effort[1] += increment.iterations.residuals.len();
            flow(bench.stop.load(Ordering::SeqCst))
        });
        bench.go_on()?;
        Ok(match end {
            PhaseEnd::Failed(error) => Err(error),
            PhaseEnd::Done | PhaseEnd::Stopped => Ok(()),
        })
    }

    /// Puts `tool` into the first hole, about to touch; returns its radius then, mm.
    pub fn insert(&mut self, tool: &Tool) -> f64 {
        let hole = &self.job.plate.holes[0];
        let thickness = self.job.plate.thickness;
        let side = contact(&self.system.mesh, (0, hole), tool, self.job.idealisation, thickness);
        let start = touching_radius(&self.system.mesh, &side, &self.state);
        self.state.tools = vec![ToolState::new(start, side.nodes.len())];
        self.system.set_tools(vec![side]);
        start
    }

    /// Mean pressure of the tool, MPa; 0 without one.
    #[must_use]
    pub(crate) fn tool_pressure(&self) -> f64 {
        let sides = self.system.tools.first().zip(self.state.tools.first());
        sides.map_or(0.0, |(side, tool)| side.mean_pressure(tool))
    }

    /// Newton iterations that an increment took on average.
    #[must_use]
    pub fn iterations(&self) -> f64 {
        self.effort[1] as f64 / self.effort[0].max(1) as f64
    }

    /// Takes the present plastic strain as that at full size, for reverse yielding.
    pub fn mark(&mut self) {
        self.marked = self.state.points.iter().map(|point| point.equivalent).collect();
    }

    /// Largest plastic strain added since [`Wall::mark`].
    #[must_use]
    pub fn largest_reverse_strain(&self) -> f64 {
        let now = self.state.points.iter().map(|point| point.equivalent);
        now.zip(&self.marked).map(|(now, then)| now - then).fold(0.0, f64::max)
    }

    /// Fields and paths as they stand.
    ///
    /// # Errors
    ///
    /// When the mesh is folded.
    pub fn reading(&self, angles: &[Vec<f64>]) -> Result<Reading, Trouble> {
        reading(self.snapshot(), &self.job, angles)
    }

    /// Hoop and radial stress along +x from the first hole, against radius; mm and MPa.
    ///
    /// # Errors
    ///
    /// As [`reading`](Self::reading).
    pub fn hoop_and_radial(&self) -> Result<(Profile, Profile), Trouble> {
        let reading = self.reading(&[])?;
        let name = self.job.plate.holes[0].name.as_str();
        let path = reading.path(name, 0.0)?;
        let inner = self.job.plate.holes[0].radius();
        let against_radius = |quantity: fn(&PathPoint) -> f64| {
            Profile::new(
                path.points.iter().map(|point| inner + point.distance).collect(),
                path.points.iter().map(quantity).collect(),
            )
        };
        Ok((against_radius(|point| point.stress.hoop), against_radius(|point| point.stress.radial)))
    }

    /// Displacement along x at `(r, 0)`, mm.
    ///
    /// # Errors
    ///
    /// When there is no metal.
    pub fn displacement(&self, r: f64) -> Result<f64, Trouble> {
        // A hair inside, so that the parabola of the rim does not matter.
        let r = r.min(0.5 * self.job.plate.outline.extent() * (1.0 - 1e-12));
        Ok(Reader::new(&self.system, &self.state).displacement([r, 0.0])?[0])
    }

    /// The state as a snapshot.
    #[must_use]
    pub fn snapshot(&self) -> Snapshot {
        let holes = self.job.plate.holes.iter().map(|hole| HoleStatus {
            nominal_diameter: hole.starting_diameter,
            axis: hole.centre,
            starting_diameter: hole.starting_diameter,
            applied_expansion: None,
            reamed: false,
        });
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
            holes: holes.collect(),
            contacts: vec![],
            joints: vec![],
            joint_readings: vec![],
            mated: vec![],
            tools: vec![],
            support_forces: vec![],
            break_throughs: vec![],
            services: vec![],
            cut: None,
            factorizations: 0,
            history: vec![],
        }
    }
}

/// Mean distance of a hoop profile against radius from a closed form, over `scale`.
///
/// # Errors
///
/// When the theory or the profile does not reach the radius.
pub(crate) fn mean_error(
    found: &Profile,
    theory: &impl RotationalField,
    scale: f64,
) -> Result<f64, Trouble> {
    const PIECES: u32 = 1000;
    let (inner, width) = (theory.inner(), theory.outer() - theory.inner());
    let mut sum = 0.0;
    for k in 0..PIECES {
        let r = inner + width * (f64::from(k) + 0.5) / f64::from(PIECES);
        sum += (at(found, r)? - theory.hoop(r)?).abs();
    }
    Ok(sum / f64::from(PIECES) / scale)
}

/// The value of a profile, or the complaint that it does not reach there.
///
/// # Errors
///
/// [`Trouble::Input`] outside the profile.
pub fn at(profile: &Profile, x: f64) -> Result<f64, Trouble> {
    profile.at(x).ok_or_else(|| Trouble::missing(format!("stress at {x} mm")))
}

/// A profile as points of a chart.
#[must_use]
pub fn points(profile: &Profile) -> Vec<[f64; 2]> {
    profile.distances().iter().zip(profile.values()).map(|(x, y)| [*x, *y]).collect()
}

/// A closed form as points of a chart, `from` to `to` mm.
///
/// # Errors
///
/// [`OutOfRange`] when the form does not reach there.
pub fn curve(
    from: f64,
    to: f64,
    mut value: impl FnMut(f64) -> Result<f64, OutOfRange>,
) -> Result<Vec<[f64; 2]>, OutOfRange> {
    const PIECES: u32 = 240;
    (0..=PIECES)
        .map(|k| {
            let x = from + (to - from) * f64::from(k) / f64::from(PIECES);
            Ok([x, value(x)?])
        })
        .collect()
}
