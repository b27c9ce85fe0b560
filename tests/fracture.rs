//! Cracks opened in the mesh: stress intensity by an interaction integral.
#![allow(clippy::unwrap_used, clippy::float_cmp, clippy::cast_precision_loss, missing_docs)]
#![allow(clippy::print_stdout, reason = "what was measured, for `--nocapture`")]

#[path = "common/mod.rs"]
mod common;

use std::f64::consts::PI;

use common::metals::elastic;
use common::plates::rectangle;
use hoopset::fracture::crack_error::CrackError;
use hoopset::fracture::line::Way;
use hoopset::fracture::opened::{Faces, OpenedPlate, Pull, TipAnswer};
use hoopset::geometry::plate::Plate;
use hoopset::material::idealisation::Idealisation;
use hoopset::mesh::build;
use hoopset::mesh::plan::MeshPlan;
use hoopset::mesh::topology::{Mesh, Symmetry};
use hoopset::numeric::profile::Profile;
use hoopset::process::load;
use hoopset::process::stage::Load;

/// Half width of the plate over the radius of its hole: what is left of its finite size is
/// about the square of the inverse, a tenth of a percent and less.
const HALF_WIDTH: f64 = 40.0;

fn plate() -> Plate {
    rectangle(2.0 * HALF_WIDTH, 2.0 * HALF_WIDTH, &[[HALF_WIDTH, HALF_WIDTH, 1.0]])
}

fn mesh(two: bool) -> Mesh {
    let symmetry = Symmetry { x: two.then_some(HALF_WIDTH), y: Some(HALF_WIDTH) };
    build(&plate(), &MeshPlan { fineness: 2.0, symmetry, ..MeshPlan::default() }).unwrap()
}

fn opened(two: bool, length: f64) -> OpenedPlate {
    let metal = elastic(72_000.0, 0.33);
    let hole = &plate().holes[0];
    let stress = Idealisation::PlaneStress;
    OpenedPlate::new(mesh(two), hole, &[(Way::Right, length)], &metal, stress, 1.0).unwrap()
}

/// Unit tension along y on top (the bottom is its mirror image).
fn tension(mesh: &Mesh) -> Vec<[f64; 2]> {
    let load = Load { tractions: vec![("top".into(), 1.0)], ..Load::default() };
    load::forces(mesh, &load, 1.0, &["top", "bottom"]).unwrap()
}

fn uniform(value: f64) -> Profile {
    Profile::new(vec![0.0, 100.0], vec![value, value])
}

/// K over the stress times √(πa), for one tip.
fn shape(answer: &TipAnswer, length: f64) -> f64 {
    answer.intensity / (PI * length).sqrt()
}

/// Interpolates `rows` of `(a/R, value)` at the length the mesh has, in ln a.
fn at(rows: &[(f64, f64)], length: f64) -> f64 {
    let logs = rows.iter().map(|row| row.0.ln()).collect();
    Profile::new(logs, rows.iter().map(|row| row.1).collect()).at(length.ln()).unwrap()
}

/// F of a crack in a wide sheet under remote tension; computed by dislocation densities with the
/// exact Green's function of the hole, converged to 1e-5. Newman's table (NASA TN D-6376, 1971, from
/// memory) for two cracks agrees to 0.02 %. The rows lie near the lengths asked for.
const TWO: [(f64, f64); 6] = [
    (0.1, 2.78650),
    (0.2, 2.41302),
    (0.3, 2.15621),
    (0.5, 1.83279),
    (0.6, 1.72620),
    (1.0, 1.47213),
];
const ONE: [(f64, f64); 6] = [
    (0.1, 2.77272),
    (0.2, 2.37459),
    (0.3, 2.09286),
    (0.5, 1.72787),
    (0.6, 1.60491),
    (1.0, 1.30610),
];
/// The same for unit pressure on the crack faces.
const TWO_FACES: [(f64, f64); 4] = [(0.1, 1.05830), (0.2, 1.02209), (0.5, 0.97799), (1.0, 0.96434)];
const ONE_FACES: [(f64, f64); 4] = [(0.1, 1.05329), (0.2, 1.00706), (0.5, 0.92967), (1.0, 0.87397)];

#[test]
fn one_crack_and_two_under_remote_tension_have_the_computed_intensity() {
    for (two, rows) in [(true, TWO), (false, ONE)] {
        for length in [0.2, 0.5, 1.0] {
            let mut plate = opened(two, length);
            let found_length = plate.lengths()[0];
            let pull = Pull { forces: tension(plate.mesh()), ..Pull::default() };
            let answer = plate.answer(&pull, Faces::Free).unwrap()[0];
            let (found, expected) = (shape(&answer, found_length), at(&rows, found_length));
            println!(
                "two {two}, a = {found_length:.4}: {found:.4} against {expected:.4}, {:+.2} %",
                100.0 * (found / expected - 1.0)
            );
            assert!((found / expected - 1.0).abs() < 0.01);
        }
    }
}

#[test]
fn pressed_faces_have_the_computed_intensity() {
    for (two, rows) in [(true, TWO_FACES), (false, ONE_FACES)] {
        for length in [0.2, 0.5, 1.0] {
            let mut plate = opened(two, length);
            let found_length = plate.lengths()[0];
            let pull = Pull { line_stress: vec![uniform(1.0)], ..Pull::default() };
            let answer = plate.answer(&pull, Faces::Free).unwrap()[0];
            let (found, expected) = (shape(&answer, found_length), at(&rows, found_length));
            println!(
                "two {two}, a = {found_length:.4}: {found:.4} against {expected:.4}, {:+.2} %",
                100.0 * (found / expected - 1.0)
            );
            assert!((found / expected - 1.0).abs() < 0.01);
        }
    }
}

#[test]
fn faces_that_touch_are_never_pulled_apart_by_compression() {
    let mut plate = opened(true, 0.5);
    let pull = Pull { line_stress: vec![uniform(-1.0)], ..Pull::default() };
    let free = plate.answer(&pull, Faces::Free).unwrap()[0];
    assert!(free.intensity < 0.0 && free.mouth_opening < 0.0, "faces overlap: {free:?}");
    let shut = plate.answer(&pull, Faces::Touching).unwrap()[0];
    assert_eq!(shut.intensity, 0.0);
    assert!((shut.touching - 1.0).abs() < 1e-12, "{shut:?}");
    // Opened by the same stress, they do not know of each other.
    let pull = Pull { line_stress: vec![uniform(1.0)], ..Pull::default() };
    let open = plate.answer(&pull, Faces::Touching).unwrap()[0];
    assert_eq!(open.intensity, -free.intensity);
    assert_eq!(open.touching, 0.0);
}

#[test]
fn compression_at_the_mouth_holds_it_shut_while_the_tip_is_open() {
    let mut plate = opened(true, 1.0);
    // Compressed over the first third, pulled beyond.
    let line = Profile::new(vec![0.0, 0.33, 0.34, 100.0], vec![-4.0, -4.0, 2.0, 2.0]);
    let pull = Pull { line_stress: vec![line], ..Pull::default() };
    let free = plate.answer(&pull, Faces::Free).unwrap()[0];
    let touching = plate.answer(&pull, Faces::Touching).unwrap()[0];
    assert!(free.mouth_opening < 0.0 && touching.mouth_opening >= 0.0);
    assert!(touching.touching > 0.0 && touching.touching < 1.0, "{touching:?}");
    // Held apart at the mouth, the tip is pulled more than faces that may overlap would say.
    assert!(
        touching.intensity > free.intensity && touching.intensity > 0.0,
        "{free:?} {touching:?}"
    );
}

#[test]
fn a_crack_that_the_mesh_cannot_hold_is_refused() {
    let hole = &plate().holes[0];
    let metal = elastic(72_000.0, 0.33);
    let open = |mesh, cracks: &[(Way, f64)]| {
        OpenedPlate::new(mesh, hole, cracks, &metal, Idealisation::PlaneStress, 1.0).unwrap_err()
    };
    assert!(matches!(open(mesh(true), &[(Way::Left, 0.5)]), CrackError::NoMetal { .. }));
    assert!(matches!(open(mesh(true), &[(Way::Right, 1e-3)]), CrackError::TooFewSides { .. }));
    let whole = build(&plate(), &MeshPlan::default()).unwrap();
    assert!(matches!(open(whole, &[(Way::Right, 0.5)]), CrackError::NoMirrorLine));
}

/// Hoop stress of a plane-strain wall unloaded at the onset of reverse yielding, over its yield stress,
/// with a kink at √e radii: `ln r − 1/r²` inside, `(e/2 − 1)/r²` beyond (Hill 1950, infinite body, unloading
/// elastic). Against distance from the edge of a hole of radius 1.
fn unloaded_wall() -> Profile {
    let front = 0.5_f64.exp();
    let distances: Vec<f64> = (0..=2000).map(|k| 0.01 * f64::from(k)).collect();
    let stress = |y: &f64| {
        let r = 1.0 + y;
        if r < front { r.ln() - (r * r).recip() } else { (0.5 * 1.0_f64.exp() - 1.0) / (r * r) }
    };
    let values = distances.iter().map(stress).collect();
    Profile::new(distances, values)
}

#[test]
fn three_line_stresses_have_the_intensity_of_the_weight_function() {
    use hoopset::fatigue::crack::{CrackGeometry, CrackSides};
    use hoopset::fatigue::weight_function::{Beyond, infinite_plate};
    let linear = Profile::new(vec![0.0, 10.0], vec![1.0, -7.0]);
    // Compressed to a depth of 0.25, then turned to tension within a twentieth of the radius.
    let sharp = Profile::new(vec![0.0, 0.25, 0.30, 1.0, 100.0], vec![-1.0, -0.9, 0.3, 0.1, 0.0]);
    let lines = [
        ("uniform", uniform(-1.0)),
        ("linear", linear),
        ("residual", unloaded_wall()),
        ("sharp", sharp),
    ];
    for (two, sides) in [(true, CrackSides::Two), (false, CrackSides::One)] {
        let geometry = CrackGeometry::new(1.0, sides).unwrap();
        for length in [0.2, 0.5] {
            let mut plate = opened(two, length);
            let a = plate.lengths()[0];
            for (name, line) in &lines {
                let pull = Pull { line_stress: vec![line.clone()], ..Pull::default() };
                let found = plate.answer(&pull, Faces::Free).unwrap()[0].intensity;
                let expected = infinite_plate(&geometry, line, a, Beyond::Zero).unwrap();
                println!(
                    "{name}, two {two}, a {a:.4}: {found:.4} against {expected:.4}, {:+.2} %",
                    100.0 * (found / expected - 1.0)
                );
                assert!((found / expected - 1.0).abs() < 0.02, "{name} {two} {a}");
            }
        }
    }
}
