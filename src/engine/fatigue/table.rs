//! The parts of K on a fine ladder of crack lengths, so that a life need not integrate
//! profiles in every cycle.
//!
//! Rungs lie 0.3 % apart; K goes as a power of length near ½, so straight lines between
//! them err by about `0.003²/32`, 3e-7.

use rayon::prelude::*;

use crate::fatigue::intensity::{Parts, StressIntensity};
use crate::fatigue::weight_function::WeightError;
use crate::numeric::whole::whole_part;

/// Distance of rungs in the logarithm of length.
const RUNG: f64 = 0.003;
/// Fewest rungs: a crack that starts near its end still needs a search grid.
const FEWEST: usize = 64;

/// Parts of K at rising lengths.
#[derive(Clone, Debug, PartialEq)]
pub struct IntensityTable {
    parts: Vec<Parts>,
    start: f64,
    rung: f64,
}

impl IntensityTable {
    /// Parts from `start` mm to the longest crack the geometry allows.
    ///
    /// # Errors
    /// [`WeightError`]: the start is beyond the longest crack, or a profile does not cover it.
    pub fn new(intensity: &StressIntensity, start: f64) -> Result<Self, WeightError> {
        let geometry = intensity.geometry();
        let start = geometry.valid_length(start)?;
        let end = geometry.longest();
        let count = rungs((end / start).ln());
        let rung = (end / start).ln() / count as f64;
        let at = |k: usize| intensity.at((start * (rung * k as f64).exp()).min(end));
        let parts: Vec<_> = (0..=count).into_par_iter().map(at).collect();
        // The first refusal in their order, whichever was found first.
        let parts = parts.into_iter().collect::<Result<_, _>>()?;
        Ok(Self { parts, start, rung })
    }

    /// The same with this share of the residual part.
    #[must_use]
    pub fn with_residual_share(&self, share: f64) -> Self {
        let scaled = |part: &Parts| Parts { residual: share * part.residual, ..*part };
        Self { parts: self.parts.iter().map(scaled).collect(), ..*self }
    }

    /// The same with a residual part between its own and that of `other` at the same lengths: its
    /// own at share 0.
    #[must_use]
    pub fn between(&self, other: &Self, share: f64) -> Self {
        let mixed = self.parts.iter().zip(&other.parts).map(|(own, other)| Parts {
            residual: own.residual + share * (other.residual - own.residual),
            ..*own
        });
        Self { parts: mixed.collect(), ..*self }
    }

    /// All rungs, rising.
    #[must_use]
    pub(crate) fn rungs(&self) -> &[Parts] {
        &self.parts
    }

    /// First and last length, mm.
    #[must_use]
    pub fn ends(&self) -> (f64, f64) {
        (self.start, self.parts[self.parts.len() - 1].length)
    }

    /// Parts at `a` mm, held within the ends.
    #[must_use]
    pub fn at(&self, a: f64) -> Parts {
        let last = self.parts.len() - 1;
        let place = (a / self.start).ln() / self.rung;
        // A comparison that is false for not-a-number too.
        let below = if place > 0.0 { whole_part(place, last - 1) } else { 0 };
        let (low, high) = (&self.parts[below], &self.parts[below + 1]);
        let width = high.length - low.length;
        let share = if width > 0.0 { ((a - low.length) / width).clamp(0.0, 1.0) } else { 0.0 };
        let mix = |x: f64, y: f64| x + share * (y - x);
        Parts {
            length: mix(low.length, high.length),
            load: mix(low.load, high.load),
            hole: mix(low.hole, high.hole),
            residual: mix(low.residual, high.residual),
            edge_correction: mix(low.edge_correction, high.edge_correction),
        }
    }
}

/// Number of rungs for a logarithmic length, at least [`FEWEST`].
fn rungs(length: f64) -> usize {
    // Lengths of a plate span a few decades: far below 1e5 rungs.
    whole_part((length / RUNG).ceil(), 100_000).max(FEWEST)
}
