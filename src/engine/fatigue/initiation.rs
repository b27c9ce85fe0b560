//! Initiation at the edge of a hole under a load sequence, plain and expanded.
//!
//! Every cycle of the sequence is taken through Neuber's rule by itself ([`crate::fatigue::neuber`])
//! and counts `1/N`; initiation is where the sum over passes reaches one (M. A. Miner, J. Appl.
//! Mech. 12 (1945) 159, from memory). The order of the cycles, and the relaxation of the residual
//! stress by yielding at the edge, beyond what Neuber's rule makes of it, are left out.
//!
//! Where the simulation itself was run through cycles of the load, the loop that it ends in goes
//! into the same curves without Neuber's rule ([`loop_initiation`]): total hoop strain and hoop
//! stress at the edge, multiaxial plasticity and relaxation included, of the metal as its hardening
//! law has it, which is not the cyclic curve of the strain-life constants.

use serde::{Deserialize, Serialize};

use crate::fatigue::neuber::LocalLoop;
use crate::fatigue::origin::Origin;
use crate::fatigue::sequence::LoadSequence;
use crate::fatigue::strain_life::StrainLifeModel;
use crate::fatigue::strain_life::{Initiation, MeanStress};

/// How far off a life of initiation may be, either way: common practice, no source.
pub const UNCERTAINTY: &str = "Initiation lives by local strain are uncertain by a factor of three to ten \
     either way (common practice, no source): scatter of the metal, finish of the edge, and constants of \
     smooth specimens.";

/// The rules that an answer is given by.
const RULES: [MeanStress; 2] = [MeanStress::SmithWatsonTopper, MeanStress::Morrow];

/// The edge of a hole: what the load makes of its hoop stress, and what stands there without it.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct EdgeStress {
    /// Elastic hoop stress per remote stress.
    pub concentration: f64,
    /// Residual hoop stress, MPa.
    pub residual: f64,
}

/// Where the loop at the edge comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum LoopSource {
    /// Neuber's rule on the elastic stress.
    Neuber,
    /// The last cycle of a service load that the simulation ran through.
    FiniteElements,
}

/// Initiation under one rule of the mean stress.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct EdgeInitiation {
    /// Where the loop comes from.
    pub source: LoopSource,
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
pub(crate) fn edge_initiation(
    model: &StrainLifeModel,
    edge: EdgeStress,
    sequence: &LoadSequence,
) -> Vec<EdgeInitiation> {
    let curve = model.constants.cyclic_curve();
    let local = |cycle: &crate::fatigue::cycle::StressCycle| {
        curve.notch_loop(&cycle.scaled(edge.concentration), edge.residual)
    };
    let Some(severest) = local(&sequence.severest().cycle) else { return Vec::new() };
    RULES
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
            let origin = model.origin.clone();
            Some(EdgeInitiation {
                source: LoopSource::Neuber,
                rule,
                initiation,
                local: severest,
                origin,
            })
        })
        .collect()
}

/// Initiation by both rules under cycles that all make the loop `local` of a simulation.
#[must_use]
pub fn loop_initiation(model: &StrainLifeModel, local: LocalLoop) -> [EdgeInitiation; 2] {
    RULES.map(|rule| EdgeInitiation {
        source: LoopSource::FiniteElements,
        rule,
        initiation: model.constants.initiation(&local, rule),
        local,
        origin: model.origin.clone(),
    })
}
