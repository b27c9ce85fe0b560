//! The constants of a metal from tests of a bar.
//!
//! The metal is that of the program ([`Material`]), a bar of it is followed in closed form
//! ([`bar`](crate::material::bar)), and the squares of its stresses less the measured ones are made
//! smallest. Constants are varied by their logarithms, so that none changes its sign and an interval of
//! one that is poorly known is wide upward.
//!
//! A bar that never flows back says nothing of how its hardening is shared between the size of the yield
//! surface and its centre: an isotropic metal with the same first pull has the same stresses everywhere.
//! No number of that share is given then ([`Fitted::flows_back`]).

use rayon::prelude::*;

use crate::fit::certainty::Certainty;
use crate::fit::least_squares::{Deviations, Ends, Minimum, Model, least_squares};
use crate::fit::record::Record;
use crate::fit::starts::Look;
use crate::fit::statistics::{
    chance_of_runs, chance_of_squares, normal_quantile, student_quantile,
};
use crate::material::bar::{BarPoint, follow};
use crate::material::constant::Constant;
use crate::material::hardening::Material;
use crate::material::state::YIELDED;

/// Relative change that ends a search: a bar is followed to rounding.
const TOLERANCE: f64 = 1e-13;

/// Iterations from every start, and from the best of them.
const FIRST: usize = 25;
const LAST: usize = 400;

/// Starts that are followed to the end.
const FOLLOWED: usize = 4;

/// Chance below which deviations are not the scatter they are said to be.
pub const UNLIKELY: f64 = 0.01;

/// Sums of squares that differ by less, relative to the smaller, are the same minimum.
const SAME: f64 = 1e-3;

/// A constant that is searched for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Unknown {
    /// Which.
    pub constant: Constant,
    /// Its limits; by its logarithm where the lower is above zero.
    pub limits: [f64; 2],
    /// Where the search begins, when the user says.
    pub start: Option<f64>,
}

impl Unknown {
    fn is_logarithmic(&self) -> bool {
        self.limits[0] > 0.0
    }

    fn variable(&self, value: f64) -> f64 {
        if self.is_logarithmic() { value.max(f64::MIN_POSITIVE).ln() } else { value / self.scale() }
    }

    fn value(&self, variable: f64) -> f64 {
        if self.is_logarithmic() { variable.exp() } else { variable * self.scale() }
    }

    fn scale(&self) -> f64 {
        self.limits[0].abs().max(self.limits[1].abs())
    }

    /// Change of the value by the variable.
    fn slope(&self, value: f64) -> f64 {
        if self.is_logarithmic() { value } else { self.scale() }
    }
}

/// The question: a metal whose unknown constants are to be found.
#[derive(Clone, Debug, PartialEq)]
pub struct Plan {
    /// Law, terms and the constants that are given.
    pub metal: Material,
    /// The others.
    pub unknowns: Vec<Unknown>,
}

/// A constant that was found.
#[derive(Clone, Debug, PartialEq)]
pub struct Value {
    /// The question.
    pub unknown: Unknown,
    /// Its value, MPa or none.
    pub value: f64,
    /// Standard error, in the same unit; `None` where the data do not tell, or it is at a limit.
    pub error: Option<f64>,
    /// Ends of the 90 % interval.
    pub interval: Option<[f64; 2]>,
    /// Whether it ended at a limit.
    pub at_limit: bool,
}

/// The answer to a plan.
#[derive(Clone, Debug, PartialEq)]
pub struct Fitted {
    /// The metal.
    pub metal: Material,
    /// The constants, in the order of the plan.
    pub values: Vec<Value>,
    /// How well the variables (logarithms, as a rule) are known.
    pub certainty: Certainty,
    /// The bar beside the points of every record.
    pub paths: Vec<Vec<BarPoint>>,
    /// Sum of squares of weighted deviations over their standard errors, and how many points there are
    /// beyond the unknowns.
    pub squares: f64,
    /// Points less unknowns.
    pub spare: usize,
    /// Root of the mean square of computed less measured stress, MPa, of every record.
    pub root_mean_squares: Vec<f64>,
    /// Chance of as few runs of one sign, of every record, were the deviations scatter.
    pub runs: Vec<f64>,
    /// Whether the scatter stated with the tests is too small for the deviations; `None` when none is.
    pub too_far: Option<bool>,
    /// Starts that came to this minimum, and all that were followed to the end.
    pub starts: [usize; 2],
}

impl Fitted {
    /// Whether the bar flows back in any of the tests.
    #[must_use]
    pub fn flows_back(&self) -> bool {
        self.paths.iter().any(|path| {
            let flow = |way: f64| path.iter().map(|p| (way * p.flow).max(0.0)).sum::<f64>();
            flow(1.0).min(flow(-1.0)) > YIELDED
        })
    }

    /// Whether the deviations look like scatter: runs of one sign are no longer than chance has it.
    #[must_use]
    pub fn looks_like_scatter(&self) -> bool {
        let least = self.runs.iter().fold(1.0_f64, |least, chance| least.min(*chance));
        // One of several tests may be unlikely.
        least * self.runs.len().max(1) as f64 > UNLIKELY
    }
}

/// Why no constants were found.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FitError {
    /// The search was stopped.
    Stopped,
    /// Fewer points than unknowns.
    TooFewPoints {
        /// Points.
        points: usize,
        /// Unknowns.
        unknowns: usize,
    },
    /// No start could be followed.
    Lost,
    /// The tests are elastic.
    Elastic,
}

impl std::fmt::Display for FitError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Stopped => f.write_str("stopped"),
            Self::TooFewPoints { points, unknowns } => {
                write!(f, "{points} points cannot tell {unknowns} constants")
            }
            Self::Lost => f.write_str("no metal of this law follows the tests within the limits"),
            Self::Elastic => f.write_str("the metal does not yield in any of the tests"),
        }
    }
}

impl std::error::Error for FitError {}

struct Tests<'a> {
    records: &'a [Record],
    plan: &'a Plan,
    wanted: Vec<Constant>,
    stop: &'a (dyn Fn() -> bool + Sync),
}

impl Tests<'_> {
    fn metal(&self, variables: &[f64]) -> Material {
        let mut metal = self.plan.metal.clone();
        for (unknown, variable) in self.plan.unknowns.iter().zip(variables) {
            unknown.constant.put(&mut metal, unknown.value(*variable));
        }
        metal
    }

    /// Weight of a deviation of one MPa.
    fn scale(record: &Record) -> f64 {
        record.weight.sqrt() / record.error.unwrap_or(1.0)
    }
}

impl Model for Tests<'_> {
    fn points(&self) -> usize {
        self.records.iter().map(|record| record.strains.len()).sum()
    }

    fn deviations(&self, variables: &[f64]) -> Option<Deviations> {
        let metal = self.metal(variables);
        let unknowns = self.plan.unknowns.iter().zip(variables);
        let slopes: Vec<f64> = unknowns.map(|(u, v)| u.slope(u.value(*v))).collect();
        let points = self.points();
        let mut found = Deviations {
            values: Vec::with_capacity(points),
            columns: vec![Vec::with_capacity(points); slopes.len()],
        };
        for record in self.records {
            let scale = Self::scale(record);
            let path = follow(&metal, &self.wanted, record.strains.iter().copied())?;
            for (point, stress) in path.iter().zip(&record.stresses) {
                found.values.push(scale * (point.stress - stress));
                for ((column, slope), sensitivity) in
                    found.columns.iter_mut().zip(&slopes).zip(point.sensitivities)
                {
                    column.push(scale * slope * sensitivity);
                }
            }
        }
        Some(found)
    }

    fn stopped(&self) -> bool {
        (self.stop)()
    }
}

/// Finds the constants of `plan` from `records`; `stop` tells when to give up.
///
/// # Errors
///
/// [`FitError`] of any kind.
pub fn fit(
    records: &[Record],
    plan: &Plan,
    stop: &(dyn Fn() -> bool + Sync),
) -> Result<Fitted, FitError> {
    let wanted = plan.unknowns.iter().map(|unknown| unknown.constant).collect();
    let tests = Tests { records, plan, wanted, stop };
    let (points, unknowns) = (tests.points(), plan.unknowns.len());
    if points <= unknowns {
        return Err(FitError::TooFewPoints { points, unknowns });
    }
    let known = plan.unknowns.iter().all(|u| u.constant != Constant::YoungsModulus);
    let look = Look::at(records, known.then_some(plan.metal.elasticity.youngs_modulus));
    let limits: Vec<[f64; 2]> =
        plan.unknowns.iter().map(|u| u.limits.map(|limit| u.variable(limit))).collect();
    let starts: Vec<Vec<f64>> = look
        .starts(&plan.metal)
        .iter()
        .map(|metal| {
            let start = |u: &Unknown| u.start.or_else(|| u.constant.of(metal)).unwrap_or(1.0);
            plan.unknowns.iter().map(|u| u.variable(start(u))).collect()
        })
        .collect();
    let search = |start: &Vec<f64>, iterations| {
        least_squares(&tests, start, &limits, Ends { iterations, tolerance: TOLERANCE })
    };
    let mut first: Vec<Minimum> =
        starts.par_iter().filter_map(|start| search(start, FIRST)).collect();
    first.sort_by(|a, b| a.squares.total_cmp(&b.squares));
    first.truncate(FOLLOWED);
    let mut last: Vec<Minimum> =
        first.par_iter().filter_map(|minimum| search(&minimum.variables, LAST)).collect();
    last.sort_by(|a, b| a.squares.total_cmp(&b.squares));
    if (tests.stop)() {
        return Err(FitError::Stopped);
    }
    let best = last.first().cloned().ok_or(FitError::Lost)?;
    let near = |m: &&Minimum| m.squares <= best.squares * (1.0 + SAME) + f64::MIN_POSITIVE;
    let agreeing = last.iter().filter(near).count();
    finish(&tests, &best, [agreeing, last.len()])
}

fn finish(tests: &Tests<'_>, best: &Minimum, starts: [usize; 2]) -> Result<Fitted, FitError> {
    let Tests { records, plan, .. } = tests;
    let metal = tests.metal(&best.variables);
    let paths: Vec<Vec<BarPoint>> = records
        .iter()
        .map(|record| follow(&metal, &[], record.strains.iter().copied()))
        .collect::<Option<_>>()
        .ok_or(FitError::Lost)?;
    if paths.iter().flatten().all(|point| point.plastic.abs() < YIELDED) {
        return Err(FitError::Elastic);
    }
    let free = best.at_limit.iter().filter(|at| !**at).count();
    let spare = tests.points() - free;
    let of_scatter = best.squares / spare as f64;
    let stated = records.iter().all(|record| record.error.is_some());
    let too_far = stated.then(|| chance_of_squares(best.squares, spare) < UNLIKELY);
    let (variance, quantile) = match too_far {
        Some(false) => (1.0, normal_quantile()),
        _ => (of_scatter, student_quantile(spare)),
    };
    let columns = &best.deviations.columns;
    let certainty = Certainty::new(columns, &best.at_limit, variance, quantile);
    let values = plan
        .unknowns
        .iter()
        .enumerate()
        .map(|(k, unknown)| value(unknown, k, best, &certainty))
        .collect();
    let deviations: Vec<Vec<f64>> = paths
        .iter()
        .zip(*records)
        .map(|(path, record)| {
            path.iter().zip(&record.stresses).map(|(point, stress)| point.stress - stress).collect()
        })
        .collect();
    let root = |all: &Vec<f64>| (all.iter().map(|d| d * d).sum::<f64>() / all.len() as f64).sqrt();
    Ok(Fitted {
        metal,
        values,
        certainty,
        squares: best.squares,
        spare,
        root_mean_squares: deviations.iter().map(root).collect(),
        runs: deviations.iter().map(|all| chance_of_runs(all)).collect(),
        paths,
        too_far,
        starts,
    })
}

fn value(unknown: &Unknown, k: usize, best: &Minimum, certainty: &Certainty) -> Value {
    let value = unknown.value(best.variables[k]);
    let at_limit = best.at_limit[k];
    let told = certainty.is_told(k) && !at_limit;
    let half = certainty.quantile * certainty.errors[k];
    let ends = [-half, half].map(|by| unknown.value(best.variables[k] + by));
    Value {
        unknown: *unknown,
        value,
        error: told.then(|| certainty.errors[k] * unknown.slope(value)),
        interval: told.then_some(ends),
        at_limit,
    }
}
