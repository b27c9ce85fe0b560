//! From snapshot to everything a reader may want of it.
//!
//! Floor 5, `result`.

use crate::geometry::plate::Plate;
use crate::process::job::Job;
use crate::process::snapshot::Snapshot;
use crate::result::numbers;
use crate::result::recovery::{recover, reverse_strain};
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
    let plate = &job.plate;
    let tables = Tables::new(&snapshot.mesh, plate.thickness)?;
    let nodal = recover(snapshot, &plate.holes, &tables.positions);
    let points: Vec<PointValues> = tables
        .positions
        .iter()
        .enumerate()
        .map(|(point, &position)| PointValues {
            position,
            stress: snapshot.state.stress[point].into(),
            equivalent_plastic_strain: snapshot.state.points[point].equivalent,
            reverse_plastic_strain: reverse_strain(snapshot, point),
        })
        .collect();
    let mut paths = Vec::new();
    let mut reverse = Vec::new();
    {
        let sampler = Sampler::new(&snapshot.mesh, &nodal, &points, plate);
        // The reverse-yield extent is read along the same paths.
        let mut flipped = nodal.clone();
        std::mem::swap(&mut flipped.equivalent_plastic_strain, &mut flipped.reverse_plastic_strain);
        let reverse_sampler = Sampler::new(&snapshot.mesh, &flipped, &points, plate);
        for (index, _) in plate.holes.iter().enumerate() {
            let extra = extra_angles.get(index).map_or(&[][..], Vec::as_slice);
            for angle in path_angles(plate, index, extra) {
                paths.push(sampler.path(index, angle));
                reverse.push(
                    reverse_sampler
                        .path(index, angle)
                        .profile(|point| point.equivalent_plastic_strain),
                );
            }
        }
    }
    let contact = snapshot.tools.last().map(|tool| (tool.hole, tool.pressures.clone()));
    let result = StageResult {
        label: snapshot.label.clone(),
        heading: snapshot.heading.clone(),
        mesh: snapshot.mesh.clone(),
        nodal,
        points,
        contact,
        paths,
    };
    let summary = numbers::summarise(snapshot, job, &tables, &result, &reverse);
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

/// Takes the rounding off an angle that is a whole number of degrees.
fn round_axis(degrees: f64) -> f64 {
    if (degrees - degrees.round()).abs() < SAME_ANGLE { degrees.round() } else { degrees }
}
