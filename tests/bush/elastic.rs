//! Elastic bushes against Lamé's rings.

use approx::assert_relative_eq;
use hoopset::theory::nested_rings::NestedRings;

use hoopset::material::elasticity::Elasticity;
use hoopset::material::idealisation::Idealisation;
use hoopset::material::strains::Strains;
use hoopset::process::bush::{Assembly, Bush};
use hoopset::process::job::{Job, Numerics};
use hoopset::process::sequence::Sequence;
use hoopset::process::snapshot::Snapshot;
use hoopset::process::stage::{Load, Stage};
use hoopset::theory::nested_rings::NestedRing;

use crate::common::plates::{disc, path, results, run, run_sequence};
use crate::parts::{ALUMINIUM, STEEL, bush, job, mean_and_spread, metal, pressures, put_in, ring};

/// Mean radial displacement of nodes of the last snapshot, mm.
fn moved(snapshot: &Snapshot, nodes: &[usize]) -> f64 {
    let outward = |&node: &usize| {
        let ([x, y], [u, v]) = (snapshot.mesh.nodes[node], snapshot.state.displacement[node]);
        (x * u + y * v) / x.hypot(y)
    };
    nodes.iter().map(outward).sum::<f64>() / nodes.len() as f64
}

/// A bush of steel in a ring of aluminium with an interference, small strains. Source: G. Lamé, joined at
/// the fit (derived, `theory::nested_rings`; for one metal S. Timoshenko, Strength of Materials II).
#[test]
fn a_pressed_bush_has_the_pressure_of_two_rings() {
    for (inside, outside) in [(STEEL, ALUMINIUM), (ALUMINIUM, STEEL), (STEEL, STEEL)] {
        let delta = 0.001;
        let job = job(
            disc(10.0, 30.0),
            metal(outside),
            vec![put_in(bush(7.0, 10.0 + delta, metal(inside)))],
        );
        let theory =
            NestedRings::new(7.0, &[ring(10.0, inside, delta), ring(30.0, outside, 0.0)], 0.0)
                .unwrap();
        let snapshots = run(&job);
        let last = snapshots.last().unwrap();
        let [mean, spread] = mean_and_spread(&pressures(last, 0));
        let expected = theory.pressure_outside(0);
        let bore = moved(last, &last.mesh.holes[0].edge) / theory.displacement(0, 7.0).unwrap();
        println!(
            "pressure {mean:.4} for {expected:.4} ({:.1e}), spread {spread:.1e}, bore {:.1e}; {:?}",
            mean / expected - 1.0,
            bore - 1.0,
            last.history.iter().map(|r| r.iterations).collect::<Vec<_>>()
        );
        // The bush is larger by the interference, a ten-thousandth of its radius, and the closed form knows
        // one radius; the rest is the mesh.
        assert_relative_eq!(mean, expected, max_relative = 5e-4);
        assert!(spread < 1e-3 * mean, "{spread}");
        assert_relative_eq!(bore, 1.0, epsilon = 5e-4);
        assert!(last.state.energy.imbalance() < 1e-6, "{:?}", last.state.energy);
        let (result, summary) = results(&snapshots, "1-bush-A", &job);
        let path = path(&result, "A", 0.0);
        for (ring, radius, side) in
            [(0, 7.0_f64, 0.0), (0, 10.0, -1e-4), (1, 10.0, delta + 1e-4), (1, 30.0, delta)]
        {
            let at = (radius - 7.0 + side).min(path.points.last().unwrap().distance);
            let [_, hoop] = theory.stress(ring, radius).unwrap();
            let found = path.hoop().at(at).unwrap();
            println!("hoop of ring {ring} at {radius}: {found:.4} for {hoop:.4}");
            // The plate's first layer is a line through its points; of the largest hoop stress.
            assert!((found - hoop).abs() < 2e-3 * theory.stress(0, 7.0).unwrap()[1].abs());
        }
        let bush = &summary.bushes[0];
        let [edge, fit] = [theory.stress(0, 7.0).unwrap()[1], theory.stress(1, 10.0).unwrap()[1]];
        assert_relative_eq!(bush.bore_hoop[0], edge, max_relative = 1e-3);
        assert_relative_eq!(bush.bore_hoop[1], edge, max_relative = 1e-3);
        assert_relative_eq!(bush.hole_hoop[1], fit, max_relative = 2e-3);
    }
}

/// A bush in a bush in a ring. Source as above.
#[test]
fn a_bush_in_a_bush_has_the_pressures_of_three_rings() {
    let stages = vec![
        put_in(bush(10.0, 14.005, metal(STEEL))),
        // The bore of the first has closed by then; drawn at 10, the second interferes by more.
        put_in(bush(7.0, 10.004, metal(ALUMINIUM))),
    ];
    let first = [ring(14.0, STEEL, 0.005), ring(40.0, ALUMINIUM, 0.0)];
    let three =
        [ring(10.0, ALUMINIUM, 0.004), ring(14.0, STEEL, 0.005), ring(40.0, ALUMINIUM, 0.0)];
    let snapshots = run(&job(disc(14.0, 40.0), metal(ALUMINIUM), stages));
    let first = NestedRings::new(10.0, &first, 0.0).unwrap();
    let three = NestedRings::new(7.0, &three, 0.0).unwrap();
    for (snapshot, number, expected) in [
        (&snapshots[0], 0, first.pressure_outside(0)),
        (&snapshots[1], 1, three.pressure_outside(0)),
        (&snapshots[1], 0, three.pressure_outside(1)),
    ] {
        let [mean, spread] = mean_and_spread(&pressures(snapshot, number));
        println!(
            "{mean:.4} for {expected:.4} ({:.1e}), spread {spread:.1e}",
            mean / expected - 1.0
        );
        assert_relative_eq!(mean, expected, max_relative = 1e-3);
        assert!(spread < 1e-3 * mean);
    }
}

/// The pressure after a ream of the bore is that of a thinner bush. Source: Lamé; elastic, so the order of
/// work does not matter.
#[test]
fn a_ream_of_the_bore_leaves_the_pressure_of_a_thinner_bush() {
    let stages = vec![
        put_in(bush(7.0, 10.001, metal(STEEL))),
        Stage::Ream { hole: 0, diameter: 16.0, offset: [0.0; 2] },
    ];
    let snapshots = run(&job(disc(10.0, 30.0), metal(ALUMINIUM), stages));
    let rings = [ring(10.0, STEEL, 0.001), ring(30.0, ALUMINIUM, 0.0)];
    let theory = NestedRings::new(8.0, &rings, 0.0).unwrap();
    let last = snapshots.last().unwrap();
    let [mean, spread] = mean_and_spread(&pressures(last, 0));
    println!("{mean:.4} for {:.4}, spread {spread:.1e}", theory.pressure_outside(0));
    assert_relative_eq!(mean, theory.pressure_outside(0), max_relative = 1e-3);
    assert!(spread < 1e-3 * mean);
}

/// Rings of one metal and of two in the other idealisations. In plane strain the constants are
/// `E/(1−ν²)` and `ν/(1−ν)` (any text on elasticity). Free of axial force as a whole, each ring has the
/// strain `−ν(σr+σθ)/E + σz/E = e`, one for both, and `Σ σz A = 0` (derived).
#[test]
fn the_other_idealisations_have_the_pressure_of_their_rings() {
    let (a, b, c, delta) = (7.0_f64, 10.0_f64, 30.0_f64, 0.001);
    for (inside, outside) in [(STEEL, ALUMINIUM), (ALUMINIUM, ALUMINIUM)] {
        let made = |idealisation| {
            let stages = vec![put_in(bush(a, b + delta, metal(inside)))];
            let job = Job { idealisation, ..job(disc(b, c), metal(outside), stages) };
            mean_and_spread(&pressures(run(&job).last().unwrap(), 0))[0]
        };
        let turned = |of: Elasticity| Elasticity {
            youngs_modulus: of.youngs_modulus / (1.0 - of.poissons_ratio.powi(2)),
            poissons_ratio: of.poissons_ratio / (1.0 - of.poissons_ratio),
        };
        let rings: [NestedRing; 2] =
            [ring(b, turned(inside), delta), ring(c, turned(outside), 0.0)];
        let strain = NestedRings::new(a, &rings, 0.0).unwrap().pressure_outside(0);
        assert_relative_eq!(made(Idealisation::PlaneStrain), strain, max_relative = 5e-4);
        // A unit of pressure and of axial strain: displacements at b, and axial forces over π.
        let (alone, wide) = (b * b - a * a, c * c - b * b);
        let of_bush = (inside.youngs_modulus, inside.poissons_ratio);
        let of_plate = (outside.youngs_modulus, outside.poissons_ratio);
        // Source: Lamé: σr + σθ is −2 p b²/(b² − a²) in the bush and 2 p b²/(c² − b²) in the plate.
        let sums = [-2.0 * b * b / alone, 2.0 * b * b / wide];
        // At b hoop stress, radial stress −1.
        let hoops = [sums[0] + 1.0, sums[1] + 1.0];
        let by_pressure =
            |(e, nu): (f64, f64), hoop: f64| b * ((1.0 - nu * nu) * hoop + nu * (1.0 + nu)) / e;
        let open = by_pressure(of_plate, hoops[1]) - by_pressure(of_bush, hoops[0]);
        let by_strain = -b * (of_plate.1 - of_bush.1);
        let force = of_bush.1 * sums[0] * alone + of_plate.1 * sums[1] * wide;
        let stretch = of_bush.0 * alone + of_plate.0 * wide;
        // open p + by_strain e = δ, force p + stretch e = 0
        let free = delta / (open - by_strain * force / stretch);
        let found = made(Idealisation::GeneralisedPlaneStrain);
        println!("plane strain {strain:.4}; free of axial force {found:.4} for {free:.4}");
        assert_relative_eq!(found, free, max_relative = 5e-4);
    }
}

/// Invented round numbers near those of a steel and an aluminium alloy, by kelvin.
const EXPANSIONS: [f64; 2] = [23e-6, 12e-6];

fn shrunk(bush_temperature: f64, part: f64, own: Bush) -> Bush {
    let expansions = EXPANSIONS.to_vec();
    Bush { assembly: Assembly::Shrunk { bush: bush_temperature, part, expansions }, ..own }
}

/// A bush put in cold into a hot part has the pressure of the interference once both are back, and that of
/// the thermal strains on top at another temperature. Source: Lamé with thermal strains
/// (`theory::nested_rings`).
#[test]
fn a_shrunk_bush_has_the_pressure_of_its_interference_and_of_the_temperature() {
    let delta = 0.01;
    let own = bush(7.0, 10.0 + delta, metal(STEEL));
    let cold = Stage::temperature(-60.0, EXPANSIONS.to_vec());
    let job = job(
        disc(10.0, 30.0),
        metal(ALUMINIUM),
        vec![put_in(shrunk(-70.0, 40.0, own.clone())), cold],
    );
    let snapshots = run(&job);
    let pressed = run(&Job { stages: vec![put_in(own)], ..job.clone() });
    let rings = |difference: f64| {
        let free = EXPANSIONS.map(|expansion| expansion * difference);
        let inside = NestedRing { free_strain: free[1], ..ring(10.0, STEEL, delta) };
        let outside = NestedRing { free_strain: free[0], ..ring(30.0, ALUMINIUM, 0.0) };
        NestedRings::new(7.0, &[inside, outside], 0.0).unwrap().pressure_outside(0)
    };
    let mean = |snapshot: &Snapshot| mean_and_spread(&pressures(snapshot, 0))[0];
    let by_hand = [mean(&snapshots[0]), mean(&snapshots[1]), mean(&pressed[0])];
    println!("{by_hand:.4?} for {:.4} and {:.4}", rings(0.0), rings(-60.0));
    assert_relative_eq!(by_hand[0], by_hand[2], max_relative = 1e-6);
    assert_relative_eq!(by_hand[0], rings(0.0), max_relative = 1e-3);
    assert_relative_eq!(by_hand[1], rings(-60.0), max_relative = 1e-3);
}

#[test]
fn a_bush_that_is_too_warm_is_refused_with_what_is_missing() {
    let own = shrunk(-10.0, 0.0, bush(7.0, 10.01, metal(STEEL)));
    let job = job(disc(10.0, 30.0), metal(ALUMINIUM), vec![put_in(own)]);
    let mut keep = crate::common::plates::Keep::default();
    let failure = Sequence::new(job).unwrap().run(&mut keep).unwrap_err();
    let missing = 0.02 - 10.0 * 12e-6 * 20.02;
    assert_eq!(
        failure.error.to_string(),
        format!(
            "the bush does not go into hole `A`: at the temperatures of assembly its diameter is still {missing:.4} mm too large"
        )
    );
    assert!(failure.error.hint().is_some());
}

fn rim_pull(stress: f64) -> Load {
    Load { tractions: vec![("rim".into(), stress)], ..Load::default() }
}

/// A run that goes on from a snapshot gives the bytes of one that was never stopped.
#[test]
fn a_bush_goes_on_from_a_snapshot() {
    let stages = vec![
        put_in(bush(7.0, 10.01, metal(STEEL))),
        Stage::Ream { hole: 0, diameter: 15.0, offset: [0.0; 2] },
        Stage::Load { load: rim_pull(20.0), cycles: 1 },
    ];
    let numerics = Numerics { increments: 4, strains: Strains::Finite, ..Numerics::default() };
    let job = Job { numerics, ..job(disc(10.0, 30.0), metal(ALUMINIUM), stages) };
    let whole = run(&job);
    for from in &whole[..2] {
        let rest = run_sequence(&mut Sequence::resume(job.clone(), from.clone()).unwrap());
        assert!(rest.last().unwrap().state == whole.last().unwrap().state, "{}", from.label);
    }
}
