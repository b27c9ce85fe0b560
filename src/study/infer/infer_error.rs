//! Why a case tells nothing of its unknowns.

/// Why nothing was found.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum InferError {
    /// The case has no `[[unknown]]`.
    NothingAsked,
    /// The case has no `[[measured]]`.
    NothingMeasured,
    /// An expansion is asked for and the case has none, or a share of a metal without hardening.
    Missing(&'static str),
    /// Fewer points on the paths than unknowns.
    TooFewPoints([usize; 2]),
    /// An end of the grid of this gauge lies on no metal.
    OffMetal(String),
    /// The travel of this pull force lies beyond the end of the draw.
    NotReached(String),
    /// The case itself cannot be solved.
    Unsolved(String),
    /// Stopped from outside.
    Stopped,
}

impl std::fmt::Display for InferError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::NothingAsked => f.write_str("the case has no [[unknown]] to be found"),
            Self::NothingMeasured => {
                f.write_str("the case has no [[measured]] points and no [[gauge]]")
            }
            Self::Missing(what) => write!(f, "{what}"),
            Self::TooFewPoints([points, unknowns]) => {
                write!(f, "{points} points on the computed paths cannot tell {unknowns} unknowns")
            }
            Self::OffMetal(label) => {
                write!(f, "the grid of `{label}` does not lie on metal in the states it is read in")
            }
            Self::NotReached(label) => {
                write!(
                    f,
                    "`{label}` is the pull at a travel at which the mandrel has left the hole"
                )
            }
            Self::Unsolved(why) => write!(f, "the case cannot be solved: {why}"),
            Self::Stopped => f.write_str("stopped"),
        }
    }
}

impl std::error::Error for InferError {}

impl InferError {
    /// The remedy.
    #[must_use]
    pub fn hint(&self) -> Option<&'static str> {
        match self {
            Self::NothingAsked => {
                Some("write [[unknown]] and below it `name = \"kinematic_share\"`")
            }
            Self::NothingMeasured => {
                Some("write [[measured]] and below it `file = \"points.csv\"`")
            }
            Self::OffMetal(_) => Some(
                "`distance` is that of its middle from the edge of the hole; see `grid_length`",
            ),
            Self::NotReached(_) => Some(
                "travel counts from the first touch; `travel.csv` of `hoopset section` shows it",
            ),
            Self::TooFewPoints(_) => Some("give more points, or `expected` and `plus_minus`"),
            _ => None,
        }
    }
}
