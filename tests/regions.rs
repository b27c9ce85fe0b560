//! Regions of another thickness or metal, against closed forms and against plates without any.
#![allow(clippy::unwrap_used, clippy::float_cmp, clippy::cast_precision_loss, missing_docs)]
#![allow(clippy::print_stdout, reason = "what was measured, for `--nocapture`")]

mod common;

use approx::assert_relative_eq;
use common::expansion::rigid;
use common::metals::{combined, elastic};
use common::plates::{at_full_load, disc, loaded, path, pressure, pull, rectangle, results, run};
use hoopset::case;
use hoopset::geometry::outline::Loop;
use hoopset::geometry::piece::Piece;
use hoopset::material::elasticity::Elasticity;
use hoopset::material::hardening::Material;
use hoopset::material::idealisation::Idealisation;
use hoopset::mesh::build;
use hoopset::process::job::{Job, Numerics};
use hoopset::process::plan::mesh_plan;
use hoopset::process::region::Region;
use hoopset::process::stage::Stage;
use hoopset::theory::nested_rings::{NestedRing, NestedRings};

const STEEL: Elasticity = Elasticity { youngs_modulus: 210_000.0, poissons_ratio: 0.3 };
const ALUMINIUM: Elasticity = Elasticity { youngs_modulus: 72_000.0, poissons_ratio: 0.33 };

fn region(outline: Loop, thickness: Option<f64>, material: Option<Material>) -> Region {
    Region {
        name: "pad".into(),
        outline,
        thickness,
        material,
        thermal_expansion: None,
        material_name: "own".into(),
        elements: None,
    }
}

fn ring_region(radius: f64, thickness: Option<f64>, material: Option<Material>) -> Region {
    region(Loop::circle("pad", [0.0; 2], radius), thickness, material)
}

fn box_of([x0, y0]: [f64; 2], [x1, y1]: [f64; 2]) -> Loop {
    let corners = [[x0, y0], [x1, y0], [x1, y1], [x0, y1]];
    let side = |k: usize| Piece::straight("pad", corners[k], corners[(k + 1) % 4]);
    Loop { pieces: (0..4).map(side).collect() }
}

fn nested(outer: f64, thickness: f64, elasticity: Elasticity) -> NestedRing {
    NestedRing { outer, thickness, elasticity, free_strain: 0.0, interference: 0.0 }
}

/// Holds the path at 0° against rings; `limit` is a share of the pressure.
fn held_against(job: &Job, rings: &NestedRings, inner: f64, radii: &[(usize, f64)], limit: f64) {
    let result = at_full_load(job.clone(), 1.0);
    let path = path(&result, "A", 0.0);
    let (hoop, radial) = (path.hoop(), path.profile(|point| point.stress.radial));
    let mut worst = 0.0_f64;
    for &(ring, radius) in radii {
        // On the side of the step that the ring is.
        let last = radii.iter().filter(|other| other.1 == radius).map(|other| other.0).max();
        let side = if last == Some(ring) && radius > inner { 2e-6 } else { -2e-6 };
        let at = (radius - inner + side * inner).max(0.0);
        let [r, h] = rings.stress(ring, radius).unwrap();
        let pressure = -rings.stress(0, inner).unwrap()[0];
        let off =
            [hoop.at(at).unwrap() - h, radial.at(at).unwrap() - r].map(|x| x.abs() / pressure);
        println!(
            "ring {ring} at {radius}: hoop {:.3} for {h:.3}, off {off:.5?}",
            hoop.at(at).unwrap()
        );
        worst = worst.max(off[0]).max(off[1]);
    }
    assert!(worst < limit, "{worst}");
}

/// Two thicknesses and two metals in the rings of a round plate. Source: Lamé, joined at the step by
/// equal displacement and equal force (derived, `theory::nested_rings`).
#[test]
fn a_stepped_ring_under_pressure_has_the_stresses_of_the_closed_form() {
    for (thickness, inside) in [(2.5, STEEL), (0.4, STEEL), (1.0, ALUMINIUM), (2.0, ALUMINIUM)] {
        let metal = elastic(inside.youngs_modulus, inside.poissons_ratio);
        let plate_metal = elastic(STEEL.youngs_modulus, STEEL.poissons_ratio);
        let mut job =
            loaded(disc(10.0, 40.0), plate_metal, Idealisation::PlaneStress, pressure(0, 50.0));
        job.regions = vec![ring_region(18.0, Some(thickness), Some(metal))];
        let rings = [nested(18.0, thickness, inside), nested(40.0, 1.0, STEEL)];
        let rings = NestedRings::new(10.0, &rings, 50.0).unwrap();
        let radii = [(0, 10.0), (0, 14.0), (0, 18.0), (1, 18.0), (1, 25.0), (1, 40.0)];
        held_against(&job, &rings, 10.0, &radii, 0.005);
    }
}

/// The same in a large sheet where the step lies in the fill: 2.5 times as thick up to twelve radii.
/// The sheet ends at 100 radii, which changes the stresses by about a ten-thousandth.
#[test]
fn a_step_in_the_fill_has_the_stresses_of_the_closed_form() {
    let metal = elastic(STEEL.youngs_modulus, STEEL.poissons_ratio);
    let plate = rectangle(600.0, 600.0, &[[300.0, 300.0, 3.0]]);
    let mut job = loaded(plate, metal, Idealisation::PlaneStress, pressure(0, 50.0));
    job.regions = vec![region(Loop::circle("pad", [300.0; 2], 36.0), Some(2.5), None)];
    let rings = [nested(36.0, 2.5, STEEL), nested(f64::INFINITY, 1.0, STEEL)];
    let rings = NestedRings::new(3.0, &rings, 50.0).unwrap();
    let radii = [(0, 3.0), (0, 6.0), (0, 20.0), (0, 36.0), (1, 36.0), (1, 60.0)];
    held_against(&job, &rings, 3.0, &radii, 0.005);
}

/// Twice as thick of a metal half as stiff is the same plate to membrane forces: displacements are those
/// of the plate without a region, stresses in the region half of them. Exact but for the mesh.
#[test]
fn a_region_as_stiff_as_the_plate_changes_nothing() {
    let metal = elastic(STEEL.youngs_modulus, STEEL.poissons_ratio);
    let soft = elastic(0.5 * STEEL.youngs_modulus, STEEL.poissons_ratio);
    let plate = rectangle(60.0, 40.0, &[[30.0, 20.0, 3.0]]);
    let plain = loaded(plate, metal, Idealisation::PlaneStress, pull(["left", "right"], 100.0));
    let corner = box_of([36.0, 5.0], [52.0, 17.0]);
    let without = at_full_load(plain.clone(), 1.0);
    for outline in [Loop::circle("pad", [30.0, 20.0], 10.0), corner] {
        let mut job = plain.clone();
        job.regions = vec![region(outline, Some(2.0), Some(soft.clone()))];
        let with = at_full_load(job.clone(), 1.0);
        let mut worst = 0.0_f64;
        for angle in [0.0, 90.0, 180.0, 270.0] {
            let [a, b] = [&with, &without].map(|result| path(result, "A", angle));
            let plain = b.hoop();
            for point in a
                .points
                .iter()
                .filter(|point| point.distance < plain.distances()[plain.distances().len() - 1])
            {
                let factor = if job.region_at(point.drawn) == 1 { 2.0 } else { 1.0 };
                let expected = plain.at(point.distance).unwrap();
                worst = worst.max((factor * point.stress.hoop - expected).abs());
            }
        }
        println!("largest difference {worst:.4} MPa of 300");
        // Half a per cent of the load: the meshes differ.
        assert!(worst < 0.5, "{worst}");
    }
}

/// A region over all of a plate is the plate at its thickness, through expansion and ream.
#[test]
fn a_region_over_the_whole_plate_is_a_thicker_plate() {
    let job = |thickness: f64, regions: Vec<Region>| {
        let mut plate = rectangle(40.0, 30.0, &[[12.0, 15.0, 3.0]]);
        plate.thickness = thickness;
        Job {
            plate,
            idealisation: Idealisation::PlaneStress,
            material: combined(),
            stages: vec![
                Stage::Expand { hole: 0, tool: rigid(6.24) },
                Stage::Ream { hole: 0, diameter: 6.4, offset: [0.0; 2] },
                Stage::Load { load: pull(["bottom", "top"], 80.0), cycles: 1 },
            ],
            numerics: Numerics { fineness: 0.5, ..Numerics::default() },
            supports: vec![],
            regions,
        }
    };
    let over = box_of([-5.0, -5.0], [45.0, 35.0]);
    let (thick, covered) = (job(8.0, vec![]), job(4.0, vec![region(over, Some(8.0), None)]));
    for label in ["1-expand-A-full", "1-expand-A", "2-ream-A", "3-load-full", "3-load"] {
        let [a, b] = [&thick, &covered]
            .map(|job| path(&results(&run(job), label, job).0, "A", 180.0).hoop());
        for (x, y) in a.values().iter().zip(b.values()) {
            // Millionths of the yield stress: the same increments, other roundings.
            assert!((x - y).abs() < 3e-4, "{label}: {x} {y}");
        }
    }
}

/// A pad that reaches three edges, a pocket in it, half a plate by symmetry: every element lies on one
/// side, areas are those of the drawing, and mirrored parts give the same answer as the whole.
#[test]
fn meshes_follow_outlines_across_edges_and_mirror_lines() {
    let metal = elastic(STEEL.youngs_modulus, STEEL.poissons_ratio);
    let plate = rectangle(60.0, 40.0, &[[15.0, 20.0, 3.0]]);
    let mut job = loaded(plate, metal, Idealisation::PlaneStress, pull(["bottom", "top"], 60.0));
    job.regions = vec![
        region(box_of([25.0, 0.0], [60.0, 40.0]), Some(2.0), None),
        Region {
            name: "pocket".into(),
            ..region(Loop::circle("pocket", [42.0, 20.0], 9.0), Some(0.5), None)
        },
    ];
    let mut whole = job.clone();
    whole.numerics.use_symmetry = false;
    let area = |job: &Job, wanted: u8| {
        let mesh = build(&job.plate, &mesh_plan(job)).unwrap();
        let tables = hoopset::solver::tables::Tables::new(&mesh, job.measure()).unwrap();
        let volumes = tables.volumes().enumerate();
        let inside = volumes.filter(|(point, _)| mesh.region_of_point(*point) == wanted);
        inside.map(|(_, volume)| volume).sum::<f64>() * mesh.symmetry.copies() as f64
    };
    for job in [&job, &whole] {
        let pocket = std::f64::consts::PI * 81.0;
        // Arcs are parabolas to 1e-5.
        assert_relative_eq!(area(job, 1), 2.0 * (35.0 * 40.0 - pocket), max_relative = 1e-5);
        assert_relative_eq!(area(job, 2), 0.5 * pocket, max_relative = 1e-4);
    }
    let [half, all] = [job, whole].map(|job| at_full_load(job, 1.0));
    assert_eq!(half.mesh.symmetry.copies(), 2);
    let [a, b] = [half, all].map(|result| path(&result, "A", 0.0).hoop());
    for distance in [0.0, 1.0, 4.0, 9.0, 20.0] {
        let (x, y) = (a.at(distance).unwrap(), b.at(distance).unwrap());
        println!("{distance}: {x:.3} {y:.3}");
        // Half a per cent of the load: two meshes.
        assert!((x - y).abs() < 0.3, "{distance}: {x} {y}");
    }
}

/// Stress jumps at a step and force does not: net force on a straight section vanishes after an expansion
/// in a pad.
#[test]
fn residual_sections_balance_over_a_step() {
    let text = "units = \"mm-MPa\"\n[plate]\nwidth = 60\nheight = 40\nthickness = 4\n\
                alloy = \"2024-T351 plate\"\n[[region]]\nname = \"pad\"\n\
                rectangle = [[0, 0], [26, 40]]\nthickness = 8\n\
                [[hole]]\nname = \"A\"\nat = [14, 20]\nstarting_diameter = 6\n\
                [[stage]]\nexpand = \"A\"\nmandrel_diameter = 6.24\n\
                [[stage]]\nream = \"A\"\ndiameter = 6.35\n";
    let case = case::parse(text, "pad.toml").unwrap();
    assert!(case.warnings.iter().any(|w| w.contains("eccentric step")), "{:?}", case.warnings);
    let snapshots = run(&case.job);
    let (result, summary) = results(&snapshots, "2-ream-A", &case.job);
    assert!(!summary.sections.is_empty());
    for section in &summary.sections {
        println!("{}: {:.5}", section.angle_deg, section.net_over_compressive);
        // Half a per cent of the compressive force, as for a plate of one thickness.
        assert!(section.net_over_compressive.abs() < 5e-3);
    }
    // The points on either side of x = 26, where the drawn path crosses the outline.
    let across = path(&result, "A", 0.0);
    let after = across.points.iter().position(|point| point.drawn[0] > 26.0).unwrap();
    let [inside, outside] = [after - 1, after].map(|k| &across.points[k]);
    assert!(outside.drawn[0] - inside.drawn[0] < 1e-4);
    let [inside, outside] = [inside, outside].map(|point| point.stress.radial);
    println!("radial at the step {inside:.3} {outside:.3}");
    // 1 % of what one side has: the thickness of either side has changed by less than 0.1 %.
    assert_relative_eq!(2.0 * inside, outside, max_relative = 0.01);
}

/// A ring of another metal round a hole is cut away as a whole: its outline is a line of the mesh inside
/// the cut, and nothing of it is left. A ream that stays inside leaves its outline where it is.
#[test]
fn a_ream_takes_a_ring_away_or_leaves_its_outline_alone() {
    let case = |diameter: f64| {
        let text = format!(
            "units = \"mm-MPa\"\n[plate]\nouter_diameter = 60\nthickness = 4\n\
             alloy = \"7075-T651 plate\"\n[[region]]\nname = \"ring\"\ncircle = [0, 0]\ndiameter = 9\n\
             alloy = \"2024-T351 plate\"\n[[hole]]\nname = \"A\"\nstarting_diameter = 6\n\
             [[stage]]\nexpand = \"A\"\nmandrel_diameter = 6.24\n\
             [[stage]]\nream = \"A\"\ndiameter = {diameter}\n[numerics]\nfineness = 0.5\n"
        );
        case::parse(&text, "ring.toml").unwrap()
    };
    for (diameter, regions) in [(6.4, [true, true]), (9.6, [true, false])] {
        let job = case(diameter).job;
        let snapshots = run(&job);
        let reamed = &snapshots[snapshots.len() - 1].mesh;
        let has = [0_u8, 1].map(|region| reamed.regions.quads.contains(&region));
        assert_eq!(has, regions);
        let on_outline = |mesh: &hoopset::mesh::topology::Mesh| {
            let near = mesh.nodes.iter().filter(|[x, y]| (x.hypot(*y) - 4.5).abs() < 1e-12);
            near.count()
        };
        let before = on_outline(&snapshots[0].mesh);
        assert!(before > 10, "{before}");
        assert_eq!(on_outline(reamed), if regions[1] { before } else { 0 });
    }
}
