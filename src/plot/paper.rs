//! The paper: marks of a figure, and the two files made of them.
//!
//! A figure is laid out once as marks on a sheet. `svg` writes them as text, `raster` fills
//! pixels with them, so both files show the same.

pub(crate) mod canvas;
pub mod colour;
pub(crate) mod font;
pub(crate) mod lines;
pub(crate) mod pixels;
pub(crate) mod raster;
pub(crate) mod sheet;
pub(crate) mod svg;
#[cfg(test)]
mod vision;
pub(crate) mod window;

use png::EncodingError;

use crate::plot::paper::font::FontUnusable;

/// Why a sheet could not be drawn.
#[derive(Debug)]
pub(crate) enum Undrawn {
    Font,
    Encode(EncodingError),
    /// The sheet has no size that pixels can have.
    Size,
}

impl From<FontUnusable> for Undrawn {
    fn from(_: FontUnusable) -> Self {
        Self::Font
    }
}

impl From<EncodingError> for Undrawn {
    fn from(source: EncodingError) -> Self {
        Self::Encode(source)
    }
}
