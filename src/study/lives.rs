//! Lives of cracks at the holes of a case, plain and expanded, and what the difference is worth.
//!
//! From the last residual state of the run, after the service load has changed it ([`settle`](mod@settle)), the hoop
//! stress along every path a crack may take, from an elastic solution on the same mesh that of the service
//! load, and from both the lives ([`crate::fatigue::assessment`]). Distances are those in the part as it stands, with
//! small strains as drawn. The hole is the drawn one: after an expansion it stands larger in the part by what it has retained.

mod corner;
mod corner_report;
mod life_report;
mod loops;
mod on_crack_line;
mod places;
mod plan;
mod refusal;
mod relaxed;
pub mod settle;
mod trade;

use std::sync::atomic::{AtomicBool, Ordering};

use rayon::prelude::*;

use crate::case::Case;
use crate::case::life_table::LifeSettings;
pub use crate::fatigue::assessment::{Assessed, Place};
use crate::fatigue::assessment::{Comparison, Ground, at_holes, compare, shortest, worst};
use crate::fatigue::crack_life::Grower;
use crate::numeric::profile::Profile;
use crate::process::snapshot::Snapshot;
use crate::result::accuracy::edge_error;
use crate::study::bracket::BoundingState;
use crate::study::last_state::{NoShelf, Shelf};
pub use crate::study::lives::corner_report::{
    CornerBand, CornerPlace, CornerReport, DepthSource, FlawLife, SectionUsed,
};
pub use crate::study::lives::life_report::{
    Alternative, Bound, Credit, KnockDown, LifeReport, MeshSwing, Relaxation, StressLife, Trade,
};
pub use crate::study::lives::loops::{add_loops, local};
use crate::study::lives::on_crack_line::on_crack_line;
use crate::study::lives::places::Lines;
pub use crate::study::lives::places::residual_state;
pub use crate::study::lives::plan::{Plan, plan};
pub use crate::study::lives::refusal::LifeRefusal;
use crate::study::lives::relaxed::{Family, Source};
use crate::study::lives::settle::{Settled, settle, yielding_begins};

/// Flaw in a plain hole whose life is the most that is credited to an expanded one, mm: 0.005 in,
/// public military guidance (from memory).
const CREDITED_FLAW: f64 = 0.127;

/// Shares of the residual stress that the life is given for.
const SHARES: [f64; 3] = [1.0, 0.75, 0.5];

/// Lives from the finished snapshots of `case`; `bounds` are the last states under the bounding
/// hardening laws. Looks at `stop` between its parts.
///
/// # Errors
/// [`LifeRefusal`].
pub fn lives(
    case: &Case,
    plan: Plan,
    snapshots: &[Snapshot],
    bounds: &[BoundingState],
    stop: &AtomicBool,
) -> Result<LifeReport, LifeRefusal> {
    shelved_lives(case, plan, (snapshots, bounds), stop, &NoShelf)
}

/// The same, with the states that the load leaves taken from `shelf` where an earlier run has left them, and put
/// there otherwise.
///
/// # Errors
/// [`LifeRefusal`].
pub fn shelved_lives(
    case: &Case,
    plan: Plan,
    (snapshots, bounds): (&[Snapshot], &[BoundingState]),
    stop: &AtomicBool,
    shelf: &dyn Shelf,
) -> Result<LifeReport, LifeRefusal> {
    let Some(settings) = &case.life else { return Err(LifeRefusal::NoTable) };
    let state = residual_state(snapshots).ok_or(LifeRefusal::NoResidualState)?;
    let ground = &plan.ground;
    let Compared { lines, settled, comparisons } =
        compared(case, settings, ground, state, (stop, shelf))?;
    go_on(stop)?;
    let mut warnings = lines.warnings.clone();
    let shares = ground.sequence.extremes().map(|stress| stress / settings.tension);
    let onset = yielding_begins(case, (state, &lines.answer), &lines.directions(), shares)?;
    let Some(governing) = worst(at_holes(&comparisons)) else { return Err(LifeRefusal::NoPath) };
    let governing = governing.clone();
    warnings.extend(relaxation_warning(case, settings, (ground, &comparisons), settled.as_ref()));
    if let Some(last) = snapshots.last().filter(|last| last.label != state.label) {
        warnings.push(format!(
            "the residual state is that of {}; stage {} after it leaves a load or pin in place and is not in it",
            state.label, last.label
        ));
    }
    let bounds: Vec<Result<Bound, LifeRefusal>> = bounds
        .par_iter()
        .map(|bound| bounding(case, settings, &plan, bound, (stop, shelf)))
        .collect();
    // The first refusal in their order, whichever was found first.
    let bounds = bounds.into_iter().collect::<Result<Vec<_>, _>>()?;
    go_on(stop)?;
    let holes: Vec<Comparison> = at_holes(&comparisons).cloned().collect();
    let own: Vec<Grower> = holes.iter().map(|c| c.expanded.grower.clone()).collect();
    let family = if settled.is_some() {
        let source = Source { case, settings, ground, lines: &lines, state, stop, shelf };
        Family::solved(&source, own, onset)?
    } else {
        Family::fixed(own, onset)
    };
    go_on(stop)?;
    let (corner, (trade, (knock_downs, mesh))) = rayon::join(
        || corner::corner(case, settings, &plan, &comparisons, &bounds),
        || {
            rayon::join(
                || trade::trade(case, settings, &plan, (&holes, &family), state),
                || (knock_downs(ground, &holes), mesh_swing(case, ground, &holes, &governing)),
            )
        },
    );
    go_on(stop)?;
    let trade = trade?;
    Ok(LifeReport {
        title: case.title.clone(),
        case_sha256: case.sha256.clone(),
        case_text: case.text.clone(),
        units: case.units,
        material_name: case.material_name.clone(),
        idealisation: case.job.idealisation.name(),
        stage: state.label.clone(),
        tension: settings.tension,
        load_words: plan.load_words,
        loop_words: None,
        toughness_words: plan.toughness_words,
        relaxation: settled.map(|settled| Relaxation {
            cycles: settled.cycles,
            yielded: settled.yielded(),
            settled: settled.is_settled(),
        }),
        credit: credit(&plan.ground, &holes),
        knock_downs,
        mesh,
        measured: on_crack_line(case, &governing.place),
        ground: plan.ground,
        comparisons,
        governing,
        bounds,
        corner,
        trade,
        warnings,
    })
}

fn go_on(stop: &AtomicBool) -> Result<(), LifeRefusal> {
    if stop.load(Ordering::SeqCst) { Err(LifeRefusal::Stopped) } else { Ok(()) }
}

/// Shortest lives of a case without what a report says beside: `[plain, expanded]`, cycles, each over all places at
/// holes, infinite where there is no end.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ShortestLives {
    /// Of a through crack.
    pub through: [f64; 2],
    /// Of a part-through crack; `None` when no place can have one.
    pub corner: Option<[f64; 2]>,
}

/// The shortest lives from the finished snapshots of `case`; part-through cracks only where `corner` asks for
/// them. When `stop` is set the answer comes early and is worth nothing.
///
/// # Errors
/// [`LifeRefusal`].
pub fn shortest_lives(
    case: &Case,
    plan: &Plan,
    snapshots: &[Snapshot],
    with_corner: bool,
    stop: &AtomicBool,
) -> Result<ShortestLives, LifeRefusal> {
    let Some(settings) = &case.life else { return Err(LifeRefusal::NoTable) };
    let state = residual_state(snapshots).ok_or(LifeRefusal::NoResidualState)?;
    let comparisons = compared(case, settings, &plan.ground, state, (stop, &NoShelf))?.comparisons;
    if at_holes(&comparisons).next().is_none() {
        return Err(LifeRefusal::NoPath);
    }
    let through = shortest(at_holes(&comparisons));
    let corner =
        with_corner.then(|| corner::shortest(case, settings, plan, &comparisons)).flatten();
    Ok(ShortestLives { through, corner })
}

/// All places of a case with both lives, and what they were read from.
struct Compared {
    lines: Lines,
    settled: Option<Settled>,
    comparisons: Vec<Comparison>,
}

fn compared(
    case: &Case,
    settings: &LifeSettings,
    ground: &Ground,
    state: &Snapshot,
    (stop, shelf): (&AtomicBool, &dyn Shelf),
) -> Result<Compared, LifeRefusal> {
    let lines = Lines::new(case, settings, state)?;
    let shares = ground.sequence.extremes().map(|stress| stress / settings.tension);
    let settled = if settings.relaxation {
        settle(&case.job, state, &settings.load, shares, stop, (shelf, "settled"))?
    } else {
        None
    };
    let now = settled.as_ref().map_or(state, |settled| &settled.snapshot);
    let before = settled.as_ref().map(|_| state);
    let comparisons = lines
        .places(case, settings, now, before)?
        .into_iter()
        .map(|place| one(ground, place))
        .collect::<Result<Vec<_>, _>>()?;
    Ok(Compared { lines, settled, comparisons })
}

fn one(ground: &Ground, place: Place) -> Result<Comparison, LifeRefusal> {
    let (hole, angle_deg) = (place.hole.clone(), place.angle_deg);
    compare(ground, place).map_err(|error| LifeRefusal::Life { hole, angle_deg, error })
}

/// The worst place under a bounding hardening law, its residual state under the load too.
fn bounding(
    case: &Case,
    settings: &LifeSettings,
    plan: &Plan,
    bound: &BoundingState,
    (stop, shelf): (&AtomicBool, &dyn Shelf),
) -> Result<Bound, LifeRefusal> {
    let shares = plan.ground.sequence.extremes().map(|stress| stress / settings.tension);
    let lines = Lines::new(case, settings, &bound.snapshot)?;
    let settled = if settings.relaxation {
        let name = format!("settled-{}", bound.hardening);
        settle(&bound.job, &bound.snapshot, &settings.load, shares, stop, (shelf, &name))?
    } else {
        None
    };
    let now = settled.as_ref().map_or(&bound.snapshot, |settled| &settled.snapshot);
    let comparisons = lines
        .places(case, settings, now, None)?
        .into_iter()
        .map(|place| one(&plan.ground, place))
        .collect::<Result<Vec<_>, _>>()?;
    let worst = worst(at_holes(&comparisons)).ok_or(LifeRefusal::NoPath)?;
    Ok(Bound { hardening: bound.hardening.to_owned(), worst: worst.clone() })
}

/// The life of the part with a share of the residual stress everywhere, cycles.
fn with_share(ground: &Ground, places: &[Comparison], share: f64) -> f64 {
    let lives = places.iter().map(|place| {
        place.expanded.grower.with_residual_share(share).cycles_borne(&ground.sequence)
    });
    lives.fold(f64::INFINITY, f64::min)
}

fn knock_downs(ground: &Ground, places: &[Comparison]) -> Vec<KnockDown> {
    let one = |share| KnockDown { share, cycles: with_share(ground, places, share) };
    SHARES.into_iter().map(one).collect()
}

/// The life with the error of mesh and increments at the edge, were all of the residual stress off in proportion.
fn mesh_swing(
    case: &Case,
    ground: &Ground,
    places: &[Comparison],
    governing: &Comparison,
) -> Option<MeshSwing> {
    let edge = edge_error(&case.job.numerics, case.job.material.yield_stress)?;
    let residual = governing.place.residual_hoop.values().first()?.abs();
    let share = (residual > edge).then(|| edge / residual)?;
    let cycles = [1.0 - share, 1.0 + share].map(|times| with_share(ground, places, times));
    Some(MeshSwing { edge, share, cycles })
}

/// The plain hole with the small flaw of military guidance, all places.
fn credit(ground: &Ground, places: &[Comparison]) -> Credit {
    let flaw = CREDITED_FLAW.min(ground.initial);
    let lives = places.iter().filter_map(|comparison| {
        let plain = comparison.place.plain();
        let (model, limits) = (ground.model.clone(), ground.limits);
        let grower = Grower::new(&plain, model, limits, ground.contact, flaw).ok()?;
        Some(grower.cycles_borne(&ground.sequence))
    });
    Credit { flaw, cycles: lives.fold(f64::INFINITY, f64::min) }
}

/// Whether the residual field stays under the load, in words where it does not or may not.
fn relaxation_warning(
    case: &Case,
    settings: &LifeSettings,
    (ground, places): (&Ground, &[Comparison]),
    settled: Option<&Settled>,
) -> Option<String> {
    if let Some(settled) = settled {
        return (!settled.is_settled()).then(|| {
            format!(
                "after {} cycles of the load the metal still yields in every cycle: the residual stress is \
                 that of the last one and may go on changing, and the crack may start anew each time",
                settled.cycles
            )
        });
    }
    if settings.relaxation {
        return Some(
            "the plate does not bear the load of [life] with the metal as it stands: the residual stress is \
             that of the work, without what this load would leave of it"
                .to_owned(),
        );
    }
    let limit = case.job.material.elastic_limit();
    let [low, high] = ground.sequence.extremes();
    let edge = |profile: &Profile| profile.values().first().copied();
    let ends = places.iter().filter_map(|at| {
        let (load, left) = (edge(&at.place.load_hoop)?, edge(&at.place.residual_hoop)?);
        // The edge has yielded both ways: a compression deeper than what springback left yields for
        // certain, and a tension beyond the elastic limit too.
        let (down, up) = (load * low + left, load * high + left);
        let deeper = down < left.min(-limit);
        (deeper || up > limit).then_some((at, [(deeper, down), (up > limit, up)]))
    });
    let (at, ends) = ends.reduce(|a, b| {
        let worst = |ends: &[(bool, f64); 2]| ends[0].1.abs().max(ends[1].1.abs());
        if worst(&b.1) > worst(&a.1) { b } else { a }
    })?;
    let stresses: Vec<String> = ends
        .into_iter()
        .filter(|(beyond, _)| *beyond)
        .map(|(_, stress)| format!("{stress:.0} MPa"))
        .collect();
    Some(format!(
        "load and residual stress add up to {} at the edge of hole {}, beyond the elastic limit of \
         {limit:.0} MPa: the edge yields in service and the residual stress relaxes, which \
         `relaxation = false` leaves out",
        stresses.join(" and "),
        at.place.hole
    ))
}
