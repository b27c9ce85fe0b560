//! Meshes made elsewhere: every encoding, the boundary and its holes, and what is refused.
//!
//! Files of other writers lie in `meshes/`; how they were made stands there. What is read is
//! held against geometry (areas, circles) and against our own mesher.
#![allow(clippy::unwrap_used, missing_docs)]

use std::f64::consts::PI;
use std::fmt::Write as _;
use std::path::Path;

use hoopset::case;
use hoopset::geometry::hole::Hole;
use hoopset::geometry::plate::{Outline, Plate};
use hoopset::mesh::check::measure;
use hoopset::mesh::import::error::ImportError;
use hoopset::mesh::import::{Imported, read_vtu};
use hoopset::mesh::plan::MeshPlan;
use hoopset::mesh::topology::Mesh;
use hoopset::mesh::{build, export};

/// Areas of meshes and of what they draw.
#[path = "mesh/area.rs"]
mod area;
/// Mesh files as text.
#[path = "import/text.rs"]
mod text;

use area::{area, drawn_circle};
use text::{Cell, square_with_hole, vtu, vtu_in_space};

fn file(name: &str) -> Vec<u8> {
    std::fs::read(Path::new(env!("CARGO_MANIFEST_DIR")).join("meshes").join(name)).unwrap()
}

fn hole(name: &str, centre: [f64; 2], starting_diameter: f64) -> Hole {
    Hole { name: name.to_string(), centre, starting_diameter }
}

fn read(text: &str) -> Result<Imported, ImportError> {
    read_vtu(text.as_bytes(), 1.0, &[])
}

/// What is said of a mesh of points and cells.
fn refused(points: &[[f64; 2]], cells: &[Cell]) -> String {
    read(&vtu(points, cells)).expect_err("this mesh is wrong").to_string()
}

/// A change to points in space and their cells.
type Edit<'a> = &'a dyn Fn(&mut Vec<[f64; 3]>, &mut Vec<Cell>);

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

fn plates() -> Vec<Plate> {
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
    for plate in plates() {
        let mesh = build(&plate, &MeshPlan { fineness: 0.5, ..MeshPlan::default() }).unwrap();
        // Through inches and back: their rounding is all that may change.
        let bytes = export::vtu(&mesh, 25.4, "own").unwrap();
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
    let plate = &plates()[0];
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
fn what_we_write_a_general_reader_reads() {
    use vtkio::model::{CellType, DataSet, Piece, Vtk};
    let mesh = build(&plates()[0], &MeshPlan { fineness: 0.5, ..MeshPlan::default() }).unwrap();
    let bytes = export::vtu(&mesh, 1.0, "own").unwrap();
    let text = String::from_utf8_lossy(&bytes);
    assert_eq!(text.matches("type=\"Int64\"").count(), 2, "connectivity and offsets");
    let DataSet::UnstructuredGrid { mut pieces, .. } =
        Vtk::parse_xml(std::io::Cursor::new(bytes)).unwrap().data
    else {
        panic!("an unstructured grid was written")
    };
    let Piece::Inline(piece) = pieces.remove(0) else { panic!("the data are in the file") };
    let points: Vec<f64> = piece.points.cast_into().unwrap();
    assert_eq!(points.len(), 3 * mesh.nodes.len());
    assert!(points.chunks(3).zip(&mesh.nodes).all(|(p, node)| p == [node[0], node[1], 0.0]));
    let (connectivity, ends) = piece.cells.cell_verts.into_xml();
    assert_eq!(ends[0], 8);
    assert_eq!(connectivity[..8], mesh.quads[0].map(|node| node as u64));
    assert_eq!(piece.cells.types[0], CellType::QuadraticQuad);
    assert_eq!(piece.cells.types[mesh.element_count() - 1], CellType::QuadraticTriangle);
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
    let said = refused(&points, &cells);
    assert!(said.contains("separate parts") || said.contains("crack"), "{said}");
}

#[test]
fn a_coarse_or_wrong_hole_is_refused_with_its_place() {
    let (points, cells) = square_with_hole(8, &RADII);
    let said = refused(&points, &cells);
    assert!(said.contains("8 element sides round it, least 16"), "{said}");
    let (points, cells) = square_with_hole(24, &[1.0, 1.4, 2.0]);
    let said = refused(&points, &cells);
    assert!(said.contains("40 % of the radius thick, most 25 %"), "{said}");

    let (points, cells) = square_with_hole(24, &RADII);
    let text = vtu(&points, &cells);
    let stated = |centre, diameter| read_vtu(text.as_bytes(), 1.0, &[hole("A", centre, diameter)]);
    for (centre, diameter) in [([5.02, 5.0], 2.0), ([5.0, 5.0], 2.02), ([f64::NAN, 5.0], 2.0)] {
        let error = stated(centre, diameter).unwrap_err();
        let ImportError::NoSuchHole { found, .. } = &error else { panic!("{error}") };
        assert!((found[0].0[0] - 5.0).abs() < 1e-12 && (found[0].1 - 2.0).abs() < 1e-12);
        assert!(error.to_string().ends_with("there is 2.0000 mm at (5.0000, 5.0000) mm"));
    }
    // Within half a percent the nodes are moved, and that is said.
    let moved = stated([5.0, 5.0], 2.006).unwrap();
    assert!(moved.notes.iter().any(|note| note.contains("moved onto its circle, by up to 0.0030")));
    // Two holes cannot be the same opening.
    let twice = [hole("A", [5.0, 5.0], 2.0), hole("B", [5.0, 5.0], 2.0)];
    assert!(matches!(
        read_vtu(text.as_bytes(), 1.0, &twice),
        Err(ImportError::NoSuchHole { hole, .. }) if hole == "B"
    ));
}

#[test]
fn an_opening_that_is_no_hole_is_a_cut_out() {
    let one = [hole("A", [15.0, 15.0], 5.0)];
    let strip = read_vtu(&file("shelf-strip.vtu"), 1.0, &one).unwrap();
    assert!(strip.notes.contains(
        &"the opening at (33.0000, 14.0000) mm, of diameter 6.0000 mm, is a cut-out, as no hole \
          is stated there"
            .to_owned()
    ));
    // Its 60 chords are its edge: the polygon's area (n/2) r² sin(2π/n).
    let gone = 30.0 * 9.0 * (PI / 30.0).sin();
    let loops = strip.outline.loops();
    assert!((loops.area() - (50.0 * 30.0 - gone)).abs() < 1e-6);
    assert_eq!(loops.edge_names(), ["bottom", "right", "top", "left", "opening-1"]);
    assert_eq!(strip.mesh.edge("opening-1").unwrap().sides.len(), 60);
    assert_eq!(strip.outline.frame(), Some(Outline::Rectangle { width: 50.0, height: 30.0 }));
}

#[test]
fn elements_that_do_not_join_up_are_refused_with_their_place() {
    let (points, cells) = square_with_hole(24, &RADII);
    let with = |more: Vec<[f64; 2]>, change: &dyn Fn(&mut Vec<Cell>)| {
        let mut all = points.clone();
        all.extend(more);
        let mut changed = cells.clone();
        change(&mut changed);
        refused(&all, &changed)
    };
    // A node in the middle of a side that the neighbour does not have: an outer cell in three.
    let n = points.len();
    let nodes = cells[4 * 24].1.clone();
    let between = |a: usize, b: usize| [0, 1].map(|axis| 0.5 * (points[a][axis] + points[b][axis]));
    let said = with(vec![between(nodes[3], nodes[0])], &|cells| {
        cells[4 * 24] = (5, vec![nodes[0], nodes[1], n]);
        cells.push((5, vec![nodes[1], nodes[2], n]));
        cells.push((5, vec![nodes[2], nodes[3], n]));
    });
    assert!(said.contains("a node of one element lies in the side of another"), "{said}");
    // Three elements on one side; one element over another; a loose part; a part by one node.
    let said = with(vec![[8.0, 8.0], [9.0, 7.0]], &|cells| {
        cells.push((5, vec![nodes[0], n, nodes[1]]));
        cells.push((5, vec![nodes[1], n + 1, nodes[0]]));
    });
    assert!(
        said.contains("more than two elements share a side") || said.contains("over"),
        "{said}"
    );
    let said = with(vec![], &|cells| cells.push(cells[30].clone()));
    assert!(said.contains("over each other") || said.contains("more than two"), "{said}");
    let said = with(vec![[20.0, 0.0], [21.0, 0.0], [20.0, 1.0]], &|cells| {
        cells.push((5, vec![n, n + 1, n + 2]));
    });
    assert!(said.contains("at (20.0000, 0.0000) mm") && said.contains("separate parts"), "{said}");
    let said = with(vec![[11.0, 5.0], [11.0, 6.0]], &|cells| {
        cells.push((5, vec![nodes[1], n, n + 1]));
    });
    assert!(said.contains("parts touch in this node only"), "{said}");
}

#[test]
fn bad_elements_and_points_are_refused_by_number() {
    let (points, cells) = square_with_hole(24, &RADII);
    let change = |edit: Edit| {
        let mut space: Vec<[f64; 3]> = points.iter().map(|&[x, y]| [x, y, 2.5]).collect();
        let mut changed = cells.clone();
        edit(&mut space, &mut changed);
        read(&vtu_in_space(&space, &changed)).map(|_| String::new()).map_err(|e| e.to_string())
    };
    assert_eq!(change(&|_, _| ()), Ok(String::new()), "any level z will do");
    let said = |edit: Edit| change(edit).expect_err("this mesh is wrong");
    let bow_tie = said(&|_, cells| cells[50].1.swap(1, 2));
    assert!(bow_tie.starts_with("cell 50 of the mesh, at ("), "{bow_tie}");
    // Pulled across its opposite side: folded, whichever way round it is numbered.
    let pulled = said(&|points, cells| points[cells[100].1[1]] = [5.0, 5.0, 2.5]);
    assert!(pulled.contains("is folded"), "{pulled}");
    let collapsed = said(&|_, cells| cells[7].1[1] = cells[7].1[0]);
    assert!(collapsed.contains("cell 7") && collapsed.contains("two nodes in one place"));
    let not_flat = said(&|points, _| points[9][2] = 2.6);
    assert!(not_flat.starts_with("point 9 of the mesh has z = 2.6"), "{not_flat}");
    let no_number = said(&|points, _| points[11][0] = f64::NAN);
    assert_eq!(no_number, "point 11 of the mesh is not a number");
    let solid = said(&|_, cells| cells[3].0 = 10);
    assert_eq!(solid, "cell 3 of the mesh, of type 10, is a solid element");
    let unknown = said(&|_, cells| cells[3].0 = 7);
    assert_eq!(unknown, "cell 3 of the mesh, of type 7, is not understood");
    let short = said(&|_, cells| cells[3].0 = 5);
    assert!(short.contains("wrong number of points"), "{short}");
}

#[test]
fn files_that_lie_or_end_early_are_refused() {
    let (points, cells) = square_with_hole(24, &RADII);
    let text = vtu(&points, &cells);
    let said = |from: &str, to: &str| {
        assert!(text.contains(from), "{from}");
        read(&text.replacen(from, to, 1)).expect_err("this file is wrong").to_string()
    };
    let count = format!("NumberOfPoints=\"{}\"", points.len());
    assert!(said(&count, "NumberOfPoints=\"19999999\"").contains("are expected"));
    assert!(said(&count, "NumberOfPoints=\"99999999999999999999\"").contains("NumberOfPoints"));
    assert!(said(&count, "NumberOfPoints=\"20\"").contains("holds more than the 60 numbers"));
    assert!(said("connectivity", "connections").contains("`connectivity` of the mesh is missing"));
    assert!(said("NumberOfComponents=\"3\"", "NumberOfComponents=\"2\"").contains("three"));
    assert!(said("UnstructuredGrid\"", "PolyData\"").contains("`PolyData`"));
    assert!(said("</Points>", "</Pints>").contains("byte"));
    assert!(said("<VTKFile", "<VTKDatei").contains("no mesh that can be read"));
    assert!(
        said("offsets\" format=\"ascii\">4 8", "offsets\" format=\"ascii\">8 4").contains("rise")
    );

    for name in ["vtk-appended-raw", "vtk-base64-zlib", "vtk-appended-raw-zlib-big-endian"] {
        let bytes = file(&format!("encodings/{name}.vtu"));
        let whole = bytes.iter().rposition(|&b| b == b'_' || b == b'=').unwrap();
        for end in (0..whole).step_by(7) {
            assert!(read_vtu(&bytes[..end], 1.0, &[]).is_err(), "{name} cut at {end}");
        }
    }
    // Sizes beyond any memory at the head of every array, raw and in base 64.
    for (name, fill) in [("vtk-appended-raw-sizes8", 0xff), ("vtk-appended-base64-zlib", b'/')] {
        let mut bytes = file(&format!("encodings/{name}.vtu"));
        let head = bytes.windows(13).position(|window| window == b"<AppendedData").unwrap();
        let start = head + bytes[head..].iter().position(|&b| b == b'_').unwrap() + 1;
        let offsets: Vec<usize> = bytes[..start]
            .windows(8)
            .enumerate()
            .filter(|(_, window)| window == b"offset=\"")
            .map(|(at, _)| {
                let digits = bytes[at + 8..].iter().take_while(|b| b.is_ascii_digit());
                digits.fold(0, |number, digit| 10 * number + usize::from(digit - b'0'))
            })
            .collect();
        assert_eq!(offsets.len(), 5, "a field, points, and three arrays of cells");
        for offset in offsets {
            bytes[start + offset..start + offset + 8].fill(fill);
        }
        let said = read_vtu(&bytes, 1.0, &[]).unwrap_err().to_string();
        assert!(said.contains("are expected") || said.contains("too early"), "{name}: {said}");
    }
}

#[test]
fn a_plate_away_from_the_origin_or_askew_has_the_outline_of_its_mesh() {
    let (points, cells) = square_with_hole(24, &RADII);
    let moved: Vec<[f64; 2]> = points.iter().map(|&[x, y]| [x - 5.0, y]).collect();
    let outline = read(&vtu(&moved, &cells)).unwrap().outline;
    assert_eq!(outline.edge_names(), ["bottom", "right", "top", "left"]);
    assert_eq!(outline.bounds(), [[-5.0, 0.0], [5.0, 10.0]]);
    assert_eq!(outline.loops().pieces().count(), 4);

    let (sine, cosine) = 0.3_f64.sin_cos();
    let turned: Vec<[f64; 2]> =
        points.iter().map(|&[x, y]| [cosine * x - sine * y, sine * x + cosine * y]).collect();
    let imported = read(&vtu(&turned, &cells)).unwrap();
    let loops = imported.outline.loops();
    assert!((loops.area() - 100.0).abs() < 1e-11);
    assert_eq!(loops.edge_names(), ["edge-1", "edge-2", "edge-3", "edge-4"]);
    let names: Vec<&str> = imported.mesh.edges.iter().map(|edge| edge.name.as_str()).collect();
    assert_eq!(loops.edge_names(), names);
    // Counter-clockwise from the corner nearest the lower left of the box.
    let first = imported.mesh.edges[0].sides[0][0];
    let corner = imported.mesh.nodes[first];
    assert!(corner[0].hypot(corner[1]) < 1e-12, "{corner:?}");
}

#[test]
fn lines_and_arcs_of_any_outline_are_found_again() {
    let text = r#"units = "mm-MPa"
[plate]
thickness = 5.0
alloy = "2024-T351 plate"
outline = [
    { at = [0.0, 0.0] },
    { at = [60.0, 0.0], fillet = 6.0 },
    { at = [60.0, 20.0] },
    { at = [48.0, 32.0], arc_through = [56.0, 28.0] },
    { at = [0.0, 32.0] },
]
[[cutout]]
name = "slot"
slot_from = [42.0, 12.0]
slot_to = [48.0, 18.0]
width = 5.0
[[hole]]
name = "A"
at = [16.0, 15.0]
starting_diameter = 6.0
[[stage]]
expand = "A"
applied_expansion = 0.03
[numerics]
fineness = 0.5
symmetry = false
"#;
    let drawn = case::parse(text, "a.toml").unwrap_or_else(|error| panic!("{error}"));
    let mesh = drawn.mesh().unwrap();
    let bytes = export::vtu(&mesh, 1.0, "own").unwrap();
    let plate = &drawn.job.plate;
    let imported = read_vtu(&bytes, 1.0, &plate.holes).unwrap();
    let (there, here) = (imported.outline.loops(), plate.outline.loops());
    assert!((there.area() - here.area()).abs() < 1e-9 * here.area());
    // Bottom, fillet, right, arc, top, left; the slot is two lines and four quarters.
    assert_eq!(there.outer.pieces.len(), 6);
    assert_eq!(
        there.edge_names(),
        ["bottom", "edge-1", "right", "edge-2", "top", "left", "opening-1"]
    );
    let arcs = there.pieces().filter_map(|piece| piece.arc).map(|arc| arc.radius);
    let radii: Vec<f64> = arcs.collect();
    assert!((radii[0] - 6.0).abs() < 1e-9, "{radii:?}");
    assert!(radii[2..].iter().all(|radius| (radius - 2.5).abs() < 1e-9), "{radii:?}");
    // Every way out of the hole is as long in the one plate as in the other.
    let read = Plate { outline: imported.outline.clone(), ..plate.clone() };
    for degrees in 0..360 {
        let angle = f64::from(degrees).to_radians();
        let ways =
            [&read, plate].map(|p| p.distance_to_outline_along([16.0, 15.0], angle).distance);
        assert!((ways[0] - ways[1]).abs() < 1e-8, "{degrees}: {ways:?}");
    }
    assert_eq!(imported.mesh.edges.iter().map(|edge| edge.sides.len()).sum::<usize>(), {
        mesh.edges.iter().map(|edge| edge.sides.len()).sum::<usize>()
    });
}

/// A case on one of the meshes of this repository.
fn case_text(mesh: &str, units: &str, holes: &[(&str, [f64; 2], f64)], rest: &str) -> String {
    let mut text = format!(
        "units = \"{units}\"\n[plate]\nmesh = \"meshes/{mesh}.vtu\"\nthickness = 4.0\n\
         alloy = \"2024-T351 plate\"\n"
    );
    for (name, at, diameter) in holes {
        write!(
            text,
            "[[hole]]\nname = \"{name}\"\nat = {at:?}\nstarting_diameter = {diameter:?}\n"
        )
        .unwrap();
    }
    text + "[[stage]]\nexpand = \"A\"\napplied_expansion = 0.03\n" + rest
}

const BORES: [(&str, [f64; 2], f64); 2] = [("A", [14.0, 16.0], 5.0), ("B", [34.0, 16.0], 5.0)];

#[test]
fn a_case_takes_its_plate_from_the_mesh_in_its_own_unit() {
    // Tests run in the folder of the package: there the file is looked for.
    let case = case::parse(&case_text("two-bore-plate", "mm-MPa", &BORES, ""), "a.toml").unwrap();
    assert_eq!(case.job.plate.outline, Outline::Rectangle { width: 48.0, height: 32.0 });
    assert!(!case.job.numerics.use_symmetry && case.warnings.is_empty());
    let mesh = case.mesh().unwrap();
    assert_eq!((mesh.quads.len(), mesh.triangles.len()), (1248, 902));
    let inches = case_text("two-bore-plate", "in-ksi", &BORES, "");
    let Outline::Rectangle { width, .. } =
        case::parse(&inches, "a.toml").unwrap().job.plate.outline
    else {
        panic!("the plate is a rectangle")
    };
    assert!((width - 48.0 * 25.4).abs() < 1e-9);
}

#[test]
fn work_that_a_mesh_from_a_file_does_not_allow_is_refused() {
    let said = |text: &str| {
        let complaint = case::parse(text, "a.toml").expect_err("this case is wrong");
        complaint.to_string()
    };
    let strip = [("A", [15.0, 15.0], 5.0), ("B", [33.0, 14.0], 6.0)];
    let ream = "[[stage]]\nream = \"A\"\ndiameter = 5.3\n";
    assert_eq!(
        said(&case_text("shelf-strip", "mm-MPa", &strip, ream)),
        "a.toml:18:1: hole `A` cannot be reamed: its mesh has 0 rings of quadrilaterals, 6 are needed"
    );
    assert!(case::parse(&case_text("two-bore-plate", "mm-MPa", &BORES, ream), "a.toml").is_ok());
    let fine = "[numerics]\nfineness = 2\n";
    assert!(said(&case_text("shelf-strip", "mm-MPa", &strip, fine)).contains("`fineness` has no"));
    let half = "[numerics]\nsymmetry = true\n";
    assert!(said(&case_text("shelf-strip", "mm-MPa", &strip, half)).contains("the whole plate"));
}
