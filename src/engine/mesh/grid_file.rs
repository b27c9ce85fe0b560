//! A `.vtu` file written: an unstructured grid with arrays at its points and cells.
//!
//! VTK XML in one piece; every array in base 64 after the number of its bytes, little endian.
//! Indices are whole numbers with a sign, as VTK itself writes them.
//!
//! Source: VTK file formats, XML formats (the public description of the format); cell types of the
//! VTK class reference (from memory).

use std::fmt::{Display, Write as _};

use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;

/// Kinds of cell, by VTK's numbers. Corners come first, then the nodes in the middle of the sides.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[repr(u8)]
pub enum CellKind {
    /// One point.
    Vertex = 1,
    /// Six nodes.
    QuadraticTriangle = 22,
    /// Eight nodes.
    QuadraticQuad = 23,
}

/// Cells as the format has them: the nodes of all, and the end of each.
#[derive(Clone, Debug, Default)]
pub struct Cells {
    connectivity: Vec<i64>,
    ends: Vec<i64>,
    kinds: Vec<u8>,
}

/// An index as the format has it. Memory holds far fewer nodes than 2⁶³.
fn index(number: usize) -> i64 {
    i64::try_from(number).unwrap_or(i64::MAX)
}

impl Cells {
    /// Adds a cell.
    pub fn add(&mut self, nodes: &[usize], kind: CellKind) {
        self.connectivity.extend(nodes.iter().map(|&node| index(node)));
        self.ends.push(index(self.connectivity.len()));
        self.kinds.push(kind as u8);
    }
}

/// Numbers of an array, in the type of the file.
#[derive(Clone, Debug)]
pub enum Numbers {
    /// `Float64`.
    Float(Vec<f64>),
    /// `Int32`.
    Whole(Vec<i32>),
}

/// An array with a value, or a vector, at every point or cell.
#[derive(Clone, Debug)]
pub struct FieldArray {
    /// Its name.
    pub name: String,
    /// Numbers at each point or cell.
    pub components: usize,
    /// `components` numbers for each point or cell, one after the other.
    pub numbers: Numbers,
}

/// The bytes of a file: `positions` (x, y, z one after the other), cells, arrays at the points and at the
/// cells.
#[must_use]
pub fn grid_file(
    positions: &[f64],
    cells: &Cells,
    [at_points, at_cells]: [&[FieldArray]; 2],
) -> Vec<u8> {
    let (points, count) = (positions.len() / 3, cells.kinds.len());
    let mut text = format!(
        "<VTKFile type=\"UnstructuredGrid\" version=\"1.0\" byte_order=\"LittleEndian\" \
         header_type=\"UInt64\"><UnstructuredGrid><Piece NumberOfPoints=\"{points}\" \
         NumberOfCells=\"{count}\">"
    );
    if at_points.is_empty() {
        text.push_str("<PointData/>");
    } else {
        add_fields(&mut text, "PointData", at_points);
    }
    if !at_cells.is_empty() {
        add_fields(&mut text, "CellData", at_cells);
    }
    text.push_str("<Points>");
    add(&mut text, ("Float64", "Points", 3), positions);
    text.push_str("</Points><Cells>");
    add(&mut text, ("Int64", "connectivity", 1), &cells.connectivity);
    add(&mut text, ("Int64", "offsets", 1), &cells.ends);
    add(&mut text, ("UInt8", "types", 1), &cells.kinds);
    text.push_str("</Cells></Piece></UnstructuredGrid></VTKFile>");
    text.into_bytes()
}

fn add_fields(text: &mut String, block: &str, arrays: &[FieldArray]) {
    // Writing into a string cannot fail.
    let _ = write!(text, "<{block}>");
    for FieldArray { name, components, numbers } in arrays {
        match numbers {
            Numbers::Float(values) => add(text, ("Float64", name, *components), values),
            Numbers::Whole(values) => add(text, ("Int32", name, *components), values),
        }
    }
    let _ = write!(text, "</{block}>");
}

/// A number that the format stores as it lies in memory.
trait Stored: Copy + Display + PartialOrd {
    fn store(self, bytes: &mut Vec<u8>);
}

macro_rules! stored {
    ($($kind:ty),*) => {$(
        impl Stored for $kind {
            fn store(self, bytes: &mut Vec<u8>) {
                bytes.extend_from_slice(&self.to_le_bytes());
            }
        }
    )*};
}
stored!(f64, i32, i64, u8);

/// Adds one array: type, name and components, then the numbers with their range.
fn add<T: Stored>(text: &mut String, (kind, name, components): (&str, &str, usize), values: &[T]) {
    let size = size_of_val(values);
    let mut bytes = Vec::with_capacity(8 + size);
    bytes.extend_from_slice(&(size as u64).to_le_bytes());
    for value in values {
        value.store(&mut bytes);
    }
    let components = match components {
        1 => String::new(),
        several => format!(" NumberOfComponents=\"{several}\""),
    };
    // Writing into a string cannot fail.
    let _ =
        write!(text, "<DataArray type=\"{kind}\" Name=\"{name}\"{components} format=\"binary\"");
    if let Some(&first) = values.first() {
        let least =
            values.iter().fold(first, |least, &value| if value < least { value } else { least });
        let most =
            values.iter().fold(first, |most, &value| if value > most { value } else { most });
        let _ = write!(text, " RangeMin=\"{least}\" RangeMax=\"{most}\"");
    }
    text.push('>');
    STANDARD.encode_string(&bytes, text);
    text.push_str("</DataArray>");
}
