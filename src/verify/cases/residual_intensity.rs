//! Stress intensity of residual stress at an expanded hole, by two ways.

use crate::fatigue::crack::CrackSides;
use crate::fracture::opened::Pull;
use crate::numeric::profile::Profile;
use crate::theory::field::RotationalField;
use crate::theory::plastic_sheet::PlasticSheet;
use crate::verify::bench::{Bench, rows};
use crate::verify::cracks::{self, BOTH, against_length, by_weights, opened, sampled, wall};
use crate::verify::findings::{Findings, chart, computed, theory};
use crate::verify::trouble::Trouble;

/// Computes the case.
pub(super) fn run(bench: &Bench<'_>) -> Result<Findings, Trouble> {
    let mut findings = Findings::default();
    let job = cracks::job(bench)?;
    let radius = job.plate.holes[0].radius();
    let strain = sampled(radius, |r| Ok::<_, Trouble>(wall(r)))?;
    let sheet = {
        // Nádai's sheet, wide enough to stand for an infinite one to 1e-5.
        let plate = PlasticSheet::new(1.0, bench.number("sheet")?, 1.0, job.material.elasticity)?;
        let limit = plate
            .reverse_yield_pressure(1.0)
            .ok_or_else(|| Trouble::missing("pressure of reverse yielding"))?;
        let residual = plate.at_pressure(limit)?.released(1.0)?;
        sampled(radius, |r| residual.hoop(r))?
    };
    for (name, field) in [("sheet", &sheet), ("strain", &strain)] {
        for ratio in bench.numbers("lengths")? {
            for (sides, number) in BOTH {
                let factor = by_weights(radius, sides, field, ratio)?;
                findings.put(format!("{name}, {number}, {ratio}"), factor);
            }
        }
        let turns = field.crossings(0.0).first().map_or(f64::NAN, |turn| 1.0 + turn / radius);
        findings.put(format!("{name}, hoop turns"), turns);
    }
    let tip = bench.number("tip")?;
    findings.put("stress at the tip", strain.at(tip * radius).unwrap_or(f64::NAN));
    findings.put("K there, two", by_weights(radius, CrackSides::Two, &strain, tip)?);

    let mut fields: Vec<(&str, Profile)> = vec![("residual", strain.clone())];
    for name in ["uniform", "linear", "sharp"] {
        let points = rows::<2>(bench.settings, name)?;
        let distances = points.iter().map(|[y, _]| y * radius).collect();
        fields.push((name, Profile::new(distances, points.iter().map(|p| p[1]).collect())));
    }
    let mut picture = chart(
        "Residual K of the wall in plane strain",
        "Crack length over the radius",
        "K over Y and √(πa)",
    );
    let levels = bench.levels()?;
    for (sides, number) in BOTH {
        let mut points = Vec::new();
        for &ratio in &levels {
            let pull =
                |profile: &Profile| Pull { line_stress: vec![profile.clone()], ..Pull::default() };
            let pulls = fields.iter().map(|(_, field)| pull(field)).collect::<Vec<_>>();
            let found = opened(bench, &job, sides, ratio, |_| Ok(pulls.clone()))?;
            points.push([ratio, found[0]]);
            findings.put(format!("mesh: strain, {number}, {ratio}"), found[0]);
            for ((name, field), factor) in fields.iter().zip(found) {
                let weights = by_weights(radius, sides, field, ratio)?;
                let key = |what: &str| format!("mesh {what} weights: {name}, {number}, {ratio}");
                findings.put(key("over"), factor / weights);
                findings.put(key("less"), factor - weights);
            }
        }
        let curve = against_length([0.02, 3.0], |x| by_weights(radius, sides, &strain, x))?;
        picture.curves.push(theory(&format!("{number}, weight function"), curve));
        picture.curves.push(computed(&format!("{number}, opened in the mesh"), points));
    }
    let stress = against_length([0.02, 3.0], |x| Ok(wall(1.0 + x)))?;
    picture.curves.push(crate::plot::Compared {
        label: "residual stress at the tip over Y".to_owned(),
        points: stress,
        look: crate::plot::Style::Dashed,
    });
    findings.chart("residual-k", picture);
    Ok(findings)
}
