//! The ream: metal inside the cutter leaves with its stress, the rest finds a new balance.
//!
//! The cutter is a circle in the *deformed* part. A ring line of the mesh is moved, along
//! the radii of the drawn hole, to where its displaced nodes lie exactly on that circle;
//! lines further out move less and less, and the state is carried over to the moved points.
//! The layers inside are then taken away. What they pressed on the new edge is first held
//! by nodal forces and then given up in increments, so that the metal may yield meanwhile.

mod layers;

use nalgebra::Vector4;

use crate::element::point_field::QUAD_POINTS;
use crate::geometry::hole::Hole;
use crate::material::state::PointFlow;
use crate::mesh::topology::{HoleMesh, Mesh, NodeId};
use crate::numeric::root::bracketed_newton;
use crate::process::ream::layers::{along, direction, move_lines, remove_layers, ring_line};
use crate::process::stage_error::StageError;
use crate::process::transfer::Reader;
use crate::solver::state::{Rate, State};
use crate::solver::system::System;
use crate::solver::system_error::SystemError;
use crate::solver::tables::{Tables, measure};

/// Layers outside the cut over which the lines move, at least.
const LEAST_SPREAD: usize = 4;

/// The moved region is at least this many times as wide as the largest move, so that no
/// layer is squeezed by more than about an eighth.
const SPREAD_OVER_MOVE: f64 = 8.0;

/// A node of the edge this close (mm) inside the cutter counts as cut.
const CLEAN: f64 = 1e-9;

/// Mesh and state after the cut, before the new edge has given up its traction.
#[derive(Debug)]
pub struct Cut {
    /// The remaining mesh.
    pub mesh: Mesh,
    /// The state carried over; stresses are those of the old points and are to be recomputed.
    pub state: State,
    /// The caller's number for every remaining point.
    pub extra: Vec<f64>,
    /// For every remaining point, the one of the old mesh that it is, or that is nearest to it.
    pub old_point: Vec<usize>,
    /// Farthest move of a node of the ring line, mm.
    pub largest_move: f64,
    /// Volume of modelled metal removed, mm³.
    pub removed_volume: f64,
    /// Number in the old mesh of every node.
    pub old_node: Vec<NodeId>,
}

/// A cutter of `radius` mm on the axis `centre`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Cutter {
    /// Axis `[x, y]`, mm.
    pub centre: [f64; 2],
    /// Radius, mm.
    pub radius: f64,
}

impl Cutter {
    fn distance(&self, position: [f64; 2], displacement: [f64; 2]) -> f64 {
        let x = position[0] + displacement[0] - self.centre[0];
        let y = position[1] + displacement[1] - self.centre[1];
        x.hypot(y)
    }
}

/// Cuts hole `index` of the mesh of `system` with `cutter`; `extra` is a number kept at every
/// point (or empty).
///
/// # Errors
///
/// [`StageError::NotCleanedUp`] when the cutter misses part of the edge,
/// [`StageError::CutBeyondRings`] when the rings end inside it, [`StageError::NoRings`] when
/// there are none, and what moving the mesh may
/// run into.
pub fn cut(
    system: &System,
    state: &State,
    hole: &Hole,
    index: usize,
    cutter: Cutter,
    extra: &[f64],
) -> Result<Cut, StageError> {
    let mesh = &system.mesh;
    let rings = &mesh.holes[index];
    if rings.layers == 0 {
        return Err(StageError::NoRings { hole: hole.name.clone() });
    }
    clean_up(mesh, state, hole, rings, cutter)?;
    let bush = mesh.matings.iter().rev().find(|mating| mating.hole == index);
    let reader = match bush {
        None => Reader::new(system, state),
        // Drawn, a bush may lie over the hole it was pressed into.
        Some(bush) => Reader::of_region(system, state, bush.region),
    };
    let mut lines: Vec<Vec<NodeId>> =
        (0..=rings.layers).map(|line| ring_line(mesh, rings, line)).collect();
    // Lines where regions meet stay where they are.
    let fixed = mesh.region_lines(rings);
    let mut last_line = rings.layers;
    if let (Some(bush), Some(&end)) = (bush, fixed.first()) {
        lines[end] = bush.pairs.iter().map(|pair| pair[0]).collect();
        last_line = end;
    }
    let from_centre = |node: &NodeId| hole.distance_to(mesh.nodes[*node]);
    let mean = |distances: &[f64]| distances.iter().sum::<f64>() / distances.len() as f64;
    let radii: Vec<f64> = lines
        .iter()
        .map(|line| mean(&line.iter().map(from_centre).collect::<Vec<f64>>()))
        .collect();

    let outermost = radii[last_line];
    let targets = where_cut(mesh, hole, cutter, (&lines[0], outermost), &reader)?;
    let mean = mean(&targets);
    let chosen = (1..last_line)
        .filter(|line| !fixed.contains(line))
        .filter(|&line| stays_between(&radii, &fixed, line, &targets))
        .min_by(|&a, &b| (radii[a] - mean).abs().total_cmp(&(radii[b] - mean).abs()))
        .ok_or_else(|| beyond(hole, cutter, outermost))?;
    let moves = targets.iter().zip(&lines[chosen]).map(|(target, node)| target - from_centre(node));
    let largest_move = moves.map(f64::abs).fold(0.0, f64::max);
    let last = fixed.iter().copied().find(|line| *line > chosen).unwrap_or(rings.layers);
    let spread = (chosen + LEAST_SPREAD..=last)
        .find(|&line| radii[line] - radii[chosen] >= SPREAD_OVER_MOVE * largest_move)
        .unwrap_or(last);
    if radii[spread] - radii[chosen] < 2.0 * largest_move {
        return Err(beyond(hole, cutter, outermost));
    }

    let moved = move_lines(mesh, hole, rings, &lines, &radii, &targets, chosen, spread);
    let (reduced, old_node) = remove_layers(&moved, index, chosen);
    let tables = Tables::new(&reduced, measure(system.metal.idealisation, system.metal.thickness))
        .map_err(|folded| StageError::System(SystemError::Folded(folded)))?;
    let (points, backstress, carried, old_point) =
        carry_points(state, &tables.positions, &reader, rings, chosen, spread, extra)?;
    let stress = vec![Vector4::zeros(); points.len()];
    let displacement = displacements(mesh, &moved, &old_node, state, &reader)?;
    // The lines moved within the metal: what is missing now was cut.
    let removed_volume = system.tables.volumes().sum::<f64>() - tables.volumes().sum::<f64>();
    let external = vec![[0.0; 2]; reduced.nodes.len()];
    let state = State {
        displacement,
        points,
        backstress,
        conjugate: stress.clone(),
        stress,
        axial_strain: state.axial_strain,
        free_strain: state.free_strain.clone(),
        external,
        tools: state.tools.clone(),
        mated: state.mated.clone(),
        rate: Rate::default(),
        energy: state.energy,
    };
    Ok(Cut {
        mesh: reduced,
        state,
        extra: carried,
        old_point,
        largest_move,
        removed_volume,
        old_node,
    })
}

/// Whether all of the cut lies between the same `fixed` lines as `line`.
fn stays_between(radii: &[f64], fixed: &[usize], line: usize, targets: &[f64]) -> bool {
    let beyond = |radius: f64| fixed.iter().filter(|&&one| radii[one] < radius).count();
    targets.iter().all(|&target| beyond(target) == beyond(radii[line]))
}

/// Drawn distance from the centre, mm, at which the displaced metal meets the cutter, for every node
/// of `line`, the edge now. None lies beyond `outermost`.
fn where_cut(
    mesh: &Mesh,
    hole: &Hole,
    cutter: Cutter,
    (line, outermost): (&[NodeId], f64),
    reader: &Reader<'_>,
) -> Result<Vec<f64>, StageError> {
    let mut targets = Vec::with_capacity(line.len());
    for &node in line {
        let direction = direction(hole, mesh.nodes[node]);
        let innermost = hole.distance_to(mesh.nodes[node]);
        let mut failure = None;
        let target = bracketed_newton(innermost, outermost, 1e-13 * cutter.radius, |radius| {
            let position = along(hole, direction, radius);
            match reader.displacement(position) {
                // The displaced distance grows about as the drawn one does.
                Ok(displacement) => (cutter.distance(position, displacement) - cutter.radius, 1.0),
                Err(error) => {
                    failure.get_or_insert(error);
                    (f64::NAN, 1.0)
                }
            }
        });
        if let Some(error) = failure {
            return Err(error);
        }
        targets.push(target.ok_or_else(|| beyond(hole, cutter, outermost))?);
    }
    Ok(targets)
}

/// Displacements of the nodes that are left, read at the places they were moved to.
fn displacements(
    mesh: &Mesh,
    moved: &Mesh,
    old_node: &[NodeId],
    state: &State,
    reader: &Reader<'_>,
) -> Result<Vec<[f64; 2]>, StageError> {
    let displacement = |&old: &NodeId| {
        let (to, from) = (moved.nodes[old], mesh.nodes[old]);
        // A node that stayed has the very same bytes.
        if to.map(f64::to_bits) == from.map(f64::to_bits) {
            Ok(state.displacement[old])
        } else {
            reader.displacement(to)
        }
    };
    old_node.iter().map(displacement).collect()
}

fn beyond(hole: &Hole, cutter: Cutter, outermost: f64) -> StageError {
    StageError::CutBeyondRings {
        hole: hole.name.clone(),
        cutter: 2.0 * cutter.radius,
        largest: 2.0 * outermost,
    }
}

/// Refuses a cutter that misses part of the displaced edge.
fn clean_up(
    mesh: &Mesh,
    state: &State,
    hole: &Hole,
    rings: &HoleMesh,
    cutter: Cutter,
) -> Result<(), StageError> {
    let farthest = rings
        .edge
        .iter()
        .map(|&node| cutter.distance(mesh.nodes[node], state.displacement[node]))
        .fold(0.0, f64::max);
    if farthest + CLEAN >= cutter.radius {
        return Err(StageError::NotCleanedUp {
            hole: hole.name.clone(),
            cutter: 2.0 * cutter.radius,
            // A hundredth of a millimetre more than just touching, as a cut needs something to cut.
            needed: 2.0 * farthest + 0.01,
        });
    }
    Ok(())
}

/// Plastic strains of points, their backstress terms, a number of each, and the old point of each.
type Carried = (Vec<PointFlow>, Vec<Vector4<f64>>, Vec<f64>, Vec<usize>);

/// Histories and extra numbers of the points of the reduced mesh, which lie at `positions`:
/// read anew where the layers moved, copied elsewhere.
fn carry_points(
    state: &State,
    positions: &[[f64; 2]],
    reader: &Reader<'_>,
    rings: &HoleMesh,
    chosen: usize,
    spread: usize,
    extra: &[f64],
) -> Result<Carried, StageError> {
    let gone = chosen * rings.sectors * QUAD_POINTS;
    let first = rings.first_quad * QUAD_POINTS;
    let moved_until = first + (spread - chosen) * rings.sectors * QUAD_POINTS;
    let mut points = Vec::with_capacity(positions.len());
    let places = state.backstress.len() / state.points.len();
    let mut backs = Vec::with_capacity(places * positions.len());
    let mut numbers = Vec::with_capacity(if extra.is_empty() { 0 } else { positions.len() });
    let mut olds = Vec::with_capacity(positions.len());
    for (point, &position) in positions.iter().enumerate() {
        if (first..moved_until).contains(&point) {
            let (history, number) = reader.history(position, extra)?;
            points.push(history.flow());
            backs.extend_from_slice(&history.backstress[..places]);
            numbers.extend(number);
            olds.push(reader.nearest(position)?);
        } else {
            let old = if point < first { point } else { point + gone };
            points.push(state.points[old]);
            backs.extend_from_slice(state.backstress_of(old));
            numbers.extend(extra.get(old));
            olds.push(old);
        }
    }
    debug_assert_eq!(points.len() + gone, state.points.len());
    Ok((points, backs, numbers, olds))
}
