//! The journal of a study: one line for every finished case, added when it is finished.
//!
//! A line is JSON, a tab, and sixteen hexadecimal digits of the SHA-256 of that JSON. The first line
//! holds the fingerprint of the study. A line that was not written to its end, or that is not as it was
//! written, is left out: its case is solved again. Where a case has two lines, they say the same.

use std::fs::File;
use std::io::{self, BufRead, BufReader, Read, Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};

use sha2::{Digest, Sha256};

use crate::report::folder::ResultsFolder;
use crate::report::folder::folder_error::FolderError;
use crate::study::sweep::Outcome;

/// Name of the file.
pub const FILE: &str = "journal.jsonl";

/// Digits of the digest behind a line.
const DIGITS: usize = 16;

/// Why a journal cannot be used.
#[derive(Debug)]
#[non_exhaustive]
pub enum JournalError {
    /// It belongs to a study of other content, or to another build of the program.
    OfAnotherStudy {
        /// The file.
        path: PathBuf,
    },
    /// The folder could not be used.
    Folder(FolderError),
    /// The system refused to read it.
    Read {
        /// The file.
        path: PathBuf,
        /// Why.
        source: io::Error,
    },
}

impl std::fmt::Display for JournalError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::OfAnotherStudy { path } => write!(
                f,
                "`{}` holds cases of another study, or of another build of the program",
                path.display()
            ),
            Self::Folder(error) => error.fmt(f),
            Self::Read { path, .. } => write!(f, "cannot read `{}`", path.display()),
        }
    }
}

impl std::error::Error for JournalError {
    fn source(&self) -> Option<&(dyn std::error::Error + 'static)> {
        match self {
            Self::Read { source, .. } => Some(source),
            Self::Folder(error) => error.source(),
            Self::OfAnotherStudy { .. } => None,
        }
    }
}

impl From<FolderError> for JournalError {
    fn from(error: FolderError) -> Self {
        Self::Folder(error)
    }
}

/// The journal of a study that runs now.
#[derive(Debug)]
pub struct Journal {
    path: PathBuf,
    file: File,
    /// Where the line of every case begins, and its length.
    lines: Vec<Option<(u64, u32)>>,
    end: u64,
    found: usize,
}

fn digest(text: &[u8]) -> String {
    let bytes = Sha256::digest(text);
    bytes.iter().take(DIGITS / 2).map(|byte| format!("{byte:02x}")).collect()
}

fn line(json: &str) -> String {
    format!("{json}\t{}\n", digest(json.as_bytes()))
}

/// The JSON of a line that is whole.
fn whole(line: &[u8]) -> Option<&[u8]> {
    let line = line.strip_suffix(b"\n")?;
    let tab = line.len().checked_sub(DIGITS + 1)?;
    let (json, behind) = (&line[..tab], &line[tab..]);
    (behind[0] == b'\t' && &behind[1..] == digest(json).as_bytes()).then_some(json)
}

fn head(fingerprint: &str) -> String {
    line(&format!("{{\"study\":\"{fingerprint}\"}}"))
}

impl Journal {
    /// Starts the journal of a study of `cases` cases in `folder`, with every whole line of `earlier`
    /// journals of the same study.
    ///
    /// # Errors
    ///
    /// [`JournalError`].
    pub fn begin(
        folder: &ResultsFolder,
        fingerprint: &str,
        cases: usize,
        earlier: &[PathBuf],
    ) -> Result<Self, JournalError> {
        let mut lines = vec![None; cases];
        let mut end = 0;
        let mut trouble = None;
        let first = head(fingerprint);
        let path = folder.stream(FILE, |file| {
            file.write_all(first.as_bytes())?;
            end = first.len() as u64;
            for journal in earlier {
                match copy(journal, &first, file, &mut lines, &mut end) {
                    Ok(()) => {}
                    Err(error) => {
                        trouble = Some(error);
                        return Ok(());
                    }
                }
            }
            Ok(())
        })?;
        if let Some(error) = trouble {
            return Err(error);
        }
        let read = |source| JournalError::Read { path: path.clone(), source };
        let file = File::options().read(true).append(true).open(&path).map_err(read)?;
        let found = lines.iter().flatten().count();
        Ok(Self { path, file, lines, end, found })
    }

    /// How many cases it held from the beginning.
    #[must_use]
    pub fn found(&self) -> usize {
        self.found
    }

    /// Which cases have a line.
    #[must_use]
    pub fn finished(&self) -> Vec<bool> {
        self.lines.iter().map(Option::is_some).collect()
    }

    /// Adds the line of a case.
    ///
    /// # Errors
    ///
    /// [`JournalError::Folder`] when the disk is full, or the system refuses otherwise.
    pub fn add(&mut self, outcome: &Outcome) -> Result<(), JournalError> {
        let refused = |source| {
            JournalError::Folder(FolderError::Io {
                action: "write",
                path: self.path.clone(),
                source,
            })
        };
        let json = serde_json::to_string(outcome).map_err(|error| refused(error.into()))?;
        let line = line(&json);
        // In one piece: what a killed program leaves is a line without its end, at most.
        self.file.write_all(line.as_bytes()).map_err(refused)?;
        let length = u32::try_from(json.len()).unwrap_or(u32::MAX);
        self.lines[outcome.case] = Some((self.end, length));
        self.end += line.len() as u64;
        Ok(())
    }

    /// The outcome of a case; `None` when it has no line.
    ///
    /// # Errors
    ///
    /// [`JournalError::Read`].
    pub fn outcome(&mut self, case: usize) -> Result<Option<Outcome>, JournalError> {
        let Some((start, length)) = self.lines[case] else { return Ok(None) };
        let mut read = || -> io::Result<Outcome> {
            self.file.seek(SeekFrom::Start(start))?;
            let mut bytes = vec![0; length as usize];
            self.file.read_exact(&mut bytes)?;
            Ok(serde_json::from_slice(&bytes)?)
        };
        read().map(Some).map_err(|source| JournalError::Read { path: self.path.clone(), source })
    }
}

/// Which of `cases` cases have a whole line in the journals at `paths`.
///
/// # Errors
///
/// [`JournalError`].
pub(crate) fn finished_in(
    paths: &[PathBuf],
    fingerprint: &str,
    cases: usize,
) -> Result<Vec<bool>, JournalError> {
    let mut lines = vec![None; cases];
    let mut end = 0;
    for path in paths {
        copy(path, &head(fingerprint), &mut io::sink(), &mut lines, &mut end)?;
    }
    Ok(lines.iter().map(Option::is_some).collect())
}

/// Copies the whole lines of the journal at `path`, those of cases that have none yet.
fn copy(
    path: &Path,
    first: &str,
    to: &mut dyn Write,
    lines: &mut [Option<(u64, u32)>],
    end: &mut u64,
) -> Result<(), JournalError> {
    let refused = |source| JournalError::Read { path: path.to_owned(), source };
    let file = match File::open(path) {
        Ok(file) => file,
        Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(()),
        Err(error) => return Err(refused(error)),
    };
    let mut reader = BufReader::new(file);
    let mut bytes = Vec::new();
    let mut next = |bytes: &mut Vec<u8>| {
        bytes.clear();
        reader.read_until(b'\n', bytes)
    };
    let count = next(&mut bytes).map_err(refused)?;
    // Killed before its first line was whole: it holds nothing.
    if count == 0 || whole(&bytes).is_none() {
        return Ok(());
    }
    if bytes != first.as_bytes() {
        return Err(JournalError::OfAnotherStudy { path: path.to_owned() });
    }
    while next(&mut bytes).map_err(refused)? > 0 {
        let Some(json) = whole(&bytes) else { continue };
        let Ok(Number { case }) = serde_json::from_slice(json) else { continue };
        if let Some(place @ None) = lines.get_mut(case) {
            to.write_all(&bytes).map_err(refused)?;
            *place = Some((*end, u32::try_from(json.len()).unwrap_or(u32::MAX)));
            *end += bytes.len() as u64;
        }
    }
    Ok(())
}

/// The number of a case, without the rest of its line.
#[derive(serde::Deserialize)]
struct Number {
    case: usize,
}
