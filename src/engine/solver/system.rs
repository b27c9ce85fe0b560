//! Everything that brings a state of one mesh to equilibrium, in parts of their own types.

use nalgebra_sparse::CscMatrix;

use crate::element::point_field::{QUAD_POINTS, TRIANGLE_POINTS};
use crate::material::elasticity::Elasticity;
use crate::material::hardening::Material;
use crate::material::idealisation::Idealisation;
use crate::material::state::back_places;
use crate::material::strains::Strains;
use crate::mesh::topology::Mesh;
use crate::solver::bend::Bend;
use crate::solver::contact::ToolContact;
use crate::solver::control::{RESIDUAL_TOLERANCE, SECTION_TOLERANCE, Scheme};
use crate::solver::equations::Equations;
use crate::solver::layer::Joint;
use crate::solver::mated::MatedEdges;
use crate::solver::parts::MOST_PARTS;
use crate::solver::state::State;
use crate::solver::supports::Supports;
use crate::solver::symbolic::Symbolic;
use crate::solver::system_error::SystemError;
use crate::solver::tables::{Tables, measure};
use crate::solver::workspace::Workspace;

/// Parts of an increment unless something else is asked for. Eight increments of four have about half
/// the error of twenty-four of one, in half the time (`verification/performance.md`).
pub const STRAIN_PARTS: usize = 4;

/// Error that the parts of an increment may leave in the stress of a point, over the yield stress,
/// unless something else is asked for; see `verification/accuracy`.
pub(crate) const PATH_TOLERANCE: f64 = 1e-3;

/// Everything needed to bring a state of one mesh to equilibrium.
#[derive(Debug)]
pub struct System {
    /// The mesh.
    pub mesh: Mesh,
    /// Metal of the plate, with its idealisation and thickness.
    pub metal: Metal,
    /// Elements of another metal or idealisation than the rest; see [`Self::set_regions`].
    pub(crate) regions: Regions,
    /// Geometry of the integration points.
    pub tables: Tables,
    /// Held displacements.
    pub supports: Supports,
    /// Those without what only keeps a thin part flat, where there is such: directions in which the part
    /// would give way are counted with them.
    pub(crate) loose: Option<Supports>,
    /// The tools and pins in holes now.
    pub tools: Vec<ToolContact>,
    /// The layers under the sheets of the mesh, in their order.
    pub(crate) joints: Vec<Joint>,
    /// The bushes in holes now.
    pub mated: Vec<MatedEdges>,
    /// Normal of each tool node, and of each node on the outside of a bush, by node; `None` elsewhere.
    pub(crate) frames: Vec<Option<[f64; 2]>>,
    /// How increments are solved.
    pub method: Method,
    /// References of force and displacement.
    pub scale: Scale,
    /// Matrix, factor, and what the elements contribute.
    pub(crate) equations: Equations,
    /// Memory that the iterations use again.
    pub(crate) scratch: Scratch,
    pub(crate) bend: Bend,
    /// Where the time went.
    pub times: Times,
}

/// A metal and what its third direction does.
#[derive(Clone, Debug, PartialEq)]
pub struct Region {
    /// The metal.
    pub material: Material,
    /// Idealisation of the third direction.
    pub idealisation: Idealisation,
}

/// Elements of another metal or idealisation than the rest; no numbers when there are none.
#[derive(Clone, Debug, Default)]
pub(crate) struct Regions {
    pub(crate) others: Vec<Region>,
    pub(crate) quads: Vec<u8>,
    pub(crate) triangles: Vec<u8>,
}

/// Metal of the plate, with its idealisation and thickness.
#[derive(Clone, Debug)]
pub struct Metal {
    /// The metal.
    pub material: Material,
    /// Idealisation of the thickness direction.
    pub idealisation: Idealisation,
    /// Thickness of the plate, mm; in a section that of a plate whose forces are of the same order.
    pub thickness: f64,
}

/// How increments are solved.
#[derive(Clone, Copy, Debug)]
pub struct Method {
    /// When the tangent is factorized.
    pub scheme: Scheme,
    /// Equal parts in which the metal follows the strain of an increment, at least one; as many as
    /// the first increment begins with when there is a tolerance.
    pub strain_parts: usize,
    /// Error that the parts of an increment may leave in the stress of a point, over the yield
    /// stress; `None`: the parts are as many as given, whatever error they make.
    pub path_tolerance: Option<f64>,
    /// Whether the strain runs through an increment on a parabola that begins with what the increment before did.
    pub bends: bool,
    /// How deformation is measured.
    pub strains: Strains,
    /// Whether elements that stay elastic have their stiffness computed again, and every increment its
    /// factor: what the stress does to a thin part shows there alone.
    pub watchful: bool,
}

impl Method {
    /// Most parts of an increment that an element may take.
    pub(crate) fn most_parts(&self) -> usize {
        if self.path_tolerance.is_some() { MOST_PARTS } else { self.strain_parts }
    }
}

impl Default for Method {
    fn default() -> Self {
        Self {
            scheme: Scheme::default(),
            strain_parts: STRAIN_PARTS,
            path_tolerance: None,
            bends: false,
            strains: Strains::default(),
            watchful: false,
        }
    }
}

/// References of force and displacement.
#[derive(Clone, Copy, Debug)]
pub struct Scale {
    /// A force that the plate can certainly feel, N: floor of the reference that residuals are
    /// measured by.
    pub force: f64,
    /// A length to measure displacements by, mm.
    pub length: f64,
}

/// Memory that the iterations use again.
#[derive(Debug, Default)]
pub(crate) struct Scratch {
    /// That of the iterations of one increment.
    pub(crate) workspace: Workspace,
    /// Growth of the plastic strain of every point in every part, as last found.
    pub(crate) parts: Vec<f64>,
    /// Work of every element of one shape.
    pub(crate) work: Vec<f64>,
    /// Sums at every node, and how many there are.
    pub(crate) across: Vec<(f64, f64)>,
    /// Border unknowns that take part.
    pub(crate) active: Vec<bool>,
}

/// Seconds spent so far; kept apart from all results.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Times {
    /// Integrating the metal and adding up the tangent.
    pub assembly: f64,
    /// Taking ties out of the matrix and factorizing it.
    pub factorization: f64,
    /// Solving with the factor.
    pub solution: f64,
}

impl System {
    /// Sets up the equations of `mesh`, whose smallest hole has radius `length` (mm).
    ///
    /// # Errors
    ///
    /// [`SystemError`] when an element is folded or the factor cannot be allocated.
    pub fn new(
        mesh: Mesh,
        material: Material,
        idealisation: Idealisation,
        thickness: f64,
        length: f64,
    ) -> Result<Self, SystemError> {
        let unknowns = 2 * mesh.nodes.len();
        let symbolic = Symbolic::new(&mesh).map_err(|_| SystemError::TooLarge { unknowns })?;
        Self::with_symbolic(mesh, material, idealisation, (thickness, length), symbolic)
    }

    /// The same with what was found for a mesh that is connected alike; `(thickness, length)` in
    /// mm.
    ///
    /// # Errors
    ///
    /// [`SystemError`] when an element is folded.
    ///
    /// # Panics
    ///
    /// When `symbolic` belongs to another mesh.
    pub(crate) fn with_symbolic(
        mesh: Mesh,
        material: Material,
        idealisation: Idealisation,
        (thickness, length): (f64, f64),
        symbolic: Symbolic,
    ) -> Result<Self, SystemError> {
        assert!(symbolic.fits(&mesh), "the mesh is connected otherwise");
        let tables =
            Tables::new(&mesh, measure(idealisation, thickness)).map_err(SystemError::Folded)?;
        let supports = Supports::automatic(&mesh);
        // Yield stress × thickness × a thousandth of the hole: far below any force of a run
        // that does anything, and not zero.
        let force = material.elastic_limit() * thickness * 1e-3 * length;
        let equations = Equations::new(&mesh, symbolic);
        let mut system = Self {
            regions: Regions::default(),
            tables,
            supports,
            loose: None,
            tools: Vec::new(),
            joints: Vec::new(),
            mated: Vec::new(),
            frames: vec![None; mesh.nodes.len()],
            mesh,
            metal: Metal { material, idealisation, thickness },
            method: Method::default(),
            scale: Scale { force, length },
            equations,
            scratch: Scratch::default(),
            bend: Bend::default(),
            times: Times::default(),
        };
        system.begin_parts();
        Ok(system)
    }

    /// A virgin state of this mesh.
    #[must_use]
    pub fn virgin_state(&self) -> State {
        State::virgin(self.mesh.nodes.len(), self.tables.point_count(), self.back_places())
    }

    /// Says which elements are of another metal or idealisation than the rest: `quads` and
    /// `triangles` hold the number of every element's region, 0 for the rest, k for `others[k − 1]`.
    /// Plane stress in a section is metal that carries no hoop stress, such as a split sleeve.
    ///
    /// # Panics
    ///
    /// When there is not one number for every element, or no such region.
    pub fn set_regions(&mut self, others: Vec<Region>, quads: Vec<u8>, triangles: Vec<u8>) {
        assert_eq!(quads.len(), self.mesh.quads.len(), "one region for every quadrilateral");
        assert_eq!(triangles.len(), self.mesh.triangles.len(), "one region for every triangle");
        assert!(quads.iter().chain(&triangles).all(|&k| usize::from(k) <= others.len()));
        self.regions = Regions { others, quads, triangles };
        self.forget_elements();
    }

    /// Changes the metals, region by region, 0 for the plate; they keep as many terms of the backstress.
    pub(crate) fn set_metals(&mut self, metal: impl Fn(u8) -> Material) {
        self.metal.material = metal(0);
        for (other, number) in self.regions.others.iter_mut().zip(1..) {
            other.material = metal(number);
        }
        self.forget_elements();
    }

    /// Forgets forces and stiffness that were kept for elements as they were.
    fn forget_elements(&mut self) {
        self.equations.quads.forget();
        self.equations.triangles.forget();
        self.equations.tangent.forget();
    }

    /// Metal and idealisation of a region.
    pub(crate) fn region(&self, region: u8) -> (&Material, Idealisation) {
        match usize::from(region).checked_sub(1).map(|other| &self.regions.others[other]) {
            Some(other) => (&other.material, other.idealisation),
            None => (&self.metal.material, self.metal.idealisation),
        }
    }

    /// Places that every point has for terms of the backstress: as many as any metal needs.
    #[must_use]
    pub fn back_places(&self) -> usize {
        let others = self.regions.others.iter().map(|region| back_places(&region.material));
        others.fold(back_places(&self.metal.material), usize::max)
    }

    /// Elasticity of every integration point, in their numbering.
    pub(crate) fn elasticities(&self) -> impl Iterator<Item = Elasticity> + '_ {
        let of = |regions: &'_ [u8], element: usize| {
            self.region(regions.get(element).copied().unwrap_or(0)).0.elasticity
        };
        let quads = (0..QUAD_POINTS * self.mesh.quads.len())
            .map(move |point| of(&self.regions.quads, point / QUAD_POINTS));
        let triangles = (0..TRIANGLE_POINTS * self.mesh.triangles.len())
            .map(move |point| of(&self.regions.triangles, point / TRIANGLE_POINTS));
        quads.chain(triangles)
    }

    /// Follows strain in `parts` parts an increment, or in as many as keep the error of the stress
    /// below `tolerance` times the yield stress.
    pub fn follow_strain(&mut self, parts: Option<usize>, tolerance: f64) {
        self.method.strain_parts = parts.unwrap_or(STRAIN_PARTS);
        self.method.path_tolerance = parts.is_none().then_some(tolerance);
        self.begin_parts();
    }

    /// Gives every element the number of parts that a phase begins with.
    pub(crate) fn begin_parts(&mut self) {
        let Self { equations, mesh, method, scratch, .. } = self;
        let count = method.most_parts();
        equations.quads.parts.begin(mesh.quads.len(), count);
        equations.triangles.parts.begin(mesh.triangles.len(), count);
        scratch.parts.clear();
    }

    /// Says whether equilibria are followed that would not be stable by themselves, such as that of a thin
    /// plate that stays flat beyond its buckling load; [`IterationRecord::unstable`] then counts the directions in which
    /// it would give way.
    ///
    /// [`IterationRecord::unstable`]: crate::solver::newton::IterationRecord::unstable
    pub fn follow_unstable(&mut self, follow: bool) {
        self.equations.tangent.take_saddles(follow);
    }

    /// Says which tools and pins are in holes from now on.
    pub fn set_tools(&mut self, tools: Vec<ToolContact>) {
        self.tools = tools;
        self.begin_frames();
    }

    /// Says which bushes are in holes from now on; the mesh couples their pairs.
    pub fn set_mated(&mut self, mated: Vec<MatedEdges>) {
        self.mated = mated;
        self.begin_frames();
    }

    fn begin_frames(&mut self) {
        self.frames.fill(None);
        let mut touched = vec![false; self.mesh.nodes.len()];
        let inner = self.mated.iter().flat_map(|mated| &mated.mating.pairs).map(|pair| pair[0]);
        for node in self.tools.iter().flat_map(|tool| &tool.nodes).copied().chain(inner) {
            touched[node] = true;
        }
        self.equations.set_touched(&self.mesh, &touched);
    }

    /// Gives back the memory of equations that will not be solved any more; mesh, tables, supports
    /// and tools stay.
    pub(crate) fn retire(&mut self) {
        self.equations.retire();
        self.scratch = Scratch::default();
    }

    /// The tangent last assembled, lower triangle, N/mm, with what is tied taken out.
    #[must_use]
    pub fn tangent(&self) -> &CscMatrix<f64> {
        self.equations.pattern.matrix()
    }

    /// Numeric factorizations so far.
    #[must_use]
    pub fn factorizations(&self) -> usize {
        self.equations.tangent.count()
    }

    /// Values stored in the factor.
    #[must_use]
    pub fn factor_size(&self) -> usize {
        self.equations.tangent.size()
    }

    /// Whether it is that of a section.
    pub(crate) fn is_section(&self) -> bool {
        self.metal.idealisation == Idealisation::Axisymmetric
    }

    /// Relative residual at which an increment is done: lower in a section, where the wall is small
    /// beside the whole.
    pub(crate) fn residual_tolerance(&self) -> f64 {
        if self.is_section() { SECTION_TOLERANCE } else { RESIDUAL_TOLERANCE }
    }

    /// Sum over elements of the absolute nodal forces of the last assembly, N, with its floor:
    /// what residuals are measured by.
    #[must_use]
    pub fn reference_force(&self) -> f64 {
        self.equations.balance.reference.max(self.scale.force)
    }
}
