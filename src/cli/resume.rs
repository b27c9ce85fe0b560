//! Snapshots on disk: written after each phase, used again when the same work was done before.
//!
//! A snapshot is filed under a fingerprint of everything it depends on: the program itself, the
//! plate, the metal, the numerics, the mesh that all stages together ask for, and the
//! stages up to its own. Behind the fingerprint stands a digest of the body, so a file that is not whole
//! is never read: the stage is computed again, with a warning. One expansion thus serves twenty reams only while they ask for the same mesh.

use std::path::{Path, PathBuf};
use std::sync::LazyLock;

use sha2::{Digest, Sha256};

use crate::case::Case;
use crate::cli::exit::CliError;
use crate::cli::warn;
use crate::process::job::Job;
use crate::process::plan::mesh_plan;
use crate::process::snapshot::{Snapshot, VERSION};
use crate::report::folder::ResultsFolder;
use crate::study::last_state::Shelf;
use crate::study::refinement::Solved;

/// Folder of the snapshots inside the results.
const FOLDER: &str = "snapshots";

/// Length of the fingerprint at the head of a file, and of the digest behind it, bytes.
pub(super) const HEAD: usize = 32;

/// A stored value of the right work, as found on disk.
enum Found<T> {
    /// Whole.
    Whole(T),
    /// Damaged: some byte is not as it was written.
    Damaged,
}

/// Packs `value` under `head` for the disk.
pub(super) fn seal<T: serde::Serialize>(head: &[u8; HEAD], value: &T) -> Result<Vec<u8>, CliError> {
    let body = postcard::to_stdvec(value)?;
    let mut bytes = head.to_vec();
    bytes.extend_from_slice(&Sha256::digest(&body));
    bytes.extend(body);
    Ok(bytes)
}

/// Unpacks what was sealed under `head`; `None` for other work.
fn open<T: serde::de::DeserializeOwned>(head: &[u8; HEAD], bytes: &[u8]) -> Option<Found<T>> {
    let (found, rest) = bytes.split_at_checked(HEAD)?;
    if found != head {
        return None;
    }
    let whole = || {
        let (digest, body) = rest.split_at_checked(HEAD)?;
        if digest != &Sha256::digest(body)[..] {
            return None;
        }
        postcard::from_bytes(body).ok()
    };
    Some(whole().map_or(Found::Damaged, Found::Whole))
}

/// The first whole value sealed under `head` among the files `name` in `places`; warns of damaged
/// ones when there is none.
pub(super) fn first_whole<T: serde::de::DeserializeOwned>(
    places: &[PathBuf],
    name: &str,
    head: &[u8; HEAD],
) -> Option<T> {
    let mut damaged = None;
    for place in places {
        let path = place.join(Path::new(name));
        let Ok(bytes) = std::fs::read(&path) else { continue };
        match open(head, &bytes) {
            Some(Found::Whole(value)) => return Some(value),
            Some(Found::Damaged) => damaged = Some(path),
            None => {}
        }
    }
    if let Some(path) = damaged {
        warn(&format!("`{}` is damaged and is computed again", path.display()));
    }
    None
}

/// Fingerprints of the stages of a job.
pub(crate) struct Fingerprints {
    stages: Vec<[u8; HEAD]>,
}

impl Fingerprints {
    pub(crate) fn new(case: &Case) -> Self {
        let job = &case.job;
        let mut base = Sha256::new();
        base.update(VERSION.to_le_bytes());
        base.update(program());
        // Debug output of floats is exact (shortest digits that read back as the same number).
        base.update(format!(
            "{:?}|{:?}|{:?}|{:?}|{:?}|{:?}|{:?}",
            job.plate,
            job.regions,
            job.supports,
            job.idealisation,
            job.material,
            job.numerics,
            mesh_plan(job)
        ));
        if let Some(imported) = &case.imported {
            base.update(format!("|{:?}", imported.mesh));
        }
        let mut stages = Vec::new();
        for stage in &job.stages {
            base.update(format!("|{stage:?}"));
            stages.push(base.clone().finalize().into());
        }
        Self { stages }
    }

    /// That of the whole work as read along the paths of `case`.
    fn of_reading(&self, case: &Case) -> [u8; HEAD] {
        let mut all = Sha256::new();
        all.update(self.stages.last().copied().unwrap_or_default());
        all.update(format!("{:?}", case.path_angles));
        all.finalize().into()
    }
}

/// Bytes of the program that one thread digests.
const PIECE: usize = 1 << 23;

/// Identity of the program: a digest of its own bytes, so that a rebuilt one trusts no old snapshot. Read once, its pieces
/// side by side.
pub(crate) fn program() -> &'static [u8] {
    static DIGEST: LazyLock<Vec<u8>> = LazyLock::new(|| {
        std::env::current_exe().and_then(std::fs::read).map_or_else(
            |_| env!("CARGO_PKG_VERSION").as_bytes().to_vec(),
            |bytes| {
                // Threads of their own: whoever asks first may be one of the pool, and must not take up another
                // task that asks too.
                let mut all = Sha256::new();
                std::thread::scope(|scope| {
                    let digest = |piece| scope.spawn(move || Sha256::digest(piece));
                    let pieces: Vec<_> = bytes.chunks(PIECE).map(digest).collect();
                    for piece in pieces.into_iter().filter_map(|piece| piece.join().ok()) {
                        all.update(piece);
                    }
                });
                all.finalize().to_vec()
            },
        )
    });
    &DIGEST
}

/// Writes `snapshot` into the results.
pub(crate) fn store(
    folder: &ResultsFolder,
    fingerprints: &Fingerprints,
    snapshot: &Snapshot,
) -> Result<(), CliError> {
    let bytes = seal(&fingerprints.stages[snapshot.stage - 1], snapshot)?;
    folder.write(&file_name(&snapshot.label), &bytes)?;
    Ok(())
}

pub(super) fn file_name(label: &str) -> String {
    format!("{FOLDER}/{label}.snapshot")
}

/// Where earlier runs of the same work may have left something: the results, then a killed run.
pub(super) fn places(folder: &ResultsFolder) -> Vec<PathBuf> {
    [Some(folder.target().to_owned()), folder.leftover()].into_iter().flatten().collect()
}

/// Snapshots of the first stages of `job` that an earlier run of the same work has left,
/// in order; always whole stages.
pub(crate) fn stored(
    folder: &ResultsFolder,
    fingerprints: &Fingerprints,
    job: &Job,
) -> Vec<Snapshot> {
    stored_in(&places(folder), fingerprints, job)
}

/// The same from results folders that are only read, the first that has a snapshot.
pub(crate) fn stored_in(
    places: &[PathBuf],
    fingerprints: &Fingerprints,
    job: &Job,
) -> Vec<Snapshot> {
    let names: Vec<&str> = job.plate.holes.iter().map(|hole| hole.name.as_str()).collect();
    let labels = job.stages.iter().enumerate().map(|(index, stage)| {
        let label = stage.label(index + 1, &names);
        if stage.has_full() { vec![format!("{label}-full"), label] } else { vec![label] }
    });
    whole_stages(labels.zip(&fingerprints.stages), |label, head| {
        first_whole(places, &file_name(label), head)
            .filter(|snapshot: &Snapshot| snapshot.version == VERSION)
    })
}

/// Snapshots of the first stages that can be `read` whole, in order; a stage has a fingerprint and the labels of its
/// snapshots.
pub(super) fn whole_stages<'f, T>(
    stages: impl Iterator<Item = (Vec<String>, &'f [u8; HEAD])>,
    read: impl Fn(&str, &[u8; HEAD]) -> Option<T>,
) -> Vec<T> {
    let stage = |(labels, head): (Vec<String>, _)| {
        labels.iter().map(|label| read(label, head)).collect::<Option<Vec<T>>>()
    };
    stages.map_while(stage).flatten().collect()
}

/// Name of the file that a solution of a convergence study is kept in.
fn level_name(job: &Job) -> String {
    let numerics = &job.numerics;
    format!("{FOLDER}/fineness-{}-increments-{}.solved", numerics.fineness, numerics.increments)
}

/// Fingerprint of `case` with the numerics of `job`.
fn level_head(case: &Case, job: &Job) -> [u8; HEAD] {
    let level = Case { job: job.clone(), ..case.clone() };
    Fingerprints::new(&level).of_reading(&level)
}

/// Writes a solution of a convergence study into the results.
pub(crate) fn store_level(
    folder: &ResultsFolder,
    case: &Case,
    job: &Job,
    solved: &Solved,
) -> Result<(), CliError> {
    folder.write(&level_name(job), &seal(&level_head(case, job), solved)?)?;
    Ok(())
}

/// The same solution, if an earlier run of the same work has left it.
pub(crate) fn stored_level(folder: &ResultsFolder, case: &Case, job: &Job) -> Option<Solved> {
    first_whole(&places(folder), &level_name(job), &level_head(case, job))
}

/// States that stand beside those of the case, such as the bounding hardening laws: kept with the
/// snapshots of a results folder.
pub(crate) struct KeptStates<'a> {
    pub(crate) folder: &'a ResultsFolder,
    pub(crate) case: &'a Case,
    /// Whether nothing is taken from earlier runs.
    pub(crate) fresh: bool,
}

/// Head of the file of the state that `job` leaves of the plate of `case`.
fn state_head(case: &Case, job: &Job) -> [u8; HEAD] {
    let other = Case { job: job.clone(), ..case.clone() };
    Fingerprints::new(&other).stages.last().copied().unwrap_or_default()
}

/// That state from the first of `places` that has it whole.
fn stored_state(places: &[PathBuf], name: &str, (case, job): (&Case, &Job)) -> Option<Snapshot> {
    let found = first_whole(places, &file_name(name), &state_head(case, job));
    found.filter(|snapshot: &Snapshot| snapshot.version == VERSION)
}

/// The same states in a results folder that is only read.
pub(crate) struct StoredStates<'a> {
    pub(crate) results: &'a Path,
    pub(crate) case: &'a Case,
}

impl Shelf for StoredStates<'_> {
    fn take(&self, name: &str, job: &Job) -> Option<Snapshot> {
        stored_state(&[self.results.to_owned()], name, (self.case, job))
    }

    fn keep(&self, _: &str, _: &Job, _: &Snapshot) {}
}

impl Shelf for KeptStates<'_> {
    fn take(&self, name: &str, job: &Job) -> Option<Snapshot> {
        if self.fresh {
            return None;
        }
        let state = stored_state(&places(self.folder), name, (self.case, job))?;
        // It must be in this run's folder too, for the next run.
        self.keep(name, job, &state);
        Some(state)
    }

    fn keep(&self, name: &str, job: &Job, state: &Snapshot) {
        // A disk without room for it stops the run at the next file that matters.
        if let Ok(bytes) = seal(&state_head(self.case, job), state) {
            let _ = self.folder.write(&file_name(name), &bytes);
        }
    }
}
