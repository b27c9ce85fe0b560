//! A crack at a hole, assessed twice: with the residual field the process left, and without.
//!
//! Both have the same geometry and the same load; "plain" is the hole without its residual stress,
//! as if drilled to that size.

use crate::fatigue::constants::GrowthModel;
use crate::fatigue::crack::CrackGeometry;
use crate::fatigue::crack_life::{Grower, Life, LifeError};
use crate::fatigue::end::Limits;
use crate::fatigue::initiation::{EdgeInitiation, EdgeStress, edge_initiation};
use crate::fatigue::inspection::{Inspection, InspectionError, inspection};
use crate::fatigue::intensity::{ContactRule, StressIntensity};
use crate::fatigue::sequence::LoadSequence;
use crate::fatigue::strain_life::StrainLifeModel;
use crate::numeric::profile::Profile;

/// Data common to every crack of a case.
#[derive(Clone, Debug)]
pub struct Ground {
    /// The load.
    pub sequence: LoadSequence,
    /// Growth law with its constants.
    pub model: GrowthModel,
    /// Strength of the part.
    pub limits: Limits,
    /// How closed cracks count.
    pub contact: ContactRule,
    /// Crack length that growth starts from, mm.
    pub initial: f64,
    /// Smallest crack that an inspection finds, mm.
    pub detectable: Option<f64>,
    /// Factor that lives are divided by.
    pub factor: f64,
    /// Strain-life constants, when the alloy has some.
    pub strain_life: Option<StrainLifeModel>,
}

/// Where on its line a crack starts.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum CrackOrigin {
    /// At the edge of the hole.
    Hole,
    /// At the edge of the plate that the line meets; distances are from there.
    PlateEdge,
}

/// A place where a crack may grow.
#[derive(Clone, Debug)]
pub struct Place {
    /// Name of the hole.
    pub hole: String,
    /// Direction, degrees.
    pub angle_deg: f64,
    /// Which end of the line it starts from.
    pub origin: CrackOrigin,
    /// Hole, cracks and edges.
    pub geometry: CrackGeometry,
    /// Elastic hoop stress per remote stress against distance from the edge, mm.
    pub load_hoop: Profile,
    /// Residual hoop stress, MPa.
    pub residual_hoop: Profile,
    /// The same as the work left it, when the load has changed it since.
    pub worked_hoop: Option<Profile>,
}

impl Place {
    /// The crack under load alone, without the residual field: a plain hole.
    #[must_use]
    pub fn plain(&self) -> StressIntensity {
        StressIntensity::new(self.geometry, self.load_hoop.clone())
    }
}

/// One of the two holes.
#[derive(Clone, Debug)]
pub struct Assessed {
    /// Crack that can be grown again under other loads.
    pub grower: Grower,
    /// The life from the initial flaw.
    pub life: Life,
    /// When to look; `None` without a detectable size.
    pub inspection: Option<Result<Inspection, InspectionError>>,
    /// Initiation at the edge by each rule; empty without constants.
    pub initiation: Vec<EdgeInitiation>,
}

/// Both holes at one place.
#[derive(Clone, Debug)]
pub struct Comparison {
    /// The place.
    pub place: Place,
    /// Without the residual field.
    pub plain: Assessed,
    /// With it.
    pub expanded: Assessed,
}

impl Comparison {
    /// Life of the expanded hole over that of the plain one; `None` when it has no end.
    #[must_use]
    pub fn improvement(&self) -> Option<f64> {
        self.expanded.life.improvement_over(&self.plain.life)
    }
}

/// Assesses `place` with and without its residual field.
///
/// # Errors
/// [`LifeError`] of either hole.
pub fn compare(ground: &Ground, place: Place) -> Result<Comparison, LifeError> {
    let load = place.plain();
    let expanded = load.clone().with_residual(place.residual_hoop.clone());
    let at_edge = |profile: &Profile| profile.values().first().copied().unwrap_or(0.0);
    let concentration = at_edge(&place.load_hoop);
    let one = |intensity: &StressIntensity, residual: f64| -> Result<Assessed, LifeError> {
        let grower = Grower::new(
            intensity,
            ground.model.clone(),
            ground.limits,
            ground.contact,
            ground.initial,
        )?;
        let life = grower.life(&ground.sequence);
        let inspection = ground.detectable.map(|size| inspection(&life, size, ground.factor));
        let edge = EdgeStress { concentration, residual };
        // The rules are for the edge of a hole, where the stress peaks.
        let initiation = ground
            .strain_life
            .as_ref()
            .filter(|_| place.origin == CrackOrigin::Hole)
            .map(|model| edge_initiation(model, edge, &ground.sequence))
            .unwrap_or_default();
        Ok(Assessed { grower, life, inspection, initiation })
    };
    let plain = one(&load, 0.0)?;
    let expanded = one(&expanded, at_edge(&place.residual_hoop))?;
    Ok(Comparison { place, plain, expanded })
}

/// The comparisons of cracks that start at a hole.
pub fn at_holes(all: &[Comparison]) -> impl Iterator<Item = &Comparison> {
    all.iter().filter(|comparison| comparison.place.origin == CrackOrigin::Hole)
}

/// Shortest lives over all comparisons, `[plain, expanded]`, cycles, wherever each of them is; infinite where
/// there is no end.
pub fn shortest<'a>(all: impl IntoIterator<Item = &'a Comparison>) -> [f64; 2] {
    all.into_iter().fold([f64::INFINITY; 2], |[plain, expanded], at| {
        let lives = [&at.plain, &at.expanded].map(|hole| hole.life.cycles_borne());
        [plain.min(lives[0]), expanded.min(lives[1])]
    })
}

/// The comparison with the shortest life of the expanded hole; of equals, that of the plain hole.
#[must_use]
pub fn worst<'a>(all: impl IntoIterator<Item = &'a Comparison>) -> Option<&'a Comparison> {
    all.into_iter().min_by(|a, b| {
        let key = |c: &Comparison| [c.expanded.life.cycles_borne(), c.plain.life.cycles_borne()];
        let ([one, plain], [other, other_plain]) = (key(a), key(b));
        one.total_cmp(&other).then(plain.total_cmp(&other_plain))
    })
}
