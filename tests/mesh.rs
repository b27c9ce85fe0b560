//! Meshes of plates: area, circles, conformity, quality, symmetry, and finding points.
//!
//! Plates, holes and sizes are invented for the tests; what they are held against is
//! geometry: areas, circles, and the rule that two elements share a side.

use std::collections::BTreeMap;
use std::f64::consts::{FRAC_PI_2, PI};

use hoopset::element::shape::{quad8_values, tri6_values};
use hoopset::geometry::plate::{Outline, Plate};
use hoopset::mesh::build;
use hoopset::mesh::check;
use hoopset::mesh::locate::{ElementRef, Locator};
use hoopset::mesh::mesh_error::MeshError;
use hoopset::mesh::plan::{HolePlan, MeshPlan};
use hoopset::mesh::symmetry::detect;
use hoopset::mesh::topology::{HoleMesh, Mesh, NodeId, Symmetry};

/// Areas of meshes and of what they draw.
#[path = "mesh/area.rs"]
mod area;
/// Plates, and the plans to mesh them by.
#[path = "mesh/zoo.rs"]
mod zoo;

use area::{area, drawn_circle};
use zoo::{D, cut, disc, square, zoo};

fn mesh_of(name: &str, plate: &Plate, plan: &MeshPlan) -> Mesh {
    build(plate, plan).unwrap_or_else(|error| panic!("{name}: {error}"))
}

#[test]
fn the_area_is_that_of_the_plate_less_its_holes() {
    for (name, plate, plan) in zoo() {
        let mesh = mesh_of(&name, &plate, &plan);
        let copies = if plan.symmetry.x.is_some() { 2.0 } else { 1.0 }
            * if plan.symmetry.y.is_some() { 2.0 } else { 1.0 };
        let (mut exact, mut drawn) = match plate.outline {
            Outline::Rectangle { width, height } => (width * height, width * height / copies),
            Outline::Disc { diameter } => {
                let rim = mesh.edge("rim").expect("a disc has a rim");
                let radius = 0.5 * diameter;
                (PI * radius * radius, drawn_circle(&mesh, radius, rim.sides.iter().copied()))
            }
            Outline::Loops(_) => unreachable!("no other outlines are tried"),
        };
        for (hole, rings) in plate.holes.iter().zip(&mesh.holes) {
            exact -= PI * hole.radius().powi(2);
            drawn -= drawn_circle(&mesh, hole.radius(), rings.sides());
        }
        // Against the parabolas only rounding is left.
        let measured = area(&mesh);
        assert!((measured - drawn).abs() < 1e-11 * drawn, "{name}: {measured} against {drawn}");
        // A parabola through an arc of half-angle φ misses φ⁴/30 of the sector (series of the
        // two areas): 7.9e-8 for 4.5° at the hole, up to 2e-6 for 10° on the rim of a disc.
        let bound = if mesh.edge("rim").is_some() { 2e-6 } else { 1e-7 };
        let miss = (copies * measured - exact).abs() / exact;
        assert!(miss < bound, "{name}: area misses {miss:e} of the plate's");
    }
}

#[test]
fn every_ring_node_lies_on_its_circle() {
    for (name, plate, plan) in zoo() {
        let mesh = mesh_of(&name, &plate, &plan);
        for (index, (hole, rings)) in plate.holes.iter().zip(&mesh.holes).enumerate() {
            for &node in &rings.edge {
                let radius = hole.distance_to(mesh.nodes[node]);
                assert!((radius - hole.radius()).abs() < 1e-12 * 60.0, "{name}: {radius}");
            }
            for layer in 0..rings.layers {
                let first = mesh.quads[rings.quad(layer, 0)];
                let radius = |local: usize| hole.distance_to(mesh.nodes[first[local]]);
                let (inner, outer) = (radius(0), radius(1));
                for sector in 0..rings.sectors {
                    let quad = mesh.quads[rings.quad(layer, sector)];
                    let middle = 0.5 * (inner + outer);
                    let wanted = [inner, outer, outer, inner, middle, outer, middle, inner];
                    for (node, wanted) in quad.into_iter().zip(wanted) {
                        let radius = hole.distance_to(mesh.nodes[node]);
                        assert!((radius - wanted).abs() < 1e-12 * 60.0, "{name}, hole {index}");
                    }
                }
            }
            let planned = plan.holes.get(index).and_then(|plan| plan.cut_radii.last().copied());
            assert_eq!(planned.is_some(), rings.ream_layers.is_some());
            if let (Some(planned), Some(layers)) = (planned, rings.ream_layers) {
                let radius = |layer: usize, local: usize| {
                    hole.distance_to(mesh.nodes[mesh.quads[rings.quad(layer, 0)][local]])
                };
                assert!((radius(layers, 0) - planned).abs() < 1e-12 * 60.0);
                let outside = radius(layers, 1) - radius(layers, 0);
                assert!(outside <= 0.015 * planned, "{name}: {outside} outside the cut");
            }
        }
    }
}

/// Sides of all elements by their corner nodes: mid-side node and how many elements have it.
fn sides(mesh: &Mesh) -> BTreeMap<(NodeId, NodeId), Vec<NodeId>> {
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
    sides
}

#[test]
fn inner_sides_have_two_elements_and_outer_sides_a_name() {
    for (name, plate, plan) in zoo() {
        let mesh = mesh_of(&name, &plate, &plan);
        let mut named: BTreeMap<(NodeId, NodeId), NodeId> = BTreeMap::new();
        let holes = mesh.holes.iter().flat_map(HoleMesh::sides);
        for [start, middle, end] in holes.chain(mesh.edges.iter().flat_map(|e| e.sides.clone())) {
            let before = named.insert((start.min(end), start.max(end)), middle);
            assert_eq!(before, None, "{name}: one side has two names");
        }
        let on_mirror = |nodes: [NodeId; 3]| {
            [&mesh.mirror_nodes_x, &mesh.mirror_nodes_y]
                .iter()
                .any(|line| nodes.iter().all(|node| line.binary_search(node).is_ok()))
        };
        let mut boundary = 0;
        for ((a, b), middles) in sides(&mesh) {
            match middles.as_slice() {
                [one, other] => assert_eq!(one, other, "{name}: a torn side"),
                [one] => {
                    boundary += usize::from(named.contains_key(&(a, b)));
                    let known = named.get(&(a, b)) == Some(one) || on_mirror([a, *one, b]);
                    assert!(known, "{name}: side {:?} to {:?}", mesh.nodes[a], mesh.nodes[b]);
                }
                _ => panic!("{name}: a side with {} elements", middles.len()),
            }
        }
        assert_eq!(boundary, named.len(), "{name}: a named side without an element");
        // Every node is used, so no stiffness is singular.
        let mut used = vec![false; mesh.nodes.len()];
        mesh.quads.iter().flatten().for_each(|&node| used[node] = true);
        mesh.triangles.iter().flatten().for_each(|&node| used[node] = true);
        assert!(used.iter().all(|&used| used), "{name}: a node without element");
    }
}

#[test]
fn edges_run_counter_clockwise_round_the_plate_and_have_their_names() {
    let whole = mesh_of("whole", &square(&[([12.0, 25.0], D)]), &MeshPlan::default());
    let straight: [(&str, usize, f64, [f64; 2]); 4] = [
        ("bottom", 1, 0.0, [1.0, 0.0]),
        ("right", 0, 60.0, [0.0, 1.0]),
        ("top", 1, 60.0, [-1.0, 0.0]),
        ("left", 0, 0.0, [0.0, -1.0]),
    ];
    for (name, axis, at, direction) in straight {
        let edge = whole.edge(name).expect("every edge of the whole plate is there");
        let mut length = 0.0;
        for side in &edge.sides {
            let [a, m, b] = side.map(|node| whole.nodes[node]);
            assert!([a, m, b].iter().all(|p| (p[axis] - at).abs() < 1e-12));
            length += (b[0] - a[0]) * direction[0] + (b[1] - a[1]) * direction[1];
            assert!((0..2).all(|i| (m[i] - 0.5 * (a[i] + b[i])).abs() < 1e-12));
        }
        assert!((length - 60.0).abs() < 1e-9, "{name} is {length} long");
        assert!(edge.sides.windows(2).all(|pair| pair[0][2] == pair[1][0]), "{name} is one chain");
    }
    let centre = square(&[([30.0, 30.0], D)]);
    let symmetry = detect(&centre, &[]);
    let quarter = mesh_of("quarter", &centre, &MeshPlan { symmetry, ..MeshPlan::default() });
    let names: Vec<&str> = quarter.edges.iter().map(|edge| edge.name.as_str()).collect();
    assert_eq!(names, ["right", "top"]);
}

#[test]
fn halves_and_quarters_end_exactly_on_their_mirror_lines() {
    for (name, plate, plan) in zoo() {
        let mesh = mesh_of(&name, &plate, &plan);
        let lines = [
            (0, plan.symmetry.x, &mesh.mirror_nodes_x),
            (1, plan.symmetry.y, &mesh.mirror_nodes_y),
        ];
        for (axis, line, nodes) in lines {
            let Some(line) = line else {
                assert!(nodes.is_empty(), "{name}: nodes on a line that is not there");
                continue;
            };
            let exactly = |node: NodeId| mesh.nodes[node][axis].to_bits() == line.to_bits();
            assert!(nodes.iter().all(|&node| exactly(node)), "{name}");
            for (node, at) in mesh.nodes.iter().enumerate() {
                assert!(at[axis] >= line, "{name}: a node beyond the mirror line");
                // Nothing lies close to the line without being on it.
                assert!(exactly(node) || at[axis] > line + 1e-3, "{name}: {at:?}");
            }
        }
        for rings in &mesh.holes {
            assert_eq!(rings.closed, plan.symmetry == Symmetry::default(), "{name}");
            assert_eq!(rings.edge.len() % 2, usize::from(!rings.closed), "{name}");
            if !rings.closed {
                for end in [rings.edge[0], rings.edge[rings.edge.len() - 1]] {
                    let on = [&mesh.mirror_nodes_x, &mesh.mirror_nodes_y];
                    assert!(on.iter().any(|line| line.contains(&end)), "{name}");
                }
            }
        }
    }
}

#[test]
fn elements_are_well_shaped_for_every_margin_and_spacing() {
    for (name, plate, mut plan) in zoo() {
        for fineness in [0.5, 1.0, 2.0] {
            plan.fineness = fineness;
            let quality = check::measure(&mesh_of(&name, &plate, &plan));
            let least = quality.smallest_scaled_jacobian;
            // 0.5 is a triangle with an angle of 26°, well above what is refused.
            assert!(least > 0.5, "{name} × {fineness}: {least}");
            assert!(quality.largest_triangle_aspect_ratio < 2.5, "{name} × {fineness}");
            assert!(quality.mean_scaled_jacobian > 0.85, "{name} × {fineness}");
        }
    }
}

#[test]
fn ligaments_have_at_least_six_elements_across() {
    for (name, plate, plan) in zoo() {
        let mesh = mesh_of(&name, &plate, &plan);
        let locator = Locator::new(&mesh);
        for (index, hole) in plate.holes.iter().enumerate() {
            let edge = plate.nearest_edge(index);
            let others = plate.holes.iter().enumerate().filter(|&(other, _)| other != index);
            let to_others =
                others.map(|(other, at)| (hole.angle_to(at.centre), plate.gap(index, other)));
            for (angle, width) in to_others.chain([(edge.angle, edge.distance - hole.radius())]) {
                let mut crossed: Vec<ElementRef> = Vec::new();
                for step in 0..2000 {
                    let r = hole.radius() + width * (f64::from(step) + 0.5) / 2000.0;
                    let point =
                        [hole.centre[0] + r * angle.cos(), hole.centre[1] + r * angle.sin()];
                    let (folded, _) = mesh.symmetry.fold(point);
                    if let Some(found) = locator.find(folded)
                        && crossed.last() != Some(&found.element)
                    {
                        crossed.push(found.element);
                    }
                }
                assert!(crossed.len() >= 6, "{name}: {} across {width:.3} mm", crossed.len());
            }
        }
    }
}

#[test]
fn twice_the_fineness_is_four_times_the_elements() {
    let plate = square(&[([12.0, 30.0], D)]);
    let symmetry = detect(&plate, &[]);
    let plan = |fineness| MeshPlan { fineness, symmetry, holes: cut(2.93), ..MeshPlan::default() };
    let [one, two] = [1.0, 2.0].map(|fineness| mesh_of("edge hole", &plate, &plan(fineness)));
    // Narrower towards the edge, so that each count is rounded by itself.
    assert!(two.holes[0].sectors.abs_diff(2 * one.holes[0].sectors) <= 1);
    let layers = (one.holes[0].layers, two.holes[0].layers);
    assert!(layers.1.abs_diff(2 * layers.0) <= 2, "layers {layers:?}");
    #[allow(clippy::cast_precision_loss)]
    let ratio = two.element_count() as f64 / one.element_count() as f64;
    // Whole numbers of layers and boundary sides leave a tenth either way.
    assert!((3.6..4.4).contains(&ratio), "elements grow {ratio} fold");
    assert!((3_000..8_000).contains(&one.nodes.len()), "default size {}", one.nodes.len());
}

#[test]
fn the_same_plate_gives_the_same_mesh_bit_for_bit() {
    for (name, plate, plan) in zoo() {
        let bits = |mesh: &Mesh| -> Vec<[u64; 2]> {
            mesh.nodes.iter().map(|at| at.map(f64::to_bits)).collect()
        };
        let (first, second) = (mesh_of(&name, &plate, &plan), mesh_of(&name, &plate, &plan));
        assert_eq!(bits(&first), bits(&second), "{name}");
        assert_eq!(first, second, "{name}");
    }
}

#[test]
fn points_are_found_in_their_elements() {
    for (name, plate, plan) in zoo() {
        let mesh = mesh_of(&name, &plate, &plan);
        let locator = Locator::new(&mesh);
        let place = |nodes: &[NodeId], values: &[f64]| {
            nodes.iter().zip(values).fold([0.0; 2], |sum, (&node, n)| {
                [sum[0] + n * mesh.nodes[node][0], sum[1] + n * mesh.nodes[node][1]]
            })
        };
        for (index, quad) in mesh.quads.iter().enumerate() {
            let local = [0.3, -0.7];
            let found = locator.find(place(quad, &quad8_values(local))).expect("inside");
            assert_eq!(found.element, ElementRef::Quad(index), "{name}");
            assert!((0..2).all(|i| (found.local[i] - local[i]).abs() < 1e-9), "{name}");
        }
        for (index, triangle) in mesh.triangles.iter().enumerate() {
            let local = [0.15, 0.6];
            let found = locator.find(place(triangle, &tri6_values(local))).expect("inside");
            assert_eq!(found.element, ElementRef::Triangle(index), "{name}");
            assert!((0..2).all(|i| (found.local[i] - local[i]).abs() < 1e-9), "{name}");
        }
        for &at in &mesh.nodes {
            let found = locator.find(at).expect("every node is in some element");
            let back = match found.element {
                ElementRef::Quad(quad) => place(&mesh.quads[quad], &quad8_values(found.local)),
                ElementRef::Triangle(t) => place(&mesh.triangles[t], &tri6_values(found.local)),
            };
            assert!((back[0] - at[0]).hypot(back[1] - at[1]) < 1e-8, "{name}: {at:?}");
        }
        for hole in &plate.holes {
            for step in 0..500 {
                let angle = f64::from(step) * 0.01257;
                let at = |r: f64| {
                    let (sine, cosine) = angle.sin_cos();
                    mesh.symmetry.fold([hole.centre[0] + r * cosine, hole.centre[1] + r * sine]).0
                };
                assert!(locator.find(at(hole.radius())).is_some(), "{name}: on the true circle");
                assert!(locator.find(at(0.98 * hole.radius())).is_none(), "{name}: in the hole");
            }
        }
        assert!(locator.find([-1.0, 90.0]).is_none());
    }
}

/// A plate, directions that must lie on a mirror line, and the lines to be found.
type Row = (&'static str, Plate, Vec<(usize, f64)>, Symmetry);

#[test]
fn mirror_lines_are_used_only_where_plate_and_work_allow() {
    let middle = Some(30.0);
    let none = Symmetry::default();
    let half = Symmetry { x: None, y: middle };
    let quarter = Symmetry { x: middle, y: middle };
    let centre = [([30.0, 30.0], D)];
    let edge = [([12.0, 30.0], D)];
    let twins = [([20.0, 30.0], D), ([40.0, 30.0], D)];
    let table: Vec<Row> = vec![
        ("centre hole", square(&centre), vec![], quarter),
        ("edge hole", square(&edge), vec![], half),
        ("hole anywhere", square(&[([12.0, 29.0], D)]), vec![], none),
        ("split along the line", square(&edge), vec![(0, PI)], half),
        ("split across the line", square(&edge), vec![(0, FRAC_PI_2)], none),
        ("centre hole, split to the right", square(&centre), vec![(0, 0.0)], half),
        (
            "centre hole, split up",
            square(&centre),
            vec![(0, -FRAC_PI_2)],
            Symmetry { x: middle, y: None },
        ),
        ("centre hole, split at 45°", square(&centre), vec![(0, 0.25 * PI)], none),
        ("twins keep the line between them whole", square(&twins), vec![], half),
        ("annulus", disc(&[([0.0, 0.0], D)]), vec![], Symmetry { x: Some(0.0), y: Some(0.0) }),
        ("no holes", square(&[]), vec![], quarter),
    ];
    for (name, plate, directions, wanted) in table {
        assert_eq!(detect(&plate, &directions), wanted, "{name}");
    }
}

#[test]
fn plans_that_make_no_sense_are_refused() {
    let plate = square(&[([12.0, 30.0], D)]);
    let refuse = |plan: MeshPlan| build(&plate, &plan).expect_err("refused");
    let inside = refuse(MeshPlan { holes: cut(2.0), ..MeshPlan::default() });
    assert!(matches!(inside, MeshError::CutInsideHole { .. }), "{inside}");
    let eaten = refuse(MeshPlan { holes: cut(11.99), ..MeshPlan::default() });
    assert!(matches!(eaten, MeshError::NoRoom { .. }), "{eaten}");
    let fine = refuse(MeshPlan { fineness: f64::NAN, ..MeshPlan::default() });
    assert!(matches!(fine, MeshError::Fineness(_)), "{fine}");
    for symmetry in [Symmetry { x: Some(30.0), y: None }, Symmetry { x: None, y: Some(29.0) }] {
        let crooked = refuse(MeshPlan { symmetry, ..MeshPlan::default() });
        assert!(matches!(crooked, MeshError::NotSymmetric { .. }), "{crooked}");
    }
    let empty = HolePlan { gap: Some((1.0, 1.0)), ..HolePlan::default() };
    let angle = refuse(MeshPlan { holes: vec![empty], ..MeshPlan::default() });
    assert!(matches!(angle, MeshError::BadAngle { .. }), "{angle}");
}

#[test]
fn an_inverted_element_is_refused_with_its_place() {
    let plate = square(&[([12.0, 25.0], D)]);
    let mut mesh = mesh_of("to be spoilt", &plate, &MeshPlan::default());
    assert!(check::accept(&mesh).is_ok());
    let [a, b, c, ..] = mesh.triangles[0];
    let (p, q) = (mesh.nodes[b], mesh.nodes[c]);
    let beyond = [p[0] + q[0] - mesh.nodes[a][0], p[1] + q[1] - mesh.nodes[a][1]];
    mesh.nodes[a] = beyond;
    let refused = check::accept(&mesh);
    assert!(matches!(refused, Err(MeshError::BadElement { .. })), "{refused:?}");
}
