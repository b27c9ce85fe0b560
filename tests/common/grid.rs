//! A `.vtu` file read plainly, apart from the program's own reader: one piece, every array in base 64
//! after the number of its bytes, little endian.
//!
//! Source: VTK file formats, XML formats (the public description of the format).

#![allow(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "indices as written")]

use std::collections::BTreeMap;

use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use quick_xml::events::{BytesStart, Event};
use quick_xml::reader::Reader;

/// Arrays of a file by the block that they stand in and by name.
pub(crate) struct Grid {
    pub(crate) points: usize,
    pub(crate) cells: usize,
    arrays: BTreeMap<(String, String), DataArray>,
}

/// Numbers of one array, whatever their type in the file.
#[derive(Clone, Default)]
pub(crate) struct DataArray {
    pub(crate) kind: String,
    pub(crate) components: usize,
    pub(crate) numbers: Vec<f64>,
}

impl Grid {
    pub(crate) fn read(bytes: &[u8]) -> Self {
        let mut grid = Self { points: 0, cells: 0, arrays: BTreeMap::new() };
        let mut reader = Reader::from_reader(bytes);
        let (mut block, mut open) = (String::new(), None);
        loop {
            match reader.read_event().unwrap() {
                Event::Eof => return grid,
                Event::Start(tag) => match tag.name().as_ref() {
                    b"VTKFile" => {
                        assert_eq!(attribute(&tag, "type"), "UnstructuredGrid");
                        assert_eq!(attribute(&tag, "byte_order"), "LittleEndian");
                        assert_eq!(attribute(&tag, "header_type"), "UInt64");
                    }
                    b"Piece" => {
                        assert_eq!(grid.points, 0, "one piece");
                        grid.points = attribute(&tag, "NumberOfPoints").parse().unwrap();
                        grid.cells = attribute(&tag, "NumberOfCells").parse().unwrap();
                    }
                    b"DataArray" => {
                        assert_eq!(attribute(&tag, "format"), "binary");
                        let components = match attribute(&tag, "NumberOfComponents").as_str() {
                            "" => 1,
                            count => count.parse().unwrap(),
                        };
                        let kind = attribute(&tag, "type");
                        let array = DataArray { kind, components, numbers: vec![] };
                        open = Some((attribute(&tag, "Name"), array));
                    }
                    other => block = String::from_utf8_lossy(other).into_owned(),
                },
                Event::Text(text) => {
                    if let Some((name, mut array)) = open.take() {
                        array.numbers = numbers(&array.kind, &text.unescape().unwrap());
                        grid.arrays.insert((block.clone(), name), array);
                    }
                }
                _ => {}
            }
        }
    }

    /// Names of the arrays at the points, sorted.
    pub(crate) fn point_arrays(&self) -> Vec<&str> {
        let named = self.arrays.keys().filter(|(block, _)| block == "PointData");
        named.map(|(_, name)| name.as_str()).collect()
    }

    /// An array at the points.
    pub(crate) fn at_points(&self, name: &str) -> DataArray {
        self.array("PointData", name)
    }

    /// Positions `x, y, z` of the points, one after the other.
    pub(crate) fn positions(&self) -> Vec<f64> {
        self.array("Points", "Points").numbers
    }

    /// An array of the cells as whole numbers: `connectivity`, `offsets` or `types`.
    pub(crate) fn of_cells(&self, name: &str) -> Vec<usize> {
        self.array("Cells", name).numbers.iter().map(|&number| number as usize).collect()
    }

    fn array(&self, block: &str, name: &str) -> DataArray {
        let key = (block.to_owned(), name.to_owned());
        self.arrays.get(&key).unwrap_or_else(|| panic!("no {name} in {block}")).clone()
    }
}

fn attribute(tag: &BytesStart<'_>, name: &str) -> String {
    let found = tag.try_get_attribute(name).unwrap();
    found.map(|found| found.unescape_value().unwrap().into_owned()).unwrap_or_default()
}

fn numbers(kind: &str, text: &str) -> Vec<f64> {
    let bytes = STANDARD.decode(text.trim()).unwrap();
    let (count, bytes) = bytes.split_first_chunk::<8>().unwrap();
    assert_eq!(u64::from_le_bytes(*count), bytes.len() as u64, "the stated number of bytes");
    match kind {
        "Float64" => bytes.as_chunks().0.iter().map(|&b| f64::from_le_bytes(b)).collect(),
        "Int64" => bytes.as_chunks().0.iter().map(|&b| i64::from_le_bytes(b) as f64).collect(),
        "Int32" => bytes.as_chunks().0.iter().map(|&b| i32::from_le_bytes(b).into()).collect(),
        "UInt8" => bytes.iter().map(|&b| b.into()).collect(),
        other => panic!("{other} is written nowhere"),
    }
}
