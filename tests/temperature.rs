//! Another temperature of a part, against closed forms.
#![allow(clippy::unwrap_used, clippy::float_cmp, clippy::cast_precision_loss, missing_docs)]
#![allow(clippy::print_stdout, reason = "what was measured, for `--nocapture`")]

mod common;

use approx::assert_relative_eq;
use common::expansion::{expand, rigid};
use common::metals::{combined, elastic, perfect};
use common::plates::{disc, path, rectangle, results, run};
use hoopset::case;
use hoopset::geometry::outline::Loop;
use hoopset::material::elasticity::Elasticity;
use hoopset::material::hot::HotShares;
use hoopset::material::idealisation::Idealisation;
use hoopset::material::strains::Strains;
use hoopset::process::job::{Job, Numerics};
use hoopset::process::region::Region;
use hoopset::process::relaxation::Relaxation;
use hoopset::process::snapshot::Snapshot;
use hoopset::process::stage::Stage;
use hoopset::theory::nested_rings::{NestedRing, NestedRings};

const STEEL: Elasticity = Elasticity { youngs_modulus: 210_000.0, poissons_ratio: 0.3 };
const ALUMINIUM: Elasticity = Elasticity { youngs_modulus: 72_000.0, poissons_ratio: 0.33 };
/// Invented round numbers near those of a steel and an aluminium alloy, by kelvin.
const OF_STEEL: f64 = 12e-6;
const OF_ALUMINIUM: f64 = 23e-6;

fn ring(radius: f64, elasticity: Elasticity, name: &str) -> Region {
    Region {
        name: name.into(),
        outline: Loop::circle(name, [0.0; 2], radius),
        thickness: None,
        material: Some(elastic(elasticity.youngs_modulus, elasticity.poissons_ratio)),
        thermal_expansion: None,
        material_name: "own".into(),
        elements: None,
    }
}

fn heated(regions: Vec<Region>, expansions: &[f64], difference: f64, strains: Strains) -> Job {
    Job {
        plate: disc(10.0, 40.0),
        idealisation: Idealisation::PlaneStress,
        material: elastic(ALUMINIUM.youngs_modulus, ALUMINIUM.poissons_ratio),
        stages: vec![Stage::temperature(difference, expansions.to_vec())],
        numerics: Numerics { increments: 4, strains, ..Numerics::default() },
        supports: vec![],
        regions,
    }
}

/// Mean outward displacement of the edge of the hole, mm.
fn opening(snapshot: &Snapshot) -> f64 {
    let edge = &snapshot.mesh.holes[0].edge;
    let outward = |&node: &usize| {
        let ([x, y], [u, v]) = (snapshot.mesh.nodes[node], snapshot.state.displacement[node]);
        (x * u + y * v) / x.hypot(y)
    };
    edge.iter().map(outward).sum::<f64>() / edge.len() as f64
}

/// A steel ring that was put into an aluminium one without play and clearance, and cooled or heated with
/// it: what a shrink fit has while it holds. Source: Lamé with equal displacements and forces where
/// rings meet (derived, `theory::nested_rings`).
#[test]
fn rings_of_two_and_three_metals_have_the_stresses_of_the_shrink_fit() {
    let ring_of =
        |outer: f64, elasticity: Elasticity, expansion: f64, difference: f64| NestedRing {
            outer,
            thickness: 1.0,
            elasticity,
            free_strain: expansion * difference,
            interference: 0.0,
        };
    let cold = -80.0;
    let two = (
        vec![ring(16.0, STEEL, "bush")],
        vec![OF_ALUMINIUM, OF_STEEL],
        vec![ring_of(16.0, STEEL, OF_STEEL, cold), ring_of(40.0, ALUMINIUM, OF_ALUMINIUM, cold)],
    );
    let three = (
        vec![ring(20.0, ALUMINIUM, "middle"), ring(14.0, STEEL, "bush")],
        vec![OF_STEEL, OF_ALUMINIUM, OF_STEEL],
        vec![
            ring_of(14.0, STEEL, OF_STEEL, cold),
            ring_of(20.0, ALUMINIUM, OF_ALUMINIUM, cold),
            ring_of(40.0, ALUMINIUM, OF_STEEL, cold),
        ],
    );
    for (regions, expansions, rings) in [two, three] {
        let job = heated(regions, &expansions, cold, Strains::Small);
        let theory = NestedRings::new(10.0, &rings, 0.0).unwrap();
        let snapshots = run(&job);
        let (result, _) = results(&snapshots, "1-temperature", &job);
        let moved = opening(&snapshots[0]) / theory.displacement(0, 10.0).unwrap();
        let hoop = path(&result, "A", 0.0).hoop();
        let [_, edge] = theory.stress(0, 10.0).unwrap();
        println!("u {:.2e}, hoop {:.4} for {edge:.4}", moved - 1.0, hoop.values()[0]);
        // Displacements are far better than stresses; 0.1 % is the line carried on to the edge.
        assert_relative_eq!(moved, 1.0, epsilon = 1e-5);
        assert_relative_eq!(hoop.values()[0], edge, max_relative = 1e-3);
        // The bore of a ring under pressure q outside moves by −2 q a b² / (E (b² − a²)): the pressure that
        // the computed displacement tells.
        let pressure = theory.pressure_outside(0);
        let (a, b) = (10.0, rings[0].outer);
        let young = rings[0].elasticity.youngs_modulus;
        let given = rings[0].free_strain * a - opening(&snapshots[0]);
        let told = given * young * (b * b - a * a) / (2.0 * a * b * b);
        println!("pressure by displacement {told:.5} for {pressure:.5}");
        assert_relative_eq!(told, pressure, max_relative = 1e-3);
        let radial = path(&result, "A", 0.0).profile(|point| point.stress.radial);
        let outer = rings[0].outer - 10.0;
        for side in [-1e-4, 1e-4] {
            let found = -radial.at(outer + side).unwrap();
            println!("pressure {found:.4} for {pressure:.4}");
            // A per cent: the recovered stress is a line through the points of a thick layer there.
            assert!((found - pressure).abs() < 0.01 * pressure.abs(), "{found} {pressure}");
        }
    }
}

/// One metal grows by α ΔT in every direction and stays free of stress, whatever the idealisation lets it.
#[test]
fn a_free_part_grows_without_stress() {
    for (idealisation, strains) in [
        (Idealisation::PlaneStress, Strains::Small),
        (Idealisation::PlaneStress, Strains::Finite),
        (Idealisation::GeneralisedPlaneStrain, Strains::Finite),
    ] {
        let mut job = heated(vec![], &[OF_ALUMINIUM], 150.0, strains);
        job.idealisation = idealisation;
        let snapshots = run(&job);
        let (result, summary) = results(&snapshots, "1-temperature", &job);
        let strain: f64 = 150.0 * OF_ALUMINIUM;
        assert_relative_eq!(opening(&snapshots[0]), 10.0 * strain, max_relative = 1e-9);
        let largest = result.nodal.stress.iter().map(|s| s.von_mises()).fold(0.0, f64::max);
        println!("{idealisation:?} {strains:?}: largest stress {largest:.2e}");
        // A billionth of the modulus.
        assert!(largest < 1e-4, "{largest}");
        let change = summary.holes[0].edge_thickness_change.unwrap();
        assert_relative_eq!(change, strain, max_relative = 1e-9);
    }
    // In plane strain the third direction is held: σzz = −E α ΔT, nothing in the plane.
    let mut job = heated(vec![], &[OF_ALUMINIUM], 150.0, Strains::Small);
    job.idealisation = Idealisation::PlaneStrain;
    let snapshots = run(&job);
    let held = -ALUMINIUM.youngs_modulus * 150.0 * OF_ALUMINIUM;
    for stress in &snapshots[0].state.stress {
        assert_relative_eq!(stress[2], held, max_relative = 1e-9);
        assert!(stress[0].abs() < 1e-6 && stress[1].abs() < 1e-6);
    }
}

/// After an expansion a part of one metal that is heated and cooled has the residual stress it had; and the
/// balance of energies closes when two metals flow against each other by heat.
#[test]
fn heat_without_constraint_leaves_residual_stress_alone_and_energies_balance() {
    let heat =
        |difference: f64, expansions: &[f64]| Stage::temperature(difference, expansions.to_vec());
    let job = Job {
        plate: rectangle(40.0, 30.0, &[[15.0, 15.0, 3.0]]),
        idealisation: Idealisation::PlaneStress,
        material: combined(),
        stages: vec![expand(rigid(6.24)), heat(120.0, &[OF_ALUMINIUM]), heat(0.0, &[OF_ALUMINIUM])],
        numerics: Numerics { fineness: 0.5, ..Numerics::default() },
        supports: vec![],
        regions: vec![],
    };
    let snapshots = run(&job);
    let edge =
        |label: &str| path(&results(&snapshots, label, &job).0, "A", 180.0).hoop().values()[0];
    let (before, hot, after) = (edge("1-expand-A"), edge("2-temperature"), edge("3-temperature"));
    println!("edge {before:.4}, hot {hot:.4}, after {after:.4}");
    // The metal answers per drawn volume, and every side has grown by exp(α ΔT): force over area as it
    // stands is smaller by the change of the volume.
    let grown = (3.0 * (120.0 * OF_ALUMINIUM).ln_1p()).exp();
    assert_relative_eq!(hot, before / grown, max_relative = 1e-5);
    assert_relative_eq!(after, before, max_relative = 1e-5);

    let mut flows = job;
    flows.plate = disc(5.0, 20.0);
    flows.regions =
        vec![Region { material: Some(elastic(210_000.0, 0.3)), ..ring(9.0, STEEL, "bush") }];
    let both = [OF_ALUMINIUM, OF_STEEL];
    flows.stages = vec![heat(-600.0, &both), heat(0.0, &both)];
    let snapshots = run(&flows);
    let last = &snapshots[1];
    assert!(last.state.largest_plastic_strain() > 1e-4, "{}", last.state.largest_plastic_strain());
    let missing = last.state.energy.imbalance();
    println!("energy {missing:.2e}");
    // Measured 1e-7: trapezoids over eight increments, each in as many parts as its flow asks for.
    assert!(missing < 1e-5, "{missing}");
}

#[test]
fn a_case_with_a_temperature_is_read_and_says_what_is_left_out() {
    let text = "units = \"mm-MPa\"\n[plate]\nouter_diameter = 60\nthickness = 4\n\
                alloy = \"7075-T651 plate\"\n[material]\nthermal_expansion = 23e-6\n\
                [[region]]\nname = \"bush\"\ncircle = [0, 0]\ndiameter = 10\n\
                material = { youngs_modulus = 210000, poissons_ratio = 0.3, yield_stress = 900, \
                thermal_expansion = 12e-6 }\n\
                [[hole]]\nname = \"A\"\nstarting_diameter = 6\n\
                [[stage]]\ntemperature = -80\n[[stage]]\ntemperature = 0\n";
    let case = case::parse(text, "bush.toml").unwrap();
    assert_eq!(case.material_name, "7075-T651 plate");
    assert!(case.warnings.iter().any(|w| w.contains("nothing relaxes by heat")));
    let first = Stage::temperature(-80.0, vec![23e-6, 12e-6]);
    assert_eq!(case.job.stages[0], first);
    let refused = |from: &str, to: &str| {
        let changed = text.replace(from, to);
        assert_ne!(changed, text);
        case::parse(&changed, "bush.toml").unwrap_err().to_string()
    };
    assert!(
        refused("thermal_expansion = 23e-6\n", "youngs_modulus = 71000.0\n")
            .contains("of the plate has no")
    );
    assert!(refused(", thermal_expansion = 12e-6", "").contains("region `bush` has no"));
    assert!(refused("23e-6", "23").contains("no coefficient"));
    assert!(refused("-80", "-8000").contains("between"));
    assert!(
        refused("temperature = 0", "fasten = \"A\"\n[[stage]]\ntemperature = 0").contains("pin")
    );
}

/// A hole that was expanded, in one metal that is heated: plastic strains stay, so every stress is in proportion to
/// Young's modulus (linear elasticity with the plastic strains as eigenstrains), and is back when it is cold again.
#[test]
fn a_hot_part_has_its_residual_stress_in_proportion_to_its_modulus() {
    let hot = HotShares { modulus: 0.85, yield_stress: 1.0 };
    let heat = |difference: f64, metals: Vec<HotShares>| Stage::Temperature {
        difference,
        expansions: vec![OF_ALUMINIUM],
        metals,
        relaxation: None,
    };
    let job = Job {
        plate: rectangle(40.0, 30.0, &[[15.0, 15.0, 3.0]]),
        idealisation: Idealisation::PlaneStress,
        material: combined(),
        stages: vec![expand(rigid(6.24)), heat(120.0, vec![hot]), heat(0.0, vec![])],
        numerics: Numerics { fineness: 0.5, strains: Strains::Small, ..Numerics::default() },
        supports: vec![],
        regions: vec![],
    };
    let snapshots = run(&job);
    let of = |label: &str| {
        let snapshot = snapshots.iter().find(|snapshot| snapshot.label == label).unwrap();
        &snapshot.state.stress
    };
    let (before, now, after) = (of("1-expand-A"), of("2-temperature"), of("3-temperature"));
    let largest = before.iter().map(nalgebra::Matrix::norm).fold(0.0, f64::max);
    let far = |one: &[nalgebra::Vector4<f64>], share: f64| {
        let pairs = one.iter().zip(before);
        pairs.map(|(one, cold)| (one - share * cold).norm()).fold(0.0, f64::max) / largest
    };
    println!("hot {:.1e}, cold again {:.1e}", far(now, 0.85), far(after, 1.0));
    // Residuals of eight balances, 1e-8 each; nothing yields, since the stress falls.
    assert!(far(now, 0.85) < 1e-6, "{}", far(now, 0.85));
    assert!(far(after, 1.0) < 1e-6, "{}", far(after, 1.0));
    assert!(snapshots.last().unwrap().state.energy.imbalance() < 1e-4);
}

/// Rings of two metals whose moduli fall as they are heated: what counts is the modulus when they are hot.
/// Source: Lamé with equal displacements and forces where rings meet (derived, `theory::nested_rings`).
#[test]
fn rings_that_soften_have_the_stresses_of_the_hot_metals() {
    let shares = [
        HotShares { modulus: 0.8, yield_stress: 1.0 },
        HotShares { modulus: 0.95, yield_stress: 1.0 },
    ];
    let regions = vec![ring(16.0, STEEL, "bush")];
    let mut job = heated(regions, &[OF_ALUMINIUM, OF_STEEL], 100.0, Strains::Small);
    let Stage::Temperature { metals, .. } = &mut job.stages[0] else { panic!("no heat") };
    *metals = shares.to_vec();
    let snapshots = run(&job);
    let of = |outer: f64, elasticity: Elasticity, share: f64, expansion: f64| NestedRing {
        outer,
        thickness: 1.0,
        elasticity: Elasticity { youngs_modulus: share * elasticity.youngs_modulus, ..elasticity },
        free_strain: 100.0 * expansion,
        interference: 0.0,
    };
    let rings = vec![of(16.0, STEEL, 0.95, OF_STEEL), of(40.0, ALUMINIUM, 0.8, OF_ALUMINIUM)];
    let theory = NestedRings::new(10.0, &rings, 0.0).unwrap();
    let expected = theory.displacement(0, 10.0).unwrap();
    let found = opening(&snapshots[0]);
    println!("opening {found:.6e}, closed form {expected:.6e}");
    assert_relative_eq!(found, expected, max_relative = 1e-5);
}

/// A hot metal that yields at half its stress bears no more, and what it lost does not come back; a stated relaxation
/// scales the stress and moves nothing.
#[test]
fn stress_beyond_the_hot_yield_stress_is_lost_and_a_stated_share_is_what_is_left() {
    let heat = |difference: f64, share: f64, left: Option<f64>| Stage::Temperature {
        difference,
        expansions: vec![OF_ALUMINIUM],
        metals: if share < 1.0 {
            vec![HotShares { modulus: 1.0, yield_stress: share }]
        } else {
            vec![]
        },
        relaxation: left.map(|left| Relaxation { left, source: "invented".into() }),
    };
    let mut job = Job {
        plate: rectangle(40.0, 30.0, &[[15.0, 15.0, 3.0]]),
        idealisation: Idealisation::PlaneStress,
        material: perfect(72_000.0, 0.33, 350.0),
        stages: vec![expand(rigid(6.24)), heat(150.0, 0.5, None), heat(0.0, 1.0, None)],
        numerics: Numerics { fineness: 0.5, strains: Strains::Small, ..Numerics::default() },
        supports: vec![],
        regions: vec![],
    };
    let mises = |stress: &nalgebra::Vector4<f64>| {
        let [x, y, s] = [stress[0], stress[1], stress[3]];
        (x * x - x * y + y * y + 3.0 * s * s).sqrt()
    };
    let snapshots = run(&job);
    let highest = |k: usize| snapshots[k].state.stress.iter().map(mises).fold(0.0, f64::max);
    println!("{:.2} {:.2} {:.2}", highest(1), highest(2), highest(3));
    assert_eq!(snapshots[2].label, "2-temperature");
    assert!(highest(1) > 300.0 && highest(2) < 175.0 * (1.0 + 1e-6));
    assert_relative_eq!(highest(3), highest(2), max_relative = 1e-6);
    let lost = |k: usize| snapshots[k].state.largest_plastic_strain();
    assert!(lost(2) > lost(1) || snapshots[2].state.points != snapshots[1].state.points);

    job.stages = vec![expand(rigid(6.24)), heat(150.0, 1.0, Some(0.7)), heat(0.0, 1.0, None)];
    let snapshots = run(&job);
    let (before, after) = (&snapshots[1].state, &snapshots[3].state);
    for (cold, left) in before.stress.iter().zip(&after.stress) {
        // A millionth of the yield stress: equilibrium is found to 1e-8 of the forces, three times over.
        assert!((left - 0.7 * cold).norm() < 1e-6 * 350.0, "{left} {cold}");
    }
    for (one, other) in before.displacement.iter().zip(&after.displacement) {
        assert!((one[0] - other[0]).hypot(one[1] - other[1]) < 1e-8);
    }
}

#[test]
fn a_case_gives_the_metals_of_a_temperature_and_the_source_of_a_relaxation() {
    let text = "units = \"mm-MPa\"\n[plate]\nouter_diameter = 60\nthickness = 4\n\
                [material]\nyoungs_modulus = 72000\npoissons_ratio = 0.33\nyield_stress = 400\n\
                thermal_expansion = 23e-6\n\
                [[region]]\nname = \"ring\"\ncircle = [0, 0]\ndiameter = 10\n\
                material = { youngs_modulus = 210000, poissons_ratio = 0.3, yield_stress = 900, \
                thermal_expansion = 12e-6 }\n\
                [[hole]]\nname = \"A\"\nstarting_diameter = 6\n\
                [[stage]]\ntemperature = 130\nyield_stress = 300\n\
                regions = [{ name = \"ring\", youngs_modulus = 189000 }]\n\
                residual_left = 0.9\nsource = \"coupons\"\n";
    let case = case::parse(text, "hot.toml").unwrap();
    let Stage::Temperature { metals, relaxation, .. } = &case.job.stages[0] else {
        panic!("no heat")
    };
    assert_relative_eq!(metals[0].yield_stress, 0.75);
    assert_relative_eq!(metals[1].modulus, 0.9);
    assert_eq!((metals[0].modulus, metals[1].yield_stress), (1.0, 1.0));
    assert_eq!(relaxation.as_ref().unwrap().source, "coupons");
    assert!(case.warnings.iter().any(|w| w.contains("90 % of the residual stress (coupons)")));
    let refused = |from: &str, to: &str| {
        let changed = text.replace(from, to);
        assert_ne!(changed, text);
        case::parse(&changed, "hot.toml").unwrap_err().to_string()
    };
    assert!(refused("source = \"coupons\"", "").contains("source"));
    assert!(refused("residual_left = 0.9\n", "").contains("without `residual_left`"));
    assert!(refused("residual_left = 0.9", "residual_left = 1.5").contains("is a share"));
    assert!(
        refused("name = \"ring\", youngs", "name = \"rim\", youngs").contains("no region `rim`")
    );
    assert!(refused("yield_stress = 300", "yield_stress = 3").contains("times that of the case"));
}
