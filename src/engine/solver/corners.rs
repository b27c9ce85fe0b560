//! Which elements meet at every node: the way of nodal forces from elements to nodes.

use rayon::prelude::*;

use crate::mesh::topology::{Mesh, NodeId};

/// Nodes that one task gathers: a tenth of a millisecond.
const TASK: usize = 1024;

/// Marks a triangle in the number of an element.
const TRIANGLE: u32 = 1 << 31;

/// Element corners by node.
#[derive(Clone, Debug, Default)]
pub(crate) struct Corners {
    start: Vec<u32>,
    /// Element, in the order of the mesh, and the node's place in it.
    corners: Vec<(u32, u8)>,
}

impl Corners {
    pub(crate) fn new(mesh: &Mesh) -> Self {
        let quads = mesh.quads.iter().enumerate().map(|(k, nodes)| (small(k), &nodes[..]));
        let triangles =
            mesh.triangles.iter().enumerate().map(|(k, nodes)| (small(k) | TRIANGLE, &nodes[..]));
        let elements: Vec<(u32, &[NodeId])> = quads.chain(triangles).collect();
        let mut start = vec![0; mesh.nodes.len() + 1];
        for &node in elements.iter().flat_map(|(_, nodes)| *nodes) {
            start[node + 1] += 1;
        }
        for node in 0..mesh.nodes.len() {
            start[node + 1] += start[node];
        }
        let mut next = start.clone();
        let mut corners = vec![(0, 0); start[mesh.nodes.len()] as usize];
        for (element, nodes) in elements {
            for (&node, a) in nodes.iter().zip(0..) {
                corners[next[node] as usize] = (element, a);
                next[node] += 1;
            }
        }
        Self { start, corners }
    }

    /// Sets every node's vector to the sum of what `of_quad` and `of_triangle` say of the elements
    /// there, by element and place.
    pub(crate) fn gather(
        &self,
        sums: &mut [[f64; 2]],
        of_quad: impl Fn(usize, usize) -> [f64; 2] + Sync,
        of_triangle: impl Fn(usize, usize) -> [f64; 2] + Sync,
    ) {
        sums.par_iter_mut().enumerate().with_min_len(TASK).for_each(|(node, sum)| {
            let corners = self.start[node] as usize..self.start[node + 1] as usize;
            *sum = [0.0; 2];
            for &(element, a) in &self.corners[corners] {
                let [x, y] = if element & TRIANGLE == 0 {
                    of_quad(element as usize, a.into())
                } else {
                    of_triangle((element ^ TRIANGLE) as usize, a.into())
                };
                sum[0] += x;
                sum[1] += y;
            }
        });
    }
}

fn small(index: usize) -> u32 {
    u32::try_from(index).expect("fewer than 2³¹ elements")
}
