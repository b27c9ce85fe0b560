//! Holes with a rigid tool in them: a thick ring against Hill's integral, a large sheet against an
//! independent radial code, and the way back to small strains.

use approx::assert_relative_eq;
use hoopset::material::backstress::Backstress;
use hoopset::material::elasticity::Elasticity;
use hoopset::material::hardening::{Isotropic, Material};
use hoopset::material::idealisation::Idealisation;
use hoopset::material::strains::Strains;
use hoopset::numeric::quadrature::integrate;
use hoopset::process::job::{Job, Numerics};
use hoopset::theory::thinning_sheet::ThinningSheet;

use super::laws::metal;
use crate::common::expansion::{drive, expand, ready, rigid};
use crate::common::metals::perfect;
use crate::common::plates::{disc, results, run};

fn job(
    (inner, outer): (f64, f64),
    material: Material,
    idealisation: Idealisation,
    opening: f64,
    (fineness, strains): (f64, Strains),
) -> Job {
    Job {
        plate: disc(inner, outer),
        idealisation,
        material,
        stages: vec![expand(rigid(2.0 * inner * (1.0 + opening)))],
        numerics: Numerics { fineness, strains, ..Numerics::default() },
        supports: vec![],
        regions: vec![],
    }
}

/// A thick ring under a growing tool in plane strain, rigid and plastic with linear hardening:
///
/// ```text
/// p = ∫ₐᵇ (2/√3) σ(ε̄) dr/r,   ε̄ = (2/√3) ln(r/√(r² − a² + a₀²)),   b² = b₀² + a² − a₀²
/// ```
///
/// Source: R. Hill, The Mathematical Theory of Plasticity (1950), ch. V (from memory; derived
/// again). `b₀/a₀ = 3`, yield stress 350 and 350 + 1000 ε̄ MPa.
#[test]
fn an_expanded_ring_needs_hills_pressure_to_twenty_percent() {
    // The first four of a table computed apart from this program, MPa.
    let printed = [(0.02, 448.4811), (0.04, 452.6089), (0.06, 456.4037), (0.2, 475.1537)];
    for slope in [0.0, 1000.0] {
        let law = move |p: f64| 350.0 + slope * p;
        let hill = |opening: f64| {
            let (a0, a) = (3.0, 3.0 * (1.0 + opening));
            let b = (81.0_f64 + a * a - a0 * a0).sqrt();
            integrate(a.ln(), b.ln(), 64, |log| {
                let r = log.exp();
                let root = 3.0_f64.sqrt();
                2.0 / root * law(2.0 / root * (r / (r * r - a * a + a0 * a0).sqrt()).ln())
            })
        };
        if slope > 0.0 {
            for (opening, pressure) in printed {
                assert!((hill(opening) - pressure).abs() < 1e-3, "{opening}: {}", hill(opening));
            }
        }
        // Elastic strains a hundred times smaller than those of a metal: as good as rigid.
        let rigid_metal =
            Material { isotropic: Isotropic::Linear { slope }, ..perfect(7.2e6, 0.33, 350.0) };
        let job =
            job((3.0, 9.0), rigid_metal, Idealisation::PlaneStrain, 0.2, (0.5, Strains::Finite));
        let (mut system, mut state, start) = ready(&job);
        let mut worst: f64 = 0.0;
        drive(&mut system, &mut state, [start, 3.6], 20, false, |system, state, _| {
            let (side, tool) = (&system.tools[0], &state.tools[0]);
            let opening = tool.radius / 3.0 - 1.0;
            if opening < 0.015 {
                return;
            }
            // Force over the edge as it stands.
            let found = side.mean_pressure(tool);
            let off = found / hill(opening) - 1.0;
            worst = worst.max(off.abs());
            println!("slope {slope} opening {opening:.3}: {found:.3} MPa, {:+.4} %", 100.0 * off);
        });
        assert!(worst < 0.002, "{worst}");
    }
}

/// Pressure and thickness of the rim of a large sheet with the tool in it: the metal that is pushed outward grows
/// thicker. The reference is the ordinary differential equation of `theory::thinning_sheet` (derived).
fn an_expanded_sheet_thickens_and_presses_as_its_equation_says(opening: f64, slope: f64) {
    let elasticity = Elasticity { youngs_modulus: 72_000.0, poissons_ratio: 0.33 };
    let sheet = ThinningSheet { inner: 3.0, outer: 90.0, elasticity, yield_stress: 350.0, slope };
    let expected = sheet.at_opening(opening).unwrap();
    let metal =
        Material { isotropic: Isotropic::Linear { slope }, ..perfect(72_000.0, 0.33, 350.0) };
    let mut job =
        job((3.0, 90.0), metal, Idealisation::PlaneStress, opening, (0.5, Strains::Finite));
    // With the default of 8 the thickness is up to 0.6 % off: the straight strain of an increment.
    job.numerics.increments = 64;
    let snapshots = run(&job);
    let (_, full) = results(&snapshots, "1-expand-A-full", &job);
    let (pressure, thickness) =
        (full.holes[0].mean_pressure, full.holes[0].edge_thickness_change.unwrap());
    println!(
        "{opening} {slope}: pressure {pressure:.3} of {:.3} MPa, thickness {:.4} of {:.4} %",
        expected.pressure,
        100.0 * thickness,
        100.0 * expected.thickness_change
    );
    assert_relative_eq!(pressure, expected.pressure, max_relative = 2e-3);
    assert_relative_eq!(thickness, expected.thickness_change, max_relative = 2e-3);
}

// Each by itself, side by side.

#[test]
fn a_sheet_expanded_by_two_percent_thickens_as_its_equation_says() {
    an_expanded_sheet_thickens_and_presses_as_its_equation_says(0.02, 1000.0);
}

#[test]
fn a_sheet_expanded_by_four_percent_thickens_as_its_equation_says() {
    an_expanded_sheet_thickens_and_presses_as_its_equation_says(0.04, 1000.0);
}

#[test]
fn a_sheet_that_does_not_harden_thickens_as_its_equation_says() {
    an_expanded_sheet_thickens_and_presses_as_its_equation_says(0.04, 0.0);
}

#[test]
fn a_sheet_expanded_by_eight_percent_thickens_as_its_equation_says() {
    an_expanded_sheet_thickens_and_presses_as_its_equation_says(0.08, 1000.0);
}

/// A row of an independent radial code with logarithmic strain (500 graded elements, computed apart
/// from this program): E = 72000, ν = 0.33, yield stress 350, linear hardening of 1000 MPa, a sheet
/// of 30 hole radii, a rigid pin that leaves again.
struct Row {
    kinematic: f64,
    idealisation: Idealisation,
    opening: f64,
    strains: Strains,
    pressure: f64,
    retained: f64,
    edge: f64,
    zero: f64,
    tension: f64,
}

#[rustfmt::skip] // a table
const ROWS: [Row; 8] = {
    use Idealisation::{PlaneStrain, PlaneStress};
    use Strains::{Finite, Small};
    [
        Row { kinematic: 0.0, idealisation: PlaneStress, opening: 0.04, strains: Small, pressure: 505.3, retained: 3.022, edge: -465.4, zero: 1.962, tension: 99.7 },
        Row { kinematic: 0.0, idealisation: PlaneStress, opening: 0.04, strains: Finite, pressure: 481.3, retained: 2.998, edge: -451.3, zero: 2.020, tension: 100.7 },
        Row { kinematic: 1.0, idealisation: PlaneStress, opening: 0.04, strains: Finite, pressure: 479.9, retained: 2.936, edge: -305.4, zero: 2.036, tension: 93.5 },
        Row { kinematic: 0.5, idealisation: PlaneStress, opening: 0.04, strains: Finite, pressure: 480.6, retained: 2.971, edge: -381.9, zero: 2.027, tension: 97.6 },
        Row { kinematic: 0.0, idealisation: PlaneStress, opening: 0.06, strains: Finite, pressure: 512.7, retained: 4.908, edge: -495.9, zero: 2.224, tension: 113.6 },
        Row { kinematic: 0.0, idealisation: PlaneStrain, opening: 0.04, strains: Finite, pressure: 645.2, retained: 2.633, edge: -462.9, zero: 2.442, tension: 119.7 },
        Row { kinematic: 1.0, idealisation: PlaneStrain, opening: 0.04, strains: Finite, pressure: 645.1, retained: 2.545, edge: -363.8, zero: 2.465, tension: 115.6 },
        Row { kinematic: 0.0, idealisation: PlaneStrain, opening: 0.06, strains: Finite, pressure: 727.0, retained: 4.345, edge: -491.8, zero: 2.859, tension: 134.9 },
    ]
};

#[test]
fn a_large_sheet_is_that_of_an_independent_radial_code() {
    for row in ROWS {
        let Row { kinematic, idealisation, opening, strains, .. } = row;
        let isotropic = Isotropic::Linear { slope: 1000.0 * (1.0 - kinematic) };
        let backs = vec![Backstress { modulus: 1000.0 * kinematic, recall: 0.0 }];
        let material = metal(isotropic, if kinematic > 0.0 { backs } else { vec![] });
        let job = job((3.0, 90.0), material, idealisation, opening, (1.0, strains));
        let snapshots = run(&job);
        let (_, full) = results(&snapshots, "1-expand-A-full", &job);
        let (_, summary) = results(&snapshots, "1-expand-A", &job);
        let hole = &summary.holes[0];
        let path = &summary.paths[0];
        // The code gives radii: those of the drawing, and of the part as it stands.
        let edge = match strains {
            Strains::Small => 1.0,
            Strains::Finite => 1.0 + hole.retained_expansion.unwrap(),
        };
        let found = [
            full.holes[0].mean_pressure,
            100.0 * hole.retained_expansion.unwrap(),
            path.edge_hoop,
            edge + path.compression_depth.unwrap() / 3.0,
            path.peak_tension.unwrap()[0],
        ];
        let expected = [row.pressure, row.retained, row.edge, row.zero, row.tension];
        println!(
            "{idealisation:?} {kinematic} {opening} {strains:?}\n  {found:.3?}\n  {expected:.3?}"
        );
        // Mesh error of the code: 0.3 MPa at the edge, 0.02 % elsewhere; where the stress passes zero
        // it reads between elements. The highest tension is at the kink of the plastic front, which no
        // point of a path need hit: 2 % of
        // the yield stress.
        for (k, allowed) in [0.005 * row.pressure, 0.005 * row.retained, 3.0, 0.005 * row.zero, 7.0]
            .into_iter()
            .enumerate()
        {
            assert!((found[k] - expected[k]).abs() <= allowed, "{found:.3?} {expected:.3?}");
        }
    }
}

/// With the yield stress and the opening made smaller by the same factor, the small-strain answer
/// keeps its shape and grows smaller by that factor; the finite one comes closer to it with the
/// square of the strain. No source is needed: the difference is of second order in the gradient of
/// the displacement.
#[test]
fn finite_strain_goes_over_into_small_strain_with_the_square_of_the_strain() {
    for idealisation in [Idealisation::PlaneStress, Idealisation::PlaneStrain] {
        let apart: Vec<[f64; 3]> = [1.0, 0.5, 0.25]
            .iter()
            .map(|scale| {
                let isotropic = Isotropic::Linear { slope: 1000.0 };
                let metal = Material { isotropic, ..perfect(72_000.0, 0.33, 350.0 * scale) };
                let numbers = |strains: Strains| {
                    let mut job =
                        job((3.0, 15.0), metal.clone(), idealisation, 0.04 * scale, (0.5, strains));
                    // One and the same path of strain in both: a leap would depend on the measure.
                    job.numerics.strain_parts = Some(8);
                    job.numerics.increments = 32;
                    let snapshots = run(&job);
                    let (_, full) = results(&snapshots, "1-expand-A-full", &job);
                    let (_, after) = results(&snapshots, "1-expand-A", &job);
                    [
                        full.holes[0].mean_pressure,
                        after.paths[0].edge_hoop,
                        72_000.0 * after.holes[0].retained_expansion.unwrap(),
                    ]
                };
                let (finite, small) = (numbers(Strains::Finite), numbers(Strains::Small));
                [0, 1, 2].map(|k| (finite[k] - small[k]).abs())
            })
            .collect();
        // In plane strain the edge yields in reverse at the same stress: the two are 3e-3 MPa apart.
        let numbers: &[(usize, &str)] = match idealisation {
            Idealisation::PlaneStrain => &[(0, "pressure"), (2, "retained expansion")],
            _ => &[(0, "pressure"), (1, "edge hoop"), (2, "retained expansion")],
        };
        for &(k, name) in numbers {
            let order = (apart[1][k] / apart[2][k]).log2();
            println!("{idealisation:?} {name}: apart {:.3e}, order {order:.3}", apart[2][k]);
            assert!((order - 2.0).abs() < 0.1, "{idealisation:?} {name}: {apart:?}, order {order}");
        }
    }
}
