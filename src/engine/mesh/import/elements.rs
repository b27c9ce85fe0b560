//! From the cells of a file to quadratic elements in one plane.
//!
//! Points that coincide become one; elements turn counter-clockwise; linear elements get
//! mid-side nodes, which neighbours share. Nodes keep the order of the file, new ones follow
//! in the order of the elements.

use std::collections::{BTreeMap, HashMap};

use crate::mesh::import::import_error::ImportError;
use crate::mesh::import::vtu::Grid;
use crate::mesh::topology::NodeId;

/// Points closer than this share of the largest coordinate are one. Single precision keeps
/// 6e-8 of it.
const SAME: f64 = 2e-7;
/// How far from one plane, as a share of the largest coordinate, points may lie.
const FLAT: f64 = 1e-6;
/// A middle node this close to the middle of a straight side, as a share of the side, was not
/// put on any curve. Single precision of a side a hundredth of the plate.
const STRAIGHT: f64 = 1e-5;

/// An element on the way: three or four corners, then as many mid-side nodes.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Element {
    /// Number of the cell in the file.
    pub(super) cell: usize,
    /// Corners, counter-clockwise.
    pub(super) corners: Vec<NodeId>,
    /// Mid-side nodes of the sides that start at each corner.
    pub(super) middles: Vec<NodeId>,
}

impl Element {
    /// Sides `[start, middle, end]`.
    pub(super) fn sides(&self) -> impl Iterator<Item = [NodeId; 3]> + '_ {
        let n = self.corners.len();
        (0..n).map(move |k| [self.corners[k], self.middles[k], self.corners[(k + 1) % n]])
    }

    /// Middle of the corners, mm.
    pub(super) fn middle(&self, nodes: &[[f64; 2]]) -> [f64; 2] {
        middle(&self.corners, nodes)
    }
}

/// Nodes and elements of one plane.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Elements {
    /// Positions, mm.
    pub(super) nodes: Vec<[f64; 2]>,
    pub(super) list: Vec<Element>,
    /// Mid-side nodes that lie in the middle of a straight side.
    pub(super) straight: Vec<bool>,
    /// Points of the file that were one with another.
    pub(super) merged: usize,
    /// Elements that had no mid-side nodes.
    pub(super) raised: usize,
}

/// A cell of the plane as the file has it.
struct Flat {
    cell: usize,
    sides: usize,
    quadratic: bool,
}

/// Takes the triangles and quadrilaterals of a grid; `scale` turns its lengths into mm.
pub(super) fn elements(grid: &Grid, scale: f64) -> Result<Elements, ImportError> {
    let cells = flat_cells(grid)?;
    let mut used = vec![false; grid.points.len()];
    for flat in &cells {
        for &point in points(grid, flat) {
            used[point] = true;
        }
    }
    let largest = plane(grid, &used)?;
    let (new, nodes, merged) = merge(grid, &used, SAME * largest, scale);
    let mut result = Elements { nodes, merged, ..Elements::default() };
    for flat in &cells {
        let mut ids: Vec<NodeId> = points(grid, flat).iter().map(|&point| new[point]).collect();
        let corners = &ids[..flat.sides];
        let at = middle(corners, &result.nodes);
        let refuse = |reason: &str| {
            Err(ImportError::Element { cell: flat.cell, at, reason: reason.to_owned() })
        };
        if (1..ids.len()).any(|k| ids[..k].contains(&ids[k])) {
            return refuse("has two nodes in one place");
        }
        let area = doubled_area(corners, &result.nodes);
        if area == 0.0 {
            return refuse("has no area");
        }
        if area < 0.0 {
            turn(&mut ids, flat.sides);
        }
        let middles = ids.split_off(flat.sides);
        result.list.push(Element { cell: flat.cell, corners: ids, middles });
    }
    raise(&mut result)?;
    Ok(result)
}

/// Triangles and quadrilaterals; lines and vertices are passed over.
fn flat_cells(grid: &Grid) -> Result<Vec<Flat>, ImportError> {
    let mut cells = Vec::new();
    for (cell, &kind) in grid.kinds.iter().enumerate() {
        let refuse = |reason| Err(ImportError::Cell { cell, kind, reason });
        let (sides, quadratic, count) = match kind {
            // Vertices, lines and curves mark places and edges.
            0..=4 | 21 | 35 => continue,
            5 => (3, false, 3),
            9 => (4, false, 4),
            22 => (3, true, 6),
            23 => (4, true, 8),
            28 => (4, true, 9),
            10..=14 | 24..=27 | 29 | 32 | 33 | 41 | 42 => return refuse("is a solid element"),
            _ => return refuse("is not understood"),
        };
        if grid.cell(cell).len() != count {
            return refuse("has the wrong number of points");
        }
        cells.push(Flat { cell, sides, quadratic });
    }
    if cells.is_empty() {
        let reason = "it has no triangles or quadrilaterals".to_owned();
        return Err(ImportError::NotAGrid { reason });
    }
    Ok(cells)
}

/// Points of a cell that a quadratic element has: the one in the middle of nine is dropped.
fn points<'g>(grid: &'g Grid, flat: &Flat) -> &'g [usize] {
    let count = if flat.quadratic { 2 * flat.sides } else { flat.sides };
    &grid.cell(flat.cell)[..count]
}

/// Largest coordinate, when all points that are used are numbers and lie in one plane z = c.
fn plane(grid: &Grid, used: &[bool]) -> Result<f64, ImportError> {
    let mut largest = 0.0_f64;
    let all = || grid.points.iter().enumerate().filter(|(point, _)| used[*point]);
    for (point, at) in all() {
        if at.iter().any(|x| !x.is_finite()) {
            return Err(ImportError::Point { point, reason: "is not a number".to_owned() });
        }
        largest = largest.max(at[0].abs()).max(at[1].abs());
    }
    if !(1e-9..1e9).contains(&largest) {
        let reason = format!("its largest coordinate is {largest:e}");
        return Err(ImportError::NotAGrid { reason });
    }
    let level = all().next().map_or(0.0, |(_, at)| at[2]);
    for (point, at) in all() {
        if (at[2] - level).abs() > FLAT * largest {
            let reason = format!("has z = {}, others have {level}: a plate is flat", at[2]);
            return Err(ImportError::Point { point, reason });
        }
    }
    Ok(largest)
}

/// New number of every point, positions in mm, and how many points were one with another.
fn merge(
    grid: &Grid,
    used: &[bool],
    tolerance: f64,
    scale: f64,
) -> (Vec<NodeId>, Vec<[f64; 2]>, usize) {
    let mut new = vec![NodeId::MAX; grid.points.len()];
    let mut nodes: Vec<[f64; 2]> = Vec::new();
    let mut merged = 0;
    // Only asked, never walked through: its order does not matter.
    let mut boxes: HashMap<[i64; 2], Vec<NodeId>> = HashMap::new();
    // No coordinate is more than 1/SAME tolerances long, far inside the whole numbers.
    #[allow(clippy::cast_possible_truncation)]
    let cell = |x: f64| (x / tolerance).floor() as i64;
    for (point, &[x, y, _]) in grid.points.iter().enumerate().filter(|(point, _)| used[*point]) {
        let (i, j) = (cell(x), cell(y));
        let near = |node: &&NodeId| {
            let [a, b] = nodes[**node];
            (a - x).hypot(b - y) <= tolerance
        };
        let around = (-1..=1).flat_map(|a| (-1..=1).map(move |b| [i + a, j + b]));
        let found = around
            .filter_map(|cell| boxes.get(&cell))
            .filter_map(|list| list.iter().filter(near).min())
            .min()
            .copied();
        new[point] = found.unwrap_or(nodes.len());
        if found.is_some() {
            merged += 1;
        } else {
            boxes.entry([i, j]).or_default().push(nodes.len());
            nodes.push([x, y]);
        }
    }
    for node in &mut nodes {
        *node = node.map(|x| x * scale);
    }
    (new, nodes, merged)
}

fn middle(corners: &[NodeId], nodes: &[[f64; 2]]) -> [f64; 2] {
    let count = corners.len() as f64;
    [0, 1].map(|axis| corners.iter().map(|&node| nodes[node][axis]).sum::<f64>() / count)
}

/// Twice the signed area of a polygon, mm².
fn doubled_area(corners: &[NodeId], nodes: &[[f64; 2]]) -> f64 {
    let origin = nodes[corners[0]];
    let from = |node: NodeId| [nodes[node][0] - origin[0], nodes[node][1] - origin[1]];
    corners
        .iter()
        .zip(corners.iter().cycle().skip(1))
        .map(|(&a, &b)| {
            let (a, b) = (from(a), from(b));
            a[0] * b[1] - a[1] * b[0]
        })
        .sum()
}

/// Turns an element over: the first corner stays, sides run the other way.
fn turn(ids: &mut [NodeId], sides: usize) {
    ids[1..sides].reverse();
    ids[sides..].reverse();
}

/// Gives linear elements mid-side nodes, those of quadratic neighbours where there are any.
fn raise(elements: &mut Elements) -> Result<(), ImportError> {
    let key = |a: NodeId, b: NodeId| (a.min(b), a.max(b));
    let mut known: BTreeMap<(NodeId, NodeId), NodeId> = BTreeMap::new();
    let mut straight = vec![false; elements.nodes.len()];
    for element in elements.list.iter().filter(|element| !element.middles.is_empty()) {
        for [start, middle, end] in element.sides() {
            let [a, m, b] = [start, middle, end].map(|node| elements.nodes[node]);
            let off = (m[0] - 0.5 * (a[0] + b[0])).hypot(m[1] - 0.5 * (a[1] + b[1]));
            straight[middle] = off <= STRAIGHT * (b[0] - a[0]).hypot(b[1] - a[1]);
            if *known.entry(key(start, end)).or_insert(middle) != middle {
                let reason = "two elements share a side but not the node in its middle".to_owned();
                return Err(ImportError::Joint { at: m, reason });
            }
        }
    }
    for element in &mut elements.list {
        if !element.middles.is_empty() {
            continue;
        }
        elements.raised += 1;
        let n = element.corners.len();
        for k in 0..n {
            let (start, end) = (element.corners[k], element.corners[(k + 1) % n]);
            let node = *known.entry(key(start, end)).or_insert_with(|| {
                let (a, b) = (elements.nodes[start], elements.nodes[end]);
                elements.nodes.push([0.5 * (a[0] + b[0]), 0.5 * (a[1] + b[1])]);
                straight.push(true);
                elements.nodes.len() - 1
            });
            element.middles.push(node);
        }
    }
    elements.straight = straight;
    Ok(())
}
