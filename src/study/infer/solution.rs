//! One full solution, as the measurements see it.

use std::sync::atomic::AtomicBool;

use crate::case::Case;
use crate::process::job::Job;
use crate::process::snapshot::Snapshot;
use crate::result::gauge::{GaugeReading, needs, readings};
use crate::result::measured::{Agreement, compare};
use crate::result::path::StressPath;
use crate::result::read::read;
use crate::study::last_state::{LastState, states};

/// A number of a path.
#[derive(Clone, Debug, PartialEq)]
pub struct Headline {
    /// Its name, with hole and direction.
    pub name: String,
    /// Whether it is a stress in MPa; else a length in mm.
    pub is_stress: bool,
    /// Its value, when it has one.
    pub value: Option<f64>,
}

/// A full solution in its last residual state.
#[derive(Clone, Debug)]
pub struct Solution {
    /// The work that was solved.
    pub job: Job,
    /// The state.
    pub snapshot: Snapshot,
    /// Stresses along the paths.
    pub paths: Vec<StressPath>,
    /// Measured beside computed.
    pub agreements: Vec<Agreement>,
    /// Strain gauges beside their computed readings.
    pub gauges: Vec<GaugeReading>,
    /// Headline numbers of the paths.
    pub numbers: Vec<Headline>,
    /// Distance to which each path has yielded, mm.
    fronts: Vec<f64>,
}

/// Solves `job` on the plate of `case`.
///
/// # Errors
///
/// Why not, in words.
pub fn solve(case: &Case, job: &Job, stop: &AtomicBool) -> Result<Solution, String> {
    let residual = |snapshot: &Snapshot| snapshot.finished && !snapshot.loaded;
    let wanted = |snapshot: &Snapshot| {
        residual(snapshot) || case.gauges.iter().any(|gauge| needs(gauge, &snapshot.label))
    };
    let mut kept = states(case, job.clone(), stop, &wanted).map_err(|end| match end {
        LastState::Failed(error) => error.to_string(),
        _ => "it was stopped".to_owned(),
    })?;
    let gauges = readings(&case.gauges, &job.plate.holes, &kept);
    let last = kept.iter().rposition(residual).ok_or("it has no residual state")?;
    let snapshot = kept.swap_remove(last);
    let (stage, summary) = read(&snapshot, job, &case.path_angles).map_err(|e| e.to_string())?;
    let agreements = case.measured.iter().map(|m| compare(m, &stage.paths)).collect();
    let mut numbers = Vec::new();
    for path in &summary.paths {
        let place = format!("{} {:.0}°", path.hole, path.angle_deg);
        let mut put = |name: &str, is_stress, value| {
            numbers.push(Headline { name: format!("{name}, {place}"), is_stress, value });
        };
        put("edge hoop", true, Some(path.edge_hoop));
        put("compression depth", false, path.compression_depth);
        put("peak tension", true, path.peak_tension.map(|peak| peak[0]));
    }
    let fronts = summary.paths.iter().map(|path| path.plastic_extent).collect();
    let paths = stage.paths;
    Ok(Solution { job: job.clone(), snapshot, paths, agreements, gauges, numbers, fronts })
}

impl Solution {
    /// Computed stress at every measured point, MPa, in the order of the tables, then the computed
    /// strain of every gauge.
    pub(super) fn computed(&self) -> Vec<Option<f64>> {
        let points = self.agreements.iter().flat_map(|a| &a.points).map(|point| point.computed);
        points.chain(self.gauges.iter().map(|gauge| gauge.computed)).collect()
    }

    /// Whether every compared point lies beyond the plastic front of its path. Gauges read in several
    /// states, so that they tell more than the size of the stress.
    pub(super) fn all_points_elastic(&self) -> bool {
        if !self.gauges.is_empty() {
            return false;
        }
        let mut compared =
            self.agreements.iter().flat_map(|a| &a.points).filter(|point| point.computed.is_some());
        compared.all(|point| {
            let own = self.paths.iter().zip(&self.fronts).filter(|(path, _)| {
                let turn = |angle: f64| (angle - path.angle_deg).rem_euclid(360.0) < 1e-6;
                path.hole == point.hole && point.point.angle_deg.is_none_or(turn)
            });
            own.map(|(_, front)| *front).fold(0.0, f64::max) < point.point.distance
        })
    }
}
