//! Quarter ring, plane strain: the bore is pushed out by a rigid tool and let go.
//!
//! a = 3, b = 30 mm, E = 72000, ν = 0.33, yield stress 350 + 800 p MPa (isotropic), 0.12 mm of radial
//! displacement in 20 increments, release in 10. `verification/second-opinion/annulus.py` does the
//! same with a general-purpose library.

use std::ops::ControlFlow;
use std::time::Instant;

use hoopset::process::history::HistoryRecord;
use hoopset::process::sequence::{Observer, Sequence};
use hoopset::process::snapshot::Snapshot;
use hoopset::solver::newton::Scheme;

const RADII: [f64; 5] = [3.05, 4.0, 5.0, 7.0, 10.0];
/// One-dimensional radial solution, converged, MPa.
const RADIAL: [f64; 5] = [-456.5, -486.8, -261.4, -8.06, 105.6];

fn case(fineness: f64, increments: usize, strain_parts: usize) -> String {
    format!(
        r#"
        units = "mm-MPa"
        plate = {{ outer_diameter = 60.0, thickness = 1.0, idealisation = "plane strain" }}
        material = {{ youngs_modulus = 72000.0, poissons_ratio = 0.33, yield_stress = 350.0, isotropic = {{ law = "linear", slope = 800.0 }} }}
        hole = [ {{ name = "A", starting_diameter = 6.0 }} ]
        stage = [ {{ expand = "A", applied_expansion = 0.04, rigid_mandrel = true }} ]
        numerics = {{ fineness = {fineness}, increments = {increments}, strain_parts = {strain_parts} }}
        "#
    )
}

struct Watch {
    increments: usize,
    iterations: usize,
    last: Option<Snapshot>,
}

impl Observer for Watch {
    fn increment(&mut self, record: &HistoryRecord) -> ControlFlow<()> {
        self.increments += 1;
        self.iterations += record.residuals.len();
        ControlFlow::Continue(())
    }

    fn snapshot(&mut self, snapshot: Snapshot) -> ControlFlow<()> {
        self.last = Some(snapshot);
        ControlFlow::Continue(())
    }
}

/// Prints the ring both ways: as many increments with Newton's method as it stands, and by our own
/// control.
pub fn compare() -> Result<(), String> {
    println!("hoop MPa at r = {RADII:?} mm; radial solution {RADIAL:?}");
    // The script takes every increment in one part.
    for (name, scheme, fineness, increments, strain_parts) in [
        ("20 + 10 increments, full Newton", Scheme::Newton, None, 20, 1),
        ("20 + 10 increments, factor kept", Scheme::Economical, None, 20, 1),
        ("own mesh, 20 increments", Scheme::Economical, Some(1.0), 20, 1),
        ("own mesh and control", Scheme::Economical, Some(1.0), 8, 4),
        ("own mesh, finer, and control", Scheme::Economical, Some(1.5), 8, 4),
    ] {
        let fineness = match fineness {
            Some(fineness) => fineness,
            // As many unknowns as the mesh of 120 × 24 elements of the script.
            None => fineness_for(23_618)?,
        };
        let case = hoopset::parse(&case(fineness, increments, strain_parts), "ring.toml")
            .map_err(|error| error.to_string())?;
        let clock = Instant::now();
        let mut sequence = Sequence::new(case.job.clone()).map_err(|error| error.to_string())?;
        sequence.set_scheme(scheme);
        let unknowns = 2 * sequence.mesh().nodes.len();
        let mut watch = Watch { increments: 0, iterations: 0, last: None };
        sequence.run(&mut watch).map_err(|failure| failure.error.to_string())?;
        let seconds = clock.elapsed().as_secs_f64();
        let last = watch.last.ok_or("no snapshot")?;
        let hoop = hoops(&last, &sequence)?;
        let times = sequence.system().times;
        let shown: Vec<String> = hoop.iter().map(|hoop| format!("{hoop:.2}")).collect();
        println!(
            "{name}: {unknowns} unknowns, {} increments, {} iterations, {} factorizations, {seconds:.3} s \
             (assembly {:.3}, factorization {:.3}, solution {:.3}), hoop {}",
            watch.increments,
            watch.iterations,
            last.factorizations,
            times.assembly,
            times.factorization,
            times.solution,
            shown.join(", ")
        );
    }
    Ok(())
}

fn fineness_for(unknowns: usize) -> Result<f64, String> {
    let mut fineness = 1.0;
    for _ in 0..3 {
        let case =
            hoopset::parse(&case(fineness, 20, 1), "ring.toml").map_err(|e| e.to_string())?;
        let sequence = Sequence::new(case.job).map_err(|error| error.to_string())?;
        fineness *= (unknowns as f64 / (2 * sequence.mesh().nodes.len()) as f64).sqrt();
    }
    Ok(fineness)
}

/// Hoop stress at the radii: means over circles of integration points, straight lines between.
fn hoops(snapshot: &Snapshot, sequence: &Sequence) -> Result<[f64; 5], String> {
    let mut circles: Vec<(f64, f64, usize)> = Vec::new();
    let positions = &sequence.system().tables.positions;
    let mut points: Vec<(f64, f64)> = positions
        .iter()
        .zip(&snapshot.state.stress)
        .map(|([x, y], s)| {
            let r = x.hypot(*y);
            let (c, s_) = (x / r, y / r);
            (r, s[0] * s_ * s_ + s[1] * c * c - 2.0 * s[3] * s_ * c)
        })
        .collect();
    points.sort_by(|a, b| a.0.total_cmp(&b.0));
    for (r, hoop) in points {
        match circles.last_mut() {
            Some((radius, sum, count)) if r - *radius < 2e-3 * r => {
                *sum += hoop;
                *count += 1;
            }
            _ => circles.push((r, hoop, 1)),
        }
    }
    let mut found = [0.0; 5];
    for (found, radius) in found.iter_mut().zip(RADII) {
        let next = circles.partition_point(|(r, ..)| *r < radius);
        if next == 0 || next == circles.len() {
            return Err(format!("no points about r = {radius}"));
        }
        let value = |(r, sum, count): (f64, f64, usize)| (r, sum / count as f64);
        let ((r0, h0), (r1, h1)) = (value(circles[next - 1]), value(circles[next]));
        *found = h0 + (radius - r0) / (r1 - r0) * (h1 - h0);
    }
    Ok(found)
}
