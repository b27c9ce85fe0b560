//! Why there are no lives.

use std::fmt;

use crate::fatigue::constants::NoConstants;
use crate::fatigue::crack::CrackError;
use crate::fatigue::crack_life::LifeError;
use crate::fatigue::sequence::SequenceError;
use crate::fatigue::spectrum::SpectrumError;
use crate::process::stage_error::StageError;
use crate::solver::tables::FoldedElement;

/// Largest share of the load in a spectrum, either way; more is a slip of the decimal point.
pub(super) const LARGEST_SHARE: f64 = 10.0;

/// Why there are no lives.
#[derive(Debug)]
#[non_exhaustive]
pub enum LifeRefusal {
    /// The case has no `[life]` table.
    NoTable,
    /// No growth constants for the metal of the case.
    NoConstants {
        /// Line of the `[life]` table.
        line: usize,
        /// Message of the library.
        error: NoConstants,
    },
    /// The alloy has no constants of the law asked for.
    NoSuchLaw {
        /// Line of the `[life]` table.
        line: usize,
        /// The law.
        law: String,
        /// Laws there are.
        known: Vec<&'static str>,
    },
    /// The law says nothing of fracture and no toughness is given.
    NoToughness {
        /// Line of the `[life]` table.
        line: usize,
    },
    /// A spectrum file that cannot be read.
    Spectrum {
        /// Line of the `[life]` table.
        line: usize,
        /// The file.
        file: String,
        /// Why not.
        error: SpectrumError,
    },
    /// A spectrum whose values are no shares of the load.
    LargeShare {
        /// Line of the `[life]` table.
        line: usize,
        /// The file.
        file: String,
        /// Which of its values, from 1.
        at: usize,
        /// The value.
        share: f64,
    },
    /// A flaw that no hole of the plate can have.
    FlawBeyondPlate {
        /// Line of the `[life]` table.
        line: usize,
        /// Its length, mm.
        flaw: f64,
        /// Largest extent of the plate, mm.
        extent: f64,
    },
    /// A load sequence that loads nothing.
    Sequence(SequenceError),
    /// The load does not mirror where the mesh is a half or quarter.
    NotMirrored,
    /// No state without tool, pin and load.
    NoResidualState,
    /// No path is pulled by the load.
    NoPath,
    /// A crack outside the limits.
    Crack {
        /// Hole.
        hole: String,
        /// Direction, degrees.
        angle_deg: f64,
        /// Why.
        error: CrackError,
    },
    /// A life that cannot be computed.
    Life {
        /// Hole.
        hole: String,
        /// Direction, degrees.
        angle_deg: f64,
        /// Why.
        error: LifeError,
    },
    /// The elastic solution failed.
    Stage(StageError),
    /// A mesh that was not solved on.
    Folded(FoldedElement),
    /// It was stopped from outside.
    Stopped,
}

impl LifeRefusal {
    /// Whether the input is to blame, so that nothing was written.
    #[must_use]
    pub fn is_input(&self) -> bool {
        !matches!(self, Self::Stage(_) | Self::Folded(_) | Self::Stopped)
    }

    /// Line of the `[life]` table in the case file, from 1, when the table is to blame.
    #[must_use]
    pub fn line(&self) -> Option<usize> {
        match self {
            Self::NoConstants { line, .. }
            | Self::NoSuchLaw { line, .. }
            | Self::NoToughness { line }
            | Self::Spectrum { line, .. }
            | Self::LargeShare { line, .. }
            | Self::FlawBeyondPlate { line, .. } => Some(*line),
            _ => None,
        }
    }

    /// Remedy to try first, when the cause suggests one.
    #[must_use]
    pub fn hint(&self) -> Option<String> {
        let hint = match self {
            Self::NoTable => {
                "write, for example:\n  [life]\n  load = { tension = 120.0, along = \"y\" }\n  initial_flaw = 1.0"
            }
            Self::NoConstants { .. } => {
                "give your own in [life]: `law = \"walker\"` (or \"paris\", \"forman\"), `constants = { \
                 coefficient, exponent, gamma }` and `toughness`"
            }
            Self::NoSuchLaw { known, .. } => {
                return Some(format!("there are constants for: {}", known.join(", ")));
            }
            Self::NoToughness { .. } => {
                "give `toughness` for this thickness, in MPa√m or ksi√in as the units of the file say"
            }
            Self::NotMirrored => "write `symmetry = false` in [numerics]",
            Self::NoResidualState => "end with a stage that leaves no load and no pin",
            Self::NoPath => "name the directions, `path = [0.0]`",
            Self::Crack { .. } => {
                "a hole this near an edge or neighbour, or a flaw this long, is outside the edge correction"
            }
            Self::Life { error, .. } => return error.hint().map(str::to_owned),
            Self::Stage(error) => return error.hint(),
            Self::LargeShare { .. } => {
                "a spectrum lists shares of `load`: 1 is all of it; divide by the highest value"
            }
            Self::FlawBeyondPlate { .. } => {
                "the flaw is measured from the edge of the hole, and must lie in the metal beside it"
            }
            Self::Spectrum { .. } => {
                "a spectrum has one number a line; what follows `#` is skipped"
            }
            Self::Sequence(_) | Self::Folded(_) | Self::Stopped => return None,
        };
        Some(hint.to_owned())
    }
}

impl fmt::Display for LifeRefusal {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NoTable => f.write_str("the case has no [life] table"),
            Self::NoConstants { error, .. } => write!(f, "[life]: {error}"),
            Self::NoSuchLaw { law, .. } => {
                write!(f, "[life]: no constants of the law `{law}` for this metal")
            }
            Self::NoToughness { .. } => {
                write!(f, "[life]: the law says nothing of fracture, and there is no `toughness`")
            }
            Self::Spectrum { file, error, .. } => {
                write!(f, "[life]: `{}`: {error}", file.escape_debug())
            }
            Self::LargeShare { file, at, share, .. } => write!(
                f,
                "[life]: `{}`: value {at} is {share}, beyond {LARGEST_SHARE} times the load",
                file.escape_debug()
            ),
            Self::FlawBeyondPlate { flaw, extent, .. } => write!(
                f,
                "[life]: `initial_flaw` of {flaw} mm is no smaller than the plate, {extent} mm"
            ),
            Self::Sequence(error) => error.fmt(f),
            Self::NotMirrored => f.write_str(
                "the load of [life] does not mirror, but the plate is computed as a half or quarter",
            ),
            Self::NoResidualState => {
                f.write_str("the case leaves no state without tool, pin and load")
            }
            Self::NoPath => f.write_str("the load pulls at no path of any hole"),
            Self::Crack { hole, angle_deg, error } => {
                write!(f, "a crack at hole {hole}, {angle_deg}°: {error}")
            }
            Self::Life { hole, angle_deg, error } => {
                write!(f, "a crack at hole {hole}, {angle_deg}°: {error}")
            }
            Self::Stage(error) => error.fmt(f),
            Self::Folded(error) => error.fmt(f),
            Self::Stopped => f.write_str("stopped"),
        }
    }
}

impl std::error::Error for LifeRefusal {}

impl From<StageError> for LifeRefusal {
    fn from(error: StageError) -> Self {
        Self::Stage(error)
    }
}

impl From<FoldedElement> for LifeRefusal {
    fn from(error: FoldedElement) -> Self {
        Self::Folded(error)
    }
}
