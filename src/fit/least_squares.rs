//! Least squares within limits, by the Levenberg–Marquardt method of a library, on derivatives that the
//! model gives.
//!
//! Source: J. J. Moré, The Levenberg–Marquardt algorithm: implementation and theory (1978), which the
//! library follows (from memory).

use rmpfit::{MPConfig, MPError, MPFitter, MPMaxFev, MPPar, MPResult, MPSide};

/// Deviation that stands for a model that cannot be followed: it is taken back from.
const LOST: f64 = 1e9;

/// When a search ends.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ends {
    /// Iterations at most.
    pub iterations: usize,
    /// Relative change of the sum of squares, or of the variables, that ends it before.
    pub tolerance: f64,
}

/// How near to a limit, as a share of the way between the two, a variable counts as at it.
const AT_LIMIT: f64 = 1e-6;

/// Deviations of a model from data, and their derivatives.
#[derive(Clone, Debug, PartialEq)]
pub struct Deviations {
    /// Model less data, each over its standard error.
    pub values: Vec<f64>,
    /// Derivatives by each variable, one list of all points a variable.
    pub columns: Vec<Vec<f64>>,
}

/// A model with data that it is fitted to.
pub trait Model {
    /// Number of data.
    fn points(&self) -> usize;

    /// Deviations at `variables`; `None` where the model cannot be followed.
    fn deviations(&self, variables: &[f64]) -> Option<Deviations>;

    /// The same without derivatives, where that is cheaper.
    fn values(&self, variables: &[f64]) -> Option<Vec<f64>> {
        self.deviations(variables).map(|found| found.values)
    }

    /// Whether to give up.
    fn stopped(&self) -> bool {
        false
    }
}

/// The smallest sum of squares that was found.
#[derive(Clone, Debug, PartialEq)]
pub struct Minimum {
    /// Variables there.
    pub variables: Vec<f64>,
    /// Deviations and their derivatives there.
    pub deviations: Deviations,
    /// Sum of squares.
    pub squares: f64,
    /// Which variables ended at a limit.
    pub at_limit: Vec<bool>,
}

struct Search<'m, M> {
    model: &'m M,
    config: MPConfig,
    limits: Vec<MPPar>,
}

impl<M: Model> Search<'_, M> {
    fn go_on(&self) -> MPResult<()> {
        if self.model.stopped() { Err(MPError::Eval) } else { Ok(()) }
    }
}

/// Writes deviations, or what stands for a model that cannot be followed.
fn put(found: Option<&Vec<f64>>, out: &mut [f64]) {
    match found {
        Some(values) if values.iter().all(|value| value.is_finite()) => out.copy_from_slice(values),
        _ => out.fill(LOST),
    }
}

impl<M: Model> MPFitter for Search<'_, M> {
    fn eval(&mut self, variables: &[f64], out: &mut [f64]) -> MPResult<()> {
        self.go_on()?;
        put(self.model.values(variables).as_ref(), out);
        Ok(())
    }

    fn number_of_points(&self) -> usize {
        self.model.points()
    }

    fn config(&self) -> &MPConfig {
        &self.config
    }

    fn parameters(&self) -> &[MPPar] {
        &self.limits
    }

    fn jacobian(
        &mut self,
        variables: &[f64],
        out: &mut [f64],
        columns: &mut [Option<Vec<f64>>],
    ) -> MPResult<()> {
        self.go_on()?;
        let found = self.model.deviations(variables).ok_or(MPError::Eval)?;
        put(Some(&found.values), out);
        for (column, own) in columns.iter_mut().zip(&found.columns) {
            if let Some(column) = column {
                column.copy_from_slice(own);
            }
        }
        Ok(())
    }
}

/// Searches from `start` within `limits`, until it `ends`. `None` when the search was
/// stopped, or the model cannot be followed at the start.
#[must_use]
pub fn least_squares<M: Model>(
    model: &M,
    start: &[f64],
    limits: &[[f64; 2]],
    Ends { iterations, tolerance }: Ends,
) -> Option<Minimum> {
    let mut variables: Vec<f64> =
        start.iter().zip(limits).map(|(value, [low, high])| value.clamp(*low, *high)).collect();
    let limit = |[low, high]: &[f64; 2]| MPPar {
        limited_low: true,
        limited_up: true,
        limit_low: *low,
        limit_up: *high,
        side: MPSide::User,
        ..MPPar::new()
    };
    let config = MPConfig {
        ftol: tolerance,
        xtol: tolerance,
        gtol: tolerance,
        max_iter: iterations,
        max_fev: MPMaxFev::Limited(4 * iterations + 4),
        ..MPConfig::new()
    };
    if !variables.is_empty() {
        let mut search = Search { model, config, limits: limits.iter().map(limit).collect() };
        search.mpfit(&mut variables).ok()?;
    }
    let deviations = model.deviations(&variables)?;
    let squares = deviations.values.iter().map(|value| value * value).sum();
    let at_limit = variables
        .iter()
        .zip(limits)
        .map(|(value, [low, high])| (value - low).min(high - value) <= AT_LIMIT * (high - low))
        .collect();
    Some(Minimum { variables, deviations, squares, at_limit })
}
