//! A measurement beside what was computed at its points.

use crate::process::measured::{Component, Measured, MeasuredPoint};
use crate::result::path::StressPath;

/// A measured point beside what was computed there.
#[derive(Clone, Debug, PartialEq)]
pub struct Comparison {
    /// Name of the hole.
    pub hole: String,
    /// The measured point.
    pub point: MeasuredPoint,
    /// Computed stress there, MPa: on the path of the same direction, else the mean of all paths
    /// of the hole, since the point does not tell. `None` beyond the paths.
    pub computed: Option<f64>,
}

/// The model that a measurement is compared with.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub enum Level {
    /// The plane model, which has one stress through the thickness.
    #[default]
    Plane,
    /// The section at this share of the thickness from the entry face.
    Share(f64),
    /// The mean of the section over the thickness.
    Mean,
}

impl Level {
    /// The level at a share of the thickness; that of the mean for none.
    #[must_use]
    pub fn of(share: Option<f64>) -> Self {
        share.map_or(Self::Mean, Self::Share)
    }

    /// In words: `25 % of the depth`, `entry face`.
    #[must_use]
    pub fn words(self) -> String {
        match self {
            Self::Plane => "plane model".to_owned(),
            Self::Mean => "mean over the thickness".to_owned(),
            Self::Share(0.0) => "entry face".to_owned(),
            Self::Share(0.5) => "middle of the thickness".to_owned(),
            Self::Share(1.0) => "exit face".to_owned(),
            Self::Share(share) => format!("{:.0} % of the depth", 100.0 * share),
        }
    }
}

/// How far a measurement is from what was computed.
#[derive(Clone, Debug, PartialEq)]
pub struct Agreement {
    /// Words of the measurement.
    pub label: String,
    /// Direction of the stresses.
    pub component: Component,
    /// The model that it is compared with.
    pub level: Level,
    /// Every point that could be compared or not, in the order of the table.
    pub points: Vec<Comparison>,
}

impl Agreement {
    /// Measured less computed, MPa, of every point with both.
    pub fn differences(&self) -> impl Iterator<Item = f64> {
        self.points.iter().filter_map(|c| Some(c.point.stress - c.computed?))
    }

    /// Mean of measured less computed, MPa; `None` without a point.
    #[must_use]
    pub fn mean(&self) -> Option<f64> {
        let count = self.differences().count();
        (count > 0).then(|| self.differences().sum::<f64>() / count as f64)
    }

    /// Root of the mean square of the differences, MPa; `None` without a point.
    #[must_use]
    pub fn root_mean_square(&self) -> Option<f64> {
        let count = self.differences().count();
        let squares = self.differences().map(|difference| difference * difference);
        (count > 0).then(|| (squares.sum::<f64>() / count as f64).sqrt())
    }

    /// `[inside, all]`: points whose error bar holds the computed stress, of those that have one.
    #[must_use]
    pub fn within_bars(&self) -> [usize; 2] {
        let bars = self.points.iter().filter_map(|c| {
            let difference = c.point.stress - c.computed?;
            Some(difference.abs() <= c.point.plus_minus?)
        });
        bars.fold([0, 0], |[inside, all], within| [inside + usize::from(within), all + 1])
    }
}

/// Compares `measured` with `paths`, those of all holes in one state; of points at the entry face with the share that
/// it has of them; points that name no hole belong to
/// the hole of the first path.
#[must_use]
pub fn compare(measured: &Measured, paths: &[StressPath]) -> Agreement {
    let places = measured.averaged.places();
    let share = measured.face_share.unwrap_or(1.0);
    let first = paths.first().map_or("", |path| path.hole.as_str());
    let points = measured.points.iter().map(|point| {
        let hole = point.hole.as_deref().unwrap_or(first);
        let fits = |path: &&StressPath| {
            let same = |angle: f64| (angle - path.angle_deg).rem_euclid(360.0) < SAME_DIRECTION;
            path.hole == hole && point.angle_deg.is_none_or(same)
        };
        let at = |path: &StressPath| {
            let end = path.points.last()?.distance;
            let hoop = match measured.component {
                Component::Hoop => path.hoop(),
                Component::Radial => path.radial(),
            };
            // Of a spot that hangs over an edge the part on metal counts.
            let mut sums = [0.0; 2];
            for [offset, weight] in &places {
                let there = point.distance + offset;
                if (0.0..=end).contains(&there) {
                    sums[0] += weight * hoop.at(there)?;
                    sums[1] += weight;
                }
            }
            (point.distance <= end && sums[1] > 0.0).then(|| sums[0] / sums[1])
        };
        let there: Vec<f64> = paths.iter().filter(fits).filter_map(at).collect();
        let mean = share * there.iter().sum::<f64>() / there.len() as f64;
        Comparison {
            hole: hole.to_owned(),
            point: point.clone(),
            computed: (!there.is_empty()).then_some(mean),
        }
    });
    let (label, component) = (measured.label.clone(), measured.component);
    Agreement { label, component, level: Level::Plane, points: points.collect() }
}

/// Directions that differ by less, degrees, are the same.
const SAME_DIRECTION: f64 = 1e-6;

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "a test may panic")]
mod tests {
    use super::*;
    use crate::units::Units;
    use approx::assert_relative_eq;

    #[test]
    fn a_point_is_compared_with_the_path_of_its_direction() {
        use crate::result::path::PathPoint;
        use crate::tensor::Polar;
        let path = |angle_deg: f64, slope: f64| StressPath {
            hole: "A".to_owned(),
            angle_deg,
            points: [0.0, 1.0, 2.0]
                .map(|distance| PathPoint {
                    distance,
                    position: [0.0; 2],
                    drawn: [0.0; 2],
                    stress: Polar { hoop: slope * distance, ..Polar::default() },
                    von_mises: 0.0,
                    equivalent_plastic_strain: 0.0,
                    reverse_plastic_strain: 0.0,
                    hoop_point: 0.0,
                    hoop_jump: 0.0,
                    thickness_change: 0.0,
                })
                .to_vec(),
        };
        let paths = [path(0.0, -100.0), path(90.0, -300.0)];
        let text =
            "distance,hoop,plus_minus,angle_deg\n0.5,-60,20,0\n0.5,-190,20,90\n1,-200,,\n9,1,,\n";
        let measured = Measured::from_csv("strips", text, Units::MmMpa).unwrap();
        let agreement = compare(&measured, &paths);
        let computed: Vec<Option<f64>> = agreement.points.iter().map(|c| c.computed).collect();
        assert_eq!(computed, [Some(-50.0), Some(-150.0), Some(-200.0), None]);
        assert_relative_eq!(agreement.mean().unwrap(), -50.0 / 3.0);
        assert_relative_eq!(
            agreement.root_mean_square().unwrap(),
            (1700.0_f64 / 3.0).sqrt(),
            max_relative = 1e-12
        );
        assert_eq!(agreement.within_bars(), [1, 2]);
    }
}
