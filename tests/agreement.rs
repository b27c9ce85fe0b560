//! One problem, several meshes: half the plate, the whole, one made elsewhere, turned, mirrored.
//!
//! No source is needed: mechanics does not know which part of a plate is drawn, in which
//! direction its axes point, or who made the mesh. Plate and tools are invented.
#![allow(clippy::unwrap_used, clippy::print_stdout, missing_docs)]

use std::ops::ControlFlow;
use std::path::Path;

use hoopset::geometry::hole::Hole;
use hoopset::geometry::plate::{Outline, Plate};
use hoopset::material::backstress::Backstress;
use hoopset::material::elasticity::Elasticity;
use hoopset::material::hardening::{Isotropic, Material, VoceTerm};
use hoopset::material::idealisation::Idealisation;
use hoopset::mesh::import::{read_bytes, read_vtu};
use hoopset::mesh::topology::Mesh;
use hoopset::mesh::{build, export};
use hoopset::process::history::HistoryRecord;
use hoopset::process::job::{Job, Numerics};
use hoopset::process::plan::mesh_plan;
use hoopset::process::sequence::{Observer, Sequence};
use hoopset::process::snapshot::Snapshot;
use hoopset::process::stage::Stage;
use hoopset::process::tool::{Centre, Tool};
use hoopset::result::read::read;

const DIAMETER: f64 = 5.7;

struct Last(Option<Snapshot>);

impl Observer for Last {
    fn increment(&mut self, _: &HistoryRecord) -> ControlFlow<()> {
        ControlFlow::Continue(())
    }

    fn snapshot(&mut self, snapshot: Snapshot) -> ControlFlow<()> {
        self.0 = Some(snapshot);
        ControlFlow::Continue(())
    }
}

fn job(outline: Outline, centre: [f64; 2], fineness: f64, use_symmetry: bool) -> Job {
    let tool = Tool {
        mandrel_diameter: 5.52,
        sleeve_thickness: 0.2,
        split: None,
        elastic: Some((200_000.0, 0.3)),
        centre: Centre::Floating,
        offset: [0.0; 2],
    };
    Job {
        plate: Plate { outline, thickness: 6.0, holes: vec![Hole::round("A", centre, DIAMETER)] },
        idealisation: Idealisation::PlaneStress,
        material: Material {
            elasticity: Elasticity { youngs_modulus: 73_000.0, poissons_ratio: 0.33 },
            yield_stress: 300.0,
            isotropic: Isotropic::Voce {
                terms: vec![VoceTerm { saturation: 60.0, rate: 30.0 }],
                slope: 300.0,
            },
            kinematic: vec![Backstress { modulus: 63_234.0, recall: 1058.0 }],
        },
        stages: vec![Stage::Expand { hole: 0, tool }],
        numerics: Numerics { fineness, increments: 12, use_symmetry, ..Numerics::default() },
        supports: vec![],
        regions: vec![],
    }
}

const SQUARE: Outline = Outline::Rectangle { width: 60.0, height: 60.0 };

/// The headline numbers of the residual state.
#[derive(Debug)]
struct Headline {
    /// Retained expansion; largest diameter after a ream.
    hole: f64,
    /// Direction in degrees, then edge hoop, peak compression, its depth, peak tension.
    paths: Vec<(f64, [f64; 4])>,
}

fn run(job: &Job, mesh: Mesh) -> Headline {
    let mut sequence = Sequence::with_mesh(job.clone(), mesh).unwrap();
    let mut last = Last(None);
    sequence.run(&mut last).unwrap();
    let (_, summary) = read(&last.0.unwrap(), job, &[]).unwrap();
    let paths = summary.paths.iter().map(|path| {
        let value = |extreme: Option<[f64; 2]>| extreme.map_or(f64::NAN, |[value, _]| value);
        let depth = path.compression_depth.unwrap_or(f64::NAN);
        let numbers =
            [path.edge_hoop, value(path.peak_compression), depth, value(path.peak_tension)];
        (path.angle_deg, numbers)
    });
    Headline {
        hole: summary.holes[0].retained_expansion.unwrap_or(summary.holes[0].largest_diameter),
        paths: paths.collect(),
    }
}

fn own_mesh(job: &Job) -> Mesh {
    build(&job.plate, &mesh_plan(job)).unwrap()
}

/// A mesh written and read again, its nodes moved by `place`; `job` gets the outline that is read.
fn through_file(mesh: &Mesh, job: &mut Job, place: impl Fn([f64; 2]) -> [f64; 2]) -> Mesh {
    let mut moved = mesh.clone();
    moved.nodes.iter_mut().for_each(|node| *node = place(*node));
    let bytes = export::vtu(&moved, 5.0, 1.0);
    let imported = read_vtu(&bytes, 1.0, &job.plate.holes).unwrap();
    job.plate.outline = imported.outline;
    imported.mesh
}

/// Compares path by path; `turn` gives the direction in the second plate of one in the first.
fn agree(
    name: &str,
    first: &Headline,
    second: &Headline,
    turn: impl Fn(f64) -> f64,
    tolerance: f64,
) {
    agree_each(name, first, second, turn, |_| tolerance);
}

/// The same with a tolerance for every number, by its name.
fn agree_each(
    name: &str,
    first: &Headline,
    second: &Headline,
    turn: impl Fn(f64) -> f64,
    tolerance: impl Fn(&str) -> f64,
) {
    let worst = std::cell::Cell::new(0.0_f64);
    let same = |what: &str, a: f64, b: f64| {
        let off = (a - b).abs() / a.abs();
        println!("{name}: {what} {a:.5} {b:.5}, off by {off:.1e}");
        // What is not a number on one side agrees with nothing.
        let share = off / tolerance(what);
        worst.set(worst.get().max(if share.is_nan() { f64::INFINITY } else { share }));
    };
    same("size of the hole", first.hole, second.hole);
    assert_eq!(first.paths.len(), second.paths.len());
    for (angle, numbers) in &first.paths {
        let there = turn(*angle);
        let (_, others) = second
            .paths
            .iter()
            .find(|(other, _)| ((other - there + 180.0).rem_euclid(360.0) - 180.0).abs() < 1e-6)
            .unwrap_or_else(|| panic!("{name}: no path at {there}"));
        let whats = ["edge hoop", "peak compression", "compression depth", "peak tension"];
        for (what, (a, b)) in whats.into_iter().zip(numbers.iter().zip(others)) {
            same(&format!("{what} at {angle}"), *a, *b);
        }
    }
    assert!(
        worst.get() <= 1.0,
        "{name}: off by up to {:.2} of the tolerance, the lines above say where",
        worst.get()
    );
}

#[test]
fn half_whole_and_imported_plates_agree() {
    // The fills of the two differ. At fineness 1 the highest tension, which is in a kink, is 0.55 %
    // apart, and all else 3e-5.
    let half = job(SQUARE, [12.0, 30.0], 1.5, true);
    let whole = job(SQUARE, [12.0, 30.0], 1.5, false);
    let mesh = own_mesh(&whole);
    let mut read = whole.clone();
    let again = through_file(&mesh, &mut read, |at| at);
    assert_eq!(read, whole);
    let (a, (b, c)) = rayon::join(
        || run(&half, own_mesh(&half)),
        || rayon::join(|| run(&whole, mesh), || run(&whole, again)),
    );
    let same = |angle: f64| angle;
    agree("half, whole", &a, &b, same, 5e-3);
    // The same mesh but for the rounding of its way through a file.
    agree("whole, imported", &b, &c, same, 1e-6);
}

#[test]
fn a_mesh_of_other_make_gives_the_same_numbers() {
    // Layers of 0.25 mm where the plastic zone ends, as in the foreign mesh. The tension peaks in
    // a kink there, which a mesh sees to about an eighth of a layer: at 0.5 mm the two were 4 %
    // of the peak apart, and all else within 0.3 %. Here it is 1.2 % with any number of increments
    // that has converged (twelve in one part happened to hide it), and 0.11 % for all else.
    let own = job(SQUARE, [12.0, 30.0], 2.0, true);
    let foreign = Path::new(env!("CARGO_MANIFEST_DIR")).join("meshes/bracket-foot.vtu");
    let foreign = read_vtu(&read_bytes(&foreign).unwrap(), 1.0, &own.plate.holes).unwrap().mesh;
    let (a, b) = rayon::join(|| run(&own, own_mesh(&own)), || run(&own, foreign));
    let tolerance = |what: &str| if what.starts_with("peak tension") { 1.5e-2 } else { 5e-3 };
    agree_each("own, foreign", &a, &b, |angle| angle, tolerance);
}

#[test]
fn a_turned_plate_has_the_same_numbers() {
    let drawn = job(SQUARE, [12.0, 26.0], 0.5, false);
    let mesh = own_mesh(&drawn);
    let (sine, cosine) = 37.0_f64.to_radians().sin_cos();
    let place = |at: [f64; 2]| [cosine * at[0] - sine * at[1], sine * at[0] + cosine * at[1]];
    let mut turned = job(SQUARE, place([12.0, 26.0]), 0.5, false);
    let again = through_file(&mesh, &mut turned, place);
    assert!(matches!(turned.plate.outline, Outline::Loops(_)), "its edges lie along no axis");
    let (a, b) = rayon::join(|| run(&drawn, mesh), || run(&turned, again));
    // The plate is held at other nodes, which leaves it another rigid rotation of some 1e-3;
    // straight-line kinematics stretches the hole by half the square of it, 1e-6, and the stress
    // near the end of the plastic zone by about ten times that.
    agree("drawn, turned by 37", &a, &b, |angle| angle + 37.0, 1e-4);
}

#[test]
fn a_mirrored_plate_has_the_same_numbers() {
    let drawn = job(SQUARE, [12.0, 26.0], 0.5, false);
    let mesh = own_mesh(&drawn);
    let mut mirrored = job(SQUARE, [48.0, 26.0], 0.5, false);
    let again = through_file(&mesh, &mut mirrored, |at| [60.0 - at[0], at[1]]);
    let (a, b) = rayon::join(|| run(&drawn, mesh), || run(&mirrored, again));
    agree("drawn, mirrored", &a, &b, |angle| 180.0 - angle, 1e-6);
}

#[test]
fn an_imported_mesh_is_reamed_as_our_own_is() {
    let mut reamed = job(SQUARE, [12.0, 30.0], 0.5, false);
    reamed.stages.push(Stage::Ream { hole: 0, diameter: 6.0, offset: [0.0; 2] });
    let mesh = own_mesh(&reamed);
    let again = through_file(&mesh, &mut reamed.clone(), |at| at);
    let (a, b) = rayon::join(|| run(&reamed, mesh), || run(&reamed, again));
    // The same mesh but for rounding: lines of the rings move and carry their state alike.
    agree("own, imported", &a, &b, |angle| angle, 1e-6);
}
