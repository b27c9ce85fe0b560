//! Words of a stress cycle, each its own type: range is not amplitude is not ratio.

use serde::{Deserialize, Serialize};

/// Stress range, maximum less minimum, MPa.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd, Serialize, Deserialize)]
pub struct StressRange(pub f64);

/// Stress amplitude, half a range, MPa.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd, Serialize, Deserialize)]
pub struct StressAmplitude(pub f64);

/// Ratio, minimum over maximum, of stress or of stress intensity.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd, Serialize, Deserialize)]
pub struct StressRatio(pub f64);

/// Range of stress intensity, MPa√mm.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd, Serialize, Deserialize)]
pub struct IntensityRange(pub f64);

impl From<StressRange> for StressAmplitude {
    fn from(range: StressRange) -> Self {
        Self(0.5 * range.0)
    }
}

/// One cycle of remote stress, MPa.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct StressCycle {
    maximum: f64,
    minimum: f64,
}

impl StressCycle {
    /// The cycle between two stresses in either order, MPa.
    #[must_use]
    pub fn between(one: f64, other: f64) -> Self {
        Self { maximum: one.max(other), minimum: one.min(other) }
    }

    /// The cycle with this maximum, MPa, and `ratio = minimum/maximum`.
    ///
    /// With a maximum below zero and a ratio below 1 the named maximum would be the lower
    /// end; the ends are put in order.
    #[must_use]
    pub fn with_ratio(maximum: f64, ratio: StressRatio) -> Self {
        Self::between(maximum, ratio.0 * maximum)
    }

    /// Upper end, MPa.
    #[must_use]
    pub fn maximum(&self) -> f64 {
        self.maximum
    }

    /// Lower end, MPa.
    #[must_use]
    pub fn minimum(&self) -> f64 {
        self.minimum
    }

    /// Maximum less minimum.
    #[must_use]
    pub fn range(&self) -> StressRange {
        StressRange(self.maximum - self.minimum)
    }

    /// Mean, MPa.
    #[must_use]
    pub fn mean(&self) -> f64 {
        0.5 * (self.maximum + self.minimum)
    }

    /// Minimum over maximum; not finite for a maximum of zero.
    #[must_use]
    pub fn ratio(&self) -> StressRatio {
        StressRatio(self.minimum / self.maximum)
    }

    /// Both ends times `factor`, which may turn them over.
    #[must_use]
    pub fn scaled(&self, factor: f64) -> Self {
        Self::between(factor * self.maximum, factor * self.minimum)
    }

    /// Whether both ends are finite.
    #[must_use]
    pub fn is_finite(&self) -> bool {
        self.maximum.is_finite() && self.minimum.is_finite()
    }
}
