//! Pressure in a hole near a straight edge.

use crate::theory::edge_hole::EdgeHole;
use crate::verify::bench::{Bench, Effort};
use crate::verify::findings::{Findings, chart, computed, theory};
use crate::verify::trouble::Trouble;

/// Computes the case.
pub(super) fn run(bench: &Bench<'_>) -> Result<Findings, Trouble> {
    let mut findings = Findings::default();
    let distances = match bench.effort {
        Effort::Quick => vec![bench.number("quick_distance")?],
        Effort::Whole => bench.numbers("distances")?,
    };
    for distance in distances {
        let mut job = bench.job()?;
        job.plate.holes[0].centre[0] = distance;
        let exact = EdgeHole::new(1.0, distance, 1.0)?;
        // The edge lies towards 180°; the largest stress where a line from the foot touches.
        let (_, angle) = exact.largest_hole_hoop();
        let at_largest = 180.0 - angle.to_degrees();
        let around: Vec<f64> = (0..=18).map(|k| 10.0 * f64::from(k)).chain([at_largest]).collect();
        let reading = bench.loaded(job, std::slice::from_ref(&around))?;
        findings.put(format!("hole, largest, d/a {distance}"), reading.edge_hoop("A", at_largest)?);
        findings
            .put(format!("hole, nearest point, d/a {distance}"), reading.edge_hoop("A", 180.0)?);
        findings.put(format!("hole, farthest point, d/a {distance}"), reading.edge_hoop("A", 0.0)?);
        findings.put(format!("straight edge, d/a {distance}"), reading.far_hoop("A", 180.0)?);
        let mut picture = chart(
            &format!("Hoop stress round the hole over the pressure, d/a = {distance}"),
            "Direction from the one away from the edge (°)",
            "Hoop stress over pressure",
        );
        // The closed form counts from the nearest point of the edge, which lies at 180°.
        let exact_at = |degrees: f64| exact.hole_hoop((180.0 - degrees).to_radians());
        picture.curves = vec![
            theory("Jeffery", (0..=180).map(|k| [f64::from(k), exact_at(f64::from(k))]).collect()),
            computed(
                "computed",
                around
                    .iter()
                    .map(|&angle| Ok([angle, reading.edge_hoop("A", angle)?]))
                    .collect::<Result<_, Trouble>>()?,
            ),
        ];
        findings.chart(&format!("round-the-hole-{distance}"), picture);
    }
    Ok(findings)
}
