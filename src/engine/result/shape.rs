//! The displaced shape of holes and edges: diameters and bulges.

use std::f64::consts::{PI, TAU};

use crate::geometry::hole::Hole;
use crate::mesh::topology::{Mesh, NodeId};

/// Directions in which diameters are measured, over half a turn.
const DIRECTIONS: usize = 180;

/// Diameters of a displaced hole, mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Diameters {
    /// Smallest over all directions.
    pub smallest: f64,
    /// Mean over all directions: what retained expansion is taken from.
    pub mean: f64,
    /// Largest over all directions.
    pub largest: f64,
}

/// Measures hole `index` of a displaced mesh, the whole of it, about the middle of its
/// displaced edge.
#[must_use]
pub fn diameters(mesh: &Mesh, displacement: &[[f64; 2]], hole: &Hole, index: usize) -> Diameters {
    let outline = whole_edge(mesh, displacement, hole, index);
    let polar = polar_about(middle(&outline), &outline);
    let radius = |angle: f64| -> f64 {
        let angle = angle.rem_euclid(TAU);
        let right = polar.partition_point(|point| point[0] < angle) % polar.len();
        let left = (right + polar.len() - 1) % polar.len();
        let (from, to) = (polar[left], polar[right]);
        let width = (to[0] - from[0]).rem_euclid(TAU);
        let share = if width > 0.0 { (angle - from[0]).rem_euclid(TAU) / width } else { 0.0 };
        from[1] + share * (to[1] - from[1])
    };
    let mut result = Diameters { smallest: f64::INFINITY, mean: 0.0, largest: 0.0 };
    for k in 0..DIRECTIONS {
        let angle = PI * k as f64 / DIRECTIONS as f64;
        let diameter = radius(angle) + radius(angle + PI);
        result.smallest = result.smallest.min(diameter);
        result.largest = result.largest.max(diameter);
        result.mean += diameter / DIRECTIONS as f64;
    }
    result
}

/// Middle of a closed line through points that lie round it: every stretch counts by its length,
/// as nodes stand closer together where the mesh is finer.
fn middle(outline: &[[f64; 2]]) -> [f64; 2] {
    let count = outline.len() as f64;
    let about = [0, 1].map(|axis| outline.iter().map(|point| point[axis]).sum::<f64>() / count);
    let ordered: Vec<[f64; 2]> = polar_about(about, outline)
        .iter()
        .map(|[angle, radius]| [about[0] + radius * angle.cos(), about[1] + radius * angle.sin()])
        .collect();
    let (mut sum, mut total) = ([0.0; 2], 0.0);
    for (k, from) in ordered.iter().enumerate() {
        let to = ordered[(k + 1) % ordered.len()];
        let length = (to[0] - from[0]).hypot(to[1] - from[1]);
        for axis in 0..2 {
            sum[axis] += 0.5 * length * (from[axis] + to[axis]);
        }
        total += length;
    }
    sum.map(|part| part / total)
}

/// `[angle, distance]` of points from `about`, rising angle from 0 to a full turn.
fn polar_about(about: [f64; 2], points: &[[f64; 2]]) -> Vec<[f64; 2]> {
    let mut polar: Vec<[f64; 2]> = points
        .iter()
        .map(|[x, y]| {
            let (dx, dy) = (x - about[0], y - about[1]);
            [dy.atan2(dx).rem_euclid(TAU), dx.hypot(dy)]
        })
        .collect();
    polar.sort_by(|a, b| a[0].total_cmp(&b[0]));
    polar
}

/// Displaced positions of the whole edge of a hole; mirrored parts are filled in.
fn whole_edge(mesh: &Mesh, displacement: &[[f64; 2]], hole: &Hole, index: usize) -> Vec<[f64; 2]> {
    let lines = [mesh.symmetry.x, mesh.symmetry.y];
    let mut outline: Vec<[f64; 2]> = mesh.holes[index]
        .edge
        .iter()
        .map(|&node| {
            [
                mesh.nodes[node][0] + displacement[node][0],
                mesh.nodes[node][1] + displacement[node][1],
            ]
        })
        .collect();
    for axis in 0..2 {
        let Some(line) = lines[axis] else { continue };
        let mut mirrored = outline.clone();
        for point in &mut mirrored {
            point[axis] = 2.0 * line - point[axis];
        }
        // Points on the line are there already; twice would weigh the middle.
        let off = 1e-9 * hole.radius();
        mirrored.retain(|point| (point[axis] - line).abs() > off);
        outline.extend(mirrored);
    }
    outline
}

/// Largest outward displacement along a named edge over the least, mm.
#[must_use]
pub fn bulge(mesh: &Mesh, displacement: &[[f64; 2]], sides: &[[NodeId; 3]]) -> f64 {
    let (mut least, mut most) = (f64::INFINITY, f64::NEG_INFINITY);
    for side in sides {
        let [from, _, to] = side.map(|node| mesh.nodes[node]);
        let (dx, dy) = (to[0] - from[0], to[1] - from[1]);
        let length = dx.hypot(dy);
        // Material lies on the left of a side, so outward is to the right.
        let outward = [dy / length, -dx / length];
        for &node in side {
            let by = displacement[node][0] * outward[0] + displacement[node][1] * outward[1];
            least = least.min(by);
            most = most.max(by);
        }
    }
    if most >= least { most - least } else { 0.0 }
}
