//! The elastic ring under pressure against Lamé's formulae.

use approx::assert_relative_eq;
use hoopset::material::elasticity::Elasticity;
use hoopset::material::idealisation::Idealisation;
use hoopset::mesh::build;
use hoopset::mesh::plan::MeshPlan;
use hoopset::mesh::topology::Symmetry;
use hoopset::theory::field::RotationalField;
use hoopset::theory::lame::Ring;

use crate::common::metals::elastic;
use crate::common::plates::disc;
use crate::common::wall::Wall;

const YOUNG: f64 = 210_000.0;
const NU: f64 = 0.3;

fn default_mesh(fineness: f64) -> hoopset::mesh::topology::Mesh {
    let symmetry = Symmetry { x: Some(0.0), y: Some(0.0) };
    build(&disc(100.0, 200.0), &MeshPlan { fineness, symmetry, ..MeshPlan::default() }).unwrap()
}

/// Source: G. Lamé; any text on strength of materials (derived). The numbers of plane strain
/// are also those of the first row of E. A. de Souza Neto, D. Perić and D. R. J. Owen,
/// Computational Methods for Plasticity (2008), example 7.5.1: at 0.1 GPa the rim moves
/// 0.0577778 mm and the hoop stress at the bore is 0.166667 GPa.
#[test]
fn the_default_ring_has_lames_stress_at_the_bore_and_lames_displacement() {
    for idealisation in
        [Idealisation::PlaneStress, Idealisation::PlaneStrain, Idealisation::GeneralisedPlaneStrain]
    {
        let mut wall =
            Wall::on_mesh((100.0, 200.0), elastic(YOUNG, NU), idealisation, default_mesh(1.0));
        wall.press(100.0, 1.0);
        let (hoop, radial) = wall.hoop_and_radial();
        let elasticity = Elasticity { youngs_modulus: YOUNG, poissons_ratio: NU };
        let ring = Ring::new(100.0, 200.0, elasticity, idealisation).unwrap();
        let theory = ring.at_pressure(100.0).unwrap();
        println!(
            "{idealisation:?} bore {:.6} radial {:.6} u {:.3e}",
            hoop.values()[0] / theory.hoop(100.0).unwrap() - 1.0,
            radial.values()[0] + 100.0,
            wall.displacement(100.0) / theory.displacement(100.0).unwrap() - 1.0
        );
        // 0.1 %: carrying a line through the points to the edge costs the square of the first
        // layer's thickness, about 4e-4 here.
        assert_relative_eq!(hoop.values()[0], theory.hoop(100.0).unwrap(), max_relative = 1e-3);
        for r in [110.0, 150.0, 200.0] {
            let (h, r_) = (hoop.at(r).unwrap(), radial.at(r).unwrap());
            assert_relative_eq!(h, theory.hoop(r).unwrap(), max_relative = 1e-3);
            // A thousandth of the pressure.
            assert!((r_ - theory.radial(r).unwrap()).abs() < 0.1, "radial at {r}: {r_}");
        }
        for r in [100.0, 200.0] {
            // Displacements are of higher order than stresses: measured below 1e-6.
            assert_relative_eq!(
                wall.displacement(r),
                theory.displacement(r).unwrap(),
                max_relative = 1e-5
            );
        }
        if idealisation == Idealisation::PlaneStrain {
            assert_relative_eq!(wall.displacement(200.0), 0.057_777_8, max_relative = 1e-5);
            assert_relative_eq!(hoop.values()[0], 166.667, max_relative = 1e-3);
        }
    }
}

/// A uniform pressure asks for the same stress at every angle; the mesh must not show.
#[test]
fn the_hoop_stress_of_a_ring_is_the_same_at_every_angle() {
    let idealisation = Idealisation::PlaneStress;
    let mut wall =
        Wall::on_mesh((100.0, 200.0), elastic(YOUNG, NU), idealisation, default_mesh(1.0));
    wall.press(100.0, 1.0);
    let (result, _) =
        hoopset::result::read::read(&wall.snapshot(), &wall.job, &[vec![10.0, 33.0, 45.0]])
            .unwrap();
    let bore: Vec<f64> = result.paths.iter().map(|path| path.points[0].stress.hoop).collect();
    assert!(bore.len() >= 7);
    for value in &bore {
        // Between corners the path reads parabolas: a few 1e-6.
        assert_relative_eq!(*value, bore[0], max_relative = 2e-5);
    }
}
