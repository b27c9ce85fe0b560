//! Plates with holes under remote load or pressure, elastic, through the whole program.

use std::ops::ControlFlow;

use hoopset::geometry::hole::Hole;
use hoopset::geometry::plate::{Outline, Plate};
use hoopset::material::hardening::Material;
use hoopset::material::idealisation::Idealisation;
use hoopset::material::strains::Strains;
use hoopset::mesh::topology::Mesh;
use hoopset::process::history::HistoryRecord;
use hoopset::process::job::{Job, Numerics};
use hoopset::process::sequence::{Ending, Observer, Sequence};
use hoopset::process::snapshot::Snapshot;
use hoopset::process::stage::{Load, Stage};
use hoopset::result::path::StressPath;
use hoopset::result::read::read;
use hoopset::result::stage::StageResult;
use hoopset::result::summary::StageSummary;

/// Keeps every snapshot of a run.
#[derive(Default)]
pub struct Keep {
    pub snapshots: Vec<Snapshot>,
}

impl Observer for Keep {
    fn increment(&mut self, _: &HistoryRecord) -> ControlFlow<()> {
        ControlFlow::Continue(())
    }
    fn snapshot(&mut self, snapshot: Snapshot) -> ControlFlow<()> {
        self.snapshots.push(snapshot);
        ControlFlow::Continue(())
    }
}

/// Runs a job to its end.
pub fn run(job: &Job) -> Vec<Snapshot> {
    run_sequence(&mut Sequence::new(job.clone()).unwrap())
}

/// Runs a job on a given mesh.
pub fn run_on(job: &Job, mesh: Mesh) -> Vec<Snapshot> {
    run_sequence(&mut Sequence::with_mesh(job.clone(), mesh).unwrap())
}

pub fn run_sequence(sequence: &mut Sequence) -> Vec<Snapshot> {
    let mut keep = Keep::default();
    match sequence.run(&mut keep) {
        Ok(ending) => assert_eq!(ending, Ending::Done),
        Err(failure) => panic!("{}: {}", failure.stage, failure.error),
    }
    keep.snapshots
}

/// Fields and numbers of the snapshot called `label`.
pub fn results(snapshots: &[Snapshot], label: &str, job: &Job) -> (StageResult, StageSummary) {
    let snapshot = snapshots.iter().find(|snapshot| snapshot.label == label).unwrap();
    read(snapshot, job, &[]).unwrap()
}

/// The path of a hole at an angle, degrees.
pub fn path<'a>(result: &'a StageResult, hole: &str, angle_deg: f64) -> &'a StressPath {
    let wanted =
        |path: &&StressPath| path.hole == hole && (path.angle_deg - angle_deg).abs() < 1e-6;
    result.paths.iter().find(wanted).unwrap()
}

/// A rectangular plate, holes as `(x, y, radius)`, named A, B, …
pub fn rectangle(width: f64, height: f64, holes: &[[f64; 3]]) -> Plate {
    Plate {
        outline: Outline::Rectangle { width, height },
        thickness: 1.0,
        holes: holes
            .iter()
            .zip('A'..)
            .map(|(&[x, y, radius], name)| Hole::round(name.to_string(), [x, y], 2.0 * radius))
            .collect(),
    }
}

/// A round plate with its hole at the centre.
pub fn disc(inner: f64, outer: f64) -> Plate {
    Plate {
        outline: Outline::Disc { diameter: 2.0 * outer },
        thickness: 1.0,
        holes: vec![Hole::round("A", [0.0; 2], 2.0 * inner)],
    }
}

/// One load stage on a plate, in one increment: enough for elastic metal.
pub fn loaded(plate: Plate, material: Material, idealisation: Idealisation, load: Load) -> Job {
    Job {
        plate,
        idealisation,
        material,
        stages: vec![Stage::Load { load, cycles: 1 }],
        // What it is held against speaks of small strains.
        numerics: Numerics { increments: 1, strains: Strains::Small, ..Numerics::default() },
        supports: vec![],
        regions: vec![],
    }
}

/// Tension on two opposite edges, MPa.
pub fn pull(edges: [&str; 2], stress: f64) -> Load {
    Load { tractions: edges.map(|edge| (edge.to_owned(), stress)).to_vec(), ..Load::default() }
}

/// Pressure in a hole, MPa.
pub fn pressure(hole: usize, pressure: f64) -> Load {
    Load { pressure: Some((hole, pressure)), ..Load::default() }
}

/// Fields of an elastic job at full load, on the default mesh at `fineness`.
pub fn at_full_load(mut job: Job, fineness: f64) -> StageResult {
    job.numerics.fineness = fineness;
    let snapshots = run(&job);
    results(&snapshots, "1-load-full", &job).0
}
