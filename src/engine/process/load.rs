//! Remote tension and pressure in a hole, as nodal forces; bearing loads, as forces on pins.

use crate::element::edge;
use crate::mesh::topology::Mesh;
use crate::process::stage::Load;
use crate::process::stage_error::StageError;
use crate::solver::contact::ToolContact;

/// Nodal forces `[x, y]` in N of `load` at full size on a plate of `thickness` mm; on
/// regions of another thickness a traction acts on theirs.
///
/// They are those of the stresses on the drawn area, in the drawn direction, with any measure of strain.
///
/// # Errors
///
/// [`StageError::NoSuchEdge`] when a traction names no edge of the mesh.
pub fn forces(
    mesh: &Mesh,
    load: &Load,
    thickness: f64,
    all_edges: &[impl AsRef<str>],
) -> Result<Vec<[f64; 2]>, StageError> {
    let mut forces = vec![[0.0; 2]; mesh.nodes.len()];
    let own = mesh.side_thickness();
    let mut add = |side: [usize; 3], traction: f64| {
        let thickness = thickness * own.of(side);
        let shares = edge::normal_forces(&side.map(|node| mesh.nodes[node]));
        for (node, share) in side.into_iter().zip(shares) {
            forces[node][0] += traction * thickness * share[0];
            forces[node][1] += traction * thickness * share[1];
        }
    };
    for (name, traction) in &load.tractions {
        match mesh.edge(name) {
            Some(edge) => edge.sides.iter().for_each(|side| add(*side, *traction)),
            // The other half of a mirrored plate has it.
            None if all_edges.iter().any(|known| known.as_ref() == name) => {}
            None => {
                return Err(StageError::NoSuchEdge {
                    edge: name.clone(),
                    known: all_edges.iter().map(|known| known.as_ref().to_owned()).collect(),
                });
            }
        }
    }
    if let Some((hole, pressure)) = load.pressure {
        // Round a hole the material lies on the right of its sides, so the outward normal of
        // `edge` points into the plate: a positive pressure pushes that way.
        for side in mesh.holes[hole].sides() {
            add(side, pressure);
        }
    }
    Ok(forces)
}

/// Force `[x, y]` on every tool of the modelled part, N, of `load` at full size.
///
/// # Errors
///
/// [`StageError::NoPin`] when a hole has none to carry its force, [`StageError::PinOnMirror`]
/// when the force crosses a mirror line of the mesh. Holes go by their index into `names`.
pub(crate) fn bearings(
    mesh: &Mesh,
    load: &Load,
    tools: &[ToolContact],
    names: &[&str],
) -> Result<Vec<[f64; 2]>, StageError> {
    let mut forces = vec![[0.0; 2]; tools.len()];
    let mirrored = [mesh.symmetry.x.is_some(), mesh.symmetry.y.is_some()];
    for &(hole, force) in &load.bearing {
        let name = || names[hole].to_owned();
        let pin = tools.iter().position(|tool| tool.hole == hole);
        let pin = pin.ok_or_else(|| StageError::NoPin { hole: name() })?;
        for axis in 0..2 {
            if mirrored[axis] && force[axis] != 0.0 {
                return Err(StageError::PinOnMirror { hole: name() });
            }
            // Holes of a mirrored plate are cut in half by the lines.
            forces[pin][axis] += force[axis] / mesh.symmetry.copies() as f64;
        }
    }
    Ok(forces)
}
