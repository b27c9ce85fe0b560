//! Meshes made elsewhere: every encoding, the boundary and its holes, and what is refused.
//!
//! Files of other writers lie in `meshes/`; how they were made stands there. What is read is
//! held against geometry (areas, circles) and against our own mesher.
#![allow(clippy::unwrap_used, missing_docs)]

use std::f64::consts::PI;
use std::path::Path;

use hoopset::geometry::hole::Hole;
use hoopset::geometry::plate::{Outline, Plate};
use hoopset::mesh::check::measure;
use hoopset::mesh::import::import_error::ImportError;
use hoopset::mesh::import::{Imported, read_vtu};
use hoopset::mesh::plan::MeshPlan;
use hoopset::mesh::topology::Mesh;
use hoopset::mesh::{build, export};

/// Areas of meshes and of what they draw.
#[path = "mesh/area.rs"]
mod area;
/// A mesh file read plainly.
#[allow(dead_code, reason = "the arrays at the points are for the fields of results")]
#[path = "common/grid.rs"]
mod grid;
/// The plate of an imported mesh.
#[path = "import/plates.rs"]
mod plates;
/// What is refused.
#[path = "import/refusals.rs"]
mod refusals;
/// Mesh files as text.
#[path = "import/text.rs"]
mod text;

use area::{area, drawn_circle};
use grid::Grid;
use text::{square_with_hole, vtu};

fn file(name: &str) -> Vec<u8> {
    std::fs::read(Path::new(env!("CARGO_MANIFEST_DIR")).join("meshes").join(name)).unwrap()
}

fn hole(name: &str, centre: [f64; 2], starting_diameter: f64) -> Hole {
    Hole::round(name.to_string(), centre, starting_diameter)
}

fn read(text: &str) -> Result<Imported, ImportError> {
    read_vtu(text.as_bytes(), 1.0, &[])
}

const RADII: [f64; 5] = [1.0, 1.1, 1.3, 1.7, 2.5];

#[test]
fn every_encoding_of_two_writers_reads_as_the_same_mesh() {
    let text = read_vtu(&file("encodings/meshio-text.vtu"), 1.0, &[]).unwrap();
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("meshes/encodings");
    let mut read = 0;
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        let name = path.file_stem().unwrap().to_string_lossy().into_owned();
        let imported = read_vtu(&std::fs::read(&path).unwrap(), 1.0, &[]);
        if name.ends_with("lz4") {
            let refused = imported.unwrap_err().to_string();
            assert!(refused.contains("only zlib can be read"), "{refused}");
            continue;
        }
        let mesh = imported.unwrap_or_else(|error| panic!("{name}: {error}")).mesh;
        // Text has fewer digits, `sizes8` single precision (6e-8 of 12 mm).
        let digits = if name.ends_with("sizes8") { 2e-6 } else { 1e-9 };
        assert_eq!(mesh.quads, text.mesh.quads, "{name}");
        for (at, wanted) in mesh.nodes.iter().zip(&text.mesh.nodes) {
            let off = (at[0] - wanted[0]).hypot(at[1] - wanted[1]);
            assert!(off < digits, "{name}: {at:?} for {wanted:?}");
        }
        read += 1;
    }
    assert_eq!(read, 13);
}

#[test]
fn foreign_meshes_have_the_area_of_their_plates() {
    for (name, size, holes, rings) in [
        ("bracket-foot", [60.0, 60.0], vec![hole("A", [12.0, 30.0], 5.7)], true),
        (
            "shelf-strip",
            [50.0, 30.0],
            vec![hole("A", [15.0, 15.0], 5.0), hole("B", [33.0, 14.0], 6.0)],
            false,
        ),
        (
            "two-bore-plate",
            [48.0, 32.0],
            vec![hole("right", [34.0, 16.0], 5.0), hole("left", [14.0, 16.0], 5.0)],
            true,
        ),
    ] {
        let bytes = file(&format!("{name}.vtu"));
        let imported = read_vtu(&bytes, 1.0, &holes).unwrap_or_else(|e| panic!("{name}: {e}"));
        assert_eq!(
            imported.outline,
            Outline::Rectangle { width: size[0], height: size[1] },
            "{name}"
        );
        let mesh = &imported.mesh;
        let mut drawn = size[0] * size[1];
        for (hole, around) in holes.iter().zip(&mesh.holes) {
            drawn -= drawn_circle(mesh, hole.radius(), around.sides());
            for &node in &around.edge {
                let off = hole.distance_to(mesh.nodes[node]) - hole.radius();
                assert!(off.abs() < 1e-13, "{name}: {off} off the circle");
            }
            assert_eq!(around.layers >= 10, rings, "{name}");
        }
        let measured = area(mesh);
        assert!((measured - drawn).abs() < 1e-11 * drawn, "{name}: {measured} for {drawn}");
        let names: Vec<&str> = mesh.edges.iter().map(|edge| edge.name.as_str()).collect();
        assert_eq!(names, ["bottom", "right", "top", "left"], "{name}");
        let sides: usize = mesh.edges.iter().map(|edge| edge.sides.len()).sum();
        assert_eq!(sides + mesh.holes.iter().map(|h| h.edge.len() / 2).sum::<usize>(), free(mesh));
        assert!(measure(mesh).smallest_scaled_jacobian > 0.3, "{name}");
        assert!(imported.warnings.is_empty(), "{name}: {:?}", imported.warnings);
    }
}

/// Sides that one element has alone.
fn free(mesh: &Mesh) -> usize {
    let mut uses = vec![0; mesh.nodes.len()];
    mesh.quads.iter().flat_map(|quad| &quad[4..]).for_each(|&middle| uses[middle] += 1);
    mesh.triangles.iter().flat_map(|three| &three[3..]).for_each(|&middle| uses[middle] += 1);
    uses.iter().filter(|&&count| count == 1).count()
}

fn zoo() -> Vec<Plate> {
    let plate = |outline: Outline, holes: Vec<Hole>| Plate { outline, thickness: 5.0, holes };
    vec![
        plate(
            Outline::Rectangle { width: 60.0, height: 40.0 },
            vec![hole("A", [12.0, 20.0], 6.0), hole("B", [35.0, 22.0], 5.0)],
        ),
        plate(Outline::Disc { diameter: 50.0 }, vec![hole("A", [-14.0, 3.0], 6.0)]),
        plate(Outline::Disc { diameter: 50.0 }, vec![hole("A", [0.0, 0.0], 6.0)]),
    ]
}

#[test]
fn our_own_mesh_comes_back_as_it_was() {
    for plate in zoo() {
        let mesh = build(&plate, &MeshPlan { fineness: 0.5, ..MeshPlan::default() }).unwrap();
        // Through inches and back: their rounding is all that may change.
        let bytes = export::vtu(&mesh, 5.0, 25.4);
        let imported = read_vtu(&bytes, 25.4, &plate.holes).unwrap();
        assert_eq!(imported.mesh.quads, mesh.quads);
        assert_eq!(imported.mesh.triangles, mesh.triangles);
        for (there, here) in imported.mesh.holes.iter().zip(&mesh.holes) {
            assert_eq!((&there.edge, there.closed), (&here.edge, here.closed));
            assert_eq!(
                (there.first_quad, there.sectors, there.layers),
                (here.first_quad, here.sectors, here.layers)
            );
        }
        for (there, here) in imported.mesh.nodes.iter().zip(&mesh.nodes) {
            assert!((there[0] - here[0]).hypot(there[1] - here[1]) < 1e-13 * 60.0);
        }
        match (imported.outline, &plate.outline) {
            (Outline::Disc { diameter }, Outline::Disc { diameter: wanted }) => {
                assert!((diameter - wanted).abs() < 1e-12 * wanted);
            }
            (Outline::Rectangle { width, height }, Outline::Rectangle { width: w, height: h }) => {
                assert!((width - w).abs() < 1e-12 * w && (height - h).abs() < 1e-12 * h);
            }
            (other, wanted) => panic!("{other:?} for {wanted:?}"),
        }
        let sorted = |mesh: &Mesh| {
            let mut sides: Vec<(String, [usize; 3])> = mesh
                .edges
                .iter()
                .flat_map(|edge| edge.sides.iter().map(|side| (edge.name.clone(), *side)))
                .collect();
            sides.sort();
            sides
        };
        assert_eq!(sorted(&imported.mesh), sorted(&mesh));
        assert!(imported.notes.is_empty() && imported.warnings.is_empty());
    }
}

#[test]
fn a_mesh_that_the_program_wrote_is_read_as_a_disc() {
    let hole = [hole("A", [-9.0, 0.0], 6.0)];
    let imported = read_vtu(&file("spacer-ring.vtu"), 1.0, &hole).unwrap();
    let Outline::Disc { diameter } = imported.outline else { panic!("it is round") };
    assert!((diameter - 40.0).abs() < 1e-12 * 40.0);
    let mesh = &imported.mesh;
    assert!(mesh.holes[0].layers >= 6 && mesh.edge("rim").is_some());
    // Arcs of up to 10° a side: parabolas miss less than 2e-6 of the area.
    let exact = PI * (20.0 * 20.0 - 3.0 * 3.0);
    assert!((area(mesh) - exact).abs() < 2e-6 * exact);
}

#[test]
fn rings_are_found_whatever_the_order_and_orientation_of_the_cells() {
    let plate = &zoo()[0];
    let mesh = build(plate, &MeshPlan { fineness: 0.5, ..MeshPlan::default() }).unwrap();
    let mut cells: Vec<(u8, Vec<usize>)> =
        mesh.quads.iter().map(|nodes| (23, nodes.to_vec())).collect();
    cells.extend(mesh.triangles.iter().map(|nodes| (22, nodes.to_vec())));
    // Every element begins at another corner, every second one runs clockwise.
    for (index, (_, nodes)) in cells.iter_mut().enumerate() {
        let sides = nodes.len() / 2;
        let (corners, middles) = nodes.split_at_mut(sides);
        corners.rotate_left(index % sides);
        middles.rotate_left(index % sides);
        if index % 2 == 0 {
            corners[1..].reverse();
            middles.reverse();
        }
    }
    // A stride that shares no divisor with the count visits all.
    let count = cells.len();
    let stride = (count / 3..count)
        .find(|s| (2..=*s).all(|d| !s.is_multiple_of(d) || !count.is_multiple_of(d)))
        .unwrap();
    let shuffled: Vec<_> = (0..count).map(|k| cells[k * stride % count].clone()).collect();
    // Lines and vertices mark edges and are passed over; a field is, too.
    let mut marked = vec![(3, vec![0, 1]), (1, vec![5])];
    marked.extend(shuffled);
    let imported = read_vtu(vtu(&mesh.nodes, &marked).as_bytes(), 1.0, &plate.holes).unwrap();
    for (there, here) in imported.mesh.holes.iter().zip(&mesh.holes) {
        assert_eq!(there, &hoopset::mesh::topology::HoleMesh { ream_layers: None, ..here.clone() });
        for quad in here.first_quad..here.first_quad + here.layers * here.sectors {
            assert_eq!(imported.mesh.quads[quad], mesh.quads[quad]);
        }
    }
    assert_eq!(imported.mesh.triangles.len(), mesh.triangles.len());
    assert!((area(&imported.mesh) - area(&mesh)).abs() < 1e-11 * area(&mesh));
}

#[test]
fn what_we_write_is_what_the_format_says() {
    let mesh = build(&zoo()[0], &MeshPlan { fineness: 0.5, ..MeshPlan::default() }).unwrap();
    let bytes = export::vtu(&mesh, 5.0, 1.0);
    let text = String::from_utf8_lossy(&bytes);
    assert_eq!(text.matches("type=\"Int64\"").count(), 2, "connectivity and offsets");
    let grid = Grid::read(&bytes);
    assert_eq!((grid.points, grid.cells), (mesh.nodes.len(), mesh.element_count()));
    let points = grid.positions();
    assert_eq!(points.len(), 3 * mesh.nodes.len());
    assert!(points.chunks(3).zip(&mesh.nodes).all(|(p, node)| p == [node[0], node[1], 0.0]));
    assert_eq!(grid.of_cells("offsets")[0], 8);
    assert_eq!(grid.of_cells("connectivity")[..8], mesh.quads[0]);
    // Quadratic quads and triangles by VTK's numbers (class reference, from memory).
    let kinds = grid.of_cells("types");
    assert_eq!((kinds[0], kinds[mesh.element_count() - 1]), (23, 22));
}

#[test]
fn linear_cells_are_raised_and_curved_round_their_hole() {
    let (points, cells) = square_with_hole(24, &RADII);
    let imported = read(&vtu(&points, &cells)).unwrap();
    assert_eq!(imported.holes[0].name, "hole-1", "without holes stated every round opening is one");
    assert!((imported.holes[0].starting_diameter - 2.0).abs() < 1e-12);
    let mesh = &imported.mesh;
    assert_eq!(mesh.nodes.len(), points.len() + 24 * (RADII.len() + 1) + 24 * RADII.len());
    assert_eq!((mesh.holes[0].sectors, mesh.holes[0].layers), (24, 3));
    // The opening is the circle that its parabolas draw; the rest of the square is metal.
    let drawn = 100.0 - drawn_circle(mesh, 1.0, mesh.holes[0].sides());
    assert!((area(mesh) - drawn).abs() < 1e-11 * drawn);
    // A parabola through an arc of half-angle φ misses φ⁴/30 of the sector (series of the two
    // areas); φ is 7.5° here.
    let missed = PI * (PI / 24.0).powi(4) / 30.0;
    assert!(((area(mesh) - (100.0 - PI)) / missed - 1.0).abs() < 0.05);
    assert!(imported.notes.iter().any(|note| note == "120 linear elements were made quadratic"));
    assert!(imported.warnings[0].contains("10 % of the radius thick"), "{:?}", imported.warnings);
}

#[test]
fn nine_node_cells_lose_their_middle_and_linear_neighbours_share_mid_side_nodes() {
    let (mut points, mut cells) = square_with_hole(24, &RADII);
    // The outermost cell at 0° becomes a cell of nine nodes, its neighbours stay linear.
    let index = 4 * 24;
    let nodes = cells[index].1.clone();
    let mut nine = nodes.clone();
    for k in 0..4 {
        let (a, b) = (points[nodes[k]], points[nodes[(k + 1) % 4]]);
        nine.push(points.len());
        points.push([0.5 * (a[0] + b[0]), 0.5 * (a[1] + b[1])]);
    }
    nine.push(points.len());
    points.push([7.0, 5.1]);
    cells[index] = (28, nine);
    let imported = read(&vtu(&points, &cells)).unwrap();
    let linear = read(&vtu(&square_with_hole(24, &RADII).0, &square_with_hole(24, &RADII).1));
    assert_eq!(imported.mesh.nodes.len(), linear.unwrap().mesh.nodes.len());
    assert_eq!(free(&imported.mesh), 48);
}

#[test]
fn points_that_coincide_are_merged_and_told_of() {
    let (mut points, mut cells) = square_with_hole(24, &RADII);
    // The last row of cells gets points of its own, off by single precision.
    let first = 4 * 24;
    let inner: Vec<usize> = (first..first + 24).collect();
    let copies = points.len();
    points.extend(
        inner.clone().iter().map(|&k| points[k].map(|x| x * (1.0 + 5e-8))).collect::<Vec<_>>(),
    );
    for (_, nodes) in &mut cells[first..] {
        for node in nodes {
            if let Some(at) = inner.iter().position(|k| k == node) {
                *node = copies + at;
            }
        }
    }
    let imported = read(&vtu(&points, &cells)).unwrap();
    assert!(imported.notes[0].starts_with("24 points that coincide"), "{:?}", imported.notes);
    assert_eq!(free(&imported.mesh), 48);

    // Farther apart it is a crack, and said to be one.
    for point in &mut points[copies..] {
        *point = [5.0 + (point[0] - 5.0) * 1.00001, 5.0 + (point[1] - 5.0) * 1.00001];
    }
    let said = refusals::refused(&points, &cells);
    assert!(said.contains("separate parts") || said.contains("crack"), "{said}");
}
