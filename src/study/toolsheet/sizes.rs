//! One set of sizes: starting hole, mandrel, sleeve, finished hole.

/// One set of sizes, mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sizes {
    /// Starting diameter.
    pub start: f64,
    /// Major diameter of the mandrel.
    pub mandrel: f64,
    /// Wall of the sleeve.
    pub sleeve: f64,
    /// Diameter after the ream.
    pub finished: f64,
}

impl Sizes {
    /// Mandrel plus twice the sleeve, mm.
    #[must_use]
    pub fn acting(&self) -> f64 {
        self.mandrel + 2.0 * self.sleeve
    }

    /// Applied expansion, fraction.
    #[must_use]
    pub fn expansion(&self) -> f64 {
        (self.acting() - self.start) / self.start
    }
}
