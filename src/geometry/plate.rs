//! The plate: its outline, its thickness, its holes.
//!
//! Floor 1, `geometry`.

use serde::{Deserialize, Serialize};

use crate::geometry::hole::Hole;

/// Outer boundary of a plate. Lengths in mm.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
#[non_exhaustive]
pub enum Outline {
    /// Lower left corner at the origin, sides along the axes; edges are called
    /// `left`, `right`, `bottom`, `top`.
    Rectangle {
        /// Extent along x, mm.
        width: f64,
        /// Extent along y, mm.
        height: f64,
    },
    /// A round plate centred on the origin; its one edge is called `rim`.
    Disc {
        /// Outer diameter, mm.
        diameter: f64,
    },
}

impl Outline {
    /// Lower left and upper right corner of the box round the outline, mm.
    #[must_use]
    pub fn bounds(&self) -> [[f64; 2]; 2] {
        match *self {
            Self::Rectangle { width, height } => [[0.0, 0.0], [width, height]],
            Self::Disc { diameter } => [[-0.5 * diameter; 2], [0.5 * diameter; 2]],
        }
    }

    /// Names of the edges, as a case file may use them.
    #[must_use]
    pub fn edge_names(&self) -> &'static [&'static str] {
        match self {
            Self::Rectangle { .. } => &["left", "right", "bottom", "top"],
            Self::Disc { .. } => &["rim"],
        }
    }

    /// The largest extent of the outline, mm.
    #[must_use]
    pub fn extent(&self) -> f64 {
        let [low, high] = self.bounds();
        (high[0] - low[0]).max(high[1] - low[1])
    }

    /// Centre of the outline, mm.
    #[must_use]
    pub fn middle(&self) -> [f64; 2] {
        match *self {
            Self::Rectangle { width, height } => [0.5 * width, 0.5 * height],
            Self::Disc { .. } => [0.0, 0.0],
        }
    }
}

/// A plate with holes. Lengths in mm.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Plate {
    /// Outer boundary.
    pub outline: Outline,
    /// Thickness, mm.
    pub thickness: f64,
    /// Holes in the order of the case file; their index is used below the case.
    pub holes: Vec<Hole>,
}
