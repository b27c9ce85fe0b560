//! The mark of a folder of ours: which files in it the program wrote.
//!
//! The file `contents.txt` says on its first line that the folder holds results of this program and
//! whether they are complete; each further line names one file, relative to the folder. What it
//! does not name is the user's.

use std::collections::BTreeSet;
use std::fs;
use std::io::Write as _;
use std::path::{Path, PathBuf};

use crate::report::folder::folder_error::{At, FolderError};
use crate::report::folder::unseen::{is_unseen, temporary};

/// Name of the file.
const FILE: &str = "contents.txt";

/// First words of the file.
const HEAD: &str = concat!("results of ", env!("CARGO_PKG_NAME"), ", ");

/// How far the results in a marked folder have come.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Mark {
    /// Still being written, or the run was killed: no list yet, every file is the program's.
    Unfinished,
    /// A run that was interrupted or failed; what there is is whole.
    Incomplete,
    /// All that was asked for.
    Complete,
}

impl Mark {
    const ALL: [Self; 3] = [Self::Unfinished, Self::Incomplete, Self::Complete];

    fn word(self) -> &'static str {
        match self {
            Self::Unfinished => "unfinished",
            Self::Incomplete => "incomplete",
            Self::Complete => "complete",
        }
    }
}

/// Whether the mark of a folder stands at `path`.
pub(super) fn is_mark(path: &Path) -> bool {
    path.file_name().is_some_and(|name| name == FILE)
}

/// The mark of `folder`; `None` when the folder is not ours.
pub(super) fn of(folder: &Path) -> Option<Mark> {
    let text = fs::read_to_string(folder.join(FILE)).ok()?;
    let word = text.lines().next()?.strip_prefix(HEAD)?;
    Mark::ALL.into_iter().find(|mark| mark.word() == word)
}

/// Marks `folder`, with a list of all files that are in it now once they are finished. The old mark stands until the
/// new one does: a run can be killed at any moment.
///
/// # Errors
///
/// [`FolderError::Io`] when the system does not allow it.
pub(super) fn write(folder: &Path, mark: Mark) -> Result<(), FolderError> {
    let mut text = format!("{HEAD}{}\n", mark.word());
    if mark != Mark::Unfinished {
        for file in files(folder)? {
            text.push_str(&file);
            text.push('\n');
        }
    }
    let path = folder.join(FILE);
    let mut file = temporary(folder).at("write", &path)?;
    file.write_all(text.as_bytes()).at("write", &path)?;
    file.persist(&path).map_err(|failure| failure.error).at("write", &path)?;
    Ok(())
}

/// Files in `folder` that the program has not written, relative to it: all of them where there is
/// no mark.
///
/// # Errors
///
/// [`FolderError::Io`] when the folder cannot be read.
pub(super) fn strange_files(folder: &Path) -> Result<Vec<String>, FolderError> {
    let mut found = files(folder)?;
    match of(folder) {
        Some(Mark::Unfinished) => found.clear(),
        Some(_) => {
            let path = folder.join(FILE);
            let text = fs::read_to_string(&path).at("read", &path)?;
            let ours: BTreeSet<&str> = text.lines().skip(1).collect();
            found.retain(|file| !ours.contains(file.as_str()));
        }
        None => {
            // All there is of a folder whose run was killed before it had its mark.
            found.retain(|file| !is_unseen(file));
            // A file of that name that is not the mark counts like any other.
            if folder.join(FILE).exists() {
                found.insert(FILE.to_owned());
            }
        }
    }
    Ok(found.into_iter().collect())
}

/// All files below `folder` but the mark, relative to it, and empty folders; with `/` between the
/// parts of a name on every system.
fn files(folder: &Path) -> Result<BTreeSet<String>, FolderError> {
    let mut found = BTreeSet::new();
    let mut waiting: Vec<(PathBuf, String)> = vec![(folder.to_owned(), String::new())];
    while let Some((place, prefix)) = waiting.pop() {
        let mut empty = true;
        for entry in fs::read_dir(&place).at("open", &place)? {
            let entry = entry.at("open", &place)?;
            empty = false;
            let name = format!("{prefix}{}", entry.file_name().to_string_lossy());
            if entry.file_type().at("open", &place)?.is_dir() {
                waiting.push((entry.path(), format!("{name}/")));
            } else if name != FILE {
                found.insert(name);
            }
        }
        if empty && !prefix.is_empty() {
            found.insert(prefix);
        }
    }
    Ok(found)
}
