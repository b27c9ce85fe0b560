//! A hole far from everything in an elastic plate that is pulled.

use crate::geometry::plate::Outline;
use crate::numeric::profile::Profile;
use crate::process::job::Job;
use crate::result::closed_form::surroundings::{FAR, Surroundings};
use crate::result::closed_form::{ClosedForm, PIECES, difference};
use crate::result::path::StressPath;
use crate::theory::plate_hole::PlateHole;

/// Directions whose profiles agree to this share of the stress are one.
const SAME: f64 = 1e-9;

/// Kirsch's stress along the `paths` of a hole of radius `inner`, one form a path; paths that
/// say the same share the first's. The label of the snapshot is left empty.
pub(super) fn forms(
    job: &Job,
    (inner, paths): (f64, &[&StressPath]),
    surroundings: Surroundings,
    tractions: &[(String, f64)],
    reach: impl Fn(&StressPath) -> f64,
) -> Result<Vec<ClosedForm>, String> {
    if surroundings.free() < FAR * inner {
        return Err(format!(
            "an edge or hole is nearer than {FAR} hole radii, too near for an infinite plate"
        ));
    }
    let remote = remote(job, tractions)?;
    let plate = PlateHole::biaxial(inner, remote, 0.0).map_err(|error| error.to_string())?;
    let hoop = |path: &StressPath, distance: f64| {
        let (sin, cos) = path.angle_deg.to_radians().sin_cos();
        let r = inner + distance;
        plate.polar([r * cos, r * sin]).ok().map(|polar| polar.hoop)
    };
    let size = remote[0].abs().max(remote[1].abs());
    let mut found: Vec<ClosedForm> = Vec::new();
    for path in paths {
        let reach = reach(path);
        let distances: Vec<f64> =
            (0..=PIECES).map(|k| reach * f64::from(k) / f64::from(PIECES)).collect();
        let values: Option<Vec<f64>> = distances.iter().map(|d| hoop(path, *d)).collect();
        let Some(values) = values else { continue };
        let edge = values.first().copied().unwrap_or(0.0);
        let twin = found.iter().any(|form| {
            let other = form.profile.values().first().copied().unwrap_or(0.0);
            (other - edge).abs() <= SAME * size
        });
        if twin {
            continue;
        }
        found.push(ClosedForm {
            stage: String::new(),
            angle_deg: Some(path.angle_deg),
            name: "Kirsch, elastic".to_owned(),
            statement: format!(
                "Kirsch 1898: hole in an infinite elastic plate under the remote stress of the case; {}; \
                 nothing has yielded.",
                surroundings.words(inner)
            ),
            profile: Profile::new(distances, values),
            largest_difference: difference(std::iter::once(*path), reach, hoop),
        });
    }
    Ok(found)
}

/// Remote stresses along x and y, MPa, when opposite edges are pulled alike.
fn remote(job: &Job, tractions: &[(String, f64)]) -> Result<[f64; 2], String> {
    let on = |name: &str| -> f64 {
        tractions.iter().filter(|(edge, _)| edge == name).map(|(_, stress)| stress).sum()
    };
    let alike = |one: f64, other: f64| (one - other).abs() <= SAME * one.abs().max(other.abs());
    match job.plate.outline {
        Outline::Rectangle { .. } => {
            let [left, right, bottom, top] = ["left", "right", "bottom", "top"].map(on);
            if alike(left, right) && alike(bottom, top) {
                return Ok([left, bottom]);
            }
            Err("opposite edges are not pulled alike".to_owned())
        }
        Outline::Disc { .. } => Ok([on("rim"); 2]),
        Outline::Loops(_) => Err("the outline is neither a rectangle nor round".to_owned()),
    }
}
