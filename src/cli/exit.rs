//! Everything that can end the program early, with its exit code.

use std::fmt;
use std::path::{Path, PathBuf};

use crate::case::complaint::Complaint;
use crate::fit::metal::FitError;
use crate::live::lesson::NoSuchLesson;
use crate::material::library::UnknownAlloy;
use crate::plot::FigureError;
use crate::process::stage_error::StageError;
use crate::report::folder::folder_error::FolderError;
use crate::report::page::figure::FigureError as EmbedError;
use crate::report::stored::Unreadable;
use crate::report::study::JournalError;
use crate::report::write::WriteError;
use crate::solver::tables::FoldedElement;
use crate::study::effort::{Effort, LIMIT};
use crate::study::infer::InferError;
use crate::study::lives::LifeRefusal;
use crate::study::shop::ShopError;
use crate::study::toolsheet::SheetError;
use crate::verify::book::BookError;
use crate::verify::cases::CASES;
use crate::verify::expected::Flaw;

/// Computed but failed.
pub(crate) const FAILED: u8 = 1;
/// Exit code of an interrupted command: 128 plus the number of the interrupt signal, as shells have
/// it.
pub(crate) const INTERRUPTED: u8 = 130;
/// Bad input: nothing was computed and nothing on disk was touched.
const BAD_INPUT: u8 = 2;

#[derive(Debug)]
pub(crate) enum CliError {
    /// The case file.
    Case(Box<Complaint>),
    /// No alloy of that name.
    Alloy(UnknownAlloy),
    /// The results folder.
    Folder(FolderError),
    /// A results file.
    Write(WriteError),
    /// A figure.
    Figure(FigureError),
    /// A figure that cannot be put into the page.
    Embed(EmbedError),
    /// The plate cannot be meshed or set up.
    SetUp(Box<StageError>),
    /// A snapshot that cannot be read off.
    Read(FoldedElement),
    /// No lives can be computed.
    Life {
        /// The case file.
        file: PathBuf,
        /// Why not.
        refusal: Box<LifeRefusal>,
    },
    /// A stage failed; results were kept.
    Stage {
        /// Label of the stage.
        stage: String,
        /// Why.
        error: Box<StageError>,
        /// Where the results are.
        kept: PathBuf,
    },
    /// The section of a hole of a plane case failed.
    Section {
        /// Name of the hole.
        hole: String,
        /// Why.
        error: Box<StageError>,
    },
    /// A file of the user's is in the way.
    Exists(PathBuf),
    /// The system refused.
    Io {
        /// Operation under way, e.g. `write`.
        doing: &'static str,
        /// To what.
        path: PathBuf,
        /// Message of the system.
        source: std::io::Error,
    },
    /// The thread pool.
    Threads(rayon::ThreadPoolBuildError),
    /// Results that cannot be read back.
    Stored(Unreadable),
    /// Two results without a path in common.
    NothingShared,
    /// A run beyond the limits, not asked for.
    Large(Effort),
    /// A convergence study of a mesh that was made elsewhere.
    Unrefinable,
    /// No command of that name.
    NoSuchCommand(String),
    /// No lesson of that name.
    Lesson(NoSuchLesson),
    /// Standard output could not be written.
    Output(std::io::Error),
    /// No verification case of that name.
    NoSuchCase(String),
    /// Embedded expectations that cannot be used.
    Expectations(Flaw),
    /// The verification book.
    Book(BookError),
    /// A tool sheet that could not be made.
    Sheet(SheetError),
    /// No surrogate for the holes of a shop.
    Shop(ShopError),
    /// Nothing was found from measurements.
    Infer(InferError),
    /// No constants of a metal.
    Fit(FitError),
    /// The journal of a study.
    Journal(JournalError),
    /// A JSON file could not be made.
    Json(serde_json::Error),
    /// A snapshot that cannot be packed.
    Pack(postcard::Error),
}

impl CliError {
    pub(crate) fn exit_code(&self) -> u8 {
        match self {
            // Nothing about the input is wrong when the disk fills up.
            Self::Folder(error) | Self::Journal(JournalError::Folder(error))
                if error.is_full_disk() =>
            {
                FAILED
            }
            Self::Case(_)
            | Self::Alloy(_)
            | Self::Exists(_)
            | Self::Folder(_)
            | Self::Journal(_)
            | Self::SetUp(_)
            | Self::Sheet(SheetError::Complaint(_))
            | Self::Shop(ShopError::NoCut { .. })
            | Self::Infer(
                InferError::NothingAsked
                | InferError::NothingMeasured
                | InferError::Missing(_)
                | InferError::TooFewPoints(_),
            )
            | Self::Fit(FitError::TooFewPoints { .. } | FitError::Elastic)
            | Self::Unrefinable
            | Self::Large(_)
            | Self::Stored(_)
            | Self::NothingShared
            | Self::NoSuchCommand(_)
            | Self::Lesson(_)
            | Self::NoSuchCase(_) => BAD_INPUT,
            Self::Life { refusal, .. } if refusal.is_input() => BAD_INPUT,
            _ => FAILED,
        }
    }

    pub(crate) fn hint(&self) -> Option<String> {
        match self {
            Self::Case(complaint) | Self::Sheet(SheetError::Complaint(complaint)) => {
                Some(complaint.hint().to_owned())
            }
            Self::Folder(error) | Self::Journal(JournalError::Folder(error)) => {
                error.hint().map(str::to_owned)
            }
            Self::Journal(JournalError::OfAnotherStudy { .. }) => Some(
                "name another folder with `--out`, or solve every case anew with `--fresh`".to_owned(),
            ),
            Self::Write(error) => error.hint().map(str::to_owned),
            Self::SetUp(error)
            | Self::Stage { error, .. }
            | Self::Section { error, .. }
            | Self::Sheet(SheetError::Stage { error, .. }) => error.hint(),
            Self::Life { refusal, .. } => refusal.hint(),
            Self::Alloy(unknown) => unknown
                .nearest
                .map(|name| format!("did you mean `{name}`? `hoopset alloys` lists all"))
                .or_else(|| Some("`hoopset alloys` lists all".to_owned())),
            Self::Unrefinable => Some(
                "leave `--convergence` out, or run the case on finer meshes of your own and compare"
                    .to_owned(),
            ),
            Self::Stored(_) => {
                Some("name a results folder that `hoopset run` has written".to_owned())
            }
            Self::NothingShared => {
                Some("compare results whose holes have the same names and directions".to_owned())
            }
            Self::Large(_) => Some(
                "run it with `--large`, or lower `fineness`, `increments` or the number of cycles"
                    .to_owned(),
            ),
            Self::Lesson(unknown) => Some(unknown.hint()),
            Self::NoSuchCommand(_) => Some("`hoopset --help` lists the commands".to_owned()),
            Self::NoSuchCase(_) => {
                let names: Vec<&str> = CASES.iter().map(|entry| entry.name).collect();
                Some(format!("cases: {}", names.join(", ")))
            }
            Self::Shop(ShopError::NoCut { .. }) => {
                Some("raise the limits of [reamed], or lower those of the tools".to_owned())
            }
            Self::Infer(error) => error.hint().map(str::to_owned),
            Self::Fit(FitError::TooFewPoints { .. }) => {
                Some("take terms away, fix constants, or give more points".to_owned())
            }
            Self::Fit(FitError::Elastic) => Some(
                "pull further; a test below yield tells Young's modulus and nothing else".to_owned(),
            ),
            Self::Fit(FitError::Lost) => {
                Some("widen the limits of [[constant]], or take another law".to_owned())
            }
            Self::Exists(_) => Some("give another name, or move the file away".to_owned()),
            _ => None,
        }
    }
}

impl fmt::Display for CliError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Case(complaint) => complaint.fmt(f),
            Self::Alloy(unknown) => unknown.fmt(f),
            Self::Folder(error) => error.fmt(f),
            Self::Write(error) => error.fmt(f),
            Self::Figure(error) => error.fmt(f),
            Self::Embed(error) => error.fmt(f),
            Self::SetUp(error) => error.fmt(f),
            Self::Life { file, refusal } => {
                write!(f, "{}:", file.display())?;
                if let Some(line) = refusal.line() {
                    write!(f, "{line}:")?;
                }
                write!(f, " {refusal}")
            }
            Self::Read(error) => error.fmt(f),
            Self::Stage { stage, error, kept } => {
                write!(
                    f,
                    "stage {stage}: {error}; everything up to there is in `{}`",
                    kept.display()
                )
            }
            Self::Section { hole, error } => write!(f, "section of hole {hole}: {error}"),
            Self::Exists(path) => {
                write!(f, "`{}` exists already and is left as it is", path.display())
            }
            Self::Io { doing, path, .. } => write!(f, "cannot {doing} `{}`", path.display()),
            Self::Threads(_) => f.write_str("cannot start the threads asked for"),
            Self::Unrefinable => f.write_str(
                "`--convergence` needs a mesh that can be refined, and that of this case is read from a file",
            ),
            Self::Stored(error) => error.fmt(f),
            Self::NothingShared => f.write_str("the two results have no path in common"),
            Self::Large(expected) => {
                write!(f, "this run takes about {}; the limit is {}", expected.words(), LIMIT.words())
            }
            Self::Lesson(unknown) => unknown.fmt(f),
            Self::NoSuchCommand(name) => write!(f, "there is no command `{name}`"),
            Self::Output(_) => f.write_str("cannot write to standard output"),
            Self::NoSuchCase(name) => write!(f, "there is no verification case `{name}`"),
            Self::Expectations(flaw) => flaw.fmt(f),
            Self::Book(error) => error.fmt(f),
            Self::Sheet(error) => error.fmt(f),
            Self::Shop(error) => error.fmt(f),
            Self::Infer(error) => error.fmt(f),
            Self::Fit(error) => error.fmt(f),
            Self::Journal(error) => error.fmt(f),
            Self::Json(_) => f.write_str("cannot write the JSON file"),
            Self::Pack(_) => f.write_str("cannot pack a snapshot"),
        }
    }
}

impl std::error::Error for CliError {
    fn source(&self) -> Option<&(dyn std::error::Error + 'static)> {
        match self {
            Self::Io { source, .. } | Self::Output(source) => Some(source),
            Self::Write(error) => error.source(),
            Self::Folder(error) => error.source(),
            Self::Journal(error) => error.source(),
            Self::Threads(error) => Some(error),
            Self::Json(error) => Some(error),
            Self::Pack(error) => Some(error),
            _ => None,
        }
    }
}

impl CliError {
    /// Says of which case file there are no lives.
    pub(crate) fn no_lives(file: &Path, refusal: LifeRefusal) -> Self {
        Self::Life { file: file.to_owned(), refusal: Box::new(refusal) }
    }
}

impl From<Complaint> for CliError {
    fn from(complaint: Complaint) -> Self {
        Self::Case(Box::new(complaint))
    }
}

impl From<StageError> for CliError {
    fn from(error: StageError) -> Self {
        Self::SetUp(Box::new(error))
    }
}

macro_rules! from {
    ($($inner:ty => $variant:ident),* $(,)?) => {
        $(impl From<$inner> for CliError {
            fn from(inner: $inner) -> Self {
                Self::$variant(inner)
            }
        })*
    };
}

from! {
    UnknownAlloy => Alloy,
    NoSuchLesson => Lesson,
    FolderError => Folder,
    WriteError => Write,
    FigureError => Figure,
    EmbedError => Embed,
    FoldedElement => Read,
    BookError => Book,
    SheetError => Sheet,
    ShopError => Shop,
    Unreadable => Stored,
    JournalError => Journal,
    postcard::Error => Pack,
}
