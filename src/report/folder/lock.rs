//! One run at a time: a file that the running process holds locked.
//!
//! The lock belongs to the operating system and ends with the process, however that ends,
//! so a file left behind by a killed run never keeps the next one out. The number inside
//! is for the message only.

use std::fs::{self, File, OpenOptions, TryLockError};
use std::io::{ErrorKind, Write};
use std::path::{Path, PathBuf};

use crate::report::folder::folder_error::{At, FolderError};

/// Longest lock file, bytes: a process number and the end of its line.
const MOST_DIGITS: u64 = 21;

/// A held lock; the file goes with it.
#[derive(Debug)]
pub(super) struct Lock {
    path: PathBuf,
    // Open as long as the lock is held.
    _file: File,
}

impl Lock {
    /// Takes the lock at `path`.
    ///
    /// # Errors
    ///
    /// [`FolderError::Busy`] when another process holds it.
    pub(super) fn take(path: &Path) -> Result<Self, FolderError> {
        loop {
            let mut file = open(path)?;
            match file.try_lock() {
                Ok(()) => {}
                // A file system without locks: better unguarded than not at all.
                Err(TryLockError::Error(failure)) if failure.kind() == ErrorKind::Unsupported => {}
                Err(TryLockError::Error(failure)) => return Err(failure).at("lock", path),
                Err(TryLockError::WouldBlock) => {
                    let process = fs::read_to_string(path).ok().and_then(|s| s.trim().parse().ok());
                    return Err(FolderError::Busy { path: path.to_owned(), process });
                }
            }
            // The holder before us may have removed the file between our opening and locking
            // it; a lock on a file that is gone guards nothing.
            if stands_at(&file, path) {
                file.set_len(0).at("write", path)?;
                writeln!(file, "{}", std::process::id()).at("write", path)?;
                return Ok(Self { path: path.to_owned(), _file: file });
            }
        }
    }
}

/// Opens the lock file at `path`, which is made when nothing stands there.
///
/// # Errors
///
/// [`FolderError::NotALock`] for a link, a pipe, or a file with anything but a process number.
fn open(path: &Path) -> Result<File, FolderError> {
    let not_ours = || FolderError::NotALock { path: path.to_owned() };
    // A new file is made where nothing stands: this follows no link.
    match OpenOptions::new().write(true).create_new(true).open(path) {
        Err(failure) if failure.kind() == ErrorKind::AlreadyExists => {}
        outcome => return outcome.at("create", path),
    }
    match fs::symlink_metadata(path) {
        // Its holder has just let go; the next attempt makes it.
        Err(failure) if failure.kind() == ErrorKind::NotFound => return open(path),
        found => {
            let found = found.at("open", path)?;
            if !found.is_file() || found.len() > MOST_DIGITS {
                return Err(not_ours());
            }
        }
    }
    let text = fs::read(path).at("open", path)?;
    if !text.iter().all(|byte| byte.is_ascii_digit() || *byte == b'\n') {
        return Err(not_ours());
    }
    OpenOptions::new().write(true).open(path).at("open", path)
}

impl Drop for Lock {
    fn drop(&mut self) {
        // A file that cannot be removed does no harm: it is not locked any more.
        let _ = fs::remove_file(&self.path);
    }
}

/// Whether `file` is what stands at `path` now.
#[cfg(unix)]
fn stands_at(file: &File, path: &Path) -> bool {
    use std::os::unix::fs::MetadataExt;
    match (file.metadata(), fs::symlink_metadata(path)) {
        (Ok(ours), Ok(there)) => (ours.dev(), ours.ino()) == (there.dev(), there.ino()),
        _ => false,
    }
}

/// Whether anything stands at `path` now: an open file cannot be replaced here.
#[cfg(not(unix))]
fn stands_at(_file: &File, path: &Path) -> bool {
    path.exists()
}
