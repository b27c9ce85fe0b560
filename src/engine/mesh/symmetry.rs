//! Halves and quarters: when one part of a plate stands for the whole.
//!
//! A mirror line is used when it halves the outline, passes through the centre of every
//! hole that is its own mirror image, and every direction that the work singles out (a sleeve split, the offset of a
//! cutter) lies along it. Holes that are mirror images of each other are left whole: they
//! would have to be worked at the same time. Whether loads are mirrored too is for those
//! who know them.

use crate::geometry::plate::Plate;
use crate::mesh::mesh_error::MeshError;
use crate::mesh::topology::Symmetry;

/// A centre this close to a line, as a share of the plate, is on it.
const ON_LINE: f64 = 1e-9;
/// A direction this close to a line, in radians, is along it.
const ALONG_LINE: f64 = 1e-9;

/// The mirror lines of `plate` when each `(hole index, angle)` of `directions` must lie on
/// them. Angles in radians about the centre of the hole.
#[must_use]
pub fn detect(plate: &Plate, directions: &[(usize, f64)]) -> Symmetry {
    let middle = plate.outline.middle();
    let slack = ON_LINE * plate.outline.extent();
    let loops = plate.outline.loops();
    let through = |axis: usize| {
        let centred =
            plate.holes.iter().all(|hole| (hole.centre[axis] - middle[axis]).abs() <= slack);
        let alike =
            plate.holes.iter().all(|hole| hole.out_of_round.is_none_or(|s| s.mirrors(axis)));
        let along = directions.iter().all(|&(_, angle)| {
            // Across a vertical line the x part of a direction would show, and so on.
            let across = if axis == 0 { angle.cos() } else { angle.sin() };
            across.abs() <= ALONG_LINE
        });
        let mirrors = || loops.mirrors(axis, middle[axis], slack, |_| ());
        (centred && alike && along && mirrors()).then_some(middle[axis])
    };
    Symmetry { x: through(0), y: through(1) }
}

/// Whether `symmetry` is one the plate has, and if so with its lines exactly in the middle.
pub(crate) fn hold(plate: &Plate, symmetry: Symmetry) -> Result<Symmetry, MeshError> {
    let middle = plate.outline.middle();
    let slack = ON_LINE * plate.outline.extent();
    let check = |axis: usize, line: Option<f64>| {
        let Some(line) = line else { return Ok(None) };
        let refuse =
            |reason: String| Err(MeshError::NotSymmetric { axis: ['x', 'y'][axis], line, reason });
        // Not a number is not within any slack.
        if (line - middle[axis]).abs().total_cmp(&slack).is_gt() {
            return refuse(format!("the middle of the outline is at {:.4} mm", middle[axis]));
        }
        if !plate.outline.loops().mirrors(axis, middle[axis], slack, |_| ()) {
            return refuse("the outline is not its own mirror image".to_owned());
        }
        let off = plate.holes.iter().find(|hole| (hole.centre[axis] - line).abs() > slack);
        let lobed =
            plate.holes.iter().find(|hole| hole.out_of_round.is_some_and(|s| !s.mirrors(axis)));
        if let Some(hole) = lobed {
            return refuse(format!("hole `{}` is not its own mirror image", hole.name));
        }
        match off {
            Some(hole) => refuse(format!("the centre of hole `{}` is not on the line", hole.name)),
            None => Ok(Some(middle[axis])),
        }
    };
    Ok(Symmetry { x: check(0, symmetry.x)?, y: check(1, symmetry.y)? })
}
