//! The numbers of one snapshot.

use crate::element::kernel::{PointGeometry, strain};
use crate::element::nominal::gradient;
use crate::material::idealisation::Idealisation;
use crate::material::logarithmic::Deformation;
use crate::material::plane_stress::thickness_strain;
use crate::material::state::YIELDED;
use crate::material::strains::Strains;
use crate::mesh::check::measure;
use crate::numeric::profile::{Extreme, Profile};
use crate::process::job::Job;
use crate::process::snapshot::Snapshot;
use crate::result::fit::bushes;
use crate::result::path::{PathPoint, StressPath};
use crate::result::shape::{bulge, diameters};
use crate::result::stage::StageResult;
use crate::result::summary::{EdgeSummary, HoleSummary, PathSummary, SectionSummary, StageSummary};
use crate::solver::state::State;
use crate::solver::tables::Tables;

/// Stress that is rounding, MPa: no metal yields at it, and no reading is as fine.
const NO_STRESS: f64 = 1e-6;

/// Summarises `snapshot`.
#[must_use]
pub fn summarise(
    snapshot: &Snapshot,
    job: &Job,
    tables: &Tables,
    result: &StageResult,
) -> StageSummary {
    let residual_state = !snapshot.loaded;
    StageSummary {
        stage: snapshot.label.clone(),
        holes: (0..job.plate.holes.len())
            .map(|index| hole_numbers(snapshot, job, result, index))
            .collect(),
        loaded: snapshot.loaded,
        paths: result.paths.iter().map(|path| path_numbers(path, residual_state)).collect(),
        bushes: bushes(snapshot, job, result),
        edges: snapshot
            .mesh
            .edges
            .iter()
            .map(|edge| EdgeSummary {
                edge: edge.name.clone(),
                bulge: bulge(&snapshot.mesh, &snapshot.state.displacement, &edge.sides),
                support_force: snapshot
                    .support_forces
                    .iter()
                    .find(|(held, _)| *held == edge.name)
                    .map(|(_, force)| *force),
            })
            .collect(),
        sections: if residual_state { sections(&result.paths, job) } else { Vec::new() },
        increments: snapshot.history.len(),
        iterations: snapshot.iterations(),
        factorizations: snapshot.factorizations,
        equilibrium_residual: snapshot.residual(),
        energy_imbalance: snapshot.state.energy.imbalance(),
        axial_stress_error: (job.idealisation == Idealisation::PlaneStress).then(|| {
            let largest =
                snapshot.state.stress.iter().map(|stress| stress[2].abs()).fold(0.0, f64::max);
            largest / job.material.yield_stress
        }),
        net_axial_force: (job.idealisation == Idealisation::GeneralisedPlaneStrain).then(|| {
            let volumes = tables.volumes();
            let (mut force, mut area) = (0.0, 0.0);
            for (stress, volume) in snapshot.state.conjugate.iter().zip(volumes) {
                force += stress[2] * volume;
                area += volume;
            }
            (force / (area * job.material.yield_stress)).abs()
        }),
        largest_strain: largest_strain(snapshot, job, tables),
        smallest_scaled_jacobian: smallest_scaled_jacobian(snapshot, job),
        largest_penetration: snapshot.tools.iter().map(|tool| tool.penetration).fold(0.0, f64::max),
        joints: snapshot.joint_readings.clone(),
    }
}

/// Numbers of one path; `unloaded` says whether the edge is bare and no load acts.
#[must_use]
pub fn path_numbers(path: &StressPath, unloaded: bool) -> PathSummary {
    let hoop = path.hoop();
    let largest = hoop.values().iter().fold(0.0_f64, |top, value| top.max(value.abs()));
    let stressed = largest > NO_STRESS;
    let peak = |extreme: Option<Extreme>, wanted: fn(f64) -> bool| {
        extreme.filter(|e| stressed && wanted(e.value)).map(|e| [e.value, e.distance])
    };
    let depth = compression_depth(&hoop).filter(|_| stressed);
    // The compression of this hole, not that of a neighbour at the other end of the path.
    let own = depth.map_or_else(|| hoop.clone(), |depth| hoop.up_to(depth));
    let edge = path.points.first();
    let edge_error = edge.filter(|_| unloaded).map(|edge| {
        let stray = edge.stress.radial.abs().max(edge.stress.shear.abs());
        // Rounding over rounding says nothing.
        if stressed { stray / largest } else { 0.0 }
    });
    PathSummary {
        hole: path.hole.clone(),
        angle_deg: path.angle_deg,
        edge_hoop: edge.map_or(f64::NAN, |edge| edge.stress.hoop),
        peak_compression: peak(own.lowest(), |value| value < 0.0),
        compression_depth: depth,
        peak_tension: peak(hoop.highest(), |value| value > 0.0),
        plastic_extent: extent(&path.profile(|point| point.equivalent_plastic_strain)),
        reverse_yield_extent: extent(&path.profile(|point| point.reverse_plastic_strain)),
        edge_error,
    }
}

/// Distance at which the compression that starts at or next to the edge ends.
fn compression_depth(hoop: &Profile) -> Option<f64> {
    let start = hoop.values().iter().position(|&value| value < 0.0)?;
    let from = hoop.distances()[start];
    hoop.crossings(0.0).into_iter().find(|&crossing| crossing > from)
}

/// Distance to which the metal has yielded without a break, from the edge on; 0 when the edge
/// itself has not. A kink of the path ends it, where the strain is [`YIELDED`].
///
/// The recovered strain of a yielded element spreads into the next one, so the border found
/// between the last yielded point of the path and the first unyielded one depends on where nodes
/// lie. Near its border the strain of a hardening metal falls about as the square of the
/// distance; its root is therefore carried on from the two last yielded points.
fn extent(strain: &Profile) -> f64 {
    let (distances, values) = (strain.distances(), strain.values());
    let Some(first) = values.iter().position(|value| *value <= YIELDED) else {
        return distances.last().copied().unwrap_or(0.0);
    };
    if first == 0 {
        return 0.0;
    }
    if values[first] >= YIELDED {
        return distances[first];
    }
    let root = |k: usize| values[k].sqrt();
    let last = first - 1;
    let between = distances[last]
        + (root(last) - YIELDED.sqrt()) / (root(last) - root(first))
            * (distances[first] - distances[last]);
    let fall = match last.checked_sub(1) {
        Some(before) => (root(before) - root(last)) / (distances[last] - distances[before]),
        None => 0.0,
    };
    if fall <= 0.0 {
        return between;
    }
    between.min(distances[last] + (root(last) - YIELDED.sqrt()) / fall)
}

fn hole_numbers(snapshot: &Snapshot, job: &Job, result: &StageResult, index: usize) -> HoleSummary {
    let hole = &job.plate.holes[index];
    let status = &snapshot.holes[index];
    let tool = snapshot.tools.iter().find(|tool| tool.hole == index);
    let shape = diameters(&snapshot.mesh, &snapshot.state.displacement, hole, index);
    let expanded = status.applied_expansion.is_some() && !status.reamed && tool.is_none();
    HoleSummary {
        hole: hole.name.clone(),
        applied_expansion: status.applied_expansion,
        retained_expansion: expanded
            .then(|| (shape.mean - status.nominal_diameter) / status.nominal_diameter),
        mean_pressure: tool.map_or(0.0, |tool| tool.mean_pressure),
        peak_pressure: tool
            .map_or(0.0, |tool| tool.pressures.iter().map(|[_, p]| *p).fold(0.0, f64::max)),
        bearing_stress: bearing_stress(snapshot, job, index),
        mandrel_shift: tool.map_or([0.0; 2], |tool| tool.mandrel_shift),
        smallest_diameter: shape.smallest,
        largest_diameter: shape.largest,
        edge_thickness_change: edge_thickness_change(job, result, index),
        edge_margin: job.plate.edge_margin(index, diameter_in_plate(snapshot, job, index)),
    }
}

/// Diameter of the hole that the plate has, mm: a bush sits in it.
fn diameter_in_plate(snapshot: &Snapshot, job: &Job, index: usize) -> f64 {
    let first = snapshot.mesh.matings.iter().find(|mating| mating.hole == index);
    let outside = first.and_then(|mating| mating.pairs.first());
    outside.map_or(snapshot.holes[index].nominal_diameter, |pair| {
        2.0 * job.plate.holes[index].distance_to(snapshot.mesh.nodes[pair[0]])
    })
}

/// Mean change of thickness along the edge of a hole, by its drawn length.
fn edge_thickness_change(job: &Job, result: &StageResult, index: usize) -> Option<f64> {
    if job.idealisation == Idealisation::PlaneStrain {
        return None;
    }
    let hole = result.mesh.holes.get(index)?;
    let next = hole.edge.iter().skip(1).chain(hole.edge.first().filter(|_| hole.closed));
    let (mut sum, mut length) = (0.0, 0.0);
    for (&here, &there) in hole.edge.iter().zip(next) {
        let [[x0, y0], [x1, y1]] = [here, there].map(|node| result.mesh.nodes[node]);
        let apart = (x1 - x0).hypot(y1 - y0);
        let change = |node: usize| result.nodal.thickness_change[node];
        sum += 0.5 * apart * (change(here) + change(there));
        length += apart;
    }
    (length > 0.0).then(|| sum / length)
}

/// Bearing load over diameter and thickness (common practice, no source), MPa.
fn bearing_stress(snapshot: &Snapshot, job: &Job, index: usize) -> Option<f64> {
    let pin = snapshot.contacts.iter().position(|contact| contact.hole == index)?;
    let [x, y] = snapshot.state.tools.get(pin)?.bearing;
    let force = x.hypot(y) * snapshot.mesh.symmetry.copies() as f64;
    let area = snapshot.holes[index].nominal_diameter * job.thickness_of(job.region_of_hole(index));
    (force > 0.0).then(|| force / area)
}

/// Net force on every straight section that two opposite paths make, with finite strain by the
/// thickness as it stands.
fn sections(paths: &[StressPath], job: &Job) -> Vec<SectionSummary> {
    let mut sections = Vec::new();
    for path in paths.iter().filter(|path| path.angle_deg < 180.0) {
        let opposite = paths.iter().find(|other| {
            other.hole == path.hole && (other.angle_deg - path.angle_deg - 180.0).abs() < 1e-6
        });
        let Some(opposite) = opposite else { continue };
        let Some(index) = job.plate.holes.iter().position(|hole| hole.name == path.hole) else {
            continue;
        };
        // A section that ends at another hole is not a whole one.
        let whole = [path, opposite].into_iter().all(|path| {
            let end = job.plate.distance_to_outline_along(
                job.plate.holes[index].centre,
                path.angle_deg.to_radians(),
            );
            matches!(end.at, crate::geometry::ray::Obstacle::Edge(_))
        });
        // Held edges may push: the part beyond the section must be free of them.
        let held = |name: &str| job.supports.iter().any(|support| support.edge == name);
        let (centre, angle) = (job.plate.holes[index].centre, path.angle_deg.to_radians());
        if !whole || !job.plate.outline.loops().on_one_side(held, centre, angle) {
            continue;
        }
        let thinned = |point: &PathPoint| {
            let drawn = job.thickness_of(job.region_at(point.drawn)) / job.plate.thickness;
            match job.numerics.strains {
                Strains::Finite => drawn * (1.0 + point.thickness_change),
                Strains::Small => drawn,
            }
        };
        let force = |path: &StressPath| path.profile(|point| point.stress.hoop * thinned(point));
        let (a, b) = (force(path), force(opposite));
        let compressive = a.negative_integral() + b.negative_integral();
        // Nor does the balance of a section without stress.
        let length: f64 = [&a, &b].iter().filter_map(|side| side.distances().last()).sum();
        if compressive < -NO_STRESS * length {
            sections.push(SectionSummary {
                hole: path.hole.clone(),
                angle_deg: path.angle_deg,
                net_over_compressive: (a.integral() + b.integral()) / compressive.abs(),
            });
        }
    }
    sections
}

/// Shape of the worst element as the part stands.
fn smallest_scaled_jacobian(snapshot: &Snapshot, job: &Job) -> f64 {
    if job.numerics.strains == Strains::Small {
        return measure(&snapshot.mesh).smallest_scaled_jacobian;
    }
    let mut mesh = snapshot.mesh.clone();
    for (node, [u, v]) in mesh.nodes.iter_mut().zip(&snapshot.state.displacement) {
        node[0] += u;
        node[1] += v;
    }
    measure(&mesh).smallest_scaled_jacobian
}

/// Largest principal strain in magnitude, over all integration points; logarithmic unless strains
/// are small.
fn largest_strain(snapshot: &Snapshot, job: &Job, tables: &Tables) -> f64 {
    let strains = job.numerics.strains;
    let state = &snapshot.state;
    let mut largest: f64 = 0.0;
    let mut point = 0;
    let mut look = |strain: nalgebra::Vector4<f64>| {
        let axial = if job.idealisation == Idealisation::PlaneStress {
            let (stress, flow) = (&state.conjugate[point], &state.points[point].plastic_strain);
            let region = snapshot.mesh.region_of_point(point);
            thickness_strain(job.material_of(region), stress, flow) + state.free_strain_of(region)
        } else {
            strain[2]
        };
        let middle = 0.5 * (strain[0] + strain[1]);
        let radius = (0.5 * (strain[0] - strain[1])).hypot(0.5 * strain[3]);
        largest = largest.max((middle.abs() + radius).max(axial.abs()));
        point += 1;
    };
    for (nodes, points) in snapshot.mesh.quads.iter().zip(&tables.quads) {
        each_strain(nodes, points, state, strains, &mut look);
    }
    for (nodes, points) in snapshot.mesh.triangles.iter().zip(&tables.triangles) {
        each_strain(nodes, points, state, strains, &mut look);
    }
    largest
}

fn each_strain<const N: usize>(
    nodes: &[usize; N],
    points: &[PointGeometry<N>],
    state: &State,
    strains: Strains,
    look: &mut impl FnMut(nalgebra::Vector4<f64>),
) {
    let moved = nodes.map(|node| state.displacement[node]);
    for point in points {
        look(match strains {
            Strains::Small => strain(point, &moved, state.axial_strain),
            Strains::Finite => Deformation::of(&[gradient(point, &moved)], state.axial_strain).1[0],
        });
    }
}
