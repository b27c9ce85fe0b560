//! Outlines of any shape: one closed chain of pieces round the plate, and others round its
//! cut-outs.
//!
//! Metal lies on the left of every piece: the outer chain runs counter-clockwise, those of
//! cut-outs clockwise. Lengths in mm.

use std::f64::consts::{FRAC_PI_2, TAU};

use serde::{Deserialize, Serialize};

use crate::geometry::arc::{Arc, angle_of, apart, cross, direction, minus};
use crate::geometry::piece::Piece;

/// Arcs whose centres and radii differ by less than this share of the radius are of one circle.
const CIRCLE: f64 = 1e-9;

/// A closed chain of pieces; each ends where the next begins.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Loop {
    /// The pieces in order.
    pub pieces: Vec<Piece>,
}

/// The boundary of a plate, drilled holes disregarded.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Loops {
    /// Round the plate, counter-clockwise.
    pub outer: Loop,
    /// Round the cut-outs, clockwise.
    pub inner: Vec<Loop>,
}

/// The point of a boundary nearest to some other point.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Nearest<'a> {
    /// The piece it lies on.
    pub piece: &'a Piece,
    /// The point.
    pub at: [f64; 2],
    /// Distance to it, mm.
    pub distance: f64,
}

impl Loop {
    /// A circle of four quarters, counter-clockwise, all called `name`.
    #[must_use]
    pub fn circle(name: &str, centre: [f64; 2], radius: f64) -> Self {
        let quarter = |k: i32| {
            let arc = Arc { centre, radius, first: f64::from(k) * FRAC_PI_2, sweep: FRAC_PI_2 };
            Piece::curved(name, arc)
        };
        Self { pieces: (0..4).map(quarter).collect() }
    }

    /// A slot of `width` whose round ends are centred on `from` and `to`, counter-clockwise,
    /// all pieces called `name`.
    #[must_use]
    pub fn slot(name: &str, from: [f64; 2], to: [f64; 2], width: f64) -> Self {
        let radius = 0.5 * width;
        let along = angle_of(minus(to, from));
        // Quarters, so that the tips of the ends are corners of elements.
        let quarter = |centre, turned: f64| {
            let first = along + (turned - 1.0) * FRAC_PI_2;
            Piece::curved(name, Arc { centre, radius, first, sweep: FRAC_PI_2 })
        };
        let ends = [quarter(to, 0.0), quarter(to, 1.0), quarter(from, 2.0), quarter(from, 3.0)];
        let upper = Piece::straight(name, ends[1].to, ends[2].from);
        let lower = Piece::straight(name, ends[3].to, ends[0].from);
        let [a, b, c, d] = ends;
        Self { pieces: vec![a, b, upper, c, d, lower] }
    }

    /// Centre and radius (mm) of the circle that the chain is; `None` for any other.
    #[must_use]
    pub fn as_circle(&self) -> Option<([f64; 2], f64)> {
        let first = self.pieces.first()?.arc?;
        let near = CIRCLE * first.radius;
        let one = |piece: &Piece| {
            piece.arc.is_some_and(|arc| {
                apart(arc.centre, first.centre) <= near && (arc.radius - first.radius).abs() <= near
            })
        };
        let turn: f64 = self.pieces.iter().filter_map(|piece| piece.arc).map(|arc| arc.sweep).sum();
        let whole = (turn.abs() - TAU).abs() <= CIRCLE && self.pieces.iter().all(one);
        whole.then_some((first.centre, first.radius))
    }

    /// Area inside, positive when the chain runs counter-clockwise, mm².
    #[must_use]
    pub fn area(&self) -> f64 {
        0.5 * self.pieces.iter().map(Piece::doubled_area).sum::<f64>()
    }

    /// The same chain run the other way.
    #[must_use]
    pub fn reversed(&self) -> Self {
        Self { pieces: self.pieces.iter().rev().map(Piece::reversed).collect() }
    }

    /// Whether `point` is inside; points on the chain may come out either way.
    #[must_use]
    pub fn surrounds(&self, point: [f64; 2]) -> bool {
        let crossed = self.pieces.iter().filter(|piece| piece.crosses_line_right_of(point));
        crossed.count() % 2 == 1
    }
}

impl Loops {
    /// A rectangle with its lower left corner at the origin; edges `bottom`, `right`, `top`,
    /// `left`.
    #[must_use]
    pub fn rectangle(width: f64, height: f64) -> Self {
        let corners = [[0.0, 0.0], [width, 0.0], [width, height], [0.0, height]];
        let sides = ["bottom", "right", "top", "left"].into_iter().enumerate();
        let pieces = sides.map(|(k, name)| Piece::straight(name, corners[k], corners[(k + 1) % 4]));
        Self { outer: Loop { pieces: pieces.collect() }, inner: vec![] }
    }

    /// A disc about the origin; its edge is `rim`.
    #[must_use]
    pub fn disc(diameter: f64) -> Self {
        Self { outer: Loop::circle("rim", [0.0; 2], 0.5 * diameter), inner: vec![] }
    }

    /// All chains, the outer one first.
    pub(crate) fn chains(&self) -> impl Iterator<Item = &Loop> {
        std::iter::once(&self.outer).chain(&self.inner)
    }

    /// All pieces, those of the outer chain first.
    pub fn pieces(&self) -> impl Iterator<Item = &Piece> {
        self.chains().flat_map(|chain| &chain.pieces)
    }

    /// Names of the edges, each once, in the order of the pieces.
    #[must_use]
    pub fn edge_names(&self) -> Vec<String> {
        let mut names: Vec<String> = vec![];
        for piece in self.pieces() {
            if !names.contains(&piece.name) {
                names.push(piece.name.clone());
            }
        }
        names
    }

    /// Area of the metal, drilled holes disregarded, mm².
    #[must_use]
    pub fn area(&self) -> f64 {
        self.chains().map(Loop::area).sum()
    }

    /// Lower left and upper right corner of the box round the plate, mm.
    #[must_use]
    pub fn bounds(&self) -> [[f64; 2]; 2] {
        let nothing = [[f64::INFINITY; 2], [f64::NEG_INFINITY; 2]];
        self.outer.pieces.iter().map(Piece::bounds).fold(nothing, |all, one| {
            [
                [0, 1].map(|axis| all[0][axis].min(one[0][axis])),
                [0, 1].map(|axis| all[1][axis].max(one[1][axis])),
            ]
        })
    }

    /// Whether `point` is metal, drilled holes disregarded; points on the boundary may come out
    /// either way.
    #[must_use]
    pub fn surround(&self, point: [f64; 2]) -> bool {
        let crossed = self.pieces().filter(|piece| piece.crosses_line_right_of(point));
        crossed.count() % 2 == 1
    }

    /// Distance of `point` from the nearest piece, mm; infinite without pieces.
    #[must_use]
    pub fn distance(&self, point: [f64; 2]) -> f64 {
        self.pieces().map(|piece| piece.distance(point)).fold(f64::INFINITY, f64::min)
    }

    /// Whether the pieces that `chosen` takes by name all lie on one side of the straight line
    /// through `point` at `angle`.
    #[must_use]
    pub(crate) fn on_one_side(
        &self,
        chosen: impl Fn(&str) -> bool,
        point: [f64; 2],
        angle: f64,
    ) -> bool {
        let along = direction(angle);
        let mut sides = self
            .pieces()
            .filter(|piece| chosen(&piece.name))
            .flat_map(|piece| [0.0, 0.5, 1.0].map(|share| piece.point(share)))
            .map(|at| cross(along, minus(at, point)) > 0.0);
        let first = sides.next();
        sides.all(|side| Some(side) == first)
    }

    /// Whether every piece is farther than `distance` (mm) from `point`.
    #[must_use]
    pub fn distance_exceeds(&self, point: [f64; 2], distance: f64) -> bool {
        self.pieces().all(|piece| piece.distance(point) > distance)
    }

    /// The point of the boundary nearest to `point`; of points that are equally near within
    /// `tie` (mm), the first counter-clockwise from +x, as seen from `point`.
    #[must_use]
    pub fn nearest(&self, point: [f64; 2], tie: f64) -> Option<Nearest<'_>> {
        let all: Vec<Nearest> = self
            .pieces()
            .map(|piece| {
                let at = piece.point(piece.nearest_share(point));
                Nearest { piece, at, distance: apart(point, at) }
            })
            .collect();
        let least = all.iter().map(|near| near.distance).fold(f64::INFINITY, f64::min);
        // A direction that is +x but for rounding must not come last.
        let turn = |near: &Nearest| (angle_of(minus(near.at, point)) + 1e-9).rem_euclid(TAU);
        all.into_iter()
            // A distance that is no number leaves all of them.
            .filter(|near| {
                !near.distance.total_cmp(&(least + tie)).is_gt() || near.distance.is_nan()
            })
            .min_by(|a, b| turn(a).total_cmp(&turn(b)))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;
    use std::f64::consts::PI;

    /// A shank with a round end on its right, a round cut-out in it.
    fn lug() -> Loops {
        let arc = Arc { centre: [40.0, 12.0], radius: 12.0, first: -FRAC_PI_2, sweep: PI };
        let outer = Loop {
            pieces: vec![
                Piece::straight("bottom", [0.0, 0.0], [40.0, 0.0]),
                Piece::curved("end", arc),
                Piece::straight("top", [40.0, 24.0], [0.0, 24.0]),
                Piece::straight("root", [0.0, 24.0], [0.0, 0.0]),
            ],
        };
        Loops { outer, inner: vec![Loop::circle("window", [12.0, 12.0], 5.0).reversed()] }
    }

    #[test]
    fn area_and_box_are_those_of_the_drawing() {
        let lug = lug();
        let area = 40.0 * 24.0 + 0.5 * PI * 144.0 - PI * 25.0;
        assert_relative_eq!(lug.area(), area, max_relative = 1e-14);
        let [low, high] = lug.bounds();
        assert!(apart(low, [0.0, 0.0]) < 1e-13 && apart(high, [52.0, 24.0]) < 1e-13);
        let slot = Loop::slot("slot", [1.0, 2.0], [4.0, 6.0], 2.0);
        assert_relative_eq!(slot.area(), 5.0 * 2.0 + PI, max_relative = 1e-14);
        for (piece, next) in slot.pieces.iter().zip(slot.pieces.iter().cycle().skip(1)) {
            assert!(apart(piece.to, next.from) < 1e-14);
        }
        assert_eq!(lug.edge_names(), ["bottom", "end", "top", "root", "window"]);
    }

    #[test]
    fn inside_and_outside_are_told_apart() {
        let lug = lug();
        for inside in [[1.0, 1.0], [51.9, 12.0], [40.0, 12.0], [40.0, 23.9], [48.4, 20.4]] {
            assert!(lug.surround(inside), "{inside:?}");
        }
        for outside in [[12.0, 12.0], [48.6, 20.6], [52.1, 12.0], [-0.1, 12.0], [45.0, 0.5]] {
            assert!(!lug.surround(outside), "{outside:?}");
        }
        // On the chord of the end, level with its corners, level with the tops of circles.
        assert!(
            lug.surround([40.0, 7.0]) && lug.surround([20.0, 17.0]) && lug.surround([7.0, 17.5])
        );
    }

    #[test]
    fn the_nearest_edge_is_found_and_ties_go_counter_clockwise_from_the_right() {
        let lug = lug();
        let near = lug.nearest([40.0, 12.0], 1e-9).expect("there are pieces");
        assert_eq!((near.piece.name.as_str(), near.at), ("end", [52.0, 12.0]));
        let near = lug.nearest([21.0, 12.0], 1e-9).expect("there are pieces");
        assert_eq!(near.piece.name, "window");
        assert_relative_eq!(near.distance, 4.0);
        assert!(lug.on_one_side(|name| name == "root", [20.0, 12.0], FRAC_PI_2));
        assert!(!lug.on_one_side(|name| name == "root", [20.0, 12.0], 0.0));
        let square = Loops::rectangle(60.0, 60.0);
        let near = square.nearest([30.0, 30.0], 1e-9).expect("there are pieces");
        assert_eq!(near.piece.name, "right");
    }
}
