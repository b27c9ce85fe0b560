//! Errors of a stage of the work.

use std::fmt;

use crate::mesh::mesh_error::MeshError;
use crate::solver::increment_error::IncrementError;
use crate::solver::system_error::SystemError;

/// A stage that could not be carried out. The states before it are whole.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub enum StageError {
    /// The plate could not be meshed.
    Mesh(MeshError),
    /// The equations could not be set up.
    System(SystemError),
    /// An increment did not reach equilibrium.
    Increment(IncrementError),
    /// The tool at full size touches the hole nowhere.
    ToolTooSmall {
        /// Name of the hole.
        hole: String,
        /// Acting diameter of the tool, mm.
        tool: f64,
        /// Smallest diameter of the hole as it stands, mm.
        smallest: f64,
    },
    /// A doubler is to be joined to a plate with a bush in it.
    DoublerOverBush {
        /// Name of the doubler.
        doubler: String,
    },
    /// A bush that is larger than its hole while it is put in with play.
    BushTooLarge {
        /// Name of the hole.
        hole: String,
        /// By how much the diameter is too large, mm.
        missing: f64,
    },
    /// The cutter would miss part of the edge.
    NotCleanedUp {
        /// Name of the hole.
        hole: String,
        /// Diameter of the cut, mm.
        cutter: f64,
        /// Least diameter that would clean the edge up all round, mm.
        needed: f64,
    },
    /// The cut lies beyond the rings of the mesh.
    CutBeyondRings {
        /// Name of the hole.
        hole: String,
        /// Diameter of the cut, mm.
        cutter: f64,
        /// Largest diameter the rings allow, mm.
        largest: f64,
    },
    /// The mesh has no rings of quadrilaterals round the hole, so no line to cut along.
    NoRings {
        /// Name of the hole.
        hole: String,
    },
    /// A face that has a spotface gets another.
    Spotfaced {
        /// Name of the hole.
        hole: String,
    },
    /// A load names an edge that the plate does not have.
    NoSuchEdge {
        /// The name.
        edge: String,
        /// The edges there are.
        known: Vec<String>,
    },
    /// A bearing load on a hole without a pin.
    NoPin {
        /// Name of the hole.
        hole: String,
    },
    /// A doubler is to be taken off that is not on the plate.
    NoDoubler {
        /// Its name.
        doubler: String,
    },
    /// A hole is worked while a doubler lies on the plate.
    UnderDoubler {
        /// Name of the hole.
        hole: String,
        /// Name of the doubler.
        doubler: String,
    },
    /// A bearing load across a mirror line of a mesh that is half or a quarter of the plate.
    PinOnMirror {
        /// Name of the hole.
        hole: String,
    },
    /// The metal strained beyond what any part survives: the plate collapses under the load or tool.
    Collapsed {
        /// Growth of the largest equivalent plastic strain in this phase so far.
        strain: f64,
        /// Share of the load or tool at which it was found.
        share: f64,
    },
    /// The state could not be carried over to the moved mesh.
    Transfer {
        /// Where, mm.
        position: [f64; 2],
    },
}

impl StageError {
    /// Remedy to try first, when the cause suggests one.
    #[must_use]
    pub fn hint(&self) -> Option<String> {
        match self {
            Self::Increment(error) => error.hint().map(str::to_owned),
            Self::NotCleanedUp { needed, .. } => {
                Some(format!("a final diameter of {needed:.3} mm or more cuts the whole edge"))
            }
            Self::ToolTooSmall { smallest, .. } => {
                Some(format!("mandrel plus twice the sleeve must exceed {smallest:.3} mm"))
            }
            Self::CutBeyondRings { largest, .. } => {
                Some(format!("ream to less than {largest:.3} mm, or in two stages"))
            }
            Self::DoublerOverBush { .. } => {
                Some("leave the doubler or the bush out".to_owned())
            }
            Self::BushTooLarge { .. } => Some(
                "make the bush colder or the part hotter, or press it in: leave both temperatures out"
                    .to_owned(),
            ),
            Self::Spotfaced { .. } => Some("cut the wider or deeper one only".to_owned()),
            Self::NoPin { .. } => Some("put a pin in before with a stage `fasten`".to_owned()),
            Self::UnderDoubler { .. } => {
                Some("take it off first with a stage `detach`, or join it later".to_owned())
            }
            Self::PinOnMirror { .. } => Some("mesh the plate without that symmetry".to_owned()),
            Self::Collapsed { .. } => Some(
                "check the load and its unit, or lower it: the net section does not carry it"
                    .to_owned(),
            ),
            Self::NoRings { .. } => Some("re-mesh with this program to ream".to_owned()),
            _ => None,
        }
    }
}

impl fmt::Display for StageError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Mesh(error) => error.fmt(f),
            Self::System(error) => error.fmt(f),
            Self::Increment(error) => error.fmt(f),
            Self::ToolTooSmall { hole, tool, smallest } => write!(
                f,
                "the tool of {tool:.4} mm does not touch hole `{hole}`, whose smallest diameter is {smallest:.4} mm"
            ),
            Self::NotCleanedUp { hole, cutter, needed } => write!(
                f,
                "a ream of {cutter:.4} mm misses part of the edge of hole `{hole}`, which needs {needed:.4} mm"
            ),
            Self::CutBeyondRings { hole, cutter, largest } => write!(
                f,
                "a ream of {cutter:.4} mm at hole `{hole}` goes beyond the rings of its mesh, {largest:.4} mm"
            ),
            Self::Collapsed { strain, share } => write!(
                f,
                "the plate collapses: at {:.0} % of the phase the metal has strained by {:.0} %",
                100.0 * share,
                100.0 * strain
            ),
            Self::DoublerOverBush { doubler } => {
                write!(f, "doubler `{doubler}` does not go on a plate with a bush in it")
            }
            Self::BushTooLarge { hole, missing } => write!(
                f,
                "the bush does not go into hole `{hole}`: at the temperatures of assembly its diameter is still {missing:.4} mm too large"
            ),
            Self::Spotfaced { hole } => {
                write!(f, "this face of hole `{hole}` has a spotface already")
            }
            Self::NoRings { hole } => {
                write!(f, "hole `{hole}` cannot be reamed: its mesh has no rings of quadrilaterals")
            }
            Self::NoSuchEdge { edge, known } => {
                write!(f, "the plate has no edge `{edge}`, only {}", known.join(", "))
            }
            Self::NoPin { hole } => {
                write!(f, "hole `{hole}` has no pin to carry a bearing load")
            }
            Self::NoDoubler { doubler } => {
                write!(f, "no doubler `{doubler}` lies on the plate")
            }
            Self::UnderDoubler { hole, doubler } => {
                write!(
                    f,
                    "hole `{hole}` cannot be worked while doubler `{doubler}` lies on the plate"
                )
            }
            Self::PinOnMirror { hole } => {
                write!(f, "the bearing load in hole `{hole}` crosses a mirror line of the mesh")
            }
            Self::Transfer { position: [x, y] } => {
                write!(
                    f,
                    "no metal found at ({x:.4}, {y:.4}) mm while carrying the state over a cut"
                )
            }
        }
    }
}

impl std::error::Error for StageError {}

impl From<SystemError> for StageError {
    fn from(error: SystemError) -> Self {
        Self::System(error)
    }
}

impl From<MeshError> for StageError {
    fn from(error: MeshError) -> Self {
        Self::Mesh(error)
    }
}

impl From<IncrementError> for StageError {
    fn from(error: IncrementError) -> Self {
        Self::Increment(error)
    }
}
