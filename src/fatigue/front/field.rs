//! How a residual field goes through the thickness where only its plane is known.
//!
//! ```text
//!   σ(x, z) = σ(x) · g(z),   g rises from the entry share at z = 0 to 1 at the middle, and stays
//! ```
//!
//! `z` is measured from the face where the mandrel entered. Measured fields have an entry face with 30
//! to 60 % of the compression in the middle (from memory, no single source), which a plane model cannot
//! know; the share is stated in every result.

use serde::Serialize;

/// The entry-face share of measured fields, from least to most: from memory, no single source.
pub const MEASURED_SHARES: [f64; 2] = [0.3, 0.6];
/// The share when none is given: the middle of the measured ones.
pub const USUAL_SHARE: f64 = 0.45;

/// Share of the residual stress in the middle of the thickness that stands at the entry face.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct EntryShare(pub f64);

impl EntryShare {
    /// `g(z)` in a plate of `thickness` mm, `z` mm from the entry face.
    #[must_use]
    pub fn at(self, z: f64, thickness: f64) -> f64 {
        1.0 - (1.0 - self.0) * lack(z, thickness)
    }

    /// Mean of `g` over the thickness: what a through crack gets.
    #[must_use]
    pub fn mean(self) -> f64 {
        1.0 - 0.25 * (1.0 - self.0)
    }
}

/// Part that a share of 0 takes away at `z`: 1 at the entry face, 0 from the middle on.
#[must_use]
pub fn lack(z: f64, thickness: f64) -> f64 {
    (1.0 - 2.0 * z / thickness).max(0.0)
}
