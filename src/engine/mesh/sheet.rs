//! Sheets that lie on the plate: meshes of their own in the same plane, after the nodes and elements of
//! the plate, and where each of them covers it.
//!
//! Points of the plane belong to the plate and to every sheet there, so a place says nothing about the
//! sheet: whoever reads fields takes one sheet alone ([`Mesh::alone`]).

use std::ops::Range;

use crate::mesh::region_numbers::Regions;
use crate::mesh::topology::{HoleMesh, Mesh, NamedEdge, NodeId, Sheet};

/// Nodes and elements of the plate or of one sheet.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Part {
    /// Nodes.
    pub nodes: Range<NodeId>,
    /// Quadrilaterals.
    pub quads: Range<usize>,
    /// Triangles.
    pub triangles: Range<usize>,
}

impl Mesh {
    /// Lays `sheet` on the plate; its elements are those of `region`, and the regions are as thick as
    /// `relative_thickness` says. Where it covers the plate is left to
    /// [`overlap`](crate::mesh::overlap::overlap).
    pub fn lay_on(&mut self, name: &str, sheet: Self, region: u8, relative_thickness: &[f64]) {
        let (nodes, quads, triangles) = (self.nodes.len(), self.quads.len(), self.triangles.len());
        let on = |node: NodeId| node + nodes;
        if self.regions.quads.is_empty() && self.regions.triangles.is_empty() {
            self.regions.quads = vec![0; quads];
            self.regions.triangles = vec![0; triangles];
        }
        self.regions.relative_thickness = relative_thickness.to_vec();
        self.regions.quads.resize(quads + sheet.quads.len(), region);
        self.regions.triangles.resize(triangles + sheet.triangles.len(), region);
        let holes = sheet.holes.into_iter().map(|hole| HoleMesh {
            edge: hole.edge.into_iter().map(on).collect(),
            first_quad: hole.first_quad + quads,
            ..hole
        });
        let edges = sheet.edges.into_iter().map(|edge| NamedEdge {
            name: edge.name,
            sides: edge.sides.into_iter().map(|side| side.map(on)).collect(),
        });
        self.sheets.push(Sheet {
            name: name.to_owned(),
            nodes: nodes..nodes + sheet.nodes.len(),
            quads: quads..quads + sheet.quads.len(),
            triangles: triangles..triangles + sheet.triangles.len(),
            holes: holes.collect(),
            edges: edges.collect(),
            overlap: Vec::new(),
        });
        self.nodes.extend(sheet.nodes);
        self.quads.extend(sheet.quads.into_iter().map(|quad| quad.map(on)));
        self.triangles.extend(sheet.triangles.into_iter().map(|triangle| triangle.map(on)));
        self.mirror_nodes_x.extend(sheet.mirror_nodes_x.into_iter().map(on));
        self.mirror_nodes_y.extend(sheet.mirror_nodes_y.into_iter().map(on));
    }

    /// Nodes and elements of sheet `sheet`, or of the plate.
    #[must_use]
    pub fn part(&self, sheet: Option<usize>) -> Part {
        if let Some(sheet) = sheet.map(|sheet| &self.sheets[sheet]) {
            return Part {
                nodes: sheet.nodes.clone(),
                quads: sheet.quads.clone(),
                triangles: sheet.triangles.clone(),
            };
        }
        let first = self.sheets.first();
        Part {
            nodes: 0..first.map_or(self.nodes.len(), |sheet| sheet.nodes.start),
            quads: 0..first.map_or(self.quads.len(), |sheet| sheet.quads.start),
            triangles: 0..first.map_or(self.triangles.len(), |sheet| sheet.triangles.start),
        }
    }

    /// Region that the elements of a sheet are in.
    #[must_use]
    pub fn region_of_sheet(&self, sheet: usize) -> u8 {
        let Sheet { quads, triangles, .. } = &self.sheets[sheet];
        let quad = quads.clone().next().and_then(|quad| self.regions.quads.get(quad));
        let triangle = triangles.clone().next().and_then(|k| self.regions.triangles.get(k));
        quad.or(triangle).copied().unwrap_or(0)
    }

    /// The mesh of the plate, or of one sheet, without the others. A sheet comes without regions: it is as
    /// thick as the part it is drawn as.
    #[must_use]
    pub fn alone(&self, sheet: Option<usize>) -> Self {
        let part = self.part(sheet);
        let off = |node: NodeId| node - part.nodes.start;
        let (holes, edges) = match sheet {
            Some(sheet) => (&self.sheets[sheet].holes, &self.sheets[sheet].edges),
            None => (&self.holes, &self.edges),
        };
        let on_line = |nodes: &[NodeId]| -> Vec<NodeId> {
            nodes.iter().filter(|node| part.nodes.contains(node)).map(|&node| off(node)).collect()
        };
        let numbers =
            |all: &[u8], range: &Range<usize>| all.get(range.clone()).unwrap_or(&[]).to_vec();
        let quads = numbers(&self.regions.quads, &part.quads);
        let triangles = numbers(&self.regions.triangles, &part.triangles);
        let uniform = quads.iter().chain(&triangles).all(|&region| region == 0);
        let regions = if sheet.is_some() || uniform {
            Regions::default()
        } else {
            let relative_thickness = self.regions.relative_thickness.clone();
            Regions { relative_thickness, quads, triangles }
        };
        Self {
            nodes: self.nodes[part.nodes.clone()].to_vec(),
            quads: self.quads[part.quads.clone()].iter().map(|quad| quad.map(off)).collect(),
            triangles: (self.triangles[part.triangles.clone()].iter())
                .map(|triangle| triangle.map(off))
                .collect(),
            holes: holes
                .iter()
                .map(|hole| HoleMesh {
                    edge: hole.edge.iter().map(|&node| off(node)).collect(),
                    first_quad: hole.first_quad - part.quads.start,
                    ..hole.clone()
                })
                .collect(),
            edges: edges
                .iter()
                .map(|edge| NamedEdge {
                    name: edge.name.clone(),
                    sides: edge.sides.iter().map(|side| side.map(off)).collect(),
                })
                .collect(),
            symmetry: self.symmetry,
            mirror_nodes_x: on_line(&self.mirror_nodes_x),
            mirror_nodes_y: on_line(&self.mirror_nodes_y),
            regions,
            sheets: Vec::new(),
            // A plate with a sheet on it has no bush.
            couplings: Vec::new(),
            matings: Vec::new(),
        }
    }

    /// Takes one sheet off; the numbers of those after it move up.
    pub fn take_off(&mut self, sheet: usize) {
        let gone = self.sheets.remove(sheet);
        let (nodes, quads, triangles) = (gone.nodes.len(), gone.quads.len(), gone.triangles.len());
        let off = |node: NodeId| if node >= gone.nodes.end { node - nodes } else { node };
        self.nodes.drain(gone.nodes.clone());
        self.quads.drain(gone.quads.clone());
        self.triangles.drain(gone.triangles.clone());
        self.regions.quads.drain(gone.quads.clone());
        self.regions.triangles.drain(gone.triangles.clone());
        for quad in &mut self.quads {
            *quad = quad.map(off);
        }
        for triangle in &mut self.triangles {
            *triangle = triangle.map(off);
        }
        for on_line in [&mut self.mirror_nodes_x, &mut self.mirror_nodes_y] {
            on_line.retain(|node| !gone.nodes.contains(node));
            for node in on_line.iter_mut() {
                *node = off(*node);
            }
        }
        for later in self.sheets.iter_mut().filter(|other| other.nodes.start >= gone.nodes.end) {
            later.nodes = later.nodes.start - nodes..later.nodes.end - nodes;
            later.quads = later.quads.start - quads..later.quads.end - quads;
            later.triangles = later.triangles.start - triangles..later.triangles.end - triangles;
            for hole in &mut later.holes {
                hole.first_quad -= quads;
                for node in &mut hole.edge {
                    *node -= nodes;
                }
            }
            for side in later.edges.iter_mut().flat_map(|edge| &mut edge.sides) {
                *side = side.map(off);
            }
            for (high, low, _) in &mut later.overlap {
                (*high, *low) = (off(*high), off(*low));
            }
        }
        if self.sheets.is_empty() {
            let numbers = self.regions.quads.iter().chain(&self.regions.triangles);
            if numbers.copied().all(|region| region == 0) {
                self.regions = Regions::default();
            }
        }
    }
}
