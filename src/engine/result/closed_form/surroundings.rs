//! Surroundings of a hole, as far as theory is concerned.

use crate::geometry::plate::Outline;
use crate::process::job::Job;

/// Radii of the hole from its centre to the nearest edge or other hole, at least, for a sheet
/// without end. Pressure in the hole then changes the hoop stress there by `2a²/d²`, 0.5 % of the
/// pressure, for one straight edge (`theory::edge_hole`), and four edges by 2 % at most.
pub(super) const FAR: f64 = 20.0;

/// Offset of a hole from the middle of a disc that still counts as none, over the radius of the hole.
const CONCENTRIC: f64 = 1e-9;

/// The wall round a hole.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Surroundings {
    /// A hole in the middle of a round plate of this radius, mm.
    Ring(f64),
    /// A hole with this much free metal about its centre, mm.
    Sheet(f64),
}

impl Surroundings {
    /// Outer radius of the closed form, mm.
    pub(super) fn outer(self) -> f64 {
        match self {
            Self::Ring(outer) => outer,
            Self::Sheet(_) => f64::INFINITY,
        }
    }

    /// Distance from the centre to the nearest boundary, mm.
    pub(super) fn free(self) -> f64 {
        match self {
            Self::Ring(distance) | Self::Sheet(distance) => distance,
        }
    }

    /// In words, for a hole of radius `inner`.
    pub(super) fn words(self, inner: f64) -> String {
        match self {
            Self::Ring(outer) => format!("ring of {:.2} hole radii", outer / inner),
            Self::Sheet(free) => format!(
                "sheet without end (nearest edge or hole {:.0} hole radii away; {FAR} count as far)",
                free / inner
            ),
        }
    }
}

/// Surroundings of hole `index`, or the reason why no closed form holds there.
pub(super) fn surroundings(job: &Job, index: usize) -> Result<Surroundings, String> {
    let plate = &job.plate;
    if !job.supports.is_empty() {
        return Err("edges of the plate are held".to_owned());
    }
    if !job.regions.is_empty() {
        return Err("the plate has regions of another thickness or metal".to_owned());
    }
    let hole = &plate.holes[index];
    let radius = hole.radius();
    if let Outline::Disc { diameter } = plate.outline
        && plate.holes.len() == 1
        && hole.centre[0].hypot(hole.centre[1]) <= CONCENTRIC * radius
    {
        return Ok(Surroundings::Ring(0.5 * diameter));
    }
    let others = plate.holes.iter().enumerate().filter(|(other, _)| *other != index);
    let free = others
        .map(|(_, other)| hole.distance_to(other.centre) - other.radius())
        .fold(plate.nearest_edge(index).distance, f64::min);
    if free < FAR * radius {
        return Err(format!(
            "the hole is neither in the middle of a round plate nor {FAR} of its radii from every \
             edge and other hole, but {:.1}",
            free / radius
        ));
    }
    Ok(Surroundings::Sheet(free))
}
