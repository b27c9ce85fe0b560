//! The plate of an imported mesh: its outline, its cut-outs, and the case that names it.

use std::f64::consts::PI;
use std::fmt::Write as _;

use hoopset::case;
use hoopset::geometry::plate::{Outline, Plate};
use hoopset::mesh::export;
use hoopset::mesh::import::read_vtu;

use crate::text::{square_with_hole, vtu};
use crate::{RADII, file, hole, read};

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
    let bytes = export::vtu(&mesh, 5.0, 1.0);
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
