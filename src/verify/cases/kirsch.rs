//! A round hole in a wide plate under tension.

use std::f64::consts::FRAC_PI_2;

use crate::theory::plate_hole::PlateHole;
use crate::verify::bench::Bench;
use crate::verify::findings::{Findings, chart, computed, theory};
use crate::verify::trouble::Trouble;
use crate::verify::wall::curve;

/// Computes the case.
pub(super) fn run(bench: &Bench<'_>) -> Result<Findings, Trouble> {
    let mut findings = Findings::default();
    let reading = bench.loaded(bench.job()?, &[])?;
    findings.put("across", reading.edge_hoop("A", 0.0)?);
    findings.put("on the axis", reading.edge_hoop("A", 90.0)?);
    let exact = PlateHole::uniaxial(1.0, 1.0, FRAC_PI_2)?;
    let reach = bench.number("reach")?;
    let mut worst: f64 = 0.0;
    let mut picture = chart(
        "Hoop stress from the edge of the hole, over the remote stress",
        "Distance from the edge over the radius",
        "Hoop stress over remote stress",
    );
    for (angle, name) in [(0.0, "across the load"), (90.0, "along the load")] {
        let path = reading.path("A", angle)?;
        let (sin, cos) = f64::to_radians(angle).sin_cos();
        let mut found = Vec::new();
        for point in path.points.iter().filter(|point| point.distance <= reach) {
            let r = 1.0 + point.distance;
            let polar = exact.polar([r * cos, r * sin])?;
            worst = worst
                .max((point.stress.hoop - polar.hoop).abs())
                .max((point.stress.radial - polar.radial).abs())
                .max((point.stress.shear - polar.shear).abs());
            found.push([point.distance, point.stress.hoop]);
        }
        picture.curves.push(theory(
            &format!("Kirsch, {name}"),
            curve(0.0, reach, |d| Ok(exact.polar([(1.0 + d) * cos, (1.0 + d) * sin])?.hoop))?,
        ));
        picture.curves.push(computed(&format!("computed, {name}"), found));
    }
    findings.put("worst along both paths", worst);
    findings.chart("hoop", picture);
    Ok(findings)
}
