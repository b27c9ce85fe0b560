//! The way of a path: where it begins and ends, the bodies that it goes through, and where it has points.

use crate::geometry::hole::Hole;
use crate::geometry::meet::path_meets;
use crate::geometry::ray::Obstacle;
use crate::mesh::topology::{HoleMesh, NodeId};
use crate::result::sampling::{BESIDE_REGION, Sampler};

/// Growth of the steps beyond the rings.
const GROWTH: f64 = 1.06;
/// Longest step beyond the rings, as a share of the hole's radius.
const LONGEST_STEP: f64 = 0.04;
/// A path has about this many steps at most, however small the hole is in its plate.
const MOST_STEPS: f64 = 4000.0;
/// First step at a hole without rings, as a share of its radius: half of a layer thin enough
/// to follow reverse yielding.
const FIRST_STEP: f64 = 0.01;
/// How far inside the far edge the last point lies, as a share of the path: the locator
/// forgives rounding, this forgives the parabolas of a round rim.
const END_INSET: f64 = 1e-9;

/// A part of a path in one body.
pub(super) struct Span {
    /// 0 for the plate, then the bushes in the order in which they were put in.
    pub(super) body: usize,
    /// Layers of the rings that are of it.
    pub(super) layers: std::ops::Range<usize>,
    /// Drawn distances of its ends from the centre of the hole, mm.
    pub(super) radii: [f64; 2],
}

impl Sampler<'_> {
    /// Distance from the hole centre at which a path ends: a hole it runs into may have been
    /// reamed.
    pub(super) fn path_length(&self, at: &Obstacle, drawn: f64, hole: &Hole) -> f64 {
        let Obstacle::Hole(other) = *at else { return drawn };
        let neighbour = &self.plate.holes[other];
        let edge = match self.mesh.matings.iter().find(|mating| mating.hole == other) {
            // The plate ends where a bush begins.
            Some(mating) => {
                let ends = mating.pairs.iter().map(|pair| pair[1]).collect::<Vec<_>>();
                self.radius_at(&ends, mating.closed, neighbour, hole.centre)
            }
            None => self.edge_radius(other, neighbour, hole.centre),
        };
        let gone = edge - neighbour.radius();
        // Exact for a path through both centres; elsewhere `read` drops a point that is not metal.
        drawn - gone
    }

    /// Reference radius of the edge of hole `index` in the direction of `towards`, mm.
    fn edge_radius(&self, index: usize, hole: &Hole, towards: [f64; 2]) -> f64 {
        let rings = &self.mesh.holes[index];
        self.radius_at(&rings.edge, rings.closed, hole, towards)
    }

    /// Reference radius about a hole of a line of nodes round it, in the direction of `towards`, mm.
    fn radius_at(&self, line: &[NodeId], closed: bool, hole: &Hole, towards: [f64; 2]) -> f64 {
        let line = HoleMesh { edge: line.to_vec(), closed, ..HoleMesh::default() };
        let (folded, _) = self.mesh.symmetry.fold(towards);
        let angle = hole.angle_to(folded);
        for side in line.sides() {
            let nodes = side.map(|node| self.mesh.nodes[node]);
            let turn = |node: [f64; 2]| wrap(hole.angle_to(node) - angle);
            let (from, to) = (turn(nodes[0]), turn(nodes[2]));
            if from <= 1e-12 && to >= -1e-12 && to - from < std::f64::consts::PI {
                // Radius is nearly constant along a side: a parabola in the angle is exact enough.
                let share = (-from / (to - from)).clamp(0.0, 1.0);
                let xi = 2.0 * share - 1.0;
                let radii = nodes.map(|node| hole.distance_to(node));
                return crate::element::edge::values(xi)
                    .iter()
                    .zip(radii)
                    .map(|(value, radius)| value * radius)
                    .sum();
            }
        }
        hole.radius()
    }

    /// The bodies that a path goes through, from the hole to its end `length` from the centre (mm): the
    /// bushes in the hole, inside first, then the plate.
    pub(super) fn spans(
        &self,
        index: usize,
        hole: &Hole,
        towards: [f64; 2],
        length: f64,
    ) -> Vec<Span> {
        let layers = self.mesh.holes[index].layers;
        let mut from = self.edge_radius(index, hole, towards);
        let mut first = 0;
        let mut spans = Vec::new();
        let own = self.mesh.matings.iter().enumerate().rev();
        for (number, mating) in own.filter(|(_, mating)| mating.hole == index) {
            let line =
                |which: usize| mating.pairs.iter().map(|pair| pair[which]).collect::<Vec<_>>();
            let [end, next] =
                [0, 1].map(|which| self.radius_at(&line(which), mating.closed, hole, towards));
            let own = |layer: &usize| {
                self.mesh.region_of(self.mesh.holes[index].quad(*layer, 0)) == mating.region
            };
            let last = (first..layers).find(|layer| !own(layer)).unwrap_or(layers);
            spans.push(Span { body: number + 1, layers: first..last, radii: [from, end] });
            (first, from) = (last, next);
        }
        spans.push(Span { body: 0, layers: first..layers, radii: [from, length] });
        spans
    }

    /// Distances of the points of a path of `length`: the lines of the rings and their
    /// middles, then growing steps, and the far edge.
    pub(super) fn distances(
        &self,
        index: usize,
        (hole, layers): (&Hole, std::ops::Range<usize>),
        length: f64,
        far: &[f64],
    ) -> Vec<f64> {
        let rings = &self.mesh.holes[index];
        let ray = |layer: usize, corner: usize| {
            hole.distance_to(self.mesh.nodes[self.mesh.quads[rings.quad(layer, 0)][corner]])
        };
        let mut distances = vec![0.0];
        if !layers.is_empty() {
            let edge = ray(layers.start, 0);
            for layer in layers {
                distances.extend([ray(layer, 4) - edge, ray(layer, 1) - edge]);
            }
        }
        let mut step = match distances.as_slice() {
            [.., a, b] => 2.0 * (b - a),
            _ => FIRST_STEP * hole.radius(),
        };
        // The highest tension sits in a kink, which steps as long as the elements would straddle.
        let longest = (LONGEST_STEP * hole.radius()).max(length / MOST_STEPS);
        step = step.min(longest);
        let end = length * (1.0 - END_INSET);
        distances.retain(|&distance| distance < end - 0.25 * step);
        let mut last = distances.last().copied().unwrap_or(0.0);
        let room = end - far.last().copied().unwrap_or(0.0);
        let (far, stop) = if room > last + step { (far, room) } else { (&[][..], end) };
        loop {
            step = (step * GROWTH).min(longest);
            if last + 1.5 * step >= stop {
                break;
            }
            last += step;
            distances.push(last);
        }
        distances.extend(far.iter().skip(1).rev().map(|distance| end - distance));
        distances.push(end);
        distances
    }

    /// Distances of the lines of the rings that a path runs into, and of their middles, from the edge there;
    /// none where it does not run straight towards the middle of a hole that has rings.
    pub(super) fn far_lines(&self, at: &Obstacle, hole: &Hole, direction: [f64; 2]) -> Vec<f64> {
        let Obstacle::Hole(other) = *at else { return Vec::new() };
        let (rings, neighbour) = (&self.mesh.holes[other], &self.plate.holes[other]);
        let [x, y] = [0, 1].map(|axis| neighbour.centre[axis] - hole.centre[axis]);
        let beside = (direction[0] * y - direction[1] * x).abs();
        let bushed = self.mesh.matings.iter().any(|mating| mating.hole == other);
        if rings.layers == 0 || bushed || beside > BESIDE_REGION * neighbour.radius() {
            return Vec::new();
        }
        let radius = |layer: usize, corner: usize| {
            neighbour.distance_to(self.mesh.nodes[self.mesh.quads[rings.quad(layer, 0)][corner]])
        };
        let edge = radius(0, 0);
        let lines = (0..rings.layers).flat_map(|layer| [radius(layer, 4), radius(layer, 1)]);
        std::iter::once(0.0).chain(lines.map(|line| line - edge)).collect()
    }

    /// Adds a point on either side of every outline of a region that a path crosses, where fields may
    /// jump. `edge` is the radius that distances count from, mm.
    pub(super) fn straddle_regions(
        &self,
        hole: &Hole,
        direction: [f64; 2],
        edge: f64,
        distances: &mut Vec<f64>,
    ) {
        let Some(&end) = distances.last() else { return };
        let beside = BESIDE_REGION * hole.radius();
        for piece in self.regions.iter().flat_map(|region| &region.outline.pieces) {
            for radius in path_meets(piece, hole.centre, direction, 0.0) {
                let at = radius - edge;
                if beside < at && at < end - beside {
                    distances.retain(|distance| (distance - at).abs() > 2.0 * beside);
                    distances.extend([at - beside, at + beside]);
                }
            }
        }
        distances.sort_by(f64::total_cmp);
    }
}

fn wrap(angle: f64) -> f64 {
    use std::f64::consts::{PI, TAU};
    (angle + PI).rem_euclid(TAU) - PI
}
