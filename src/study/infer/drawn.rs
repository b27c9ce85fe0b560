//! The sections of a solution: the mandrel drawn through each hole, and what is read on it.

use std::sync::atomic::AtomicBool;

use crate::case::Case;
use crate::process::job::Job;
use crate::process::section::beside::SectionBeside;
use crate::process::section::observer::SectionEnding;
use crate::process::section::readings::{DepthMeasured, DrawReading, ReadingKind};
use crate::process::section::record::{SectionPhase, SectionSnapshot, TravelRecord};
use crate::process::section::run::SectionRun;
use crate::process::section::{Face, SectionJob};
use crate::result::depth::{as_path, bare_point, labelled};
use crate::result::measured::Agreement;
use crate::result::path::StressPath;
use crate::result::section::{DEPTHS, path_at, read_section};
use crate::result::section_map::SectionMap;
use crate::study::infer::change::following;
use crate::study::infer::line::{Line, Way};
use crate::study::kept_section::KeptSection;
use crate::study::section_beside::{HoleSection, Ring, ring};

/// The section of one hole, solved.
#[derive(Clone, Debug)]
pub(super) struct Drawn {
    job: SectionJob,
    /// States with no tool in the hole, one a stage.
    states: Vec<SectionSnapshot>,
    /// The same hole in the plane; `None` of a section that stands alone.
    ring: Option<Ring>,
}

/// A single reading beside what was computed for it; N or mm.
#[derive(Clone, Debug, PartialEq)]
pub struct DrawAgreement {
    /// The reading.
    pub reading: DrawReading,
    /// Computed; `None` when the draw did not come so far.
    pub computed: Option<f64>,
}

/// Solves the sections of `case` with the metal and the tools of `job`.
///
/// # Errors
///
/// Why not, in words.
pub(super) fn draw(case: &Case, job: &Job, stop: &AtomicBool) -> Result<Vec<Drawn>, String> {
    case.sections.iter().map(|beside| one(case, job, beside, stop)).collect()
}

fn one(case: &Case, job: &Job, beside: &SectionBeside, stop: &AtomicBool) -> Result<Drawn, String> {
    let stopped = || "it was stopped".to_owned();
    let beside = following(beside, job, beside.hole);
    let mut keep = KeptSection::new(stop);
    let mut run = SectionRun::new(beside.section.clone()).map_err(|error| error.to_string())?;
    match run
        .run(&mut keep)
        .map_err(|error| format!("section of hole {}: {error}", beside.section.hole))?
    {
        SectionEnding::Done => {}
        SectionEnding::Interrupted => return Err(stopped()),
    }
    let ring = if case.readings.alone {
        None
    } else {
        let own = ring(&beside, case.job.idealisation, stop).map_err(|error| error.to_string())?;
        Some(own.ok_or_else(stopped)?.ok_or("the ring of the section has no residual state")?)
    };
    if keep.states.is_empty() {
        return Err("the section has no residual state".to_owned());
    }
    Ok(Drawn { job: beside.section, states: keep.states, ring })
}

impl Drawn {
    pub(super) fn hole(&self) -> &str {
        &self.job.hole
    }

    fn last(&self) -> &SectionSnapshot {
        // There is one: see [`one`].
        &self.states[self.states.len() - 1]
    }

    /// The section beside its ring, for a life; `None` of one that stands alone.
    pub(super) fn beside(&self, case: &Case) -> Option<HoleSection> {
        let rings = vec![self.ring.clone()?];
        HoleSection::new(self.job.clone(), self.last(), rings, case.job.idealisation)
    }

    /// Stress paths at a depth as measurements see them: that of a section that stands alone, or each path of the plane
    /// model carried to the depth (see [`SectionMap`]), hoop stress only.
    fn paths(&self, share: Option<f64>, plane: &[StressPath]) -> Vec<StressPath> {
        let own = path_at(self.last(), share);
        let Some(ring) = &self.ring else {
            return vec![as_path(self.hole(), &own)];
        };
        let map = SectionMap::new(vec![(0.0, as_path("", &own).hoop())], ring.hoop.clone());
        let of_hole = plane.iter().filter(|path| path.hole == self.hole());
        of_hole
            .map(|path| {
                let (_, there) = map.apply(&path.hoop()).rows.remove(0);
                let rows = there.distances().iter().zip(there.values());
                let points =
                    rows.map(|(distance, hoop)| bare_point(*distance, [*hoop, 0.0])).collect();
                StressPath { hole: path.hole.clone(), angle_deg: path.angle_deg, points }
            })
            .collect()
    }

    /// Measured stresses at a depth beside the computed.
    pub(super) fn compare(&self, asked: &DepthMeasured, plane: &[StressPath]) -> Agreement {
        labelled(asked, &self.paths(asked.share, plane))
    }

    /// Lines at the usual depths and those that were `measured`: of a section that stands alone, or on the first path of
    /// the hole.
    pub(super) fn lines(&self, measured: &[DepthMeasured], plane: &[StressPath]) -> Vec<Line> {
        let mut shares: Vec<f64> = DEPTHS.to_vec();
        shares.extend(measured.iter().filter_map(|one| one.share));
        shares.sort_by(f64::total_cmp);
        shares.dedup();
        let radius = 0.5 * self.job.part.starting_diameter;
        shares
            .into_iter()
            .map(Some)
            .chain([None])
            .filter_map(|share| {
                let path = self.paths(share, plane).into_iter().next()?;
                let (hole, way) = (self.hole().to_owned(), Way::Depth(share));
                Some(Line { hole, way, radius, hoop: path.hoop() })
            })
            .collect()
    }

    /// Largest force that pulls the first mandrel, N; `None` without a draw.
    pub(super) fn peak_pull(&self) -> Option<f64> {
        let first = self.last().travel.iter().find(|row| row.phase == SectionPhase::Draw)?;
        self.pull(&first.stage, None)
    }

    fn pull(&self, stage: &str, travel: Option<f64>) -> Option<f64> {
        let own = |row: &&TravelRecord| row.phase == SectionPhase::Draw && row.stage == stage;
        let rows: Vec<&TravelRecord> = self.last().travel.iter().filter(own).collect();
        match travel {
            None => rows.iter().map(|row| row.pull_force).max_by(f64::total_cmp),
            Some(travel) => {
                let after = rows.iter().position(|row| row.travel >= travel)?;
                let end = [rows[after].travel, rows[after].pull_force];
                let start =
                    after.checked_sub(1).map_or([0.0; 2], |k| [rows[k].travel, rows[k].pull_force]);
                let share =
                    if end[0] > start[0] { (travel - start[0]) / (end[0] - start[0]) } else { 1.0 };
                Some(start[1] + share * (end[1] - start[1]))
            }
        }
    }

    /// The value computed for a single reading.
    pub(super) fn read(&self, reading: &DrawReading) -> DrawAgreement {
        let state =
            || self.states.iter().find(|state| state.label == reading.read_at).map(read_section);
        let computed = match reading.kind {
            ReadingKind::PullForce { travel } => self.pull(&reading.read_at, travel),
            ReadingKind::BoreDiameter { share } => state().map(|state| state.gauge(share)),
            ReadingKind::Upset { face } => {
                state().map(|state| state.upset[usize::from(face == Face::Exit)])
            }
        };
        DrawAgreement { reading: reading.clone(), computed }
    }
}
