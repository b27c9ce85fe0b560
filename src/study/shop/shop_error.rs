//! Why there is no surrogate for the holes of a shop.

/// Why there is no surrogate.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum ShopError {
    /// A full solution failed.
    Unsolved {
        /// Which, in words.
        what: String,
        /// Why.
        why: String,
    },
    /// Within the limits the ream would not clean the expanded hole.
    NoCut {
        /// Smallest ream over the starting hole, per mille of it, as the limits have it and as it must be.
        per_mille: [i64; 2],
    },
    /// Stopped from outside.
    Stopped,
}

impl std::fmt::Display for ShopError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Unsolved { what, why } => write!(f, "{what} cannot be solved: {why}"),
            Self::NoCut { per_mille: [is, must] } => write!(
                f,
                "the ream does not clean the expanded hole: by the limits it is {:.1} % larger than the starting \
                 hole, and must be {:.1} %",
                *is as f64 / 10.0,
                *must as f64 / 10.0
            ),
            Self::Stopped => f.write_str("stopped"),
        }
    }
}

impl std::error::Error for ShopError {}
