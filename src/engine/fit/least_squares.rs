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

/// The library bounds its first step by the length of the variables, each over the size of its column of derivatives. From
/// zero it would begin with steps of `100/|column|`, which are nothing where the data are sharp, and spend its iterations
/// on doubling them. Inside the search every variable therefore begins at the width of its limits.
struct Search<'m, M> {
    model: &'m M,
    config: MPConfig,
    limits: Vec<MPPar>,
    /// Variable of the model less that of the search.
    origin: Vec<f64>,
}

impl<M: Model> Search<'_, M> {
    /// Variables of the model.
    fn inside(&self, searched: &[f64]) -> Vec<f64> {
        searched.iter().zip(&self.origin).map(|(own, origin)| own + origin).collect()
    }

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
        put(self.model.values(&self.inside(variables)).as_ref(), out);
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
        let found = self.model.deviations(&self.inside(variables)).ok_or(MPError::Eval)?;
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
    let origin: Vec<f64> =
        variables.iter().zip(limits).map(|(value, [low, high])| value - (high - low)).collect();
    let limit = |([low, high], origin): (&[f64; 2], &f64)| MPPar {
        limited_low: true,
        limited_up: true,
        limit_low: low - origin,
        limit_up: high - origin,
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
        let limits = limits.iter().zip(&origin).map(limit).collect();
        let mut searched: Vec<f64> = variables.iter().zip(&origin).map(|(v, o)| v - o).collect();
        let mut search = Search { model, config, limits, origin };
        search.mpfit(&mut searched).ok()?;
        variables = search.inside(&searched);
    }
    for (value, [low, high]) in variables.iter_mut().zip(limits) {
        *value = value.clamp(*low, *high);
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

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "a test may panic")]
mod tests {
    use super::*;

    /// `e^(x t)` at ten places against itself with `x = 0.7`, every deviation over so small an error.
    struct Sharp(f64);

    impl Model for Sharp {
        fn points(&self) -> usize {
            10
        }

        fn deviations(&self, x: &[f64]) -> Option<Deviations> {
            let at = |t: f64| ((x[0] * t).exp() - (0.7 * t).exp()) / self.0;
            let slope = |t: f64| t * (x[0] * t).exp() / self.0;
            let places = (1..=10).map(|k| 0.2 * f64::from(k));
            let values = places.clone().map(at).collect();
            Some(Deviations { values, columns: vec![places.map(slope).collect()] })
        }
    }

    /// Newton's way to a root needs a handful of steps from any near start, however small the errors are.
    #[test]
    fn sharp_data_are_found_from_zero_in_as_few_steps_as_blunt_ones() {
        for error in [1.0, 1e-6] {
            let ends = Ends { iterations: 8, tolerance: 1e-12 };
            let found = least_squares(&Sharp(error), &[0.0], &[[-1.0, 1.0]], ends).unwrap();
            assert!((found.variables[0] - 0.7).abs() < 1e-12, "{error} {:?}", found.variables);
        }
    }
}
