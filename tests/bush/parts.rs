//! Bushes and jobs of the checks, and what is read of them.

use hoopset::geometry::plate::Plate;
use hoopset::material::elasticity::Elasticity;
use hoopset::material::hardening::Material;
use hoopset::material::idealisation::Idealisation;
use hoopset::material::strains::Strains;
use hoopset::process::bush::{Assembly, Bush};
use hoopset::process::job::{Job, Numerics};
use hoopset::process::snapshot::Snapshot;
use hoopset::process::stage::Stage;
use hoopset::solver::friction::Friction;
use hoopset::theory::nested_rings::NestedRing;

use crate::common::metals::elastic;

pub(crate) const STEEL: Elasticity = Elasticity { youngs_modulus: 210_000.0, poissons_ratio: 0.3 };
pub(crate) const ALUMINIUM: Elasticity =
    Elasticity { youngs_modulus: 72_000.0, poissons_ratio: 0.33 };

pub(crate) fn metal(elasticity: Elasticity) -> Material {
    elastic(elasticity.youngs_modulus, elasticity.poissons_ratio)
}

/// A bush of radii `inner` and `outer`, mm, pressed into the first hole.
pub(crate) fn bush(inner: f64, outer: f64, material: Material) -> Bush {
    Bush {
        hole: 0,
        inner_diameter: 2.0 * inner,
        outer_diameter: 2.0 * outer,
        material,
        material_name: "own".into(),
        thermal_expansion: None,
        friction: Friction::None,
        assembly: Assembly::Pressed,
    }
}

pub(crate) fn put_in(bush: Bush) -> Stage {
    Stage::Bush(Box::new(bush))
}

/// A job of small strains in plane stress with these stages.
pub(crate) fn job(plate: Plate, material: Material, stages: Vec<Stage>) -> Job {
    Job {
        plate,
        idealisation: Idealisation::PlaneStress,
        material,
        stages,
        numerics: Numerics { increments: 8, strains: Strains::Small, ..Numerics::default() },
        supports: vec![],
        regions: vec![],
    }
}

pub(crate) fn ring(outer: f64, elasticity: Elasticity, interference: f64) -> NestedRing {
    NestedRing { outer, thickness: 1.0, elasticity, free_strain: 0.0, interference }
}

/// Pressure at every pair of the mating with this number, MPa.
pub(crate) fn pressures(snapshot: &Snapshot, number: usize) -> Vec<f64> {
    let (edges, mated) = (&snapshot.mated[number], &snapshot.state.mated[number]);
    mated.pushes().zip(mated.areas(edges)).map(|(push, area)| push / area).collect()
}

/// Mean of the pressures and the largest distance from it.
pub(crate) fn mean_and_spread(values: &[f64]) -> [f64; 2] {
    let mean = values.iter().sum::<f64>() / values.len() as f64;
    [mean, values.iter().map(|value| (value - mean).abs()).fold(0.0, f64::max)]
}
