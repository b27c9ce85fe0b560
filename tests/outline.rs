//! Plates of any outline: area, conformity, quality, mirror lines, loads and supports on named
//! edges, stresses at notches and cut-outs.
//!
//! Plates are invented for the tests; what they are held against is geometry, and closed forms
//! and handbook values named beside each check.
#![allow(clippy::print_stdout, reason = "measured values, shown with --nocapture")]
#![allow(clippy::float_cmp, reason = "exact by construction where it is used")]

use std::collections::BTreeMap;
use std::f64::consts::PI;
use std::ops::ControlFlow;
use std::sync::OnceLock;

use hoopset::geometry::hole::Hole;
use hoopset::geometry::outline::{Loop, Loops};
use hoopset::geometry::plate::{Outline, Plate};
use hoopset::material::elasticity::Elasticity;
use hoopset::material::hardening::{Isotropic, Material};
use hoopset::material::idealisation::Idealisation;
use hoopset::material::strains::Strains;
use hoopset::mesh::build;
use hoopset::mesh::check;
use hoopset::mesh::topology::{HoleMesh, Mesh, NodeId, Symmetry};
use hoopset::process::history::HistoryRecord;
use hoopset::process::job::{Job, Numerics};
use hoopset::process::plan::mesh_plan;
use hoopset::process::sequence::{Observer, Sequence};
use hoopset::process::snapshot::Snapshot;
use hoopset::process::stage::{Load, Stage};
use hoopset::result::read::read;
use hoopset::solver::supports::{Hold, Support};

// The circles of it are for the tests of rings.
#[allow(dead_code)]
#[path = "mesh/area.rs"]
mod area;
#[path = "outline/cases.rs"]
mod cases;
#[path = "outline/fuzz.rs"]
mod fuzz;

use cases::{ANGLE, BOX, LUG, NOTCH, parsed, text, zoo};

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

/// Keeps the snapshots of a run.
#[derive(Default)]
struct Keep(Vec<Snapshot>);

impl Observer for Keep {
    fn increment(&mut self, _: &HistoryRecord) -> ControlFlow<()> {
        ControlFlow::Continue(())
    }

    fn snapshot(&mut self, snapshot: Snapshot) -> ControlFlow<()> {
        self.0.push(snapshot);
        ControlFlow::Continue(())
    }
}

fn run(job: &Job) -> Vec<Snapshot> {
    let mut keep = Keep::default();
    Sequence::new(job.clone()).expect("meshed").run(&mut keep).expect("in equilibrium");
    keep.0
}

/// An elastic plate without holes under unit tension on edges.
fn pulled(loops: Loops, edges: &[&str], fineness: f64) -> Job {
    let tractions = edges.iter().map(|edge| ((*edge).to_owned(), 1.0)).collect();
    Job {
        plate: Plate { outline: Outline::Loops(loops), thickness: 2.0, holes: vec![] },
        idealisation: Idealisation::PlaneStress,
        material: Material {
            elasticity: Elasticity { youngs_modulus: 72_000.0, poissons_ratio: 0.33 },
            yield_stress: 350.0,
            isotropic: Isotropic::None,
            kinematic: vec![],
        },
        stages: vec![Stage::Load { load: Load { tractions, ..Load::default() }, cycles: 1 }],
        numerics: Numerics { fineness, increments: 4, ..Numerics::default() },
        supports: vec![],
    }
}

/// Largest stress along x over the nodes of a named edge, or of the hole, at full load.
fn largest_stress(job: &Job, edge: Option<&str>) -> f64 {
    let snapshots = run(job);
    let full =
        snapshots.iter().find(|s| s.label == "1-load-full").expect("a snapshot at full load");
    let (result, _) = read(full, job, &[]).expect("the mesh was solved on");
    let nodes: Vec<NodeId> = match edge {
        Some(name) => result.mesh.edge(name).expect("modelled").sides.concat(),
        None => result.mesh.holes[0].edge.clone(),
    };
    nodes.iter().map(|node| result.nodal.stress[*node].xx).fold(f64::NEG_INFINITY, f64::max)
}

fn strip(diameter: f64) -> Loops {
    let mut loops = Loops::rectangle(120.0, 40.0);
    loops.inner.push(Loop::circle("window", [60.0, 20.0], 0.5 * diameter).reversed());
    loops
}

#[test]
fn the_stress_at_a_round_cut_out_is_that_of_the_strip_with_a_hole() {
    // Gross stress concentration of a central hole in a strip, diameter over width 0.2 and 0.5:
    // computed to five digits by a series solution; Howland's table (Phil. Trans. R. Soc. A 229
    // (1930) 49–86) has 3.14 and 4.32, low by up to 0.7 %.
    for (diameter, exact) in [(8.0, 3.1526), (20.0, 4.3476)] {
        let window = |fineness| {
            let job = pulled(strip(diameter), &["left", "right"], fineness);
            largest_stress(&job, Some("window"))
        };
        let mut drilled = pulled(Loops::rectangle(120.0, 40.0), &["left", "right"], 1.0);
        let name = "A".to_owned();
        drilled.plate.holes =
            vec![Hole { name, centre: [60.0, 20.0], starting_diameter: diameter }];
        let (hole, one, three) = (largest_stress(&drilled, None), window(1.0), window(3.0));
        assert!((hole / exact - 1.0).abs() < 0.003, "{hole} against {exact}");
        // Twelve triangles to a quarter circle, linear stress in each: a percent or so, and a ninth
        // of it with thirty-six.
        assert!((one / exact - 1.0).abs() < 0.015, "{one} against {exact}");
        assert!((three / exact - 1.0).abs() < 0.0025, "{three} against {exact}");
    }
}

#[test]
fn the_stress_at_opposite_semicircular_notches_is_the_handbook_value() {
    // Net stress concentration of opposite semicircular notches of radius r in a strip of width
    // H, x = 2r/H: 3.065 − 3.472 x + 1.009 x² + 0.405 x³ (from memory: handbook curve fit to the
    // solutions of Isida (1953) and Ling (1968); 3.065 for a shallow notch and 1 for a deep one).
    for radius in [2.0, 4.0] {
        let x: f64 = 2.0 * radius / 40.0;
        let net = 3.065 - 3.472 * x + 1.009 * x * x + 0.405 * x.powi(3);
        let gross = net / (1.0 - x);
        let case = format!(
            "outline = [{{ at = [0, 0], name = \"left\" }}, {{ at = [{a}, 0] }}, \
             {{ at = [{b}, 0], arc_through = [60, {radius}], name = \"lower\" }}, \
             {{ at = [120, 0] }}, {{ at = [120, 40], name = \"right\" }}, {{ at = [{b}, 40] }}, \
             {{ at = [{a}, 40], arc_through = [60, {c}], name = \"upper\" }}, {{ at = [0, 40] }}]",
            a = 60.0 - radius,
            b = 60.0 + radius,
            c = 40.0 - radius
        );
        let loops = parsed(&text(&case, "", [30.0, 20.0], 6.0)).job.plate.outline;
        let job = pulled(loops.loops().into_owned(), &["left", "right"], 2.0);
        let found = largest_stress(&job, Some("upper"));
        // Fit and mesh are good to half a percent each.
        assert!((found / gross - 1.0).abs() < 0.01, "{found} against {gross}");
    }
}

#[test]
fn a_guided_edge_lets_a_pulled_plate_stretch_uniformly() {
    // Hooke's law: u = σL/E, and −νσ across.
    let mut job = pulled(Loops::rectangle(40.0, 20.0), &["right"], 0.5);
    job.numerics.strains = Strains::Small;
    job.supports = vec![Support { edge: "left".to_owned(), hold: Hold::Normal }];
    let full = &run(&job)[0];
    assert_eq!(full.mesh.symmetry, Symmetry { x: None, y: Some(10.0) });
    for (at, moved) in full.mesh.nodes.iter().zip(&full.state.displacement) {
        let exact = [at[0] / 72_000.0, -0.33 * (at[1] - 10.0) / 72_000.0];
        let off = (moved[0] - exact[0]).hypot(moved[1] - exact[1]);
        // Round-off of a solve with a condition number near 1e6.
        assert!(off < 1e-9 * 40.0 / 72_000.0, "{at:?}: {moved:?}");
    }
    // The support holds against 1 MPa over the whole edge, of which half is modelled.
    let [(held, [x, y])] = full.support_forces.as_slice() else { panic!("one support") };
    let force = 20.0 * job.plate.thickness;
    assert_eq!(held, "left");
    assert!((x + force).abs() < 1e-6 * force && y.abs() < 1e-6 * force, "({x}, {y})");
    job.numerics.use_symmetry = false;
    let [x, y] = run(&job)[0].support_forces[0].1;
    assert!((x + force).abs() < 1e-6 * force && y.abs() < 1e-6 * force, "({x}, {y})");
    job.supports[0].hold = Hold::Both;
    let full = &run(&job)[0];
    let [x, y] = full.support_forces[0].1;
    assert!((x + force).abs() < 1e-6 * force && y.abs() < 1e-6 * force, "({x}, {y})");
    let edge = full.mesh.edge("left").expect("it is modelled");
    for &node in edge.sides.iter().flatten() {
        assert!(full.state.displacement[node].iter().all(|u| u.abs() <= 0.0));
    }
}

#[test]
fn a_disc_drawn_as_two_arcs_behaves_as_a_disc() {
    let hole = "[[hole]]\nname = \"A\"\nat = [0.0, 12.0]\nstarting_diameter = 6.0";
    let make = |plate: &str| {
        let text = text(plate, "", [0.0, 12.0], 6.0);
        assert!(text.contains(hole.split('\n').next().expect("a line")));
        let mut job = parsed(&text).job;
        job.numerics.fineness = 0.5;
        let last = run(&job).pop().expect("a snapshot");
        let (_, summary) = read(&last, &job, &[]).expect("the mesh was solved on");
        let path = summary
            .paths
            .iter()
            .find(|path| (path.angle_deg - 90.0).abs() < 1e-9)
            .expect("to the rim");
        (
            summary.holes[0].retained_expansion.expect("expanded"),
            path.edge_hoop,
            path.peak_compression.expect("compressed")[0],
        )
    };
    let drawn = make(
        "outline = [{ at = [0, -30], arc_through = [-30, 0] }, { at = [0, 30], arc_through = [30, 0] }]",
    );
    let disc = make("outer_diameter = 60.0");
    // The same circle, the same sizes; nodes and their numbers differ.
    for (one, other) in [(drawn.0, disc.0), (drawn.1, disc.1), (drawn.2, disc.2)] {
        assert!((one / other - 1.0).abs() < 1e-3, "{one} against {other}");
    }
}

#[test]
fn half_a_lug_stands_for_the_whole() {
    let numbers = |use_symmetry| {
        let mut job = parsed(&text(LUG, "", [40.0, 0.0], 9.5)).job;
        job.numerics = Numerics { fineness: 0.5, use_symmetry, ..job.numerics };
        let last = run(&job).pop().expect("a snapshot");
        assert_eq!(last.mesh.symmetry.y.is_some(), use_symmetry);
        let (_, summary) = read(&last, &job, &[]).expect("the mesh was solved on");
        let path =
            summary.paths.iter().find(|path| path.angle_deg.abs() < 1e-9).expect("to the end");
        let net = summary.sections.iter().map(|s| s.net_over_compressive.abs()).fold(0.0, f64::max);
        (summary.holes[0].retained_expansion.expect("expanded"), path.edge_hoop, net)
    };
    let (half, whole) = (numbers(true), numbers(false));
    // The rings are alike; the triangles beyond them are not.
    assert!((half.0 / whole.0 - 1.0).abs() < 2e-3);
    assert!((half.1 / whole.1 - 1.0).abs() < 2e-3);
    // Cuts from edge to edge carry no force: 2 % of the compressive part is what a coarse mesh
    // shows, which is also what a run warns of.
    assert!(half.2 < 0.02 && whole.2 < 0.02);
}
