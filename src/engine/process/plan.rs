//! From the work ahead to the mesh it needs: ream lines, sleeve slits, mirror lines.

use crate::geometry::outline::Loops;
use crate::material::hardening::Material;
use crate::mesh::plan::{HolePlan, MeshPlan, RegionPlan};
use crate::mesh::symmetry;
use crate::mesh::topology::Symmetry;
use crate::process::job::Job;
use crate::process::stage::Stage;

/// Pressure of a fully worked hole over the flow stress. The perfectly plastic sheet of
/// Nádai stops at 2/√3 = 1.155; most expansions come close.
const PRESSURE_OVER_FLOW: f64 = 1.1;

/// Edges that mirror to within this share of the plate do.
const ON_LINE: f64 = 1e-9;

/// The mesh that `job` asks for.
#[must_use]
pub fn mesh_plan(job: &Job) -> MeshPlan {
    let mut holes = vec![HolePlan::default(); job.plate.holes.len()];
    let mut directions = Vec::new();
    // Displacement of the edge that each hole is expected to keep, mm.
    let mut kept = vec![0.0; holes.len()];
    // What is done to the bore of a bush needs no lines in the plate.
    let mut bushed = vec![false; holes.len()];
    for stage in &job.stages {
        match stage {
            Stage::Bush(bush) => bushed[bush.hole] = true,
            Stage::Expand { hole, tool } => {
                let radius = job.plate.holes[*hole].radius();
                let metal = job.material_of(job.region_of_hole(*hole));
                let driven = 0.5 * tool.acting_diameter() - radius;
                kept[*hole] = (driven - springback(metal, radius, driven)).max(0.0);
                if tool.offset[0] != 0.0 || tool.offset[1] != 0.0 {
                    directions.push((*hole, tool.offset[1].atan2(tool.offset[0])));
                }
                if let Some(split) = tool.split {
                    let (from, to) = (split.angle - 0.5 * split.gap, split.angle + 0.5 * split.gap);
                    holes[*hole].gap = Some((from, to));
                    directions.push((*hole, split.angle));
                }
            }
            Stage::Ream { hole, diameter, offset } => {
                if offset[0] != 0.0 || offset[1] != 0.0 {
                    directions.push((*hole, offset[1].atan2(offset[0])));
                }
                let radius = job.plate.holes[*hole].radius();
                let cut = 0.5 * diameter;
                // A displacement that falls off as 1/r, as outside the yielded metal.
                let reference = cut - kept[*hole] * radius / cut;
                if !bushed[*hole] && holes[*hole].cut_radii.is_empty() && reference > radius {
                    holes[*hole].cut_radii.push(reference);
                }
            }
            Stage::Fasten { .. }
            | Stage::Unfasten { .. }
            | Stage::Join { .. }
            | Stage::Detach { .. }
            | Stage::Temperature { .. }
            | Stage::Load { .. }
            | Stage::Service { .. } => {}
        }
    }
    let symmetry = if job.numerics.use_symmetry {
        let found = symmetry::detect(&job.plate, &directions);
        Symmetry {
            x: found.x.filter(|line| edges_mirror(job, 0, *line) && regions_mirror(job, 0, *line)),
            y: found.y.filter(|line| edges_mirror(job, 1, *line) && regions_mirror(job, 1, *line)),
        }
    } else {
        Symmetry::default()
    };
    let regions = job.regions.iter().map(|region| RegionPlan {
        outline: region.outline.clone(),
        relative_thickness: region.thickness.map_or(1.0, |own| own / job.plate.thickness),
    });
    let regions = regions.collect();
    MeshPlan { fineness: job.numerics.fineness, symmetry, holes, regions }
}

/// Whether every region and every doubler is its own mirror image about a line.
fn regions_mirror(job: &Job, axis: usize, line: f64) -> bool {
    let slack = ON_LINE * job.plate.outline.extent();
    let regions = job.regions.iter().map(|region| &region.outline);
    regions.chain(job.doublers().map(|doubler| &doubler.outline)).all(|outline| {
        let alone = Loops { outer: outline.clone(), inner: Vec::new() };
        alone.mirrors(axis, line, slack, |_| ())
    })
}

/// Whether what is done to the edges, supports and loads, mirrors about a line.
fn edges_mirror(job: &Job, axis: usize, line: f64) -> bool {
    let outline = &job.plate.outline;
    let loops = outline.loops();
    let slack = ON_LINE * outline.extent();
    let hold = |name: &str| job.supports.iter().find(|s| s.edge == name).map(|s| s.hold);
    let loads = job.stages.iter().filter_map(Stage::load);
    loops.mirrors(axis, line, slack, hold)
        && loads.into_iter().all(|load| {
            // A force on a pin that stands on the line mirrors when it lies along it.
            let along = load.bearing.iter().all(|(_, force)| force[axis] == 0.0);
            let stress = |name: &str| -> f64 {
                load.tractions.iter().filter(|(edge, _)| edge == name).map(|(_, s)| s).sum()
            };
            along && loops.mirrors(axis, line, slack, stress)
        })
}

/// Elastic recovery of a hole edge of `radius` mm that was driven out by `driven` mm, mm:
/// `(1 + ν) p r / E` of an infinite sheet, from the pressure of a fully worked hole.
#[must_use]
pub fn springback(material: &Material, radius: f64, driven: f64) -> f64 {
    let elastic = &material.elasticity;
    let flow = material.monotonic_stress(2.0 * driven / radius);
    let pressure = PRESSURE_OVER_FLOW * flow;
    (1.0 + elastic.poissons_ratio) * pressure * radius / elastic.youngs_modulus
}
