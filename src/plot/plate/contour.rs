//! Where a nodal field stands above a level: closed borders of that part of the whole plate, and
//! the lines of constant value inside it.
//!
//! In every small triangle of the lattice the field is linear, so the line of a level is a
//! segment. Segments are directed, with the higher side on their left. They are joined by the
//! keys of the lattice, not by their coordinates: a border closes whatever rounding does.

use std::collections::{HashMap, HashSet};

use crate::mesh::topology::{Mesh, NodeId};
use crate::plot::plate::lattice::{Cells, Mirror, Point, Spread, visit};

/// Where a segment may meet others: between two points of the lattice, or at one of them.
type Key = (u64, u64);

/// A directed segment, higher values on its left.
#[derive(Clone, Copy, Debug)]
struct Segment {
    ends: [[f64; 2]; 2],
    keys: [Key; 2],
}

/// A segment in one of the copies, its keys with the number of the copy.
struct Copied {
    ends: [[f64; 2]; 2],
    keys: [(Key, u8); 2],
}

/// The segments of one level in the modelled part.
#[derive(Clone, Debug, Default)]
struct Traced {
    inside: Vec<Segment>,
    rim: Vec<Segment>,
}

/// A field cut at some levels.
pub(crate) struct Contours<'a> {
    mesh: &'a Mesh,
    mirrors: Vec<Mirror>,
    levels: Vec<Traced>,
}

impl<'a> Contours<'a> {
    /// Cuts the nodal `values` at `levels`, rising. The level −∞ gives all of the metal.
    pub(crate) fn new(
        mesh: &'a Mesh,
        values: &[f64],
        levels: &[f64],
        (divisions, spread): (usize, Spread),
    ) -> Self {
        let rim = rim(mesh);
        let mut traced = vec![Traced::default(); levels.len()];
        let wanted = |nodes: &[NodeId]| {
            let of = || nodes.iter().map(|&node| values[node]);
            let low = of().fold(f64::INFINITY, f64::min);
            let high = of().fold(f64::NEG_INFINITY, f64::max);
            // A parabola may pass its nodal values.
            let room = 0.5 * (high - low);
            levels.iter().any(|level| (low - room..=high + room).contains(level))
                || nodes.iter().any(|node| rim.contains(node))
        };
        visit(mesh, [values], (divisions, spread), wanted, |cells| {
            for triangle in cells.triangles {
                let corners = triangle.map(|index| cells.points[index]);
                let [a, b, c] = corners.map(|corner| corner.values[0]);
                let (low, high) = (a.min(b).min(c), a.max(b).max(c));
                let first = levels.partition_point(|level| *level <= low);
                for (level, traced) in levels.iter().zip(&mut traced).skip(first) {
                    if *level > high {
                        break;
                    }
                    traced.inside.extend(crossing(&corners, *level));
                }
            }
            along_rim(cells, &rim, levels, &mut traced);
        });
        Self { mesh, mirrors: Mirror::all(&mesh.symmetry), levels: traced }
    }

    /// Closed lines round the part of the whole plate at or above level number `k`, mm. None
    /// repeats its first point; to be filled by the even–odd rule.
    pub(crate) fn loops(&self, k: usize) -> Vec<Vec<[f64; 2]>> {
        let Traced { inside, rim } = &self.levels[k];
        let lines = self.joined(inside.iter().chain(rim));
        lines
            .into_iter()
            .map(|mut line| {
                line.pop();
                line
            })
            .collect()
    }

    /// Lines along which the field is at level number `k`, mm; closed ones end where they begin.
    pub(crate) fn lines(&self, k: usize) -> Vec<Vec<[f64; 2]>> {
        self.joined(self.levels[k].inside.iter())
    }

    /// The segments of all copies joined into lines.
    fn joined<'b>(&self, segments: impl Iterator<Item = &'b Segment>) -> Vec<Vec<[f64; 2]>> {
        let segments: Vec<&Segment> = segments.collect();
        let each = |mirror| segments.iter().map(move |segment| self.copy(mirror, segment));
        let whole: Vec<Copied> = self.mirrors.iter().flat_map(each).collect();
        let keys: Vec<[(Key, u8); 2]> = whole.iter().map(|copied| copied.keys).collect();
        let line = |chain: Vec<usize>| {
            let first = chain.first().map(|&k| whole[k].ends[0]);
            first.into_iter().chain(chain.iter().map(|&k| whole[k].ends[1])).collect()
        };
        chained(&keys).into_iter().map(line).collect()
    }

    /// A segment in a copy. A point on a mirror line is the same in the copies on both sides of it.
    fn copy(&self, mirror: &Mirror, segment: &Segment) -> Copied {
        let [across, up] = mirror.turned();
        let side = |k: usize| {
            let ([x, y], key) = (segment.ends[k], segment.keys[k]);
            let off = |line: Option<f64>, at: f64| {
                line.is_some_and(|line| (line - at).abs() > ON_LINE * line.abs().max(at.abs()))
            };
            let copy = u8::from(across && off(self.mesh.symmetry.x, x))
                + 2 * u8::from(up && off(self.mesh.symmetry.y, y));
            (mirror.apply([x, y]), (key, copy))
        };
        let (one, other) = (side(0), side(1));
        // A mirrored segment would have the higher side on its right.
        let [from, to] = if across == up { [one, other] } else { [other, one] };
        Copied { ends: [from.0, to.0], keys: [from.1, to.1] }
    }
}

/// How far a point on a mirror line may lie off it, over the coordinate: some rounding.
const ON_LINE: f64 = 1e-12;

/// Mid-side nodes of the sides that belong to one element and lie on no mirror line.
fn rim(mesh: &Mesh) -> HashSet<NodeId> {
    let mut once = HashSet::new();
    for [_, middle, _] in mesh.element_sides() {
        if !once.remove(&middle) {
            once.insert(middle);
        }
    }
    let on = |line: Option<f64>, at: f64| {
        line.is_some_and(|line| (line - at).abs() <= ON_LINE * line.abs().max(at.abs()))
    };
    let symmetry = mesh.symmetry;
    once.retain(|&node| {
        let [x, y] = mesh.nodes[node];
        !on(symmetry.x, x) && !on(symmetry.y, y)
    });
    once
}

/// Where the side from `one` to `other` meets `level`; the same from both of its triangles.
fn cut(one: &Point<1>, other: &Point<1>, level: f64) -> ([f64; 2], Key) {
    let (low, high) = if one.key <= other.key { (one, other) } else { (other, one) };
    let share = (level - low.values[0]) / (high.values[0] - low.values[0]);
    let at = std::array::from_fn(|axis| low.at[axis] + share * (high.at[axis] - low.at[axis]));
    (at, (low.key, high.key))
}

/// The segment of `level` in a triangle, when it passes through.
fn crossing(corners: &[Point<1>; 3], level: f64) -> Option<Segment> {
    let above = |k: usize| corners[k % 3].values[0] >= level;
    let side = |leaves: bool| {
        let k = (0..3).find(|&k| above(k) == leaves && above(k + 1) != leaves)?;
        Some(cut(&corners[k], &corners[(k + 1) % 3], level))
    };
    let ((from, leave), (to, enter)) = (side(true)?, side(false)?);
    Some(Segment { ends: [from, to], keys: [leave, enter] })
}

/// The parts of the rim of the metal that are above each level.
fn along_rim(cells: &Cells<'_, 1>, rim: &HashSet<NodeId>, levels: &[f64], traced: &mut [Traced]) {
    for (line, nodes) in cells.sides.iter().zip(cells.side_nodes) {
        if !rim.contains(&nodes[1]) {
            continue;
        }
        for pair in line.windows(2) {
            let [one, other] = [&cells.points[pair[0]], &cells.points[pair[1]]];
            let whole = |point: &Point<1>| (point.at, (point.key, point.key));
            for (level, traced) in levels.iter().zip(&mut *traced) {
                let (from, to) = match [one, other].map(|point| point.values[0] >= *level) {
                    [true, true] => (whole(one), whole(other)),
                    [true, false] => (whole(one), cut(one, other, *level)),
                    [false, true] => (cut(one, other, *level), whole(other)),
                    [false, false] => continue,
                };
                traced.rim.push(Segment { ends: [from.0, to.0], keys: [from.1, to.1] });
            }
        }
    }
}

/// Joins directed pieces into chains, the end of each the start of the next: numbers of the
/// pieces. Open chains come whole, and the order follows that of the pieces.
pub(crate) fn chained<K: Copy + Eq + std::hash::Hash>(pieces: &[[K; 2]]) -> Vec<Vec<usize>> {
    let mut starts: HashMap<K, Vec<usize>> = HashMap::with_capacity(pieces.len());
    let mut ends: HashMap<K, usize> = HashMap::with_capacity(pieces.len());
    for (k, [from, to]) in pieces.iter().enumerate().rev() {
        starts.entry(*from).or_default().push(k);
        *ends.entry(*to).or_default() += 1;
    }
    let mut used = vec![false; pieces.len()];
    let mut chains = Vec::new();
    let heads = (0..pieces.len()).filter(|&k| !ends.contains_key(&pieces[k][0]));
    for first in heads.chain(0..pieces.len()) {
        if used[first] {
            continue;
        }
        used[first] = true;
        let mut chain = vec![first];
        let mut end = pieces[first][1];
        while let Some(next) = starts.get_mut(&end).and_then(|here| {
            while here.last().is_some_and(|&k| used[k]) {
                here.pop();
            }
            here.pop()
        }) {
            used[next] = true;
            chain.push(next);
            end = pieces[next][1];
            if end == pieces[first][0] {
                break;
            }
        }
        chains.push(chain);
    }
    chains
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::mesh::topology::Symmetry;

    /// Two unit squares side by side, from x = 0 to 2.
    fn two_squares() -> Mesh {
        Mesh {
            nodes: vec![
                [0.0, 0.0],
                [1.0, 0.0],
                [1.0, 1.0],
                [0.0, 1.0],
                [0.5, 0.0],
                [1.0, 0.5],
                [0.5, 1.0],
                [0.0, 0.5],
                [2.0, 0.0],
                [2.0, 1.0],
                [1.5, 0.0],
                [2.0, 0.5],
                [1.5, 1.0],
            ],
            quads: vec![[0, 1, 2, 3, 4, 5, 6, 7], [1, 8, 9, 2, 10, 11, 12, 5]],
            ..Mesh::default()
        }
    }

    fn area(line: &[[f64; 2]]) -> f64 {
        let n = line.len();
        let cross =
            |k: usize| line[k][0] * line[(k + 1) % n][1] - line[(k + 1) % n][0] * line[k][1];
        0.5 * (0..n).map(cross).sum::<f64>()
    }

    const HOW: (usize, Spread) = (3, Spread::Straight);

    #[test]
    fn the_border_of_all_metal_is_one_closed_line_round_its_area() {
        let mesh = two_squares();
        let values = vec![1.0; mesh.nodes.len()];
        let contours = Contours::new(&mesh, &values, &[f64::NEG_INFINITY], HOW);
        let found = contours.loops(0);
        assert_eq!(found.len(), 1);
        assert!((area(&found[0]) - 2.0).abs() < 1e-12);
    }

    #[test]
    fn the_part_above_a_level_ends_where_the_field_meets_it() {
        let mesh = two_squares();
        let values: Vec<f64> = mesh.nodes.iter().map(|node| -node[0]).collect();
        let contours = Contours::new(&mesh, &values, &[-1.3, -1.0, -0.4], HOW);
        for (k, wanted) in [1.3, 1.0, 0.4].into_iter().enumerate() {
            let found = contours.loops(k);
            assert_eq!(found.len(), 1);
            // Counter-clockwise: the metal lies on the left.
            assert!((area(&found[0]) - wanted).abs() < 1e-12, "{}", area(&found[0]));
            let line = &contours.lines(k)[0];
            assert!(line.iter().all(|[x, _]| (x - wanted).abs() < 1e-12), "{line:?}");
        }
    }

    #[test]
    fn mirrored_parts_join_without_a_seam() {
        let mut mesh = two_squares();
        mesh.symmetry = Symmetry { x: Some(0.0), y: Some(0.0) };
        let values: Vec<f64> = mesh.nodes.iter().map(|[x, y]| -x.powi(2) - y.powi(2)).collect();
        let contours = Contours::new(&mesh, &values, &[-0.64], (6, Spread::Quadratic));
        let found = contours.loops(0);
        assert_eq!(found.len(), 1);
        // A circle of radius 0.8, in chords of a sixth of an element.
        let circle = std::f64::consts::PI * 0.64;
        assert!((area(&found[0]) / circle - 1.0).abs() < 0.03, "{}", area(&found[0]));
        let line = &contours.lines(0);
        assert_eq!((line.len(), line[0].first()), (1, line[0].last()));
    }

    #[test]
    fn a_level_that_nodes_lie_on_still_closes_its_border() {
        let mesh = two_squares();
        let mut values = vec![-1.0; mesh.nodes.len()];
        for node in [1, 5, 10] {
            values[node] = 0.0;
        }
        for spread in [Spread::Straight, Spread::Quadratic] {
            let contours = Contours::new(&mesh, &values, &[0.0, 0.5], (4, spread));
            for line in contours.loops(0) {
                assert!(area(&line) >= 0.0);
            }
        }
    }

    #[test]
    fn shuffled_pieces_of_a_ring_and_of_a_line_join_to_one_chain_each() {
        let ring = [7, 2, 11, 4, 0, 9, 5, 1, 10, 3, 8, 6].map(|k| [k, (k + 1) % 12]);
        let line = [22, 20, 23, 21].map(|k| [k, k + 1]);
        let pieces: Vec<[i32; 2]> = line.into_iter().chain(ring).collect();
        let chains = chained(&pieces);
        assert_eq!(chains.len(), 2);
        assert_eq!(chains[0], [1, 3, 0, 2]);
        assert_eq!(chains[1].len(), 12);
    }
}
