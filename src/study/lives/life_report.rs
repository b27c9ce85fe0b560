//! All that is known of the lives of a case.

use crate::fatigue::assessment::{
    Assessed, Comparison, CrackOrigin, Ground, at_holes, shortest, worst,
};
use crate::fatigue::end::LifeEnd;
use crate::fatigue::trade::{PlainEquivalent, TradeError};
use crate::result::measured::Agreement;
use crate::study::lives::corner_report::CornerReport;
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
    /// Assumption about the direction through the thickness.
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
    /// Data common to every crack.
    pub ground: Ground,
    /// Residual stress that the load left; `None` when it was not run.
    pub relaxation: Option<Relaxation>,
    /// The most that conservative practice credits.
    pub credit: Credit,
    /// Measured hoop stresses on the line of the governing crack beside the residual stress after the work.
    pub measured: Vec<Agreement>,
    /// Lives with shares of the residual stress.
    pub knock_downs: Vec<KnockDown>,
    /// Lives with as much more or less residual stress as mesh and increments leave open; `None` when that is not known.
    pub mesh: Option<MeshSwing>,
    /// Every place, plain and expanded; cracks at holes first.
    pub comparisons: Vec<Comparison>,
    /// The crack at a hole that lives shortest after the work.
    pub governing: Comparison,
    /// Worst place under the bounding hardening laws.
    pub bounds: Vec<Bound>,
    /// Corner cracks at the entry face of the same holes.
    pub corner: Option<CornerReport>,
    /// Value of the expansion.
    pub trade: Trade,
    /// Anything a reader should look at.
    pub warnings: Vec<String>,
}

/// How the load was run on the residual state.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Relaxation {
    /// Cycles.
    pub cycles: usize,
    /// Whether the metal yielded in the first.
    pub yielded: bool,
    /// Whether it no longer did in the last.
    pub settled: bool,
}

/// The plain hole whose life is the most that conservative practice credits to an expanded one.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Credit {
    /// Its flaw, mm.
    pub flaw: f64,
    /// Shortest life over all places, cycles.
    pub cycles: f64,
}

/// The expanded hole with a share of its residual stress.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct KnockDown {
    /// The share.
    pub share: f64,
    /// Shortest life over all places, cycles.
    pub cycles: f64,
}

/// The expanded hole with the whole residual stress larger and smaller in proportion, by what mesh and increments leave
/// open at the edge where the governing crack starts.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MeshSwing {
    /// Error at that edge, MPa.
    pub edge: f64,
    /// The same over the residual stress there.
    pub share: f64,
    /// Shortest life with less and with more of it, cycles.
    pub cycles: [f64; 2],
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
    /// Factor on the load at which the metal beside the cracks yields under load; `None` if never.
    pub onset: Option<f64>,
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
    /// Value needed, or the reason why there is no answer.
    pub answer: Result<PlainEquivalent, TradeError>,
    /// Whether its mass ratio means something.
    pub mass_known: bool,
}

/// Lives at one factor on every stress; infinite where there is no end, not a number where the plate
/// was not solved.
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

    /// The crack from the edge of the plate that lives shortest after the work, when it lives shorter
    /// than every crack at a hole.
    #[must_use]
    pub fn shorter_at_plate_edge(&self) -> Option<&Comparison> {
        let edges = self.comparisons.iter().filter(|c| c.place.origin == CrackOrigin::PlateEdge);
        worst(edges).filter(|c| c.expanded.life.cycles_borne() < self.expanded_life())
    }

    /// Shortest life of the plain hole over all cracks at holes, cycles.
    #[must_use]
    pub fn plain_life(&self) -> f64 {
        let [plain, _] = shortest(at_holes(&self.comparisons));
        plain
    }

    /// Shortest life of the expanded hole over all cracks at holes, cycles.
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
