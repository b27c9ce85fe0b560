//! Where cracks may grow, and the stress along their way.
//!
//! Unless the case names directions, a crack may leave a hole along every path at whose edge the
//! load makes at least half the hoop stress that it makes on the worst path of that hole: for a pull
//! along one axis, the two paths across it.
//!
//! Two cracks are equal, and both get the stress of the path in question: at a hole that is not in
//! the middle each direction is assessed in turn and the worse one governs.
//!
//! Floor 8, `study::life`.

use crate::case::Case;
use crate::case::life::LifeSettings;
use crate::fatigue::assessment::Place;
use crate::fatigue::crack::{CrackGeometry, CrackSides};
use crate::geometry::ray::Obstacle;
use crate::numeric::profile::Profile;
use crate::process::elastic::elastic_answer;
use crate::process::snapshot::Snapshot;
use crate::result::path::StressPath;
use crate::result::read::read;
use crate::result::stage::StageResult;
use crate::study::life::refusal::LifeRefusal;

/// Share of the highest edge stress of a hole from which on a path is a place for a crack.
const PULLED: f64 = 0.5;
/// Angles closer than this, degrees, are one.
const SAME_ANGLE: f64 = 1e-6;

/// Places of all holes, and what is odd about them.
pub(super) struct Found {
    pub(super) places: Vec<Place>,
    pub(super) warnings: Vec<String>,
}

/// The last state without tool, pin and load.
#[must_use]
pub fn residual_state(snapshots: &[Snapshot]) -> Option<&Snapshot> {
    snapshots.iter().rev().find(|snapshot| snapshot.finished && !snapshot.loaded)
}

/// All places of the case at the residual state `state`.
pub(super) fn places(
    case: &Case,
    settings: &LifeSettings,
    state: &Snapshot,
) -> Result<Found, LifeRefusal> {
    let angles: Vec<Vec<f64>> = case
        .path_angles
        .iter()
        .map(|own| own.iter().chain(&settings.path).copied().collect())
        .collect();
    let (residual, _) = read(state, &case.job, &angles)?;
    let answer = elastic_answer(&case.job, state, &settings.load)?;
    let (loaded, _) = read(&answer, &case.job, &angles)?;
    let mut found = Found { places: Vec::new(), warnings: Vec::new() };
    for (index, hole) in case.job.plate.holes.iter().enumerate() {
        if settings.hole.is_some_and(|wanted| wanted != index) {
            continue;
        }
        for path in pulled(&loaded, &hole.name, &settings.path) {
            let Some(left) = same(&residual, path) else { continue };
            let geometry = geometry(case, settings, index, path, &mut found.warnings)?;
            let hoop = path.hoop();
            let unit = hoop.values().iter().map(|stress| stress / settings.tension).collect();
            found.places.push(Place {
                hole: hole.name.clone(),
                angle_deg: path.angle_deg,
                geometry,
                load_hoop: Profile::new(hoop.distances().to_vec(), unit),
                residual_hoop: left.hoop(),
            });
        }
    }
    if found.places.is_empty() { Err(LifeRefusal::NoPath) } else { Ok(found) }
}

fn same<'r>(stage: &'r StageResult, path: &StressPath) -> Option<&'r StressPath> {
    let near = |other: &&StressPath| (other.angle_deg - path.angle_deg).abs() < SAME_ANGLE;
    stage.paths.iter().filter(|other| other.hole == path.hole).find(near)
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

fn geometry(
    case: &Case,
    settings: &LifeSettings,
    index: usize,
    path: &StressPath,
    warnings: &mut Vec<String>,
) -> Result<CrackGeometry, LifeRefusal> {
    let plate = &case.job.plate;
    let hole = &plate.holes[index];
    let radius = path.points.first().map_or(hole.radius(), |p| hole.distance_to(p.position));
    let angle = path.angle_deg.to_radians();
    let [ahead, behind] = [angle, angle + std::f64::consts::PI].map(|direction| {
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
        end.distance
    });
    let sides = if settings.two_cracks { CrackSides::Two } else { CrackSides::One };
    CrackGeometry::new(radius, sides)
        .and_then(|geometry| geometry.with_edges(Some(ahead), Some(behind)))
        .map_err(|error| LifeRefusal::Crack {
            hole: hole.name.clone(),
            angle_deg: path.angle_deg,
            error,
        })
}
