//! Meshes kept for those who ask for the same again, shared by threads.

use std::sync::{Mutex, MutexGuard, PoisonError};

use crate::geometry::plate::Plate;
use crate::mesh::build;
use crate::mesh::mesh_error::MeshError;
use crate::mesh::plan::MeshPlan;
use crate::mesh::topology::Mesh;

/// Meshes that a store keeps, at least.
const KEPT: usize = 8;

/// Nodes up to which it keeps more, some 0.1 kB each: small cases are solved on many threads at once.
const KEPT_NODES: usize = 200_000;

/// Drops the oldest of `kept`, which stand first, while they are more than `fewest` and have more than `most` nodes together.
pub(crate) fn drop_oldest<T>(
    kept: &mut Vec<T>,
    (fewest, most): (usize, usize),
    nodes: impl Fn(&T) -> usize,
) {
    while kept.len() > fewest && kept.iter().map(&nodes).sum::<usize>() > most {
        kept.remove(0);
    }
}

/// The last few meshes, with plate and plan of each.
#[derive(Debug, Default)]
pub struct MeshStore {
    kept: Mutex<Vec<(Plate, MeshPlan, Mesh)>>,
}

impl MeshStore {
    /// The mesh of `plate` that `plan` asks for: one that was kept, else a new one.
    ///
    /// # Errors
    ///
    /// As [`build`].
    pub fn of(&self, plate: &Plate, plan: &MeshPlan) -> Result<Mesh, MeshError> {
        let same = |(its, asked, _): &&(Plate, MeshPlan, Mesh)| its == plate && asked == plan;
        if let Some((.., mesh)) = self.kept().iter().find(same) {
            return Ok(mesh.clone());
        }
        let mesh = build(plate, plan)?;
        let mut kept = self.kept();
        kept.push((plate.clone(), plan.clone(), mesh.clone()));
        drop_oldest(&mut kept, (KEPT, KEPT_NODES), |(.., mesh)| mesh.nodes.len());
        Ok(mesh)
    }

    /// The meshes; a thread that panicked leaves them whole.
    fn kept(&self) -> MutexGuard<'_, Vec<(Plate, MeshPlan, Mesh)>> {
        self.kept.lock().unwrap_or_else(PoisonError::into_inner)
    }
}
