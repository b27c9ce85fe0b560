//! Doublers: sheets on the plate, bonded or fastened, that share its load.
//!
//! A doubler lies in the plane of the plate: the model has membrane forces only. One on one face is
//! eccentric, and how plate and doubler bend is outside.

use serde::{Deserialize, Serialize};

use crate::geometry::hole::Hole;
use crate::geometry::outline::{Loop, Loops};
use crate::geometry::plate::{Outline, Plate};
use crate::material::hardening::Material;

/// A sheet on the plate.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Doubler {
    /// Name in the case file.
    pub name: String,
    /// Its outline, counter-clockwise, edges by name.
    pub outline: Loop,
    /// Its thickness, mm; that of both together where one lies on either face.
    pub thickness: f64,
    /// The metal.
    pub material: Material,
    /// Coefficient of linear thermal expansion, by degree; `None` where the case gives none.
    pub thermal_expansion: Option<f64>,
    /// Name of the metal for reports.
    pub material_name: String,
    /// Axis that loads are counted along: 0 for x, 1 for y.
    pub along: usize,
    /// The layer that bonds it.
    pub bond: Option<Bond>,
    /// Fasteners through plate and doubler.
    pub fasteners: Vec<Fastener>,
}

/// An elastic layer between plate and doubler.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Bond {
    /// Shear modulus, MPa.
    pub shear_modulus: f64,
    /// Thickness, mm.
    pub thickness: f64,
    /// Faces of the plate that have one.
    pub faces: u8,
}

impl Bond {
    /// Shear stiffness of an area of the plane, N/mm³.
    #[must_use]
    pub fn stiffness(&self) -> f64 {
        f64::from(self.faces) * self.shear_modulus / self.thickness
    }
}

/// How a fastener fills its holes.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Filling {
    /// It only pushes: contact without friction, with play, neat or with interference.
    Contact,
    /// It pushes and pulls all round: a spring between the holes, and the joint is linear.
    Spring,
}

/// A fastener through plate and doubler.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Fastener {
    /// Which hole of the plate.
    pub hole: usize,
    /// Diameter of the hole in the doubler, mm.
    pub hole_diameter: f64,
    /// Diameter of the pin, mm; `None` for a neat fit in both holes.
    pub pin_diameter: Option<f64>,
    /// Elastic constants `(E in MPa, ν)` of the pin under pressure; `None` for a rigid one.
    pub elastic: Option<(f64, f64)>,
    /// How far its two parts move on each other under a force between the sheets, mm/N.
    pub flexibility: f64,
    /// How it fills its holes.
    pub filling: Filling,
}

impl Doubler {
    /// Phases in which its fasteners are driven into holes that may be smaller: two a fastener.
    #[must_use]
    pub(crate) fn drives(&self) -> usize {
        2 * self.fasteners.iter().filter(|fastener| fastener.pin_diameter.is_some()).count()
    }

    /// It as a plate of its own, whose holes are those of its fasteners, in their order.
    #[must_use]
    pub fn as_plate(&self, plate: &Plate) -> Plate {
        let hole = |fastener: &Fastener| {
            let drawn = &plate.holes[fastener.hole];
            let starting_diameter = fastener.hole_diameter;
            Hole::round(drawn.name.clone(), drawn.centre, starting_diameter)
        };
        Plate {
            outline: Outline::Loops(Loops { outer: self.outline.clone(), inner: Vec::new() }),
            thickness: self.thickness,
            holes: self.fasteners.iter().map(hole).collect(),
        }
    }
}
