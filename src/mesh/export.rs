//! A mesh as a `.vtu` file: points and cells, nothing else.
//!
//! VTK XML, unstructured grid, binary arrays in base 64, little endian; cell types 23 and 22,
//! whose node order is the mesh's own.
//!
//! Source: VTK file formats, XML formats; cell types of the VTK class reference (from memory).

use vtkio::model::{
    Attributes, ByteOrder, CellType, Cells, DataSet, IOBuffer, UnstructuredGridPiece, Version,
    VertexNumbers, Vtk,
};

use crate::mesh::topology::Mesh;

/// The bytes of a `.vtu` file of `mesh`; `scale` is the length of the file's unit in mm.
///
/// # Errors
///
/// Message of the writer when it fails.
pub fn vtu(mesh: &Mesh, scale: f64, title: &str) -> Result<Vec<u8>, vtkio::Error> {
    let mut connectivity: Vec<u64> = Vec::new();
    let mut offsets = Vec::new();
    let mut types = Vec::new();
    let quads = mesh.quads.iter().map(|nodes| (&nodes[..], CellType::QuadraticQuad));
    let triangles = mesh.triangles.iter().map(|nodes| (&nodes[..], CellType::QuadraticTriangle));
    for (nodes, kind) in quads.chain(triangles) {
        connectivity.extend(nodes.iter().map(|&node| node as u64));
        offsets.push(connectivity.len() as u64);
        types.push(kind);
    }
    let points = mesh.nodes.iter().flat_map(|at| [at[0] / scale, at[1] / scale, 0.0]).collect();
    let file = Vtk {
        version: Version::new_xml(1, 0),
        title: title.to_owned(),
        byte_order: ByteOrder::LittleEndian,
        data: DataSet::inline(UnstructuredGridPiece {
            points: IOBuffer::F64(points),
            cells: Cells { cell_verts: VertexNumbers::XML { connectivity, offsets }, types },
            data: Attributes::default(),
        }),
        file_path: None,
    };
    let mut bytes = Vec::new();
    file.write_xml(&mut bytes)?;
    Ok(with_signed_indices(bytes))
}

/// Declares the indices of a file as whole numbers with a sign, as VTK itself does.
///
/// The library writes them without; no index is large enough for the bits to differ, but some
/// readers take differences of offsets and then hand out indices in floating point.
#[must_use]
pub fn with_signed_indices(file: Vec<u8>) -> Vec<u8> {
    match String::from_utf8(file) {
        Ok(mut text) => {
            for name in ["connectivity", "offsets"] {
                // Quotes stand in tags only: the data are in base 64.
                text = text.replace(
                    &format!("type=\"UInt64\" Name=\"{name}\""),
                    &format!("type=\"Int64\" Name=\"{name}\""),
                );
            }
            text.into_bytes()
        }
        Err(other) => other.into_bytes(),
    }
}
