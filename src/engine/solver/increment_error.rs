//! Why an increment did not reach equilibrium, said with place and number.

use std::fmt;

use crate::solver::control::RESIDUAL_TOLERANCE;

const LIMIT_LOAD: &str =
    "the plate may have reached its limit load: a perfectly plastic metal cannot carry more";

/// Whether the last residual meets its tolerance.
fn in_balance(residuals: &[f64]) -> bool {
    residuals.last().is_some_and(|&last| last <= RESIDUAL_TOLERANCE)
}

/// Cause that stopped an increment.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub enum Cause {
    /// The residual did not fall below the tolerance, or displacements went on changing although it
    /// did.
    NotConverged {
        /// Relative residual after each iteration, oldest first.
        residuals: Vec<f64>,
        /// Node with the largest out-of-balance force, numbered as in the fields.
        node: usize,
        /// Where that node is, mm.
        position: [f64; 2],
    },
    /// Edge nodes kept opening and closing.
    ContactCycles {
        /// Relative residual after each iteration, oldest first.
        residuals: Vec<f64>,
        /// Nodes that switched in the last iteration.
        nodes: Vec<usize>,
    },
    /// The tangent has no Cholesky factor.
    Singular,
    /// A point of the metal found no way back to its yield surface.
    ReturnMap {
        /// Where the point is, mm.
        position: [f64; 2],
        /// Its message.
        error: crate::material::state::ReturnMapError,
    },
    /// A number became infinite or undefined.
    NotFinite,
    /// A node of the bore has slid off the end of its sleeve, or rows of the bore have folded there.
    OffSleeve {
        /// Where the node was drawn, mm.
        position: [f64; 2],
    },
}

impl fmt::Display for Cause {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NotConverged { residuals, .. } if in_balance(residuals) => write!(
                f,
                "forces in balance, but displacements that do not settle in {} iterations",
                residuals.len(),
            ),
            Self::NotConverged { residuals, node, position: [x, y] } => write!(
                f,
                "relative residual {:.1e} after {} iterations, largest at node {node} ({x:.3}, {y:.3}) mm",
                residuals.last().copied().unwrap_or(f64::NAN),
                residuals.len(),
            ),
            Self::ContactCycles { residuals, nodes } => write!(
                f,
                "{} edge nodes kept opening and closing for {} iterations, first node {}",
                nodes.len(),
                residuals.len(),
                nodes.first().copied().unwrap_or_default(),
            ),
            Self::Singular => write!(f, "the tangent stiffness is not positive definite"),
            Self::ReturnMap { position: [x, y], error } => {
                write!(f, "{error}, at ({x:.3}, {y:.3}) mm")
            }
            Self::NotFinite => write!(f, "a displacement or force is not a finite number"),
            Self::OffSleeve { position: [x, y] } => write!(
                f,
                "the bore at ({x:.3}, {y:.3}) mm lies on the sleeve no more: it has slid off its end, or \
                 its rows have folded"
            ),
        }
    }
}

/// An increment that did not reach equilibrium, however small it was made.
///
/// The state before it is whole, so a caller may draw it or go on from it.
#[derive(Clone, Debug, PartialEq)]
pub struct IncrementError {
    /// Share of the phase already in equilibrium, 0 to 1.
    pub done: f64,
    /// How often the planned increment was halved before giving up.
    pub halvings: usize,
    /// Cause of the last failure.
    pub cause: Cause,
}

impl IncrementError {
    /// Remedy to try first, when the cause suggests one.
    #[must_use]
    pub fn hint(&self) -> Option<&'static str> {
        match &self.cause {
            Cause::NotConverged { residuals, .. } if in_balance(residuals) => Some(LIMIT_LOAD),
            Cause::NotConverged { residuals, .. }
                if residuals.last().zip(residuals.first()).is_some_and(|(l, f)| l > f) =>
            {
                Some(
                    "the residual grew: the load may exceed what the plate can carry, or the hardening curve drops",
                )
            }
            Cause::ContactCycles { .. } => Some("refine the mesh with a larger `fineness`"),
            Cause::Singular | Cause::NotFinite => Some(LIMIT_LOAD),
            Cause::OffSleeve { .. } => Some("give the sleeve a longer `protrusion`"),
            Cause::ReturnMap { .. } => Some("give the stage more `increments`"),
            _ => None,
        }
    }
}

impl fmt::Display for IncrementError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            f,
            "stopped at {:.1} % after {} halvings: {}",
            100.0 * self.done,
            self.halvings,
            self.cause
        )
    }
}

impl std::error::Error for IncrementError {}
