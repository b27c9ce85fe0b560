//! The reading of a strain gauge, computed: from the displacements of the ends of its grid.
//!
//! The ends are points of the metal. Their distance over that when the gauge was bonded, less one, is the
//! reading; it holds for strains of any size, and is the mean over the grid.

use crate::geometry::hole::Hole;
use crate::mesh::locate::Locator;
use crate::process::gauge::Gauge;
use crate::process::snapshot::Snapshot;

/// A gauge beside what it reads by computation.
#[derive(Clone, Debug, PartialEq)]
pub struct GaugeReading {
    /// The gauge.
    pub gauge: Gauge,
    /// Computed reading, a strain. `None` where an end of the grid does not lie on metal.
    pub computed: Option<f64>,
}

/// Whether the gauge needs the state called `label`.
#[must_use]
pub fn needs(gauge: &Gauge, label: &str) -> bool {
    gauge.read_at == label || gauge.bonded_after.as_deref() == Some(label)
}

/// Reads `gauges` in the states of a run; `holes` are those of the plate as drawn.
#[must_use]
pub fn readings(gauges: &[Gauge], holes: &[Hole], states: &[Snapshot]) -> Vec<GaugeReading> {
    let all = gauges.iter().map(|gauge| {
        let hole = &holes[gauge.hole];
        let ends = gauge.ends(hole.centre, hole.radius());
        let computed = computed(gauge, ends, states);
        GaugeReading { gauge: gauge.clone(), computed }
    });
    all.collect()
}

fn computed(gauge: &Gauge, ends: [[f64; 2]; 2], states: &[Snapshot]) -> Option<f64> {
    let state = |label: &str| states.iter().find(|state| state.label == label);
    let length = |label: &str| {
        let state = state(label)?;
        let locator = Locator::new(&state.mesh);
        let moved = [moved(state, &locator, ends[0])?, moved(state, &locator, ends[1])?];
        Some((moved[1][0] - moved[0][0]).hypot(moved[1][1] - moved[0][1]))
    };
    let bonded = match &gauge.bonded_after {
        None => gauge.length,
        Some(label) => length(label)?,
    };
    Some(length(&gauge.read_at)? / bonded - 1.0)
}

/// Where a point of the drawn part is, mm.
fn moved(state: &Snapshot, locator: &Locator<'_>, point: [f64; 2]) -> Option<[f64; 2]> {
    let (folded, flipped) = state.mesh.symmetry.fold(point);
    let by = locator.find(folded)?.blend(&state.mesh, &state.state.displacement);
    Some([0, 1].map(|axis| point[axis] + if flipped[axis] { -by[axis] } else { by[axis] }))
}
