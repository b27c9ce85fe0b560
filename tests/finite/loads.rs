//! Loads are stresses on the drawn area, whatever the part has become.

use approx::assert_relative_eq;
use hoopset::geometry::outline::Loops;
use hoopset::geometry::plate::{Outline, Plate};
use hoopset::material::hardening::Isotropic;
use hoopset::material::idealisation::Idealisation;
use hoopset::material::strains::Strains;
use hoopset::numeric::root::bracketed_newton;
use hoopset::process::job::{Job, Numerics};
use hoopset::process::stage::Stage;

use super::laws::{NU, YOUNG, metal};
use crate::common::plates::{pull, run};

/// A plate pulled far into yielding, with no hole: a bar. With `λ = e^ε` along it the stress by the
/// drawn volume is `τ = λ P`, `ε = τ/E + p`, `τ = 350 + 1000 p`; the stress in the bar as it stands
/// is `τ/J`, `J = e^((1 − 2ν) τ/E)`. Derived; one dimension, no element.
#[test]
fn a_tension_acts_on_the_drawn_area() {
    let nominal = 370.0;
    let excess = |tau: f64| {
        let strain = tau / YOUNG + (tau - 350.0) / 1000.0;
        let slope = 1.0 / YOUNG + 1.0 / 1000.0;
        (tau - nominal * strain.exp(), 1.0 - nominal * strain.exp() * slope)
    };
    let tau = bracketed_newton(350.0, 500.0, 1e-10, excess).unwrap();
    let stress = tau * (-(1.0 - 2.0 * NU) * tau / YOUNG).exp();
    let job = Job {
        plate: Plate {
            outline: Outline::Loops(Loops::rectangle(40.0, 20.0)),
            thickness: 2.0,
            holes: vec![],
        },
        idealisation: Idealisation::PlaneStress,
        material: metal(Isotropic::Linear { slope: 1000.0 }, vec![]),
        stages: vec![Stage::Load { load: pull(["left", "right"], nominal), cycles: 1 }],
        numerics: Numerics { fineness: 0.5, strains: Strains::Finite, ..Numerics::default() },
        supports: vec![],
        regions: vec![],
    };
    let full = &run(&job)[0];
    for point in &full.state.stress {
        // The tolerance of equilibrium, 1e-8, times Young's modulus over the slope.
        assert_relative_eq!(point[0], stress, max_relative = 7e-7);
        assert!(point[1].abs().max(point[3].abs()) < 1e-6 * stress);
    }
    println!("{nominal} MPa on the drawn area: {stress:.3} MPa in the bar as it stands");
}
