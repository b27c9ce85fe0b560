//! Bushes in studies: the numbers of a case are those of its run, and interference does what Lamé says.

use std::sync::Arc;

use approx::assert_relative_eq;
use hoopset::case::study::parse;
use hoopset::study::sweep::solve::{Solver, Task};
use hoopset::study::sweep::{Points, numbers};

/// An elastic bush in a round plate of its own metal, small strains.
const BASE: &str = r#"title = "Bushed disc"
units = "mm-MPa"
[plate]
outer_diameter = 60.0
thickness = 3.0
[material]
youngs_modulus = 200000
poissons_ratio = 0.3
yield_stress = 2000
[[hole]]
name = "A"
starting_diameter = 20.0
[[stage]]
bush = "A"
inner_diameter = 14.0
outer_diameter = 20.004
friction = 0.2
[numerics]
strains = "small"
hardening_bracket = false
"#;

/// `p = E δ (b² − a²)(c² − b²) / (2 b³ (c² − a²))` with the interference on the radius. Source:
/// S. Timoshenko, Strength of Materials II (from memory).
#[test]
fn pressure_and_push_out_force_of_a_study_follow_the_interference() {
    let text = "case = \"disc.toml\"\n\
                [[axis]]\nname = \"outer\"\nkey = \"stage.1.outer_diameter\"\nvalues = [20.002, 20.004]\n\
                [[number]]\nname = \"fit\"\nmeasure = \"fit_pressure\"\n\
                [[number]]\nname = \"force\"\nmeasure = \"push_out_force\"\n";
    let study =
        parse(text, "study.toml", |_| Ok((BASE.to_owned(), "disc.toml".to_owned()))).unwrap();
    let (points, numbers) = (Points::new(&study), numbers(&study));
    let task = Task::new(study, points, numbers, Arc::default());
    let mut solver = Solver::new(&task);
    for (number, delta) in [0.001, 0.002].into_iter().enumerate() {
        let outcome = solver.solve(number, false).unwrap();
        let (a, b, c): (f64, f64, f64) = (7.0, 10.0, 30.0);
        let pressure = 200_000.0 * delta * (b * b - a * a) * (c * c - b * b)
            / (2.0 * b.powi(3) * (c * c - a * a));
        let [fit, force] = [0, 1].map(|k| outcome.numbers[k].unwrap());
        println!("{fit:.4} MPa for {pressure:.4}, {force:.2} N");
        assert_relative_eq!(fit, pressure, max_relative = 1e-3);
        let area = std::f64::consts::TAU * b * 3.0;
        assert_relative_eq!(force, 0.2 * pressure * area, max_relative = 2e-3);
    }
}
