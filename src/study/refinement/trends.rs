//! From solutions to trends, and what is to be said of them.

use crate::numeric::richardson::{Expected, estimate};
use crate::process::job::Job;
use crate::result::headline::{Dimension, Headline, Measure, headlines};
use crate::result::refinement::{
    INCREMENT_ORDERS, Kind, MESH_ORDERS, Refined, Remark, Series, Trend,
};
use crate::study::refinement::level::Solved;

/// Change, over the size of the quantity, that counts as none: less than what is printed, and well
/// above what equilibrium to 1e-8 of the forces leaves open.
const NOISE: f64 = 1e-5;

/// Untrusted numbers that a warning names.
const NAMED: usize = 3;

/// Relative difference of two bands that are one and the same, seen on either side of a mirror.
const TWIN: f64 = 1e-6;

fn of_kind(number: &Refined, kind: Kind) -> Option<Trend> {
    match kind {
        Kind::Mesh => number.mesh,
        Kind::Increments => number.increments,
    }
}

/// A series and its solutions, coarse to fine.
pub(super) type Solutions = (Series, Vec<Solved>);

/// Every headline number that the case has, with its trends.
pub(super) fn numbers(
    job: &Job,
    own: &Solved,
    mesh: Option<&Solutions>,
    increments: Option<&Solutions>,
) -> Vec<Refined> {
    let own = headlines(&own.stages);
    let mesh = trends(job, &own, mesh, &MESH_ORDERS);
    let increments = trends(job, &own, increments, &INCREMENT_ORDERS);
    own.into_iter()
        .zip(mesh.into_iter().zip(increments))
        .filter(|(headline, _)| headline.value.is_some())
        .map(|(headline, (mesh, increments))| Refined { headline, mesh, increments })
        .collect()
}

/// The trend of every number of `own`; none without solutions.
fn trends(
    job: &Job,
    own: &[Headline],
    solutions: Option<&Solutions>,
    expected: &Expected,
) -> Vec<Option<Trend>> {
    let Some((series, solved)) = solutions else { return vec![None; own.len()] };
    let lists: Vec<Vec<Headline>> = solved.iter().map(|one| headlines(&one.stages)).collect();
    let sizes = series.levels.map(|level| level.size);
    // Two meshes of one size (a tiny plate) tell no order.
    let fall = sizes[0] > sizes[1] && sizes[1] > sizes[2];
    let trend = |(index, own): (usize, &Headline)| {
        // A level that lacks the place has no value there.
        let same = |other: &&Headline| {
            (&other.stage, &other.place, other.measure) == (&own.stage, &own.place, own.measure)
        };
        let value = |list: &Vec<Headline>| list.get(index).filter(same).and_then(|one| one.value);
        let values: [Option<f64>; 3] = std::array::from_fn(|k| lists.get(k).and_then(value));
        let all = match values {
            [Some(coarse), Some(middle), Some(fine)] => Some([coarse, middle, fine]),
            _ => None,
        };
        let noise = NOISE * scale(job, own.measure);
        let estimate = all
            .filter(|values| fall && values.iter().all(|value| value.is_finite()))
            .map(|values| estimate(sizes, values, series.case, noise, expected));
        Some(Trend { values, estimate })
    };
    own.iter().enumerate().map(trend).collect()
}

/// Size of a quantity: yield stress, radius of the smallest hole, one per cent.
fn scale(job: &Job, measure: Measure) -> f64 {
    match measure.dimension() {
        Dimension::Stress => job.material.yield_stress,
        Dimension::Length => job
            .plate
            .holes
            .iter()
            .map(|hole| 0.5 * hole.starting_diameter)
            .fold(0.5 * job.plate.outline.extent(), f64::min),
        Dimension::Fraction => 0.01,
    }
}

/// The remark that numbers are not in the asymptotic range, when there are any: how many, and those
/// with the widest bands.
pub(super) fn untrusted(job: &Job, numbers: &[Refined], kind: Kind) -> Option<Remark> {
    let of_series: Vec<(&Refined, Trend)> =
        numbers.iter().filter_map(|number| Some((number, of_kind(number, kind)?))).collect();
    let mut bad: Vec<(f64, &Refined, Trend)> = of_series
        .iter()
        .filter(|(_, trend)| !trend.is_trusted())
        .map(|&(number, trend)| {
            let band = trend.estimate.map_or(f64::INFINITY, |estimate| estimate.band);
            (band / scale(job, number.headline.measure), number, trend)
        })
        .collect();
    if bad.is_empty() {
        return None;
    }
    bad.sort_by(|a, b| b.0.total_cmp(&a.0));
    let mut widest: Vec<(Headline, _)> = Vec::new();
    let mut last: Option<(Measure, f64)> = None;
    for (size, number, trend) in &bad {
        let measure = number.headline.measure;
        // Paths that mirror each other need no naming twice.
        if last.is_some_and(|(m, s)| m == measure && (s - size).abs() <= TWIN * size) {
            continue;
        }
        last = Some((measure, *size));
        widest.push((number.headline.clone(), trend.estimate));
        if widest.len() == NAMED {
            break;
        }
    }
    Some(Remark::Untrusted { kind, count: bad.len(), of: of_series.len(), widest })
}
