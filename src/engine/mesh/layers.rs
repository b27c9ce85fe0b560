//! Radii of the ring lines round a hole.
//!
//! ```text
//!   hole edge          cut                                     last ring line
//!   |||  |   |  |||    |||  |   |    |      |        |          |   fill …
//!   thin, growing, thin     thin, growing as far as metal yields
//! ```

use std::f64::consts::PI;

use crate::geometry::arc::direction;
use crate::geometry::hole::Hole;
use crate::geometry::piece::Piece;
use crate::geometry::plate::{Outline, Plate};
use crate::mesh::grade::subdivide;
use crate::mesh::mesh_error::MeshError;
use crate::mesh::plan::{MeshPlan, RegionPlan};

/// Width of a sector at fineness 1, radians: 4.5°, 20 quads to a quarter circle; towards near edges and holes sectors are
/// narrower. With 6° the pressure of a tool on a round hole is uneven by 0.15 % in place of 0.1, and the stress
/// beside a step of it off by a third more.
const SECTOR: f64 = PI / 40.0;
/// Thickness of the layer at the hole edge, and outside the cut, over the radius there.
/// The reverse-yielded zone of a usual expansion is a tenth of a radius or more deep;
/// this puts six or more layers into it.
const FIRST_LAYER: f64 = 0.0125;
/// Depth of the shallowest cut that gets a ring line, over the first layer. A thinner layer would
/// be folded where the arc between two nodes, a parabola, leaves the circle.
const LEAST_CUT: f64 = 0.25;
/// Distance of two cuts that both get a ring line, over the first layer: with more lines the mesh would
/// be larger than those of the cuts alone, and a ream moves a line this far without harm.
const LEAST_APART: f64 = 0.5;
/// Ratio of neighbouring layers. A gentler one than the usual 1.2 costs a half more
/// layers, but the quadratic elements then follow the kink of the residual stress at the
/// end of the plastic zone, which lies somewhere in the middle of the rings.
const RATIO: f64 = 1.1;
/// Depth of the rings, over the radius inside them: an expansion of 6 % yields the metal to less. Beyond it the
/// field is smooth and the fill grows.
const REACH: f64 = 2.9;
/// The same for triangles beyond rings that end before: an expansion of 4 % yields the metal to less.
const YIELDS: f64 = 2.2;
/// Radius of the last line over that inside the rings below which metal yields beyond them.
const SHORT: f64 = 2.8;
/// Width of a sector there, over the radius inside: the triangles that follow are as large.
const SIDE_OF_SHORT: f64 = 0.14;
/// Share of a ligament to the outline that the rings take, whose layers follow a kink of the residual stress better
/// than triangles do; the rest is for the fill, which turns from rings to a straight edge.
const SHARE_TO_EDGE: f64 = 0.8;
/// Share of a ligament between two holes that the rings of each take.
const SHARE_BETWEEN: f64 = 0.45;
/// Thickest layer over the ligament. A ligament may yield from both sides, with an elastic core of a sixth of it.
const THICKEST: f64 = 0.04;
/// Thickest layer over the radius inside the rings.
const THICKEST_OVER_RADIUS: f64 = 0.12;
/// Width of a ligament to the outline, over that radius, below which layers get thinner still, with its fourth power: two
/// fronts then have little elastic metal between them.
const NARROW: f64 = 2.7;
/// The same of a ligament between two holes.
const NARROW_BETWEEN: f64 = 4.05;
/// How thin they get over the radius.
const THINNEST_OVER_RADIUS: f64 = 0.025;
/// Size of triangles across a ligament, and width of the sectors before it, over the ligament.
const ACROSS_LIGAMENT: f64 = 0.06;
/// How much smaller both get, with the square of the width, in one that is [`NARROW`].
const ACROSS_NARROW: f64 = 2.0 / 3.0;
/// The same between two holes.
const ACROSS_BETWEEN: f64 = 0.025;
/// Sector width over relative ligament: sectors get narrower in thin ligaments, so that
/// at least three triangles fit between ring and edge.
const SECTOR_TO_LIGAMENT: f64 = 0.15;
/// Least ligament beyond the cut over the radius of the cut that elements are laid in.
const LEAST_LIGAMENT: f64 = 0.05;

/// Share of the room for rings within which a circle about the hole becomes a ring line.
const SHARE_OF_ROOM: f64 = 0.85;
/// Layers between such a line and the next, at least.
const LAYERS_IN_REGION: u32 = 3;
/// Layers over which lines become circles round a hole that is none, over how far it leaves its mean circle: they are
/// thicker or thinner by a quarter at most.
const SPREAD_OVER_AMPLITUDE: f64 = 4.0;
/// Centres this close, over a radius, are one.
const CONCENTRIC: f64 = 1e-9;

/// Radii of the ring lines of one hole, and how wide its sectors should be.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Layers {
    /// Radii of the ring lines from the hole outward, mm.
    pub(crate) radii: Vec<f64>,
    /// Layers inside the largest planned cut, when there is one.
    pub(crate) inside_cut: Option<usize>,
    /// Wanted width of a sector at fineness 1, radians.
    pub(crate) sector: f64,
    /// Towards near edges and holes: the angle, and the width of a sector there at fineness 1, radians.
    pub(crate) facing: Vec<(f64, f64)>,
    /// Lines across the same ligaments, beyond the rings, and the size of triangles there at fineness 1, mm.
    pub(crate) across: Vec<(Piece, f64)>,
    /// Radius within which metal may yield, mm; rings end inside it where they have no room.
    pub(crate) yields_to: f64,
    /// Radius from which on lines are circles when the hole is out of round, mm.
    pub(crate) round_from: f64,
    /// Regions whose outline is one of the lines.
    pub(crate) regions: Vec<usize>,
}

/// Whether the plate is a disc with one hole at its centre and regions that are round about it,
/// which needs no triangles.
pub(crate) fn is_annulus(plate: &Plate, regions: &[RegionPlan]) -> bool {
    match (&plate.outline, plate.holes.as_slice()) {
        (Outline::Disc { diameter }, [hole]) => {
            let round = |region: &RegionPlan| {
                radius_about(hole, region).is_some_and(|radius| radius < 0.5 * diameter)
            };
            hole.centre[0].hypot(hole.centre[1]) <= CONCENTRIC * diameter
                && regions.iter().all(round)
        }
        _ => false,
    }
}

/// Radius of a region that is a circle about `hole`, mm.
fn radius_about(hole: &Hole, region: &RegionPlan) -> Option<f64> {
    let (centre, radius) = region.outline.as_circle()?;
    (hole.distance_to(centre) <= CONCENTRIC * radius).then_some(radius)
}

/// Metal between `inner` (mm) and the outlines of regions that are no circles about the hole, and the
/// regions that are, by rising radius.
fn regions_about(plan: &MeshPlan, hole: &Hole, inner: f64) -> (f64, Vec<(f64, usize)>) {
    let mut free = f64::INFINITY;
    let mut round = Vec::new();
    for (index, region) in plan.regions.iter().enumerate() {
        if let Some(radius) = radius_about(hole, region) {
            round.push((radius, index));
        } else {
            let pieces = region.outline.pieces.iter();
            free = pieces.map(|piece| piece.distance(hole.centre) - inner).fold(free, f64::min);
        }
    }
    round.sort_by(|a, b| a.0.total_cmp(&b.0));
    (free, round)
}

/// Ring lines of hole `index`.
pub(crate) fn layers(plate: &Plate, plan: &MeshPlan, index: usize) -> Result<Layers, MeshError> {
    let hole = &plate.holes[index];
    let cuts = cuts_of(plan, index, hole);
    let inner = outermost(&cuts, hole);
    let annulus = is_annulus(plate, &plan.regions);

    let edge = plate.nearest_edge(index);
    let to_edge = edge.distance - inner;
    let mut ligament = to_edge;
    let mut slender = to_edge / NARROW;
    let mut ligaments = vec![Ligament { angle: edge.angle, width: to_edge, share: 1.0 }];
    let mut room = if annulus { to_edge } else { SHARE_TO_EDGE * to_edge };
    for (other_index, other) in plate.holes.iter().enumerate().filter(|&(other, _)| other != index)
    {
        let its = outermost(&cuts_of(plan, other_index, other), other);
        let gap = hole.distance_to(other.centre) - inner - its;
        ligament = ligament.min(gap);
        slender = slender.min(gap / NARROW_BETWEEN);
        room = room.min(SHARE_BETWEEN * gap);
        ligaments.push(Ligament { angle: hole.angle_to(other.centre), width: gap, share: 0.5 });
    }
    let (to_region, round) = regions_about(plan, hole, inner);
    ligament = ligament.min(to_region);
    room = room.min(SHARE_TO_EDGE * to_region);
    // A circle about the hole is a ring line where there is room for some layers beyond it.
    let mut lines: Vec<(f64, usize)> = Vec::new();
    for (radius, region) in round {
        let away = radius - inner;
        if away <= SHARE_OF_ROOM * room {
            lines.push((radius, region));
        } else {
            ligament = ligament.min(away);
            room = room.min(SHARE_TO_EDGE * away);
        }
    }
    let least = LEAST_LIGAMENT * inner;
    if ligament < least {
        return Err(MeshError::NoRoom { hole: hole.name.clone(), ligament, least });
    }

    let fineness = plan.fineness;
    // Along a geometric series of ratio q the thickness at depth d is t·ln q/(q − 1) + d·ln q.
    let growth = RATIO.ln();
    let start = growth / (RATIO - 1.0);
    let thin = FIRST_LAYER * start * inner;
    if !annulus {
        // A circle far out takes the rings with it.
        let beyond = lines.last().map_or(0.0, |(radius, _)| (radius - inner) / SHARE_OF_ROOM);
        room = room.min((REACH * inner).max(beyond));
    }
    lines.retain(|(radius, _)| *radius > hole.radius());
    let short = !annulus && inner + room < SHORT * inner;
    let mut sector = SECTOR.min(SECTOR_TO_LIGAMENT * ligament / inner);
    if short {
        sector = sector.min(SIDE_OF_SHORT * inner / (inner + room));
    }

    let stops = cuts.iter().copied().chain(lines.iter().map(|(radius, _)| *radius));
    let round_from = round_from(hole, stops, inner + room);
    let mut radii = vec![hole.radius()];
    let mut from = hole.radius();
    for &cut in &cuts {
        let depth = cut - from;
        let thin = FIRST_LAYER * start * hole.radius();
        let wanted = |d: f64| (thin + growth * d.min(depth - d)) / fineness;
        radii.extend(lines_between((from, cut), &lines, 1, wanted));
        from = cut;
    }
    let thickest = THICKEST * ligament;
    let narrow = (slender / inner).min(1.0).powi(4);
    let within = (narrow * thickest).max(THINNEST_OVER_RADIUS * inner).min(thickest);
    let within = within.min(THICKEST_OVER_RADIUS * inner);
    let thickest = if annulus { thickest } else { within }.max(thin);
    let inside_cut = (!cuts.is_empty()).then_some(radii.len() - 1);
    let wanted = |d: f64| (thin + growth * d).min(thickest).min((inner + d) * sector) / fineness;
    radii.extend(lines_between((inner, inner + room), &lines, 3, wanted));
    if let (Outline::Disc { diameter }, true) = (&plate.outline, annulus) {
        // To the last digit: the rim is where the plate says.
        radii.pop();
        radii.push(0.5 * diameter);
    }
    let regions = lines.into_iter().map(|(_, region)| region).collect();
    let outer = inner + room;
    let (mut facing, mut across) = (Vec::new(), Vec::new());
    for Ligament { angle, width, share } in ligaments.into_iter().filter(|_| !annulus) {
        let narrow = (width / (NARROW * inner)).min(1.0).powi(2).max(ACROSS_NARROW);
        let size = if share < 1.0 { ACROSS_BETWEEN } else { ACROSS_LIGAMENT * narrow } * width;
        if size < sector * outer {
            facing.push((angle, size / outer));
        }
        let [cosine, sine] = direction(angle);
        let at = |radius: f64| [hole.centre[0] + radius * cosine, hole.centre[1] + radius * sine];
        across.push((Piece::straight("", at(outer), at(inner + share * width)), size));
    }
    let yields_to = inner + YIELDS * inner;
    Ok(Layers { radii, inside_cut, sector, facing, across, yields_to, round_from, regions })
}

/// The metal from a hole, or its largest cut, to the nearest edge or to another hole.
struct Ligament {
    /// Its direction from the centre of the hole, radians.
    angle: f64,
    /// Its width, mm.
    width: f64,
    /// Share of it that is this hole's to fill.
    share: f64,
}

/// The first of the radii `stops` that leaves the layers inside it thick enough to take up how far the hole is out
/// of round, else `last`; all in mm.
fn round_from(hole: &Hole, stops: impl Iterator<Item = f64>, last: f64) -> f64 {
    let amplitude = hole.out_of_round.map_or(0.0, |shape| 0.5 * shape.deviation);
    let enough = |stop: &f64| stop - hole.radius() >= SPREAD_OVER_AMPLITUDE * amplitude;
    stops.filter(enough).fold(last, f64::min)
}

/// Radii of the lines beyond `from` up to `to`, with one wherever a region has its outline, and `least`
/// layers at least; `wanted` is the thickness of a layer at a distance from `from`. All in mm.
fn lines_between(
    (from, to): (f64, f64),
    regions: &[(f64, usize)],
    least: u32,
    wanted: impl Fn(f64) -> f64,
) -> Vec<f64> {
    let within = |radius: &f64| from < *radius && *radius < to;
    let mut stops: Vec<f64> = regions.iter().map(|region| region.0).filter(within).collect();
    let least = if stops.is_empty() { least } else { LAYERS_IN_REGION };
    stops.push(to);
    let mut radii = Vec::new();
    let mut start = 0.0;
    for stop in stops {
        let end = stop - from;
        let cuts = subdivide(end - start, least, |d| wanted(start + d));
        radii.extend(cuts[1..cuts.len() - 1].iter().map(|d| from + start + d));
        // To the last digit: an outline is where it is drawn.
        radii.push(stop);
        start = end;
    }
    radii
}

/// Radii that must be ring lines: the planned cuts. One too shallow for a layer of its own, or too near
/// to the one before, has no line; the ream then moves the nearest one.
fn cuts_of(plan: &MeshPlan, index: usize, hole: &Hole) -> Vec<f64> {
    let layer = FIRST_LAYER * hole.radius() / plan.fineness;
    let mut cuts: Vec<f64> = Vec::new();
    for &cut in plan.holes.get(index).map_or(&[][..], |plan| &plan.cut_radii) {
        let (from, least) = match cuts.last() {
            Some(before) => (*before, LEAST_APART * layer),
            None => (hole.radius(), LEAST_CUT * layer),
        };
        if cut - from >= least {
            cuts.push(cut);
        }
    }
    cuts
}

/// The largest of the cuts of a hole, else the hole itself, mm.
fn outermost(cuts: &[f64], hole: &Hole) -> f64 {
    cuts.last().copied().unwrap_or(hole.radius())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::mesh::plan::HolePlan;

    fn plate(outline: Outline, centres: &[[f64; 2]]) -> Plate {
        let holes = centres.iter().map(|&centre| Hole::round("A", centre, 6.0)).collect();
        Plate { outline, thickness: 6.0, holes }
    }

    fn radii(plate: &Plate, cut_radii: &[f64]) -> Layers {
        let plan = MeshPlan {
            holes: vec![HolePlan { cut_radii: cut_radii.to_vec(), ..HolePlan::default() }],
            ..MeshPlan::default()
        };
        layers(plate, &plan, 0).expect("there is room")
    }

    #[test]
    fn layers_start_thin_and_grow_gently() {
        let square = Outline::Rectangle { width: 60.0, height: 60.0 };
        for cut in [&[][..], &[3.08], &[3.4]] {
            let Layers { radii: lines, inside_cut, .. } =
                radii(&plate(square.clone(), &[[30.0, 30.0]]), cut);
            let steps: Vec<f64> = lines.windows(2).map(|r| r[1] - r[0]).collect();
            assert!(steps[0] <= 0.015 * 3.0);
            // Inside the cut a few layers must share what there is, so they may be thinner
            // than wanted; growth is held on either side of the cut.
            let (inside, outside) = steps.split_at(inside_cut.unwrap_or(0));
            for pair in inside.windows(2).chain(outside.windows(2)) {
                let ratio = pair[1] / pair[0];
                assert!((0.85..1.15).contains(&ratio), "{ratio} with cut {cut:?}");
            }
        }
    }

    #[test]
    fn the_cut_is_a_ring_line_with_thin_layers_on_both_sides() {
        let square = Outline::Rectangle { width: 60.0, height: 60.0 };
        let Layers { radii: lines, inside_cut, .. } =
            radii(&plate(square, &[[12.0, 30.0]]), &[3.3]);
        let cut = inside_cut.expect("a cut was planned");
        assert!((lines[cut] - 3.3).abs() < 1e-15);
        assert!(lines[cut + 1] - lines[cut] <= 0.015 * 3.3);
        assert!(lines[cut] - lines[cut - 1] <= 0.015 * 3.3);
    }

    #[test]
    fn every_cut_that_is_not_too_near_to_another_is_a_ring_line() {
        let square = Outline::Rectangle { width: 60.0, height: 60.0 };
        let cuts = [3.1, 3.11, 3.2, 3.4];
        let Layers { radii: lines, inside_cut, .. } = radii(&plate(square, &[[12.0, 30.0]]), &cuts);
        let line = |cut: f64| lines.iter().position(|radius| (radius - cut).abs() < 1e-15);
        assert!(line(3.11).is_none(), "it would leave a layer of a hundredth");
        assert_eq!(line(3.4), inside_cut);
        for cut in [3.1, 3.2, 3.4] {
            let at = line(cut).expect("it has a line");
            let thickest = (lines[at + 1] - lines[at]).max(lines[at] - lines[at - 1]);
            assert!(thickest <= 0.015 * cut, "{thickest} at {cut}");
        }
    }

    #[test]
    fn an_annulus_ends_on_its_rim() {
        let lines = radii(&plate(Outline::Disc { diameter: 50.0 }, &[[0.0, 0.0]]), &[]).radii;
        assert!((lines[lines.len() - 1] - 25.0).abs() < f64::EPSILON);
    }

    #[test]
    fn a_cut_that_eats_the_ligament_is_refused() {
        let square = Outline::Rectangle { width: 60.0, height: 60.0 };
        let plan = MeshPlan {
            holes: vec![HolePlan { cut_radii: vec![11.9], ..HolePlan::default() }],
            ..MeshPlan::default()
        };
        let refused = layers(&plate(square, &[[12.0, 30.0]]), &plan, 0);
        assert!(matches!(refused, Err(MeshError::NoRoom { .. })));
    }
}
