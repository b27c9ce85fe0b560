//! The readings of one hole, completed by the limits where nothing was measured.

use crate::case::shop::{HoleRow, Shop, Size};
use crate::study::shop::output::Sizes;

/// A size that can be read of a hole.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Gauge {
    /// Starting diameter.
    Start,
    /// Mandrel diameter.
    Mandrel,
    /// Wall of the sleeve.
    Sleeve,
    /// Diameter after the ream.
    Reamed,
    /// Mean diameter after the expansion.
    Expanded,
}

impl Gauge {
    /// Its column in tables.
    #[must_use]
    pub fn key(self) -> &'static str {
        match self {
            Self::Start => "start",
            Self::Mandrel => "mandrel",
            Self::Sleeve => "sleeve",
            Self::Reamed => "reamed",
            Self::Expanded => "expanded",
        }
    }
}

/// A size of a hole as it is known.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Known {
    /// Value, mm: read, or the middle of the limits.
    pub value: f64,
    /// Standard uncertainty, mm: of the gauge, or that of the limits alone.
    pub error: f64,
    /// Whether it was read.
    pub read: bool,
    /// Limits and gauge.
    pub size: Size,
}

impl Known {
    fn new(size: Size, read: Option<f64>) -> Self {
        match read {
            Some(value) => Self { value, error: size.plus_minus, read: true, size },
            None => Self { value: size.middle(), error: size.spread(), read: false, size },
        }
    }

    /// By how much the reading passes its limits, mm: below zero under the smallest, above zero over the
    /// largest.
    #[must_use]
    pub fn excess(&self) -> f64 {
        let [low, high] = self.size.limits;
        (self.value - high).max(0.0) + (self.value - low).min(0.0)
    }
}

/// The sizes of a hole: start, mandrel, sleeve, ream.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Readings {
    /// In the order of [`SIZES`]; `None` for a sleeve or a ream that the shop does not have.
    pub sizes: [Option<Known>; 4],
    /// Mean diameter after the expansion and its standard error, mm.
    pub expanded: Option<[f64; 2]>,
}

/// The sizes in their order.
pub const SIZES: [Gauge; 4] = [Gauge::Start, Gauge::Mandrel, Gauge::Sleeve, Gauge::Reamed];

impl Readings {
    /// Those of `row`.
    #[must_use]
    pub fn new(shop: &Shop, row: &HoleRow) -> Self {
        Self {
            sizes: [
                Some(Known::new(shop.start, row.start)),
                Some(Known::new(shop.mandrel, row.mandrel)),
                shop.sleeve.map(|size| Known::new(size, row.sleeve)),
                shop.reamed.map(|size| Known::new(size, row.reamed)),
            ],
            expanded: row.expanded.map(|value| [value, shop.expanded]),
        }
    }

    /// The size that `gauge` reads.
    #[must_use]
    pub fn size(&self, gauge: Gauge) -> Option<&Known> {
        self.sizes.get(gauge as usize)?.as_ref()
    }

    /// Values of the sizes, 0 for what the shop does not have, mm.
    #[must_use]
    pub fn values(&self) -> [f64; 4] {
        self.sizes.map(|known| known.map_or(0.0, |known| known.value))
    }

    /// Their standard uncertainties, mm.
    #[must_use]
    pub fn errors(&self) -> [f64; 4] {
        self.sizes.map(|known| known.map_or(0.0, |known| known.error))
    }

    /// The sizes of hole and tool that `values` are.
    #[must_use]
    pub fn as_sizes(&self, values: [f64; 4]) -> Sizes {
        let [start, mandrel, sleeve, reamed] = values;
        Sizes { start, acting: mandrel + 2.0 * sleeve, reamed: self.sizes[3].map(|_| reamed) }
    }
}
