//! The tool sheet: from a finished hole and a wanted expansion to the tools and what they leave.
//!
//! 1. One expansion without a ream, in the middle of the wanted band, tells what the hole keeps, hence
//!    where it must start (`limits`).
//! 2. Side by side: the smallest, the nominal and the largest expansion that the tolerances allow; a
//!    grid of nine for the surrogate (`surrogate`); some draws that the surrogate has not seen; the
//!    small tool in the small starting hole and the large in the large, for the gauges.
//! 3. The nominal sizes under the bounding hardening laws and the other idealisations (`beside`).
//! 4. The draws (`draws`) on the surrogate, and their percentiles.
//! 5. The chain of repair sizes (`chain`), when there is one; its limits are chosen right after 1.
//!
//! The numbers do not depend on how many threads there are.

mod beside;
mod chain;
mod draws;
mod finished;
mod limits;
mod outputs;
mod sheet_error;
mod sizes;
mod solve;
mod surrogate;

use std::ops::ControlFlow;

use rayon::prelude::*;

use crate::case::sheet::Sheet;
pub use crate::study::toolsheet::beside::{Assumption, Beside};
pub use crate::study::toolsheet::chain::{ChainSize, chain_job};
pub use crate::study::toolsheet::draws::{draw_all, held_out};
pub use crate::study::toolsheet::finished::{Corner, Finished, Held, SHARES};
pub use crate::study::toolsheet::limits::{Limits, derive, guessed_start, mandrel_window};
pub use crate::study::toolsheet::outputs::{OUTPUTS, Output};
pub use crate::study::toolsheet::sheet_error::SheetError;
pub use crate::study::toolsheet::sizes::Sizes;
pub use crate::study::toolsheet::solve::{Expanded, Found, direction, expand_only, solve};
pub use crate::study::toolsheet::surrogate::{GRID, Predicted, Surrogate, grid, range, reduced};

/// Told how far every solution is, 0 to 1; may stop all. Called from several threads.
pub type Watch<'a> = &'a (dyn Fn(usize, f64) -> ControlFlow<()> + Sync);

/// Number of solutions a sheet needs.
#[must_use]
pub fn solutions(sheet: &Sheet) -> usize {
    of_one_size(sheet) + chain::count(sheet)
}

/// Number of those that the first size takes.
fn of_one_size(sheet: &Sheet) -> usize {
    1 + 3 + 2 + GRID * GRID + sheet.draws.held_out + beside::COUNT
}

/// Makes the sheet.
///
/// # Errors
///
/// [`SheetError`] of any kind.
pub fn make(sheet: &Sheet, watch: Watch<'_>) -> Result<Finished, SheetError> {
    let middle = 0.5 * (sheet.expansion[0] + sheet.expansion[1]);
    let pilot = expand_only(sheet, guessed_start(sheet, middle), middle, |share| watch(0, share))?;
    let limits = derive(sheet, &pilot)?;
    let first_of_chain = of_one_size(sheet);
    let chained = chain::choose(sheet, &limits, |k, share| watch(first_of_chain + k, share))?;
    let first_end = first_of_chain - 2 - beside::COUNT;
    let names = ["smallest", "nominal", "largest"];
    let sizes = draw_all(sheet, &limits);
    let held = held_out(&sizes, sheet.draws.held_out);
    let (range, nominal) = (range(&limits), limits.corner(1));
    let grid = grid(range, nominal.start);
    let corners: Vec<Sizes> = (0..3).map(|k| limits.corner(k)).collect();
    let all: Vec<(String, Sizes)> = corners
        .iter()
        .zip(names)
        .map(|(sizes, name)| (format!("the {name} expansion"), *sizes))
        .chain(grid.iter().map(|sizes| ("a set of the surrogate".to_owned(), *sizes)))
        .chain(held.iter().map(|&k| ("a drawn set of sizes".to_owned(), sizes[k])))
        .collect();
    let solved: Vec<Result<Found, SheetError>> = all
        .par_iter()
        .enumerate()
        .with_max_len(1)
        .map(|(k, (what, sizes))| solve(sheet, sizes, what, |share| watch(k + 1, share)))
        .collect();
    let ends: Vec<Result<Expanded, SheetError>> = limits
        .gauge_ends()
        .par_iter()
        .enumerate()
        .map(|(k, sizes)| {
            let progress = |share| watch(first_end + k, share);
            expand_only(sheet, sizes.start, sizes.expansion(), progress)
        })
        .collect();
    // The first error in the order of the list, whichever came first in time.
    let mut solved = solved.into_iter().collect::<Result<Vec<_>, _>>()?.into_iter();
    let mut ends = ends.into_iter().collect::<Result<Vec<_>, _>>()?.into_iter();
    let mut end = || ends.next().ok_or(SheetError::Stopped);
    let ends = [end()?, end()?];
    let mut next = || solved.next().ok_or(SheetError::Stopped);
    let mut corner = |k: usize| -> Result<Corner, SheetError> {
        Ok(Corner { name: names[k], sizes: corners[k], found: next()? })
    };
    let corners = [corner(0)?, corner(1)?, corner(2)?];
    let on_grid: Vec<Found> = grid.iter().map(|_| next()).collect::<Result<_, _>>()?;
    let surrogate = Surrogate::new(range, nominal.start, &on_grid);
    let drawn: Vec<Predicted> = sizes.iter().map(|sizes| surrogate.at(sizes)).collect();
    let held = held
        .into_iter()
        .map(|k| Ok(Held { sizes: sizes[k], predicted: drawn[k].clone(), found: next()? }))
        .collect::<Result<Vec<_>, SheetError>>()?;
    let first_beside = first_of_chain - beside::COUNT;
    let (beside, missing) =
        beside::beside(sheet, &limits.corner(1), |k, share| watch(first_beside + k, share))?;
    let mut finished = Finished {
        expanded_plug: None,
        limits,
        corners,
        ends,
        drawn,
        sizes,
        held,
        beside,
        chain: vec![],
        solutions: solutions(sheet),
        warnings: sheet.warnings.iter().cloned().chain(missing).collect(),
    };
    finished.expanded_plug = finished.limits.plug(finished.expanded()[0], sheet.step);
    finished.chain = chain::work(sheet, &chained, finished.expanded(), |k, share| {
        watch(first_of_chain + k, share)
    })?;
    warn(sheet, &surrogate, &mut finished);
    warn_of_chain(sheet, &mut finished);
    Ok(finished)
}

/// Warns of outputs without percentiles, of a missing gauge and of a ream that takes too little.
fn warn(sheet: &Sheet, surrogate: &Surrogate, finished: &mut Finished) {
    for output in OUTPUTS {
        if !surrogate.has(output) {
            finished.warnings.push(format!(
                "no percentiles of the {}: some sets of sizes have none",
                output.words()
            ));
        }
    }
    if finished.expanded_plug.is_none() {
        finished.warnings.push(
            "the largest starting hole is as large as the smallest expanded hole: no gauge tells \
             whether a hole was expanded"
                .to_owned(),
        );
    }
    let cut = finished.limits.finished[0] - finished.expanded()[1];
    if cut < sheet.least_cut - 1e-9 {
        finished.warnings.push(format!(
            "in the worst case the ream takes {} off the diameter, less than the least cut of {}; \
             raise `allowance`",
            sheet.show_length(cut),
            sheet.show_length(sheet.least_cut)
        ));
    }
}

/// Warns of a repair size without a gauge, and of one whose last ream takes too little.
fn warn_of_chain(sheet: &Sheet, finished: &mut Finished) {
    for (which, size) in finished.chain.iter().enumerate().skip(1) {
        if size.plug.is_none() {
            finished.warnings.push(format!(
                "oversize {which}: no gauge tells whether a hole was expanded, as its largest starting \
                 hole is as large as its smallest expanded hole"
            ));
        }
        let cut = size.limits.finished[0] - size.expanded[1];
        if cut < sheet.least_cut - 1e-9 {
            finished.warnings.push(format!(
                "oversize {which}: in the worst case the ream takes {} off the diameter, less than the \
                 least cut of {}; raise `allowance`",
                sheet.show_length(cut),
                sheet.show_length(sheet.least_cut)
            ));
        }
    }
}
