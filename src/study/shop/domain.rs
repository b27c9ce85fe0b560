//! The range of sizes over which the surrogate is made.
//!
//! A hole and its tools that all grow by one factor leave the same stresses on a plate that grows along. Edges
//! of the plate are far in comparison, so two numbers say nearly all: the applied expansion, and the ream over the
//! starting diameter. Both ranges are wider than the limits of the shop, for holes that do not keep them.

use std::sync::atomic::AtomicBool;

use crate::case::shop::Shop;
use crate::process::snapshot::Snapshot;
use crate::process::stage::Stage;
use crate::study::last_state::{LastState, states};
use crate::study::shop::shop_error::ShopError;

/// How much further than the limits the applied expansion goes down and up, shares of its middle.
const FURTHER: [f64; 2] = [0.4, 0.25];

/// Smallest and largest applied expansion: the first share of the middle, a fraction.
const LEAST_SHARE: f64 = 0.4;
const MOST: f64 = 0.095;

/// How much further than the limits the ream over the starting diameter goes, either way.
const REAM_FURTHER: f64 = 0.012;

/// Least cut of a ream that the mesh takes, on the diameter over the starting diameter.
const LEAST_CUT: f64 = 0.004;

/// The expanded hole grows with the applied expansion by this much at least.
const LEAST_SLOPE: f64 = 0.85;

/// Ranges of the two variables.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Domain {
    /// Applied expansion, a fraction.
    pub expansion: [f64; 2],
    /// Reamed over starting diameter; `None` when the hole is not reamed.
    pub reamed: Option<[f64; 2]>,
}

/// Smallest and largest applied expansion within the limits, fractions.
#[must_use]
pub fn limits(shop: &Shop) -> [f64; 2] {
    let acting = |end: usize| {
        shop.mandrel.limits[end] + 2.0 * shop.sleeve.map_or(0.0, |sleeve| sleeve.limits[end])
    };
    [acting(0) / shop.start.limits[1] - 1.0, acting(1) / shop.start.limits[0] - 1.0]
}

/// Applied expansion in the middle of all limits, a fraction.
#[must_use]
pub fn nominal(shop: &Shop) -> f64 {
    let wall = shop.sleeve.map_or(0.0, |sleeve| sleeve.middle());
    (shop.mandrel.middle() + 2.0 * wall) / shop.start.middle() - 1.0
}

/// Range of the applied expansion, fractions.
fn expansions(shop: &Shop) -> [f64; 2] {
    let middle = nominal(shop);
    let [low, high] = limits(shop);
    let least = (low - FURTHER[0] * middle).max(LEAST_SHARE * middle);
    [least, (high + FURTHER[1] * middle).min(MOST.max(high))]
}

/// The domain. `widest` is the diameter about the drilled centre that just holds the hole after the largest expansion of
/// the domain, over the starting diameter: what a ream must clean.
///
/// # Errors
///
/// [`ShopError::NoCut`].
pub fn domain(shop: &Shop, widest: f64) -> Result<Domain, ShopError> {
    let mut expansion = expansions(shop);
    let top = expansion[1];
    let Some(reamed) = shop.reamed else { return Ok(Domain { expansion, reamed: None }) };
    let by_limits =
        [reamed.limits[0] / shop.start.limits[1], reamed.limits[1] / shop.start.limits[0]];
    let mut range = [by_limits[0] - REAM_FURTHER, by_limits[1] + REAM_FURTHER];
    let needed = |applied: f64| widest - LEAST_SLOPE * (top - applied) + LEAST_CUT;
    if needed(top) > by_limits[0] {
        let fits = top - (needed(top) - by_limits[0]) / LEAST_SLOPE;
        expansion[1] = fits.clamp(limits(shop)[1].min(top), top);
    }
    range[0] = range[0].max(needed(expansion[1]));
    if range[0] >= by_limits[1] {
        let per_mille = |ratio: f64| {
            // Of the size of a hundred: the cast neither wraps nor loses more than it rounds.
            #[allow(clippy::cast_possible_truncation)]
            let whole = (1e3 * (ratio - 1.0)).round() as i64;
            whole
        };
        let per_mille = [per_mille(by_limits[1]), per_mille(range[0])];
        return Err(ShopError::NoCut { per_mille });
    }
    Ok(Domain { expansion, reamed: Some(range) })
}

/// Expands the hole by the largest expansion of the domain: the diameter about its drilled centre that just holds it,
/// over the starting diameter. 1 when the hole is not reamed, for then nobody asks.
///
/// # Errors
///
/// [`ShopError::Unsolved`], [`ShopError::Stopped`].
pub fn widest(shop: &Shop, stop: &AtomicBool) -> Result<f64, ShopError> {
    if shop.reamed.is_none() {
        return Ok(1.0);
    }
    let mut job = shop.case.job.clone();
    job.stages.truncate(shop.stages.0);
    let start = shop.start.middle();
    job.plate.holes[shop.hole].starting_diameter = start;
    let acting = start * (1.0 + expansions(shop)[1]);
    if let Some(Stage::Expand { tool, .. }) = job.stages.last_mut() {
        tool.mandrel_diameter = acting - 2.0 * tool.sleeve_thickness;
    }
    let lost = |why: String| ShopError::Unsolved { what: "the largest expansion".to_owned(), why };
    let wanted = |snapshot: &Snapshot| snapshot.finished;
    let states = states(&shop.case, job, stop, &wanted).map_err(|end| match end {
        LastState::Failed(error) => lost(error.to_string()),
        _ => ShopError::Stopped,
    })?;
    let last = states.last().ok_or_else(|| lost("it has no state".to_owned()))?;
    let centre = shop.case.job.plate.holes[shop.hole].centre;
    let edge = &last.mesh.holes[shop.hole].edge;
    let reach = edge.iter().map(|&node| {
        let (at, by) = (last.mesh.nodes[node], last.state.displacement[node]);
        (at[0] + by[0] - centre[0]).hypot(at[1] + by[1] - centre[1])
    });
    Ok(2.0 * reach.fold(0.0, f64::max) / start)
}
