//! Initiation at the edge of a hole under a load sequence, plain and expanded.
//!
//! Every cycle of the sequence is taken through Neuber's rule by itself ([`crate::fatigue::neuber`])
//! and counts `1/N`; initiation is where the sum over passes reaches one (M. A. Miner, J. Appl.
//! Mech. 12 (1945) 159, from memory). The order of the cycles, and the relaxation of the residual
//! stress by yielding at the edge, beyond what Neuber's rule makes of it, are left out.
//!
//! Floor 6, `fatigue`.

use serde::Serialize;

use crate::fatigue::constants::{Origin, StrainLifeModel};
use crate::fatigue::neuber::LocalLoop;
use crate::fatigue::sequence::LoadSequence;
use crate::fatigue::strain_life::{Initiation, MeanStress};

/// How far off a life of initiation may be, either way: common practice, no source.
pub const UNCERTAINTY: &str = "Initiation lives by local strain are uncertain by a factor of three to ten \
     either way (common practice, no source): scatter of the metal, finish of the edge, and constants of \
     smooth specimens.";

/// The edge of a hole: what the load makes of its hoop stress, and what stands there without it.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct EdgeStress {
    /// Elastic hoop stress per remote stress.
    pub concentration: f64,
    /// Residual hoop stress, MPa.
    pub residual: f64,
}

/// Initiation under one rule of the mean stress.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct EdgeInitiation {
    /// The rule.
    pub rule: MeanStress,
    /// Cycles until a crack begins.
    pub initiation: Initiation,
    /// Loop of the severest cycle at the edge.
    pub local: LocalLoop,
    /// Origin of the constants.
    pub origin: Origin,
}

/// Initiation at an edge by both rules; empty when a loop cannot be solved for.
#[must_use]
pub fn edge_initiation(
    model: &StrainLifeModel,
    edge: EdgeStress,
    sequence: &LoadSequence,
) -> Vec<EdgeInitiation> {
    let curve = model.constants.cyclic_curve();
    let local = |cycle: &crate::fatigue::cycle::StressCycle| {
        curve.notch_loop(&cycle.scaled(edge.concentration), edge.residual)
    };
    let Some(severest) = local(&sequence.severest().cycle) else { return Vec::new() };
    [MeanStress::SmithWatsonTopper, MeanStress::Morrow]
        .into_iter()
        .filter_map(|rule| {
            let mut damage = 0.0;
            for block in sequence.blocks() {
                damage += match model.constants.initiation(&local(&block.cycle)?, rule) {
                    Initiation::Cycles(cycles) => block.count / cycles,
                    Initiation::Endless => 0.0,
                    Initiation::Immediate => f64::INFINITY,
                };
            }
            let initiation = if damage == 0.0 {
                Initiation::Endless
            } else if damage.is_infinite() {
                Initiation::Immediate
            } else {
                Initiation::Cycles(sequence.cycles_in_pass() / damage)
            };
            Some(EdgeInitiation { rule, initiation, local: severest, origin: model.origin.clone() })
        })
        .collect()
}
