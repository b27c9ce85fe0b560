//! Markers of points.

use crate::plot::level::count;
use crate::plot::paper::colour::{Rgb, WHITE};
use crate::plot::paper::sheet::{Sheet, Spot};

/// Shape of a marker.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Shape {
    Round,
    Square,
    Triangle,
    Diamond,
}

impl Shape {
    /// Shape number `index`, starting over after the last.
    pub(crate) fn number(index: usize) -> Self {
        [Self::Round, Self::Square, Self::Triangle, Self::Diamond][index % 4]
    }
}

/// A marker: full, or open with a white middle.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Marker {
    pub(crate) shape: Shape,
    pub(crate) colour: Rgb,
    pub(crate) open: bool,
}

impl Marker {
    pub(crate) fn full(shape: Shape, colour: Rgb) -> Self {
        Self { shape, colour, open: false }
    }

    pub(crate) fn lay(self, sheet: &mut Sheet, at: Spot) {
        sheet.area(&self.outline(at, 4.6), self.colour);
        if self.open {
            sheet.area(&self.outline(at, 2.8), WHITE);
        }
    }

    fn outline(self, [x, y]: Spot, size: f64) -> Vec<Spot> {
        let (corners, turn, size) = match self.shape {
            Shape::Round => (16, 0.0, size),
            Shape::Square => (4, 0.125, size * 1.25),
            Shape::Triangle => (3, 0.75, size * 1.35),
            Shape::Diamond => (4, 0.0, size * 1.3),
        };
        (0..corners)
            .map(|k| {
                let angle = std::f64::consts::TAU * (count(k) / count(corners) + turn);
                [x + size * angle.cos(), y + size * angle.sin()]
            })
            .collect()
    }
}
