//! The expanded hole under other stresses than that of the case: the residual field changes with them.
//!
//! Up to the stress at which the metal beside the crack yields under load, the field is the one that the work
//! left. Beyond, it is solved at some factors on the load and interpolated between them.

use std::sync::atomic::AtomicBool;

use rayon::prelude::*;

use crate::case::Case;
use crate::case::life_table::LifeSettings;
use crate::fatigue::assessment::{CrackOrigin, Ground, Place};
use crate::fatigue::crack_life::Grower;
use crate::fatigue::sequence::LoadSequence;
use crate::fatigue::trade::WIDEST;
use crate::process::snapshot::Snapshot;
use crate::study::last_state::Shelf;
use crate::study::lives::places::Lines;
use crate::study::lives::refusal::LifeRefusal;
use crate::study::lives::settle::settle;

/// Highest factor on the load that is solved for.
const HIGHEST: f64 = 2.0;
/// Factors that are solved between the first yielding and the highest.
const NODES: u32 = 5;
/// Factors nearer to each other than this are one.
const SAME: f64 = 1e-3;

/// The cracks of all places in the residual fields that loads of several sizes leave.
pub(super) struct Family {
    /// Rising factors with the cracks of all places.
    nodes: Vec<(f64, Vec<Grower>)>,
    /// Factor at which the metal beside the cracks yields under load; infinite if never.
    pub(super) onset: f64,
    /// Largest factor that the fields answer for.
    pub(super) highest: f64,
}

/// Source of a family.
pub(super) struct Source<'a> {
    pub(super) case: &'a Case,
    pub(super) settings: &'a LifeSettings,
    pub(super) ground: &'a Ground,
    pub(super) lines: &'a Lines,
    /// The state that the work left.
    pub(super) state: &'a Snapshot,
    pub(super) stop: &'a AtomicBool,
    /// Where settled states are kept.
    pub(super) shelf: &'a dyn Shelf,
}

impl Family {
    /// The field of the case at every stress.
    pub(super) fn fixed(growers: Vec<Grower>, onset: f64) -> Self {
        Self { nodes: vec![(1.0, growers)], onset, highest: WIDEST[1] }
    }

    /// Fields that follow the stress; `own` are the cracks in the field at factor 1.
    pub(super) fn solved(
        source: &Source<'_>,
        own: Vec<Grower>,
        onset: f64,
    ) -> Result<Self, LifeRefusal> {
        let Source { case, settings, ground, lines, state, stop, shelf } = *source;
        let [low, high] = ground.sequence.extremes().map(|stress| stress / settings.tension);
        // A section that yields as a whole ends every life.
        let bound = |grower: &Grower| grower.bearable_stress() / (high * settings.tension);
        let most = own.iter().map(bound).fold(HIGHEST, f64::min).max(1.0);
        let worked = growers(ground, lines.places(case, settings, state, None)?)?;
        if onset >= most {
            return Ok(Self { nodes: vec![(1.0, worked)], onset, highest: WIDEST[1] });
        }
        let first = onset.max(WIDEST[0]);
        let wanted: Vec<(u32, f64)> = (1..=NODES)
            .map(|k| (k, first * (most / first).powf(f64::from(k) / f64::from(NODES))))
            .filter(|(_, factor)| (factor - 1.0).abs() > SAME)
            .collect();
        let solve = |(k, factor): (u32, f64)| -> Result<Option<(f64, Vec<Grower>)>, LifeRefusal> {
            let shares = [factor * low, factor * high];
            let name = format!("settled-at-stress-{k}");
            let kept = (shelf, name.as_str());
            let Some(settled) = settle(&case.job, state, &settings.load, shares, stop, kept)?
            else {
                return Ok(None);
            };
            let places = lines.places(case, settings, &settled.snapshot, None)?;
            Ok(Some((factor, growers(ground, places)?)))
        };
        let solved: Vec<_> = wanted.into_par_iter().map(solve).collect::<Result<_, _>>()?;
        let mut nodes = vec![(first, worked)];
        nodes.extend(solved.into_iter().flatten());
        if first < 1.0 {
            nodes.push((1.0, own));
        }
        nodes.sort_by(|a, b| a.0.total_cmp(&b.0));
        let highest = nodes.last().map_or(WIDEST[1], |last| last.0);
        Ok(Self { nodes, onset, highest })
    }

    /// Shortest life over all places with every stress of `sequence` times `factor`, cycles.
    pub(super) fn life(&self, sequence: &LoadSequence, factor: f64) -> f64 {
        let scaled = sequence.scaled(factor);
        let upper = self.nodes.partition_point(|node| node.0 < factor);
        let shortest = |lives: &mut dyn Iterator<Item = f64>| lives.fold(f64::INFINITY, f64::min);
        let whole = |node: &(f64, Vec<Grower>)| {
            shortest(&mut node.1.iter().map(|grower| grower.cycles_borne(&scaled)))
        };
        match (upper.checked_sub(1).and_then(|k| self.nodes.get(k)), self.nodes.get(upper)) {
            (Some(below), Some(above)) => {
                let share = (factor - below.0) / (above.0 - below.0);
                let pairs = below.1.iter().zip(&above.1);
                shortest(&mut pairs.map(|(a, b)| a.between(b, share).cycles_borne(&scaled)))
            }
            (Some(only), None) | (None, Some(only)) => whole(only),
            (None, None) => f64::NAN,
        }
    }
}

/// The cracks at holes of `places`, ready to be grown.
fn growers(ground: &Ground, places: Vec<Place>) -> Result<Vec<Grower>, LifeRefusal> {
    places
        .into_iter()
        .filter(|place| place.origin == CrackOrigin::Hole)
        .map(|place| {
            let crack = place.plain().with_residual(place.residual_hoop);
            let (model, limits) = (ground.model.clone(), ground.limits);
            Grower::new(&crack, model, limits, ground.contact, ground.initial).map_err(|error| {
                LifeRefusal::Life { hole: place.hole, angle_deg: place.angle_deg, error }
            })
        })
        .collect()
}
