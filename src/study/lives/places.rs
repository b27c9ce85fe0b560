//! Where cracks may grow, and the stress along their way.
//!
//! Unless the case names directions, a crack may leave a hole along every path at whose edge the
//! load makes at least half the hoop stress that it makes on the worst path of that hole: for a pull
//! along one axis, the two paths across it.
//!
//! Where the line meets the edge of the plate near the hole, a crack may also start there: the tension
//! that balances the compression at the hole stands at that edge.
//!
//! Two cracks are equal, and both get the stress of the path in question: at a hole that is not in
//! the middle each direction is assessed in turn and the worse one governs.

use crate::case::Case;
use crate::case::life_table::LifeSettings;
use crate::fatigue::assessment::{CrackOrigin, Place};
use crate::fatigue::crack::{CrackError, CrackGeometry, CrackSides};
use crate::geometry::ray::Obstacle;
use crate::numeric::profile::Profile;
use crate::process::elastic::elastic_answer;
use crate::process::snapshot::Snapshot;
use crate::result::path::StressPath;
use crate::result::read::read;
use crate::result::stage::StageResult;
use crate::study::lives::refusal::LifeRefusal;

/// Share of the highest edge stress of a hole from which on a path is a place for a crack.
const PULLED: f64 = 0.5;
/// Angles closer than this, degrees, are one.
const SAME_ANGLE: f64 = 1e-6;

/// Hole and plate edge are near when the edge is within so many diameters of the centre: beyond, the
/// tension that balances the compression at the hole is too weak to start a crack at the plate edge.
const NEAR_EDGE: f64 = 4.0;

/// A line from the edge of a hole that a crack may take, and the stress of the load on it.
pub(super) struct Line {
    hole: usize,
    angle_deg: f64,
    geometry: CrackGeometry,
    /// Elastic hoop stress over the remote stress.
    unit: Profile,
    /// Distance of the plate edge that the line meets near the hole, mm.
    plate_edge: Option<f64>,
}

/// Lines of all holes, and what is odd about them.
pub(super) struct Lines {
    all: Vec<Line>,
    angles: Vec<Vec<f64>>,
    /// The elastic answer to the load at share 1.
    pub(super) answer: Snapshot,
    pub(super) warnings: Vec<String>,
}

/// The last state without tool, pin and load.
#[must_use]
pub fn residual_state(snapshots: &[Snapshot]) -> Option<&Snapshot> {
    snapshots.iter().rev().find(|snapshot| snapshot.finished && !snapshot.loaded)
}

impl Lines {
    /// All lines of the case on the mesh of the residual state `state`.
    ///
    /// A flaw longer than the metal in front of it leaves a line out, with a warning; so does a hole
    /// too near an edge.
    pub(super) fn new(
        case: &Case,
        settings: &LifeSettings,
        state: &Snapshot,
    ) -> Result<Self, LifeRefusal> {
        let angles: Vec<Vec<f64>> = case
            .path_angles
            .iter()
            .map(|own| own.iter().chain(&settings.path).copied().collect())
            .collect();
        let answer = elastic_answer(&case.job, state, &settings.load)?;
        let (loaded, _) = read(&answer, &case.job, &angles)?;
        let mut found = Self { all: Vec::new(), angles, answer, warnings: Vec::new() };
        let mut refused = None;
        for (index, hole) in case.job.plate.holes.iter().enumerate() {
            if settings.hole.is_some_and(|wanted| wanted != index) {
                continue;
            }
            for path in pulled(&loaded, &hole.name, &settings.path) {
                match line(case, settings, index, path, &mut found.warnings) {
                    Ok(line) => found.all.push(line),
                    Err(error) => {
                        let angle = path.angle_deg;
                        found.warnings.push(format!(
                            "no life for a crack at hole {}, {angle}°: {error}; the metal there counts \
                             for nothing, and the other lives do not know that it is cracked",
                            hole.name
                        ));
                        refused.get_or_insert(error_of(&hole.name, angle, error));
                    }
                }
            }
        }
        match refused {
            Some(refused) if found.all.is_empty() => Err(refused),
            _ if found.all.is_empty() => Err(LifeRefusal::NoPath),
            _ => Ok(found),
        }
    }

    /// Holes and directions of the lines, degrees.
    pub(super) fn directions(&self) -> Vec<(usize, f64)> {
        self.all.iter().map(|line| (line.hole, line.angle_deg)).collect()
    }

    /// Places with the residual stress of `now`; `worked` is the state before the load changed it.
    /// Cracks from the plate edge come after those from the hole, where `settings` wants them.
    pub(super) fn places(
        &self,
        case: &Case,
        settings: &LifeSettings,
        now: &Snapshot,
        worked: Option<&Snapshot>,
    ) -> Result<Vec<Place>, LifeRefusal> {
        let (residual, _) = read(now, &case.job, &self.angles)?;
        let worked = worked.map(|state| read(state, &case.job, &self.angles)).transpose()?;
        let mut places = Vec::new();
        for line in &self.all {
            let hole = &case.job.plate.holes[line.hole].name;
            let Some(left) = same(&residual, hole, line.angle_deg) else { continue };
            let before = worked.as_ref().and_then(|(all, _)| same(all, hole, line.angle_deg));
            let place = Place {
                hole: hole.clone(),
                angle_deg: line.angle_deg,
                origin: CrackOrigin::Hole,
                geometry: line.geometry,
                load_hoop: line.unit.clone(),
                residual_hoop: left.hoop(),
                worked_hoop: before.map(StressPath::hoop),
            };
            if let Some(edge) = line.plate_edge.filter(|_| settings.edge_cracks) {
                places.extend(at_plate_edge(&place, edge, settings.initial_flaw));
            }
            places.push(place);
        }
        // Stable: the order of the lines stays within each kind.
        places.sort_by_key(|place| place.origin == CrackOrigin::PlateEdge);
        Ok(places)
    }
}

fn error_of(hole: &str, angle_deg: f64, error: CrackError) -> LifeRefusal {
    LifeRefusal::Crack { hole: hole.to_owned(), angle_deg, error }
}

/// The crack that starts at the other end of the line of `place`, when the flaw fits there.
fn at_plate_edge(place: &Place, edge: f64, flaw: f64) -> Option<Place> {
    let reversed = |profile: &Profile| {
        let pairs = profile.distances().iter().zip(profile.values()).rev();
        let (x, value) = pairs.map(|(x, value)| ((edge - x).max(0.0), *value)).unzip();
        Profile::new(x, value)
    };
    let geometry = CrackGeometry::at_plate_edge(edge).ok()?;
    geometry.valid_length(flaw).ok()?;
    Some(Place {
        origin: CrackOrigin::PlateEdge,
        geometry,
        load_hoop: reversed(&place.load_hoop),
        residual_hoop: reversed(&place.residual_hoop),
        worked_hoop: place.worked_hoop.as_ref().map(reversed),
        ..place.clone()
    })
}

fn same<'r>(stage: &'r StageResult, hole: &str, angle_deg: f64) -> Option<&'r StressPath> {
    let near = |other: &&StressPath| (other.angle_deg - angle_deg).abs() < SAME_ANGLE;
    stage.paths.iter().filter(|other| other.hole == hole).find(near)
}

/// The paths of a hole that a crack may take.
fn pulled<'r>(loaded: &'r StageResult, hole: &str, wanted: &[f64]) -> Vec<&'r StressPath> {
    let edge = |path: &StressPath| path.points.first().map_or(0.0, |point| point.stress.hoop);
    let own: Vec<&StressPath> = loaded.paths.iter().filter(|path| path.hole == hole).collect();
    if !wanted.is_empty() {
        let asked = |path: &&StressPath| {
            wanted.iter().any(|angle| (angle - path.angle_deg).abs() < SAME_ANGLE)
        };
        return own.into_iter().filter(asked).collect();
    }
    let highest = own.iter().map(|path| edge(path)).fold(0.0, f64::max);
    own.into_iter().filter(|path| edge(path) > 0.0 && edge(path) >= PULLED * highest).collect()
}

fn line(
    case: &Case,
    settings: &LifeSettings,
    index: usize,
    path: &StressPath,
    warnings: &mut Vec<String>,
) -> Result<Line, CrackError> {
    let plate = &case.job.plate;
    let hole = &plate.holes[index];
    let radius = path.points.first().map_or(hole.radius(), |p| hole.distance_to(p.position));
    let angle = path.angle_deg.to_radians();
    let ends = [angle, angle + std::f64::consts::PI].map(|direction| {
        let end = plate.distance_to_outline_along(hole.centre, direction);
        if let Obstacle::Hole(other) = end.at {
            let other = &plate.holes[other].name;
            let text = format!(
                "holes {} and {other} face each other: the neighbour counts as a free edge for a crack, \
                 which leaves out that it is curved and may crack itself",
                hole.name
            );
            let turned = text.replace(
                &format!("holes {} and {other}", hole.name),
                &format!("holes {other} and {}", hole.name),
            );
            if !warnings.contains(&text) && !warnings.contains(&turned) {
                warnings.push(text);
            }
        }
        end
    });
    let [ahead, behind] = [ends[0].distance, ends[1].distance];
    let sides = if settings.two_cracks { CrackSides::Two } else { CrackSides::One };
    let geometry = CrackGeometry::new(radius, sides)?.with_edges(Some(ahead), Some(behind))?;
    geometry.valid_length(settings.initial_flaw)?;
    let hoop = path.hoop();
    let unit = hoop.values().iter().map(|stress| stress / settings.tension).collect();
    let near = !matches!(ends[0].at, Obstacle::Hole(_)) && ahead <= NEAR_EDGE * 2.0 * radius;
    Ok(Line {
        hole: index,
        angle_deg: path.angle_deg,
        geometry,
        unit: Profile::new(hoop.distances().to_vec(), unit),
        plate_edge: near.then(|| hoop.distances().last().copied()).flatten(),
    })
}
