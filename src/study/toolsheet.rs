//! The tool sheet: from a finished hole and a wanted expansion to the tools and what they leave.
//!
//! 1. One expansion without a ream, in the middle of the wanted band, tells what the hole keeps, hence
//!    where it must start ([`limits`]).
//! 2. Side by side: the smallest, the nominal and the largest expansion that the tolerances allow; a
//!    grid of nine for the surrogate ([`surrogate`]); some draws that the surrogate has not seen; the
//!    small tool in the small start hole and the large in the large, for the gauges.
//! 3. The draws ([`draws`]) on the surrogate, and their percentiles.
//!
//! The numbers do not depend on how many threads there are.
//!
//! Floor 8, `study`.

// As in `report`: `write!` into a string would bring a result that cannot fail to every line.
#![allow(clippy::format_push_string, clippy::format_collect)]

pub mod draws;
pub mod files;
pub mod limits;
pub mod page;
mod rows;
pub mod solve;
pub mod surrogate;

pub use rows::answer;

use std::fmt;
use std::ops::ControlFlow;

use rayon::prelude::*;

use crate::case::complaint::Complaint;
use crate::case::sheet::Sheet;
use crate::numeric::random::percentile;
use crate::process::error::StageError;
use crate::solver::tables::FoldedElement;
use crate::study::toolsheet::draws::{Sizes, draw_all, held_out};
use crate::study::toolsheet::limits::{Limits, derive};
use crate::study::toolsheet::solve::{Expanded, Found, expand_only, solve};
use crate::study::toolsheet::surrogate::{OUTPUTS, Output, Predicted, Surrogate};

/// The percentiles of a sheet.
pub const SHARES: [f64; 3] = [0.05, 0.50, 0.95];

/// What stops a sheet.
#[derive(Debug)]
#[non_exhaustive]
pub enum SheetError {
    /// The tolerances and the wanted band do not go together.
    Complaint(Box<Complaint>),
    /// A set of sizes could not be worked.
    Stage {
        /// Which set.
        what: String,
        /// Label of the stage.
        stage: String,
        /// Why.
        error: Box<StageError>,
    },
    /// A state could not be read.
    Read(FoldedElement),
    /// It was interrupted.
    Stopped,
}

impl fmt::Display for SheetError {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Complaint(complaint) => complaint.fmt(out),
            Self::Stage { what, stage, error } => write!(out, "{what}, stage {stage}: {error}"),
            Self::Read(error) => error.fmt(out),
            Self::Stopped => out.write_str("interrupted"),
        }
    }
}

impl std::error::Error for SheetError {}

impl From<Complaint> for SheetError {
    fn from(complaint: Complaint) -> Self {
        Self::Complaint(Box::new(complaint))
    }
}

impl From<FoldedElement> for SheetError {
    fn from(error: FoldedElement) -> Self {
        Self::Read(error)
    }
}

/// Told how far every solution is, 0 to 1; may stop all. Called from several threads.
pub type Watch<'a> = &'a (dyn Fn(usize, f64) -> ControlFlow<()> + Sync);

/// Smallest, nominal and largest expansion that the limits allow.
#[derive(Clone, Debug, PartialEq)]
pub struct Corner {
    /// What to call it.
    pub name: &'static str,
    /// Its sizes.
    pub sizes: Sizes,
    /// What they leave.
    pub found: Found,
}

/// How well the surrogate meets solutions it has not seen.
#[derive(Clone, Debug, PartialEq)]
pub struct Held {
    /// The sizes that were drawn.
    pub sizes: Sizes,
    /// By the surrogate.
    pub predicted: Predicted,
    /// By a solution.
    pub found: Found,
}

/// A finished sheet.
#[derive(Clone, Debug, PartialEq)]
pub struct Finished {
    /// Limits of tools, holes and gauges.
    pub limits: Limits,
    /// The three sets of sizes.
    pub corners: [Corner; 3],
    /// The hole after the smallest tool in the smallest start hole, and the largest in the largest.
    pub ends: [Expanded; 2],
    /// Plug that enters every hole that was expanded and none that was not; `None` when no diameter
    /// tells them apart.
    pub expanded_plug: Option<f64>,
    /// What the surrogate says of every draw, in the order drawn.
    pub drawn: Vec<Predicted>,
    /// The sizes drawn.
    pub sizes: Vec<Sizes>,
    /// The draws that were solved.
    pub held: Vec<Held>,
    /// Solutions behind the sheet.
    pub solutions: usize,
    /// What a reader should look at.
    pub warnings: Vec<String>,
}

impl Finished {
    /// Smallest to largest diameter after expansion, over directions and limits, mm.
    #[must_use]
    pub fn expanded(&self) -> [f64; 2] {
        // With the tool the diameter grows nearly as fast as the tool itself, with the start hole
        // a little too: none of the three sets of sizes is the end of the range.
        let all = self.corners.iter().map(|corner| corner.found.expanded).chain(self.ends);
        all.fold([f64::INFINITY, f64::NEG_INFINITY], |[low, high], one| {
            [low.min(one.smallest), high.max(one.largest)]
        })
    }

    /// Sorted values of `output` over all draws; `None` when it has no surrogate.
    #[must_use]
    pub fn sorted(&self, output: Output) -> Option<Vec<f64>> {
        let mut values: Vec<f64> =
            self.drawn.iter().map(|one| one.get(output)).collect::<Option<_>>()?;
        values.sort_by(f64::total_cmp);
        Some(values)
    }

    /// The [`SHARES`] of `output`.
    #[must_use]
    pub fn percentiles(&self, output: Output) -> Option<[f64; 3]> {
        let sorted = self.sorted(output)?;
        let [low, middle, high] = SHARES.map(|share| percentile(&sorted, share));
        Some([low?, middle?, high?])
    }

    /// Largest error of the surrogate at the draws that were solved.
    #[must_use]
    pub fn error(&self, output: Output) -> Option<f64> {
        let error =
            |held: &Held| Some((held.predicted.get(output)? - held.found.get(output)?).abs());
        self.held.iter().map(error).try_fold(0.0, |most: f64, error| Some(most.max(error?)))
    }
}

/// Number of solutions a sheet needs.
#[must_use]
pub fn solutions(sheet: &Sheet) -> usize {
    1 + 3 + 2 + surrogate::GRID * surrogate::GRID + sheet.draws.held_out
}

/// Makes the sheet.
///
/// # Errors
///
/// [`SheetError`] of any kind.
pub fn make(sheet: &Sheet, watch: Watch<'_>) -> Result<Finished, SheetError> {
    let middle = 0.5 * (sheet.expansion[0] + sheet.expansion[1]);
    let pilot =
        expand_only(sheet, limits::guessed_start(sheet, middle), middle, |share| watch(0, share))?;
    let limits = derive(sheet, &pilot)?;
    let first_end = solutions(sheet) - 2;
    let mut warnings = sheet.warnings.clone();
    let names = ["smallest", "nominal", "largest"];
    let sizes = draw_all(sheet, &limits);
    let held = held_out(&sizes, sheet.draws.held_out);
    let (range, nominal) = (surrogate::range(&limits), limits.corner(1));
    let grid = surrogate::grid(range, nominal.start);
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
    for output in OUTPUTS {
        if !surrogate.has(output) {
            warnings.push(format!(
                "no percentiles of the {}: some sets of sizes have none",
                output.words()
            ));
        }
    }
    let mut finished = Finished {
        limits,
        corners,
        ends,
        expanded_plug: None,
        drawn,
        sizes,
        held,
        solutions: solutions(sheet),
        warnings,
    };
    finished.expanded_plug = finished.limits.plug(finished.expanded()[0], sheet.step);
    if finished.expanded_plug.is_none() {
        finished.warnings.push(
            "the largest start hole is as large as the smallest expanded hole: no gauge tells \
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
    Ok(finished)
}
