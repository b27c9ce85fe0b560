//! The chain of repair sizes: the finished hole is reamed to another starting diameter, which cleans
//! it up, expanded by a larger tool, reamed to the next size, and so on.
//!
//! Tools and limits of each size are chosen as those of the first ([`derive`]), but from the expansion of
//! a hole that has been through the chain up to there: worked metal keeps another share. The chain is
//! then solved with the nominal sizes, and new holes of every size beside it.

use std::ops::ControlFlow;

use rayon::prelude::*;

use crate::case::complaint::Complaint;
use crate::case::sheet::Sheet;
use crate::process::job::Job;
use crate::process::snapshot::Snapshot;
use crate::process::stage::Stage;
use crate::result::read::read;
use crate::result::summary::{PathSummary, StageSummary};
use crate::study::toolsheet::limits::{ALLOWANCE, Limits, derive, guessed_start};
use crate::study::toolsheet::sheet_error::SheetError;
use crate::study::toolsheet::sizes::Sizes;
use crate::study::toolsheet::solve::{Expanded, Follow, expanded, job, tool};

/// How far the first guess of a starting hole lies above the hole before it, as a share of it: a ream
/// leaves a hole out of round by less.
const CLEAR: f64 = 0.005;

/// One size of the chain.
#[derive(Clone, Debug, PartialEq)]
pub struct ChainSize {
    /// Limits of tools and holes, chosen as those of the first size.
    pub limits: Limits,
    /// Smallest and largest applied expansion that the limits allow, fractions.
    pub expansion: [f64; 2],
    /// Edge margin e/D at the nominal finished diameter.
    pub edge_margin: f64,
    /// Smallest to largest diameter after expansion, over directions and limits, mm.
    pub expanded: [f64; 2],
    /// Plug that tells an expanded hole from a starting hole, as [`Limits::plug`].
    pub plug: Option<f64>,
    /// Weakest path after the clean-up, before this size is expanded; `None` for the first size.
    pub cleaned_up: Option<PathSummary>,
    /// Weakest path of the hole that has been through the chain up to this size.
    pub left: PathSummary,
    /// Weakest path of a new hole of this size, made with the same tools.
    pub new: PathSummary,
}

/// Number of solutions of the chain, its pilots included; none without repair sizes.
pub(super) fn count(sheet: &Sheet) -> usize {
    match sheet.oversizes.len() {
        0 => 0,
        sizes => 4 * sizes + 2,
    }
}

/// The job of a hole that goes through `sizes`, the first of them drilled: expand and ream, then for
/// every further size ream to its starting diameter, expand and ream.
///
/// # Panics
///
/// When there is no size.
#[must_use]
pub fn chain_job(sheet: &Sheet, sizes: &[Sizes]) -> Job {
    let tool = |size: &Sizes| tool(sheet, size.mandrel, size.sleeve);
    let first = &sizes[0];
    let mut job = job(sheet, first.start, tool(first), Some(first.finished));
    let ream = |diameter| Stage::Ream { hole: 0, diameter, offset: [0.0; 2] };
    for size in &sizes[1..] {
        let expand = Stage::Expand { hole: 0, tool: tool(size) };
        job.stages.extend([ream(size.start), expand, ream(size.finished)]);
    }
    job
}

/// The same without the last ream.
fn expanded_job(sheet: &Sheet, sizes: &[Sizes]) -> Job {
    let mut job = chain_job(sheet, sizes);
    job.stages.pop();
    job
}

/// Limits of every size, those of the first being `first`; empty without repair sizes. `watch` as of the
/// sheet, numbered from the first solution of the chain.
///
/// # Errors
///
/// [`SheetError::Complaint`] at a size with nothing to clean up or tolerances that do not fit, and as
/// [`solve`](crate::study::toolsheet::solve).
pub(super) fn choose(
    sheet: &Sheet,
    first: &Limits,
    watch: impl Fn(usize, f64) -> ControlFlow<()>,
) -> Result<Vec<Limits>, SheetError> {
    if sheet.oversizes.is_empty() {
        return Ok(vec![]);
    }
    let expansion = 0.5 * (sheet.expansion[0] + sheet.expansion[1]);
    let mut limits = vec![*first];
    let mut sizes = vec![first.corner(1)];
    for which in 1..=sheet.oversizes.len() {
        let own = sheet.at_size(which);
        let before = limits[which - 1];
        let worked = sizes[which - 1].finished;
        let start = guessed_start(&own, expansion).max(worked * (1.0 + CLEAR) + sheet.least_cut);
        let pilot = Sizes { start, mandrel: start * (1.0 + expansion), sleeve: 0.0, ..sizes[0] };
        let job = expanded_job(sheet, &[&sizes[..], &[pilot]].concat());
        let what = format!("oversize {which}, first expansion");
        let snapshots = Follow::run(&job, &what, |share| watch(which - 1, share))?;
        let [.., reamed, _, last] = snapshots.as_slice() else { return Err(SheetError::Stopped) };
        let (reamed, last) = (summary(reamed, &job, sheet)?, summary(last, &job, sheet)?);
        let pilot = expanded(&last.holes[0], start);
        let next = derive(&own, &pilot).map_err(|complaint| named(complaint, which))?;
        // A ream into stressed metal leaves the hole a little out of round.
        let largest = before.finished[1] + (reamed.holes[0].largest_diameter - worked).max(0.0);
        let cut = next.start[0] - largest;
        if cut <= 0.0 || cut < sheet.least_cut - 1e-9 {
            return Err(nothing_left(&own, which, [next.start[0], largest], &pilot).into());
        }
        sizes.push(next.corner(1));
        limits.push(next);
    }
    Ok(limits)
}

/// The complaint with the size in front.
fn named(mut complaint: Complaint, which: usize) -> Complaint {
    complaint.problem = format!("oversize {which}: {}", complaint.problem);
    complaint
}

/// The complaint that the starting hole of size `which`, from `start` on, does not clean up the hole
/// before it, up to `before`; mm.
fn nothing_left(
    own: &Sheet,
    which: usize,
    [start, before]: [f64; 2],
    pilot: &Expanded,
) -> Complaint {
    let problem = format!(
        "nothing is left to clean up before oversize {which}: its starting hole may be as small as {}, \
         the hole before it as large as {}, and the least cut is {}",
        own.show_length(start),
        own.show_length(before),
        own.show_length(own.least_cut)
    );
    // The allowance grows with the diameter, and two sizes are rounded.
    let missing = own.least_cut - (start - before);
    let more = missing * (1.0 + pilot.retained) / (1.0 - ALLOWANCE) + 2.0 * own.step;
    let remedy =
        format!("raise both limits by {}, or leave this size out", own.show_length(more + 5e-4));
    own.complaint("finished_diameter", problem, remedy)
}

/// Solves the chain with the nominal sizes of `limits`, gauge ends and new holes beside it. `first` is the
/// range of the expanded hole of the first size, mm; `watch` as [`choose`].
///
/// # Errors
///
/// As [`solve`](crate::study::toolsheet::solve).
pub(super) fn work(
    sheet: &Sheet,
    limits: &[Limits],
    first: [f64; 2],
    watch: impl Fn(usize, f64) -> ControlFlow<()> + Sync,
) -> Result<Vec<ChainSize>, SheetError> {
    let Some(further) = limits.len().checked_sub(1) else { return Ok(vec![]) };
    let sizes: Vec<Sizes> = limits.iter().map(|limits| limits.corner(1)).collect();
    let ends: Vec<Sizes> = limits[1..].iter().flat_map(Limits::gauge_ends).collect();
    let mut jobs = vec![("the chain of sizes".to_owned(), chain_job(sheet, &sizes))];
    for (k, end) in ends.iter().enumerate() {
        let which = k / 2 + 1;
        let chain = [&sizes[..which], &[*end]].concat();
        jobs.push((format!("oversize {which}, for its gauges"), expanded_job(sheet, &chain)));
    }
    for (which, size) in sizes.iter().enumerate() {
        jobs.push((format!("a new hole of size {}", which + 1), chain_job(sheet, &[*size])));
    }
    let solved: Vec<Result<Vec<StageSummary>, SheetError>> = jobs
        .par_iter()
        .enumerate()
        .with_max_len(1)
        .map(|(k, (what, job))| {
            let snapshots = Follow::run(job, what, |share| watch(further + k, share))?;
            snapshots.iter().map(|snapshot| summary(snapshot, job, sheet)).collect()
        })
        .collect();
    let solved = solved.into_iter().collect::<Result<Vec<_>, _>>()?;
    let (chain, ends, new) = (&solved[0], &solved[1..=2 * further], &solved[2 * further + 1..]);
    let mut done = Vec::with_capacity(limits.len());
    for (which, limits) in limits.iter().enumerate() {
        let range = if which == 0 {
            first
        } else {
            let both = ends[2 * (which - 1)..2 * which].iter().filter_map(|end| end.last());
            spread(both.chain([&chain[3 * which]]))
        };
        let new = weakest(new[which].last())?;
        done.push(ChainSize {
            limits: *limits,
            expansion: [0, 2].map(|end| limits.corner(end).expansion()),
            edge_margin: sheet.plate.edge_margin(0, sizes[which].finished),
            expanded: range,
            plug: limits.plug(range[0], sheet.step),
            cleaned_up: (which > 0).then(|| weakest(chain.get(3 * which - 1))).transpose()?,
            // The first size is a new hole; in the chain its mesh is made for later reams too.
            left: if which == 0 { new.clone() } else { weakest(chain.get(3 * which + 1))? },
            new,
        });
    }
    Ok(done)
}

/// Smallest and largest diameter of the hole, mm.
fn spread<'a>(stages: impl Iterator<Item = &'a StageSummary>) -> [f64; 2] {
    stages.fold([f64::INFINITY, f64::NEG_INFINITY], |[low, high], stage| {
        let hole = &stage.holes[0];
        [low.min(hole.smallest_diameter), high.max(hole.largest_diameter)]
    })
}

fn summary(snapshot: &Snapshot, job: &Job, sheet: &Sheet) -> Result<StageSummary, SheetError> {
    let extra = [sheet.path.into_iter().collect::<Vec<f64>>()];
    Ok(read(snapshot, job, &extra)?.1)
}

/// The path whose edge keeps the least compression.
fn weakest(stage: Option<&StageSummary>) -> Result<PathSummary, SheetError> {
    let paths = stage.into_iter().flat_map(|stage| &stage.paths);
    let weakest = paths.max_by(|a, b| a.edge_hoop.total_cmp(&b.edge_hoop));
    weakest.cloned().ok_or(SheetError::Stopped)
}
