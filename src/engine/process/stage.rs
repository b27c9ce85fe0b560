//! The stages of the work, checked and in mm, N, MPa.
//!
//! A stage starts from the state the one before it left: stresses, plastic
//! strains and hole shape carry over and are never reset.

use serde::{Deserialize, Serialize};

use crate::material::hot::HotShares;
use crate::process::bush::Bush;
use crate::process::doubler::Doubler;
use crate::process::program::Program;
use crate::process::relaxation::Relaxation;
use crate::process::tool::Tool;

/// One stage of the work. Holes are indices into [`Plate::holes`](crate::geometry::plate::Plate).
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Stage {
    /// Drive the mandrel to full size, then take it out.
    Expand {
        /// Which hole.
        hole: usize,
        /// Mandrel and sleeve.
        tool: Tool,
    },
    /// Put a pin into a hole, where it stays while later stages go on.
    Fasten {
        /// Which hole.
        hole: usize,
        /// Diameter of the pin, mm; `None` for a neat fit: what the hole just takes.
        diameter: Option<f64>,
        /// Elastic constants `(E in MPa, ν)` of the pin; `None` for a rigid one.
        elastic: Option<(f64, f64)>,
    },
    /// Take the pin out of a hole.
    Unfasten {
        /// Which hole.
        hole: usize,
    },
    /// Lay a doubler on the plate, bond it, and put its fasteners in.
    Join {
        /// The doubler.
        doubler: Box<Doubler>,
    },
    /// Take a doubler off, with its fasteners and its bond.
    Detach {
        /// Its name.
        doubler: String,
    },
    /// Put a bush into a hole, where it stays.
    Bush(Box<Bush>),
    /// Cut a hole to its final size; the removed ring takes its stress with it.
    Ream {
        /// Which hole.
        hole: usize,
        /// Diameter after the cut, mm.
        diameter: f64,
        /// Axis of the cutter from the drilled centre `[x, y]`, mm.
        offset: [f64; 2],
    },
    /// Put a load on, take it off again, `cycles` times.
    Load {
        /// Load applied in full.
        load: Load,
        /// How often.
        cycles: usize,
    },
    /// Bring the whole part to another temperature.
    Temperature {
        /// Temperature less that of the drawing, in the degrees of the coefficients.
        difference: f64,
        /// Coefficients of linear expansion: of the plate, then of every region.
        expansions: Vec<f64>,
        /// Metals at that temperature: of the plate, then of every region; those beyond the end are as in the case.
        #[serde(default)]
        metals: Vec<HotShares>,
        /// Share of the stress that heat leaves; `None`: all of it.
        #[serde(default)]
        relaxation: Option<Relaxation>,
    },
    /// A load that goes between highest and lowest values, its effect read at every reversal.
    Service {
        /// Load applied at a share of 1.
        load: Load,
        /// How it goes.
        program: Program,
    },
}

/// A load that grows and vanishes in proportion. Stresses in MPa, tension positive.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Load {
    /// Uniform normal traction on named edges of the outline: `(edge, MPa)`, tension positive.
    pub tractions: Vec<(String, f64)>,
    /// Uniform pressure on the edge of a hole: `(hole, MPa)`, positive in compression.
    pub pressure: Option<(usize, f64)>,
    /// Force that the pin in a hole puts on the plate: `(hole, [x, y] in N on the whole plate)`,
    /// applied at the centre of the pin, which floats with it.
    #[serde(default)]
    pub bearing: Vec<(usize, [f64; 2])>,
}

impl Load {
    /// The hole that the record of an increment speaks of: under pressure, else of the first
    /// loaded pin, else the first.
    #[must_use]
    pub fn hole(&self) -> usize {
        let loaded = self.bearing.first().map(|(hole, _)| *hole);
        self.pressure.map(|(hole, _)| hole).or(loaded).unwrap_or(0)
    }
}

impl Stage {
    /// Another temperature at which metals are as in the case and nothing relaxes; arguments as in
    /// [`Self::Temperature`].
    #[must_use]
    pub fn temperature(difference: f64, expansions: Vec<f64>) -> Self {
        Self::Temperature { difference, expansions, metals: Vec::new(), relaxation: None }
    }

    /// Phases that the stage is driven through: growing and shrinking count apart.
    #[must_use]
    pub fn phases(&self) -> usize {
        match self {
            Self::Expand { .. } => 2,
            Self::Fasten { .. }
            | Self::Unfasten { .. }
            | Self::Ream { .. }
            | Self::Detach { .. }
            | Self::Temperature { .. } => 1,
            Self::Join { doubler } => 1 + doubler.drives(),
            Self::Bush(bush) => bush.phases(),
            Self::Load { cycles, .. } => 2 * cycles,
            Self::Service { program, .. } => program.reversals() + 1,
        }
    }

    /// Whether the stage leaves a snapshot at full size or full load besides the one at its end.
    #[must_use]
    pub fn has_full(&self) -> bool {
        matches!(self, Self::Expand { .. } | Self::Load { .. } | Self::Service { .. })
    }

    /// Name of the stage in files and columns: `1-expand-A`, `2-ream-A`, `3-load`.
    ///
    /// `number` counts from 1; `hole_names` are those of the plate, in order.
    #[must_use]
    pub fn label(&self, number: usize, hole_names: &[&str]) -> String {
        match self {
            Self::Expand { hole, .. } => format!("{number}-expand-{}", hole_names[*hole]),
            Self::Fasten { hole, .. } => format!("{number}-fasten-{}", hole_names[*hole]),
            Self::Unfasten { hole } => format!("{number}-unfasten-{}", hole_names[*hole]),
            Self::Bush(bush) => format!("{number}-bush-{}", hole_names[bush.hole]),
            Self::Ream { hole, .. } => format!("{number}-ream-{}", hole_names[*hole]),
            Self::Join { doubler } => format!("{number}-join-{}", doubler.name),
            Self::Detach { doubler } => format!("{number}-detach-{doubler}"),
            Self::Load { .. } | Self::Service { .. } => format!("{number}-load"),
            Self::Temperature { .. } => format!("{number}-temperature"),
        }
    }

    /// Full load of a load or service stage.
    #[must_use]
    pub fn load(&self) -> Option<&Load> {
        match self {
            Self::Load { load, .. } | Self::Service { load, .. } => Some(load),
            _ => None,
        }
    }
}
