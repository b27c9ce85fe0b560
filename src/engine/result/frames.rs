//! Reading the frames of a followed run: nodal fields, and the path through the watched place.

use crate::process::job::Job;
use crate::process::trace::{Frame, Trace};
use crate::result::path::StressPath;
use crate::result::recovery::{PointFields, across, plain_class, recover_points};
use crate::result::sampling::Sampler;
use crate::result::stage::{NodalFields, PointValues};
use crate::solver::tables::{FoldedElement, Tables};

/// A frame of `trace` read at the nodes, and along the path that leaves the watched hole in the
/// watched direction.
///
/// # Errors
///
/// [`FoldedElement`] when the mesh of the frame is not one that was solved on.
pub fn read_frame(
    trace: &Trace,
    frame: &Frame,
    job: &Job,
) -> Result<(NodalFields, StressPath), FoldedElement> {
    let tables = Tables::new(&frame.mesh, job.measure())?;
    let nodal = nodal_fields(frame, job, &tables);
    let points: Vec<PointValues> = tables
        .positions
        .iter()
        .enumerate()
        .map(|(point, &position)| PointValues {
            position,
            stress: frame.stress[point].into(),
            equivalent_plastic_strain: frame.equivalent[point],
            reverse_plastic_strain: frame.reverse[point],
            class: class(frame, point),
        })
        .collect();
    let watched = trace.watched();
    let degrees = watched.angle.to_degrees();
    // Radians of a whole number of degrees do not come back exactly.
    let degrees = if (degrees - degrees.round()).abs() < 1e-9 { degrees.round() } else { degrees };
    let path = Sampler::new(&frame.mesh, &nodal, &points, job).path(watched.hole, degrees);
    Ok((nodal, path))
}

/// The nodal fields of a frame alone.
///
/// # Errors
///
/// [`FoldedElement`] as [`read_frame`].
pub fn frame_fields(frame: &Frame, job: &Job) -> Result<NodalFields, FoldedElement> {
    Ok(nodal_fields(frame, job, &Tables::new(&frame.mesh, job.measure())?))
}

/// A frame does not know in which steps points have yielded.
fn class(frame: &Frame, point: usize) -> u64 {
    plain_class(frame.equivalent[point], frame.reverse[point] > 0.0)
}

fn nodal_fields(frame: &Frame, job: &Job, tables: &Tables) -> NodalFields {
    let fields =
        PointFields { mesh: &frame.mesh, stress: &frame.stress, displacement: &frame.displacement };
    let strains = |point: usize| {
        let (stress, flow) = (&frame.conjugate[point], &frame.plastic_strain[point]);
        let metal = job.material_of(frame.mesh.region_of_point(point));
        let region = usize::from(frame.mesh.region_of_point(point));
        let free = frame.free_strain.get(region).copied().unwrap_or(0.0);
        let across = across((job, metal, free), stress, flow, frame.axial_strain);
        [frame.equivalent[point], frame.reverse[point], across]
    };
    recover_points(fields, strains, |point| class(frame, point), job, &tables.positions)
}
