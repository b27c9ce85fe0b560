//! Shared by all figures: context, files, errors.

use std::fmt;
use std::fs;
use std::io;
use std::path::{Path, PathBuf};

use crate::mesh::topology::Mesh;
use crate::plot::paper::font::FontUnusable;
use crate::plot::paper::sheet::Sheet;
use crate::plot::paper::{Undrawn, raster, svg};
use crate::units::Units;

/// Title and units of a figure, beside the numbers it draws.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FigureContext<'a> {
    /// Title of the case, printed under the title of the figure.
    pub case_title: &'a str,
    /// Units of axes and colour bars; what is drawn comes in mm and MPa.
    pub units: Units,
}

/// The files of one figure.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Figure {
    /// The scalable picture.
    pub svg: PathBuf,
    /// The same in pixels.
    pub png: PathBuf,
    /// The numbers behind it, for line charts.
    pub csv: Option<PathBuf>,
}

/// Why a figure was not made.
#[derive(Debug)]
#[non_exhaustive]
pub enum FigureError {
    /// There is nothing to draw.
    Nothing {
        /// Name of the figure.
        figure: String,
        /// The missing part.
        missing: &'static str,
    },
    /// A value to be drawn is not a finite number.
    NotFinite {
        /// Name of the figure.
        figure: String,
        /// Which quantity.
        quantity: &'static str,
        /// Its index: node, record or point.
        index: usize,
    },
    /// A field does not have one value per node, or the mesh names a node it does not have.
    Mismatch {
        /// Name of the figure.
        figure: String,
        /// Nodes of the mesh.
        nodes: usize,
        /// Values of the field, or the number of the missing node.
        values: usize,
    },
    /// A file could not be written.
    Write {
        /// Which file.
        path: PathBuf,
        /// Error of the system.
        source: io::Error,
    },
    /// The picture could not be put into its format.
    Encode {
        /// Name of the figure.
        figure: String,
        /// Error of the encoder.
        source: png::EncodingError,
    },
    /// The mesh has a folded element, so nothing can be read off it.
    Mesh {
        /// Name of the figure.
        figure: String,
    },
    /// The embedded font cannot be read.
    Font,
}

impl fmt::Display for FigureError {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Nothing { figure, missing } => {
                write!(out, "figure `{figure}`: no {missing} to draw")
            }
            Self::NotFinite { figure, quantity, index } => {
                write!(out, "figure `{figure}`: {quantity} number {index} is not finite")
            }
            Self::Mismatch { figure, nodes, values } => {
                write!(
                    out,
                    "figure `{figure}`: field and mesh of {nodes} nodes disagree at {values}"
                )
            }
            Self::Write { path, .. } => write!(out, "cannot write `{}`", path.display()),
            Self::Encode { figure, .. } => write!(out, "figure `{figure}` cannot be encoded"),
            Self::Mesh { figure } => write!(out, "figure `{figure}`: the mesh is folded"),
            Self::Font => write!(out, "the embedded font cannot be read"),
        }
    }
}

impl std::error::Error for FigureError {
    fn source(&self) -> Option<&(dyn std::error::Error + 'static)> {
        match self {
            Self::Write { source, .. } => Some(source),
            Self::Encode { source, .. } => Some(source),
            _ => None,
        }
    }
}

impl From<FontUnusable> for FigureError {
    fn from(_: FontUnusable) -> Self {
        Self::Font
    }
}

impl FigureContext<'_> {
    /// The line under the title.
    pub(crate) fn subtitle(&self, stage: &str) -> String {
        match (self.case_title.is_empty(), stage.is_empty()) {
            (false, false) => format!("{} · {stage}", self.case_title),
            (_, true) => self.case_title.to_owned(),
            (true, false) => stage.to_owned(),
        }
    }

    /// `quantity (unit of length)`.
    pub(crate) fn length_axis(&self, quantity: &str) -> String {
        format!("{quantity} ({})", self.units.length_name())
    }

    /// `quantity (unit of stress)`.
    pub(crate) fn stress_axis(&self, quantity: &str) -> String {
        format!("{quantity} ({})", self.units.stress_name())
    }

    /// mm to the unit printed.
    pub(crate) fn length(&self, millimetres: f64) -> f64 {
        millimetres / self.units.length_scale()
    }

    /// MPa to the unit printed.
    pub(crate) fn stress(&self, megapascals: f64) -> f64 {
        megapascals / self.units.stress_scale()
    }
}

/// A file name: letters, digits, `-`, `_` and `.` stay, all else becomes `_`.
fn safe(name: &str) -> String {
    let keep = |sign: char| sign.is_alphanumeric() || "-_.".contains(sign);
    name.chars().map(|sign| if keep(sign) { sign } else { '_' }).collect()
}

/// A CSV cell, quoted when it must be (RFC 4180).
pub(crate) fn cell(text: &str) -> String {
    if text.contains([',', '"', '\n', '\r']) {
        format!("\"{}\"", text.replace('"', "\"\""))
    } else {
        text.to_owned()
    }
}

/// Writes `NAME.svg`, `NAME.png` and, when there are numbers, `NAME.csv`.
pub(crate) fn save(
    sheet: &Sheet,
    csv: Option<&str>,
    folder: &Path,
    name: &str,
) -> Result<Figure, FigureError> {
    let undrawn = |reason| {
        let figure = name.to_owned();
        match reason {
            Undrawn::Font => FigureError::Font,
            Undrawn::Encode(source) => FigureError::Encode { figure, source },
            Undrawn::Size => FigureError::Nothing { figure, missing: "area" },
        }
    };
    let put = |extension: &str, bytes: &[u8]| {
        let path = folder.join(format!("{}.{extension}", safe(name)));
        match fs::write(&path, bytes) {
            Ok(()) => Ok(path),
            Err(source) => Err(FigureError::Write { path, source }),
        }
    };
    let pixels = || raster::render(sheet)?.png().map_err(Undrawn::from);
    let (svg, png) = rayon::join(|| svg::render(sheet), pixels);
    let (svg, png) = (svg.map_err(undrawn)?, png.map_err(undrawn)?);
    Ok(Figure {
        svg: put("svg", svg.as_bytes())?,
        png: put("png", &png)?,
        csv: csv.map(|text| put("csv", text.as_bytes())).transpose()?,
    })
}

/// Checks that every element of `mesh` has its nodes.
pub(crate) fn check_mesh(figure: &str, mesh: &Mesh) -> Result<(), FigureError> {
    let nodes = mesh.nodes.len();
    if mesh.element_count() == 0 {
        return Err(FigureError::Nothing { figure: figure.to_owned(), missing: "element" });
    }
    let corners = mesh.quads.iter().flatten().chain(mesh.triangles.iter().flatten());
    let edges = mesh.holes.iter().flat_map(|hole| &hole.edge);
    let sides = mesh.edges.iter().flat_map(|edge| edge.sides.iter().flatten());
    match corners.chain(edges).chain(sides).find(|&&node| node >= nodes) {
        Some(&node) => {
            Err(FigureError::Mismatch { figure: figure.to_owned(), nodes, values: node })
        }
        None => check_finite(figure, "node position", mesh.nodes.iter().flatten()),
    }
}

/// Checks that a field has one finite value per node.
pub(crate) fn check_field(
    figure: &str,
    quantity: &'static str,
    mesh: &Mesh,
    values: &[f64],
) -> Result<(), FigureError> {
    let (nodes, values_count) = (mesh.nodes.len(), values.len());
    if nodes != values_count {
        return Err(FigureError::Mismatch {
            figure: figure.to_owned(),
            nodes,
            values: values_count,
        });
    }
    check_finite(figure, quantity, values)
}

/// Checks that every value is finite: one that is not would tear the picture silently.
pub(crate) fn check_finite<'a>(
    figure: &str,
    quantity: &'static str,
    values: impl IntoIterator<Item = &'a f64>,
) -> Result<(), FigureError> {
    match values.into_iter().position(|value| !value.is_finite()) {
        Some(index) => Err(FigureError::NotFinite { figure: figure.to_owned(), quantity, index }),
        None => Ok(()),
    }
}
