//! Stress intensity of one and two cracks at a hole, under three loads and by two ways.

use crate::fatigue::crack::CrackSides;
use crate::fracture::opened::Pull;
use crate::mesh::topology::Mesh;
use crate::plot::{Compared, Style};
use crate::process::load;
use crate::process::stage::Load;
use crate::verify::bench::{Bench, rows};
use crate::verify::cracks::{self, BOTH, against_length, by_weights, opened, sampled};
use crate::verify::findings::{Findings, chart, computed, theory};
use crate::verify::trouble::Trouble;

/// The loads: their name, the hoop stress of `r/R` on the crack line before there is a crack (Kirsch, and
/// Lamé), and what it is made of: pull along y, pull along x, pressure in the hole.
type LoadCase = (&'static str, fn(f64) -> f64, [f64; 3]);
const LOADS: [LoadCase; 3] = [
    ("pull", |r| 1.0 + 0.5 * r.powi(-2) + 1.5 * r.powi(-4), [1.0, 0.0, 0.0]),
    ("pull both ways", |r| 1.0 + r.powi(-2), [1.0, 1.0, 0.0]),
    ("pressure", |r| r.powi(-2), [0.0, 0.0, 1.0]),
];

/// Computes the case.
pub(super) fn run(bench: &Bench<'_>) -> Result<Findings, Trouble> {
    let mut findings = Findings::default();
    let job = cracks::job(bench)?;
    let radius = job.plate.holes[0].radius();
    let levels = bench.levels()?;
    for (sides, number) in BOTH {
        let mut profiles = Vec::new();
        for (load, hoop, _) in LOADS {
            profiles.push((load, sampled(radius, |r| Ok::<_, Trouble>(hoop(r)))?));
        }
        for ratio in bench.numbers("lengths")? {
            for (load, profile) in &profiles {
                let factor = by_weights(radius, sides, profile, ratio)?;
                findings.put(format!("{number}, {load}, {ratio}"), factor);
            }
        }
        let mut in_mesh = vec![Vec::new(); LOADS.len()];
        for &ratio in &levels {
            let found = opened(bench, &job, sides, ratio, |mesh| pulls(mesh, job.plate.thickness))?;
            for (((load, ..), factor), points) in LOADS.iter().zip(found).zip(&mut in_mesh) {
                findings.put(format!("mesh: {number}, {load}, {ratio}"), factor);
                points.push([ratio, factor]);
            }
        }
        let [base, height, shift] = match sides {
            CrackSides::Two => rows::<3>(bench.settings, "rational_fits")?[0],
            CrackSides::One => rows::<3>(bench.settings, "rational_fits")?[1],
        };
        let mut picture = chart(
            if sides == CrackSides::Two { "Two equal cracks" } else { "One crack" },
            "Crack length over the radius",
            "K over stress and √(πa)",
        );
        for ((load, profile), points) in profiles.iter().zip(in_mesh) {
            let curve = against_length([0.01, 3.0], |x| by_weights(radius, sides, profile, x))?;
            picture.curves.push(theory(&format!("{load}, weight function"), curve));
            picture.curves.push(computed(&format!("{load}, opened in the mesh"), points));
        }
        picture.curves.push(Compared {
            label: "pull, rational fit to Bowie".to_owned(),
            points: against_length([0.01, 3.0], |x| Ok(base + height / (shift + x)))?,
            look: Style::Dashed,
        });
        findings.chart(&format!("{number}-cracked"), picture);
    }
    // The same with the half length of hole and cracks under the root, as collocation gave it.
    let pull = sampled(radius, |r| Ok::<_, Trouble>(LOADS[0].1(r)))?;
    for span in bench.numbers("spans")? {
        let factor = by_weights(radius, CrackSides::Two, &pull, span - 1.0)?;
        findings.put(format!("collocation, {span}"), factor * ((span - 1.0) / span).sqrt());
    }
    Ok(findings)
}

/// The three loads as forces on the plate.
fn pulls(mesh: &Mesh, thickness: f64) -> Result<Vec<Pull>, Trouble> {
    let edges = ["bottom", "right", "top", "left"];
    let forces = |[up, across, pressure]: [f64; 3]| {
        let tractions = [across, up].into_iter().cycle().skip(1).zip(edges);
        let load = Load {
            tractions: tractions.map(|(value, edge)| (edge.to_owned(), value)).collect(),
            pressure: Some((0, pressure)),
            ..Load::default()
        };
        load::forces(mesh, &load, thickness, &edges)
    };
    LOADS.iter().map(|load| Ok(Pull { forces: forces(load.2)?, ..Pull::default() })).collect()
}
