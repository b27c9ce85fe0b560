//! Meshes made elsewhere: a `.vtu` file becomes a mesh of the whole plate.
//!
//! Read are triangles and quadrilaterals, linear or quadratic, in any order and orientation,
//! in every encoding that VTK's XML files have but other compression than zlib. An array `thickness`
//! is read; other fields, lines and vertices are passed over. What our own mesher gives by construction is found out here:
//! the boundary, the openings that are holes, the names of edges, rings of quadrilaterals
//! round a hole. Faults that cannot be repaired are rejected with their place.

mod array;
mod base64;
mod boundary;
mod circle;
mod elements;
mod holes;
pub mod import_error;
mod outline;
mod rings;
pub mod thickness;
mod vtu;

use std::fs::File;
use std::io::Read;
use std::path::Path;

use crate::element::quality;
use crate::geometry::hole::Hole;
use crate::geometry::plate::Outline;
use crate::mesh::check::LEAST_SCALED_JACOBIAN;
use crate::mesh::import::boundary::boundary;
use crate::mesh::import::elements::{Element, Elements, elements};
use crate::mesh::import::holes::{Laid, bores, check_fineness, lay_on_circle, round};
use crate::mesh::import::import_error::ImportError;
use crate::mesh::import::outline::{Boundary, boundary_of};
use crate::mesh::import::rings::{Neighbours, rings};
use crate::mesh::import::thickness::{Parts, check_edges, parts};
use crate::mesh::topology::{HoleMesh, Mesh, NodeId, Symmetry};

/// Largest mesh file, bytes: some two million quadratic elements.
const LARGEST_FILE: u64 = 1 << 29;
/// Elements with a smaller scaled Jacobian are folded for all that counts.
const FOLDED: f64 = 0.01;
/// A corner that moved by more than this share of the radius is told of.
const TOLD: f64 = 1e-5;

/// A mesh made elsewhere. Lengths in mm.
#[derive(Clone, Debug, PartialEq)]
pub struct Imported {
    /// The mesh.
    pub mesh: Mesh,
    /// Its holes, in the order of [`Mesh::holes`].
    pub holes: Vec<Hole>,
    /// The outline of its plate; openings that are no holes are cut-outs.
    pub outline: Outline,
    /// Changes that were made, one sentence each.
    pub notes: Vec<String>,
    /// Doubts about the answer, one sentence each.
    pub warnings: Vec<String>,
    /// Parts of one thickness each, when the file says how thick the plate is; the mesh has no regions
    /// until these are [numbered](Parts::numbered).
    pub parts: Option<Parts>,
}

/// The bytes of the mesh file at `path`.
///
/// # Errors
///
/// [`ImportError::Unreadable`] when it is no file, cannot be read, or is larger than 512 MiB.
pub fn read_bytes(path: &Path) -> Result<Vec<u8>, ImportError> {
    let unreadable = |reason: String| ImportError::Unreadable { reason };
    // Pipes and devices could keep a reader waiting for ever.
    let about = std::fs::metadata(path).map_err(|error| unreadable(error.to_string()))?;
    if !about.is_file() {
        return Err(unreadable("this is no file".to_owned()));
    }
    let mut bytes = Vec::new();
    File::open(path)
        .and_then(|file| file.take(LARGEST_FILE + 1).read_to_end(&mut bytes))
        .map_err(|error| unreadable(error.to_string()))?;
    if bytes.len() as u64 > LARGEST_FILE {
        return Err(unreadable("the file is larger than 512 MiB".to_owned()));
    }
    Ok(bytes)
}

/// Reads a `.vtu` file; `scale` is the length of its unit in mm.
///
/// Each of `holes` must be an opening of the mesh, to half a percent of its radius; the edge
/// is then laid exactly on the stated circle. Without `holes` all round openings are holes.
///
/// # Errors
///
/// [`ImportError`] for whatever is wrong with the file, its elements, or its holes.
pub fn read_vtu(bytes: &[u8], scale: f64, holes: &[Hole]) -> Result<Imported, ImportError> {
    let grid = vtu::read(bytes)?;
    let mut elements = elements(&grid, scale)?;
    check_shapes(&elements, "is folded: no turn of its nodes makes it right")?;
    let (outer, openings) = boundary(&elements)?;
    let (bores, others) = bores(openings, &elements.nodes, holes)?;
    let (mut notes, mut warnings) = (told(&elements), Vec::new());

    let neighbours = Neighbours::new(&elements);
    for bore in &bores {
        warnings.extend(check_fineness(bore, &elements, |middle| neighbours.first(middle))?);
    }
    let Boundary { edges, outline } = boundary_of(&outer, &others, &mut elements);
    for (index, bore) in bores.iter().enumerate() {
        let rest = bores.iter().enumerate().filter(|&(other, _)| other != index);
        let beside = rest.flat_map(|(_, other)| &other.sides);
        let loops = [&outer].into_iter().chain(&others).flat_map(|edge| &edge.sides);
        let nodes: Vec<NodeId> = beside.chain(loops).flatten().copied().collect();
        let Laid { moved, curved } = lay_on_circle(bore, &mut elements, nodes.into_iter());
        if moved > TOLD * bore.hole.radius() {
            notes.push(format!(
                "the nodes of hole `{}` were moved onto its circle, by up to {moved:.4} mm",
                bore.hole.name
            ));
        }
        if curved {
            notes.push(format!(
                "the straight sides at hole `{}` were curved to follow its circle",
                bore.hole.name
            ));
        }
    }
    let reason = "folds when the edge of its hole is laid on the circle: refine there";
    warnings.extend(check_shapes(&elements, reason)?);
    notes.extend(others.iter().map(|opening| cut_out(opening, &elements)));

    let steps = thickness::steps(&grid, &elements, scale)?;
    let part_of = steps.as_ref().map_or_else(
        || vec![0; elements.list.len()],
        |steps| thickness::connected(&steps.of, &elements, &neighbours),
    );
    if let Some(steps) = &steps {
        check_edges(&bores, &elements, steps)?;
    }
    // Where every element of the list comes to stand: quadrilaterals, then triangles.
    let (mut quads, mut triangles) = (Vec::new(), Vec::new());
    let mut taken = vec![false; elements.list.len()];
    let mut mesh = Mesh { symmetry: Symmetry::default(), edges, ..Mesh::default() };
    for bore in &bores {
        let first_quad = mesh.quads.len();
        let (ring_quads, owners) = rings(bore, &elements, &neighbours, &part_of, &mut taken);
        mesh.quads.extend(ring_quads);
        quads.extend(owners);
        let sectors = bore.sides.len();
        let layers = (mesh.quads.len() - first_quad) / sectors;
        mesh.holes.push(HoleMesh {
            edge: bore.sides.iter().flat_map(|&[corner, middle, _]| [corner, middle]).collect(),
            closed: true,
            first_quad: if layers == 0 { 0 } else { first_quad },
            sectors,
            layers,
            ream_layers: None,
        });
    }
    for (index, element) in elements.list.iter().enumerate().filter(|(at, _)| !taken[*at]) {
        add(&mut mesh, element);
        if element.corners.len() == 3 { &mut triangles } else { &mut quads }.push(index);
    }
    let parts = steps
        .map(|steps| parts(&steps, &part_of, [&quads, &triangles], &elements, &neighbours))
        .transpose()?;
    mesh.nodes = elements.nodes;
    let holes = bores.into_iter().map(|bore| bore.hole).collect();
    Ok(Imported { mesh, holes, outline, notes, warnings, parts })
}

fn told(elements: &Elements) -> Vec<String> {
    let mut notes = Vec::new();
    if elements.merged > 0 {
        notes.push(format!("{} points that coincide with others were merged", elements.merged));
    }
    if elements.raised > 0 {
        notes.push(format!("{} linear elements were made quadratic", elements.raised));
    }
    notes
}

fn cut_out(opening: &boundary::Loop, elements: &Elements) -> String {
    let nodes = &elements.nodes;
    if let Some(([x, y], diameter)) = round(opening, nodes) {
        return format!(
            "the opening at ({x:.4}, {y:.4}) mm, of diameter {diameter:.4} mm, is a cut-out, as no \
             hole is stated there"
        );
    }
    let [x, y] = nodes[opening.sides[0][0]];
    format!("the opening at ({x:.4}, {y:.4}) mm is a cut-out")
}

fn add(mesh: &mut Mesh, element: &Element) {
    match (element.corners.as_slice(), element.middles.as_slice()) {
        (&[a, b, c], &[d, e, f]) => mesh.triangles.push([a, b, c, d, e, f]),
        (&[a, b, c, d], &[e, f, g, h]) => mesh.quads.push([a, b, c, d, e, f, g, h]),
        _ => unreachable!("elements have three or four corners and as many middles"),
    }
}

/// Refuses the first folded element; says how many are merely bad.
fn check_shapes(elements: &Elements, reason: &str) -> Result<Option<String>, ImportError> {
    let mut bad = 0;
    let mut worst = (f64::INFINITY, [0.0; 2]);
    for element in &elements.list {
        let at = |node: &NodeId| elements.nodes[*node];
        let nodes: Vec<[f64; 2]> = element.corners.iter().chain(&element.middles).map(at).collect();
        let jacobian = if let Ok(quad) = <&[[f64; 2]; 8]>::try_from(nodes.as_slice()) {
            quality::quad8(quad).scaled_jacobian
        } else if let Ok(triangle) = <&[[f64; 2]; 6]>::try_from(nodes.as_slice()) {
            quality::tri6(triangle).scaled_jacobian
        } else {
            f64::NAN
        };
        // What is not a number is folded too.
        if jacobian.is_nan() || jacobian < FOLDED {
            return Err(ImportError::Element {
                cell: element.cell,
                at: element.middle(&elements.nodes),
                reason: reason.to_owned(),
            });
        }
        if jacobian < LEAST_SCALED_JACOBIAN {
            bad += 1;
            if jacobian < worst.0 {
                worst = (jacobian, element.middle(&elements.nodes));
            }
        }
    }
    let (jacobian, [x, y]) = worst;
    Ok((bad > 0).then(|| {
        format!(
            "{bad} elements are badly shaped, the worst at ({x:.4}, {y:.4}) mm with a scaled \
             Jacobian of {jacobian:.3}; below {LEAST_SCALED_JACOBIAN} expect errors there"
        )
    }))
}
