//! Kinks of a path where it crosses a plastic front.
//!
//! The hoop stress is continuous across a front and its slope is not. An element that the front runs
//! through knows points on both sides and draws one line through them. Here the stress on either side is
//! carried on from elements that lie wholly on that side, by a parabola through the nearest points of the
//! path; the kink stands where the two meet.

use nalgebra::{Matrix3, Vector3};

use crate::material::state::YIELDED;
use crate::result::path::PathPoint;

/// Points of a side that its parabola is laid through, as near as it can.
const TAKEN: usize = 5;

/// Fewest of them.
const FEWEST: usize = 3;

/// Halvings of the interval in which the two sides meet: to the last digit.
const HALVINGS: usize = 60;

/// Difference of the two sides at the ends of the interval, over the largest stress of the path, below
/// which there is no kink to be seen.
const NO_KINK: f64 = 1e-3;

/// Change of slope where both sides meet, over what they change theirs by over the stretch, up to which there is no kink, and
/// from which there is nothing else. Metal with a Bauschinger effect yields in reverse by and by, and its stress bends
/// at the front: most fronts of `verification/accuracy` have less than 3 or more than 4.6. What lies between is in between,
/// so that an answer follows its case without a jump.
const SHARP: [f64; 2] = [3.0, 4.5];

/// A stress of a path point that has a kink at a front.
type Part = fn(&PathPoint) -> f64;

/// `a + b x + c x²` in `x`, the distance from a place.
struct Parabola {
    from: f64,
    factors: Vector3<f64>,
}

impl Parabola {
    /// By least squares through points `[distance, value]`, at least three.
    fn through(points: &[[f64; 2]]) -> Option<Self> {
        let from = points.first()?[0];
        let (mut matrix, mut right) = (Matrix3::zeros(), Vector3::zeros());
        let reach = points.last()?[0] - from;
        for [distance, value] in points {
            let x = (distance - from) / reach;
            let row = Vector3::new(1.0, x, x * x);
            matrix += row * row.transpose();
            right += row * *value;
        }
        let factors = matrix.try_inverse()? * right;
        Some(Self {
            from,
            factors: factors.component_div(&Vector3::new(1.0, reach, reach * reach)),
        })
    }

    fn at(&self, distance: f64) -> f64 {
        let x = distance - self.from;
        self.factors[0] + x * (self.factors[1] + x * self.factors[2])
    }

    fn slope(&self, distance: f64) -> f64 {
        self.factors[1] + 2.0 * (distance - self.from) * self.factors[2]
    }
}

/// How the metal of one element has yielded.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Yielded {
    /// Class of all its integration points; none where a front runs between them.
    pub(super) class: Option<u64>,
    /// Whether it is an element of the rings, two stretches of the path wide.
    pub(super) in_rings: bool,
}

/// Which stretches between neighbouring points of a path a front crosses, from the elements they lie in: those
/// of an element with points on both sides, and in the rings the two beside a line where one element has
/// yielded and the next has not. There the front lies between the last point of one and the first of the
/// other.
pub(super) fn crossed(yielded: &[Option<Yielded>]) -> Vec<bool> {
    let mut crossed: Vec<bool> =
        yielded.iter().map(|element| element.is_some_and(|e| e.class.is_none())).collect();
    for (k, pair) in yielded.windows(2).enumerate() {
        let [Some(one), Some(next)] = pair else { continue };
        if one.in_rings
            && next.in_rings
            && !crossed[k]
            && !crossed[k + 1]
            && one.class != next.class
        {
            (crossed[k], crossed[k + 1]) = (true, true);
        }
    }
    crossed
}

/// A stretch of a path within elements that a front crosses.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Stretch {
    /// Point where it begins and point where it ends.
    ends: [usize; 2],
    /// First and last point of the clean stretches on either side.
    clean: [usize; 2],
}

/// Puts the kinks of a path in place. `crossed` tells of every stretch between neighbouring points whether
/// its element has points on both sides of a front; `read` reads the path at another distance.
pub(super) fn place_kinks(
    points: &mut Vec<PathPoint>,
    crossed: &[bool],
    read: impl Fn(f64) -> Option<PathPoint>,
) {
    let largest = points.iter().fold(0.0_f64, |most, point| most.max(point.stress.hoop.abs()));
    for stretch in stretches(crossed).into_iter().rev() {
        if let Some(kink) = settle(points, stretch, NO_KINK * largest, &read) {
            let place = points.partition_point(|point| point.distance < kink.distance);
            let apart = |other: &PathPoint| (other.distance - kink.distance).abs();
            let near = 1e-6 * (points[stretch.ends[1]].distance - points[stretch.ends[0]].distance);
            match points.get_mut(place).filter(|other| apart(other) < near) {
                Some(other) => *other = kink,
                None => points.insert(place, kink),
            }
        }
    }
}

/// The crossed stretches, each with the clean ones beside it.
fn stretches(crossed: &[bool]) -> Vec<Stretch> {
    let mut found = Vec::new();
    let mut at = 0;
    while at < crossed.len() {
        if !crossed[at] {
            at += 1;
            continue;
        }
        let end = (at..crossed.len()).find(|&k| !crossed[k]).unwrap_or(crossed.len());
        let first = (0..at).rev().find(|&k| crossed[k]).map_or(0, |k| k + 1);
        let last = (end..crossed.len()).find(|&k| crossed[k]).unwrap_or(crossed.len());
        found.push(Stretch { ends: [at, end], clean: [first, last] });
        at = end;
    }
    found
}

/// Carries the stresses of both sides into a crossed stretch; the kink, where there is one to be seen.
fn settle(
    points: &mut [PathPoint],
    Stretch { ends: [from, to], clean: [first, last] }: Stretch,
    unseen: f64,
    read: &impl Fn(f64) -> Option<PathPoint>,
) -> Option<PathPoint> {
    if from - first + 1 < FEWEST || last - to + 1 < FEWEST {
        return None;
    }
    let sides = |part: Part| -> Option<[Parabola; 2]> {
        let of = |range: std::ops::RangeInclusive<usize>| {
            let list: Vec<[f64; 2]> =
                points[range].iter().map(|point| [point.distance, part(point)]).collect();
            Parabola::through(&list)
        };
        let inner = of(first.max((from + 1).saturating_sub(TAKEN))..=from)?;
        Some([inner, of(to..=last.min(to + TAKEN - 1))?])
    };
    let hoop = sides(|point| point.stress.hoop)?;
    let axial = sides(|point| point.stress.axial)?;
    let apart = |distance: f64| hoop[0].at(distance) - hoop[1].at(distance);
    let ends = [points[from].distance, points[to].distance];
    let [mut low, mut high] = ends;
    let at_low = apart(low);
    if at_low.abs().max(apart(high).abs()) < unseen {
        return None;
    }
    if at_low * apart(high) >= 0.0 {
        for point in &mut points[from + 1..to] {
            let at = point.distance;
            give(point, rounded(&hoop, ends, at), rounded(&axial, ends, at));
        }
        return None;
    }
    for _ in 0..HALVINGS {
        let middle = 0.5 * (low + high);
        if apart(middle) * at_low > 0.0 {
            low = middle;
        } else {
            high = middle;
        }
    }
    let kink = 0.5 * (low + high);
    let turn = (hoop[0].slope(kink) - hoop[1].slope(kink)).abs();
    let bend = hoop.iter().map(|side| 2.0 * side.factors[2].abs()).sum::<f64>();
    let sharp = turn / (bend * (ends[1] - ends[0]));
    let share = ((sharp - SHARP[0]) / (SHARP[1] - SHARP[0])).clamp(0.0, 1.0);
    let read_at = |sides: &[Parabola; 2], distance: f64| {
        let kinked = sides[usize::from(distance > kink)].at(distance);
        share * kinked + (1.0 - share) * rounded(sides, ends, distance)
    };
    for point in &mut points[from + 1..to] {
        let at = point.distance;
        give(point, read_at(&hoop, at), read_at(&axial, at));
    }
    if share == 0.0 {
        return None;
    }
    let mut point = read(kink)?;
    give(&mut point, read_at(&hoop, kink), read_at(&axial, kink));
    end_flow(points, [from, to], &mut point);
    Some(point)
}

/// Value at `distance` of the cubic line that joins both sides between `ends`. (Hermite's: values and slopes at both ends.)
fn rounded(sides: &[Parabola; 2], ends: [f64; 2], distance: f64) -> f64 {
    let whole = ends[1] - ends[0];
    let x = (distance - ends[0]) / whole;
    let values = [(1.0 - x).powi(2) * (1.0 + 2.0 * x), x * x * (3.0 - 2.0 * x)];
    let slopes = [whole * x * (1.0 - x).powi(2), whole * x * x * (x - 1.0)];
    let end = |k: usize| values[k] * sides[k].at(ends[k]) + slopes[k] * sides[k].slope(ends[k]);
    end(0) + end(1)
}

/// Plastic strain ends at the kink where one end of the stretch has it and the other has none: it falls to
/// [`YIELDED`] there.
fn end_flow(points: &mut [PathPoint], [from, to]: [usize; 2], kink: &mut PathPoint) {
    let flows: [fn(&mut PathPoint) -> &mut f64; 2] =
        [|point| &mut point.equivalent_plastic_strain, |point| &mut point.reverse_plastic_strain];
    for flow in flows {
        let ends = [from, to].map(|end| (points[end].distance, *flow(&mut points[end])));
        let (begins, most) = match ends {
            [(distance, most), (_, none)] | [(_, none), (distance, most)]
                if none < YIELDED && most > YIELDED =>
            {
                (distance, most)
            }
            _ => continue,
        };
        *flow(kink) = YIELDED;
        let end = kink.distance;
        for point in &mut points[from + 1..to] {
            let share = (point.distance - end) / (begins - end);
            *flow(point) = if share > 0.0 { YIELDED + share * (most - YIELDED) } else { 0.0 };
        }
    }
}

fn give(point: &mut PathPoint, hoop: f64, axial: f64) {
    point.stress.hoop = hoop;
    point.stress.axial = axial;
    point.von_mises = point.stress.cartesian(0.0).von_mises();
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tensor::Polar;
    use approx::assert_relative_eq;

    fn point(distance: f64, hoop: f64) -> PathPoint {
        PathPoint {
            distance,
            position: [distance, 0.0],
            drawn: [distance, 0.0],
            stress: Polar { hoop, ..Polar::default() },
            von_mises: hoop.abs(),
            equivalent_plastic_strain: 0.0,
            reverse_plastic_strain: 0.0,
            hoop_point: hoop,
            hoop_jump: 0.0,
            thickness_change: 0.0,
        }
    }

    /// Parabolas that meet at 0.53.
    fn exact(x: f64) -> f64 {
        let d = x - 0.53;
        if d < 0.0 { 100.0 + 300.0 * d + 40.0 * d * d } else { 100.0 - 90.0 * d + 15.0 * d * d }
    }

    /// Points of a path from 0 to 1, where between 0.4 and 0.6 the element has drawn a line of its own.
    fn with_a_line(exact: impl Fn(f64) -> f64) -> Vec<PathPoint> {
        let one = |k| {
            let x = 0.1 * f64::from(k);
            point(x, if (0.45..0.55).contains(&x) { 70.0 } else { exact(x) })
        };
        (0..=10).map(one).collect()
    }

    fn crossed_in_the_middle() -> Vec<bool> {
        (0..10).map(|k| k == 4 || k == 5).collect()
    }

    #[test]
    fn parabolas_on_both_sides_meet_in_their_kink() {
        let mut points = with_a_line(exact);
        let crossed = crossed_in_the_middle();
        place_kinks(&mut points, &crossed, |x| Some(point(x, 0.0)));
        assert_eq!(points.len(), 12);
        for found in &points {
            assert_relative_eq!(found.stress.hoop, exact(found.distance), epsilon = 1e-9);
        }
        assert!(points.iter().any(|found| (found.distance - 0.53).abs() < 1e-9));
    }

    #[test]
    fn a_line_without_a_kink_stays_as_it_is() {
        let mut points: Vec<PathPoint> =
            (0..=10).map(|k| point(f64::from(k), 5.0 * f64::from(k))).collect();
        let before = points.clone();
        place_kinks(
            &mut points,
            &[false, false, false, false, true, true, false, false, false, false],
            |_| None,
        );
        assert_eq!(points, before);
    }

    #[test]
    fn what_bends_without_a_kink_is_rounded_off() {
        // Both sides change their slope more over the stretch than it changes where they meet.
        let exact = |x: f64| {
            let d = x - 0.53;
            if d < 0.0 {
                100.0 + 217.0 * d + 180.0 * d * d
            } else {
                100.0 + 268.0 * d - 65.0 * d * d
            }
        };
        let mut points = with_a_line(exact);
        let crossed = crossed_in_the_middle();
        place_kinks(&mut points, &crossed, |x| Some(point(x, 0.0)));
        assert_eq!(points.len(), 11, "no kink");
        // Above both sides, by half of an eighth of the turn times the stretch: the kink is not in its middle.
        let (middle, above) = (points[5].stress.hoop - exact(0.5), 51.0 * 0.2 / 8.0);
        assert!((0.5..0.75).contains(&(middle / above)), "{middle} for {above}");
    }

    #[test]
    fn plastic_strain_ends_at_the_kink() {
        let mut points: Vec<PathPoint> = (0..=10)
            .map(|k| {
                let x = 0.1 * f64::from(k);
                PathPoint {
                    // A trace of what the element of the front has spread.
                    equivalent_plastic_strain: if x < 0.45 { 0.01 * (0.53 - x) } else { 1e-7 },
                    ..point(x, exact(x))
                }
            })
            .collect();
        let crossed = crossed_in_the_middle();
        place_kinks(&mut points, &crossed, |x| Some(point(x, 0.0)));
        let strains: Vec<f64> =
            points.iter().map(|found| found.equivalent_plastic_strain).collect();
        assert_relative_eq!(strains[5], YIELDED + 0.03 / 0.13 * (0.0013 - YIELDED), epsilon = 1e-9);
        assert_relative_eq!(strains[6], YIELDED);
        assert!(strains[7] < YIELDED);
    }

    #[test]
    fn stretches_end_where_the_next_begins() {
        let crossed = [false, true, true, false, false, true];
        assert_eq!(
            stretches(&crossed),
            [Stretch { ends: [1, 3], clean: [0, 5] }, Stretch { ends: [5, 6], clean: [3, 6] }]
        );
    }
}
