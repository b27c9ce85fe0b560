//! Folders on the disk: nothing that is not ours is touched.

use crate::report::folder::folder_error::{At, FolderError};
use crate::report::folder::mark;
use std::fs;
use std::io::ErrorKind;
use std::path::Path;

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
    for entry in fs::read_dir(from).at("open", from)? {
        let entry = entry.at("open", from)?;
        let (source, goal) = (entry.path(), to.join(entry.file_name()));
        if source.is_dir() { merge(&source, &goal)? } else { rename(&source, &goal)? }
    }
    remove(from)
}

/// A file nobody sees yet. The library's own default is readable by its owner alone,
/// which would make results private by surprise; the user's mask decides instead.
pub(super) fn temporary(parent: &Path) -> std::io::Result<tempfile::NamedTempFile> {
    let mut builder = tempfile::Builder::new();
    builder.prefix(".writing-");
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        builder.permissions(fs::Permissions::from_mode(0o666));
    }
    builder.tempfile_in(parent)
}

pub(super) fn rename(from: &Path, to: &Path) -> Result<(), FolderError> {
    fs::rename(from, to).at("rename", from)
}

pub(super) fn remove(folder: &Path) -> Result<(), FolderError> {
    match fs::remove_dir_all(folder) {
        Err(failure) if failure.kind() == ErrorKind::NotFound => Ok(()),
        outcome => outcome.at("remove", folder),
    }
}
