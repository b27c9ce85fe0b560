//! Lines before they are drawn: fewer points, and curves as straight parts.

use crate::plot::level::count;
use crate::plot::paper::sheet::Spot;

/// The polyline without the points that lie within `tolerance` of what is left.
///
/// Source of the rule: D. Douglas and T. Peucker, The Canadian Cartographer 10 (1973)
/// 112–122 (from memory).
pub(crate) fn simplified(spots: &[Spot], tolerance: f64) -> Vec<Spot> {
    if spots.len() < 3 {
        return spots.to_vec();
    }
    let mut keep = vec![false; spots.len()];
    let last = spots.len() - 1;
    (keep[0], keep[last]) = (true, true);
    let mut open = vec![(0, last)];
    while let Some((first, last)) = open.pop() {
        let far = |k: usize| distance(spots[k], spots[first], spots[last]);
        let Some(middle) = (first + 1..last).max_by(|&j, &k| far(j).total_cmp(&far(k))) else {
            continue;
        };
        if far(middle) > tolerance {
            keep[middle] = true;
            open.extend([(first, middle), (middle, last)]);
        }
    }
    spots.iter().zip(keep).filter_map(|(spot, keep)| keep.then_some(*spot)).collect()
}

/// Distance of `spot` from the segment between two others.
fn distance(spot: Spot, from: Spot, to: Spot) -> f64 {
    let run = [to[0] - from[0], to[1] - from[1]];
    let off = [spot[0] - from[0], spot[1] - from[1]];
    let square = run[0] * run[0] + run[1] * run[1];
    // The two ends of a ring are one point.
    let share = if square > 0.0 { (off[0] * run[0] + off[1] * run[1]) / square } else { 0.0 };
    let share = share.clamp(0.0, 1.0);
    (off[0] - share * run[0]).hypot(off[1] - share * run[1])
}

/// A closed loop that does not repeat its first point, simplified alike.
pub(crate) fn simplified_loop(corners: &[Spot], tolerance: f64) -> Vec<Spot> {
    let mut ring = corners.to_vec();
    ring.extend(corners.first());
    let mut few = simplified(&ring, tolerance);
    few.pop();
    few
}

/// A side of an element, given by its three nodes, as a polyline: the parabola through them.
pub(crate) fn bend([start, middle, end]: &[Spot; 3]) -> [Spot; 9] {
    std::array::from_fn(|k| {
        let t = count(k) / 4.0 - 1.0;
        let (a, b, c) = (0.5 * t * (t - 1.0), 1.0 - t * t, 0.5 * t * (t + 1.0));
        std::array::from_fn(|axis| a * start[axis] + b * middle[axis] + c * end[axis])
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    #[test]
    fn a_simplified_circle_stays_within_the_tolerance_with_far_fewer_points() {
        let circle: Vec<Spot> = (0..=3600)
            .map(|k| {
                let angle = std::f64::consts::TAU * count(k % 3600) / 3600.0;
                [100.0 * angle.cos(), 100.0 * angle.sin()]
            })
            .collect();
        let few = simplified(&circle, 0.05);
        // A chord 0.05 from the circle spans 2 acos(1 − 0.0005) = 0.0633 rad: at least 100 of them.
        assert!((100..250).contains(&few.len()), "{}", few.len());
        for spot in &circle {
            let off = few.windows(2).map(|p| distance(*spot, p[0], p[1])).fold(1.0, f64::min);
            assert!(off <= 0.05, "{off}");
        }
    }

    #[test]
    fn corners_survive_and_points_between_them_do_not() {
        let corners = [[0.0, 0.0], [5.0, 0.0], [5.0, 3.0]];
        let dense = [[0.0, 0.0], [2.0, 0.0], [3.0, 0.01], [5.0, 0.0], [5.0, 1.0], [5.0, 3.0]];
        assert_eq!(simplified(&dense, 0.05), corners);
    }

    #[test]
    fn a_bent_side_passes_its_nodes_and_has_the_length_of_the_parabola() {
        let side = bend(&[[0.0, 0.0], [1.0, 1.0], [2.0, 0.0]]);
        assert_eq!((side[0], side[4], side[8]), ([0.0, 0.0], [1.0, 1.0], [2.0, 0.0]));
        let length: f64 =
            side.windows(2).map(|p| (p[1][0] - p[0][0]).hypot(p[1][1] - p[0][1])).sum();
        // Arc of y = 1 − x² over −1..1: √5 + asinh(2) / 2; eight chords fall a third of a percent short.
        assert_relative_eq!(length, 5f64.sqrt() + 0.5 * 2f64.asinh(), max_relative = 5e-3);
    }
}
