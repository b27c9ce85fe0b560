//! Sections beside a plane case: each hole drawn through its thickness, and its ring in the plane.
//!
//! ```text
//!   plane case   edges, neighbours, loads     σ(d)
//!   ring         the hole alone, plane        s_plane(d)   in three idealisations
//!   section      the hole alone, drawn        s(d, z)
//!   map          σ(d, z) = s + (s/s_plane) (σ − s_plane)   ([`crate::result::section_map`])
//! ```

use std::sync::atomic::AtomicBool;

use crate::case::Case;
use crate::fatigue::front::field::SectionField;
use crate::material::idealisation::Idealisation;
use crate::numeric::profile::Profile;
use crate::process::section::SectionJob;
use crate::process::section::beside::{SectionBeside, ring_job};
use crate::process::section::observer::{SectionEnding, SectionObserver};
use crate::process::section::record::SectionSnapshot;
use crate::process::section::run::SectionRun;
use crate::process::sequence::Sequence;
use crate::process::snapshot::Snapshot;
use crate::process::stage_error::StageError;
use crate::result::path::StressPath;
use crate::result::read::read;
use crate::result::section::{SectionReading, hoop_by_row, read_section};
use crate::result::section_map::SectionMap;
use crate::study::kept_section::KeptSection;
use crate::study::last_state::{LastState, state_of};

/// Idealisations of the ring, thin to thick.
const RINGS: [Idealisation; 3] =
    [Idealisation::PlaneStress, Idealisation::GeneralisedPlaneStrain, Idealisation::PlaneStrain];

/// Sections and rings of all holes of a case that asks for them, without a report; `None` when `stop` was raised.
///
/// # Errors
///
/// [`StageError`] of a section or ring that cannot be solved.
pub fn sections(case: &Case, stop: &AtomicBool) -> Result<Option<Vec<HoleSection>>, StageError> {
    let mut all = Vec::with_capacity(case.sections.len());
    for beside in &case.sections {
        let mut keep = KeptSection::new(stop);
        let run = SectionRun::new(beside.section.clone())?;
        let ended = section((case, beside), run, stop, &mut keep, |keep| keep.states.last())?;
        let Some(section) = ended else { return Ok(None) };
        all.extend(section);
    }
    Ok(Some(all))
}

/// The section of one hole and its rings: `run` is the work on the section, `observer` follows it, and `last` finds the last
/// state in it that has no tool in the hole. None inside when there is no such state; `None` when `stop` was raised.
///
/// # Errors
///
/// [`StageError`] when section or ring cannot be solved.
pub fn section<O: SectionObserver>(
    (case, beside): (&Case, &SectionBeside),
    mut run: SectionRun,
    stop: &AtomicBool,
    observer: &mut O,
    last: impl FnOnce(&O) -> Option<&SectionSnapshot>,
) -> Result<Option<Option<HoleSection>>, StageError> {
    let job = &beside.section;
    let ending = run.run(observer)?;
    if ending == SectionEnding::Interrupted {
        return Ok(None);
    }
    let Some(rings) = rings(beside, stop)? else { return Ok(None) };
    Ok(Some(
        last(observer)
            .and_then(|last| HoleSection::new(job.clone(), last, rings, case.job.idealisation)),
    ))
}

/// Distances closer than this, mm, are one in the grid of a map.
const SAME_DISTANCE: f64 = 1e-9;

/// The plane model of the ring in one idealisation.
#[derive(Clone, Debug)]
pub struct Ring {
    /// The idealisation.
    pub idealisation: Idealisation,
    /// Residual hoop stress (MPa) against the distance from the bore (mm).
    pub hoop: Profile,
}

/// The section of one hole after its work, beside the plane models of the same ring.
#[derive(Clone, Debug)]
pub struct HoleSection {
    /// The work on the section.
    pub job: SectionJob,
    /// Its last state, read.
    pub reading: SectionReading,
    /// The ring in the plane, in every idealisation.
    pub rings: Vec<Ring>,
    /// Carries the section to a path of the plane case.
    map: SectionMap,
}

/// Hoop stress at the bore of a section, MPa.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Faces {
    /// At the face where the mandrel entered.
    pub entry: f64,
    /// In the middle of the thickness.
    pub middle: f64,
    /// At the face where it left.
    pub exit: f64,
}

impl HoleSection {
    /// Joins the last state of a section and the rings; the map belongs to a plane case in `own`.
    ///
    /// `None` when the rings lack that idealisation.
    #[must_use]
    pub fn new(
        job: SectionJob,
        last: &SectionSnapshot,
        rings: Vec<Ring>,
        own: Idealisation,
    ) -> Option<Self> {
        let ring = rings.iter().find(|ring| ring.idealisation == own)?;
        let map = SectionMap::new(hoop_by_row(last), ring.hoop.clone());
        Some(Self { job, reading: read_section(last), rings, map })
    }

    /// Name of the hole.
    #[must_use]
    pub fn hole(&self) -> &str {
        &self.job.hole
    }

    /// Hoop stress at the bore.
    #[must_use]
    pub fn faces(&self) -> Faces {
        let edge = |share: f64| {
            let path = self.reading.paths.iter().find(|path| path.share == Some(share));
            path.map_or(f64::NAN, |path| path.headline().edge)
        };
        Faces { entry: edge(0.0), middle: edge(0.5), exit: edge(1.0) }
    }

    /// Hoop stress over distance and depth for a path of the plane case, MPa and mm: an approximation, see
    /// [`crate::result::section_map`]. `None` for a path without two points.
    #[must_use]
    pub fn field(&self, path: &Profile) -> Option<SectionField> {
        gridded(&self.map.apply(path).rows, path.distances())
    }
}

/// The hoop stress of a section over distance and depth, MPa and mm.
#[must_use]
pub fn section_field(snapshot: &SectionSnapshot) -> Option<SectionField> {
    gridded(&hoop_by_row(snapshot), &[])
}

/// Rows of hoop stress, each with its depth, on one grid: the distances of the first row and `more`.
fn gridded(rows: &[(f64, Profile)], more: &[f64]) -> Option<SectionField> {
    let (_, first) = rows.first()?;
    let mut distances: Vec<f64> = [first.distances(), more].concat();
    distances.sort_by(f64::total_cmp);
    distances.dedup_by(|next, kept| *next - *kept < SAME_DISTANCE);
    let depths: Vec<f64> = rows.iter().map(|(depth, _)| *depth).collect();
    let values =
        rows.iter().flat_map(|(_, row)| distances.iter().map(|&d| row.at(d).unwrap_or(0.0)));
    let hoop: Vec<f64> = values.collect();
    SectionField::new(distances, depths, hoop)
}

impl Faces {
    /// Stress at the entry and at the exit face over that in the middle.
    #[must_use]
    pub fn shares(&self) -> [f64; 2] {
        [self.entry / self.middle, self.exit / self.middle]
    }
}

/// The rings of a section in the plane; `None` when `stop` was raised.
///
/// # Errors
///
/// [`StageError`] of a ring that cannot be solved.
pub fn rings(beside: &SectionBeside, stop: &AtomicBool) -> Result<Option<Vec<Ring>>, StageError> {
    let mut found = Vec::with_capacity(RINGS.len());
    for idealisation in RINGS {
        let Some(own) = ring(beside, idealisation, stop)? else { return Ok(None) };
        found.extend(own);
    }
    Ok(Some(found))
}

/// The ring in one idealisation, none when its stages leave no state; `None` when `stop` was raised.
///
/// # Errors
///
/// [`StageError`] when it cannot be solved.
pub fn ring(
    beside: &SectionBeside,
    idealisation: Idealisation,
    stop: &AtomicBool,
) -> Result<Option<Option<Ring>>, StageError> {
    let job = ring_job(beside, idealisation);
    let residual = |state: &Snapshot| !state.loaded;
    match state_of(Sequence::new(job.clone()), stop, residual) {
        LastState::Done(Some(state)) => {
            // A mesh that was solved on can be read; without the ring there is no map.
            let Ok((stage, _)) = read(&state, &job, &[Vec::new()]) else { return Ok(Some(None)) };
            let hoop = stage.paths.first().map(StressPath::hoop).unwrap_or_default();
            Ok(Some(Some(Ring { idealisation, hoop })))
        }
        LastState::Done(None) => Ok(Some(None)),
        LastState::Interrupted => Ok(None),
        LastState::Failed(error) => Err(*error),
    }
}
