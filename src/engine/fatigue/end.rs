//! Where a crack's life ends, found on its length before a cycle is counted.
//!
//! Growth here depends on length and load alone, so the length at which it must end is known
//! beforehand: the first at which one of the conditions of [`LifeEnd`] holds.

use serde::Serialize;

use crate::fatigue::crack::CrackGeometry;
use crate::fatigue::cycle::StressCycle;
use crate::fatigue::growth::{Growth, GrowthLaw};
use crate::fatigue::intensity::{ContactRule, Parts};
use crate::fatigue::sequence::LoadSequence;
use crate::fatigue::table::IntensityTable;

/// Strength of the part. Stress MPa, stress intensity MPa√mm.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Limits {
    /// Fracture toughness, MPa√mm, for this thickness; the caller's, never assumed.
    pub toughness: f64,
    /// Yield stress for the net section, MPa; without it (or without both edges) the section
    /// is not checked.
    pub yield_stress: Option<f64>,
    /// Cycles after which counting stops.
    pub most_cycles: f64,
}

/// How a life ends. Lengths in mm.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum LifeEnd {
    /// No cycle grows the crack at this length: it stops there, and the life has no end.
    Arrest {
        /// Length.
        length: f64,
    },
    /// The maximum reaches the toughness, the given one or the growth law's own.
    Fracture {
        /// Length.
        length: f64,
    },
    /// The mean stress of the net section reaches yield.
    NetSectionYield {
        /// Length.
        length: f64,
    },
    /// The crack is as near to a free edge as the edge correction holds; what is left breaks
    /// in few cycles.
    EdgeReached {
        /// Length.
        length: f64,
    },
    /// The weight function ends; the crack would grow on.
    ModelEnds {
        /// Length.
        length: f64,
    },
    /// The cycles were used up.
    CyclesReached {
        /// Length.
        length: f64,
    },
}

impl LifeEnd {
    /// Length at the end, mm.
    #[must_use]
    pub fn length(&self) -> f64 {
        match *self {
            Self::Arrest { length }
            | Self::Fracture { length }
            | Self::NetSectionYield { length }
            | Self::EdgeReached { length }
            | Self::ModelEnds { length }
            | Self::CyclesReached { length } => length,
        }
    }
}

/// Halvings of a rung in the search: 0.3 % over 2⁴⁰ is rounding.
const HALVINGS: usize = 40;

/// The first length at which growth must end, with its reason.
pub(crate) fn find_end(
    geometry: &CrackGeometry,
    table: &IntensityTable,
    (law, rule): (&GrowthLaw, ContactRule),
    limits: &Limits,
    sequence: &LoadSequence,
) -> LifeEnd {
    let ended = |parts: &Parts| condition(geometry, parts, (law, rule), limits, sequence);
    let rungs = table.rungs();
    for (k, parts) in rungs.iter().enumerate() {
        let Some(mut end) = ended(parts) else { continue };
        if k > 0 {
            let (mut low, mut high) = (rungs[k - 1].length, parts.length);
            for _ in 0..HALVINGS {
                let middle = 0.5 * (low + high);
                match ended(&table.at(middle)) {
                    Some(found) => (high, end) = (middle, found),
                    None => low = middle,
                }
            }
        }
        return end;
    }
    let (_, length) = table.ends();
    if geometry.ends_at_edge() {
        LifeEnd::EdgeReached { length }
    } else {
        LifeEnd::ModelEnds { length }
    }
}

/// The reason to end at this length, if there is one.
fn condition(
    geometry: &CrackGeometry,
    parts: &Parts,
    (law, rule): (&GrowthLaw, ContactRule),
    limits: &Limits,
    sequence: &LoadSequence,
) -> Option<LifeEnd> {
    let length = parts.length;
    let blocks = sequence.blocks();
    let growth = |cycle: &StressCycle| law.growth(&parts.cycle(cycle, rule), length);
    // K is linear in the load: its highest value is that of an extreme of the sequence.
    let [low, high] = sequence.extremes();
    let top = parts.total(high).max(parts.total(low));
    let severest =
        if parts.per_stress() < 0.0 { sequence.lowest().cycle } else { sequence.severest().cycle };
    let worst = growth(&severest);
    if top.is_nan() || top >= limits.toughness || worst == Growth::Unstable {
        return Some(LifeEnd::Fracture { length });
    }
    if let (Some(yield_stress), Some(factor)) =
        (limits.yield_stress, geometry.gross_over_net(length))
        && factor * high >= yield_stress
    {
        return Some(LifeEnd::NetSectionYield { length });
    }
    let grows = worst != Growth::None || blocks.iter().any(|b| growth(&b.cycle) != Growth::None);
    (!grows).then_some(LifeEnd::Arrest { length })
}
