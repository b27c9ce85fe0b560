//! Answers as the page takes them: a head in JSON, then arrays of numbers as they stand in memory.
//!
//! ```text
//! length of the head, 4 bytes │ head, padded with blanks │ arrays, each from a multiple of 8 bytes
//! ```
//!
//! Little-endian. The head lists the arrays as `{ name, type, at, length }`; `at` counts from the first array.
//! Numbers are in the units of the case. Fields to be drawn have four bytes a value, whatever is read as a
//! number has eight.

mod parcel;
mod section;

use std::sync::Arc;

use serde_json::{Value, json};

use crate::live::answer::{Answer, Increments};
use crate::live::pack::parcel::Parcel;
use crate::mesh::topology::{HoleMesh, Mesh};
use crate::plot::paper::colour::{Rgb, diverging};
use crate::plot::plate::zone_border::{any, signed};
use crate::report::csv;
use crate::result::path::{PathPoint, StressPath};
use crate::result::stage::NodalFields;
use crate::study::bracket::ReadBounds;
use crate::tensor::Stress;
use crate::units::Units;

pub(super) use section::section;

/// Columns of a path in the order of the numbers of a point.
const PATH_COLUMNS: [&str; 10] =
    ["distance", "x", "y", "hoop", "radial", "axial", "shear", "von_mises", "plastic", "reverse"];

/// An answer with the fields of stage `stage`.
pub(super) fn answer(answer: &Answer, stage: usize) -> Vec<u8> {
    let units = answer.case.units;
    let shown = &answer.stages[stage];
    let mut parcel = Parcel::new();
    mesh(&mut parcel, &shown.mesh, units);
    fields(&mut parcel, "", &shown.mesh, &shown.nodal, answer.job.plate.holes.as_slice(), units);
    for (index, path) in shown.paths.iter().enumerate() {
        parcel.exact(&format!("path{index}"), rows(&path.points, units));
    }
    let stages: Vec<Value> = answer
        .stages
        .iter()
        .map(|one| json!({ "label": one.label, "heading": one.heading, "loaded": one.loaded }))
        .collect();
    let holes: Vec<Value> = answer
        .job
        .plate
        .holes
        .iter()
        .map(|hole| {
            let [x, y] = hole.centre.map(|mm| mm / units.length_scale());
            json!({ "name": hole.name, "x": x, "y": y,
                    "diameter": hole.starting_diameter / units.length_scale() })
        })
        .collect();
    parcel.close(json!({
        "accuracy": answer.accuracy,
        "unknowns": answer.unknowns,
        "increments": answer.history.len(),
        "fineness": answer.job.numerics.fineness,
        "seconds": answer.seconds,
        "sha256": answer.case.sha256,
        "stages": stages,
        "stage": stage,
        "holes": holes,
        "paths": path_list(&shown.paths),
        "path_columns": PATH_COLUMNS,
        "headlines": csv::headlines(&answer.summaries, units),
        "warnings": answer.warnings,
        "symmetry": symmetry(&shown.mesh, units),
        "yield": answer.job.material.elastic_limit() / units.stress_scale(),
    }))
}

/// The increments of a run: a mesh for each plate, and for each increment the number of its mesh and its fields.
pub(super) fn increments(found: &Increments, units: Units) -> Vec<u8> {
    let mut parcel = Parcel::new();
    let mut meshes: Vec<Arc<Mesh>> = Vec::new();
    let mut frames = Vec::new();
    for (number, (record, mesh_now, nodal)) in found.frames.iter().enumerate() {
        let known = meshes.iter().position(|mesh| Arc::ptr_eq(mesh, mesh_now));
        let index = known.unwrap_or_else(|| {
            let mut own = Parcel::new();
            mesh(&mut own, mesh_now, units);
            parcel.append(&own, &format!("mesh{}:", meshes.len()));
            meshes.push(Arc::clone(mesh_now));
            meshes.len() - 1
        });
        let holes = found.job.plate.holes.as_slice();
        fields(&mut parcel, &format!("frame{number}:"), mesh_now, nodal, holes, units);
        frames.push(json!({
            "mesh": index,
            "stage": record.stage,
            "phase": record.phase.name(),
            "share": record.share,
            "pressure": record.mean_pressure / units.stress_scale(),
            "symmetry": symmetry(mesh_now, units),
        }));
    }
    parcel.close(json!({ "frames": frames }))
}

/// The last state under the bounding laws.
pub(super) fn bounds(found: &ReadBounds, units: Units) -> Vec<u8> {
    let mut parcel = Parcel::new();
    let mut laws = Vec::new();
    for (summary, paths) in found.summaries.iter().zip(&found.paths) {
        for (index, path) in paths.iter().enumerate() {
            parcel.exact(&format!("{}:path{index}", summary.hardening), rows(&path.points, units));
        }
        laws.push(json!({ "hardening": summary.hardening, "paths": path_list(paths),
                          "misfit": summary.curve_misfit }));
    }
    parcel.close(json!({ "laws": laws, "path_columns": PATH_COLUMNS }))
}

/// Points of one line.
pub(super) fn line(points: &[PathPoint], units: Units) -> Vec<u8> {
    let mut parcel = Parcel::new();
    parcel.exact("line", rows(points, units));
    parcel.close(json!({ "path_columns": PATH_COLUMNS }))
}

/// Colours of a diverging scale from −1 to 1, `[red, green, blue]` each.
pub(super) fn colours() -> Vec<[u8; 3]> {
    (-128..=128)
        .map(|step| {
            let Rgb(colour) = diverging(f64::from(step) / 128.0);
            colour
        })
        .collect()
}

fn path_list(paths: &[StressPath]) -> Vec<Value> {
    paths.iter().map(|path| json!({ "hole": path.hole, "angle": path.angle_deg })).collect()
}

fn rows(points: &[PathPoint], units: Units) -> impl Iterator<Item = f64> {
    let (length, stress) = (units.length_scale(), units.stress_scale());
    points.iter().flat_map(move |point| {
        [
            point.distance / length,
            point.drawn[0] / length,
            point.drawn[1] / length,
            point.stress.hoop / stress,
            point.stress.radial / stress,
            point.stress.axial / stress,
            point.stress.shear / stress,
            point.von_mises / stress,
            point.equivalent_plastic_strain,
            point.reverse_plastic_strain,
        ]
    })
}

fn symmetry(mesh: &Mesh, units: Units) -> Value {
    let [x, y] =
        [mesh.symmetry.x, mesh.symmetry.y].map(|line| line.map(|mm| mm / units.length_scale()));
    json!({ "x": x, "y": y })
}

/// Nodes, and flat triangles between them: six for a quadrilateral, four for a triangle; and the outline.
fn mesh(parcel: &mut Parcel, mesh: &Mesh, units: Units) {
    let length = units.length_scale();
    parcel.drawn("nodes", mesh.nodes.iter().flatten().map(|mm| mm / length));
    triangles_and_outline(parcel, "", mesh);
}

/// Flat triangles between the nodes of a mesh, and the sides of its outline.
fn triangles_and_outline(parcel: &mut Parcel, prefix: &str, mesh: &Mesh) {
    let quads = mesh.quads.iter().flat_map(|n| {
        [[0, 4, 7], [4, 1, 5], [5, 2, 6], [6, 3, 7], [4, 5, 7], [5, 6, 7]]
            .map(|corners| corners.map(|corner| n[corner]))
    });
    let triangles = mesh.triangles.iter().flat_map(|n| {
        [[0, 3, 5], [3, 1, 4], [4, 2, 5], [3, 4, 5]].map(|corners| corners.map(|corner| n[corner]))
    });
    parcel.indices(&format!("{prefix}triangles"), quads.chain(triangles).flatten());
    let holes = mesh.holes.iter().flat_map(HoleMesh::sides);
    let edges = mesh.edges.iter().flat_map(|edge| edge.sides.iter().copied());
    let sides = holes.chain(edges).flat_map(|[a, b, c]| [a, b, b, c]);
    parcel.indices(&format!("{prefix}outline"), sides);
}

/// The fields that can be drawn. Zones are positive inside and zero on their border.
fn fields(
    parcel: &mut Parcel,
    prefix: &str,
    mesh: &Mesh,
    nodal: &NodalFields,
    holes: &[crate::geometry::hole::Hole],
    units: Units,
) {
    let (length, stress) = (units.length_scale(), units.stress_scale());
    let polar: Vec<_> = mesh
        .nodes
        .iter()
        .zip(&nodal.stress)
        .map(|(node, stress)| {
            let hole = crate::geometry::hole::nearest_hole(*node, holes);
            stress.polar(hole.map_or(0.0, |hole| holes[hole].angle_to(*node)))
        })
        .collect();
    let mut put = |name: &str, values: &mut dyn Iterator<Item = f64>| {
        parcel.drawn(&format!("{prefix}{name}"), values);
    };
    put("hoop", &mut nodal.hoop.iter().map(|mpa| mpa / stress));
    put("radial", &mut polar.iter().map(|polar| polar.radial / stress));
    put("shear", &mut polar.iter().map(|polar| polar.shear / stress));
    put("axial", &mut polar.iter().map(|polar| polar.axial / stress));
    put("von_mises", &mut nodal.stress.iter().map(|s: &Stress| s.von_mises() / stress));
    put("plastic", &mut nodal.equivalent_plastic_strain.iter().copied());
    put("reverse", &mut nodal.reverse_plastic_strain.iter().copied());
    put("ux", &mut nodal.displacement.iter().map(|u| u[0] / length));
    put("uy", &mut nodal.displacement.iter().map(|u| u[1] / length));
    for (name, strain) in
        [("yielded", &nodal.equivalent_plastic_strain), ("reversed", &nodal.reverse_plastic_strain)]
    {
        if any(strain) {
            put(name, &mut signed(mesh, strain).into_iter());
        }
    }
}
