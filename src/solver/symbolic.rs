//! Data that follow from the connectivity of a mesh alone, shared by systems that have the same.

use std::sync::Arc;

use crate::mesh::topology::{Mesh, NodeId};
use crate::solver::corners::Corners;
use crate::solver::factor::plan::{Plan, TooLarge};
use crate::solver::pattern::Pattern;

/// Sparsity, sources of its values, order of elimination and fronts of one connectivity.
#[derive(Clone, Debug)]
pub struct Symbolic {
    nodes: usize,
    quads: Vec<[NodeId; 8]>,
    triangles: Vec<[NodeId; 6]>,
    pub(crate) pattern: Pattern,
    pub(crate) corners: Corners,
    pub(crate) plan: Arc<Plan>,
}

impl Symbolic {
    /// Analyses `mesh`.
    ///
    /// # Errors
    ///
    /// [`TooLarge`] when the factor cannot be indexed.
    pub fn new(mesh: &Mesh) -> Result<Self, TooLarge> {
        let pattern = Pattern::new(mesh);
        let plan = Arc::new(Plan::new(pattern.matrix(), 2)?);
        Ok(Self {
            nodes: mesh.nodes.len(),
            quads: mesh.quads.clone(),
            triangles: mesh.triangles.clone(),
            corners: Corners::new(mesh),
            pattern,
            plan,
        })
    }

    /// Whether `mesh` is connected like the one analysed, wherever its nodes lie.
    #[must_use]
    pub fn fits(&self, mesh: &Mesh) -> bool {
        self.nodes == mesh.nodes.len()
            && self.quads == mesh.quads
            && self.triangles == mesh.triangles
    }
}
