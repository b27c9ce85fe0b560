//! Which element a point lies in, and where in it.
//!
//! Elements at the hole are a hundred times smaller than those far out, so their boxes are
//! kept in a tree rather than in a grid of equal cells. In an element the map from local
//! coordinates is inverted by Newton's method, curved sides included.

use crate::element::quality::{determinant, tangents};
use crate::element::shape::{quad8_gradients, quad8_values, tri6_gradients, tri6_values};
use crate::mesh::topology::{Mesh, NodeId};

/// How far outside the nearest element, as a share of its size, a point may lie and still be
/// found in it. A quadratic side leaves a circle by `φ⁴/32` of the radius for half-angle
/// `φ`, hence by less than this share of its length for sides up to 20°.
const TOLERANCE: f64 = 1e-3;
/// A quadratic side reaches beyond the box of its nodes by less than this share of the box.
const BULGE: f64 = 0.05;
/// A point this close to an element, as a share of its size, is inside.
const INSIDE: f64 = 1e-9;
/// Newton steps at most; from the middle of an element four or five are enough.
const STEPS: usize = 30;
/// Elements in a leaf of the tree.
const LEAF: usize = 8;

/// An element of a mesh.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ElementRef {
    /// Index into [`Mesh::quads`].
    Quad(usize),
    /// Index into [`Mesh::triangles`].
    Triangle(usize),
}

/// A place in an element.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Located {
    /// The element.
    pub element: ElementRef,
    /// Local coordinates `(ξ, η)`, inside the reference element or on its border.
    pub local: [f64; 2],
}

impl Located {
    /// Nodes of the element in `mesh`, and the share that each has in a value at the place; shares beyond
    /// the nodes of a triangle are zero.
    #[must_use]
    pub fn shares<'m>(&self, mesh: &'m Mesh) -> (&'m [NodeId], [f64; 8]) {
        match self.element {
            ElementRef::Quad(index) => (&mesh.quads[index], quad8_values(self.local)),
            ElementRef::Triangle(index) => {
                let mut shares = [0.0; 8];
                shares[..6].copy_from_slice(&tri6_values(self.local));
                (&mesh.triangles[index], shares)
            }
        }
    }

    /// The value at the place of a field with `N` components at every node of `mesh`.
    #[must_use]
    pub fn blend<const N: usize>(&self, mesh: &Mesh, nodal: &[[f64; N]]) -> [f64; N] {
        let (nodes, shares) = self.shares(mesh);
        let mut sum = [0.0; N];
        for (&node, share) in nodes.iter().zip(shares) {
            for (sum, value) in sum.iter_mut().zip(nodal[node]) {
                *sum += share * value;
            }
        }
        sum
    }
}

#[derive(Clone, Copy, Debug)]
struct Bounds {
    low: [f64; 2],
    high: [f64; 2],
}

impl Bounds {
    const NOTHING: Self = Self { low: [f64::INFINITY; 2], high: [f64::NEG_INFINITY; 2] };

    fn join(self, other: Self) -> Self {
        Self {
            low: [0, 1].map(|axis| self.low[axis].min(other.low[axis])),
            high: [0, 1].map(|axis| self.high[axis].max(other.high[axis])),
        }
    }

    fn holds(&self, point: [f64; 2]) -> bool {
        (0..2).all(|axis| self.low[axis] <= point[axis] && point[axis] <= self.high[axis])
    }
}

/// A node of the tree: a leaf over part of the list of elements, or two branches.
#[derive(Clone, Copy, Debug)]
enum Branch {
    Leaf { from: usize, to: usize },
    Fork { left: usize, right: usize },
}

/// Finds the element at a point of a mesh.
#[derive(Clone, Debug)]
pub struct Locator<'a> {
    mesh: &'a Mesh,
    elements: Vec<(ElementRef, Bounds)>,
    tree: Vec<(Bounds, Branch)>,
}

impl<'a> Locator<'a> {
    /// A locator for `mesh`.
    #[must_use]
    pub fn new(mesh: &'a Mesh) -> Self {
        Self::among(mesh, |_| true)
    }

    /// A locator for those elements of `mesh` that `kept` says; quadrilaterals come first, then triangles.
    #[must_use]
    pub fn among(mesh: &'a Mesh, kept: impl Fn(usize) -> bool) -> Self {
        let quads = (0..mesh.quads.len()).map(ElementRef::Quad);
        let triangles = (0..mesh.triangles.len()).map(ElementRef::Triangle);
        let elements = quads.chain(triangles).enumerate().filter(|(element, _)| kept(*element));
        let elements = elements.map(|(_, element)| (element, bounds(mesh, element)));
        let mut locator = Self { mesh, elements: elements.collect(), tree: Vec::new() };
        locator.grow(0, locator.elements.len());
        locator
    }

    /// The element at `point` (mm) and the local coordinates there.
    ///
    /// A point on a common side is found in the element with the lower index, quads first.
    /// A point outside by less than a thousandth of the nearest element's size is found on
    /// its border, so that points on the true circle of a hole are found. `None` elsewhere:
    /// in a hole, outside the plate, or outside the modelled part (see
    /// [`Symmetry::fold`](crate::mesh::topology::Symmetry::fold)).
    #[must_use]
    pub fn find(&self, point: [f64; 2]) -> Option<Located> {
        let mut inside: Option<(usize, Located)> = None;
        let mut nearest: Option<(f64, usize, Located)> = None;
        let mut stack = vec![0];
        while let Some(branch) = stack.pop() {
            let (around, branch) = self.tree[branch];
            if !around.holds(point) {
                continue;
            }
            match branch {
                Branch::Fork { left, right } => stack.extend([left, right]),
                Branch::Leaf { from, to } => {
                    for &(element, around) in &self.elements[from..to] {
                        if !around.holds(point) {
                            continue;
                        }
                        let Some((local, outside)) = invert(self.mesh, element, point) else {
                            continue;
                        };
                        let found = Located { element, local };
                        let rank = self.rank(element);
                        if outside <= 0.0 {
                            if inside.is_none_or(|(best, _)| rank < best) {
                                inside = Some((rank, found));
                            }
                        } else if outside <= TOLERANCE
                            && nearest.is_none_or(|(best, last, _)| {
                                outside < best || (outside <= best && rank < last)
                            })
                        {
                            nearest = Some((outside, rank, found));
                        }
                    }
                }
            }
        }
        inside.map(|(_, found)| found).or(nearest.map(|(_, _, found)| found))
    }

    fn rank(&self, element: ElementRef) -> usize {
        match element {
            ElementRef::Quad(quad) => quad,
            ElementRef::Triangle(triangle) => self.mesh.quads.len() + triangle,
        }
    }

    /// Adds the subtree of a part of the elements; returns its index.
    fn grow(&mut self, from: usize, to: usize) -> usize {
        let part = &mut self.elements[from..to];
        let around = part.iter().fold(Bounds::NOTHING, |all, (_, one)| all.join(*one));
        let index = self.tree.len();
        self.tree.push((around, Branch::Leaf { from, to }));
        if to - from > LEAF {
            let extent = [0, 1].map(|axis| around.high[axis] - around.low[axis]);
            let axis = usize::from(extent[1] > extent[0]);
            let middle = |bounds: &Bounds| bounds.low[axis] + bounds.high[axis];
            part.sort_by(|a, b| middle(&a.1).total_cmp(&middle(&b.1)));
            let half = from + (to - from) / 2;
            let left = self.grow(from, half);
            let right = self.grow(half, to);
            self.tree[index].1 = Branch::Fork { left, right };
        }
        index
    }
}

/// Box round an element with room for its curved sides and the tolerance.
fn bounds(mesh: &Mesh, element: ElementRef) -> Bounds {
    let nodes: &[usize] = match element {
        ElementRef::Quad(quad) => &mesh.quads[quad],
        ElementRef::Triangle(triangle) => &mesh.triangles[triangle],
    };
    let tight = nodes.iter().fold(Bounds::NOTHING, |all, &node| {
        let at = mesh.nodes[node];
        all.join(Bounds { low: at, high: at })
    });
    let room = BULGE * (tight.high[0] - tight.low[0]).hypot(tight.high[1] - tight.low[1]);
    Bounds { low: tight.low.map(|x| x - room), high: tight.high.map(|x| x + room) }
}

/// Local coordinates of `point` in `element`, moved into it, and how far outside the point
/// is as a share of the element's size. `None` when Newton's method finds none.
fn invert(mesh: &Mesh, element: ElementRef, point: [f64; 2]) -> Option<([f64; 2], f64)> {
    match element {
        ElementRef::Quad(quad) => {
            let nodes = mesh.quads[quad].map(|node| mesh.nodes[node]);
            let size = span(nodes[0], nodes[2]).min(span(nodes[1], nodes[3]));
            let local = newton(&nodes, [0.0, 0.0], quad8_values, quad8_gradients, point)?;
            let inside = local.map(|x| x.clamp(-1.0, 1.0));
            Some((inside, outside(&nodes, quad8_values(inside), point, size)))
        }
        ElementRef::Triangle(triangle) => {
            let nodes = mesh.triangles[triangle].map(|node| mesh.nodes[node]);
            let size = span(nodes[0], nodes[1]).min(span(nodes[1], nodes[2]));
            let third = 1.0 / 3.0;
            let local = newton(&nodes, [third, third], tri6_values, tri6_gradients, point)?;
            let mut inside = local.map(|x| x.max(0.0));
            let sum = inside[0] + inside[1];
            if sum > 1.0 {
                inside = inside.map(|x| x / sum);
            }
            Some((inside, outside(&nodes, tri6_values(inside), point, size)))
        }
    }
}

/// How far `point` is from a place in the element, as a share of its size; 0 within rounding.
fn outside<const N: usize>(
    nodes: &[[f64; 2]; N],
    values: [f64; N],
    point: [f64; 2],
    size: f64,
) -> f64 {
    let share = span(position(nodes, values), point) / size;
    if share <= INSIDE { 0.0 } else { share }
}

fn newton<const N: usize>(
    nodes: &[[f64; 2]; N],
    start: [f64; 2],
    values: fn([f64; 2]) -> [f64; N],
    gradients: fn([f64; 2]) -> [[f64; 2]; N],
    point: [f64; 2],
) -> Option<[f64; 2]> {
    let mut local = start;
    for _ in 0..STEPS {
        let at = position(nodes, values(local));
        let miss = [point[0] - at[0], point[1] - at[1]];
        let [a, b] = tangents(nodes, &gradients(local));
        let area = determinant([a, b]);
        let step = [determinant([miss, b]) / area, determinant([a, miss]) / area];
        local = [local[0] + step[0], local[1] + step[1]];
        let size = step[0].abs().max(step[1].abs());
        // Far outside, or folded back on itself: not this element.
        if !size.is_finite() || local[0].abs().max(local[1].abs()) > 3.0 {
            return None;
        }
        if size <= 1e-13 {
            return Some(local);
        }
    }
    // Rounding can keep the last step above the limit. The caller measures the distance, so a
    // search that went astray is found out.
    Some(local)
}

fn position<const N: usize>(nodes: &[[f64; 2]; N], values: [f64; N]) -> [f64; 2] {
    nodes
        .iter()
        .zip(values)
        .fold([0.0; 2], |sum, (node, value)| [sum[0] + value * node[0], sum[1] + value * node[1]])
}

fn span(a: [f64; 2], b: [f64; 2]) -> f64 {
    (b[0] - a[0]).hypot(b[1] - a[1])
}
