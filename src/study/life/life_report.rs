//! All that is known of the lives of a case.
//!
//! Floor 8, `study::life`.

use crate::fatigue::assessment::{Assessed, Comparison, Ground};
use crate::fatigue::end::LifeEnd;
use crate::fatigue::trade::{PlainEquivalent, TradeError};
use crate::units::Units;

/// All that is known of the lives of a case. Lengths in mm, stresses in MPa, K in MPa√mm.
#[derive(Clone, Debug)]
pub struct LifeReport {
    /// Title of the case.
    pub title: String,
    /// SHA-256 of the case file, hexadecimal.
    pub case_sha256: String,
    /// The case file as written.
    pub case_text: String,
    /// Units of the case.
    pub units: Units,
    /// Name of the metal.
    pub material_name: String,
    /// What happens through the thickness.
    pub idealisation: &'static str,
    /// Label of the residual state.
    pub stage: String,
    /// Remote tension at share 1, MPa.
    pub tension: f64,
    /// How the load comes and goes.
    pub load_words: String,
    /// Which cycle of which stage the loops of the simulation are, when there are some.
    pub loop_words: Option<String>,
    /// Where the toughness comes from.
    pub toughness_words: String,
    /// What holds for every crack.
    pub ground: Ground,
    /// Every place, plain and expanded.
    pub comparisons: Vec<Comparison>,
    /// The place where the expanded hole lives shortest.
    pub governing: Comparison,
    /// Worst place under the bounding hardening laws.
    pub bounds: Vec<Bound>,
    /// What the expansion is worth.
    pub trade: Trade,
    /// Anything a reader should look at.
    pub warnings: Vec<String>,
}

/// The shortest life of the expanded hole under a bounding hardening law.
#[derive(Clone, Debug)]
pub struct Bound {
    /// `isotropic` or `kinematic`.
    pub hardening: String,
    /// Where, and both lives.
    pub worst: Comparison,
}

/// Plain holes that live as long.
#[derive(Clone, Debug)]
pub struct Trade {
    /// Life asked for, cycles.
    pub target: f64,
    /// Why this one.
    pub target_words: String,
    /// The metal of the case first, then other alloys with constants.
    pub options: Vec<Alternative>,
    /// Factor by which every stress may rise with expansion for the life of the plain hole.
    pub rise: Result<f64, TradeError>,
    /// Mass of the plate, g, when its density is known.
    pub mass: Option<f64>,
    /// Its thickness, mm.
    pub thickness: f64,
    /// Lives over a range of stress factors.
    pub curve: Vec<StressLife>,
}

/// A plain hole in some metal.
#[derive(Clone, Debug)]
pub struct Alternative {
    /// The metal.
    pub material: String,
    /// What it takes, or why there is no answer.
    pub answer: Result<PlainEquivalent, TradeError>,
    /// Whether its mass ratio means something.
    pub mass_known: bool,
}

/// Lives at one factor on every stress; infinite where there is no end.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StressLife {
    /// The factor.
    pub factor: f64,
    /// Cycles of the plain hole.
    pub plain: f64,
    /// Cycles of the expanded hole.
    pub expanded: f64,
}

impl LifeReport {
    /// Longest crack worth drawing at the governing place, mm: where the later of its two lives
    /// ends; the whole way when both cracks stop.
    #[must_use]
    pub fn reach(&self) -> f64 {
        let (_, whole) = self.governing.expanded.grower.table().ends();
        let end = |one: &Assessed| match one.life.end {
            LifeEnd::Arrest { .. } | LifeEnd::CyclesReached { .. } => None,
            other => Some(other.length()),
        };
        let ends = [end(&self.governing.plain), end(&self.governing.expanded)];
        ends.into_iter().flatten().reduce(f64::max).unwrap_or(whole).min(whole)
    }

    /// Shortest life of the plain hole over all places, cycles.
    #[must_use]
    pub fn plain_life(&self) -> f64 {
        let lives = self.comparisons.iter().map(|c| c.plain.life.cycles_borne());
        lives.fold(f64::INFINITY, f64::min)
    }

    /// Shortest life of the expanded hole over all places, cycles.
    #[must_use]
    pub fn expanded_life(&self) -> f64 {
        self.governing.expanded.life.cycles_borne()
    }

    /// Life improvement factor: shortest life expanded over shortest life plain, wherever each
    /// is; `None` when there is no end to one of them.
    #[must_use]
    pub fn improvement(&self) -> Option<f64> {
        let factor = self.expanded_life() / self.plain_life();
        factor.is_finite().then_some(factor)
    }
}
