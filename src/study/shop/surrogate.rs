//! Polynomials through full solutions, for thousands of holes a second.

use crate::numeric::chebyshev::Grid;
use crate::study::shop::domain::Domain;
use crate::study::shop::nodes::{BOUNDS, Law, Nodes};
use crate::study::shop::output::{OUTPUTS, Output, Sizes, Values};

/// Deviations of the surrogate from solutions that it is not made of.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Deviation {
    /// Root of their mean square.
    pub rms: f64,
    /// Largest of them.
    pub largest: f64,
}

/// The polynomials.
#[derive(Clone, Debug, PartialEq)]
pub struct Surrogate {
    /// Where it holds.
    pub domain: Domain,
    start: f64,
    grids: [Option<Grid>; OUTPUTS.len()],
    /// Retained expansion over the applied one alone: a ream that comes later does not change it.
    retained: Grid,
    /// Under every bounding law: what is added to the value of the case.
    bounds: Vec<(Law, [Option<Grid>; OUTPUTS.len()])>,
    /// Deviations from the checks.
    pub deviations: [Option<Deviation>; OUTPUTS.len()],
    /// Sizes of the checks, with surrogate and solution.
    pub checks: Vec<(Sizes, Values, Values)>,
    /// Solutions behind it.
    pub solutions: usize,
}

impl Surrogate {
    /// Through `values`, one for each of `nodes.all`. A number that a node lacks has no polynomial.
    ///
    /// `None` when a node has no retained expansion.
    #[must_use]
    pub fn new(nodes: &Nodes, values: &[Values]) -> Option<Self> {
        let points = &nodes.grid;
        let main = points[0].len() * points[1].len();
        let through = |points: &[Vec<f64>; 2], of: &dyn Fn(usize) -> Option<f64>| {
            let count = points[0].len() * points[1].len();
            let values = (0..count).map(of).collect::<Option<Vec<f64>>>()?;
            Some(Grid { points: points.clone(), values })
        };
        let grids: [Option<Grid>; OUTPUTS.len()] =
            std::array::from_fn(|k| through(points, &|node| values[node][k]));
        let (along, across) = (points[0].len(), points[1].len());
        let kept = Output::Retained as usize;
        let row = |i: usize| -> Option<f64> {
            let sum = (0..across).map(|j| values[i * across + j][kept]).sum::<Option<f64>>()?;
            Some(sum / across as f64)
        };
        let retained = Grid {
            points: [points[0].clone(), vec![1.0]],
            values: (0..along).map(row).collect::<Option<_>>()?,
        };
        let mut surrogate = Self {
            domain: nodes.domain,
            start: nodes.start,
            grids,
            retained,
            bounds: Vec::new(),
            deviations: [None; OUTPUTS.len()],
            checks: Vec::new(),
            solutions: nodes.all.len() + 1,
        };
        if let Some(points) = &nodes.bound_grid {
            let count = points[0].len() * points[1].len();
            for (b, law) in BOUNDS.into_iter().enumerate() {
                let first = main + b * count;
                let added = std::array::from_fn(|k| {
                    through(points, &|node| {
                        let (sizes, _) = nodes.all[first + node];
                        Some(values[first + node][k]? - surrogate.at(OUTPUTS[k], &sizes)?)
                    })
                });
                surrogate.bounds.push((law, added));
            }
        }
        surrogate.check(nodes, values);
        Some(surrogate)
    }

    fn check(&mut self, nodes: &Nodes, values: &[Values]) {
        let first = nodes.all.len() - nodes.checks;
        for (values, (sizes, _)) in values.iter().zip(&nodes.all).skip(first) {
            let own = OUTPUTS.map(|output| self.at(output, sizes));
            self.checks.push((*sizes, own, *values));
        }
        for (k, place) in self.deviations.iter_mut().enumerate() {
            let of = |(_, own, solved): &(Sizes, Values, Values)| Some(own[k]? - solved[k]?);
            let all: Option<Vec<f64>> = self.checks.iter().map(of).collect();
            *place = all.filter(|all| !all.is_empty()).map(|all| Deviation {
                rms: (all.iter().map(|d| d * d).sum::<f64>() / all.len() as f64).sqrt(),
                largest: all.iter().fold(0.0, |most, d| most.max(d.abs())),
            });
        }
    }

    /// Whether the surrogate holds at `sizes`.
    #[must_use]
    pub fn holds(&self, sizes: &Sizes) -> bool {
        let inside = |[low, high]: [f64; 2], x: f64| x >= low - 1e-12 && x <= high + 1e-12;
        let [expansion, reamed] = sizes.variables();
        inside(self.domain.expansion, expansion)
            && self.domain.reamed.is_none_or(|range| inside(range, reamed))
    }

    /// The value of `output`; `None` where the surrogate does not hold.
    #[must_use]
    pub fn at(&self, output: Output, sizes: &Sizes) -> Option<f64> {
        if !self.holds(sizes) {
            return None;
        }
        let grid = self.grids[output as usize].as_ref()?;
        Some(self.scale(output, sizes) * grid.at(sizes.variables()))
    }

    fn scale(&self, output: Output, sizes: &Sizes) -> f64 {
        if output.is_length() { sizes.start / self.start } else { 1.0 }
    }

    /// Change that the bounding laws make to the value of `output`: least and most, zero among them.
    #[must_use]
    pub fn bracket(&self, output: Output, sizes: &Sizes) -> [f64; 2] {
        let scale = self.scale(output, sizes);
        let added = self.bounds.iter().filter_map(|(_, grids)| {
            Some(scale * grids[output as usize].as_ref()?.at(sizes.variables()))
        });
        added.fold([0.0, 0.0], |[low, high]: [f64; 2], by| [low.min(by), high.max(by)])
    }

    /// Whether the bounding laws were solved.
    #[must_use]
    pub fn has_bracket(&self) -> bool {
        !self.bounds.is_empty()
    }

    /// Mean diameter after the tool has left, mm. Beyond the domain the retained expansion goes on along
    /// its slope, down to none.
    #[must_use]
    pub fn expanded(&self, start: f64, acting: f64) -> f64 {
        let applied = acting / start - 1.0;
        let [low, high] = self.domain.expansion;
        let inside = applied.clamp(low, high);
        let at = |applied: f64| self.retained.at([applied, 1.0]);
        let mut kept = at(inside);
        if applied.total_cmp(&inside).is_ne() {
            let step = 1e-3 * (high - low) * if applied < inside { 1.0 } else { -1.0 };
            kept += (applied - inside) * (at(inside + step) - kept) / step;
        }
        start * (1.0 + if applied > 0.0 { kept.max(0.0) } else { 0.0 })
    }
}
