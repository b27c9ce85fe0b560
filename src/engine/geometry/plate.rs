//! The plate: its outline, its thickness, its holes.

use std::borrow::Cow;

use serde::{Deserialize, Serialize};

use crate::geometry::hole::Hole;
use crate::geometry::outline::Loops;

/// Outer boundary of a plate, and its cut-outs. Lengths in mm.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
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
    /// Any other: chains of straight lines and arcs, perhaps with cut-outs.
    Loops(Loops),
}

impl Outline {
    /// The outline as chains of pieces.
    #[must_use]
    pub fn loops(&self) -> Cow<'_, Loops> {
        match self {
            Self::Rectangle { width, height } => Cow::Owned(Loops::rectangle(*width, *height)),
            Self::Disc { diameter } => Cow::Owned(Loops::disc(*diameter)),
            Self::Loops(loops) => Cow::Borrowed(loops),
        }
    }

    /// Lower left and upper right corner of the box round the outline, mm.
    #[must_use]
    pub fn bounds(&self) -> [[f64; 2]; 2] {
        match self {
            Self::Rectangle { width, height } => [[0.0, 0.0], [*width, *height]],
            Self::Disc { diameter } => [[-0.5 * diameter; 2], [0.5 * diameter; 2]],
            Self::Loops(loops) => loops.bounds(),
        }
    }

    /// Names of the edges, as a case file may use them.
    #[must_use]
    pub fn edge_names(&self) -> Vec<String> {
        let names: &[&str] = match self {
            Self::Rectangle { .. } => &["left", "right", "bottom", "top"],
            Self::Disc { .. } => &["rim"],
            Self::Loops(loops) => return loops.edge_names(),
        };
        names.iter().map(|name| (*name).to_owned()).collect()
    }

    /// The rectangle or disc that the outer boundary is, cut-outs disregarded; `None` for
    /// any other.
    #[must_use]
    pub fn frame(&self) -> Option<Self> {
        let Self::Loops(loops) = self else { return Some(self.clone()) };
        let [low, [width, height]] = loops.bounds();
        let rectangle = Loops::rectangle(width, height).outer == loops.outer;
        let disc = Loops::disc(2.0 * width).outer == loops.outer;
        if rectangle {
            Some(Self::Rectangle { width, height })
        } else if disc {
            Some(Self::Disc { diameter: width - low[0] })
        } else {
            None
        }
    }

    /// The largest extent of the outline, mm.
    #[must_use]
    pub fn extent(&self) -> f64 {
        let [low, high] = self.bounds();
        (high[0] - low[0]).max(high[1] - low[1])
    }

    /// Centre of the box round the outline, mm: where its mirror lines pass, if it has any.
    #[must_use]
    pub fn middle(&self) -> [f64; 2] {
        let [low, high] = self.bounds();
        [0, 1].map(|axis| 0.5 * (low[axis] + high[axis]))
    }
}

/// A plate with holes. Lengths in mm.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Plate {
    /// Outer boundary, and cut-outs.
    pub outline: Outline,
    /// Thickness, mm.
    pub thickness: f64,
    /// Holes in the order of the case file; their index is used below the case.
    pub holes: Vec<Hole>,
}
