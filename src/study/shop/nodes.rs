//! The full solutions behind the surrogate, as variants of the case of the nominal hole.

use crate::case::shop::Shop;
use crate::case::study::{
    KeyPath, Measured, Number, Reading, Scalar, Setting, Study, Target, Towards, When,
};
use crate::numeric::chebyshev::points;
use crate::numeric::random::Random;
use crate::study::shop::domain::Domain;
use crate::study::shop::output::{OUTPUTS, Output, Sizes};
use crate::study::shop::shop_error::ShopError;
use crate::study::sweep::{Outcome, PointStatus};

/// Points along both variables for the difference that a bounding law makes.
pub const BOUND_GRID: [usize; 2] = [3, 2];

/// Hardening of a solution.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Law {
    /// As the case has it.
    AsGiven,
    /// All of it isotropic.
    Isotropic,
    /// All of it kinematic.
    Kinematic,
}

impl Law {
    /// The word of a study.
    fn word(self) -> &'static str {
        match self {
            Self::AsGiven => "as given",
            Self::Isotropic => "isotropic",
            Self::Kinematic => "kinematic",
        }
    }
}

/// The two bounding laws.
pub const BOUNDS: [Law; 2] = [Law::Isotropic, Law::Kinematic];

/// The solutions: those of the grid, those of every bound, those that check.
#[derive(Clone, Debug, PartialEq)]
pub struct Nodes {
    /// Where the surrogate holds.
    pub domain: Domain,
    /// Starting diameter of all but the checks, mm.
    pub start: f64,
    /// Points of the grid along both variables.
    pub grid: [Vec<f64>; 2],
    /// The same for the bounds; empty when the case wants no bounds.
    pub bound_grid: Option<[Vec<f64>; 2]>,
    /// Sizes and law of every solution.
    pub all: Vec<(Sizes, Law)>,
    /// How many of them check.
    pub checks: usize,
}

/// Chebyshev points along both variables; one where there is no ream.
fn grid(domain: Domain, [first, second]: [usize; 2]) -> [Vec<f64>; 2] {
    let along = domain.reamed.map_or_else(|| vec![1.0], |range| points(second, range));
    [points(first, domain.expansion), along]
}

impl Nodes {
    /// The solutions that `shop` asks for over `domain`.
    #[must_use]
    pub fn new(shop: &Shop, domain: Domain) -> Self {
        let start = shop.start.middle();
        let sizes = |start: f64, [expansion, ratio]: [f64; 2]| Sizes {
            start,
            acting: start * (1.0 + expansion),
            reamed: domain.reamed.map(|_| start * ratio),
        };
        let of = |grid: &[Vec<f64>; 2], law: Law| -> Vec<(Sizes, Law)> {
            let [first, second] = grid;
            let pairs = first.iter().flat_map(|e| second.iter().map(move |r| [*e, *r]));
            pairs.map(|pair| (sizes(start, pair), law)).collect()
        };
        let main = grid(domain, shop.effort.grid);
        let mut all = of(&main, Law::AsGiven);
        let bound_grid = shop.case.bracket.then(|| grid(domain, BOUND_GRID));
        for (law, grid) in BOUNDS.iter().flat_map(|law| bound_grid.iter().map(move |g| (law, g))) {
            all.extend(of(grid, *law));
        }
        let mut random = Random::new(shop.effort.seed);
        let mut within = |[low, high]: [f64; 2]| low + (high - low) * random.share();
        for _ in 0..shop.effort.checks {
            let start = within(shop.start.limits);
            let pair = [within(domain.expansion), within(domain.reamed.unwrap_or([1.0, 1.0]))];
            all.push((sizes(start, pair), Law::AsGiven));
        }
        Self { domain, start, grid: main, bound_grid, all, checks: shop.effort.checks }
    }

    /// The variants of the case, as a study.
    ///
    /// # Errors
    ///
    /// [`ShopError::Unsolved`] when the case has no place for a size.
    pub fn study(&self, shop: &Shop) -> Result<Study, ShopError> {
        let cases = self.all.iter().map(|(sizes, law)| settings(shop, sizes, *law));
        let cases = cases.collect::<Result<Vec<_>, _>>()?;
        Ok(Study::of_variants(shop.base.clone(), cases, numbers(shop)))
    }
}

/// Keys of the case that make it one of `sizes`.
fn settings(shop: &Shop, sizes: &Sizes, law: Law) -> Result<Vec<Setting>, ShopError> {
    let length = |mm: f64| Scalar::Number(mm / shop.units.length_scale());
    let hole = &shop.case.job.plate.holes[shop.hole].name;
    let (expand, ream) = shop.stages;
    let mut keys = vec![(format!("hole.{hole}.starting_diameter"), length(sizes.start))];
    if shop.by_expansion {
        let applied = Scalar::Number(sizes.acting / sizes.start - 1.0);
        keys.push((format!("stage.{expand}.applied_expansion"), applied));
    } else {
        let wall = shop.sleeve.map_or(0.0, |sleeve| sleeve.middle());
        let mandrel = length(sizes.acting - 2.0 * wall);
        keys.push((format!("stage.{expand}.mandrel_diameter"), mandrel));
        keys.push((format!("stage.{expand}.sleeve_thickness"), length(wall)));
    }
    if let (Some(ream), Some(diameter)) = (ream, sizes.reamed) {
        keys.push((format!("stage.{ream}.diameter"), length(diameter)));
    }
    let mut set = Vec::with_capacity(keys.len() + 1);
    for (text, to) in keys {
        let path = KeyPath::parse(&text).map_err(|(problem, _)| ShopError::Unsolved {
            what: "the case with other sizes".to_owned(),
            why: problem,
        })?;
        set.push(Setting { target: Target::Key(path), to });
    }
    if law != Law::AsGiven {
        set.push(Setting { target: Target::Hardening, to: Scalar::Text(law.word().to_owned()) });
    }
    Ok(set)
}

/// A number of the hole of `shop`.
fn number(shop: &Shop, name: &str, measure: &'static str, when: When) -> Number {
    let measured = Measured {
        measure,
        when,
        hole: shop.hole,
        towards: shop.path.map_or(Towards::Edge, Towards::Angle),
        edge: None,
        distance: 0.0,
        level: 0.0,
    };
    Number {
        name: name.to_owned(),
        label: name.to_owned(),
        unit: String::new(),
        reading: Reading::Measured(Box::new(measured)),
    }
}

/// Label of the state in which the tool has left the hole.
fn released(shop: &Shop) -> When {
    let hole = &shop.case.job.plate.holes[shop.hole].name;
    When::Labelled(format!("{}-expand-{hole}", shop.stages.0))
}

/// The numbers that are read, in the order of [`OUTPUTS`].
fn numbers(shop: &Shop) -> Vec<Number> {
    OUTPUTS
        .iter()
        .map(|output| {
            let when =
                if *output == Output::Retained { released(shop) } else { When::LastResidual };
            number(shop, output.key(), output.key(), when)
        })
        .collect()
}

/// Values of an outcome in the order of [`OUTPUTS`], mm and MPa.
///
/// # Errors
///
/// [`ShopError::Unsolved`].
pub fn values(
    shop: &Shop,
    nodes: &Nodes,
    outcome: &Outcome,
) -> Result<[Option<f64>; OUTPUTS.len()], ShopError> {
    if outcome.status != PointStatus::Done {
        let sizes = nodes.all[outcome.case].0;
        let what = format!(
            "a solution of the surrogate ({:.2} % applied expansion)",
            100.0 * sizes.expansion()
        );
        return Err(ShopError::Unsolved { what, why: outcome.status.reason().to_owned() });
    }
    let mut found = [None; OUTPUTS.len()];
    for ((place, number), output) in found.iter_mut().zip(&outcome.numbers).zip(OUTPUTS) {
        let scale = if output.is_length() {
            shop.units.length_scale()
        } else if output == Output::Retained {
            1.0
        } else {
            shop.units.stress_scale()
        };
        *place = number.map(|number| number * scale);
    }
    Ok(found)
}
