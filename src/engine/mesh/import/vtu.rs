//! The XML of a `.vtu` file: which arrays hold points and cells, and where they stand.
//!
//! Read are points, cells, and the array `thickness` of either; other fields are passed over. A file
//! in several pieces is read as one grid; points on the seams are merged later.
//!
//! Source: VTK file formats, XML formats (the public description of the format).

use std::borrow::Cow;

use quick_xml::events::{BytesStart, Event};
use quick_xml::reader::Reader;

use crate::mesh::import::array::{Appended, Array, Layout, Scalar, Store};
use crate::mesh::import::import_error::{ImportError, THICKNESS};

/// Points or cells of a mesh at most: ten times what can be solved on a large machine.
const MOST: usize = 20_000_000;

/// Points and cells as a file has them.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Grid {
    /// Positions, in the unit of the file.
    pub(super) points: Vec<[f64; 3]>,
    /// Points of all cells, one cell after the other.
    pub(super) connectivity: Vec<usize>,
    /// Where each cell ends in `connectivity`.
    pub(super) ends: Vec<usize>,
    /// Type of each cell.
    pub(super) kinds: Vec<u8>,
    /// Thickness of each cell, in the unit of the file; empty when the file does not give it.
    pub(super) cell_thickness: Vec<f64>,
    /// Thickness at each point, in the unit of the file; empty when the file does not give it.
    pub(super) point_thickness: Vec<f64>,
}

impl Grid {
    /// Points of one cell.
    pub(super) fn cell(&self, cell: usize) -> &[usize] {
        let start = if cell == 0 { 0 } else { self.ends[cell - 1] };
        &self.connectivity[start..self.ends[cell]]
    }
}

/// One piece of a file.
#[derive(Default)]
struct Piece<'a> {
    points: usize,
    cells: usize,
    positions: Option<Array<'a>>,
    connectivity: Option<Array<'a>>,
    offsets: Option<Array<'a>>,
    types: Option<Array<'a>>,
    cell_thickness: Option<Array<'a>>,
    point_thickness: Option<Array<'a>>,
}

/// Which part of a piece the reader is in.
#[derive(Clone, Copy, PartialEq)]
enum Section {
    Elsewhere,
    Points,
    Cells,
    PointData,
    CellData,
}

/// Contents of the head of a file.
struct Head {
    big_endian: bool,
    size_bytes: usize,
    compressor: Option<String>,
}

/// Reads the bytes of a `.vtu` file.
pub(super) fn read(bytes: &[u8]) -> Result<Grid, ImportError> {
    let mut reader = Reader::from_reader(bytes);
    let mut head = None;
    let mut pieces: Vec<Piece<'_>> = Vec::new();
    let mut section = Section::Elsewhere;
    let mut appended = None;
    loop {
        let event = reader
            .read_event()
            .map_err(|error| not_a_grid(format!("at byte {}: {error}", reader.error_position())))?;
        let (tag, empty) = match &event {
            Event::Start(tag) => (tag, false),
            Event::Empty(tag) => (tag, true),
            Event::End(tag) => {
                if matches!(
                    tag.name().as_ref(),
                    b"Points" | b"Cells" | b"PointData" | b"CellData" | b"Piece"
                ) {
                    section = Section::Elsewhere;
                }
                continue;
            }
            Event::Eof => break,
            _ => continue,
        };
        match tag.name().as_ref() {
            b"VTKFile" => head = Some(read_head(tag)?),
            b"Piece" => pieces.push(Piece {
                points: count(tag, "NumberOfPoints")?,
                cells: count(tag, "NumberOfCells")?,
                ..Piece::default()
            }),
            b"Points" if !empty => section = Section::Points,
            b"Cells" if !empty => section = Section::Cells,
            b"PointData" if !empty => section = Section::PointData,
            b"CellData" if !empty => section = Section::CellData,
            b"DataArray" if section != Section::Elsewhere => {
                let name = attribute(tag, "Name")?.unwrap_or_default();
                let field = matches!(section, Section::PointData | Section::CellData);
                if field && name != THICKNESS {
                    continue;
                }
                let array = read_array(&mut reader, tag, empty, name)?;
                if let Some(piece) = pieces.last_mut() {
                    keep(piece, section, array);
                }
            }
            b"AppendedData" if !empty => {
                let from = usize::try_from(reader.buffer_position()).unwrap_or(usize::MAX);
                appended = Some(read_appended(tag, bytes.get(from..).unwrap_or_default())?);
                // What follows is no XML.
                break;
            }
            _ => {}
        }
    }
    let head = head.ok_or_else(|| not_a_grid("there is no VTKFile element"))?;
    let layout = Layout {
        big_endian: head.big_endian,
        size_bytes: head.size_bytes,
        compressed: head.compressor.is_some(),
        appended,
    };
    match head.compressor.as_deref() {
        None | Some("vtkZLibDataCompressor") => {}
        Some(other) => {
            let reason = format!("it is compressed by `{other}`, only zlib can be read");
            return Err(not_a_grid(reason));
        }
    }
    let mut grid = Grid::default();
    for piece in &pieces {
        add_piece(&mut grid, piece, layout)?;
    }
    if grid.ends.is_empty() {
        return Err(not_a_grid("it has no cells"));
    }
    let [cells, points] = [&grid.cell_thickness, &grid.point_thickness].map(Vec::len);
    let complain = |reason: &str| {
        Err(ImportError::Array { array: THICKNESS.to_owned(), reason: reason.to_owned() })
    };
    if cells > 0 && points > 0 {
        return complain("stands at the cells and at the points: one of them is enough");
    }
    if (cells > 0 && cells < grid.kinds.len()) || (points > 0 && points < grid.points.len()) {
        return complain("is in some pieces of the file and not in others");
    }
    Ok(grid)
}

/// Appended data, of which `rest` is what comes after its tag.
fn read_appended<'a>(tag: &BytesStart<'_>, rest: &'a [u8]) -> Result<Appended<'a>, ImportError> {
    let raw = match attribute(tag, "encoding")?.as_deref() {
        Some("raw") => true,
        Some("base64") | None => false,
        Some(other) => return Err(not_a_grid(format!("appended data in encoding `{other}`"))),
    };
    let blank = rest.iter().take_while(|byte| byte.is_ascii_whitespace()).count();
    if rest.get(blank) != Some(&b'_') {
        return Err(not_a_grid("no underscore leads the appended data"));
    }
    Ok(Appended { bytes: &rest[blank + 1..], raw })
}

fn not_a_grid(reason: impl Into<String>) -> ImportError {
    ImportError::NotAGrid { reason: reason.into() }
}

fn attribute(tag: &BytesStart<'_>, name: &str) -> Result<Option<String>, ImportError> {
    let found = tag
        .try_get_attribute(name)
        .map_err(|error| not_a_grid(format!("attribute `{name}`: {error}")))?;
    Ok(found.map(|attribute| String::from_utf8_lossy(&attribute.value).into_owned()))
}

fn count(tag: &BytesStart<'_>, name: &str) -> Result<usize, ImportError> {
    let text =
        attribute(tag, name)?.ok_or_else(|| not_a_grid(format!("a piece has no `{name}`")))?;
    match text.trim().parse() {
        Ok(count) if count <= MOST => Ok(count),
        _ => Err(not_a_grid(format!("`{name}` is `{}`", text.escape_debug()))),
    }
}

fn read_head(tag: &BytesStart<'_>) -> Result<Head, ImportError> {
    match attribute(tag, "type")?.as_deref() {
        Some("UnstructuredGrid") => {}
        other => {
            let found = other.unwrap_or("nothing").escape_debug().to_string();
            return Err(not_a_grid(format!("it holds `{found}`, not `UnstructuredGrid`")));
        }
    }
    let big_endian = match attribute(tag, "byte_order")?.as_deref() {
        Some("BigEndian") => true,
        Some("LittleEndian") | None => false,
        Some(other) => return Err(not_a_grid(format!("byte order `{}`", other.escape_debug()))),
    };
    let size_bytes = match attribute(tag, "header_type")?.as_deref() {
        Some("UInt64") => 8,
        Some("UInt32") | None => 4,
        Some(other) => return Err(not_a_grid(format!("header type `{}`", other.escape_debug()))),
    };
    let compressor = attribute(tag, "compressor")?.filter(|name| !name.is_empty());
    Ok(Head { big_endian, size_bytes, compressor })
}

fn read_array<'a>(
    reader: &mut Reader<&'a [u8]>,
    tag: &BytesStart<'_>,
    empty: bool,
    name: String,
) -> Result<Array<'a>, ImportError> {
    let complain =
        |reason: String| ImportError::Array { array: name.escape_debug().to_string(), reason };
    let kind = attribute(tag, "type")?.unwrap_or_default();
    let scalar = Scalar::named(&kind)
        .ok_or_else(|| complain(format!("has the unknown type `{}`", kind.escape_debug())))?;
    let components = match attribute(tag, "NumberOfComponents")? {
        None => 1,
        Some(text) => text
            .trim()
            .parse()
            .map_err(|_| complain(format!("has `{}` components", text.escape_debug())))?,
    };
    let format = attribute(tag, "format")?.unwrap_or_default();
    let offset = attribute(tag, "offset")?;
    let text = if empty { Cow::Borrowed(&[][..]) } else { content(reader)? };
    let store = match format.as_str() {
        "" | "ascii" => Store::Text(text),
        "binary" => Store::Inline(text),
        "appended" => {
            let offset = offset.as_deref().unwrap_or("0").trim();
            Store::Appended(offset.parse().map_err(|_| complain(format!("begins at `{offset}`")))?)
        }
        other => return Err(complain(format!("has the format `{}`", other.escape_debug()))),
    };
    Ok(Array { name, scalar, components, store })
}

/// The text of the element just opened, without that of elements inside it.
fn content<'a>(reader: &mut Reader<&'a [u8]>) -> Result<Cow<'a, [u8]>, ImportError> {
    let mut text: Cow<'a, [u8]> = Cow::Borrowed(&[]);
    let mut depth = 0_usize;
    loop {
        let event = reader
            .read_event()
            .map_err(|error| not_a_grid(format!("at byte {}: {error}", reader.error_position())))?;
        match event {
            Event::Start(_) => depth += 1,
            Event::End(_) if depth == 0 => return Ok(text),
            Event::End(_) => depth -= 1,
            Event::Text(part) if depth == 0 => {
                let part = part.into_inner();
                if text.iter().all(u8::is_ascii_whitespace) {
                    text = part;
                } else {
                    text.to_mut().extend_from_slice(&part);
                }
            }
            Event::Eof => return Err(not_a_grid("it ends inside an array")),
            _ => {}
        }
    }
}

fn keep<'a>(piece: &mut Piece<'a>, section: Section, array: Array<'a>) {
    match (section, array.name.as_str()) {
        (Section::Points, _) => {
            // Any name will do; the first array holds the positions.
            piece.positions.get_or_insert(Array { name: "Points".to_owned(), ..array });
        }
        (Section::Cells, "connectivity") => piece.connectivity = Some(array),
        (Section::Cells, "offsets") => piece.offsets = Some(array),
        (Section::Cells, "types") => piece.types = Some(array),
        (Section::CellData, _) => piece.cell_thickness = Some(array),
        (Section::PointData, _) => piece.point_thickness = Some(array),
        _ => {}
    }
}

fn add_piece(grid: &mut Grid, piece: &Piece<'_>, layout: Layout<'_>) -> Result<(), ImportError> {
    if piece.points == 0 || piece.cells == 0 {
        return Ok(());
    }
    let positions = need(piece.positions.as_ref(), "Points")?;
    if positions.components != 3 {
        return Err(positions
            .complain(format!("has {} components, a point has three", positions.components)));
    }
    let first = grid.points.len();
    let coordinates = positions.floats(3 * piece.points, layout)?;
    grid.points.extend(coordinates.chunks_exact(3).map(|at| [at[0], at[1], at[2]]));

    let offsets = need(piece.offsets.as_ref(), "offsets")?;
    let before = grid.connectivity.len();
    let mut last = 0;
    for end in offsets.wholes(piece.cells, layout)? {
        if end < last {
            return Err(offsets.complain("does not rise"));
        }
        last = end;
        grid.ends.push(before.checked_add(end).ok_or_else(|| offsets.complain("is too large"))?);
    }
    let connectivity = need(piece.connectivity.as_ref(), "connectivity")?;
    for point in connectivity.wholes(last, layout)? {
        if point >= piece.points {
            return Err(
                connectivity.complain(format!("names point {point}, there are {}", piece.points))
            );
        }
        grid.connectivity.push(first + point);
    }
    let types = need(piece.types.as_ref(), "types")?;
    for kind in types.wholes(piece.cells, layout)? {
        grid.kinds
            .push(u8::try_from(kind).map_err(|_| types.complain(format!("holds type {kind}")))?);
    }
    if let Some(array) = &piece.cell_thickness {
        grid.cell_thickness.extend(thickness(array, piece.cells, layout)?);
    }
    if let Some(array) = &piece.point_thickness {
        grid.point_thickness.extend(thickness(array, piece.points, layout)?);
    }
    Ok(())
}

/// One thickness for each of `count` cells or points.
fn thickness(array: &Array<'_>, count: usize, layout: Layout<'_>) -> Result<Vec<f64>, ImportError> {
    if array.components != 1 {
        let components = array.components;
        return Err(
            array.complain(format!("has {components} components, a thickness is one number"))
        );
    }
    array.floats(count, layout)
}

fn need<'p, 'a>(array: Option<&'p Array<'a>>, name: &str) -> Result<&'p Array<'a>, ImportError> {
    array.ok_or_else(|| ImportError::Array {
        array: name.to_owned(),
        reason: "is missing".to_owned(),
    })
}
