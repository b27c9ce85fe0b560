//! Which elements meet at a node.

use crate::mesh::topology::{Mesh, NodeId};

/// The elements at every node: quadrilaterals first, then triangles, in the mesh's order.
#[derive(Clone, Debug)]
pub struct Adjacency {
    start: Vec<usize>,
    elements: Vec<usize>,
}

impl Adjacency {
    /// Finds the elements at every node of `mesh`.
    #[must_use]
    pub fn new(mesh: &Mesh) -> Self {
        let mut start = vec![0; mesh.nodes.len() + 1];
        for element in 0..mesh.element_count() {
            for &node in mesh.nodes_of(element) {
                start[node + 1] += 1;
            }
        }
        for node in 0..mesh.nodes.len() {
            start[node + 1] += start[node];
        }
        let mut next = start.clone();
        let mut elements = vec![0; start[mesh.nodes.len()]];
        for element in 0..mesh.element_count() {
            for &node in mesh.nodes_of(element) {
                elements[next[node]] = element;
                next[node] += 1;
            }
        }
        Self { start, elements }
    }

    /// The elements at `node`, rising.
    #[must_use]
    pub fn at(&self, node: NodeId) -> &[usize] {
        &self.elements[self.start[node]..self.start[node + 1]]
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_element_is_found_at_each_of_its_nodes_and_nowhere_else() {
        // A square and a triangle that share a side: nodes 1, 2 and their middle 5.
        let mesh = Mesh {
            nodes: vec![[0.0; 2]; 11],
            quads: vec![[0, 1, 2, 3, 4, 5, 6, 7]],
            triangles: vec![[1, 8, 2, 9, 10, 5]],
            ..Mesh::default()
        };
        let adjacency = Adjacency::new(&mesh);
        for node in 0..11 {
            let wanted: &[usize] = match node {
                1 | 2 | 5 => &[0, 1],
                8..=10 => &[1],
                _ => &[0],
            };
            assert_eq!(adjacency.at(node), wanted, "node {node}");
        }
    }
}
