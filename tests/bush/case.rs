//! Bushes of case files, through the whole program.

use hoopset::case;
use hoopset::result::path::StressPath;

use crate::common::plates::{results, run};

const HEAD: &str = r#"
title = "Bushed lug"
units = "mm-MPa"

[plate]
width = 50.0
height = 40.0
thickness = 5.0
alloy = "2024-T351 plate"

[material]
thermal_expansion = 23e-6

[[hole]]
name = "A"
at = [14.0, 20.0]
starting_diameter = 7.5

[numerics]
fineness = 0.5
hardening_bracket = false
"#;

const STEEL: &str = "material = { youngs_modulus = 200000, poissons_ratio = 0.3, yield_stress = 700, thermal_expansion = 12e-6 }\n";

fn rising(path: &StressPath) -> bool {
    path.points.windows(2).all(|pair| pair[1].distance > pair[0].distance)
}

/// A hole that was expanded and reamed takes a bush, whose bore is reamed: every state sits, paths go through
/// bush and plate, and the balance of energies and of sections holds.
#[test]
fn a_hole_that_was_worked_takes_a_bush() {
    let stages = format!(
        "[[stage]]\nexpand = \"A\"\napplied_expansion = 0.04\n[[stage]]\nream = \"A\"\ndiameter = 8\n\
         [[stage]]\nbush = \"A\"\ninner_diameter = 6\nouter_diameter = 8.03\nfriction = 0.15\n{STEEL}\
         [[stage]]\ntemperature = -50\n[[stage]]\ntemperature = 0\n\
         [[stage]]\nream = \"A\"\ndiameter = 6.3\n\
         [[stage]]\nload = {{ tension = 60, along = \"y\" }}\n"
    );
    let case = case::parse(&format!("{HEAD}{stages}"), "lug.toml").unwrap();
    let snapshots = run(&case.job);
    for label in ["3-bush-A", "4-temperature", "5-temperature", "6-ream-A", "7-load-full", "7-load"]
    {
        let (result, summary) = results(&snapshots, label, &case.job);
        let bush = &summary.bushes[0];
        println!(
            "{label}: p {:.2} ({:.2} to {:.2}), touching {:.2}, sticking {:.2}, push-out {:.0} N, bore {:.0?}, hole {:.0?}, energy {:.1e}",
            bush.mean_pressure,
            bush.lowest_pressure,
            bush.highest_pressure,
            bush.touching,
            bush.sticking,
            bush.push_out_force,
            bush.bore_hoop,
            bush.hole_hoop,
            summary.energy_imbalance
        );
        assert!(result.paths.iter().all(rising), "{label}");
        assert!(bush.mean_pressure > 10.0 && bush.touching > 0.99, "{label}");
        assert!(summary.energy_imbalance < 2e-3, "{label} {}", summary.energy_imbalance);
        for section in &summary.sections {
            assert!(section.net_over_compressive.abs() < 0.02, "{label} {section:?}");
        }
    }
    let of = |label: &str| results(&snapshots, label, &case.job).1.bushes.swap_remove(0);
    // Aluminium shrinks more than steel: cold presses harder.
    assert!(of("4-temperature").mean_pressure > of("3-bush-A").mean_pressure + 5.0);
    // A thinner bush gives way.
    assert!(of("6-ream-A").mean_pressure < of("5-temperature").mean_pressure);
    let margin = results(&snapshots, "6-ream-A", &case.job).1.holes[0].edge_margin;
    assert!((margin - 14.0 / 8.03).abs() < 0.01, "{margin}");
}

/// A loose bush lies where it is, is expanded by an elastic mandrel with a slit sleeve, and stays.
#[test]
fn a_loose_bush_is_expanded_into_its_hole() {
    let stages = format!(
        "[[stage]]\nbush = \"A\"\ninner_diameter = 6\nouter_diameter = 7.48\nfriction = 0.15\n{STEEL}\
         [[stage]]\nexpand = \"A\"\nmandrel_diameter = 5.86\nsleeve_thickness = 0.2\nsplit_angle = 0\nsplit_gap = 6\n"
    );
    let case = case::parse(&format!("{HEAD}{stages}"), "lug.toml").unwrap();
    let snapshots = run(&case.job);
    let of = |label: &str| results(&snapshots, label, &case.job).1;
    let loose = &of("1-bush-A").bushes[0];
    assert_eq!((loose.mean_pressure, loose.touching), (0.0, 0.0));
    assert!((loose.widest_gap - 0.01).abs() < 1e-9, "{}", loose.widest_gap);
    let warned = |summary: hoopset::result::summary::StageSummary| {
        hoopset::result::warnings::warnings(&case.job, &[summary], 0.0, &[])
    };
    assert_eq!(
        warned(of("1-bush-A")),
        ["the bush in hole A touches nothing in the end: it lies loose"]
    );
    assert!(!warned(of("2-expand-A")).iter().any(|warning| warning.contains("bush")));
    let held = &of("2-expand-A").bushes[0];
    println!(
        "held by {:.1} MPa ({:.1} to {:.1}), touching {:.2}, push-out {:.0} N",
        held.mean_pressure,
        held.lowest_pressure,
        held.highest_pressure,
        held.touching,
        held.push_out_force
    );
    assert!(held.mean_pressure > 20.0 && held.touching > 0.9);
    let summary = of("2-expand-A");
    assert!(summary.energy_imbalance < 2e-3, "{}", summary.energy_imbalance);
}

/// A pin in a bush pushes on the plate through the fit: the forces of all pairs balance that of the pin, by
/// Newton's third law, while the bush parts from the hole behind the pin.
#[test]
fn the_force_of_a_pin_goes_through_the_fit() {
    let force = 9000.0;
    let stages = format!(
        "[[support]]\nedge = \"right\"\nhold = \"both\"\n\
         [[stage]]\nbush = \"A\"\ninner_diameter = 6\nouter_diameter = 7.505\nfriction = 0.1\n{STEEL}\
         [[stage]]\nfasten = \"A\"\n\
         [[stage]]\nload = {{ bearing = [{{ hole = \"A\", force = [-{force}, 0] }}] }}\n"
    );
    let case = case::parse(&format!("{HEAD}{stages}"), "lug.toml").unwrap();
    let snapshots = run(&case.job);
    let full = snapshots.iter().find(|snapshot| snapshot.label == "3-load-full").unwrap();
    let copies = full.mesh.symmetry.copies() as f64;
    let along: f64 = full.state.mated[0].force.iter().map(|force| copies * force[0]).sum();
    let (_, summary) = results(&snapshots, "3-load-full", &case.job);
    let bush = &summary.bushes[0];
    println!(
        "{along:.3} N against {force} N; touching {:.2}, widest gap {:.4} mm, pressure {:.0} to {:.0}",
        bush.touching, bush.widest_gap, bush.lowest_pressure, bush.highest_pressure
    );
    // The residual is 1e-8 of all forces.
    assert!((along - force).abs() < 1e-3 * force, "{along}");
    assert!(bush.touching < 0.95 && bush.widest_gap > 0.0 && bush.lowest_pressure == 0.0);
    assert!(summary.energy_imbalance < 2e-3, "{}", summary.energy_imbalance);
}
