//! The wall round a hole that the closed forms speak of: two radii and an elastic metal.

use crate::material::elasticity::Elasticity;
use crate::theory::range::{OutOfRange, elastic_constants, wall};

/// An elastic wall between two radii; the outer one may be infinite.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Wall {
    inner: f64,
    outer: f64,
    elasticity: Elasticity,
}

impl Wall {
    /// A wall from `inner` to `outer` radius, mm.
    ///
    /// # Errors
    /// [`OutOfRange`] for radii without a wall between them or impossible elastic constants.
    pub fn new(inner: f64, outer: f64, elasticity: Elasticity) -> Result<Self, OutOfRange> {
        wall(inner, outer)?;
        elastic_constants(&elasticity)?;
        Ok(Self { inner, outer, elasticity })
    }

    /// Inner radius, mm.
    #[must_use]
    pub fn inner(&self) -> f64 {
        self.inner
    }

    /// Outer radius, mm; infinite for a sheet without end.
    #[must_use]
    pub fn outer(&self) -> f64 {
        self.outer
    }

    /// Elastic constants.
    #[must_use]
    pub fn elasticity(&self) -> Elasticity {
        self.elasticity
    }
}
