//! How bushes sit in their holes: pressure, gap, push-out force, hoop on either side.
//!
//! A pressure is the normal force of a pair of nodes over the area of the bush that it stands for, as
//! the bush stands; friction is counted the same way. The push-out force is the largest axial force
//! that friction bears along the bush while its pressure stays as it is, `∫ μ(p) p dA`: the wedging of
//! a bush that is squeezed along its axis is left out.

use serde::{Deserialize, Serialize};

use crate::geometry::hole::Hole;
use crate::process::job::Job;
use crate::process::snapshot::Snapshot;
use crate::result::stage::StageResult;
use crate::solver::contact::ContactStatus;
use crate::solver::mated::{MatedEdges, MatedState};

/// One place where a bush faces its hole. Lengths in mm, stresses in MPa.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct FitPoint {
    /// Direction from the centre of the hole, degrees counter-clockwise from +x.
    pub angle_deg: f64,
    /// Contact pressure, positive in compression.
    pub pressure: f64,
    /// Friction on the bush over the same area, positive clockwise: along the normal into the bush,
    /// turned by a quarter turn counter-clockwise.
    pub friction: f64,
    /// Gap; 0 where they touch.
    pub gap: f64,
    /// `open`, `stick` or `slip`.
    pub status: String,
    /// Hoop stress of the bush there.
    pub bush_hoop: f64,
    /// Hoop stress of what it sits in there.
    pub hole_hoop: f64,
}

/// A bush in numbers. Lengths in mm, stresses in MPa, force in N on the whole part.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct BushSummary {
    /// Name: that of the hole, with a number from the second bush of a hole on.
    pub name: String,
    /// Mean contact pressure over the whole edge.
    pub mean_pressure: f64,
    /// Largest contact pressure.
    pub highest_pressure: f64,
    /// Smallest one, 0 where it is open.
    pub lowest_pressure: f64,
    /// Share of the edge that touches.
    pub touching: f64,
    /// Share of the edge that touches and sticks; 0 without friction.
    pub sticking: f64,
    /// Widest gap.
    pub widest_gap: f64,
    /// Axial force that friction bears.
    pub push_out_force: f64,
    /// Smallest and largest hoop stress at its bore.
    pub bore_hoop: [f64; 2],
    /// Smallest and largest hoop stress on the edge that it sits in.
    pub hole_hoop: [f64; 2],
    /// All places of the modelled part, counter-clockwise.
    pub points: Vec<FitPoint>,
}

/// Reads every bush of `snapshot`, in the order in which they were put in.
#[must_use]
pub fn bushes(snapshot: &Snapshot, job: &Job, result: &StageResult) -> Vec<BushSummary> {
    let all = snapshot.mated.iter().zip(&snapshot.state.mated).enumerate();
    all.map(|(number, (edges, mated))| {
        let hole = &job.plate.holes[edges.mating.hole];
        let earlier = &snapshot.mated[..number];
        let before = earlier.iter().filter(|other| other.mating.hole == edges.mating.hole).count();
        let name =
            if before == 0 { hole.name.clone() } else { format!("{}-{}", hole.name, before + 1) };
        let bore = bore(snapshot, number);
        summary(name, hole, (edges, mated), snapshot, result, &bore)
    })
    .collect()
}

/// Nodes at the bore of a bush: those of the edge of the hole, or those that the next bush faces.
fn bore(snapshot: &Snapshot, number: usize) -> Vec<usize> {
    let hole = snapshot.mated[number].mating.hole;
    let next = snapshot.mated[number + 1..].iter().find(|other| other.mating.hole == hole);
    match next {
        Some(next) => next.mating.pairs.iter().map(|pair| pair[1]).collect(),
        None => snapshot.mesh.holes[hole].edge.clone(),
    }
}

fn summary(
    name: String,
    hole: &Hole,
    (edges, mated): (&MatedEdges, &MatedState),
    snapshot: &Snapshot,
    result: &StageResult,
    bore: &[usize],
) -> BushSummary {
    let hoop = |node: usize| {
        let angle = hole.angle_to(snapshot.mesh.nodes[node]);
        result.nodal.stress[node].polar(angle).hoop
    };
    let extremes = |nodes: &[usize]| {
        nodes
            .iter()
            .map(|&node| hoop(node))
            .fold([f64::INFINITY, f64::NEG_INFINITY], |[low, high], one| {
                [low.min(one), high.max(one)]
            })
    };
    let areas: Vec<f64> = mated.areas(edges).collect();
    let whole: f64 = areas.iter().sum();
    let point = |(place, push): (usize, f64)| {
        let [inner, outer] = edges.mating.pairs[place];
        let ([x, y], [nx, ny]) = (mated.force[place], mated.normals[place]);
        let gap = edges.gap(mated, place, &snapshot.mesh, &snapshot.state.displacement);
        let status = mated.status[place];
        FitPoint {
            angle_deg: hole.angle_to(snapshot.mesh.nodes[inner]).to_degrees(),
            pressure: push / areas[place],
            friction: (nx * y - ny * x) / areas[place],
            gap: if status.touches() { 0.0 } else { gap.max(0.0) },
            status: match status {
                ContactStatus::Open => "open",
                ContactStatus::Stick => "stick",
                ContactStatus::Slip(_) => "slip",
            }
            .to_owned(),
            bush_hoop: hoop(inner),
            hole_hoop: hoop(outer),
        }
    };
    let points: Vec<FitPoint> = mated.pushes().enumerate().map(point).collect();
    let share = |of: fn(&ContactStatus) -> bool| {
        let those = mated.status.iter().zip(&areas).filter(|(status, _)| of(status));
        those.map(|(_, area)| area).sum::<f64>() / whole
    };
    let outside: Vec<usize> = edges.mating.pairs.iter().map(|pair| pair[1]).collect();
    let pressures = || points.iter().map(|point| point.pressure);
    BushSummary {
        name,
        mean_pressure: edges.mean_pressure(mated),
        highest_pressure: pressures().fold(0.0, f64::max),
        lowest_pressure: pressures().fold(f64::INFINITY, f64::min),
        touching: share(|status| status.touches()),
        sticking: share(|status| *status == ContactStatus::Stick),
        widest_gap: points.iter().map(|point| point.gap).fold(0.0, f64::max),
        push_out_force: snapshot.mesh.symmetry.copies() as f64 * edges.push_out(mated),
        bore_hoop: extremes(bore),
        hole_hoop: extremes(&outside),
        points,
    }
}
