//! Friction between bush and hole: stick, slip, push-out, energy, order of sums.

use approx::assert_relative_eq;
use hoopset::geometry::hole::Hole;
use hoopset::geometry::plate::{Outline, Plate};
use hoopset::process::snapshot::Snapshot;
use hoopset::process::stage::Stage;
use hoopset::solver::contact::ContactStatus;
use hoopset::solver::friction::Friction;
use hoopset::theory::nested_rings::NestedRings;
use hoopset::theory::plate_hole::PlateHole;

use crate::common::plates::{disc, path, pull, results, run};
use crate::parts::{ALUMINIUM, STEEL, bush, job, metal, pressures, put_in, ring};

const INNER: f64 = 4.0;
const OUTER: f64 = 6.0;
const INTERFERENCE: f64 = 0.012;

/// A large sheet with a bush of its own metal, pulled along x.
fn pulled(friction: Friction, stress: f64) -> hoopset::process::job::Job {
    let plate = Plate {
        outline: Outline::Rectangle { width: 400.0, height: 400.0 },
        thickness: 1.0,
        holes: vec![Hole::round("A", [200.0; 2], 2.0 * OUTER)],
    };
    let own = hoopset::process::bush::Bush {
        friction,
        ..bush(INNER, OUTER + INTERFERENCE, metal(ALUMINIUM))
    };
    let load = Stage::Load { load: pull(["left", "right"], stress), cycles: 1 };
    job(plate, metal(ALUMINIUM), vec![put_in(own), load])
}

/// Pressure of the fit without any load. Source: Lamé.
fn fit_pressure() -> f64 {
    let rings = [ring(OUTER, ALUMINIUM, INTERFERENCE), ring(f64::INFINITY, ALUMINIUM, 0.0)];
    NestedRings::new(INNER, &rings, 0.0).unwrap().pressure_outside(0)
}

/// Pull at which a bush that sticks everywhere would first slip, for friction `mu`: the sheet is then one
/// piece with a hole of the bore, and the traction where the bush ends is that of Kirsch's solution on
/// top of the fit. Source: G. Kirsch (1898), `theory::plate_hole`.
fn first_slip(mu: f64) -> f64 {
    let unit = PlateHole::uniaxial(INNER, 1.0, 0.0).unwrap();
    let pressure = fit_pressure();
    // |τ| S = μ (p − σr S)
    let at = |k: u32| {
        let angle = f64::from(k) * std::f64::consts::FRAC_PI_2 / 900.0;
        let stress = unit.polar([OUTER * angle.cos(), OUTER * angle.sin()]).unwrap();
        let resists = stress.shear.abs() + mu * stress.radial;
        if resists > 0.0 { mu * pressure / resists } else { f64::INFINITY }
    };
    (0..=900).map(at).fold(f64::INFINITY, f64::min)
}

fn count(snapshot: &Snapshot, of: fn(&ContactStatus) -> bool) -> usize {
    snapshot.state.mated[0].status.iter().filter(|status| of(status)).count()
}

#[test]
fn a_bush_slips_where_and_when_the_traction_of_one_piece_exceeds_friction() {
    let mu = 0.3;
    let limit = first_slip(mu);
    println!("fit {:.2} MPa, first slip at a pull of {limit:.2} MPa", fit_pressure());
    for (share, slips) in [(0.95, false), (1.06, true)] {
        let job = pulled(Friction::constant(mu), share * limit);
        let snapshots = run(&job);
        let full = snapshots.iter().find(|s| s.label == "2-load-full").unwrap();
        let slipping = count(full, |status| matches!(status, ContactStatus::Slip(_)));
        let open = count(full, |status| !status.touches());
        println!(
            "at {share}: {slipping} slip, {open} open of {}",
            full.state.mated[0].status.len()
        );
        assert_eq!(open, 0);
        assert_eq!(slipping > 0, slips);
    }
}

/// With friction enough and no gap the bush is one piece with the sheet under what comes on top.
#[test]
fn a_bush_that_sticks_answers_a_load_as_one_piece() {
    let stress = 0.8 * first_slip(0.9);
    let job = pulled(Friction::constant(0.9), stress);
    let snapshots = run(&job);
    let [(before, _), (full, _)] =
        ["1-bush-A", "2-load-full"].map(|label| results(&snapshots, label, &job));
    let theory = PlateHole::uniaxial(INNER, stress, 0.0).unwrap();
    for angle in [0.0_f64, 90.0] {
        let hoop = |result| path(result, "A", angle).points[0].stress.hoop;
        let at = angle.to_radians();
        let expected = theory.polar([INNER * at.cos(), INNER * at.sin()]).unwrap().hoop;
        let found = hoop(&full) - hoop(&before);
        println!("{angle}: {found:.3} for {expected:.3}");
        // The sheet is 100 radii wide; the recovered stress is a line to the edge.
        assert!((found - expected).abs() < 0.01 * 3.0 * stress, "{found} {expected}");
    }
}

/// Friction bears no more than its share of the pressure, against the slip, and takes energy.
#[test]
fn slipping_pairs_carry_friction_and_smooth_ones_carry_none() {
    let stress = 2.0 * first_slip(0.2);
    for (mu, name) in [(0.0, "smooth"), (0.2, "rough")] {
        let snapshots = run(&pulled(Friction::constant(mu), stress));
        let full = snapshots.iter().find(|s| s.label == "2-load-full").unwrap();
        let (mated, pressures) = (&full.state.mated[0], pressures(full, 0));
        let tangential: Vec<f64> = (mated.force.iter().zip(&mated.normals))
            .map(|([x, y], [nx, ny])| nx * y - ny * x)
            .collect();
        let pushes: Vec<f64> = mated.pushes().collect();
        let mut slipping = 0;
        for ((push, along), status) in pushes.iter().zip(&tangential).zip(&mated.status) {
            assert!(along.abs() <= mu * push * (1.0 + 1e-5) + 1e-9, "{along} {push}");
            if let ContactStatus::Slip(drag) = status {
                slipping += 1;
                assert_relative_eq!(
                    *along,
                    drag.sign() * mu * push,
                    max_relative = 1e-4,
                    epsilon = 1e-9
                );
            }
        }
        let least = pressures.iter().copied().fold(f64::INFINITY, f64::min);
        println!("{name}: {slipping} of {} slip, least pressure {least:.2}", pushes.len());
        assert!(slipping > 0);
        let last = snapshots.last().unwrap();
        assert!(last.state.energy.imbalance() < 1e-4, "{name} {:?}", last.state.energy);
    }
}

/// `F = μ p A` with the pressure of Lamé's rings (common practice, no source).
#[test]
fn the_push_out_force_is_friction_times_pressure_times_area() {
    let (mu, thickness) = (0.15, 5.0);
    let mut plate = disc(10.0, 30.0);
    plate.thickness = thickness;
    let own = hoopset::process::bush::Bush {
        friction: Friction::constant(mu),
        ..bush(7.0, 10.01, metal(STEEL))
    };
    let job = job(plate, metal(ALUMINIUM), vec![put_in(own)]);
    let snapshots = run(&job);
    let (_, summary) = results(&snapshots, "1-bush-A", &job);
    let rings = [ring(10.0, STEEL, 0.01), ring(30.0, ALUMINIUM, 0.0)];
    let pressure = NestedRings::new(7.0, &rings, 0.0).unwrap().pressure_outside(0);
    let expected = mu * pressure * std::f64::consts::TAU * 10.0 * thickness;
    let bush = &summary.bushes[0];
    println!("{:.2} N for {expected:.2} N", bush.push_out_force);
    assert_relative_eq!(bush.push_out_force, expected, max_relative = 2e-3);
    assert_relative_eq!(bush.touching, 1.0);
    assert_relative_eq!(bush.mean_pressure, pressure, max_relative = 1e-3);
}

#[test]
fn any_number_of_threads_gives_the_same_bytes() {
    let states: Vec<Snapshot> = [1, 2, 3]
        .iter()
        .map(|&threads| {
            let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
            pool.install(|| run(&pulled(Friction::constant(0.2), 60.0)).pop().unwrap())
        })
        .collect();
    assert!(states.windows(2).all(|pair| pair[0].state == pair[1].state));
}
