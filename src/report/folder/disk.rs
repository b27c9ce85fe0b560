//! Folders on the disk: nothing that is not ours is touched.

use crate::report::folder::folder_error::{At, FolderError};
use crate::report::folder::mark;
use std::fs;
use std::io::ErrorKind;
use std::path::{Path, PathBuf};

/// Rejects a folder that holds anything but results of ours. An empty folder may be used.
pub(super) fn refuse_foreign(folder: &Path) -> Result<(), FolderError> {
    match fs::symlink_metadata(folder) {
        Err(failure) if failure.kind() == ErrorKind::NotFound => return Ok(()),
        Err(failure) => return Err(failure).at("open", folder),
        // `settled_path` follows a link at the target; beside it, a link is not ours.
        Ok(found) if !found.is_dir() => {
            return Err(FolderError::NotAFolder { path: folder.to_owned() });
        }
        Ok(_) => {}
    }
    let strange = mark::strange_files(folder)?;
    if strange.is_empty() {
        return Ok(());
    }
    let path = folder.to_owned();
    Err(match mark::of(folder) {
        None => FolderError::Foreign { path },
        Some(_) => FolderError::Strange { path, files: strange },
    })
}

/// Removes a folder of ours, with nothing in it that is not.
pub(super) fn remove_ours(folder: &Path) -> Result<(), FolderError> {
    refuse_foreign(folder)?;
    remove(folder)
}

/// Moves everything in `from` into `to`, over files of the same name.
pub(super) fn merge(from: &Path, to: &Path) -> Result<(), FolderError> {
    if !to.is_dir() {
        return rename(from, to);
    }
    for source in mark_last(from)? {
        let goal = to.join(source.file_name().unwrap_or_default());
        if source.is_dir() { merge(&source, &goal)? } else { rename(&source, &goal)? }
    }
    remove(from)
}

/// Everything in `folder`, the mark last: killed half-way, a folder that is emptied in this order is still ours.
fn mark_last(folder: &Path) -> Result<Vec<PathBuf>, FolderError> {
    let entries = fs::read_dir(folder).at("open", folder)?;
    let paths: Result<Vec<PathBuf>, _> = entries.map(|entry| entry.map(|e| e.path())).collect();
    let mut paths = paths.at("open", folder)?;
    paths.sort_by_key(|path| mark::is_mark(path));
    Ok(paths)
}

pub(super) fn rename(from: &Path, to: &Path) -> Result<(), FolderError> {
    fs::rename(from, to).at("rename", from)
}

/// Removes a folder with all that is in it; one that is not there is removed already.
pub(super) fn remove(folder: &Path) -> Result<(), FolderError> {
    if !folder.exists() {
        return Ok(());
    }
    for path in mark_last(folder)? {
        // A link is removed, not what it leads to.
        let is_folder = fs::symlink_metadata(&path).at("open", &path)?.is_dir();
        let removed = if is_folder { fs::remove_dir_all(&path) } else { fs::remove_file(&path) };
        removed.at("remove", &path)?;
    }
    fs::remove_dir(folder).at("remove", folder)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_mark_is_the_last_to_go() {
        let folder = tempfile::tempdir().expect("a folder");
        for name in ["a.csv", "contents.txt", "z.csv"] {
            fs::write(folder.path().join(name), "text").expect("a file");
        }
        let order = mark_last(folder.path()).expect("the folder can be read");
        assert_eq!(order.len(), 3);
        assert!(order[2].ends_with("contents.txt"), "{order:?}");
    }
}
