//! hoopset against a general-purpose finite-element library, on the same problems.
//!
//! Source: the stored results of `verification/second-opinion`, solved there with another element,
//! mesh, return map, contact and way of reading stresses. The page has the versions, both levels
//! of mesh, and what is left between the two programs.
#![allow(clippy::unwrap_used, clippy::print_stdout, missing_docs)]

use std::fs;
use std::path::{Path, PathBuf};

use hoopset::case::Case;
use hoopset::numeric::profile::Profile;
use hoopset::result::stage::StageResult;
use hoopset::result::summary::StageSummary;
use hoopset::{Sequence, Snapshot, case, read};
use serde_json::Value;

/// Of the yield stress, what the hoop stresses may differ by; measured: 0.32 % on these meshes.
const SHARE: f64 = 0.006;

/// The same next to the end of reverse yielding, where the profile has a kink that cuts through an
/// element of one mesh and misses that of the other; measured: 0.98 %, against 0.35 % between
/// the two meshes of the library.
const SHARE_AT_KINK: f64 = 0.015;

/// How far a kink is felt: about one layer of the rings there, mm.
const LAYER: f64 = 0.1;

/// Distances that are compared, mm: edge, compression, and the way out of it.
const DISTANCES: [f64; 5] = [0.0, 0.5, 1.0, 1.5, 2.0];

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("verification/second-opinion")
}

/// What the library found.
struct Library {
    numbers: Value,
    hoop: Vec<(f64, Profile)>,
}

/// Its result on the mesh of this level; 2 is the finer one.
fn library(name: &str, level: u32) -> Library {
    stored(&format!("{name}-library-{level}"))
}

/// Its result stored under this name.
fn stored(name: &str) -> Library {
    let stem = folder().join("results").join(name);
    let numbers = fs::read_to_string(stem.with_extension("json")).unwrap();
    let table = fs::read_to_string(format!("{}-paths.csv", stem.display())).unwrap();
    let rows: Vec<Vec<f64>> = table
        .lines()
        .skip(1)
        .map(|line| line.split(',').map(|cell| cell.parse().unwrap()).collect())
        .collect();
    let hoop = rows
        .chunk_by(|a, b| a[0].total_cmp(&b[0]).is_eq())
        .map(|path| {
            let column = |k: usize| path.iter().map(|row| row[k]).collect();
            (path[0][0], Profile::new(column(1), column(2)))
        })
        .collect();
    Library { numbers: serde_json::from_str(&numbers).unwrap(), hoop }
}

impl Library {
    fn number(&self, pointer: &str) -> f64 {
        self.numbers.pointer(pointer).and_then(Value::as_f64).unwrap()
    }
}

/// The case at a fineness of its own or this one, run.
fn solved(name: &str, fineness: Option<f64>) -> (Case, Vec<Snapshot>) {
    let mut case = case::read(&folder().join(format!("{name}.toml"))).unwrap();
    case.job.numerics.fineness = fineness.unwrap_or(case.job.numerics.fineness);
    let mut snapshots: Vec<Snapshot> = Vec::new();
    Sequence::new(case.job.clone()).unwrap().run(&mut snapshots).unwrap();
    (case, snapshots)
}

/// Runs the case and holds every path against the library's; returns the stages' numbers.
fn agree(name: &str, level: u32) -> (Vec<StageSummary>, Library) {
    let (case, snapshots) = solved(name, None);
    let library = library(name, level);
    let (result, _) = read(&snapshots[1], &case.job, &case.path_angles).unwrap();
    let yield_stress = case.job.material.yield_stress;
    for (angle, expected) in &library.hoop {
        let path = result.paths.iter().find(|path| (path.angle_deg - angle).abs() < 1e-9).unwrap();
        let kink = library.number(&format!("/paths/{angle}/reverse_yield_extent"));
        for distance in DISTANCES {
            let (found, wanted) =
                (path.hoop().at(distance).unwrap(), expected.at(distance).unwrap());
            let off = (found - wanted).abs() / yield_stress;
            let allowed = if (distance - kink).abs() < LAYER { SHARE_AT_KINK } else { SHARE };
            println!("{name} {angle}° {distance} mm: {found:.1} for {wanted:.1} MPa, {off:.4}");
            assert!(off <= allowed, "{name} {angle}° {distance} mm: off by {off:.4} of yield");
        }
    }
    assert!(library.hoop.len() >= 2);
    everywhere(name, &result, &library, yield_stress);
    let stages = snapshots
        .iter()
        .map(|snapshot| read(snapshot, &case.job, &case.path_angles).unwrap().1)
        .collect();
    (stages, library)
}

/// Holds every point of the library's paths of finite strain against the run: to half a per cent of the yield
/// stress on the plate of the demonstration (measured: 0.30 %), but for the end of the ligament at the edge of the
/// plate, far from the rings (0.60 %; at fineness 2, 0.13 %).
fn everywhere(name: &str, result: &StageResult, library: &Library, yield_stress: f64) {
    let [inside, end] = match name {
        "hinge-plate-finite" => [0.005, 0.0075],
        _ => return,
    };
    for (angle, expected) in &library.hoop {
        let path = result.paths.iter().find(|path| (path.angle_deg - angle).abs() < 1e-9).unwrap();
        let last = expected.distances().len() - 1;
        let (mut worst, mut at_end) = (0.0_f64, 0.0);
        for (place, (&distance, wanted)) in
            expected.distances().iter().zip(expected.values()).enumerate()
        {
            let Some(found) = path.hoop().at(distance) else { continue };
            let off = (found - wanted).abs() / yield_stress;
            if place == last { at_end = off } else { worst = worst.max(off) }
        }
        println!("{name} {angle}°: {worst:.4} of yield at {last} points, {at_end:.4} at the end");
        assert!(worst <= inside && at_end <= end, "{name} {angle}°: {worst} {at_end}");
    }
}

fn close(what: &str, found: f64, wanted: f64, share: f64) {
    let off = (found / wanted - 1.0).abs();
    println!("{what}: {found:.6} for {wanted:.6}, off by {:.3} %", 100.0 * off);
    assert!(off <= share, "{what}: {found} for {wanted}");
}

/// Numbers of the whole plate: pressure, retained expansion, depth of every path.
fn agree_on_sizes(stages: &[StageSummary], library: &Library) {
    let (full, out) = (&stages[0], &stages[1]);
    // Half a per cent: twice what fineness 0.5 was measured to differ by.
    close(
        "mean pressure",
        full.holes[0].mean_pressure,
        library.number("/at_full/mean_pressure"),
        5e-3,
    );
    let retained = out.holes[0].retained_expansion.unwrap();
    close("retained expansion", retained, library.number("/retained_expansion"), 5e-3);
    for (angle, _) in &library.hoop {
        let path = out.paths.iter().find(|path| (path.angle_deg - angle).abs() < 1e-9).unwrap();
        let wanted = library.number(&format!("/paths/{angle}/compression_depth"));
        close("depth", path.compression_depth.unwrap(), wanted, 1e-2);
    }
}

fn agree_on_the_edge(stages: &[StageSummary], library: &Library) {
    let shift = stages[0].holes[0].mandrel_shift[0];
    close("mandrel shift", shift, library.number("/at_full/mandrel_shift"), 1e-2);
    let left = stages[1].edges.iter().find(|edge| edge.edge == "left").unwrap();
    close("bulge", left.bulge, library.number("/edge_bulge"), 1e-2);
}

#[test]
fn a_library_finds_the_same_near_an_edge_in_plane_stress() {
    let (stages, library) = agree("edge-hole", 2);
    agree_on_sizes(&stages, &library);
    agree_on_the_edge(&stages, &library);
}

#[test]
fn a_library_finds_the_same_near_an_edge_in_plane_strain() {
    let (stages, library) = agree("edge-hole-strain", 2);
    agree_on_sizes(&stages, &library);
    agree_on_the_edge(&stages, &library);
}

#[test]
fn a_library_finds_the_same_reverse_yielding() {
    let (stages, library) = agree("square-plate", 2);
    agree_on_sizes(&stages, &library);
    // Read where a plastic strain of 2e-5 is passed, to half a layer of the coarser mesh (0.1 mm).
    let found = stages[1].paths[0].reverse_yield_extent;
    let wanted = library.number("/paths/0/reverse_yield_extent");
    println!("reverse yielding to {found:.3} mm for {wanted:.3} mm");
    assert!((found - wanted).abs() < 0.1);
}

/// In large deformation, where the library goes by principal stretches. Pressure is per area of the edge as it stands, distances are those in the part as it stands.
#[test]
fn a_library_finds_the_same_near_an_edge_with_finite_strain() {
    let (stages, library) = agree("edge-hole-finite", 2);
    agree_on_sizes(&stages, &library);
    agree_on_the_edge(&stages, &library);
    agree_on_thickness(&stages, &library);
}

/// Half a per cent of the yield stress at every point of three paths, on finer meshes: measured 0.26 % on the plate of the
/// demonstration, 207 points; near an edge, against the library's level 3, 0.31 % towards it, 0.11 % across and 0.03 % away from
/// it, 309 points. Beside a front the library is read from the elements on the side of the point alone.
#[test]
#[ignore = "minutes: fine meshes"]
fn on_fine_meshes_a_library_finds_the_same_everywhere() {
    for (name, fineness, reference) in [
        ("hinge-plate-finite", 2.0, "hinge-plate-finite-library-2"),
        ("edge-hole-finite", 4.0, "edge-hole-finite-library-3-sides"),
    ] {
        let (case, snapshots) = solved(name, Some(fineness));
        let (result, _) = read(&snapshots[1], &case.job, &case.path_angles).unwrap();
        let mut points = 0;
        for (angle, expected) in &stored(reference).hoop {
            let path = result.paths.iter().find(|p| (p.angle_deg - angle).abs() < 1e-9).unwrap();
            for (&distance, wanted) in expected.distances().iter().zip(expected.values()) {
                let Some(found) = path.hoop().at(distance) else { continue };
                let off = (found - wanted).abs() / case.job.material.yield_stress;
                assert!(off <= 0.005, "{name} {angle}° {distance} mm: off by {off:.4} of yield");
                points += 1;
            }
        }
        println!("{name}: {points} points");
        assert!(points > 200, "{points}");
    }
}

/// Thickness of the rim with the tool in it and after, by length along the edge, to 1e-4 of it;
/// measured: 1.4e-5.
fn agree_on_thickness(stages: &[StageSummary], library: &Library) {
    for (stage, pointer) in
        stages.iter().zip(["/at_full/edge_thickness_change", "/edge_thickness_change"])
    {
        let found = stage.holes[0].edge_thickness_change.unwrap();
        let wanted = library.number(pointer);
        println!("thickness of the rim {found:.6} for {wanted:.6}");
        assert!((found - wanted).abs() <= 1e-4, "{found} for {wanted}");
    }
}

/// The expansion of the demonstration, with a rigid mandrel and the right edge on a guide, in the
/// metal of the library with all its terms.
#[test]
fn a_library_finds_the_same_on_the_plate_of_the_demonstration() {
    let (stages, library) = agree("hinge-plate-finite", 2);
    agree_on_sizes(&stages, &library);
    agree_on_the_edge(&stages, &library);
    agree_on_thickness(&stages, &library);
}

/// The ring of `annulus.toml`: a third voice, one-dimensional.
///
/// Source: a radial solution of the same ring, computed independently of any finite-element code and
/// converged to the digits shown.
#[test]
fn a_radial_solution_finds_the_same_in_a_ring() {
    let case = case::read(&folder().join("annulus.toml")).unwrap();
    let mut snapshots: Vec<Snapshot> = Vec::new();
    Sequence::new(case.job.clone()).unwrap().run(&mut snapshots).unwrap();
    let (result, _) = read(&snapshots[1], &case.job, &case.path_angles).unwrap();
    let hoop = result.paths[0].hoop();
    for (radius, expected) in
        [(3.05, -456.5), (4.0, -486.8), (5.0, -261.4), (7.0, -8.06), (10.0, 105.6)]
    {
        let found = hoop.at(radius - 3.0).unwrap();
        println!("ring {radius}: {found:.2} for {expected} MPa");
        // 0.1 % of the yield stress: straight lines between the points of the path, last digits.
        assert!((found - expected).abs() < 0.35, "{found} at {radius}");
    }
}
