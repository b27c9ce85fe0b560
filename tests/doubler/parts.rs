//! Strips and doublers to test with.

use hoopset::geometry::hole::Hole;
use hoopset::geometry::outline::Loop;
use hoopset::geometry::piece::Piece;
use hoopset::geometry::plate::{Outline, Plate};
use hoopset::material::hardening::Material;
use hoopset::material::idealisation::Idealisation;
use hoopset::material::strains::Strains;
use hoopset::process::doubler::{Bond, Doubler, Fastener, Filling};
use hoopset::process::job::{Job, Numerics};
use hoopset::process::joint_reading::JointReading;
use hoopset::process::snapshot::Snapshot;
use hoopset::process::stage::{Load, Stage};

pub(crate) const YOUNG: f64 = 70_000.0;

/// A strip along x, `length` by `width`, with holes of `diameter` in a row at half its width.
pub(crate) fn strip(
    length: f64,
    width: f64,
    thickness: f64,
    (holes, diameter): (&[f64], f64),
) -> Plate {
    let hole =
        |(k, x): (usize, &f64)| Hole::round(format!("F{}", k + 1), [*x, 0.5 * width], diameter);
    Plate {
        outline: Outline::Rectangle { width: length, height: width },
        thickness,
        holes: holes.iter().enumerate().map(hole).collect(),
    }
}

/// A rectangle whose edges are called `strap-bottom` and so on.
pub(crate) fn outline([x0, y0]: [f64; 2], [x1, y1]: [f64; 2]) -> Loop {
    let corners = [[x0, y0], [x1, y0], [x1, y1], [x0, y1]];
    let names = ["strap-bottom", "strap-right", "strap-top", "strap-left"];
    let side = |k: usize| Piece::straight(names[k], corners[k], corners[(k + 1) % 4]);
    Loop { pieces: (0..4).map(side).collect() }
}

/// A doubler along x that nothing joins yet.
pub(crate) fn strap(outline: Loop, thickness: f64, material: Material) -> Doubler {
    Doubler {
        name: "strap".into(),
        outline,
        thickness,
        material,
        thermal_expansion: None,
        material_name: "own".into(),
        along: 0,
        bond: None,
        fasteners: vec![],
    }
}

pub(crate) fn bond(shear_modulus: f64, thickness: f64) -> Bond {
    Bond { shear_modulus, thickness, faces: 1 }
}

/// Fasteners that push and pull, in the first `count` holes.
pub(crate) fn springs(count: usize, diameter: f64, flexibility: f64) -> Vec<Fastener> {
    let one = |hole| Fastener {
        hole,
        hole_diameter: diameter,
        pin_diameter: None,
        elastic: None,
        flexibility,
        filling: Filling::Spring,
    };
    (0..count).map(one).collect()
}

/// The doubler joined to an unworked plate, then pulled at both ends by `stress` MPa.
pub(crate) fn pulled(plate: Plate, material: Material, doubler: Doubler, stress: f64) -> Job {
    let edges = ["left", "right"].map(|edge| (edge.to_owned(), stress)).to_vec();
    let load = Load { tractions: edges, ..Load::default() };
    Job {
        plate,
        idealisation: Idealisation::PlaneStress,
        material,
        stages: vec![Stage::Join { doubler: Box::new(doubler) }, Stage::Load { load, cycles: 1 }],
        // What it is held against speaks of small strains.
        numerics: Numerics { increments: 1, strains: Strains::Small, ..Numerics::default() },
        supports: vec![],
        regions: vec![],
    }
}

pub(crate) fn at<'s>(snapshots: &'s [Snapshot], label: &str) -> &'s Snapshot {
    snapshots.iter().find(|snapshot| snapshot.label == label).unwrap()
}

pub(crate) fn joint(snapshot: &Snapshot) -> &JointReading {
    &snapshot.joint_readings[0]
}
