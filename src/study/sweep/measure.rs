//! Numbers read from the states of one case.

use std::collections::BTreeMap;

use crate::case::Case;
use crate::case::study::{
    CrackKind, LifeNumber, LifeReading, Measured, Number, Reading, Towards, When,
};
use crate::numeric::profile::Profile;
use crate::process::snapshot::Snapshot;
use crate::result::path::StressPath;
use crate::result::read::{path_angles, read};
use crate::result::summary::{HoleSummary, PathSummary, StageSummary};
use crate::solver::tables::FoldedElement;
use crate::study::lives::ShortestLives;
use crate::study::sweep::outcome::PathRow;
use crate::units::quantity::Quantity;

/// Directions closer than this, degrees, are one path.
const SAME_ANGLE: f64 = 1e-6;

/// End of the label of a state at full size or full load.
const FULL: &str = "-full";

/// A state as read.
#[derive(Debug)]
pub(super) struct ReadState {
    summary: StageSummary,
    paths: Vec<StressPath>,
}

/// The states of one case, read when they are asked for.
#[derive(Debug, Default)]
pub(super) struct States {
    pub(super) snapshots: Vec<Snapshot>,
    pub(super) read: Vec<Option<ReadState>>,
}

impl States {
    /// Takes one more state.
    pub(super) fn push(&mut self, snapshot: Snapshot) {
        self.snapshots.push(snapshot);
        self.read.push(None);
    }

    /// Keeps the states of the first `stages` stages.
    pub(super) fn keep(&mut self, stages: usize) {
        let count = self.snapshots.iter().take_while(|s| s.stage <= stages).count();
        self.snapshots.truncate(count);
        self.read.truncate(count);
    }

    fn state(&mut self, index: usize, case: &Case) -> Result<&ReadState, FoldedElement> {
        if self.read[index].is_none() {
            let (stage, summary) = read(&self.snapshots[index], &case.job, &case.path_angles)?;
            self.read[index] = Some(ReadState { summary, paths: stage.paths });
        }
        Ok(self.read[index].as_ref().expect("it was read above"))
    }

    /// Indices of the states that `when` may mean, the best first.
    fn candidates(&self, when: &When, hole: &str) -> Vec<usize> {
        let all = (0..self.snapshots.len()).rev();
        let label = |index: &usize| self.snapshots[*index].label.as_str();
        match when {
            When::LastResidual => {
                let residual = |k: &usize| !self.snapshots[*k].loaded && !label(k).ends_with(FULL);
                all.filter(residual).collect()
            }
            When::LastFull => {
                let own = format!("-expand-{hole}{FULL}");
                let mut full: Vec<usize> = all.filter(|k| label(k).ends_with(FULL)).collect();
                full.sort_by_key(|k| !label(k).ends_with(&own));
                full
            }
            When::Labelled(wanted) => {
                let ending = format!("-{wanted}");
                let meant = |k: &usize| label(k) == wanted || label(k).ends_with(&ending);
                all.filter(meant).take(1).collect()
            }
        }
    }
}

/// The numbers wanted, in the units of the case. `variables` are axes and values by name; `lives` are there when
/// a number is one.
///
/// # Errors
///
/// [`FoldedElement`] when a state stands on a mesh that cannot be read.
pub(super) fn evaluate(
    numbers: &[Number],
    variables: &BTreeMap<String, f64>,
    (case, lives): (&Case, Option<&ShortestLives>),
    states: &mut States,
) -> Result<Vec<Option<f64>>, FoldedElement> {
    let mut known = variables.clone();
    let yielding = case.job.material.monotonic_stress(0.002);
    known.insert("yield_stress".to_owned(), Quantity::Stress.at_border(yielding, case.units));
    let radius = case.job.plate.holes.first().map_or(0.0, crate::geometry::hole::Hole::radius);
    known.insert("starting_radius".to_owned(), Quantity::Length.at_border(radius, case.units));
    let mut found = Vec::with_capacity(numbers.len());
    for number in numbers {
        let value = match &number.reading {
            Reading::Measured(measured) => measure(measured, case, states)?
                .map(|value| measured.quantity().at_border(value, case.units)),
            Reading::Life(reading) => lives.and_then(|lives| life(*reading, lives)),
            Reading::Computed(expression) => expression.value(|name| known.get(name).copied()),
        };
        let value = value.filter(|value| value.is_finite());
        if let Some(value) = value {
            known.insert(number.name.clone(), value);
        }
        found.push(value);
    }
    Ok(found)
}

/// One number of the shortest lives; without an end it is infinite.
fn life(reading: LifeReading, lives: &ShortestLives) -> Option<f64> {
    let [plain, expanded] = match reading.crack {
        CrackKind::Through => lives.through,
        CrackKind::Corner => lives.corner?,
    };
    Some(match reading.number {
        LifeNumber::Plain => plain,
        LifeNumber::Expanded => expanded,
        LifeNumber::Factor => expanded / plain,
    })
}

/// One number, mm and MPa.
fn measure(
    measured: &Measured,
    case: &Case,
    states: &mut States,
) -> Result<Option<f64>, FoldedElement> {
    let plate = &case.job.plate;
    let Some(hole) = plate.holes.get(measured.hole) else { return Ok(None) };
    let candidates = states.candidates(&measured.when, &hole.name);
    // What a hole keeps is gone after the ream, and a tool presses in one stage only: then the last state
    // that has the number counts. Any other number is that of the first candidate.
    let searched = ["retained_expansion", "mean_pressure", "peak_pressure", "mandrel_shift"]
        .contains(&measured.measure);
    let tried = if searched { candidates.len() } else { 1 };
    for index in candidates.into_iter().take(tried) {
        let state = states.state(index, case)?;
        if let Some(value) = in_state(measured, case, state) {
            return Ok(Some(value));
        }
    }
    Ok(None)
}

fn in_state(measured: &Measured, case: &Case, state: &ReadState) -> Option<f64> {
    let name = &case.job.plate.holes[measured.hole].name;
    let hole = || state.summary.holes.iter().find(|hole| hole.hole == *name);
    // The first bush of a hole has its name.
    let bush = || state.summary.bushes.iter().find(|bush| bush.name == *name);
    let pressed = || hole().filter(|hole| hole.peak_pressure > 0.0);
    let angle = || direction(measured, case);
    let path = || {
        let angle = angle();
        let same = |path: &&PathSummary| path.hole == *name && turn(path.angle_deg, angle);
        state.summary.paths.iter().find(same)
    };
    let profile = || {
        let angle = angle();
        let same = |path: &&StressPath| path.hole == *name && turn(path.angle_deg, angle);
        state.paths.iter().find(same).map(StressPath::hoop)
    };
    match measured.measure {
        "edge_hoop" => path().map(|path| path.edge_hoop),
        "peak_compression" => path()?.peak_compression.map(|[stress, _]| stress),
        "compression_depth" => path()?.compression_depth,
        "peak_tension" => path()?.peak_tension.map(|[stress, _]| stress),
        "plastic_extent" => path().map(|path| path.plastic_extent),
        "reverse_yield_extent" => path().map(|path| path.reverse_yield_extent),
        "retained_expansion" => hole()?.retained_expansion,
        "smallest_diameter" => hole().map(|hole| hole.smallest_diameter),
        "largest_diameter" => hole().map(|hole| hole.largest_diameter),
        "mean_pressure" => pressed().map(|hole| hole.mean_pressure),
        "peak_pressure" => pressed().map(|hole| hole.peak_pressure),
        "mandrel_shift" => pressed().map(shift),
        "fit_pressure" => bush().map(|bush| bush.mean_pressure),
        "push_out_force" => bush().map(|bush| bush.push_out_force),
        "bulge" => bulge(measured, case, state),
        "hoop_at" => profile()?.at(measured.distance),
        "depth_to" => profile().map(|profile| depth_to(&profile, measured.level)),
        _ => None,
    }
}

fn shift(hole: &HoleSummary) -> f64 {
    hole.mandrel_shift[0].hypot(hole.mandrel_shift[1])
}

/// The distance from the edge over which the stress stays at or below `level`; 0 when the edge is above
/// it, the whole path when it is never passed.
fn depth_to(profile: &Profile, level: f64) -> f64 {
    if profile.values().first().is_none_or(|edge| *edge > level) {
        return 0.0;
    }
    let end = profile.distances().last().copied().unwrap_or(0.0);
    profile.crossings(level).into_iter().find(|distance| *distance > 0.0).unwrap_or(end)
}

fn bulge(measured: &Measured, case: &Case, state: &ReadState) -> Option<f64> {
    let plate = &case.job.plate;
    let centre = plate.holes[measured.hole].centre;
    let name = match &measured.edge {
        Some(name) => name.clone(),
        None => plate.outline.nearest_edge(centre).name,
    };
    state.summary.edges.iter().find(|edge| edge.edge == name).map(|edge| edge.bulge)
}

/// Whether two directions, degrees, are one.
fn turn(a: f64, b: f64) -> bool {
    let apart = (a - b).rem_euclid(360.0);
    apart.min(360.0 - apart) < SAME_ANGLE
}

/// Direction of the path of a number, degrees.
fn direction(measured: &Measured, case: &Case) -> f64 {
    let plate = &case.job.plate;
    let nearest = || plate.nearest_edge(measured.hole).angle.to_degrees();
    match measured.towards {
        Towards::Edge => nearest(),
        Towards::Inside => nearest() + 180.0,
        Towards::Angle(angle) => angle,
        Towards::Hole(other) => match plate.holes.get(other) {
            Some(other) => plate.holes[measured.hole].angle_to(other.centre).to_degrees(),
            None => 0.0,
        },
    }
}

/// Adds the directions that numbers ask for to the paths of `case`.
pub(super) fn add_paths(case: &mut Case, numbers: &[Number]) {
    case.path_angles.resize(case.job.plate.holes.len(), Vec::new());
    for number in numbers {
        if let Reading::Measured(measured) = &number.reading
            && let Towards::Angle(angle) = &measured.towards
            && let Some(angles) = case.path_angles.get_mut(measured.hole)
        {
            let known = path_angles(&case.job.plate, measured.hole, angles);
            if !known.iter().any(|known| turn(*known, *angle)) {
                angles.push(*angle);
            }
        }
    }
}

/// All paths of all states, in the units of the case.
///
/// # Errors
///
/// As [`evaluate`].
pub(super) fn all_paths(case: &Case, states: &mut States) -> Result<Vec<PathRow>, FoldedElement> {
    let mut rows = Vec::new();
    let length = |value| Quantity::Length.at_border(value, case.units);
    let stress = |value| Quantity::Stress.at_border(value, case.units);
    for index in 0..states.snapshots.len() {
        let label = states.snapshots[index].label.clone();
        let state = states.state(index, case)?;
        for path in &state.paths {
            rows.extend(path.points.iter().map(|point| PathRow {
                stage: label.clone(),
                hole: path.hole.clone(),
                angle_deg: path.angle_deg,
                numbers: [
                    length(point.distance),
                    stress(point.stress.hoop),
                    stress(point.stress.radial),
                    stress(point.von_mises),
                    point.equivalent_plastic_strain,
                ],
            }));
        }
    }
    Ok(rows)
}
