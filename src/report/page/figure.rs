//! A figure inside the page.

use std::error::Error;
use std::fmt;
use std::io;
use std::path::{Path, PathBuf};

use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;

use crate::report::escape::markup;

/// Kind of picture.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Media {
    /// Portable network graphics.
    Png,
    /// Scalable vector graphics.
    Svg,
}

/// A picture with its caption.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Figure {
    /// Description of the picture; also the text for those who cannot see it.
    pub caption: String,
    /// Kind of picture.
    pub media: Media,
    /// The file.
    pub bytes: Vec<u8>,
}

/// A picture that could not be taken into the page.
#[derive(Debug)]
#[non_exhaustive]
pub enum FigureError {
    /// The file could not be read.
    Unreadable {
        /// The file.
        path: PathBuf,
        /// Why not.
        source: io::Error,
    },
    /// Neither `.png` nor `.svg`.
    UnknownKind {
        /// The file.
        path: PathBuf,
    },
}

impl fmt::Display for FigureError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Unreadable { path, source } => {
                write!(f, "cannot read figure `{}`: {source}", path.display())
            }
            Self::UnknownKind { path } => {
                write!(f, "figure `{}` is neither PNG nor SVG", path.display())
            }
        }
    }
}

impl Error for FigureError {
    fn source(&self) -> Option<&(dyn Error + 'static)> {
        match self {
            Self::Unreadable { source, .. } => Some(source),
            Self::UnknownKind { .. } => None,
        }
    }
}

impl Figure {
    /// The picture at `path`; its ending tells its kind.
    ///
    /// # Errors
    ///
    /// [`FigureError::UnknownKind`] for another ending, [`FigureError::Unreadable`] when the
    /// system refuses.
    pub fn read(path: &Path, caption: impl Into<String>) -> Result<Self, FigureError> {
        let media = match path.extension().and_then(|ending| ending.to_str()) {
            Some("png") => Media::Png,
            Some("svg") => Media::Svg,
            _ => return Err(FigureError::UnknownKind { path: path.to_owned() }),
        };
        let bytes = std::fs::read(path)
            .map_err(|source| FigureError::Unreadable { path: path.to_owned(), source })?;
        Ok(Self { caption: caption.into(), media, bytes })
    }

    /// The picture as a data address, in which it can neither run a script nor fetch anything.
    pub(in crate::report) fn address(&self) -> String {
        let kind = match self.media {
            Media::Png => "image/png",
            Media::Svg => "image/svg+xml",
        };
        format!("data:{kind};base64,{}", STANDARD.encode(&self.bytes))
    }

    /// The picture with its caption.
    pub(in crate::report) fn html(&self) -> String {
        let caption = markup(&self.caption);
        format!(
            "<figure><img alt=\"{caption}\" src=\"{}\"><figcaption>{caption}</figcaption></figure>\n",
            self.address(),
        )
    }
}
