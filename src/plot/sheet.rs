//! A sheet of paper: the marks of a figure in the order they are laid, not yet pixels.
//!
//! Coordinates are logical pixels from the top left corner, y down. Both files of a figure
//! are written from the same marks, so they show the same thing.
//!
//! Floor 7, `plot`.

use crate::plot::clip::Window;
use crate::plot::colour::{INK, Rgb};

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

/// A filled field: many small convex polygons inside a window, e.g. contour bands.
///
/// Kept in one pool because a picture holds some 10⁵ of them.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Field {
    pub(crate) window: Window,
    spots: Vec<Spot>,
    ends: Vec<(usize, Rgb)>,
}

impl Field {
    pub(crate) fn new(window: Window) -> Self {
        Self { window, spots: Vec::new(), ends: Vec::new() }
    }

    /// Adds a convex polygon; those outside the window are dropped.
    pub(crate) fn push(&mut self, corners: impl Iterator<Item = Spot>, colour: Rgb) {
        let start = self.spots.len();
        self.spots.extend(corners);
        if self.spots.len() < start + 3 || !self.window.may_meet(&self.spots[start..]) {
            self.spots.truncate(start);
            return;
        }
        self.ends.push((self.spots.len(), colour));
    }

    /// Lays another field of the same window on top.
    pub(crate) fn append(&mut self, other: Self) {
        let start = self.spots.len();
        self.spots.extend(other.spots);
        self.ends.extend(other.ends.into_iter().map(|(end, colour)| (start + end, colour)));
    }

    pub(crate) fn polygons(&self) -> impl Iterator<Item = (&[Spot], Rgb)> {
        let mut start = 0;
        self.ends.iter().map(move |&(end, colour)| {
            let polygon = &self.spots[start..end];
            start = end;
            (polygon, colour)
        })
    }
}

/// One thing on the sheet.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum Mark {
    /// A convex polygon.
    Area { corners: Vec<Spot>, colour: Rgb },
    /// A polyline.
    Line { spots: Vec<Spot>, pen: Pen },
    /// Text.
    Text(Text),
    /// A filled field.
    Field(Field),
}

/// The marks of one figure.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Sheet {
    pub(crate) size: [f64; 2],
    /// What the picture shows, for readers who cannot see it.
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
    /// A sheet with its title in bold and the case and stage below it.
    pub(crate) fn new(size: [f64; 2], title: &str, subtitle: &str) -> Self {
        let mut sheet = Self {
            size,
            description: subtitle.to_owned(),
            title: title.to_owned(),
            marks: Vec::new(),
        };
        let line = |y, content: &str, size, bold| Text {
            at: [24.0, y],
            content: content.to_owned(),
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

    pub(crate) fn text(&mut self, at: Spot, anchor: Anchor, content: &str) {
        self.marks.push(Mark::Text(Text {
            at,
            content: content.to_owned(),
            size: TEXT,
            bold: false,
            anchor,
            upward: false,
            colour: INK,
        }));
    }

    pub(crate) fn upward_text(&mut self, at: Spot, content: &str) {
        self.text(at, Anchor::Middle, content);
        if let Some(Mark::Text(text)) = self.marks.last_mut() {
            text.upward = true;
        }
    }

    pub(crate) fn line(&mut self, spots: Vec<Spot>, pen: Pen) {
        self.marks.push(Mark::Line { spots, pen });
    }

    pub(crate) fn area(&mut self, corners: Vec<Spot>, colour: Rgb) {
        self.marks.push(Mark::Area { corners, colour });
    }

    pub(crate) fn rectangle(&mut self, window: Window, colour: Rgb) {
        self.area(rim(window)[..4].to_vec(), colour);
    }

    pub(crate) fn border(&mut self, window: Window, pen: Pen) {
        self.line(rim(window).to_vec(), pen);
    }
}

fn rim(Window { low, high }: Window) -> [Spot; 5] {
    [low, [high[0], low[1]], high, [low[0], high[1]], low]
}
