//! Crack length against cycles, from an initial flaw to the end.
//!
//! **One cycle repeated**: cycles are the integral of `da/(da/dN)` over length, in `ln a`, by
//! adaptive quadrature.
//!
//! **Blocks**: where a pass grows the crack little (0.5 % of its length), passes are the
//! integral of `da/(da/d(pass))`, `da/d(pass)` being the sum over the blocks; where a pass grows
//! it more, blocks are taken one after the other in their order. No block
//! changes the growth of the next: retardation after overloads is left out, as in every law
//! of [`crate::fatigue::growth`].

use std::fmt;

use serde::Serialize;

use crate::fatigue::constants::GrowthModel;
use crate::fatigue::crack::CrackGeometry;
use crate::fatigue::cycle::StressCycle;
use crate::fatigue::end::{LifeEnd, Limits, find_end};
use crate::fatigue::intensity::{ContactRule, IntensityCycle, StressIntensity};
use crate::fatigue::origin::Origin;
use crate::fatigue::sequence::LoadSequence;
use crate::fatigue::table::IntensityTable;
use crate::fatigue::weight_function::WeightError;

mod march;

/// A point of the curve of length against cycles.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct CurvePoint {
    /// Cycles so far.
    pub cycles: f64,
    /// Crack length, mm.
    pub length: f64,
}

/// A point of the growth curve, for the severest cycle of the sequence.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct RatePoint {
    /// Crack length, mm.
    pub length: f64,
    /// Stress intensities at the tip, MPa√mm.
    pub cycle: IntensityCycle,
    /// Growth of that cycle, mm; 0 where it does not grow.
    pub rate: f64,
}

/// A life with its curves and what it stands on.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Life {
    /// How it ends.
    pub end: LifeEnd,
    /// Cycles counted up to the end; up to near the stop when the crack arrests.
    pub cycles: f64,
    /// Length against cycles, from the initial flaw.
    pub curve: Vec<CurvePoint>,
    /// Growth against length.
    pub rates: Vec<RatePoint>,
    /// Rule for closed cracks.
    pub contact: ContactRule,
    /// Origin of the growth constants.
    pub origin: Origin,
}

impl Life {
    /// Cycles the part bears: those of the end, or infinity when the crack arrests or the
    /// cycles asked for were used up before it ended.
    #[must_use]
    pub fn cycles_borne(&self) -> f64 {
        match self.end {
            LifeEnd::Arrest { .. } | LifeEnd::CyclesReached { .. } => f64::INFINITY,
            _ => self.cycles,
        }
    }

    /// Life over the life of another, `None` when this one has no end or the other no length.
    #[must_use]
    pub fn improvement_over(&self, other: &Life) -> Option<f64> {
        let factor = self.cycles_borne() / other.cycles_borne();
        factor.is_finite().then_some(factor)
    }

    /// Cycles at which the crack has this length, mm, by straight lines in `ln a`.
    #[must_use]
    pub fn cycles_at(&self, length: f64) -> Option<f64> {
        let (first, last) = (self.curve.first()?, self.curve.last()?);
        if !(first.length..=last.length).contains(&length) {
            return None;
        }
        let upper = self.curve.partition_point(|point| point.length < length).max(1);
        let (from, to) = (self.curve[upper - 1], *self.curve.get(upper)?);
        let share = (length / from.length).ln() / (to.length / from.length).ln();
        Some(from.cycles + share * (to.cycles - from.cycles))
    }
}

/// Why there is no life.
#[derive(Clone, Copy, Debug, PartialEq)]
#[non_exhaustive]
pub enum LifeError {
    /// Crack or profile.
    Weight(WeightError),
    /// A limit that is not positive.
    BadLimit {
        /// Which one.
        quantity: &'static str,
        /// Its value.
        value: f64,
    },
    /// Constants of the growth law that cannot be evaluated.
    BadLaw,
    /// The full range was asked of a law that holds no negative ratio.
    NoNegativeRatio,
}

impl fmt::Display for LifeError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Weight(error) => error.fmt(f),
            Self::BadLimit { quantity, value } => write!(f, "{quantity} {value} must be positive"),
            Self::BadLaw => f.write_str("a constant of the growth law is out of its range"),
            Self::NoNegativeRatio => {
                f.write_str("this growth law says nothing of negative stress ratios")
            }
        }
    }
}

impl std::error::Error for LifeError {}

impl LifeError {
    /// Remedy to try, when the cause suggests one.
    #[must_use]
    pub fn hint(&self) -> Option<&'static str> {
        match self {
            Self::NoNegativeRatio => {
                Some("count the open part alone, or take a Walker or closure-based law")
            }
            _ => None,
        }
    }
}

impl From<WeightError> for LifeError {
    fn from(error: WeightError) -> Self {
        Self::Weight(error)
    }
}

fn check(model: &GrowthModel, limits: &Limits, contact: ContactRule) -> Result<(), LifeError> {
    for (quantity, value) in [
        ("fracture toughness", limits.toughness),
        ("yield stress", limits.yield_stress.unwrap_or(1.0)),
        ("cycles", limits.most_cycles),
    ] {
        if value.is_nan() || value <= 0.0 {
            return Err(LifeError::BadLimit { quantity, value });
        }
    }
    if !model.law.is_sound() {
        return Err(LifeError::BadLaw);
    }
    if contact == ContactRule::FullRange && !model.law.holds_negative_ratios() {
        return Err(LifeError::NoNegativeRatio);
    }
    Ok(())
}

/// How much of a life is wanted.
#[derive(Clone, Copy, Debug)]
enum Detail {
    /// Length against cycles, to its very end.
    Curve,
    /// The end alone.
    End,
}

/// A crack ready to be grown under any sequence: the profiles are integrated once.
#[derive(Clone, Debug)]
pub struct Grower {
    geometry: CrackGeometry,
    table: IntensityTable,
    model: GrowthModel,
    limits: Limits,
    contact: ContactRule,
}

impl Grower {
    /// A crack of `initial` mm.
    ///
    /// # Errors
    /// [`LifeError`]: a crack or profile beyond its limits, limits that are not positive, a law
    /// that cannot be evaluated or holds no negative ratio although the full range is asked.
    pub fn new(
        intensity: &StressIntensity,
        model: GrowthModel,
        limits: Limits,
        contact: ContactRule,
        initial: f64,
    ) -> Result<Self, LifeError> {
        check(&model, &limits, contact)?;
        let table = IntensityTable::new(intensity, initial)?;
        if !table.rungs().iter().all(|p| p.per_stress().is_finite() && p.residual.is_finite()) {
            return Err(LifeError::Weight(WeightError::NotFinite));
        }
        Ok(Self { geometry: *intensity.geometry(), table, model, limits, contact })
    }

    /// Remote stress at which the section with the initial crack yields as a whole, MPa; infinite
    /// where that is not checked.
    #[must_use]
    pub fn bearable_stress(&self) -> f64 {
        let (start, _) = self.table.ends();
        let factor = self.geometry.gross_over_net(start);
        self.limits
            .yield_stress
            .zip(factor)
            .map_or(f64::INFINITY, |(stress, factor)| stress / factor)
    }

    /// The parts of K against length that this life stands on.
    #[must_use]
    pub fn table(&self) -> &IntensityTable {
        &self.table
    }

    /// Origin of the growth constants.
    #[must_use]
    pub fn origin(&self) -> &Origin {
        &self.model.origin
    }

    /// The same crack in another material.
    ///
    /// # Errors
    /// As [`new`](Self::new), for the law and the limits.
    pub fn in_material(&self, model: GrowthModel, limits: Limits) -> Result<Self, LifeError> {
        let contact = model.law.contact_rule();
        check(&model, &limits, contact)?;
        Ok(Self { model, limits, contact, ..self.clone() })
    }

    /// The same crack with this share of its residual part.
    #[must_use]
    pub fn with_residual_share(&self, share: f64) -> Self {
        Self { table: self.table.with_residual_share(share), ..self.clone() }
    }

    /// The same crack with a residual part between its own and that of `other`, which must be the
    /// same crack in another residual field: its own at share 0.
    #[must_use]
    pub fn between(&self, other: &Self, share: f64) -> Self {
        Self { table: self.table.between(&other.table, share), ..self.clone() }
    }

    /// Cycles the part bears under a sequence: [`Life::cycles_borne`] without the curves.
    #[must_use]
    pub fn cycles_borne(&self, sequence: &LoadSequence) -> f64 {
        let (end, curve) = self.grow(sequence, Detail::End);
        match end {
            LifeEnd::Arrest { .. } | LifeEnd::CyclesReached { .. } => f64::INFINITY,
            _ => curve[curve.len() - 1].cycles,
        }
    }

    /// The life under a sequence.
    #[must_use]
    pub fn life(&self, sequence: &LoadSequence) -> Life {
        let (end, curve) = self.grow(sequence, Detail::Curve);
        Life {
            end,
            cycles: curve[curve.len() - 1].cycles,
            rates: self.rates(&curve, &sequence.severest().cycle),
            curve,
            contact: self.contact,
            origin: self.model.origin.clone(),
        }
    }

    /// How it ends, and length against cycles up to there.
    fn grow(&self, sequence: &LoadSequence, detail: Detail) -> (LifeEnd, Vec<CurvePoint>) {
        let law = (&self.model.law, self.contact);
        let end = find_end(&self.geometry, &self.table, law, &self.limits, sequence);
        let (start, _) = self.table.ends();
        // A crack nears an arrest for ever: stop counting a thousandth short of it.
        let target = match end {
            LifeEnd::Arrest { length } => start + 0.999 * (length - start),
            _ => end.length(),
        };
        let curve = if sequence.blocks().len() == 1 {
            self.integrate(&sequence.blocks()[0].cycle, target)
        } else {
            self.march(sequence, target, detail)
        };
        let last = curve[curve.len() - 1];
        let end = match end {
            arrest @ LifeEnd::Arrest { .. } => arrest,
            _ if last.length < target => LifeEnd::CyclesReached { length: last.length },
            other => other,
        };
        (end, curve)
    }

    /// Growth of one cycle at length `a` mm, mm.
    fn rate(&self, cycle: &StressCycle, a: f64) -> f64 {
        self.model.law.growth(&self.table.at(a).cycle(cycle, self.contact), a).rate()
    }

    fn rates(&self, curve: &[CurvePoint], cycle: &StressCycle) -> Vec<RatePoint> {
        curve
            .iter()
            .map(|point| {
                let tip = self.table.at(point.length).cycle(cycle, self.contact);
                let rate = self.model.law.growth(&tip, point.length).rate();
                RatePoint { length: point.length, cycle: tip, rate }
            })
            .filter(|point| point.rate.is_finite())
            .collect()
    }
}
