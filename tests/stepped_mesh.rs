//! Thickness as an array of an imported mesh: against closed forms, against regions that are drawn, and
//! what is refused.
#![allow(clippy::unwrap_used, clippy::float_cmp, clippy::cast_precision_loss, missing_docs)]
#![allow(clippy::print_stdout, reason = "what was measured, for `--nocapture`")]

mod common;

use std::fmt::Write as _;
use std::fs;
use std::path::Path;
use std::process::Command;

use common::metals::elastic;
use common::plates::{path, pressure, results, run_on};
use hoopset::case::{self, Case, Complaint};
use hoopset::material::elasticity::Elasticity;
use hoopset::material::strains::Strains;
use hoopset::mesh::export;
use hoopset::mesh::import::read_vtu;
use hoopset::mesh::topology::Mesh;
use hoopset::process::job::Numerics;
use hoopset::process::stage::Stage;
use hoopset::theory::nested_rings::{NestedRing, NestedRings};

/// Mesh files as text.
#[allow(dead_code, reason = "points in space are for the tests of files")]
#[path = "import/text.rs"]
mod text;

use text::{Cell, square_with_hole, vtu};

const STEEL: Elasticity = Elasticity { youngs_modulus: 210_000.0, poissons_ratio: 0.3 };
const RADII: [f64; 5] = [1.0, 1.1, 1.3, 1.7, 2.5];

/// A file with an array of text in a block.
fn with_array(file: &str, block: &str, values: &[f64]) -> String {
    let mut numbers = String::new();
    for value in values {
        write!(numbers, "{value:?} ").unwrap();
    }
    let array = format!(
        "<{block}>\n<DataArray type=\"Float64\" Name=\"heat\" format=\"ascii\">no number</DataArray>\n\
         <DataArray type=\"Float64\" Name=\"thickness\" format=\"ascii\">{numbers}</DataArray>\n\
         </{block}>\n"
    );
    file.replace("<Points>", &format!("{array}<Points>"))
}

/// The case with the lines `plate` and `rest` on a mesh, whose hole is at `at`.
fn case_on(
    mesh: &[u8],
    (plate, at, diameter, rest): (&str, [f64; 2], f64, &str),
) -> Result<Case, Complaint> {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("plate.vtu"), mesh).unwrap();
    let name = folder.path().join("case.toml").display().to_string();
    case::parse(&case_text(plate, at, diameter, rest), &name)
}

fn case_text(plate: &str, at: [f64; 2], diameter: f64, rest: &str) -> String {
    let bigger = 1.04 * diameter;
    format!(
        "units = \"mm-MPa\"\n[plate]\nmesh = \"plate.vtu\"\n{plate}\nalloy = \"2024-T351 plate\"\n\
         [[hole]]\nname = \"A\"\nat = {at:?}\nstarting_diameter = {diameter}\n\
         [[stage]]\nexpand = \"A\"\nmandrel_diameter = {bigger}\n{rest}"
    )
}

/// The middles of the corners of all elements.
fn middles(mesh: &Mesh) -> Vec<[f64; 2]> {
    let quads = mesh.quads.iter().map(|nodes| &nodes[..4]);
    let corners = quads.chain(mesh.triangles.iter().map(|nodes| &nodes[..3]));
    let middle = |nodes: &[usize]| {
        let sum = |axis: usize| nodes.iter().map(|&node| mesh.nodes[node][axis]).sum::<f64>();
        [0, 1].map(|axis| sum(axis) / nodes.len() as f64)
    };
    corners.map(middle).collect()
}

/// Linear quadrilaterals on circles of these radii about the origin, in an order and orientation that
/// change from cell to cell, and the radius at the middle of every cell.
fn annulus(sectors: usize, radii: &[f64]) -> (Vec<[f64; 2]>, Vec<Cell>, Vec<f64>) {
    let mut points = Vec::new();
    for radius in radii {
        for sector in 0..sectors {
            let (sine, cosine) = (std::f64::consts::TAU * sector as f64 / sectors as f64).sin_cos();
            points.push([radius * cosine, radius * sine]);
        }
    }
    let count = (radii.len() - 1) * sectors;
    let (mut cells, mut middle) = (Vec::new(), Vec::new());
    for k in 0..count {
        // 31 has no divisor in common with the number of cells.
        let cell = (31 * k + 7) % count;
        let (line, sector) = (cell / sectors, cell % sectors);
        let next = (sector + 1) % sectors;
        let at = |line: usize, sector: usize| line * sectors + sector;
        let mut nodes =
            vec![at(line, sector), at(line + 1, sector), at(line + 1, next), at(line, next)];
        nodes.rotate_left(k % 4);
        if k % 3 == 0 {
            nodes.reverse();
        }
        cells.push((9, nodes));
        middle.push(0.5 * (radii[line] + radii[line + 1]));
    }
    (points, cells, middle)
}

/// Two thicknesses in a round plate meshed elsewhere. Source: Lamé, joined at the step by equal
/// displacement and equal force (derived, `theory::nested_rings`), as for regions that are drawn.
#[test]
fn a_stepped_ring_of_a_foreign_mesh_has_the_stresses_of_the_closed_form() {
    let radii: Vec<f64> = (0..=16)
        .map(|k| 10.0 + 0.5 * f64::from(k))
        .chain((1..=22).map(|k| 18.0 + f64::from(k)))
        .collect();
    let (points, cells, middle) = annulus(96, &radii);
    assert!(!(cells.len()).is_multiple_of(31));
    let thick: Vec<f64> = middle.iter().map(|r| if *r < 18.0 { 2.5 } else { 1.0 }).collect();
    let file = with_array(&vtu(&points, &cells), "CellData", &thick);
    let nested = |outer, thickness| NestedRing {
        outer,
        thickness,
        elasticity: STEEL,
        free_strain: 0.0,
        interference: 0.0,
    };
    let rings = NestedRings::new(10.0, &[nested(18.0, 2.5), nested(40.0, 1.0)], 50.0).unwrap();
    // The thickness that the case states is a reference only: a pressure is the same for both.
    // Inside of another ring, what is as thick as the plate has a region of its own.
    let [inner, outer] = [("thickness 2.5 mm", Some(96 * 16)), ("thickness 1 mm", Some(96 * 22))];
    for (stated, regions) in [(1.0, vec![inner]), (2.5, vec![outer, inner])] {
        let plate = format!("thickness = {stated}");
        let case = case_on(file.as_bytes(), (&plate, [0.0; 2], 20.0, "")).unwrap();
        let Case { mut job, imported, warnings, .. } = case;
        assert!(warnings.iter().any(|told| told.contains("eccentric step")), "{warnings:?}");
        let named: Vec<_> = job.regions.iter().map(|r| (r.name.as_str(), r.elements)).collect();
        assert_eq!(named, regions);
        job.material = elastic(STEEL.youngs_modulus, STEEL.poissons_ratio);
        job.stages = vec![Stage::Load { load: pressure(0, 50.0), cycles: 1 }];
        job.numerics = Numerics { increments: 1, strains: Strains::Small, ..job.numerics };
        let snapshots = run_on(&job, imported.unwrap().mesh);
        let (result, _) = results(&snapshots, "1-load-full", &job);
        let path = path(&result, "A", 0.0);
        let (hoop, radial) = (path.hoop(), path.profile(|point| point.stress.radial));
        let mut worst = 0.0_f64;
        for (ring, radius, side) in [
            (0, 10.0, 0.0),
            (0, 14.0, 0.0),
            (0, 18.0, -2e-5),
            (1, 18.0, 2e-5),
            (1, 25.0, 0.0),
            (1, 39.9, 0.0),
        ] {
            let [r, h] = rings.stress(ring, radius).unwrap();
            let at = radius - 10.0 + side;
            let off =
                [hoop.at(at).unwrap() - h, radial.at(at).unwrap() - r].map(|x| x.abs() / 50.0);
            println!("ring {ring} at {radius}: off {off:.5?} of the pressure");
            worst = worst.max(off[0]).max(off[1]);
        }
        // As for a region that is drawn, with sides that follow circles.
        assert!(worst < 0.005, "{worst}");
    }
}

const DRAWN: &str = "units = \"mm-MPa\"\n[plate]\nwidth = 60\nheight = 40\nthickness = 4\n\
    alloy = \"2024-T351 plate\"\n\
    [[hole]]\nname = \"A\"\nat = [12.0, 20.0]\nstarting_diameter = 6\n\
    [[region]]\nname = \"pad\"\nrectangle = [[22, 0], [60, 40]]\nthickness = 8\n\
    [[region]]\nname = \"pocket\"\ncircle = [42, 20]\ndiameter = 20\nthickness = 2\n\
    [[region]]\nname = \"island\"\ncircle = [42, 20]\ndiameter = 8\nthickness = 4\n\
    [[stage]]\nexpand = \"A\"\nmandrel_diameter = 6.24\n\
    [numerics]\nfineness = 0.5\nsymmetry = false\n";

/// The mesh of a drawn case, written with its thicknesses and read again, is the same job: pad, pocket,
/// and an island in it that is as thick as the plate.
#[test]
fn regions_of_a_mesh_are_those_that_were_drawn() {
    let drawn = case::parse(DRAWN, "drawn.toml").unwrap();
    let mesh = drawn.mesh().unwrap();
    let file = export::vtu(&mesh, 4.0, 1.0);
    let read = case_on(&file, ("thickness = 4", [12.0, 20.0], 6.0, "")).unwrap();
    let imported = read.imported.as_ref().unwrap();
    let names: Vec<&str> = read.job.regions.iter().map(|region| region.name.as_str()).collect();
    assert_eq!(names, ["thickness 8 mm", "thickness 2 mm", "thickness 4 mm"]);
    assert_eq!(imported.mesh.regions, mesh.regions);
    for (element, at) in middles(&mesh).into_iter().enumerate() {
        assert_eq!(read.job.region_at(at), mesh.region_of(element), "{at:?}");
    }
    for (number, region) in (1_u8..).zip(&read.job.regions) {
        let own = (0..mesh.element_count()).filter(|&at| mesh.region_of(at) == number).count();
        assert_eq!(region.elements, Some(own));
        let there = drawn.job.regions[usize::from(number) - 1].outline.area();
        assert!((region.outline.area() / there - 1.0).abs() < 1e-9, "{}", region.name);
    }
    let [a, b] = [(&drawn.job, mesh.clone()), (&read.job, imported.mesh.clone())]
        .map(|(job, mesh)| results(&run_on(job, mesh), "1-expand-A", job).0);
    let mut worst = 0.0_f64;
    for angle in [0.0, 90.0, 180.0, 270.0] {
        let [a, b] = [&a, &b].map(|result| path(result, "A", angle));
        assert_eq!(a.points.len(), b.points.len(), "{angle}");
        for (x, y) in a.points.iter().zip(&b.points) {
            worst = worst.max((x.stress.hoop - y.stress.hoop).abs());
        }
    }
    println!("largest difference {worst:e} MPa");
    // Nodes and outlines differ by rounding, increments end at a force of 1e-8 or so.
    assert!(worst < 1e-3, "{worst}");
}

/// `check` names the regions of a mesh and writes the thickness of its cells.
#[test]
fn check_tells_the_regions_of_a_mesh_and_writes_them() {
    let (points, cells) = square_with_hole(24, &RADII);
    let thick: Vec<f64> = (0..cells.len()).map(|k| if k < 48 { 6.0 } else { 4.0 }).collect();
    let folder = tempfile::tempdir().unwrap();
    let file = with_array(&vtu(&points, &cells), "CellData", &thick);
    fs::write(folder.path().join("plate.vtu"), &file).unwrap();
    let text = case_text("thickness = 4", [5.0, 5.0], 2.0, "");
    fs::write(folder.path().join("case.toml"), text).unwrap();
    let output = Command::new(env!("CARGO_BIN_EXE_hoopset"))
        .args(["check", "case.toml"])
        .current_dir(folder.path())
        .output()
        .unwrap();
    let told = String::from_utf8_lossy(&output.stdout);
    assert_eq!(output.status.code(), Some(0), "{told}");
    let line = "region thickness 6 mm: 6.000 mm thick, 48 elements of the mesh";
    assert!(told.contains(line), "{told}");
    let written = fs::read(Path::new(folder.path()).join("case-mesh/mesh.vtu")).unwrap();
    let [first, second] = [file.as_bytes(), &written].map(|bytes| {
        let imported = read_vtu(bytes, 1.0, &[]).unwrap();
        imported.parts.unwrap().numbered(4.0)
    });
    assert_eq!(first.1, second.1);
    assert_eq!(first.0[0].elements, 48);
}

/// Values at points: an element between two thicknesses has their mean.
#[test]
fn values_at_points_give_elements_their_mean() {
    let (points, cells) = square_with_hole(24, &RADII);
    let thick: Vec<f64> = (0..points.len()).map(|k| if k < 72 { 0.8 } else { 0.4 }).collect();
    let file = with_array(&vtu(&points, &cells), "PointData", &thick);
    // In inches: the plate is 10.16 mm thick.
    let imported = read_vtu(file.as_bytes(), 25.4, &[]).unwrap();
    let (regions, numbers) = imported.parts.unwrap().numbered(10.16);
    let found: Vec<_> = regions.iter().map(|part| (part.thickness, part.elements)).collect();
    assert_eq!(found.len(), 2);
    for ((thickness, elements), (wanted, count)) in
        found.into_iter().zip([(15.24, 24), (20.32, 48)])
    {
        assert!((thickness / wanted - 1.0).abs() < 1e-12 && elements == count, "{thickness}");
    }
    for (relative, wanted) in numbers.relative_thickness.iter().zip([1.5, 2.0]) {
        assert!((relative - wanted).abs() < 1e-12);
    }
    let rings = &imported.mesh.holes[0];
    let of = |layer: usize| (0..24).map(move |sector| rings.quad(layer, sector));
    assert!(of(0).chain(of(1)).all(|quad| numbers.quads[quad] == 2));
    assert!(of(2).all(|quad| numbers.quads[quad] == 1));
}

/// A ring of quadrilaterals that a step crosses is none that a ream may move.
#[test]
fn rings_end_where_a_step_crosses_them() {
    let (points, cells) = square_with_hole(24, &RADII);
    let thick: Vec<f64> = (0..cells.len()).map(|k| if k == 50 { 6.0 } else { 4.0 }).collect();
    let file = vtu(&points, &cells);
    let layers = |file: &str| read_vtu(file.as_bytes(), 1.0, &[]).unwrap().mesh.holes[0].layers;
    assert_eq!((layers(&file), layers(&with_array(&file, "CellData", &thick))), (3, 2));
}

/// Thickness thrown at random: parts that touch in a node, surround each other, touch themselves. The
/// outlines, asked at the middle of every element, give the region that the element has.
#[test]
fn outlines_and_numbers_agree_however_parts_lie() {
    let (points, cells) = square_with_hole(24, &[1.0, 1.1, 1.25, 1.45, 1.7, 2.0, 2.4]);
    let mut seed = 20_u64;
    let mut most = 0;
    for values in [&[4.0, 8.0][..], &[2.0, 4.0, 8.0], &[3.0, 5.0]].repeat(8) {
        let mut thick = vec![values[0]; cells.len()];
        for own in &mut thick[24..] {
            seed = seed
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1_442_695_040_888_963_407);
            *own = values[usize::try_from(seed >> 33).unwrap() % values.len()];
        }
        let file = with_array(&vtu(&points, &cells), "CellData", &thick);
        let case = case_on(file.as_bytes(), ("thickness = 4", [5.0, 5.0], 2.0, "")).unwrap();
        let mesh = case.imported.unwrap().mesh;
        let mut names: Vec<&str> = case.job.regions.iter().map(|r| r.name.as_str()).collect();
        most = most.max(names.len());
        for (element, at) in middles(&mesh).into_iter().enumerate() {
            let region = mesh.region_of(element);
            assert_eq!(case.job.region_at(at), region, "{at:?}");
            // The file has the value of the cell whose middle this is.
            let cell = cells.iter().position(|(_, nodes)| {
                let sum = |axis: usize| nodes.iter().map(|&k| points[k][axis]).sum::<f64>() / 4.0;
                (sum(0) - at[0]).hypot(sum(1) - at[1]) < 1e-9
            });
            assert_eq!(case.job.thickness_of(region), thick[cell.unwrap()], "{at:?}");
        }
        names.sort_unstable();
        names.dedup();
        assert_eq!(names.len(), case.job.regions.len(), "every region has its own name");
    }
    assert!(most > 30, "{most}");
}

/// A thick ring round a hole is cut away as a whole, or its outline stays where it is; a cut between is
/// refused.
#[test]
fn a_ream_takes_a_ring_of_a_mesh_away_or_leaves_its_outline_alone() {
    let text = "units = \"mm-MPa\"\n[plate]\nouter_diameter = 60\nthickness = 4\n\
                alloy = \"7075-T651 plate\"\n[[region]]\nname = \"ring\"\ncircle = [0, 0]\n\
                diameter = 9\nthickness = 6\n[[hole]]\nname = \"A\"\nstarting_diameter = 6\n\
                [[stage]]\nexpand = \"A\"\nmandrel_diameter = 6.24\n\
                [numerics]\nfineness = 0.5\nsymmetry = false\n";
    let mesh = case::parse(text, "ring.toml").unwrap().mesh().unwrap();
    let file = export::vtu(&mesh, 4.0, 1.0);
    for (diameter, left) in [(6.4, Some([true, true])), (9.6, Some([true, false])), (9.0, None)] {
        let ream = format!("[[stage]]\nream = \"A\"\ndiameter = {diameter}\n");
        let case = case_on(&file, ("thickness = 4", [0.0; 2], 6.0, &ream));
        let Some(left) = left else {
            let said = case.unwrap_err().to_string();
            assert!(said.contains("cuts the outline of region `thickness 6 mm`"), "{said}");
            continue;
        };
        let case = case.unwrap();
        let snapshots = run_on(&case.job, case.imported.unwrap().mesh);
        let reamed = &snapshots[snapshots.len() - 1].mesh;
        let has = [0_u8, 1].map(|region| reamed.regions.quads.contains(&region));
        assert_eq!(has, left, "{diameter}");
        let near = reamed.nodes.iter().filter(|[x, y]| (x.hypot(*y) - 4.5).abs() < 1e-9).count();
        assert_eq!(near > 10, left[1], "{diameter}: {near}");
    }
}

/// Every wrong array is one error at the key that names the mesh.
#[test]
fn wrong_thicknesses_are_refused() {
    let (points, cells) = square_with_hole(24, &RADII);
    let plain = vtu(&points, &cells);
    let good = vec![4.0; cells.len()];
    let set = |at: usize, value: f64| {
        let mut values = good.clone();
        values[at] = value;
        with_array(&plain, "CellData", &values)
    };
    let thick = set(100, 6.0);
    let both = with_array(&thick, "PointData", &vec![4.0; points.len()]);
    let name = "Name=\"thickness\"";
    let two = thick.replace(name, &format!("{name} NumberOfComponents=\"2\""));
    let words = thick.replace("\"Float64\" Name=\"thickness\"", "\"String\" Name=\"thickness\"");
    let short = with_array(&plain, "CellData", &good[1..]);
    let taper: Vec<f64> =
        (0..cells.len()).map(|k| if k < 24 { 4.0 } else { 4.0 + 0.01 * k as f64 }).collect();
    let taper = with_array(&plain, "CellData", &taper);
    let at_points =
        with_array(&plain, "PointData", &[&[-1.0], &vec![4.0; points.len() - 1][..]].concat());
    let plate = "thickness = 4";
    let strain = "thickness = 4\nidealisation = \"plane strain\"";
    let drawn = "[[region]]\nname = \"pad\"\ncircle = [8, 8]\ndiameter = 2\nthickness = 5\n";
    let beside = "[numerics]\nidealisations = true\n";
    for (file, plate, rest, wanted) in [
        (&set(100, 0.0), plate, "", "array `thickness` of the mesh is 0 at cell 100"),
        (&set(30, -2.0), plate, "", "array `thickness` of the mesh is -2 at cell 30"),
        (&set(30, f64::NAN), plate, "", "array `thickness` of the mesh is NaN at cell 30"),
        (&set(30, f64::INFINITY), plate, "", "array `thickness` of the mesh is inf at cell 30"),
        (&at_points, plate, "", "array `thickness` of the mesh is -1 at point 0"),
        (&short, plate, "", "array `thickness` of the mesh"),
        (&two, plate, "", "array `thickness` of the mesh has 2 components"),
        (&words, plate, "", "array `thickness` of the mesh has the unknown type `String`"),
        (&both, plate, "", "array `thickness` of the mesh stands at the cells and at the points"),
        (
            &taper,
            plate,
            "",
            "array `thickness` of the mesh gives the elements 97 thicknesses, 40 at most",
        ),
        (
            &set(3, 5.0),
            plate,
            "",
            "the elements at the edge of hole `A` are 4.0000 and 5.0000 mm thick",
        ),
        (
            &thick,
            "thickness = 400",
            "",
            "array `thickness` of the mesh is 4 mm at some elements, but the",
        ),
        (&thick, strain, "", "array `thickness` of the mesh has no meaning in plane strain"),
        (&thick, plate, drawn, "no region can be drawn on a mesh that is read from a file"),
        (&thick, plate, "[life]\n", "[life] does not go with a mesh of several thicknesses"),
        (&thick, plate, "[section]\n", "[section] does not go with a mesh of several thicknesses"),
        (&thick, plate, beside, "a step in thickness has no meaning in the other idealisations"),
    ] {
        let said =
            case_on(file.as_bytes(), (plate, [5.0, 5.0], 2.0, rest)).unwrap_err().to_string();
        assert!(said.contains(wanted), "{wanted}\n{said}");
        assert!(said.contains("case.toml"), "{said}");
    }
    // An array of one thickness is none, in any idealisation; a plate of no such thickness is told of.
    let even = with_array(&plain, "CellData", &good);
    let case = case_on(even.as_bytes(), (strain, [5.0, 5.0], 2.0, "")).unwrap();
    assert!(case.job.regions.is_empty());
    assert_eq!(case.imported.unwrap().mesh, read_vtu(plain.as_bytes(), 1.0, &[]).unwrap().mesh);
    let case = case_on(even.as_bytes(), ("thickness = 5", [5.0, 5.0], 2.0, "")).unwrap();
    assert!(case.warnings.iter().any(|told| told.contains("no element of the mesh is 5 mm thick")));
    assert_eq!(case.job.thickness_of(case.job.region_of_hole(0)), 4.0);
}
