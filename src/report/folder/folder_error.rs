//! Why a results folder could not be made or filled.

use std::error::Error;
use std::fmt;
use std::io;
use std::path::{Path, PathBuf};

/// Errors of a results folder. Nothing that stood there before is lost.
#[derive(Debug)]
#[non_exhaustive]
pub enum FolderError {
    /// The target is a root or ends in `..`, so nothing can stand beside it.
    NoName {
        /// The target.
        path: PathBuf,
    },
    /// A file or a link to nothing stands where a folder is needed.
    NotAFolder {
        /// The target.
        path: PathBuf,
    },
    /// The folder holds files, but no mark of ours.
    Foreign {
        /// The target.
        path: PathBuf,
    },
    /// A results folder of ours holds files that the program did not write.
    Strange {
        /// The folder.
        path: PathBuf,
        /// Those files, relative to it.
        files: Vec<String>,
    },
    /// Something that is not a lock file of ours stands at its place.
    NotALock {
        /// Where.
        path: PathBuf,
    },
    /// Another run writes to the target now.
    Busy {
        /// The lock file.
        path: PathBuf,
        /// Number of that process, when it could be read.
        process: Option<u32>,
    },
    /// The folder was to be finished without a summary.
    NoSummary {
        /// The staging folder.
        path: PathBuf,
    },
    /// A name that would leave the results folder.
    BadName {
        /// The name.
        name: String,
    },
    /// The system refused.
    Io {
        /// Operation that failed.
        action: &'static str,
        /// Where.
        path: PathBuf,
        /// Why not.
        source: io::Error,
    },
}

impl FolderError {
    /// Whether the disk is full.
    #[must_use]
    pub(crate) fn is_full_disk(&self) -> bool {
        matches!(self, Self::Io { source, .. } if source.kind() == io::ErrorKind::StorageFull)
    }

    /// Remedy to try first, when the cause suggests one.
    #[must_use]
    pub fn hint(&self) -> Option<&'static str> {
        match self {
            Self::NoName { .. } | Self::NotAFolder { .. } => Some("name a folder for the results"),
            Self::Foreign { .. } => Some("name another folder, or move its files away"),
            Self::Strange { .. } => Some("move these files elsewhere, or name another folder"),
            Self::NotALock { .. } => Some("move it elsewhere, or name another results folder"),
            Self::Busy { .. } => Some("wait for that run, or name another folder"),
            Self::Io { .. } if self.is_full_disk() => Some("free some disk space and run again"),
            Self::NoSummary { .. } | Self::BadName { .. } | Self::Io { .. } => None,
        }
    }
}

impl fmt::Display for FolderError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NoName { path } => {
                write!(f, "`{}` cannot be a results folder", path.display())
            }
            Self::NotAFolder { path } => write!(f, "`{}` is not a folder", path.display()),
            Self::Foreign { path } => write!(
                f,
                "`{}` holds files that are not results of this program and is left as it is",
                path.display()
            ),
            Self::Strange { path, files } => {
                let [first, rest @ ..] = &files[..] else { return f.write_str("no strange file") };
                write!(f, "`{}` holds `{first}`", path.display())?;
                match rest.len() {
                    0 => {}
                    1 => write!(f, " and one more file")?,
                    more => write!(f, " and {more} more files")?,
                }
                f.write_str(" that this program did not write, and is left as it is")
            }
            Self::NotALock { path } => {
                write!(f, "`{}` is not a lock file of this program", path.display())
            }
            Self::Busy { path, process: Some(process) } => {
                write!(f, "process {process} is writing these results (`{}`)", path.display())
            }
            Self::Busy { path, process: None } => {
                write!(f, "another run is writing these results (`{}`)", path.display())
            }
            Self::NoSummary { path } => {
                write!(f, "`{}` has no summary and cannot be finished", path.display())
            }
            Self::BadName { name } => {
                write!(f, "`{name}` is not the name of a file inside the results folder")
            }
            Self::Io { action, path, source } => {
                write!(f, "cannot {action} `{}`: {source}", path.display())
            }
        }
    }
}

impl Error for FolderError {
    fn source(&self) -> Option<&(dyn Error + 'static)> {
        match self {
            Self::Io { source, .. } => Some(source),
            _ => None,
        }
    }
}

/// Says what was tried, and where, when the system refuses.
pub(super) trait At<T> {
    /// The value, or [`FolderError::Io`].
    fn at(self, action: &'static str, path: &Path) -> Result<T, FolderError>;
}

impl<T> At<T> for io::Result<T> {
    fn at(self, action: &'static str, path: &Path) -> Result<T, FolderError> {
        self.map_err(|source| FolderError::Io { action, path: path.to_owned(), source })
    }
}
