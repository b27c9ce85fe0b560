//! The equations of one mesh: matrix, factor, what the elements contribute, and their sums.

use crate::element::kernel::{AxialTerms, ElementForces, block_count};
use crate::material::logarithmic::Gradient;
use crate::mesh::topology::Mesh;
use crate::solver::contact::ContactStatus;
use crate::solver::corners::Corners;
use crate::solver::parts::Parts;
use crate::solver::pattern::Pattern;
use crate::solver::symbolic::Symbolic;
use crate::solver::tangent::Tangent;

/// Matrix, factor and contributions of the elements of one mesh.
#[derive(Debug)]
pub(crate) struct Equations {
    /// The matrix and where the blocks of the elements go in it.
    pub(crate) pattern: Pattern,
    /// The factor.
    pub(crate) tangent: Tangent,
    /// Status of the pairs of all matings that the factor was made with.
    pub(crate) paired: Vec<ContactStatus>,
    /// Where elements meet at a node.
    pub(crate) corners: Corners,
    pub(crate) quads: Contributions<8>,
    pub(crate) triangles: Contributions<6>,
    /// Stiffness blocks of the layers under sheets, in the frames of the nodes.
    pub(crate) layers: Vec<[f64; 4]>,
    /// Sums of the last assembly.
    pub(crate) balance: Balance,
}

/// Contributions of the elements of one kind, each in its own place.
#[derive(Clone, Debug)]
pub(crate) struct Contributions<const N: usize> {
    /// Forces of every element.
    pub(crate) forces: Vec<ElementForces<N>>,
    /// Stiffness blocks of the lower triangle, element by element.
    pub(crate) blocks: Vec<[f64; 4]>,
    /// Contribution of a uniform strain through the thickness, where there is one.
    pub(crate) axial: Vec<AxialTerms<N>>,
    /// Whether the blocks are those of the elastic element in x and y.
    pub(crate) elastic: Vec<bool>,
    /// Mean displacement gradient that the blocks were computed at.
    pub(crate) gradients: Vec<Gradient>,
    /// Whether the blocks have been computed anew since the last factorization.
    pub(crate) renewed: Vec<bool>,
    /// Whether an element has a tool node.
    pub(crate) framed: Vec<bool>,
    /// In how many parts every element follows the strain.
    pub(crate) parts: Parts,
}

impl<const N: usize> Contributions<N> {
    pub(crate) fn new(elements: usize) -> Self {
        Self {
            forces: vec![ElementForces { force: [[0.0; 2]; N], axial_force: 0.0 }; elements],
            blocks: vec![[0.0; 4]; elements * block_count(N)],
            axial: Vec::new(),
            elastic: vec![false; elements],
            gradients: vec![[0.0; 5]; elements],
            renewed: vec![true; elements],
            framed: vec![false; elements],
            parts: Parts::default(),
        }
    }

    /// Says that no element keeps its stiffness.
    pub(crate) fn forget(&mut self) {
        self.elastic.fill(false);
    }
}

/// Internal forces of the last assembly.
#[derive(Clone, Debug, Default)]
pub(crate) struct Balance {
    /// Internal force of every node `[x, y]`, N.
    pub(crate) internal: Vec<[f64; 2]>,
    /// Sum over elements of their absolute nodal forces, N.
    pub(crate) reference: f64,
    /// Integral of σzz over the volume, N·mm.
    pub(crate) axial_force: f64,
    /// Its derivative by the uniform axial strain, N·mm.
    pub(crate) axial_stiffness: f64,
    /// Derivative of the nodal forces by that strain, N, in the frames of the nodes.
    pub(crate) axial_coupling: Vec<[f64; 2]>,
}

impl Equations {
    /// Equations of `mesh`, which is connected as `symbolic` says.
    pub(crate) fn new(mesh: &Mesh, symbolic: Symbolic) -> Self {
        let Symbolic { pattern, corners, plan, .. } = symbolic;
        Self {
            pattern,
            tangent: Tangent::new(plan),
            paired: Vec::new(),
            corners,
            quads: Contributions::new(mesh.quads.len()),
            triangles: Contributions::new(mesh.triangles.len()),
            layers: Vec::new(),
            balance: Balance { internal: vec![[0.0; 2]; mesh.nodes.len()], ..Balance::default() },
        }
    }

    /// Says which nodes a tool can touch from now on; the factor has nothing to do with that.
    pub(crate) fn set_touched(&mut self, mesh: &Mesh, touched: &[bool]) {
        for (framed, nodes) in self.quads.framed.iter_mut().zip(&mesh.quads) {
            *framed = nodes.iter().any(|&node| touched[node]);
        }
        for (framed, nodes) in self.triangles.framed.iter_mut().zip(&mesh.triangles) {
            *framed = nodes.iter().any(|&node| touched[node]);
        }
        self.tangent.forget();
    }

    /// Takes another pattern of the same elements: more nodes are coupled by contact.
    pub(crate) fn reconnect(&mut self, symbolic: Symbolic) {
        let Symbolic { pattern, plan, .. } = symbolic;
        self.pattern = pattern;
        self.tangent.reconnect(plan);
    }

    /// Gives back the memory; nothing will be solved any more. The last balance stays.
    pub(crate) fn retire(&mut self) {
        self.pattern = Pattern::default();
        self.tangent.retire();
        self.corners = Corners::default();
        self.quads = Contributions::new(0);
        self.triangles = Contributions::new(0);
        self.layers = Vec::new();
    }
}
