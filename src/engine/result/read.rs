//! From snapshot to everything a reader may want of it.

use crate::geometry::plate::Plate;
use crate::mesh::region::parted;
use crate::process::job::Job;
use crate::process::snapshot::Snapshot;
use crate::result::numbers;
use crate::result::path::PathLine;
use crate::result::recovery::{class, recover, reverse_strain};
use crate::result::sampling::Sampler;
use crate::result::stage::{PointValues, StageResult};
use crate::result::summary::StageSummary;
use crate::solver::tables::{FoldedElement, Tables};

/// Path angles closer than this, degrees, are one path.
const SAME_ANGLE: f64 = 1e-6;

/// Reads fields, paths and numbers of `snapshot`.
///
/// `extra_angles[hole]` are directions in degrees beyond the automatic ones.
///
/// # Errors
///
/// [`FoldedElement`] when the mesh of the snapshot is not one that was solved on.
pub fn read(
    snapshot: &Snapshot,
    job: &Job,
    extra_angles: &[Vec<f64>],
) -> Result<(StageResult, StageSummary), FoldedElement> {
    // A place of the plane belongs to the plate alone.
    let snapshot = &*snapshot.plate_alone();
    let plate = &job.plate;
    let (mesh, origin) = parted(&snapshot.mesh);
    let displacement = origin.iter().map(|&node| snapshot.state.displacement[node]);
    let displacement: Vec<[f64; 2]> = displacement.collect();
    let tables = Tables::new(&mesh, job.measure())?;
    let nodal = recover(snapshot, (&mesh, &displacement), job, &tables.positions);
    let points: Vec<PointValues> = tables
        .positions
        .iter()
        .enumerate()
        .map(|(point, &position)| PointValues {
            position,
            stress: snapshot.state.stress[point].into(),
            equivalent_plastic_strain: snapshot.state.points[point].equivalent,
            reverse_plastic_strain: reverse_strain(snapshot, point),
            class: class(snapshot, point),
        })
        .collect();
    let sampler = Sampler::new(&mesh, &nodal, &points, job);
    let paths = (0..plate.holes.len())
        .flat_map(|index| {
            let extra = extra_angles.get(index).map_or(&[][..], Vec::as_slice);
            path_angles(plate, index, extra).into_iter().map(move |angle| (index, angle))
        })
        .map(|(index, angle)| sampler.path(index, angle))
        .collect();
    let contact = snapshot.tools.last().map(|tool| (tool.hole, tool.pressures.clone()));
    let result = StageResult {
        label: snapshot.label.clone(),
        heading: snapshot.heading.clone(),
        loaded: snapshot.loaded,
        mesh: mesh.into_owned(),
        nodal,
        points,
        contact,
        paths,
    };
    let summary = numbers::summarise(snapshot, job, &tables, &result);
    Ok((result, summary))
}

/// Directions of the paths of hole `index`, degrees, rising: towards the nearest edge, away
/// from it, across both ways, towards every neighbour, and those asked for.
#[must_use]
pub fn path_angles(plate: &Plate, index: usize, extra: &[f64]) -> Vec<f64> {
    let hole = &plate.holes[index];
    let nearest = round_axis(plate.nearest_edge(index).angle.to_degrees());
    let mut angles: Vec<f64> =
        [0.0, 90.0, 180.0, 270.0].iter().map(|turn| nearest + turn).collect();
    for (other, neighbour) in plate.holes.iter().enumerate() {
        if other != index {
            angles.push(round_axis(hole.angle_to(neighbour.centre).to_degrees()));
        }
    }
    angles.extend_from_slice(extra);
    for angle in &mut angles {
        *angle = angle.rem_euclid(360.0);
    }
    angles.sort_by(f64::total_cmp);
    angles.dedup_by(|a, b| (*a - *b).abs() < SAME_ANGLE);
    angles
}

/// Where the paths of `plate` run, hole by hole, angles rising; `extra_angles` as in [`read`].
#[must_use]
pub fn path_lines(plate: &Plate, extra_angles: &[Vec<f64>]) -> Vec<PathLine> {
    let mut lines = Vec::new();
    for (index, hole) in plate.holes.iter().enumerate() {
        let extra = extra_angles.get(index).map_or(&[][..], Vec::as_slice);
        for angle_deg in path_angles(plate, index, extra) {
            let angle = angle_deg.to_radians();
            let end = plate.distance_to_outline_along(hole.centre, angle).distance;
            let at = |distance: f64| {
                let [x, y] = hole.centre;
                [x + distance * angle.cos(), y + distance * angle.sin()]
            };
            lines.push(PathLine { hole: index, angle_deg, ends: [at(hole.radius()), at(end)] });
        }
    }
    lines
}

/// Takes the rounding off an angle that is a whole number of degrees.
fn round_axis(degrees: f64) -> f64 {
    if (degrees - degrees.round()).abs() < SAME_ANGLE { degrees.round() } else { degrees }
}
