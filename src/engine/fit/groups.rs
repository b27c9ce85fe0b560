//! Whether one set of constants serves tests of small and of large strain, and what to say of a share that
//! no test tells.

use crate::fit::metal::{FitError, Fitted, Plan, UNLIKELY, Unknown, fit};
use crate::fit::record::Record;
use crate::fit::starts::Look;
use crate::fit::statistics::chance_of_ratio;
use crate::material::bracket::purely_kinematic;
use crate::material::constant::Constant;
use crate::material::hardening::{Isotropic, Material, VoceTerm};

/// Ratio of amplitudes from which on tests are of small and of large strain.
const APART: f64 = 1.5;

/// Share of the deviations that sets apart must save to be worth having.
const WORTH: f64 = 0.2;

/// Tests of small and of large strain, each with constants of its own.
#[derive(Clone, Debug, PartialEq)]
pub struct Apart {
    /// Numbers of the records of small strain, and of large.
    pub records: [Vec<usize>; 2],
    /// Their metals.
    pub fitted: [Fitted; 2],
    /// Root of the mean square with one set and with two, in standard errors (MPa where none are
    /// stated).
    pub roots: [f64; 2],
    /// Chance of a difference as large, were one set right.
    pub chance: f64,
}

impl Apart {
    /// Whether one set cannot serve both.
    #[must_use]
    pub fn is_needed(&self) -> bool {
        self.chance < UNLIKELY && self.roots[1] < (1.0 - WORTH) * self.roots[0]
    }
}

/// The answer to tests of a metal.
#[derive(Clone, Debug, PartialEq)]
pub struct Answer {
    /// One set of constants for all tests.
    pub all: Fitted,
    /// When no test flows back: the metal with the same first pull and all hardening kinematic, and how
    /// far it is off, relative; `all` is then isotropic and neither share is known.
    pub kinematic_bound: Option<(Material, f64)>,
    /// The tests apart, when their amplitudes are.
    pub apart: Option<Apart>,
}

/// Finds the constants of `plan`, and looks whether the tests tell them and whether one set serves all.
///
/// # Errors
///
/// [`FitError`] of any kind.
pub fn answer(
    records: &[Record],
    plan: &Plan,
    stop: &(dyn Fn() -> bool + Sync),
) -> Result<Answer, FitError> {
    let mut all = fit(records, plan, stop)?;
    let mut plan = plan.clone();
    let mut kinematic_bound = None;
    if !all.flows_back() && !plan.metal.kinematic.is_empty() {
        plan = isotropic(records, &plan);
        all = fit(records, &plan, stop)?;
        kinematic_bound = Some(purely_kinematic(&all.metal));
    }
    let apart = match groups(records) {
        None => None,
        Some(groups) => apart(records, &plan, (groups, &all), stop)?,
    };
    Ok(Answer { all, kinematic_bound, apart })
}

/// The plan with every backstress term as a saturating term.
fn isotropic(records: &[Record], plan: &Plan) -> Plan {
    let mut metal = plan.metal.clone();
    let count = metal.kinematic.len();
    metal.kinematic.clear();
    let none = VoceTerm { saturation: 1.0, rate: 1.0 };
    let replaced = match &mut metal.isotropic {
        Isotropic::None => Some(Isotropic::Voce { terms: vec![none; count], slope: 0.0 }),
        Isotropic::Linear { slope } => {
            Some(Isotropic::Voce { terms: vec![none; count], slope: *slope })
        }
        Isotropic::Voce { terms, .. } => {
            terms.extend(vec![none; count]);
            None
        }
        Isotropic::RambergOsgood { .. } | Isotropic::Table { .. } => None,
    };
    if let Some(law) = replaced {
        metal.isotropic = law;
    }
    let look = Look::at(records, None);
    let kept = |constant: Constant| plan.unknowns.iter().find(|u| u.constant == constant).copied();
    let given = |constant: Constant| constant.of(&plan.metal).is_some() && kept(constant).is_none();
    let unknowns = Constant::all(&metal)
        .into_iter()
        .filter(|constant| !given(*constant))
        .map(|constant| {
            let limits = look.limits(constant);
            kept(constant).unwrap_or(Unknown { constant, limits, start: None })
        })
        .collect();
    Plan { metal, unknowns }
}

/// Numbers of the records before and after the widest gap of amplitudes, when that is wide enough.
fn groups(records: &[Record]) -> Option<[Vec<usize>; 2]> {
    let mut order: Vec<usize> = (0..records.len()).collect();
    order.sort_by(|a, b| records[*a].amplitude().total_cmp(&records[*b].amplitude()));
    let ratio = |k: usize| records[order[k]].amplitude() / records[order[k - 1]].amplitude();
    let widest = (1..order.len()).max_by(|a, b| ratio(*a).total_cmp(&ratio(*b)))?;
    (ratio(widest) >= APART).then(|| {
        let mut both = [order[..widest].to_vec(), order[widest..].to_vec()];
        for group in &mut both {
            group.sort_unstable();
        }
        both
    })
}

/// Fits the groups one by one; `None` when one of them cannot be fitted alone.
fn apart(
    records: &[Record],
    plan: &Plan,
    (groups, all): ([Vec<usize>; 2], &Fitted),
    stop: &(dyn Fn() -> bool + Sync),
) -> Result<Option<Apart>, FitError> {
    let of = |group: &Vec<usize>| {
        let own: Vec<Record> = group.iter().map(|k| records[*k].clone()).collect();
        match fit(&own, plan, stop) {
            Err(FitError::Stopped) => Err(FitError::Stopped),
            found => Ok(found.ok()),
        }
    };
    let (Some(small), Some(large)) = (of(&groups[0])?, of(&groups[1])?) else { return Ok(None) };
    let own = small.squares + large.squares;
    let points: usize = records.iter().map(|record| record.strains.len()).sum();
    let unknowns = plan.unknowns.len();
    let Some(below) = points.checked_sub(2 * unknowns).filter(|below| *below > 0) else {
        return Ok(None);
    };
    // Nothing to explain: both are exact.
    let more = (all.squares - own).max(0.0);
    let ratio = (more / unknowns as f64) / (own / below as f64).max(f64::MIN_POSITIVE);
    let exact = all.squares / (points as f64) < 1e-12;
    let chance = if exact { 1.0 } else { chance_of_ratio(ratio, [unknowns, below]) };
    let root = |squares: f64| (squares / points as f64).sqrt();
    let roots = [root(all.squares), root(own)];
    Ok(Some(Apart { records: groups, fitted: [small, large], roots, chance }))
}
