//! Change of the headline numbers with finer meshes and smaller increments.

use serde::{Deserialize, Serialize};

use crate::numeric::richardson::{Estimate, Expected};
use crate::result::headline::Headline;

/// Expected order in mesh size. Theory: displacements of order 3, stresses of order 2, less where the
/// solution has a kink, and the border of the yielded metal is one (order 1 in where it lies).
/// Range: half of that lowest order, up to a little above the 4 that rings show for smooth
/// elastic fields.
pub const MESH_ORDERS: Expected = Expected { range: [0.5, 4.5], theory: 2.0 };

/// Expected order in increment size: backward Euler is of order 1. Half and double that are taken.
pub const INCREMENT_ORDERS: Expected = Expected { range: [0.5, 2.0], theory: 1.0 };

/// One solution of the case.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Level {
    /// Fineness of the mesh.
    pub fineness: f64,
    /// Increments to full size.
    pub increments: usize,
    /// Elements of the modelled part before any ream.
    pub elements: usize,
    /// Halvings of increments during the run; any at all make its increments uneven.
    pub halvings: usize,
    /// Size of an element or of an increment over that of the case itself.
    pub size: f64,
}

/// Three solutions that differ in one thing, coarse to fine.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Series {
    /// The three.
    pub levels: [Level; 3],
    /// Which of them is the case itself.
    pub case: usize,
}

/// One number in one series.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Trend {
    /// Its value at each level, coarse to fine; `None` where it has none.
    pub values: [Option<f64>; 3],
    /// Verdict of the levels; `None` when one of them is missing.
    pub estimate: Option<Estimate>,
}

impl Trend {
    /// Whether the band can be trusted; not when a level has no value at all.
    #[must_use]
    pub fn is_trusted(&self) -> bool {
        self.estimate.is_some_and(|estimate| estimate.approach.is_trusted())
    }
}

/// One headline number with its trends; mm, MPa.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Refined {
    /// The number as the case itself has it.
    pub headline: Headline,
    /// On three meshes; `None` without that series.
    pub mesh: Option<Trend>,
    /// With three increments; `None` without that series.
    pub increments: Option<Trend>,
}

impl Refined {
    /// Both bands together, half width. They are added, not their squares: the two errors are no
    /// chance ones, and may well have one sign. `None` when either is missing.
    #[must_use]
    pub fn band(&self) -> Option<f64> {
        Some(self.mesh?.estimate?.band + self.increments?.estimate?.band)
    }

    /// The value of the case moved by what both extrapolations say; `None` unless each has a
    /// limit or has settled.
    #[must_use]
    pub fn limit(&self) -> Option<f64> {
        let value = self.headline.value?;
        let mut limit = value;
        for trend in [self.mesh?, self.increments?] {
            if !trend.is_trusted() {
                return None;
            }
            // A settled number has no limit of its own: it stays.
            limit += trend.estimate?.limit.map_or(0.0, |limit| limit - value);
        }
        Some(limit)
    }

    /// Whether both bands rest on an observed order.
    #[must_use]
    pub fn is_trusted(&self) -> bool {
        [self.mesh, self.increments].iter().flatten().all(Trend::is_trusted)
    }
}

/// Which of the two series.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Kind {
    /// Three meshes.
    Mesh,
    /// Three numbers of increments.
    Increments,
}

impl Kind {
    /// The name in a sentence.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Mesh => "mesh",
            Self::Increments => "increments",
        }
    }

    /// The orders that it should show.
    #[must_use]
    pub fn expected(self) -> Expected {
        match self {
            Self::Mesh => MESH_ORDERS,
            Self::Increments => INCREMENT_ORDERS,
        }
    }
}

/// Something that a reader of a study should know.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub enum Remark {
    /// A series is missing because one of its levels could not be solved.
    Unsolved {
        /// The series.
        kind: Kind,
        /// Fineness of the level.
        fineness: f64,
        /// Its increments to full size.
        increments: usize,
        /// Why, in one line.
        why: String,
    },
    /// Some numbers are not in the asymptotic range of a series.
    Untrusted {
        /// The series.
        kind: Kind,
        /// How many.
        count: usize,
        /// Of how many.
        of: usize,
        /// Those with the widest bands, widest first; `None` where a level has no value.
        widest: Vec<(Headline, Option<Estimate>)>,
    },
    /// Some increments of the series had to be halved, so they are not evenly refined.
    Uneven,
}

/// The whole study.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Refinement {
    /// The meshes; `None` when one of them could not be solved.
    pub mesh: Option<Series>,
    /// The increments; `None` when one of them could not be solved.
    pub increments: Option<Series>,
    /// Every headline number that the case has.
    pub numbers: Vec<Refined>,
    /// Warnings that a reader gets without asking.
    pub remarks: Vec<Remark>,
}
