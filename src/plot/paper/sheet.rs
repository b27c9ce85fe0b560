//! A sheet of paper: the marks of a figure in the order they are laid, not yet pixels.
//!
//! Coordinates are logical pixels from the top left corner, y down. Both files of a figure
//! are written from the same marks, so they show the same thing.

use crate::plot::paper::colour::{INK, Rgb};
use crate::plot::paper::font;
use crate::plot::paper::pixels::Pixels;
use crate::plot::paper::window::Window;

/// A point of the sheet.
pub(crate) type Spot = [f64; 2];

/// How a line is drawn.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Pen {
    pub(crate) colour: Rgb,
    pub(crate) width: f64,
    /// Lengths of stroke and gap, repeating; empty for a full line.
    pub(crate) dash: &'static [f64],
}

impl Pen {
    pub(crate) fn new(colour: Rgb, width: f64) -> Self {
        Self { colour, width, dash: &[] }
    }

    pub(crate) fn dashed(self, dash: &'static [f64]) -> Self {
        Self { dash, ..self }
    }
}

/// Which point of a text lies at its spot.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Anchor {
    Start,
    Middle,
    End,
}

/// A line of text; `at` is on its baseline.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Text {
    pub(crate) at: Spot,
    pub(crate) content: String,
    pub(crate) size: f64,
    pub(crate) bold: bool,
    pub(crate) anchor: Anchor,
    /// Whether it reads upward, as the name of a vertical axis.
    pub(crate) upward: bool,
    pub(crate) colour: Rgb,
}

/// A picture inside a window, e.g. fringes, whose colours are too many for areas.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Image {
    /// Where it lies on the sheet.
    pub(crate) window: Window,
    pub(crate) pixels: Pixels,
}

/// One thing on the sheet.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum Mark {
    /// Everything inside an odd number of the closed loops; none repeats its first point.
    Area { loops: Vec<Vec<Spot>>, colour: Rgb },
    /// Polylines of one pen.
    Lines { lines: Vec<Vec<Spot>>, pen: Pen },
    /// Text.
    Text(Text),
    /// A picture.
    Image(Image),
}

/// The marks of one figure.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Sheet {
    pub(crate) size: [f64; 2],
    /// Description for readers who cannot see the picture.
    pub(crate) description: String,
    pub(crate) title: String,
    pub(crate) marks: Vec<Mark>,
}

/// Size of ordinary text.
pub(crate) const TEXT: f64 = 16.0;
/// Size of the title.
pub(crate) const TITLE: f64 = 20.0;
/// Height that the two lines of the title take.
pub(crate) const HEAD: f64 = 78.0;

impl Sheet {
    /// A sheet with its title in bold and the case and stage below it, both cut to the sheet; the
    /// title and the description for readers who cannot see the picture stay whole.
    pub(crate) fn new(size: [f64; 2], title: &str, subtitle: &str) -> Self {
        let size_across = size[0];
        let mut sheet = Self {
            size,
            description: subtitle.to_owned(),
            title: title.to_owned(),
            marks: Vec::new(),
        };
        let line = |y, content: &str, size, bold| Text {
            at: [24.0, y],
            // Without its font nothing can be drawn; that is said where text is.
            content: font::fitting(content, (size, bold), size_across - 48.0)
                .unwrap_or_else(|_| content.to_owned()),
            size,
            bold,
            anchor: Anchor::Start,
            upward: false,
            colour: INK,
        };
        sheet.marks.push(Mark::Text(line(32.0, title, TITLE, true)));
        sheet.marks.push(Mark::Text(line(57.0, subtitle, TEXT, false)));
        sheet
    }

    /// Polylines of one pen.
    pub(crate) fn lines(&mut self, lines: Vec<Vec<Spot>>, pen: Pen) {
        self.marks.push(Mark::Lines { lines, pen });
    }

    /// Everything inside an odd number of closed loops.
    pub(crate) fn areas(&mut self, loops: Vec<Vec<Spot>>, colour: Rgb) {
        self.marks.push(Mark::Area { loops, colour });
    }
}
