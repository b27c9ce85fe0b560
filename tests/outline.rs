//! Plates of any outline: area, conformity, quality, mirror lines, loads and supports on named
//! edges, stresses at notches and cut-outs.
//!
//! Plates are invented for the tests; what they are held against is geometry, and closed forms
//! and handbook values named beside each check.
#![allow(clippy::print_stdout, reason = "measured values, shown with --nocapture")]
#![allow(clippy::float_cmp, reason = "exact by construction where it is used")]

// The circles of it are for the tests of rings.
#[allow(dead_code)]
#[path = "mesh/area.rs"]
mod area;
#[path = "outline/cases.rs"]
mod cases;
#[path = "outline/fuzz.rs"]
mod fuzz;
#[path = "outline/stress.rs"]
mod stress;

use std::collections::BTreeMap;
use std::f64::consts::PI;
use std::sync::OnceLock;

use cases::{ANGLE, BOX, LUG, NOTCH, parsed, text, zoo};
use hoopset::mesh::topology::{HoleMesh, Mesh, NodeId, Symmetry};
use hoopset::mesh::{build, check};
use hoopset::process::job::Job;
use hoopset::process::plan::mesh_plan;

/// A plate of the zoo, the area of its outline, and its mesh.
struct Meshed {
    name: &'static str,
    job: Job,
    area: f64,
    mesh: Mesh,
}

/// The zoo at fineness 1, meshed once.
fn meshed() -> &'static [Meshed] {
    static MESHED: OnceLock<Vec<Meshed>> = OnceLock::new();
    MESHED.get_or_init(|| {
        let mesh = |(name, text, area): (&'static str, String, f64)| {
            let job = parsed(&text).job;
            let mesh = mesh_of(&job);
            Meshed { name, job, area, mesh }
        };
        zoo().into_iter().map(mesh).collect()
    })
}

fn mesh_of(job: &Job) -> Mesh {
    build(&job.plate, &mesh_plan(job)).unwrap_or_else(|error| panic!("{error}"))
}

#[test]
fn the_area_is_that_of_the_drawing_less_the_holes() {
    for Meshed { name, job, area: outline, mesh } in meshed() {
        let copies = f64::from(u32::try_from(mesh.symmetry.copies()).expect("four at most"));
        let exact = outline - PI * job.plate.holes[0].radius().powi(2);
        let loops = job.plate.outline.loops();
        assert!((loops.area() - outline).abs() < 1e-12 * outline, "{name}: the drawing");
        let miss = (copies * area::area(mesh) - exact).abs() / exact;
        // A parabola through an arc of half-angle φ misses φ⁴/30 of the sector (series of the two
        // areas): 5e-5 of a small cut-out for the widest side allowed, far less of the plate.
        assert!(miss < 3e-6, "{name}: area misses {miss:e} of the plate's");
    }
}

#[test]
fn inner_sides_have_two_elements_and_outer_sides_a_name() {
    for Meshed { name, job, mesh, .. } in meshed() {
        let mut named: BTreeMap<(NodeId, NodeId), NodeId> = BTreeMap::new();
        let holes = mesh.holes.iter().flat_map(HoleMesh::sides);
        for [a, middle, b] in holes.chain(mesh.edges.iter().flat_map(|e| e.sides.clone())) {
            assert_eq!(named.insert((a.min(b), a.max(b)), middle), None, "{name}");
        }
        let mut sides: BTreeMap<(NodeId, NodeId), Vec<NodeId>> = BTreeMap::new();
        let mut add = |a: NodeId, b: NodeId, middle: NodeId| {
            sides.entry((a.min(b), a.max(b))).or_default().push(middle);
        };
        for q in &mesh.quads {
            (0..4).for_each(|k| add(q[k], q[(k + 1) % 4], q[k + 4]));
        }
        for t in &mesh.triangles {
            (0..3).for_each(|k| add(t[k], t[(k + 1) % 3], t[k + 3]));
        }
        let lines = [&mesh.mirror_nodes_x, &mesh.mirror_nodes_y];
        let mut boundary = 0;
        for ((a, b), middles) in &sides {
            match middles.as_slice() {
                [one, other] => assert_eq!(one, other, "{name}: a torn side"),
                [one] => {
                    boundary += usize::from(named.contains_key(&(*a, *b)));
                    let on_line = lines
                        .iter()
                        .any(|line| [*a, *one, *b].iter().all(|n| line.binary_search(n).is_ok()));
                    let known = named.get(&(*a, *b)) == Some(one) || on_line;
                    assert!(known, "{name}: {:?} to {:?}", mesh.nodes[*a], mesh.nodes[*b]);
                }
                _ => panic!("{name}: a side with {} elements", middles.len()),
            }
        }
        assert_eq!(boundary, named.len(), "{name}: a named side without an element");
        // Metal on the left of every named side: its element lies there.
        for edge in &mesh.edges {
            for side in &edge.sides {
                let [a, m, b] = side.map(|node| mesh.nodes[node]);
                let left = [m[0] - 1e-3 * (b[1] - a[1]), m[1] + 1e-3 * (b[0] - a[0])];
                assert!(job.plate.outline.loops().surround(left), "{name}: {}", edge.name);
            }
        }
    }
}

#[test]
fn edge_nodes_lie_on_their_lines_and_arcs() {
    for Meshed { name, job, mesh, .. } in meshed() {
        let loops = job.plate.outline.loops();
        for edge in &mesh.edges {
            for &node in edge.sides.iter().flatten() {
                let own = loops.pieces().filter(|piece| piece.name == edge.name);
                let off = own.map(|p| p.distance(mesh.nodes[node])).fold(f64::INFINITY, f64::min);
                assert!(off < 1e-12 * 80.0, "{name}, {}: {off:e} off", edge.name);
            }
        }
    }
}

#[test]
fn elements_are_well_shaped() {
    for Meshed { name, job, mesh, .. } in meshed() {
        let at = |fineness| {
            let mut job = job.clone();
            job.numerics.fineness = fineness;
            check::measure(&mesh_of(&job))
        };
        for quality in [at(0.5), check::measure(mesh), at(2.0)] {
            let least = quality.smallest_scaled_jacobian;
            // 0.4 is a triangle with an angle of 20°, twice what is refused.
            assert!(least > 0.4, "{name}: {least} at {:?}", quality.smallest_scaled_jacobian_at);
            assert!(quality.mean_scaled_jacobian > 0.85, "{name}");
        }
    }
}

#[test]
fn a_fillet_has_at_least_four_sides() {
    for radius in [0.1, 1.0, 8.0] {
        let plate = ANGLE.replace("fillet = 1.0", &format!("fillet = {radius}"));
        let mesh = mesh_of(&parsed(&text(&plate, "", [45.0, 10.0], 6.0)).job);
        let sides = mesh.edge("corner-4").expect("the fillet of corner 4").sides.len();
        assert!(sides >= 4, "{sides} sides on a fillet of {radius} mm");
    }
}

#[test]
fn the_same_outline_gives_the_same_mesh_bit_for_bit() {
    for Meshed { name, job, mesh, .. } in meshed() {
        let bits = |mesh: &Mesh| -> Vec<[u64; 2]> {
            mesh.nodes.iter().map(|at| at.map(f64::to_bits)).collect()
        };
        assert_eq!(bits(&mesh_of(job)), bits(mesh), "{name}");
    }
}

#[test]
fn the_way_round_that_corners_are_listed_does_not_matter() {
    let forward = parsed(&text(LUG, "", [40.0, 0.0], 9.5)).job;
    let backward = "outline = [{ at = [0, 12] }, { at = [40, 12], name = \"upper\" }, \
                    { at = [40, -12], arc_through = [52, 0], name = \"end\" }, { at = [0, -12] }]";
    let backward = parsed(&text(backward, "", [40.0, 0.0], 9.5)).job;
    for job in [&forward, &backward] {
        let loops = job.plate.outline.loops();
        assert!(loops.area() > 0.0);
        assert_eq!(job.plate.nearest_edge(0).name, "end");
    }
    assert_eq!(
        backward.plate.outline.edge_names(),
        ["edge-4", "end", "upper", "edge-1"],
        "names stay with their sides"
    );
}

#[test]
fn mirror_lines_are_used_where_outline_loads_and_supports_mirror() {
    let lines = |plate: &str, tables: &str, at: [f64; 2]| {
        mesh_plan(&parsed(&text(plate, tables, at, 6.0)).job).symmetry
    };
    let none = Symmetry::default();
    let along = Symmetry { x: None, y: Some(0.0) };
    assert_eq!(lines(LUG, "", [40.0, 0.0]), along);
    assert_eq!(lines(LUG, "", [40.0, 1.0]), none);
    assert_eq!(lines(NOTCH, "", [40.0, 28.0]), Symmetry { x: Some(40.0), y: None });
    let middle = [40.0, 25.0];
    let both = Symmetry { x: Some(40.0), y: Some(25.0) };
    assert_eq!(lines(BOX, "", middle), both);
    let window = "[[cutout]]\ncircle = [60, 25]\ndiameter = 9";
    assert_eq!(lines(BOX, window, middle), Symmetry { x: None, y: Some(25.0) });
    let held = "[[support]]\nedge = \"left\"\nhold = \"both\"";
    assert_eq!(lines(BOX, held, middle), Symmetry { x: None, y: Some(25.0) });
    let twice = format!("{held}\n{}", held.replace("left", "right"));
    assert_eq!(lines(BOX, &twice, middle), both);
    let pulled = format!("{held}\n[[stage]]\nload = {{ tension = 50, on = [\"top\"] }}");
    assert_eq!(lines(BOX, &pulled, middle), none);
    let ends = "[[stage]]\nload = { tension = 50, on = [\"left\", \"right\"] }";
    assert_eq!(lines(BOX, ends, middle), both);
}
