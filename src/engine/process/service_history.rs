//! Effect of a service load at the edges of the holes, read during the run.
//!
//! The hoop stress and the total hoop strain at the nodes of a hole's edge are carried there from the integration points of
//! the elements that meet at the node, in polar components about the hole, and averaged: the
//! values that paths of a snapshot start with, without the cost of one. `tests/service.rs`
//! holds the two against each other.

use serde::{Deserialize, Serialize};

use crate::element::point_field::{QUAD_POINTS, TRIANGLE_POINTS, quad_shares, triangle_shares};
use crate::element::shape::{QUAD8_NODES, TRI6_NODES};
use crate::geometry::hole::Hole;
use crate::material::elasticity::Elasticity;
use crate::material::strains::Strains;
use crate::mesh::topology::{Mesh, NodeId, Symmetry};
use crate::process::program::Program;
use crate::solver::state::State;
use crate::tensor::{Polar, Stress};

/// Moment at which a reading is taken.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Mark {
    /// No load, before the first cycle.
    Before,
    /// An increment between two turning points.
    Between,
    /// A turning point.
    Turn,
    /// No load, after the last cycle.
    After,
}

/// The edges of all holes at one moment of a service load.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Reading {
    /// Kind of moment.
    pub mark: Mark,
    /// Cycle of a block or pass of a spectrum, counted over the stage from 1; 0 before the first.
    pub period: usize,
    /// Share of the stated load.
    pub load: f64,
    /// Hoop stress at the nodes of [`HoleMesh::edge`](crate::mesh::topology::HoleMesh), hole by
    /// hole, MPa.
    pub edge_hoop: Vec<Vec<f64>>,
    /// Total hoop strain there, elastic and plastic.
    pub edge_strain: Vec<Vec<f64>>,
    /// Largest growth of the equivalent plastic strain at a point since the turning point before.
    pub plastic_growth: f64,
}

/// Plastic strain added by one cycle, or one pass of a spectrum, where it added most.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Period {
    /// Counted over the stage from 1.
    pub number: usize,
    /// Block it belongs to, from 1.
    pub block: usize,
    /// Growth of the equivalent plastic strain.
    pub growth: f64,
    /// Part that did not come back: `√(2/3 Δεᵖ:Δεᵖ)` between start and end of the period, at the
    /// same point. As large as the growth when strain piles up one way, 0 when it goes to and fro.
    pub drift: f64,
    /// Where, reference position in the modelled part, mm.
    pub position: [f64; 2],
}

/// A service load so far.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct ServiceHistory {
    /// Number of the stage, from 1.
    pub stage: usize,
    /// Its label.
    pub label: String,
    /// How it goes.
    pub program: Program,
    /// Reference positions of the nodes of every hole's edge, mm, counter-clockwise, as of this
    /// stage: a later cut moves them.
    pub edges: Vec<Vec<[f64; 2]>>,
    /// Mirror lines of the modelled part.
    pub symmetry: Symmetry,
    /// In the order of time.
    pub readings: Vec<Reading>,
    /// Every period that is finished.
    pub periods: Vec<Period>,
}

/// Equivalent strain of a plastic strain `(εxx, εyy, εzz, γxy)`, engineering shear.
#[must_use]
fn equivalent_strain(strain: &nalgebra::Vector4<f64>) -> f64 {
    let direct = strain[0] * strain[0] + strain[1] * strain[1] + strain[2] * strain[2];
    (2.0 / 3.0 * (direct + 0.5 * strain[3] * strain[3])).sqrt()
}

/// The point whose equivalent plastic strain grew most from one state to another.
#[must_use]
pub(crate) fn period(
    number: usize,
    block: usize,
    from: &State,
    to: &State,
    at: &[[f64; 2]],
) -> Period {
    let growth = |point: usize| to.points[point].equivalent - from.points[point].equivalent;
    let most = (0..to.points.len()).reduce(|a, b| if growth(b) > growth(a) { b } else { a });
    let Some(point) = most else {
        return Period { number, block, growth: 0.0, drift: 0.0, position: [0.0; 2] };
    };
    let change = to.points[point].plastic_strain - from.points[point].plastic_strain;
    Period {
        number,
        block,
        growth: growth(point),
        drift: equivalent_strain(&change),
        position: at[point],
    }
}

/// An element at an edge node: its first integration point, and what each adds to the tensor there.
#[derive(Clone, Debug)]
struct Share {
    first: usize,
    /// Factors of the tensor components `(xx, yy, xy)` of each point: those of the radial, the hoop
    /// and the shear component in turn.
    factors: Vec<[[f64; 3]; 3]>,
}

/// A node of an edge.
#[derive(Clone, Debug)]
struct EdgeNode {
    node: NodeId,
    /// Where it is drawn, from the centre of its hole, mm.
    drawn: [f64; 2],
    /// The elements that meet there.
    shares: Vec<Share>,
}

/// Reads hoop stress and hoop strain at the edges of all holes of one mesh, about the drawn centres,
/// in the part that results are read in.
#[derive(Clone, Debug)]
pub struct EdgeReader {
    /// Hole by hole, node by node.
    holes: Vec<Vec<EdgeNode>>,
    strains: Strains,
}

impl EdgeReader {
    /// A reader of `mesh`, whose integration points lie at `positions`.
    #[must_use]
    pub fn new(mesh: &Mesh, holes: &[Hole], positions: &[[f64; 2]], strains: Strains) -> Self {
        let mut place = vec![None; mesh.nodes.len()];
        let mut found: Vec<Vec<EdgeNode>> = Vec::with_capacity(mesh.holes.len());
        for (index, hole) in mesh.holes.iter().enumerate() {
            for (k, &node) in hole.edge.iter().enumerate() {
                place[node] = Some((index, k));
            }
            let centre = holes[index].centre;
            let drawn = |node: NodeId| [0, 1].map(|i| mesh.nodes[node][i] - centre[i]);
            let nodes = hole.edge.iter();
            found.push(
                nodes
                    .map(|&node| EdgeNode { node, drawn: drawn(node), shares: Vec::new() })
                    .collect(),
            );
        }
        let ring = |quad: usize| {
            mesh.holes.iter().position(|hole| {
                (hole.first_quad..hole.first_quad + hole.layers * hole.sectors).contains(&quad)
            })
        };
        for (quad, element) in mesh.quads.iter().enumerate() {
            for (&node, local) in element.iter().zip(QUAD8_NODES) {
                let Some((index, k)) = place[node] else { continue };
                let first = QUAD_POINTS * quad;
                let shares = quad_shares(local);
                let at = mesh.nodes[node];
                // In the rings the hoop itself is carried on, elsewhere the stress as it stands.
                let own = ring(quad) == Some(index);
                let angle =
                    |m: usize| holes[index].angle_to(if own { positions[first + m] } else { at });
                let factors = factors(&shares, angle);
                found[index][k].shares.push(Share { first, factors });
            }
        }
        let start = QUAD_POINTS * mesh.quads.len();
        for (triangle, element) in mesh.triangles.iter().enumerate() {
            for (&node, local) in element.iter().zip(TRI6_NODES) {
                let Some((index, k)) = place[node] else { continue };
                let first = start + TRIANGLE_POINTS * triangle;
                let angle = holes[index].angle_to(mesh.nodes[node]);
                let factors = factors(&triangle_shares(local), |_| angle);
                found[index][k].shares.push(Share { first, factors });
            }
        }
        Self { holes: found, strains }
    }

    /// Hoop stress at every edge node, hole by hole, MPa.
    #[must_use]
    pub fn read(&self, state: &State) -> Vec<Vec<f64>> {
        self.carried(state, |point| {
            let stress = state.stress[point];
            [stress[0], stress[1], stress[3]]
        })
    }

    /// Total hoop strain at every edge node, hole by hole; logarithmic unless strains are small.
    /// `elasticity` answers for an integration point.
    #[must_use]
    pub fn read_strain(
        &self,
        state: &State,
        elasticity: impl Fn(usize) -> Elasticity,
    ) -> Vec<Vec<f64>> {
        self.carried(state, |point| {
            let plastic = state.points[point].plastic_strain;
            let strain = elasticity(point).total_strain(state.conjugate[point], plastic);
            // The tensor component is half the engineering shear.
            [strain[0], strain[1], 0.5 * strain[3]]
        })
    }

    /// The hoop component of a tensor `(xx, yy, xy)` of the points, at every edge node.
    fn carried(&self, state: &State, of_point: impl Fn(usize) -> [f64; 3]) -> Vec<Vec<f64>> {
        let component = |shares: &[Share], row: usize| -> f64 {
            let share = |share: &Share| -> f64 {
                let points = share.factors.iter().enumerate();
                let value = |(m, factors): (usize, &[[f64; 3]; 3])| -> f64 {
                    let tensor = of_point(share.first + m);
                    factors[row].iter().zip(tensor).map(|(factor, part)| factor * part).sum()
                };
                points.map(value).sum()
            };
            shares.iter().map(share).sum::<f64>() / shares.len().max(1) as f64
        };
        let node = |EdgeNode { node, drawn: [x, y], shares }: &EdgeNode| {
            let hoop = component(shares, 1);
            if self.strains == Strains::Small {
                return hoop;
            }
            // By how much the node has turned about the centre.
            let [u, v] = state.displacement[*node];
            let turn = (x * v - y * u).atan2(x * (x + u) + y * (y + v));
            let (radial, shear) = (component(shares, 0), component(shares, 2));
            Stress { xx: radial, yy: hoop, zz: 0.0, xy: shear }.polar(turn).hoop
        };
        self.holes.iter().map(|nodes| nodes.iter().map(node).collect()).collect()
    }
}

/// Factors that make polar components of point stresses, each turned by its angle.
fn factors(shares: &[f64], angle: impl Fn(usize) -> f64) -> Vec<[[f64; 3]; 3]> {
    let unit = |xx: f64, yy: f64, xy: f64| Stress { xx, yy, zz: 0.0, xy };
    let of_point = |(m, share): (usize, &f64)| {
        let polar = [unit(1.0, 0.0, 0.0), unit(0.0, 1.0, 0.0), unit(0.0, 0.0, 1.0)]
            .map(|stress| stress.polar(angle(m)));
        [|p: &Polar| p.radial, |p: &Polar| p.hoop, |p: &Polar| p.shear]
            .map(|part: fn(&Polar) -> f64| polar.map(|polar| share * part(&polar)))
    };
    shares.iter().enumerate().map(of_point).collect()
}
