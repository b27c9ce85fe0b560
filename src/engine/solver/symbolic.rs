//! Data that follow from the connectivity of a mesh alone, shared by systems that have the same.

use std::sync::{Arc, Mutex, PoisonError};

use crate::mesh::mating::Mating;
use crate::mesh::store::drop_oldest;
use crate::mesh::topology::{Mesh, NodeId, Overlap};
use crate::solver::corners::Corners;
use crate::solver::factor::plan::{Plan, TooLarge};
use crate::solver::pattern::Pattern;

/// Connectivities that a store keeps, at least.
const KEPT: usize = 8;

/// Nodes up to which it keeps more, some 1.5 kB each: a study of small cases has a mesh for every ream.
const KEPT_NODES: usize = 50_000;

/// Symbolic analyses of the last few connectivities, shared by the threads of a study.
#[derive(Debug, Default)]
pub struct SymbolicStore {
    kept: Mutex<Vec<Arc<Symbolic>>>,
    counts: Mutex<[usize; 2]>,
}

impl SymbolicStore {
    /// That of `mesh`: an old one when some mesh before was connected alike.
    ///
    /// # Errors
    ///
    /// [`TooLarge`] when the factor cannot be indexed.
    pub fn of(&self, mesh: &Mesh) -> Result<Symbolic, TooLarge> {
        let known: Vec<Arc<Symbolic>> = lock(&self.kept).clone();
        if let Some(symbolic) = known.iter().find(|symbolic| symbolic.fits(mesh)) {
            lock(&self.counts)[0] += 1;
            let mut kept = lock(&self.kept);
            // The last used stays longest.
            if let Some(place) = kept.iter().position(|one| Arc::ptr_eq(one, symbolic)) {
                let used = kept.remove(place);
                kept.push(used);
            }
            return Ok(Symbolic::clone(symbolic));
        }
        lock(&self.counts)[1] += 1;
        let symbolic = Symbolic::new(mesh)?;
        let mut kept = lock(&self.kept);
        kept.push(Arc::new(symbolic.clone()));
        drop_oldest(&mut kept, (KEPT, KEPT_NODES), |one| one.nodes);
        Ok(symbolic)
    }

    /// How often an old one served, and how often one was made.
    #[must_use]
    pub fn counts(&self) -> [usize; 2] {
        *lock(&self.counts)
    }
}

/// Content of a mutex; a thread that panicked leaves it whole.
fn lock<T>(mutex: &Mutex<T>) -> std::sync::MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}

/// Sparsity, sources of its values, order of elimination and fronts of one connectivity.
#[derive(Clone, Debug)]
pub struct Symbolic {
    nodes: usize,
    quads: Vec<[NodeId; 8]>,
    triangles: Vec<[NodeId; 6]>,
    /// Nodes that layers under sheets couple.
    layers: Vec<[NodeId; 2]>,
    matings: Vec<Mating>,
    couplings: Vec<[NodeId; 2]>,
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
            layers: coupled(mesh).collect(),
            matings: mesh.matings.clone(),
            couplings: mesh.couplings.clone(),
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
            && coupled(mesh).eq(self.layers.iter().copied())
            && self.matings == mesh.matings
            && self.couplings == mesh.couplings
    }
}

/// Nodes that the layers under sheets couple.
fn coupled(mesh: &Mesh) -> impl Iterator<Item = [NodeId; 2]> + '_ {
    let overlaps = mesh.sheets.iter().flat_map(|sheet| &sheet.overlap);
    overlaps.map(|&(high, low, _): &Overlap| [high, low])
}
