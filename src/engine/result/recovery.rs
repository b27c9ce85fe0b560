//! Values at the nodes, from the integration points.
//!
//! Inside each element the values at its integration points, where a quadratic element is
//! most accurate, are carried on to its nodes (bilinear through four points, linear through
//! three), and averaged over the elements that share a node. No average crosses a free
//! edge, because elements do not, nor the outline of a region, whose nodes are parted first. In the rings this is done in polar components about
//! the hole: those vary slowly round it, while x and y components turn with the angle.
//!
//! An element that a plastic front runs through counts at a node only where no other does: its line
//! through points on both sides of a kink is true on neither. Nodes beside a front so have the value of
//! their own side. In the rings, where the layers beside are of the same metal, the line bends as they tell
//! (`bend.rs`).
//!
//! The largest difference between the elements at a node is kept as a measure of error;
//! the edge error of the summary (radial and shear stress recovered at a bare edge, which
//! should vanish) is another. Measured on the elastic ring: see `verification/`.

use nalgebra::Vector4;

use crate::element::point_field::{
    QUAD_POINTS, TRIANGLE_POINTS, column_shares, quad_shares, triangle_shares,
};
use crate::element::shape::{QUAD8_NODES, TRI6_NODES};
use crate::geometry::hole::{Hole, nearest_hole};
use crate::material::hardening::Material;
use crate::material::idealisation::Idealisation;
use crate::material::plane_stress::thickness_strain;
use crate::material::strains::Strains;
use crate::mesh::topology::{Mesh, NodeId};
use crate::process::job::Job;
use crate::process::snapshot::Snapshot;
use crate::result::bend::{AtPoints, Layers, added};
use crate::result::patches::triangle_stress;
use crate::result::stage::NodalFields;
use crate::tensor::{Polar, Stress};

/// Running sums over the elements at each node.
struct Sums<'a> {
    mesh: &'a Mesh,
    holes: &'a [Hole],
    count: Vec<f64>,
    stress: Vec<Vector4<f64>>,
    strain: Vec<[f64; 2]>,
    across: Vec<f64>,
    hoop_range: Vec<[f64; 2]>,
}

impl<'a> Sums<'a> {
    fn none(mesh: &'a Mesh, holes: &'a [Hole]) -> Self {
        let nodes = mesh.nodes.len();
        Self {
            mesh,
            holes,
            count: vec![0.0; nodes],
            stress: vec![Vector4::zeros(); nodes],
            strain: vec![[0.0; 2]; nodes],
            across: vec![0.0; nodes],
            hoop_range: vec![[f64::INFINITY, f64::NEG_INFINITY]; nodes],
        }
    }

    /// Takes the nodes that have nothing here from `other`.
    fn fill_from(&mut self, other: &Self) {
        for node in (0..self.count.len()).filter(|&node| other.count[node] > 0.0) {
            if self.count[node] == 0.0 {
                self.count[node] = other.count[node];
                self.stress[node] = other.stress[node];
                self.strain[node] = other.strain[node];
                self.across[node] = other.across[node];
                self.hoop_range[node] = other.hoop_range[node];
            }
        }
    }

    fn add(&mut self, node: NodeId, stress: Stress, [flow, again, across]: [f64; 3]) {
        self.count[node] += 1.0;
        self.stress[node] += Vector4::from(stress);
        // A line through the points may pass below zero at a plastic front; metal cannot.
        self.strain[node][0] += flow.max(0.0);
        self.strain[node][1] += again.max(0.0);
        self.across[node] += across;
        let at = self.mesh.nodes[node];
        if let Some(hole) = nearest_hole(at, self.holes) {
            let hoop = stress.polar(self.holes[hole].angle_to(at)).hoop;
            let [low, high] = &mut self.hoop_range[node];
            *low = low.min(hoop);
            *high = high.max(hoop);
        }
    }
}

/// Plastic strain added since the tool stood at full size, at one point.
pub(crate) fn reverse_strain(snapshot: &Snapshot, point: usize) -> f64 {
    snapshot
        .full_size_strain
        .get(point)
        .map_or(0.0, |full| (snapshot.state.points[point].equivalent - full).max(0.0))
}

/// Source of recovered nodal fields: values at the integration points of one mesh.
#[derive(Clone, Copy, Debug)]
pub(crate) struct PointFields<'a> {
    pub(crate) mesh: &'a Mesh,
    pub(crate) stress: &'a [Vector4<f64>],
    pub(crate) displacement: &'a [[f64; 2]],
}

/// The nodal fields of `snapshot`, a state of `job`, on its mesh with regions parted, with the
/// displacements of its nodes.
#[must_use]
pub(crate) fn recover(
    snapshot: &Snapshot,
    (mesh, displacement): (&Mesh, &[[f64; 2]]),
    job: &Job,
    positions: &[[f64; 2]],
) -> NodalFields {
    let fields = PointFields { mesh, stress: &snapshot.state.stress, displacement };
    let state = &snapshot.state;
    let strains = |point: usize| {
        let flow = &state.points[point];
        let metal = job.material_of(mesh.region_of_point(point));
        let stress = &state.conjugate[point];
        let free = state.free_strain_of(mesh.region_of_point(point));
        let across = across((job, metal, free), stress, &flow.plastic_strain, state.axial_strain);
        [flow.equivalent, reverse_strain(snapshot, point), across]
    };
    recover_points(fields, strains, |point| class(snapshot, point), job, positions)
}

/// Metal of one class has yielded in the same steps of the work: the slope of the stress jumps between two.
pub(crate) fn class(snapshot: &Snapshot, point: usize) -> u64 {
    let flow = snapshot.state.points[point].equivalent;
    let plain = || plain_class(flow, reverse_strain(snapshot, point) > 0.0);
    snapshot.flowed.class(point, flow).unwrap_or_else(plain)
}

/// Class of the points of every element; none where a front runs between them.
pub(super) fn classes(mesh: &Mesh, class: impl Fn(usize) -> u64) -> Vec<Option<u64>> {
    let of_element = |element: usize| {
        let mut points = mesh.points_of(element).map(&class);
        let first = points.next()?;
        points.all(|other| other == first).then_some(first)
    };
    (0..mesh.element_count()).map(of_element).collect()
}

/// The class where nothing is known of steps.
pub(crate) fn plain_class(flow: f64, again: bool) -> u64 {
    u64::from(again) << 1 | u64::from(flow > 0.0)
}

/// Strain through the thickness of a point of `metal`, which has the strain `free` without stress, with this conjugate stress (MPa) and plastic strain, in a
/// plate whose uniform one is `uniform`.
pub(crate) fn across(
    (job, metal, free): (&Job, &Material, f64),
    stress: &Vector4<f64>,
    plastic_strain: &Vector4<f64>,
    uniform: f64,
) -> f64 {
    match job.idealisation {
        Idealisation::PlaneStress => thickness_strain(metal, stress, plastic_strain) + free,
        _ => uniform,
    }
}

/// The same from bare values; `strains` has equivalent and reverse plastic strain of a point, and
/// its strain through the thickness; metal of one `class` is that between fronts.
pub(crate) fn recover_points(
    fields: PointFields<'_>,
    strains: impl Fn(usize) -> [f64; 3],
    class: impl Fn(usize) -> u64,
    job: &Job,
    positions: &[[f64; 2]],
) -> NodalFields {
    let (mesh, holes) = (fields.mesh, &job.plate.holes[..]);
    let mut sums = Sums::none(mesh, holes);
    let mut crossed = Sums::none(mesh, holes);
    let tensor = |point: usize| fields.stress[point].into();
    // On a mirror line, which stress does not cross at a slope, the points beside it do where a front runs between them
    // and the others.
    let shares = |first: usize, node: NodeId, [x, y]: [f64; 2]| {
        let [a, b, c, d] = std::array::from_fn(|k| class(first + k));
        let beside = (a != b || b != c || c != d) && mesh.is_on_mirror(node);
        if beside && y <= -1.0 && a == b {
            column_shares([0, 1], x)
        } else if beside && y >= 1.0 && c == d {
            column_shares([3, 2], x)
        } else {
            quad_shares([x, y])
        }
    };
    let classes = classes(mesh, &class);
    let of_quads = &classes[..mesh.quads.len()];
    carry_on(
        (mesh, holes, positions),
        tensor,
        (shares, of_quads),
        |node, stress, shares, first| {
            let counted = (first..).zip(shares).filter(|(_, share)| **share != 0.0);
            let mut classes = counted.map(|(point, _)| class(point));
            let one = classes.next();
            let on_front = classes.any(|other| Some(other) != one);
            let into = if on_front { &mut crossed } else { &mut sums };
            into.add(node, stress, blend(shares, first, &strains));
        },
    );
    sums.fill_from(&crossed);
    for (node, stress) in triangle_stress(mesh, positions, fields.stress, &classes) {
        sums.stress[node] = stress * sums.count[node].max(1.0);
    }
    average(&sums, fields.displacement, job.numerics.strains)
}

/// Carries a symmetric tensor at the integration points on to the nodes, element by element:
/// `visit(node, tensor there, shares of the points, first of them)`. In a quadrilateral `quad(first point, node, its local position)`
/// has the shares. Across the layers of a ring the tensor bends in metal of one of the `classes`, which are none or
/// have one for each quadrilateral.
pub(crate) fn carry_on(
    (mesh, holes, positions): (&Mesh, &[Hole], &[[f64; 2]]),
    tensor: impl Fn(usize) -> Stress,
    (quad, classes): (impl Fn(usize, NodeId, [f64; 2]) -> [f64; QUAD_POINTS], &[Option<u64>]),
    mut visit: impl FnMut(NodeId, Stress, &[f64], usize),
) {
    let owner = ring_owners(mesh);
    // Rings in polar components about their hole; any other quadrilateral as it stands.
    let turn = |index: usize| -> AtPoints {
        std::array::from_fn(|k| {
            let point = QUAD_POINTS * index + k;
            let angle = owner[index].map_or(0.0, |hole| holes[hole].angle_to(positions[point]));
            tensor(point).polar(angle)
        })
    };
    let turned: Vec<AtPoints> = (0..mesh.quads.len()).map(turn).collect();
    let layers = Layers::new(mesh, &owner, classes);
    // At the edge itself the line stays straight, as a service load is read there.
    let mut on_edge = vec![false; mesh.nodes.len()];
    for &node in mesh.holes.iter().flat_map(|hole| &hole.edge) {
        on_edge[node] = true;
    }
    for (index, element) in mesh.quads.iter().enumerate() {
        let first = QUAD_POINTS * index;
        let centre = owner[index].map(|hole| &holes[hole]);
        let bends = centre.and_then(|hole| {
            let away = |point: usize| {
                let [x, y] = positions[point];
                (x - hole.centre[0]).hypot(y - hole.centre[1])
            };
            layers.bends(index, &turned, away)
        });
        for (&node, local) in element.iter().zip(QUAD8_NODES) {
            let shares = quad(first, node, local);
            let line: Vector4<f64> = shares
                .iter()
                .zip(&turned[index])
                .map(|(share, polar)| *share * Vector4::from(*polar))
                .sum();
            let bent = bends.filter(|_| !on_edge[node]);
            let polar = line + bent.map_or(Vector4::zeros(), |bends| added(&bends, local));
            let angle = centre.map_or(0.0, |hole| hole.angle_to(mesh.nodes[node]));
            visit(node, Polar::from(polar).cartesian(angle), &shares, first);
        }
    }
    let start = QUAD_POINTS * mesh.quads.len();
    for (index, element) in mesh.triangles.iter().enumerate() {
        let first = start + TRIANGLE_POINTS * index;
        for (&node, local) in element.iter().zip(TRI6_NODES) {
            let shares = triangle_shares(local);
            let carried: Vector4<f64> = shares
                .iter()
                .enumerate()
                .map(|(k, share)| *share * Vector4::from(tensor(first + k)))
                .sum();
            visit(node, carried.into(), &shares, first);
        }
    }
}

fn blend(shares: &[f64], first: usize, values: impl Fn(usize) -> [f64; 3]) -> [f64; 3] {
    let mut sum = [0.0; 3];
    for (k, share) in shares.iter().enumerate() {
        for (sum, value) in sum.iter_mut().zip(values(first + k)) {
            *sum += share * value;
        }
    }
    sum
}

fn average(sums: &Sums<'_>, displacement: &[[f64; 2]], strains: Strains) -> NodalFields {
    let mesh = sums.mesh;
    let nodes = mesh.nodes.len();
    let stress: Vec<Stress> =
        (0..nodes).map(|node| (sums.stress[node] / sums.count[node].max(1.0)).into()).collect();
    let hoop = (0..nodes)
        .map(|node| {
            let at = mesh.nodes[node];
            nearest_hole(at, sums.holes)
                .map_or(0.0, |hole| stress[node].polar(sums.holes[hole].angle_to(at)).hoop)
        })
        .collect();
    let share = |which: usize| -> Vec<f64> {
        (0..nodes).map(|node| sums.strain[node][which] / sums.count[node].max(1.0)).collect()
    };
    let thickness_change = |node: usize| {
        let across = sums.across[node] / sums.count[node].max(1.0);
        if strains == Strains::Finite { across.exp_m1() } else { across }
    };
    NodalFields {
        thickness_change: (0..nodes).map(thickness_change).collect(),
        displacement: displacement.to_vec(),
        hoop,
        hoop_jump: sums.hoop_range.iter().map(|[low, high]| (high - low).max(0.0)).collect(),
        equivalent_plastic_strain: share(0),
        reverse_plastic_strain: share(1),
        stress,
    }
}

/// The hole whose rings each quadrilateral belongs to.
pub(crate) fn ring_owners(mesh: &Mesh) -> Vec<Option<usize>> {
    let mut owner = vec![None; mesh.quads.len()];
    for (index, hole) in mesh.holes.iter().enumerate() {
        let end = hole.first_quad + hole.layers * hole.sectors;
        owner[hole.first_quad..end].fill(Some(index));
    }
    owner
}
