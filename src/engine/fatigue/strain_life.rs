//! Initiation: cycles until a small crack, from the strain and stress at one point.
//!
//! ```text
//!   Smith–Watson–Topper  σ_max ε_a = (σ_f′²/E)(2N)^(2b) + σ_f′ ε_f′ (2N)^(b+c)
//!   Morrow               ε_a = ((σ_f′ − σ_m)/E)(2N)^b + ε_f′ (2N)^c
//! ```
//!
//! `ε_a` strain amplitude (half the range), `σ_m` mean stress, `2N` reversals. Both fall
//! steadily in `N`, so the root is one and is sought in `ln 2N`.
//!
//! A mean stress acts once, in the loop handed in; the residual stress is in it
//! ([`crate::fatigue::neuber`]) or in the loop of a simulation.
//!
//! Sources: K. N. Smith, P. Watson, T. H. Topper, J. Materials 5 (1970) 767; J. Morrow, SAE
//! Fatigue Design Handbook (1968) (from memory).

use std::f64::consts::LN_2;

use serde::{Deserialize, Serialize};

use crate::fatigue::neuber::{CyclicCurve, LocalLoop};
use crate::fatigue::origin::Origin;
use crate::numeric::root::bracketed_newton;

/// Cycles beyond which a strain-life curve is no longer an answer.
pub const ENDLESS: f64 = 1e12;

/// Constants of strain-life.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct StrainLife {
    /// `E`, MPa.
    pub youngs_modulus: f64,
    /// `σ_f′`, MPa.
    pub strength: f64,
    /// `b`, negative.
    pub strength_exponent: f64,
    /// `ε_f′`.
    pub ductility: f64,
    /// `c`, negative.
    pub ductility_exponent: f64,
    /// `K′`, MPa; without it `σ_f′/ε_f′^n′`.
    pub cyclic_strength: Option<f64>,
    /// `n′`; without it `b/c`.
    pub cyclic_exponent: Option<f64>,
}

/// Strain-life constants with their origin.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct StrainLifeModel {
    /// The constants.
    pub constants: StrainLife,
    /// Where they come from.
    pub origin: Origin,
}

/// How the mean stress is taken in.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum MeanStress {
    /// Smith–Watson–Topper.
    SmithWatsonTopper,
    /// Morrow.
    Morrow,
}

/// Cycles to initiation.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Initiation {
    /// So many cycles.
    Cycles(f64),
    /// More than [`ENDLESS`], or no opening stress at all.
    Endless,
    /// Less than one reversal: broken at the first loading.
    Immediate,
}

/// An answer with all that it stands on.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct InitiationLife {
    /// The cycles.
    pub initiation: Initiation,
    /// Rule used.
    pub rule: MeanStress,
    /// The loop.
    pub local: LocalLoop,
    /// Origin of the constants.
    pub origin: Origin,
}

impl StrainLife {
    /// The cyclic curve: as tabulated, or the one that the exponents imply.
    #[must_use]
    pub fn cyclic_curve(&self) -> CyclicCurve {
        let implied = self.strength_exponent / self.ductility_exponent;
        let exponent = self.cyclic_exponent.unwrap_or(implied);
        let strength =
            self.cyclic_strength.unwrap_or(self.strength / self.ductility.powf(exponent));
        CyclicCurve { youngs_modulus: self.youngs_modulus, strength, exponent }
    }

    /// Strain amplitude without mean stress at `cycles`.
    #[must_use]
    pub fn strain_amplitude(&self, cycles: f64) -> f64 {
        let reversals = 2.0 * cycles;
        self.strength / self.youngs_modulus * reversals.powf(self.strength_exponent)
            + self.ductility * reversals.powf(self.ductility_exponent)
    }

    /// Cycles to initiation for a loop at the point.
    #[must_use]
    pub fn initiation(&self, local: &LocalLoop, rule: MeanStress) -> Initiation {
        let (b, c) = (self.strength_exponent, self.ductility_exponent);
        // Elastic and plastic terms as (factor, exponent) and what they must add up to.
        let (target, elastic, plastic) = match rule {
            MeanStress::SmithWatsonTopper => (
                local.maximum * local.strain_amplitude,
                (self.strength * self.strength / self.youngs_modulus, 2.0 * b),
                (self.strength * self.ductility, b + c),
            ),
            MeanStress::Morrow => (
                local.strain_amplitude,
                ((self.strength - local.mean()) / self.youngs_modulus, b),
                (self.ductility, c),
            ),
        };
        if elastic.0 <= 0.0 {
            return Initiation::Immediate;
        }
        if target <= 0.0 {
            return Initiation::Endless;
        }
        solve(target, elastic, plastic)
    }
}

/// `N` with `e (2N)^x + p (2N)^y = target`, both exponents negative.
fn solve(target: f64, (e, x): (f64, f64), (p, y): (f64, f64)) -> Initiation {
    let log = |at: f64| {
        let (elastic, plastic) = (e * (x * at).exp(), p * (y * at).exp());
        let sum = elastic + plastic;
        ((sum / target).ln(), (x * elastic + y * plastic) / sum)
    };
    let end = LN_2 + ENDLESS.ln();
    if log(0.0).0 < 0.0 {
        return Initiation::Immediate;
    }
    if log(end).0 > 0.0 {
        return Initiation::Endless;
    }
    // 1e-13 in the logarithm of strain is 1e-12 in that of life.
    match bracketed_newton(0.0, end, 1e-13, log) {
        Some(at) => Initiation::Cycles((at - LN_2).exp()),
        None => Initiation::Endless,
    }
}

impl StrainLifeModel {
    /// Cycles to initiation, with rule, loop and origin beside them.
    #[must_use]
    pub fn predict(&self, local: LocalLoop, rule: MeanStress) -> InitiationLife {
        let initiation = self.constants.initiation(&local, rule);
        InitiationLife { initiation, rule, local, origin: self.origin.clone() }
    }
}
