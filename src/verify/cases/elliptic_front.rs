//! A hole under pressure and two unequal remote stresses: the elliptical plastic front.

use crate::process::stage::Load;
use crate::theory::galin::EllipticFront;
use crate::verify::bench::{Bench, rows};
use crate::verify::findings::{Findings, chart, computed, theory};
use crate::verify::trouble::Trouble;
use crate::verify::wall::{Wall, points};

/// Computes the case.
pub(super) fn run(bench: &Bench<'_>) -> Result<Findings, Trouble> {
    let mut findings = Findings::default();
    let mut wall = Wall::new(bench.job()?)?;
    let k = wall.job.material.yield_stress / 3.0_f64.sqrt();
    let remote = bench.numbers("remote_over_k")?;
    let [along_x, along_y] = remote[..] else {
        return Err(Trouble::missing("two remote stresses"));
    };
    let pressure = bench.number("pressure_over_k")?;
    let pull = |edge: &str, stress: f64| (edge.to_owned(), stress * k);
    let load = Load {
        tractions: vec![
            pull("left", along_x),
            pull("right", along_x),
            pull("bottom", along_y),
            pull("top", along_y),
        ],
        pressure: Some((0, pressure * k)),
        ..Load::default()
    };
    wall.load(bench, &load, bench.number("step")?)?;
    let spots = rows::<2>(bench.settings, "spots")?;
    let angles: Vec<f64> = spots.iter().map(|spot| spot[1].atan2(spot[0]).to_degrees()).collect();
    let reading = wall.reading(std::slice::from_ref(&angles))?;
    let radius = wall.job.plate.holes[0].radius();
    for (spot, angle) in spots.iter().zip(&angles) {
        let path = reading.path("A", *angle)?;
        let distance = spot[0].hypot(spot[1]) * radius - radius;
        let key = |what: &str| format!("{what} at ({}, {})", spot[0], spot[1]);
        let read = |profile: crate::numeric::profile::Profile| {
            profile.at(distance).map_or(f64::NAN, |value| value / k)
        };
        findings.put(key("radial"), read(path.profile(|point| point.stress.radial)));
        findings.put(key("hoop"), read(path.profile(|point| point.stress.hoop)));
        findings.put(key("shear"), read(path.profile(|point| point.stress.shear)));
    }
    let exact = EllipticFront::new(1.0, 1.0, pressure, [along_x, along_y])?;
    let mut picture =
        chart("Hoop stress on both axes", "Radius over hole radius", "Hoop stress over k");
    for (angle, name, axis) in [(0.0, "x", [1.0, 0.0]), (90.0, "y", [0.0, 1.0])] {
        let hoop = reading.path("A", angle)?.hoop();
        // The largest hoop stress on a ray lies on the front; a parabola through the three
        // highest points would round the kink off, so lines from both sides are met.
        findings.put(format!("front on {name}"), kink(&hoop) / radius + 1.0);
        let line = (0..=200)
            .map(|n| {
                let r = 1.0 + 3.0 * f64::from(n) / 200.0;
                Ok([r, exact.stress([r * axis[0], r * axis[1]])?.hoop])
            })
            .collect::<Result<Vec<_>, Trouble>>()?;
        picture.curves.push(theory(&format!("Galin, on {name}"), line));
        let found = points(&hoop).into_iter().map(|[d, s]| [1.0 + d / radius, s / k]);
        picture.curves.push(computed(
            &format!("computed, on {name}"),
            found.filter(|point| point[0] <= 4.0).collect(),
        ));
    }
    findings.chart("hoop", picture);
    Ok(findings)
}

/// Where the rising and the falling branch of a profile meet: the lines through the second
/// and third point before the highest, and after it.
fn kink(profile: &crate::numeric::profile::Profile) -> f64 {
    let (x, y) = (profile.distances(), profile.values());
    let top = (0..y.len()).max_by(|&a, &b| y[a].total_cmp(&y[b])).unwrap_or(0);
    if top < 3 || top + 3 >= y.len() {
        return f64::NAN;
    }
    let line = |i: usize, j: usize| {
        let slope = (y[j] - y[i]) / (x[j] - x[i]);
        (slope, y[i] - slope * x[i])
    };
    let ((m, b), (n, c)) = (line(top - 3, top - 2), line(top + 2, top + 3));
    (c - b) / (m - n)
}
