//! Surrogate for the draws: a polynomial through nine solutions.
//!
//! A hole and its tools that all grow by one factor leave the same stresses on a plate that grows
//! along. The plate does not, but its edges are far in comparison, so two numbers say nearly all:
//! the applied expansion, and how far the ream lies beyond the tool, over the starting diameter.
//! Solutions at the nominal starting hole on a 3 × 3 grid of Chebyshev points of both, and the
//! quadratic polynomial through them, are the surrogate; lengths scale with the starting hole. The
//! draws that are solved as well have their own starting holes, so their error holds all of this.

use crate::numeric::chebyshev::{Grid, points};
use crate::study::toolsheet::limits::Limits;
use crate::study::toolsheet::outputs::{OUTPUTS, Output};
use crate::study::toolsheet::sizes::Sizes;
use crate::study::toolsheet::solve::Found;

/// Points along each variable.
pub const GRID: usize = 3;

/// The surrogate at one set of sizes, in the order of [`OUTPUTS`].
#[derive(Clone, Debug, PartialEq)]
pub struct Predicted {
    values: [Option<f64>; 6],
}

impl Predicted {
    /// The value of `output`; `None` when it has no surrogate.
    #[must_use]
    pub fn get(&self, output: Output) -> Option<f64> {
        self.values[output as usize]
    }
}

/// Applied expansion, and ream diameter less tool over the starting diameter.
#[must_use]
pub fn reduced(sizes: &Sizes) -> [f64; 2] {
    [sizes.expansion(), (sizes.finished - sizes.acting()) / sizes.start]
}

/// Range of [`reduced`] that the limits allow.
#[must_use]
pub fn range(limits: &Limits) -> [[f64; 2]; 2] {
    let [small, large] = [0, 2].map(|k| limits.corner(k));
    let over = [limits.finished[0] - large.acting(), limits.finished[1] - small.acting()];
    let ends = over.map(|over| limits.start.map(|start| over / start));
    let beyond = [ends[0][0].min(ends[0][1]), ends[1][0].max(ends[1][1])];
    [[small.expansion(), large.expansion()], beyond]
}

/// The sets of sizes to be solved: no sleeve, the tool is all mandrel.
#[must_use]
pub fn grid(range: [[f64; 2]; 2], start: f64) -> Vec<Sizes> {
    let [first, second] = range.map(|range| points(GRID, range));
    let sizes = |expansion: f64, beyond: f64| Sizes {
        start,
        mandrel: start * (1.0 + expansion),
        sleeve: 0.0,
        finished: start * (1.0 + expansion + beyond),
    };
    first.iter().flat_map(|e| second.iter().map(move |b| sizes(*e, *b))).collect()
}

/// The polynomials.
#[derive(Clone, Debug, PartialEq)]
pub struct Surrogate {
    start: f64,
    grids: [Option<Grid>; 6],
}

impl Surrogate {
    /// Through what [`grid`] gave, in its order. A number that one of them lacks has no surrogate.
    #[must_use]
    pub fn new(range: [[f64; 2]; 2], start: f64, found: &[Found]) -> Self {
        let points = range.map(|range| points(GRID, range));
        let grids = OUTPUTS.map(|output| {
            let values = found.iter().map(|one| one.get(output)).collect::<Option<Vec<f64>>>()?;
            Some(Grid { points: points.clone(), values })
        });
        Self { start, grids }
    }

    /// Whether `output` has a surrogate.
    #[must_use]
    pub fn has(&self, output: Output) -> bool {
        self.grids[output as usize].is_some()
    }

    /// At `sizes`.
    #[must_use]
    pub fn at(&self, sizes: &Sizes) -> Predicted {
        let x = reduced(sizes);
        let values = OUTPUTS.map(|output| {
            let scale = if output.is_length() { sizes.start / self.start } else { 1.0 };
            self.grids[output as usize].as_ref().map(|grid| scale * grid.at(x))
        });
        Predicted { values }
    }
}
