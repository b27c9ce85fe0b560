//! How thick the elements of a mesh made elsewhere are, and the parts of one thickness that they make.
//!
//! An element takes the value of its cell, or the mean of the values at its nodes. Elements of one value
//! that hang together by their sides are a part. A part is drawn by its outer border, so of two that
//! surround a place the smaller one has it: parts stand in the order of falling area.

use std::collections::{BTreeMap, BTreeSet};

use crate::geometry::outline;
use crate::mesh::import::boundary::{Loop, area_and_length};
use crate::mesh::import::elements::Elements;
use crate::mesh::import::holes::Bore;
use crate::mesh::import::import_error::{ImportError, THICKNESS};
use crate::mesh::import::outline::lines_of;
use crate::mesh::import::rings::Neighbours;
use crate::mesh::import::vtu::Grid;
use crate::mesh::region_numbers::Regions;
use crate::mesh::topology::NodeId;

/// Thicknesses closer than this, as a share, are one. Single precision keeps 6e-8.
const SAME: f64 = 1e-6;
/// Most thicknesses of a plate: more are a taper.
const MOST_STEPS: usize = 40;
/// Most parts of a plate, as for regions that are drawn.
const MOST_PARTS: usize = 100;

/// Elements that hang together and are of one thickness.
#[derive(Clone, Debug, PartialEq)]
pub struct EvenPart {
    /// Thickness, mm.
    pub thickness: f64,
    /// Its outer border, counter-clockwise: it also surrounds the holes and smaller parts inside.
    pub outline: outline::Loop,
    /// A place in it, mm.
    pub inside: [f64; 2],
    /// Its elements.
    pub elements: usize,
}

/// All parts of a plate, by falling area inside their outlines, and who is in which.
#[derive(Clone, Debug, PartialEq)]
pub struct Parts {
    /// The parts.
    pub list: Vec<EvenPart>,
    /// Part of every quadrilateral of the mesh.
    quads: Vec<usize>,
    /// Part of every triangle of the mesh.
    triangles: Vec<usize>,
}

impl Parts {
    /// The parts that are regions of a plate of `thickness` (mm), region 1 first, and the regions of all
    /// elements. A part as thick as the plate is a region only where a region surrounds it.
    #[must_use]
    pub fn numbered(&self, thickness: f64) -> (Vec<EvenPart>, Regions) {
        let mut regions: Vec<EvenPart> = Vec::new();
        let mut numbers: Vec<u8> = Vec::new();
        for part in &self.list {
            let of_plate = (part.thickness - thickness).abs() <= SAME * thickness;
            if of_plate && !regions.iter().any(|region| region.outline.surrounds(part.inside)) {
                numbers.push(0);
                continue;
            }
            let own = if of_plate { thickness } else { part.thickness };
            regions.push(EvenPart { thickness: own, ..part.clone() });
            // There are fewer parts than a byte counts.
            numbers.push(u8::try_from(regions.len()).unwrap_or(u8::MAX));
        }
        if regions.is_empty() {
            return (regions, Regions::default());
        }
        let of = |parts: &[usize]| parts.iter().map(|&part| numbers[part]).collect();
        let relative_thickness = regions.iter().map(|part| part.thickness / thickness).collect();
        let (quads, triangles) = (of(&self.quads), of(&self.triangles));
        (regions, Regions { relative_thickness, quads, triangles })
    }
}

/// The thicknesses of a mesh, rising, and which of them every element has.
pub(super) struct Steps {
    /// Thicknesses, mm.
    values: Vec<f64>,
    /// Number in `values`, for every element of the list.
    pub(super) of: Vec<usize>,
}

/// Sorts the elements by thickness; `None` when the file says nothing of it. `scale` turns lengths into mm.
pub(super) fn steps(
    grid: &Grid,
    elements: &Elements,
    scale: f64,
) -> Result<Option<Steps>, ImportError> {
    let thick = if !grid.cell_thickness.is_empty() {
        let own = |cell: usize| checked(grid.cell_thickness[cell], || format!("cell {cell}"));
        elements.list.iter().map(|element| own(element.cell)).collect::<Result<Vec<f64>, _>>()?
    } else if !grid.point_thickness.is_empty() {
        let at = |point: usize| checked(grid.point_thickness[point], || format!("point {point}"));
        let mean = |cell: usize| {
            // The ninth point of a cell is no node of its element.
            let nodes = grid.cell(cell).iter().take(8);
            let count = nodes.len() as f64;
            nodes.map(|&point| at(point)).sum::<Result<f64, _>>().map(|sum| sum / count)
        };
        elements.list.iter().map(|element| mean(element.cell)).collect::<Result<Vec<f64>, _>>()?
    } else {
        return Ok(None);
    };
    let mut order: Vec<usize> = (0..thick.len()).collect();
    order.sort_by(|&a, &b| thick[a].total_cmp(&thick[b]));
    let (mut values, mut of) = (Vec::new(), vec![0; thick.len()]);
    for element in order {
        let own = thick[element] * scale;
        if values.last().is_none_or(|last| own > last * (1.0 + SAME)) {
            values.push(own);
        }
        of[element] = values.len() - 1;
    }
    if values.len() > MOST_STEPS {
        let count = values.len();
        return Err(complain(format!(
            "gives the elements {count} thicknesses, {MOST_STEPS} at most: round a taper to steps"
        )));
    }
    Ok(Some(Steps { values, of }))
}

fn checked(value: f64, at: impl Fn() -> String) -> Result<f64, ImportError> {
    if value.is_finite() && value > 0.0 {
        return Ok(value);
    }
    Err(complain(format!("is {value} at {}, and a thickness is above 0", at())))
}

fn complain(reason: String) -> ImportError {
    ImportError::Array { array: THICKNESS.to_owned(), reason }
}

/// Which part every element is in, by the lowest number of its elements: neighbours of one step are of
/// one part.
pub(super) fn connected(
    steps: &[usize],
    elements: &Elements,
    neighbours: &Neighbours,
) -> Vec<usize> {
    let mut part = vec![usize::MAX; steps.len()];
    for first in 0..steps.len() {
        if part[first] != usize::MAX {
            continue;
        }
        part[first] = first;
        let mut next = vec![first];
        while let Some(element) = next.pop() {
            for &middle in &elements.list[element].middles {
                let Some(other) = neighbours.across(middle, element) else { continue };
                if part[other] == usize::MAX && steps[other] == steps[first] {
                    part[other] = first;
                    next.push(other);
                }
            }
        }
    }
    part
}

/// Refuses a hole whose edge is of more than one thickness: its contact and its bearing stress have one.
pub(super) fn check_edges(
    bores: &[Bore],
    elements: &Elements,
    steps: &Steps,
) -> Result<(), ImportError> {
    let mut at_edge: BTreeMap<NodeId, usize> = BTreeMap::new();
    for (bore, hole) in bores.iter().enumerate() {
        at_edge.extend(hole.sides.iter().map(|side| (side[0], bore)));
    }
    let mut found: Vec<Option<usize>> = vec![None; bores.len()];
    for (element, &step) in elements.list.iter().zip(&steps.of) {
        for bore in element.corners.iter().filter_map(|corner| at_edge.get(corner)) {
            let first = *found[*bore].get_or_insert(step);
            if first != step {
                return Err(ImportError::Stepped {
                    hole: bores[*bore].hole.name.clone(),
                    at: element.middle(&elements.nodes),
                    thickness: [first, step].map(|step| steps.values[step]),
                });
            }
        }
    }
    Ok(())
}

/// The parts by falling area. `part_of` is that of [`connected`]; `order` has the elements of the list that
/// the quadrilaterals and the triangles of the mesh are.
pub(super) fn parts(
    steps: &Steps,
    part_of: &[usize],
    order: [&[usize]; 2],
    elements: &Elements,
    neighbours: &Neighbours,
) -> Result<Parts, ImportError> {
    let mut members: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
    for (element, &part) in part_of.iter().enumerate() {
        members.entry(part).or_default().push(element);
    }
    if members.len() > MOST_PARTS {
        let count = members.len();
        return Err(complain(format!(
            "makes {count} parts of one thickness, {MOST_PARTS} at most"
        )));
    }
    let mut drawn: Vec<(usize, f64, EvenPart)> = Vec::new();
    for (&first, members) in &members {
        let border = outer_border(members, part_of, elements, neighbours);
        let part = EvenPart {
            thickness: steps.values[steps.of[first]],
            outline: lines_of(&border, &elements.nodes),
            inside: elements.list[first].middle(&elements.nodes),
            elements: members.len(),
        };
        drawn.push((first, border.area, part));
    }
    drawn.sort_by(|a, b| b.1.total_cmp(&a.1));
    let place: BTreeMap<usize, usize> =
        drawn.iter().enumerate().map(|(place, (first, ..))| (*first, place)).collect();
    let [quads, triangles] =
        order.map(|list| list.iter().map(|&element| place[&part_of[element]]).collect());
    Ok(Parts { list: drawn.into_iter().map(|(.., part)| part).collect(), quads, triangles })
}

/// The border of a part that has the largest area inside; the others run round what lies in the part.
/// Every chain keeps the metal on its left and turns round a node inside its own fan of elements, also
/// where the part touches itself.
fn outer_border(
    members: &[usize],
    part_of: &[usize],
    elements: &Elements,
    neighbours: &Neighbours,
) -> Loop {
    let beyond = |element: usize, side: usize| {
        let middle = elements.list[element].middles[side];
        let other = neighbours.across(middle, element)?;
        let back = elements.list[other].middles.iter().position(|&node| node == middle)?;
        (part_of[other] == part_of[element]).then_some((other, back))
    };
    let after = |element: usize, side: usize| (side + 1) % elements.list[element].middles.len();
    let side_of = |element: usize, side: usize| {
        let (own, next) = (&elements.list[element], after(element, side));
        [own.corners[side], own.middles[side], own.corners[next]]
    };
    let mut seen: BTreeSet<(usize, usize)> = BTreeSet::new();
    let mut outer = Loop { sides: Vec::new(), area: f64::NEG_INFINITY };
    for &first in members {
        for start in 0..elements.list[first].middles.len() {
            if beyond(first, start).is_some() || seen.contains(&(first, start)) {
                continue;
            }
            let mut sides = Vec::new();
            let mut at = (first, start);
            while seen.insert(at) {
                sides.push(side_of(at.0, at.1));
                at.1 = after(at.0, at.1);
                while let Some((other, back)) = beyond(at.0, at.1) {
                    at = (other, after(other, back));
                }
            }
            let (area, _) = area_and_length(&sides, &elements.nodes);
            if area > outer.area {
                outer = Loop { sides, area };
            }
        }
    }
    outer
}
