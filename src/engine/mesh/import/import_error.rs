//! Errors in a mesh file.

use std::fmt;

/// Name of the array that says how thick a plate is.
pub(super) const THICKNESS: &str = "thickness";

/// A mesh that cannot be read, or not be worked on. Positions in mm.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub enum ImportError {
    /// The file itself cannot be had.
    Unreadable {
        /// Why.
        reason: String,
    },
    /// The file is not a whole unstructured grid in VTK's XML form.
    NotAGrid {
        /// The fault.
        reason: String,
    },
    /// An array of the file cannot be read.
    Array {
        /// Its name.
        array: String,
        /// The fault.
        reason: String,
    },
    /// A cell that no plate is made of.
    Cell {
        /// Number of the cell in the file, from 0.
        cell: usize,
        /// Its type, as the file gives it.
        kind: u8,
        /// The fault.
        reason: &'static str,
    },
    /// A point that is not a number, or not in the plane of the others.
    Point {
        /// Number of the point in the file, from 0.
        point: usize,
        /// The fault.
        reason: String,
    },
    /// An element that is folded, inverted or collapsed.
    Element {
        /// Number of the cell in the file, from 0.
        cell: usize,
        /// Its middle, mm.
        at: [f64; 2],
        /// The fault.
        reason: String,
    },
    /// Elements that do not join up.
    Joint {
        /// Where, mm.
        at: [f64; 2],
        /// The fault there.
        reason: String,
    },
    /// No opening of the mesh is the hole asked for.
    NoSuchHole {
        /// Name of the hole.
        hole: String,
        /// Stated centre and diameter, mm.
        stated: ([f64; 2], f64),
        /// The round openings there are: centres and diameters, mm.
        found: Vec<([f64; 2], f64)>,
    },
    /// The elements at the edge of a hole are of more than one thickness.
    Stepped {
        /// Name of the hole.
        hole: String,
        /// Where, mm.
        at: [f64; 2],
        /// Two of them, mm.
        thickness: [f64; 2],
    },
    /// The elements round a hole are too large for any answer.
    TooCoarse {
        /// Name of the hole.
        hole: String,
        /// Where, mm.
        at: [f64; 2],
        /// The part that is too coarse.
        reason: String,
    },
}

impl ImportError {
    /// A suggested fix, where there is a clear one.
    #[must_use]
    pub fn hint(&self) -> Option<String> {
        let hint = match self {
            Self::Cell { .. } => {
                "a plate is made of triangles (types 5, 22) and quadrilaterals (9, 23, 28)"
            }
            Self::Element { .. } => "mend the element in the program that made the mesh",
            Self::Joint { .. } => {
                "the mesh must be one piece whose elements share whole sides, node for node"
            }
            Self::NoSuchHole { found, .. } if found.is_empty() => {
                "the mesh has no round opening at all"
            }
            Self::NoSuchHole { .. } => "state `at` and `starting_diameter` as the mesh has them",
            Self::Stepped { .. } => {
                "keep a step in thickness an element away from the edge of a hole"
            }
            Self::TooCoarse { .. } => "refine the mesh round the hole",
            Self::Array { array, .. } if array == THICKNESS => {
                "`thickness` is one length above 0 for every cell, or for every point, in the unit of \
                 the case; a mesh without it is as thick as [plate] says"
            }
            Self::Unreadable { .. }
            | Self::NotAGrid { .. }
            | Self::Array { .. }
            | Self::Point { .. } => return None,
        };
        Some(hint.to_owned())
    }
}

impl fmt::Display for ImportError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Unreadable { reason } => write!(f, "cannot read the mesh: {reason}"),
            Self::NotAGrid { reason } => write!(f, "this is no mesh that can be read: {reason}"),
            Self::Array { array, reason } => write!(f, "array `{array}` of the mesh {reason}"),
            Self::Cell { cell, kind, reason } => {
                write!(f, "cell {cell} of the mesh, of type {kind}, {reason}")
            }
            Self::Point { point, reason } => write!(f, "point {point} of the mesh {reason}"),
            Self::Element { cell, at: [x, y], reason } => {
                write!(f, "cell {cell} of the mesh, at ({x:.4}, {y:.4}) mm, {reason}")
            }
            Self::Joint { at: [x, y], reason } => {
                write!(f, "the mesh does not join up at ({x:.4}, {y:.4}) mm: {reason}")
            }
            Self::NoSuchHole { hole, stated: ([x, y], diameter), found } => {
                write!(
                    f,
                    "no opening of the mesh is hole `{hole}` at ({x:.4}, {y:.4}) mm of diameter \
                     {diameter:.4} mm"
                )?;
                for (index, ([x, y], diameter)) in found.iter().take(LISTED).enumerate() {
                    let lead = if index == 0 { "; there is" } else { "," };
                    write!(f, "{lead} {diameter:.4} mm at ({x:.4}, {y:.4}) mm")?;
                }
                if found.len() > LISTED {
                    write!(f, " and {} more", found.len() - LISTED)?;
                }
                Ok(())
            }
            Self::Stepped { hole, at: [x, y], thickness: [a, b] } => {
                write!(
                    f,
                    "the elements at the edge of hole `{hole}` are {a:.4} and {b:.4} mm thick, the \
                     latter at ({x:.4}, {y:.4}) mm"
                )
            }
            Self::TooCoarse { hole, at: [x, y], reason } => {
                write!(f, "the mesh is too coarse at hole `{hole}`, ({x:.4}, {y:.4}) mm: {reason}")
            }
        }
    }
}

/// Openings that a message lists at most.
const LISTED: usize = 6;

impl std::error::Error for ImportError {}
