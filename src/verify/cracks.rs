//! Cracks at the hole of a case: their stress intensity by weight function, and by cracks opened
//! in a mesh, which knows nothing of the first.
//!
//! Every intensity is `K/√(πa)`, for stresses of unit size.

use std::f64::consts::PI;

use crate::fatigue::crack::{CrackGeometry, CrackSides};
use crate::fatigue::weight_function::{Beyond, infinite_plate};
use crate::fracture::line::{Way, sides};
use crate::fracture::opened::{Faces, OpenedPlate, Pull};
use crate::mesh::build;
use crate::mesh::plan::MeshPlan;
use crate::mesh::topology::{Mesh, Symmetry};
use crate::numeric::profile::Profile;
use crate::process::job::Job;
use crate::verify::bench::{Bench, Effort};
use crate::verify::trouble::Trouble;

/// One crack and two, with the words of the keys.
pub(crate) const BOTH: [(CrackSides, &str); 2] =
    [(CrackSides::Two, "two"), (CrackSides::One, "one")];

/// Reach of a sampled field over the radius: the longest crack and a little more.
const REACH: f64 = 21.0;

/// Hoop stress of `r/R` against distance from the edge, at points that crowd towards it: straight lines
/// between them are within 1e-6 of the fields of the book.
///
/// # Errors
///
/// Those of `hoop`.
pub fn sampled<E>(radius: f64, hoop: impl Fn(f64) -> Result<f64, E>) -> Result<Profile, E> {
    let shares = (0..=6000).map(|k| f64::from(k) / 6000.0);
    let ends: Vec<f64> = shares.map(|share| REACH * share.powi(3)).collect();
    let values = ends.iter().map(|y| hoop(1.0 + y)).collect::<Result<_, E>>()?;
    Ok(Profile::new(ends.iter().map(|y| y * radius).collect(), values))
}

/// Residual hoop stress over Y of an infinite body in plane strain, expanded by a pressure of Y, at the
/// radius `r` over that of the hole: Hill's field less the elastic one; the front lies at √e.
#[must_use]
pub fn wall(r: f64) -> f64 {
    let front = 0.5_f64.exp();
    if r <= front { r.ln() - r.powi(-2) } else { (0.5 * 1_f64.exp() - 1.0) * r.powi(-2) }
}

/// The work of a case on the mesh for the time there is: that of its input, or `quick_fineness`.
///
/// # Errors
///
/// As [`Bench::job_at`].
pub fn job(bench: &Bench<'_>) -> Result<Job, Trouble> {
    match bench.effort {
        Effort::Quick => bench.job_at(bench.number("quick_fineness")?),
        Effort::Whole => bench.job(),
    }
}

/// `K/√(πa)` by weight function for a crack of `ratio` radii.
///
/// # Errors
///
/// Those of the weight function.
pub(crate) fn by_weights(
    radius: f64,
    sides: CrackSides,
    hoop: &Profile,
    ratio: f64,
) -> Result<f64, Trouble> {
    let geometry = CrackGeometry::new(radius, sides).map_err(Trouble::refused)?;
    let a = ratio * radius;
    let k = infinite_plate(&geometry, hoop, a, Beyond::Refuse).map_err(Trouble::refused)?;
    Ok(k / (PI * a).sqrt())
}

/// `K/√(πa)` of cracks opened in the mesh of `job`, `ratio` radii long, for every one of `pulls`.
///
/// A tip lies on a corner of the mesh, so the two corners round the length are taken, with a straight
/// line in `ln a` between them. One crack needs half of the plate, two a quarter.
///
/// # Errors
///
/// When no mesh can be made, a crack does not fit in it, or a plate does not come to rest.
pub fn opened(
    bench: &Bench<'_>,
    job: &Job,
    cracks: CrackSides,
    ratio: f64,
    pulls: impl Fn(&Mesh) -> Result<Vec<Pull>, Trouble>,
) -> Result<Vec<f64>, Trouble> {
    let hole = &job.plate.holes[0];
    let [x, y] = hole.centre;
    let symmetry = Symmetry { x: (cracks == CrackSides::Two).then_some(x), y: Some(y) };
    let plan = MeshPlan { fineness: job.numerics.fineness, symmetry, ..MeshPlan::default() };
    let mesh = build(&job.plate, &plan).map_err(Trouble::refused)?;
    let length = ratio * hole.radius();
    let line = sides(&mesh, hole, Way::Right);
    let reaches = line.iter().map(|side| hole.distance_to(mesh.nodes[side[2]]) - hole.radius());
    let reaches: Vec<f64> = reaches.collect();
    let above = reaches.partition_point(|reach| *reach < length);
    if above == 0 || above == reaches.len() {
        return Err(Trouble::missing(format!("mesh round a crack of {length} mm")));
    }
    let mut ends: Vec<(f64, Vec<f64>)> = Vec::with_capacity(2);
    for wanted in &reaches[above - 1..=above] {
        bench.go_on()?;
        let mut plate = OpenedPlate::new(
            mesh.clone(),
            hole,
            &[(Way::Right, *wanted)],
            &job.material,
            job.idealisation,
            job.plate.thickness,
        )
        .map_err(Trouble::refused)?;
        let a = plate.lengths()[0];
        let mut factors = Vec::new();
        for pull in pulls(plate.mesh())? {
            let tip = plate.answer(&pull, Faces::Free).map_err(Trouble::refused)?[0];
            factors.push(tip.intensity / (PI * a).sqrt());
        }
        ends.push((a, factors));
    }
    let [(near, low), (far, high)] = &ends[..] else { return Err(Trouble::missing("two ends")) };
    let share = (length / near).ln() / (far / near).ln();
    Ok(low.iter().zip(high).map(|(l, h)| l + share * (h - l)).collect())
}

/// Points of a smooth curve between crack lengths over the radius, evenly in their logarithm.
///
/// # Errors
///
/// Those of `factor`.
pub(crate) fn against_length(
    [from, to]: [f64; 2],
    factor: impl Fn(f64) -> Result<f64, Trouble>,
) -> Result<Vec<[f64; 2]>, Trouble> {
    let ratio = |k: i32| from * (to / from).powf(f64::from(k) / 80.0);
    (0..=80).map(|k| Ok([ratio(k), factor(ratio(k))?])).collect()
}
