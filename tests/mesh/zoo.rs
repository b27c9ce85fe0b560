//! Plates and plans that the mesh tests share. All sizes are invented.

use hoopset::geometry::hole::Hole;
use hoopset::geometry::plate::{Outline, Plate};
use hoopset::mesh::plan::{HolePlan, MeshPlan};
use hoopset::mesh::symmetry::detect;
use hoopset::mesh::topology::Symmetry;

/// Diameter of most holes, mm.
pub(crate) const D: f64 = 5.7;

fn plate(outline: Outline, holes: &[([f64; 2], f64)]) -> Plate {
    let holes = holes.iter().zip('A'..).map(|(&(centre, starting_diameter), name)| {
        Hole::round(name.to_string(), centre, starting_diameter)
    });
    Plate { outline, thickness: 6.0, holes: holes.collect() }
}

/// A square plate of 60 mm with holes `(centre, diameter)`.
pub(crate) fn square(holes: &[([f64; 2], f64)]) -> Plate {
    plate(Outline::Rectangle { width: 60.0, height: 60.0 }, holes)
}

/// A disc of 60 mm.
pub(crate) fn disc(holes: &[([f64; 2], f64)]) -> Plate {
    plate(Outline::Disc { diameter: 60.0 }, holes)
}

/// A plan with one hole to be cut to `radius`.
pub(crate) fn cut(radius: f64) -> Vec<HolePlan> {
    vec![HolePlan { cut_radii: vec![radius], ..HolePlan::default() }]
}

/// The plates that every property is tried on: name, plate, plan with its symmetry.
pub(crate) fn zoo() -> Vec<(String, Plate, MeshPlan)> {
    let mut zoo = Vec::new();
    let mut add = |name: String, plate: Plate, symmetric: bool, holes: Vec<HolePlan>| {
        let symmetry = if symmetric { detect(&plate, &[]) } else { Symmetry::default() };
        zoo.push((name, plate, MeshPlan { fineness: 1.0, symmetry, holes, ..MeshPlan::default() }));
    };
    for margin in [3.0, 2.0, 1.5, 1.2] {
        let edge_hole = square(&[([margin * D, 30.0], D)]);
        add(format!("half, e/D {margin}"), edge_hole, true, cut(1.028 * 0.5 * D));
    }
    add("whole, e/D 1.2".into(), square(&[([1.2 * D, 21.0], D)]), true, vec![]);
    add("centre hole, whole".into(), square(&[([30.0, 30.0], D)]), false, cut(3.3));
    add("centre hole, quarter".into(), square(&[([30.0, 30.0], D)]), true, cut(3.3));
    let right = Symmetry { x: Some(30.0), y: None };
    let off = square(&[([30.0, 20.0], D)]);
    assert_eq!(detect(&off, &[]), right);
    add("right half".into(), off, true, vec![]);
    for spacing in [1.5, 1.2] {
        let pair = square(&[([20.0, 25.0], D), ([20.0 + spacing * D, 25.0], D)]);
        add(format!("two holes {spacing} D apart"), pair, true, vec![]);
    }
    let row = square(&[([15.0, 30.0], D), ([28.0, 30.0], 8.0), ([48.0, 30.0], 3.0)]);
    add("three holes on the mirror line".into(), row, true, cut(2.93));
    let split =
        HolePlan { cut_radii: vec![3.0], key_angles: vec![0.7, -2.0], gap: Some((0.97, 1.03)) };
    add("split sleeve".into(), square(&[([12.0, 25.0], D)]), true, vec![split]);
    add("annulus, whole".into(), disc(&[([0.0, 0.0], 10.0)]), false, cut(5.2));
    add("annulus, quarter".into(), disc(&[([0.0, 0.0], 10.0)]), true, vec![]);
    add("disc, hole off centre".into(), disc(&[([0.0, 12.0], D)]), true, vec![]);
    add("disc, hole anywhere".into(), disc(&[([5.0, 12.0], D)]), true, vec![]);
    add("disc, two holes".into(), disc(&[([-9.0, 0.0], D), ([11.0, 0.0], 9.0)]), true, vec![]);
    add("plate without holes".into(), square(&[]), true, vec![]);
    zoo
}
