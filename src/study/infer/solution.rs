//! One full solution, as the measurements see it.

use std::sync::atomic::AtomicBool;

use crate::case::Case;
use crate::case::unknown::Asked;
use crate::geometry::hole::Hole;
use crate::process::job::Job;
use crate::process::snapshot::Snapshot;
use crate::result::gauge::{GaugeReading, needs, readings};
use crate::result::measured::{Agreement, compare};
use crate::result::path::StressPath;
use crate::result::read::read;
use crate::study::infer::drawn::{DrawAgreement, Drawn, draw};
use crate::study::infer::line::{Line, Way};
use crate::study::last_state::{LastState, states};
use crate::study::section_beside::HoleSection;
use crate::units::quantity::Quantity;

/// A number of a path.
#[derive(Clone, Debug, PartialEq)]
pub struct Headline {
    /// Its name, with hole and direction.
    pub name: String,
    /// A stress, a length or a force, hence its unit: MPa, mm, N.
    pub quantity: Quantity,
    /// Its value, when it has one.
    pub value: Option<f64>,
}

/// A full solution in its last residual state.
#[derive(Clone, Debug)]
pub struct Solution {
    /// The work that was solved.
    pub job: Job,
    /// The state of the plane model; `None` of a section that stands alone.
    pub snapshot: Option<Snapshot>,
    /// Stresses along the paths of the plane model.
    pub paths: Vec<StressPath>,
    /// Hoop stress along the paths, then along the depths of every section.
    pub lines: Vec<Line>,
    /// Measured beside computed, those at depths last.
    pub agreements: Vec<Agreement>,
    /// Strain gauges beside their computed readings.
    pub gauges: Vec<GaugeReading>,
    /// Single readings of drawn holes beside the computed.
    pub singles: Vec<DrawAgreement>,
    /// Headline numbers of the lines.
    pub numbers: Vec<Headline>,
    /// The sections beside their rings, for a life.
    pub sections: Vec<HoleSection>,
    /// Distance to which each path has yielded, mm.
    fronts: Vec<f64>,
}

/// Solves `job` on the plate of `case`, and its sections when something is read on them.
///
/// # Errors
///
/// Why not, in words.
pub fn solve(case: &Case, job: &Job, stop: &AtomicBool) -> Result<Solution, String> {
    let mut found =
        if case.readings.alone { Solution::empty(job) } else { plane(case, job, stop)? };
    let asked = case.unknowns.iter().any(|unknown| unknown.asked == Asked::Friction);
    if asked || !case.readings.is_empty() {
        found.add_sections(case, &draw(case, job, stop)?);
    }
    Ok(found)
}

/// The plane model.
fn plane(case: &Case, job: &Job, stop: &AtomicBool) -> Result<Solution, String> {
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
        let mut put = |name: &str, quantity, value| {
            numbers.push(Headline { name: format!("{name}, {place}"), quantity, value });
        };
        put("edge hoop", Quantity::Stress, Some(path.edge_hoop));
        put("compression depth", Quantity::Length, path.compression_depth);
        put("peak tension", Quantity::Stress, path.peak_tension.map(|peak| peak[0]));
    }
    let radius_of = |path: &StressPath| {
        let hole = job.plate.holes.iter().find(|hole| hole.name == path.hole);
        hole.map_or(0.0, Hole::radius)
    };
    Ok(Solution {
        snapshot: Some(snapshot),
        lines: stage.paths.iter().map(|path| Line::of(path, radius_of(path))).collect(),
        fronts: summary.paths.iter().map(|path| path.plastic_extent).collect(),
        paths: stage.paths,
        agreements,
        gauges,
        numbers,
        ..Solution::empty(job)
    })
}

/// Depths whose stress at the bore is a headline number; `None` is the mean over the thickness.
const SHOWN: [Option<f64>; 4] = [Some(0.0), Some(0.5), Some(1.0), None];

impl Solution {
    fn empty(job: &Job) -> Self {
        Self {
            job: job.clone(),
            snapshot: None,
            paths: Vec::new(),
            lines: Vec::new(),
            agreements: Vec::new(),
            gauges: Vec::new(),
            singles: Vec::new(),
            numbers: Vec::new(),
            sections: Vec::new(),
            fronts: Vec::new(),
        }
    }

    /// Adds what is read on the sections.
    fn add_sections(&mut self, case: &Case, sections: &[Drawn]) {
        let first = case.job.plate.holes.first().map(|hole| hole.name.as_str());
        for asked in &case.readings.stresses {
            // Points that name no hole belong to the first.
            let named = asked.measured.points.iter().find_map(|point| point.hole.as_deref());
            let own = sections.iter().find(|one| Some(one.hole()) == named.or(first));
            self.agreements.extend(own.map(|one| one.compare(asked, &self.paths)));
        }
        for reading in &case.readings.single {
            let own = sections.iter().find(|one| one.hole() == reading.hole);
            self.singles.extend(own.map(|one| one.read(reading)));
        }
        for one in sections {
            let lines = one.lines(&case.readings.stresses, &self.paths);
            for line in lines.iter().filter(|l| SHOWN.map(Way::Depth).contains(&l.way)) {
                let name = format!("edge hoop, {} {}", line.hole, line.way.words());
                let value = line.hoop.at(0.0);
                self.numbers.push(Headline { name, quantity: Quantity::Stress, value });
            }
            let name = format!("largest pull, {}", one.hole());
            self.numbers.push(Headline { name, quantity: Quantity::Force, value: one.peak_pull() });
            self.lines.extend(lines);
            self.sections.extend(one.beside(case));
        }
    }

    /// Computed stress at every measured point, MPa, in the order of the tables, then the computed
    /// strain of every gauge, then the single readings, N or mm.
    pub(super) fn computed(&self) -> Vec<Option<f64>> {
        let points = self.agreements.iter().flat_map(|a| &a.points).map(|point| point.computed);
        let gauges = self.gauges.iter().map(|gauge| gauge.computed);
        points.chain(gauges).chain(self.singles.iter().map(|single| single.computed)).collect()
    }

    /// Whether every compared point lies beyond the plastic front of its path. Gauges read in several
    /// states, so that they tell more than the size of the stress; so do sections, at several depths.
    pub(super) fn all_points_elastic(&self) -> bool {
        if !self.gauges.is_empty() || self.lines.len() > self.paths.len() {
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
