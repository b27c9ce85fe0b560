//! One record an increment: what `history.csv` and the pressure and convergence figures show.
//!
//! Lengths in mm, stresses in MPa, forces in N, energies in N·mm.

use serde::{Deserialize, Serialize};

/// Phase that an increment belongs to.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Phase {
    /// The tool grows to full size.
    Expand,
    /// The tool shrinks away.
    Release,
    /// The cut edge gives up its traction.
    Ream,
    /// A load grows.
    LoadUp,
    /// A load vanishes.
    LoadDown,
    /// The temperature changes.
    Temperature,
    /// A doubler has been joined.
    Join,
    /// A doubler gives up the forces that it carried.
    Detach,
    /// A bush comes to its whole interference.
    Press,
}

impl Phase {
    /// Name in `history.csv`.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Expand => "expand",
            Self::Release => "release",
            Self::Ream => "ream",
            Self::LoadUp => "load-up",
            Self::LoadDown => "load-down",
            Self::Temperature => "temperature",
            Self::Join => "join",
            Self::Detach => "detach",
            Self::Press => "press",
        }
    }
}

/// One increment in equilibrium.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct HistoryRecord {
    /// Label of the stage, e.g. `1-expand-A`.
    pub stage: String,
    /// Phase that the increment belongs to.
    pub phase: Phase,
    /// Number of the increment in the whole run, from 1.
    pub increment: usize,
    /// Share of the phase done, 0 to 1. A release ends when contact is lost and jumps to 1 there.
    pub share: f64,
    /// Radius of the acting circle less the radius of the hole before the stage, over that
    /// radius; 0 outside expansion.
    pub expansion: f64,
    /// Mean contact pressure over the modelled hole edge, MPa, positive in compression.
    pub mean_pressure: f64,
    /// Largest contact pressure, MPa.
    pub peak_pressure: f64,
    /// Edge nodes in contact.
    pub closed_nodes: usize,
    /// Displacement of the mandrel centre `[x, y]`, mm.
    pub mandrel_shift: [f64; 2],
    /// Share of the stated load in a load stage; 0 elsewhere.
    pub load_factor: f64,
    /// Newton iterations.
    pub iterations: usize,
    /// Contact states that changed during the iterations.
    pub contact_changes: usize,
    /// How often the increment was halved before it went through.
    pub halvings: usize,
    /// Relative out-of-balance force at the end.
    pub residual: f64,
    /// Relative out-of-balance force after each iteration, oldest first.
    pub residuals: Vec<f64>,
    /// Work done on the plate so far, N·mm (whole plate).
    pub external_work: f64,
    /// Elastic energy stored now, N·mm (whole plate).
    pub elastic_energy: f64,
    /// Plastic work so far, N·mm (whole plate).
    pub plastic_work: f64,
    /// Largest equivalent plastic strain in the plate.
    pub largest_plastic_strain: f64,
}
