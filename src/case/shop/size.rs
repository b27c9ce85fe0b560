//! A size with limits, and the gauge that reads it.

/// A size with limits, and how well one reading of it is known. Lengths in mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Size {
    /// Smallest and largest.
    pub limits: [f64; 2],
    /// Standard error of a reading.
    pub plus_minus: f64,
}

impl Size {
    /// Middle of the limits, mm.
    #[must_use]
    pub fn middle(&self) -> f64 {
        0.5 * (self.limits[0] + self.limits[1])
    }

    /// Standard uncertainty of a size of which only the limits are known, mm: that of a rectangular
    /// distribution, its width over √12.
    ///
    /// Source: JCGM 100:2008 (GUM), 4.3.7 (from memory).
    #[must_use]
    pub fn spread(&self) -> f64 {
        (self.limits[1] - self.limits[0]) / 12.0_f64.sqrt()
    }
}
