//! Fringes of a photoelastic coating: orders against closed forms, cuts, pictures.
#![allow(clippy::unwrap_used, missing_docs)]

#[path = "common/picture.rs"]
mod picture;

use std::f64::consts::FRAC_PI_2;

use hoopset::plot::plate::interference::WhiteLight;
use hoopset::plot::{FigureContext, fringe_view};
use hoopset::process::coating::{Coating, Light};
use hoopset::process::trace::{Trace, Watched};
use hoopset::result::coating::FaceStrain;
use hoopset::theory::field::RotationalField;
use hoopset::theory::lame::Ring;
use hoopset::theory::plate_hole::PlateHole;
use hoopset::{Case, Elasticity, Idealisation, Snapshot, parse};

const METAL: Elasticity = Elasticity { youngs_modulus: 72_000.0, poissons_ratio: 0.33 };

fn coating(light: Light) -> Coating {
    Coating {
        thickness: 2.0,
        strain_optic_coefficient: 0.10,
        wavelength: 575e-6,
        bonded_after: None,
        light,
    }
}

fn case(plate: &str, stages: &str) -> Case {
    let text = format!(
        "units = \"mm-MPa\"\n[plate]\n{plate}\nthickness = 3.0\n[material]\n\
         youngs_modulus = 72000.0\npoissons_ratio = 0.33\nyield_stress = 350.0\n{stages}\n\
         [numerics]\nincrements = 4\n"
    );
    parse(&text, "coated.toml").unwrap()
}

fn snapshots(case: &Case) -> Vec<Snapshot> {
    let mut snapshots = Vec::new();
    case.sequence(case.job.clone()).unwrap().run(&mut snapshots).unwrap();
    snapshots
}

fn ring(stages: &str) -> Case {
    case(
        "outer_diameter = 30.0",
        &format!("[[hole]]\nname = \"A\"\nstarting_diameter = 6.0\n{stages}"),
    )
}

#[test]
fn a_fringe_is_worth_what_the_formula_says() {
    // Example: t = 2 mm, K = 0.10, λ = 575 nm give 1437.5 µε a fringe, in aluminium of 72 GPa
    // and ν = 0.33 77.8 MPa. Source: f = λ/(2tK), standard optics (from memory).
    let coating = coating(Light::White);
    assert!((1e6 * coating.fringe_value() - 1437.5).abs() < 1e-9);
    let stress = METAL.youngs_modulus / (1.0 + METAL.poissons_ratio) * coating.fringe_value();
    assert!((stress - 77.8).abs() < 0.05, "{stress}");
}

#[test]
fn an_elastic_ring_shows_the_orders_of_lame() {
    let case = ring("[[stage]]\nload = { pressure = 100.0, hole = \"A\" }\n");
    let full = &snapshots(&case)[0];
    let strain = FaceStrain::of_snapshot(full, &case.job).unwrap();
    let coating = coating(Light::White);
    // ε₁ − ε₂ = (1+ν)(σθ − σr)/E with Lamé's stresses.
    let lame = Ring::new(3.0, 15.0, METAL, Idealisation::PlaneStress).unwrap();
    let lame = lame.at_pressure(100.0).unwrap();
    for (node, order) in strain.mesh.nodes.iter().zip(strain.orders(&coating)) {
        let polar = lame.stress(node[0].hypot(node[1]).clamp(3.0, 15.0)).unwrap();
        let difference =
            (1.0 + METAL.poissons_ratio) / METAL.youngs_modulus * (polar.hoop - polar.radial);
        let expected = coating.order(difference);
        // 0.5 % of the largest: values are carried on from the points to the nodes.
        assert!((order - expected).abs() < 0.005 * 2.7, "{node:?}: {order} and {expected}");
    }
}

#[test]
fn the_order_vanishes_where_the_edge_of_a_pulled_hole_is_free_of_stress() {
    // Kirsch: the hoop stress at the edge is S(1 − 2 cos 2θ), θ from the load, and all other
    // stresses vanish; so it is an isotropic point at θ = 30°.
    let case = case(
        "width = 90.0\nheight = 90.0",
        "[[hole]]\nname = \"A\"\nat = [45.0, 45.0]\nstarting_diameter = 6.0\n\
         [[stage]]\nload = { tension = 60.0, along = \"y\" }\n",
    );
    let full = &snapshots(&case)[0];
    let strain = FaceStrain::of_snapshot(full, &case.job).unwrap();
    let coating = coating(Light::White);
    let orders = strain.orders(&coating);
    let kirsch = PlateHole::uniaxial(3.0, 60.0, FRAC_PI_2).unwrap();
    let mut least = (f64::INFINITY, 0.0);
    for &node in &strain.mesh.holes[0].edge {
        let [x, y] = strain.mesh.nodes[node].map(|c| c - 45.0);
        let polar = kirsch.polar([x * 1.000_001, y * 1.000_001]).unwrap();
        let difference = (polar.hoop - polar.radial).abs();
        let by_hand =
            coating.order((1.0 + METAL.poissons_ratio) / METAL.youngs_modulus * difference);
        // 2 % of the largest, 2.3: a plate fifteen diameters wide, values carried on to the edge.
        assert!((orders[node] - by_hand).abs() < 0.046, "{x} {y}: {} {by_hand}", orders[node]);
        if orders[node] < least.0 {
            least = (orders[node], x.abs().atan2(y.abs()).to_degrees());
        }
    }
    // Half an element to each side.
    assert!(least.0 < 0.1 && (least.1 - 30.0).abs() < 3.0, "{least:?}");
}

#[test]
fn a_coating_bonded_after_a_stage_shows_what_came_later() {
    let stages = "[[stage]]\nexpand = \"A\"\napplied_expansion = 0.008\n\
                  [[stage]]\nload = { pressure = 50.0, hole = \"A\" }\n";
    let case = ring(stages);
    let snapshots = snapshots(&case);
    let read = |k: usize| FaceStrain::of_snapshot(&snapshots[k], &case.job).unwrap();
    let later = read(2).since(&read(1));
    let coating = coating(Light::White);
    // The load alone is elastic, so what it adds is Lamé whatever stays from before.
    let lame = Ring::new(3.0, 15.0, METAL, Idealisation::PlaneStress).unwrap();
    let edge = lame.at_pressure(50.0).unwrap().stress(3.0).unwrap();
    let expected = coating
        .order((1.0 + METAL.poissons_ratio) / METAL.youngs_modulus * (edge.hoop - edge.radial));
    let orders = later.orders(&coating);
    for &node in &later.mesh.holes[0].edge {
        assert!((orders[node] / expected - 1.0).abs() < 0.01, "{} {expected}", orders[node]);
    }
    assert!(read(2).orders(&coating)[later.mesh.holes[0].edge[0]] > 2.0 * expected);
}

#[test]
fn a_cut_adds_its_own_fringes_and_keeps_the_rest() {
    let stages = "[[stage]]\nexpand = \"A\"\napplied_expansion = 0.008\n\
                  [[stage]]\nream = \"A\"\ndiameter = 6.4\n";
    let case = ring(stages);
    let snapshots = snapshots(&case);
    let read = |k: usize| FaceStrain::of_snapshot(&snapshots[k], &case.job).unwrap();
    let (before, after) = (read(1), read(2));
    assert_ne!(before.mesh, after.mesh);
    let coating = coating(Light::White);
    let added = after.since(&before).orders(&coating);
    let total = after.orders(&coating);
    // Freed of some tens of MPa, the rest moves by Lamé's field of that size: a few tenths of an
    // order at the new edge, falling as 1/r².
    let edge = added[after.mesh.holes[0].edge[0]];
    assert!(edge > 0.05 && edge < 0.5 * total[after.mesh.holes[0].edge[0]], "{edge}");
    for (node, order) in after.mesh.nodes.iter().zip(&added) {
        let share = (3.2 / node[0].hypot(node[1])).powi(2);
        assert!((order - edge * share).abs() < 0.08 * edge, "{node:?}: {order}, {}", edge * share);
    }
}

#[test]
fn frames_and_snapshots_show_the_same_fringes() {
    let case = ring("[[stage]]\nexpand = \"A\"\napplied_expansion = 0.01\n");
    let mut trace = Trace::new(&case.job, Watched { hole: 0, angle: 0.0, depth: 0.0 }, 4);
    case.sequence(case.job.clone()).unwrap().run(&mut trace).unwrap();
    let frame = trace.frames.last().unwrap();
    let snapshot = trace.snapshots.last().unwrap();
    assert_eq!(
        FaceStrain::of_frame(frame, &case.job).unwrap(),
        FaceStrain::of_snapshot(snapshot, &case.job).unwrap()
    );
}

#[test]
fn the_picture_of_a_ring_has_the_colours_of_its_orders() {
    let case = ring("[[stage]]\nload = { pressure = 100.0, hole = \"A\" }\n");
    let strain = FaceStrain::of_snapshot(&snapshots(&case)[0], &case.job).unwrap();
    let folder = tempfile::tempdir().unwrap();
    let context = FigureContext { case_title: "ring", units: case.units };
    let holes = &case.job.plate.holes;
    for (light, near) in [(Light::White, None), (Light::Monochrome, Some(0))] {
        let coating = coating(light);
        let heads = ("1-load-full", "at full load");
        fringe_view(&strain, &coating, heads, (holes, near), context, folder.path()).unwrap();
    }
    let colours = picture::rows(&folder.path().join("1-load-full-fringes.png")).concat();
    // Far out the order is near zero and the plate dark; the first order's purple is somewhere.
    let tint = WhiteLight::new(575e-6).colour(1.0).0;
    let near_tint = |c: &[u8; 3]| c.iter().zip(tint).all(|(a, b)| a.abs_diff(b) < 16);
    assert!(colours.iter().any(near_tint), "no pixel near {tint:?}");
    let grey = picture::rows(&folder.path().join("1-load-full-fringes-near-A.png")).concat();
    let most = grey.iter().map(|p| p.iter().max().unwrap() - p.iter().min().unwrap()).max();
    // Ink is not quite black.
    assert!(most.unwrap() < 12, "{most:?}");
    assert!(
        fringe_view(
            &strain,
            &coating(Light::White),
            ("x", ""),
            (holes, Some(3)),
            context,
            folder.path()
        )
        .is_err()
    );
}
