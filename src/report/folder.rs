//! The results folder: whole or not there at all.
//!
//! A run writes into a staging folder beside its target and the finished folder takes
//! the target's place by renames. For the target `plate-results` the neighbours are
//!
//! ```text
//! plate-results.partial    being written
//! plate-results.leftover   what a killed run had written; kept until a run completes
//! plate-results.previous   last complete results, kept while the target is incomplete
//! plate-results.replaced   old target between two renames; gone unless the run was killed there
//! plate-results.lock       one run at a time
//! ```
//!
//! Each of these folders carries a mark, the file `contents.txt`, which lists the files the program
//! wrote. A folder without the mark, or a file the list does not name, belongs to the user: it is
//! never overwritten or removed.
//!
//! Every step can be killed: what the target held is then under one of these names, and
//! the next run sorts them out. This guards against dying programs, not against a loss of
//! power: files are not forced to the disk one by one.

mod disk;
pub mod folder_error;
mod lock;
mod mark;
mod unseen;

use std::fs;
use std::io::{ErrorKind, Write};
use std::path::{Component, Path, PathBuf};

use serde::Deserialize;

use crate::report::folder::disk::{merge, refuse_foreign, remove, remove_ours, rename};
use crate::report::folder::folder_error::{At, FolderError};
use crate::report::folder::lock::Lock;
use crate::report::folder::mark::Mark;
use crate::report::folder::unseen::temporary;

/// File that makes a folder a results folder.
pub(crate) const SUMMARY: &str = "summary.json";
/// The same for the results of a tool sheet.
pub const TOOL_SHEET: &str = "toolsheet.json";
/// The same for what measurements say.
pub const INFER: &str = "infer.json";
/// The same for a lot of holes.
pub const SHOP: &str = "shop.json";
/// The same for constants of a metal.
pub const METAL: &str = "metal.json";
/// The same for lives of cracks.
pub(crate) const LIFE: &str = "life.json";
/// The same for studies.
pub(crate) const STUDY: &str = "study.json";

/// A results folder in the making. Dropped unfinished, it stays on disk as a leftover.
#[derive(Debug)]
pub struct ResultsFolder {
    target: PathBuf,
    // Held, not read: its drop lets the next run in.
    _lock: Lock,
}

/// Entries of `summary.json` about the folder it lies in.
#[derive(Deserialize)]
struct Summary {
    program: Program,
    complete: bool,
}

#[derive(Deserialize)]
struct Program {
    name: String,
}

impl ResultsFolder {
    /// Starts a results folder that will stand at `target`; missing parents are made.
    ///
    /// Remains of an earlier, killed run are put in order first.
    ///
    /// # Errors
    ///
    /// [`FolderError::Foreign`] and [`FolderError::NotAFolder`] when something else stands
    /// at the target, [`FolderError::Busy`] when another run writes there now,
    /// [`FolderError::NoName`] for a target without a name, else [`FolderError::Io`].
    pub fn create(target: &Path) -> Result<Self, FolderError> {
        let target = settled_path(target)?;
        let folder = Self { _lock: Lock::take(&beside(&target, "lock"))?, target };
        let (replaced, staging) = (folder.beside("replaced"), folder.beside("partial"));
        if replaced.exists() && !folder.target.exists() {
            rename(&replaced, &folder.target)?;
        }
        folder.settle()?;
        refuse_foreign(&folder.target)?;
        let leftover = folder.beside("leftover");
        refuse_foreign(&leftover)?;
        if staging.exists() {
            refuse_foreign(&staging)?;
            merge(&staging, &leftover)?;
        }
        fs::create_dir(&staging).at("create", &staging)?;
        mark::write(&staging, Mark::Unfinished)?;
        Ok(folder)
    }

    /// Where the finished folder will stand; until then the results of an earlier run may.
    #[must_use]
    pub fn target(&self) -> &Path {
        &self.target
    }

    /// Folder that a killed run left behind, for its snapshots.
    #[must_use]
    pub fn leftover(&self) -> Option<PathBuf> {
        Some(self.beside("leftover")).filter(|path| path.is_dir())
    }

    /// Where file or folder `name` lies while the run goes on.
    #[must_use]
    pub fn path(&self, name: &str) -> PathBuf {
        self.beside("partial").join(name)
    }

    /// Makes folder `name` inside the results and says where it is.
    ///
    /// # Errors
    ///
    /// [`FolderError::BadName`] when `name` would leave the folder, else [`FolderError::Io`].
    pub(crate) fn subfolder(&self, name: &str) -> Result<PathBuf, FolderError> {
        let path = self.inside(name)?;
        fs::create_dir_all(&path).at("create", &path)?;
        Ok(path)
    }

    /// Writes file `name`, such as `fields/1-expand-A.vtu`, so that a reader finds the old
    /// bytes or the new ones and nothing between.
    ///
    /// # Errors
    ///
    /// [`FolderError::BadName`] when `name` would leave the folder, else [`FolderError::Io`].
    pub fn write(&self, name: &str, bytes: &[u8]) -> Result<PathBuf, FolderError> {
        let path = self.inside(name)?;
        let parent = path.parent().unwrap_or(&path);
        fs::create_dir_all(parent).at("create", parent)?;
        let mut file = temporary(parent).at("write", &path)?;
        file.write_all(bytes).at("write", &path)?;
        file.persist(&path).map_err(|failure| failure.error).at("write", &path)?;
        Ok(path)
    }

    /// Writes file `name` piece by piece, by `fill`, so that a reader finds the old bytes or the new ones and
    /// nothing between.
    ///
    /// # Errors
    ///
    /// As [`ResultsFolder::write`].
    pub fn stream(
        &self,
        name: &str,
        fill: impl FnOnce(&mut (dyn Write + Send)) -> std::io::Result<()>,
    ) -> Result<PathBuf, FolderError> {
        let path = self.inside(name)?;
        let parent = path.parent().unwrap_or(&path);
        fs::create_dir_all(parent).at("create", parent)?;
        let file = temporary(parent).at("write", &path)?;
        let mut buffered = std::io::BufWriter::new(file);
        fill(&mut buffered).at("write", &path)?;
        let file = buffered.into_inner().map_err(std::io::IntoInnerError::into_error);
        file.at("write", &path)?
            .persist(&path)
            .map_err(|failure| failure.error)
            .at("write", &path)?;
        Ok(path)
    }

    /// Adds `bytes` to the end of file `name`, which is made when it is not there. A reader may find a
    /// part of them; [`ResultsFolder::write`] replaces the file whole.
    ///
    /// # Errors
    ///
    /// [`FolderError::BadName`] when `name` would leave the folder, else [`FolderError::Io`].
    pub(crate) fn append(&self, name: &str, bytes: &[u8]) -> Result<(), FolderError> {
        let path = self.inside(name)?;
        let mut file =
            fs::OpenOptions::new().append(true).create(true).open(&path).at("write", &path)?;
        file.write_all(bytes).at("write", &path)
    }

    /// Puts the folder in the place of the target and returns that place.
    ///
    /// Complete results that give way to incomplete ones are kept under `.previous`.
    ///
    /// # Errors
    ///
    /// [`FolderError::NoSummary`] before the summary is written, [`FolderError::Foreign`]
    /// when something else has come to stand at the target, else [`FolderError::Io`]. The old
    /// results are then still there.
    pub fn finish(self) -> Result<PathBuf, FolderError> {
        let staging = self.beside("partial");
        let Some(summary) = summary_in(&staging) else {
            return Err(FolderError::NoSummary { path: staging });
        };
        self.finish_as(summary.complete)
    }

    /// The same for results without a summary, such as the pictures of a mesh.
    ///
    /// # Errors
    ///
    /// As [`ResultsFolder::finish`], but for [`FolderError::NoSummary`].
    pub(crate) fn finish_as(self, complete: bool) -> Result<PathBuf, FolderError> {
        let (replaced, staging) = (self.beside("replaced"), self.beside("partial"));
        refuse_foreign(&self.target)?;
        mark::write(&staging, if complete { Mark::Complete } else { Mark::Incomplete })?;
        let had_results = self.target.exists();
        if had_results {
            rename(&self.target, &replaced)?;
        }
        if let Err(failure) = rename(&staging, &self.target) {
            if had_results {
                rename(&replaced, &self.target)?;
            }
            return Err(failure);
        }
        self.settle()?;
        if complete {
            remove_ours(&self.beside("leftover"))?;
        }
        Ok(self.target.clone())
    }

    /// Gives up: what was written for this run is removed, whatever stood at the target stays.
    ///
    /// # Errors
    ///
    /// [`FolderError::Io`] when the system refuses.
    pub(crate) fn abandon(self) -> Result<(), FolderError> {
        remove(&self.beside("partial"))
    }

    /// Decides what becomes of the replaced and the previous results, now that a target stands.
    fn settle(&self) -> Result<(), FolderError> {
        let (replaced, previous) = (self.beside("replaced"), self.beside("previous"));
        let complete = |path: &Path| mark::of(path) == Some(Mark::Complete);
        if replaced.exists() {
            refuse_foreign(&replaced)?;
            if complete(&replaced) && !complete(&self.target) {
                remove_ours(&previous)?;
                rename(&replaced, &previous)?;
            } else {
                remove(&replaced)?;
            }
        }
        if complete(&self.target) && complete(&previous) {
            remove_ours(&previous)?;
        }
        Ok(())
    }

    fn inside(&self, name: &str) -> Result<PathBuf, FolderError> {
        let mut parts = Path::new(name).components().peekable();
        if parts.peek().is_none() || !parts.all(|part| matches!(part, Component::Normal(_))) {
            return Err(FolderError::BadName { name: name.to_owned() });
        }
        Ok(self.path(name))
    }

    fn beside(&self, ending: &str) -> PathBuf {
        beside(&self.target, ending)
    }
}

/// The neighbour of `target` with `.ending` after its name.
fn beside(target: &Path, ending: &str) -> PathBuf {
    let mut name = target.as_os_str().to_owned();
    name.push(".");
    name.push(ending);
    PathBuf::from(name)
}

/// `target` as an absolute path without links, so that renames meet the folder itself.
fn settled_path(target: &Path) -> Result<PathBuf, FolderError> {
    match dunce::canonicalize(target) {
        Ok(path) if path.file_name().is_some() => Ok(path),
        Ok(path) => Err(FolderError::NoName { path }),
        // A link to nothing: a folder cannot take its place.
        Err(failure)
            if failure.kind() == ErrorKind::NotFound && fs::symlink_metadata(target).is_ok() =>
        {
            Err(FolderError::NotAFolder { path: target.to_owned() })
        }
        Err(failure) if failure.kind() == ErrorKind::NotFound => {
            let nameless = || FolderError::NoName { path: target.to_owned() };
            let name = target.file_name().ok_or_else(nameless)?;
            let parent = match target.parent() {
                Some(parent) if parent != Path::new("") => parent,
                _ => Path::new("."),
            };
            fs::create_dir_all(parent).at("create", parent)?;
            Ok(dunce::canonicalize(parent).at("open", parent)?.join(name))
        }
        Err(failure) => Err(failure).at("open", target),
    }
}

/// The summary of a results folder of ours; `None` for any other folder.
fn summary_in(folder: &Path) -> Option<Summary> {
    let read = |name| fs::read(folder.join(name)).ok();
    let bytes = [SUMMARY, TOOL_SHEET, LIFE, STUDY].into_iter().find_map(read)?;
    let summary: Summary = serde_json::from_slice(&bytes).ok()?;
    (summary.program.name == env!("CARGO_PKG_NAME")).then_some(summary)
}
