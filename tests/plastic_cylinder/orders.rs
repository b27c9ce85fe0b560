//! How fast the error falls with the mesh.

use hoopset::material::elasticity::Elasticity;
use hoopset::material::idealisation::Idealisation;
use hoopset::theory::field::RotationalField;
use hoopset::theory::lame::Ring;
use hoopset::theory::plastic_cylinder::PlasticCylinder;

use crate::common::metals::{elastic, perfect};
use crate::common::wall::Wall;

const YOUNG: f64 = 210_000.0;

/// Observed orders between meshes that halve each other.
fn orders(errors: &[f64]) -> Vec<f64> {
    errors.windows(2).map(|pair| (pair[0] / pair[1]).log2()).collect()
}

/// Quadratic elements: displacements of order 3 in the mean and 4 at corner nodes of meshes as
/// regular as this one; a stress carried linearly from the points to the edge leaves out its
/// curvature, order 2 (O. C. Zienkiewicz and J. Z. Zhu, Int. J. Numer. Meth. Engng 33 (1992), on
/// recovery; orders from memory).
#[test]
fn the_elastic_ring_converges_with_the_order_of_its_elements() {
    let elasticity = Elasticity { youngs_modulus: YOUNG, poissons_ratio: 0.3 };
    let ring = Ring::new(100.0, 200.0, elasticity, Idealisation::PlaneStrain).unwrap();
    let theory = ring.at_pressure(100.0).unwrap();
    let (mut stress, mut moved) = (Vec::new(), Vec::new());
    for layers in [4, 8, 16, 32] {
        let mut wall = Wall::by_hand(
            (100.0, 200.0),
            elastic(YOUNG, 0.3),
            Idealisation::PlaneStrain,
            (layers, 1.0, layers),
        );
        wall.press(100.0, 1.0);
        let (hoop, _) = wall.hoop_and_radial();
        stress.push((hoop.values()[0] / theory.hoop(100.0).unwrap() - 1.0).abs());
        moved.push((wall.displacement(100.0) / theory.displacement(100.0).unwrap() - 1.0).abs());
    }
    println!("elastic stress {stress:?} {:?}", orders(&stress));
    println!("elastic u {moved:?} {:?}", orders(&moved));
    let last = |errors: &[f64]| *orders(errors).last().unwrap();
    assert!((last(&stress) - 2.0).abs() < 0.3, "{:?}", orders(&stress));
    assert!((last(&moved) - 4.0).abs() < 0.3, "{:?}", orders(&moved));
}

/// A front that cuts through elements leaves a kink in the stress: the mean error then falls with
/// order 1 to 2 whatever the element.
#[test]
fn the_yielded_ring_converges_with_order_one_to_two() {
    let elasticity = Elasticity { youngs_modulus: YOUNG, poissons_ratio: 0.4999 };
    let theory = PlasticCylinder::mises(100.0, 200.0, 240.0, elasticity).unwrap();
    let loaded = theory.at_pressure(180.0).unwrap();
    let (mut stress, mut moved) = (Vec::new(), Vec::new());
    for layers in [4, 8, 16, 32] {
        let metal = perfect(YOUNG, 0.4999, 240.0);
        let mut wall =
            Wall::by_hand((100.0, 200.0), metal, Idealisation::PlaneStrain, (layers, 1.0, layers));
        wall.press(180.0, 0.05);
        let (hoop, _) = wall.hoop_and_radial();
        let pieces = 400;
        let mean = (0..pieces)
            .map(|k| {
                let r = 100.0 + 100.0 * (f64::from(k) + 0.5) / f64::from(pieces);
                (hoop.at(r).unwrap() - loaded.hoop(r).unwrap()).abs()
            })
            .sum::<f64>()
            / f64::from(pieces);
        stress.push(mean / 277.128);
        moved.push((wall.displacement(200.0) / loaded.displacement(200.0).unwrap() - 1.0).abs());
    }
    println!("plastic stress {stress:?} {:?}", orders(&stress));
    println!("plastic u {moved:?} {:?}", orders(&moved));
    let overall = (stress[0] / stress[3]).log2() / 3.0;
    assert!((0.9..2.4).contains(&overall), "{overall}");
    assert!(stress[3] < 2e-3 && moved[3] < 5e-3, "{stress:?} {moved:?}");
}
