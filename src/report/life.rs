//! Lives of cracks as files and words: `life.json`, `life.csv`, `life.html`, and the answer for the
//! terminal.
//!
//! Every one of them names the source of the growth constants, says when they are from memory or of
//! another product, and carries the cautions.
//!
//! Floor 7, `report`.

mod csv;
mod json;
mod page;
mod rows;
mod stands;
mod text;

pub use crate::report::life::csv::csv;
pub use crate::report::life::json::json;
pub use crate::report::life::page::page;
pub use crate::report::life::text::answer;

use crate::fatigue::assessment::{Assessed, Comparison, Ground};
use crate::fatigue::end::LifeEnd;
use crate::fatigue::growth::GrowthLaw;
use crate::fatigue::trade::{PlainEquivalent, TradeError};
use crate::units::Units;

/// File that makes a folder one of lives.
pub const FILE: &str = "life.json";

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

/// Name of a growth law in a case file.
#[must_use]
pub fn law_name(law: &GrowthLaw) -> &'static str {
    match law {
        GrowthLaw::Paris { .. } => "paris",
        GrowthLaw::Walker { .. } => "walker",
        GrowthLaw::Forman { .. } => "forman",
        GrowthLaw::Closure(_) => "closure",
    }
}

/// What a life here does not contain.
pub const OUTSIDE: [&str; 7] = [
    "Through cracks in a two-dimensional plate only. Real cracks at expanded holes mostly start as \
     corner cracks at the face where the mandrel entered, where the compression is least: corner and \
     surface cracks are outside, and with them the difference between the faces.",
    "Corrosion, fretting under heads and between plates, and load transfer by fasteners are outside. At \
     full load transfer a benefit of expansion was not found in tests.",
    "The quality of the work is outside: sleeve position, scores, burrs, out-of-round holes, a tool \
     below size. The residual stress is that of a process that went as drawn.",
    "Residual stress stays as it is and is added by superposition. Relaxation in service is in it only \
     as far as load stages of the case bring it about.",
    "Where superposition closes the crack only its open part counts. Faces that touch near the hole while \
     the tip is open are not followed; that leaves out a wedge, on the safe side for the range.",
    "No cycle changes the growth of the next: retardation by overloads and acceleration by underloads \
     are left out.",
    "Short cracks, below about a millimetre, can grow faster than these laws say. Scatter of growth \
     constants alone is about a factor of two in life.",
];

/// What no life here replaces.
pub const DECIDE: &str = "Airworthiness policy commonly asks that damage tolerance be shown without the \
     benefit of expansion, and where a benefit is credited a factor of three on life is conservative \
     practice (common practice, no source).";
