//! The section of the metal round one hole, and the work done on it: drawn mandrels and cuts.
//!
//! Radius against depth: x is the radius, y the depth below the entry face, displacements and forces
//! are `[r, z]`, and forces are those of the whole ring. A mandrel drawn forwards goes in at the
//! entry face and leaves at the exit face, towards rising depth.
//!
//! ```text
//!            entry face
//!   │  ┌────────────────────────┐
//!   ▼  │ bore               rim │        the nose cap pushes on the exit face;
//!  pull└────────────────────────┘        one ring of the rim stays at its depth and carries
//!         ▀▀▀▀▀▀▀▀  nose cap             what nothing else does
//! ```

pub mod beside;
mod cutting;
pub mod drawing;
mod gradients;
pub mod observer;
mod pacing;
pub mod readings;
pub mod record;
pub mod run;
mod setting;
pub mod sleeve;
mod spotface;
mod standing;
pub mod tooling;

pub use cutting::BEYOND;

use serde::{Deserialize, Serialize};

use crate::geometry::mandrel::MandrelProfile;
use crate::material::hardening::Material;
use crate::process::job::Numerics;
use crate::solver::friction::Friction;

/// The ring of metal that is looked at. Lengths in mm.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct SectionPart {
    /// Diameter of the hole before any work.
    pub starting_diameter: f64,
    /// Diameter of the rim.
    pub outer_diameter: f64,
    /// Thickness of the part.
    pub thickness: f64,
    /// Support of the rim by the metal beyond it.
    pub rim: Rim,
}

/// Motion that the rim is free to make.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Rim {
    /// Nothing holds it: a small disc.
    #[default]
    Free,
    /// It may grow but not tilt: the middle of a large plate, which does not bend.
    Flat,
}

/// Support that takes the pull of a drawn mandrel.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Support {
    /// A ring of the rim at half depth.
    Rim,
    /// A flat nose cap on the face where the mandrel leaves. It pushes and never pulls; should the
    /// mandrel push the part back, the ring at the rim takes that.
    NoseCap {
        /// Diameter of its bore, mm.
        inner_diameter: f64,
        /// Its outer diameter, mm.
        outer_diameter: f64,
    },
}

/// A mandrel and its sleeve.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct DrawTool {
    /// Major diameter of the mandrel, mm.
    pub mandrel_diameter: f64,
    /// Wall of the sleeve, mm; 0 without one.
    pub sleeve_thickness: f64,
    /// The sleeve as a layer of elements; without, it counts by its thickness alone.
    #[serde(default)]
    pub sleeve: Option<Box<SleeveLayer>>,
    /// Shape of the mandrel.
    pub profile: MandrelProfile,
    /// Friction between what moves and what it moves along.
    pub friction: Friction,
    /// Elastic constants `(E in MPa, ν)` of the mandrel; `None` for a rigid one.
    pub elastic: Option<(f64, f64)>,
}

/// A sleeve that is a layer of elements, as thick as [`DrawTool::sleeve_thickness`] and as wide as the hole
/// when it is put in.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct SleeveLayer {
    /// Its metal.
    pub material: Material,
    /// Whether it goes round without a slit, and carries hoop stress.
    pub closed: bool,
    /// Friction between it and the hole.
    pub friction: Friction,
    /// How far it stands out beyond either face, mm.
    pub protrusion: f64,
    /// How its end stands on its stop.
    #[serde(default)]
    pub end: SleeveEnd,
}

/// How the end of a sleeve at which the mandrel leaves stands on its stop.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum SleeveEnd {
    /// Its flare is clamped there, and goes neither way.
    #[default]
    Held,
    /// The stop pushes and never pulls: the end may lift off it, and comes back.
    Stopped,
}

impl DrawTool {
    /// Radius of the land that pushes, mm: on the sleeve where that is a layer of elements, else on the hole.
    #[must_use]
    pub fn pushing_radius(&self) -> f64 {
        let wall = if self.sleeve.is_some() { 0.0 } else { self.sleeve_thickness };
        0.5 * self.mandrel_diameter + wall
    }

    /// Diameter that acts on the hole at the land, mm.
    #[must_use]
    pub fn acting_diameter(&self) -> f64 {
        self.mandrel_diameter + 2.0 * self.sleeve_thickness
    }
}

/// One stage of the work on a section.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum SectionStage {
    /// A mandrel is drawn through.
    Draw {
        /// Mandrel and sleeve.
        tool: DrawTool,
        /// Support that takes the pull.
        support: Support,
        /// Whether it enters at the exit face and leaves at the entry face.
        backwards: bool,
    },
    /// A cylinder as long as the hole grows evenly to this diameter (mm) and shrinks again.
    Grow {
        /// Its diameter at full size.
        diameter: f64,
    },
    /// The hole is cut to this diameter (mm) through the whole thickness.
    Ream {
        /// Diameter after the cut.
        diameter: f64,
    },
    /// A flat floor is cut round the hole below a face.
    Spotface {
        /// The face.
        face: Face,
        /// Depth of the floor below the face, mm.
        depth: f64,
        /// Diameter of the floor, mm.
        diameter: f64,
    },
    /// A cone is cut round the hole at a face.
    Countersink {
        /// The face.
        face: Face,
        /// Depth below the face, or the floor of its spotface, at which the cone meets the bore, mm.
        depth: f64,
        /// Whole angle of the cone, radians.
        angle: f64,
    },
}

/// One of the two faces of a section.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Face {
    /// At depth 0, where a mandrel drawn forwards goes in.
    Entry,
    /// At the full thickness, where it leaves.
    Exit,
}

impl SectionStage {
    /// Word for the stage in labels.
    #[must_use]
    pub fn word(&self) -> &'static str {
        match self {
            Self::Draw { .. } => "draw",
            Self::Grow { .. } => "expand",
            Self::Ream { .. } => "ream",
            Self::Spotface { .. } => "spotface",
            Self::Countersink { .. } => "countersink",
        }
    }
}

/// A section, its metal, and the work to be done on it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct SectionJob {
    /// Name of the hole.
    pub hole: String,
    /// The ring.
    pub part: SectionPart,
    /// The metal.
    pub material: Material,
    /// The work, in order.
    pub stages: Vec<SectionStage>,
    /// How finely it is solved. `increments` are those in which a growing tool comes to full size,
    /// and a drawn one widens the hole by its lead taper.
    pub numerics: Numerics,
}

impl SectionJob {
    /// Label of a stage, counted from 0: `1-draw-A`.
    #[must_use]
    pub fn label(&self, stage: usize) -> String {
        format!("{}-{}-{}", stage + 1, self.stages[stage].word(), self.hole)
    }
}
