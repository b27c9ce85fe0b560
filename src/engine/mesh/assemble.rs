//! The whole way from a plate to its mesh.
//!
//! The same plate and plan give the same mesh, bit for bit: every step runs in the order of
//! its lists, and no container with a random order is used.

use std::collections::BTreeMap;

use crate::geometry::piece::Piece;
use crate::geometry::plate::Plate;
use crate::mesh::angles::Sectors;
use crate::mesh::check;
use crate::mesh::fill::{Region, fill};
use crate::mesh::layers::{is_annulus, layers};
use crate::mesh::mesh_error::MeshError;
use crate::mesh::outline::{Boundary, add_outline, add_walls, name_rim};
use crate::mesh::plan::{HolePlan, MeshPlan};
use crate::mesh::region::classify;
use crate::mesh::rings::{OuterLine, add_rings};
use crate::mesh::size::SizeField;
use crate::mesh::symmetry;
use crate::mesh::topology::{Mesh, NodeId};
use crate::mesh::walls::walls;

/// Fineness outside this range is a slip of the pen: a mesh of a hundred elements or of
/// a hundred million.
const FINENESS: std::ops::RangeInclusive<f64> = 0.1..=100.0;

/// Nodes closer than this share of the plate are the same corner.
const SAME: f64 = 1e-9;

/// Most triangles of a mesh: some three million unknowns, which take ten gigabytes to solve.
const MOST_TRIANGLES: usize = 700_000;

/// A mesh of `plate`, or of the part of it that `plan.symmetry` keeps: the side where x, y
/// are not less than the mirror lines.
///
/// # Errors
///
/// - [`MeshError::Geometry`] when the plate is impossible;
/// - [`MeshError::Fineness`], [`MeshError::BadAngle`], [`MeshError::CutInsideHole`],
///   [`MeshError::NotSymmetric`] when the plan does not make sense for it;
/// - [`MeshError::NoRoom`] when a planned cut leaves no ligament;
/// - [`MeshError::TooLarge`] when the plate would take too many triangles;
/// - [`MeshError::Fill`], [`MeshError::BadElement`] when no good mesh was found.
pub fn build(plate: &Plate, plan: &MeshPlan) -> Result<Mesh, MeshError> {
    plate.check()?;
    if !FINENESS.contains(&plan.fineness) {
        return Err(MeshError::Fineness(plan.fineness));
    }
    let symmetry = symmetry::hold(plate, plan.symmetry)?;
    let mut mesh = Mesh { symmetry, ..Mesh::default() };

    let default = HolePlan::default();
    let mut rings: Vec<OuterLine> = Vec::with_capacity(plate.holes.len());
    let mut sectors: Vec<Sectors> = Vec::with_capacity(plate.holes.len());
    let mut across: Vec<(Piece, f64)> = Vec::new();
    let mut in_rings: Vec<usize> = Vec::new();
    let hole_plan = |index: usize| plan.holes.get(index).unwrap_or(&default);
    for index in 0..plate.holes.len() {
        sensible(plate, index, hole_plan(index))?;
    }
    for (index, hole) in plate.holes.iter().enumerate() {
        let lines = layers(plate, plan, index)?;
        let around =
            Sectors::new(hole_plan(index), symmetry, lines.sector, &lines.facing, plan.fineness);
        rings.push(add_rings(&mut mesh, hole, &lines, &around, symmetry));
        sectors.push(around);
        across.extend(lines.across);
        in_rings.extend(lines.regions);
    }

    if is_annulus(plate, &plan.regions) {
        for rim in &rings {
            name_rim(&mut mesh, rim);
        }
    } else {
        let loops = plate.outline.loops();
        let slack = SAME * plate.outline.extent();
        let outlines = plan.regions.iter().enumerate().filter(|(at, _)| !in_rings.contains(at));
        let walls: Vec<Piece> = outlines
            .flat_map(|(_, region)| walls(&region.outline, &loops, symmetry, slack))
            .collect();
        let around = rings.iter().zip(&sectors).collect();
        let size = SizeField::new(&loops, &walls, around, &across, plan.fineness);
        let expected = size.expected_triangles(&loops, symmetry, MOST_TRIANGLES);
        if expected > MOST_TRIANGLES {
            return Err(MeshError::TooLarge { most: MOST_TRIANGLES });
        }
        let boundary = Boundary { loops: &loops, symmetry, rings: &rings, size: &size, slack };
        let (mut sides, mut ends) = add_outline(&mut mesh, &boundary, &walls);
        sides.extend(rings.iter().flat_map(OuterLine::sides));
        let within = add_walls(&mut mesh, &boundary, &walls, &mut ends);
        let region = Region { loops: &loops, walls: &walls, symmetry, rings: &rings, size: &size };
        let corners = fill(&mut mesh, &region, &sides, &within)?;
        sides.extend(within);
        add_triangles(&mut mesh, &corners, &sides);
    }
    mesh.mirror_nodes_x = on_line(&mesh, 0, symmetry.x);
    mesh.mirror_nodes_y = on_line(&mesh, 1, symmetry.y);
    classify(&mut mesh, &plan.regions);
    check::accept(&mesh)?;
    Ok(mesh)
}

/// Whether what is asked of a hole can be meant.
fn sensible(plate: &Plate, index: usize, plan: &HolePlan) -> Result<(), MeshError> {
    let hole = &plate.holes[index];
    let gap = plan.gap.unwrap_or((0.0, 1.0));
    let finite = plan.key_angles.iter().chain([&gap.0, &gap.1]).all(|angle| angle.is_finite());
    if !finite || (gap.1 - gap.0).rem_euclid(std::f64::consts::TAU) < 1e-6 {
        return Err(MeshError::BadAngle { hole: hole.name.clone() });
    }
    match plan.cut_radii.iter().find(|cut| !cut.is_finite() || **cut <= hole.radius()) {
        Some(&cut) => {
            Err(MeshError::CutInsideHole { hole: hole.name.clone(), cut, radius: hole.radius() })
        }
        None => Ok(()),
    }
}

/// Adds 6-node triangles; mid-side nodes of the boundary are the ones it has already.
fn add_triangles(mesh: &mut Mesh, corners: &[[NodeId; 3]], sides: &[[NodeId; 3]]) {
    let key = |a: NodeId, b: NodeId| (a.min(b), a.max(b));
    let mut middles: BTreeMap<(NodeId, NodeId), NodeId> =
        sides.iter().map(|&[start, middle, end]| (key(start, end), middle)).collect();
    for &[a, b, c] in corners {
        let [ab, bc, ca] = [(a, b), (b, c), (c, a)].map(|(start, end)| {
            *middles.entry(key(start, end)).or_insert_with(|| {
                let (p, q) = (mesh.nodes[start], mesh.nodes[end]);
                mesh.nodes.push([0.5 * (p[0] + q[0]), 0.5 * (p[1] + q[1])]);
                mesh.nodes.len() - 1
            })
        });
        mesh.triangles.push([a, b, c, ab, bc, ca]);
    }
}

/// Nodes exactly on a mirror line. They were put there exactly, and no others can be.
#[allow(clippy::float_cmp)]
fn on_line(mesh: &Mesh, axis: usize, line: Option<f64>) -> Vec<NodeId> {
    line.map_or_else(Vec::new, |line| {
        (0..mesh.nodes.len()).filter(|&node| mesh.nodes[node][axis] == line).collect()
    })
}
