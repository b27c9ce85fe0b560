//! Random sets of sizes between the limits.

use crate::case::sheet::Sheet;
use crate::numeric::random::{Random, percentile};
use crate::study::toolsheet::limits::Limits;
use crate::study::toolsheet::sizes::Sizes;

/// All draws of a sheet: starting hole, mandrel (worn out to new), sleeve and finished hole, each
/// independent of the others.
#[must_use]
pub fn draw_all(sheet: &Sheet, limits: &Limits) -> Vec<Sizes> {
    let mut random = Random::new(sheet.draws.seed);
    let ranges = [limits.start, [limits.worn, limits.mandrel[1]], limits.sleeve, limits.finished];
    let [start, mandrel, sleeve, finished] = sheet.draws.spreads;
    let mut draw =
        |spread: crate::numeric::random::Spread, k: usize| spread.draw(&mut random, ranges[k]);
    (0..sheet.draws.count)
        .map(|_| Sizes {
            start: draw(start, 0),
            mandrel: draw(mandrel, 1),
            sleeve: draw(sleeve, 2),
            finished: draw(finished, 3),
        })
        .collect()
}

/// `count` of the draws, from the smallest to the largest applied expansion, evenly by rank: the
/// first and the last are the ends, where a surrogate is worst.
#[must_use]
pub fn held_out(sizes: &[Sizes], count: usize) -> Vec<usize> {
    let mut order: Vec<usize> = (0..sizes.len()).collect();
    order.sort_by(|a, b| sizes[*a].expansion().total_cmp(&sizes[*b].expansion()));
    let ranks: Vec<f64> = (0..order.len()).map(|rank| rank as f64).collect();
    (0..count)
        .filter_map(|k| {
            let rank = percentile(&ranks, k as f64 / (count - 1).max(1) as f64)?;
            // A rank of the list: the cast neither wraps nor loses a sign.
            #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
            order.get(rank.round() as usize).copied()
        })
        .collect()
}
