//! The convergence study: a case on three meshes and with three numbers of increments.
//!
//! Meshes: half the fineness of the case, the case, double. The case has been solved already, so this
//! costs what double the fineness costs, some four times the case. The triple above it would cost
//! five times as much again and be deeper in the asymptotic range; whether this one is, is said
//! number by number. In the demonstration its bands hold the distance from fineness 4 for every stress
//! and extent on every path.
//!
//! Increments: those of the case, double, four times, which costs six times the case. Half the
//! increments would be cheaper, but at the default of 24 the first order shows only from there
//! upward (`verification/expansion`).
//!
//! Where a limit of a setting is in the way the triple moves.
//!
//! The two are varied apart. A joint refinement would fold two orders into one that belongs to
//! neither, and `verification/expansion` shows that mesh and increments hardly know of each other.

mod level;
mod trends;

use rayon::prelude::*;

use crate::case::{Case, FINENESS, INCREMENTS};
use crate::process::job::{Job, Numerics};
use crate::result::refinement::{Kind, Level, Refinement, Remark, Series};
pub use crate::study::refinement::level::{Companion, Solved};
use crate::study::refinement::level::{Ended, solve};
use crate::study::refinement::trends::{numbers, untrusted};

/// Solutions made beside the case itself.
#[derive(Clone, Debug, PartialEq)]
pub struct Plan {
    meshes: [Numerics; 3],
    mesh_case: usize,
    increments: [Numerics; 3],
    increment_case: usize,
}

impl Plan {
    /// The levels about the settings of a case.
    #[must_use]
    pub fn new(own: &Numerics) -> Self {
        let mesh_case = place(own.fineness, FINENESS, [1, 0, 2]);
        let limits = INCREMENTS.map(|limit| limit as f64);
        let increment_case = place(own.increments as f64, limits, [0, 1, 2]);
        let meshes = std::array::from_fn(|k| Numerics {
            fineness: own.fineness * f64::from(1_u32 << k) / f64::from(1_u32 << mesh_case),
            ..own.clone()
        });
        let increments = std::array::from_fn(|k| Numerics {
            // Rounded up, so that no level loses its last increment.
            increments: (own.increments << k).div_ceil(1 << increment_case),
            ..own.clone()
        });
        Self { meshes, mesh_case, increments, increment_case }
    }

    /// The settings to be solved, meshes first; those of the case are left out.
    #[must_use]
    pub fn settings(&self) -> Vec<Numerics> {
        let others = |all: &[Numerics; 3], case: usize| -> Vec<Numerics> {
            let not_case = |(k, one): (usize, &Numerics)| (k != case).then(|| one.clone());
            all.iter().enumerate().filter_map(not_case).collect()
        };
        [others(&self.meshes, self.mesh_case), others(&self.increments, self.increment_case)]
            .concat()
    }
}

/// Expected effort of a solution, for the progress shown and for the order of work.
#[must_use]
pub(crate) fn effort(numerics: &Numerics) -> f64 {
    // Unknowns grow with the square of the fineness and time a little faster than unknowns.
    numerics.fineness.powf(2.3) * numerics.increments as f64
}

/// Which of three levels, each double the one before, a setting is: the first of `wanted` that keeps
/// all three within the limits, else the last.
fn place(own: f64, [low, high]: [f64; 2], wanted: [usize; 3]) -> usize {
    let fits = |case: &usize| {
        let coarsest = own / f64::from(1_u32 << *case);
        coarsest >= low && 4.0 * coarsest <= high
    };
    wanted.into_iter().find(fits).unwrap_or(wanted[2])
}

/// Solves what [`Plan`] asks for, side by side, and reads the trends of every headline number.
/// `own` is the finished case itself. `None` when the companion stopped it.
///
/// A level that cannot be solved takes its series with it and leaves a warning. The numbers do
/// not depend on how many threads there are.
#[must_use]
pub fn refine(case: &Case, own: &Solved, companion: &dyn Companion) -> Option<Refinement> {
    let plan = Plan::new(&case.job.numerics);
    let settings = plan.settings();
    let mut order: Vec<usize> = (0..settings.len()).collect();
    // Long ones first, so that no thread is left with one at the end.
    order.sort_by(|a, b| effort(&settings[*b]).total_cmp(&effort(&settings[*a])));
    let mut solved: Vec<(usize, Ended)> = order
        .into_par_iter()
        .with_max_len(1)
        .map(|k| {
            let job = Job { numerics: settings[k].clone(), ..case.job.clone() };
            (k, solve(case, &job, k, companion))
        })
        .collect();
    solved.sort_by_key(|(k, _)| *k);
    if solved.iter().any(|(_, ended)| matches!(ended, Ended::Stopped)) {
        return None;
    }
    let mut solved = solved.into_iter().map(|(_, ended)| ended);
    let mut remarks = Vec::new();
    let mut take = |all: &[Numerics; 3], case: usize, kind: Kind| -> Option<Vec<Solved>> {
        let mut of_series = Vec::new();
        let mut whole = true;
        for (k, numerics) in all.iter().enumerate() {
            if k == case {
                of_series.push(own.clone());
                continue;
            }
            match solved.next() {
                Some(Ended::Done(one)) => of_series.push(one),
                Some(Ended::Failed(why)) => {
                    whole = false;
                    remarks.push(Remark::Unsolved {
                        kind,
                        fineness: numerics.fineness,
                        increments: numerics.increments,
                        why,
                    });
                }
                Some(Ended::Stopped) | None => whole = false,
            }
        }
        whole.then_some(of_series)
    };
    let meshes = take(&plan.meshes, plan.mesh_case, Kind::Mesh);
    let increments = take(&plan.increments, plan.increment_case, Kind::Increments);
    let mesh = meshes.map(|solved| {
        let size = |one: &Solved, _: &Numerics| (one.elements as f64).powf(-0.5);
        (series(&plan.meshes, plan.mesh_case, &solved, size), solved)
    });
    let increments = increments.map(|solved| {
        let size = |_: &Solved, numerics: &Numerics| 1.0 / numerics.increments as f64;
        (series(&plan.increments, plan.increment_case, &solved, size), solved)
    });
    let numbers = numbers(&case.job, own, mesh.as_ref(), increments.as_ref());
    for kind in [Kind::Mesh, Kind::Increments] {
        remarks.extend(untrusted(&case.job, &numbers, kind));
    }
    if let Some((series, _)) = &increments
        && series.levels.iter().any(|level| level.halvings > 0)
    {
        remarks.push(Remark::Uneven);
    }
    Some(Refinement {
        mesh: mesh.map(|(series, _)| series),
        increments: increments.map(|(series, _)| series),
        numbers,
        remarks,
    })
}

fn series(
    settings: &[Numerics; 3],
    case: usize,
    solved: &[Solved],
    size: impl Fn(&Solved, &Numerics) -> f64,
) -> Series {
    let own = size(&solved[case], &settings[case]);
    let levels = std::array::from_fn(|k| Level {
        fineness: settings[k].fineness,
        increments: settings[k].increments,
        elements: solved[k].elements,
        halvings: solved[k].halvings,
        size: size(&solved[k], &settings[k]) / own,
    });
    Series { levels, case }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn plan(fineness: f64, increments: usize) -> Plan {
        Plan::new(&Numerics { fineness, increments, ..Numerics::default() })
    }

    #[test]
    fn the_triples_move_where_a_limit_is_near() {
        let found = |fineness, increments| {
            let plan = plan(fineness, increments);
            (
                plan.meshes.clone().map(|n| n.fineness),
                plan.mesh_case,
                plan.increments.clone().map(|n| n.increments),
                plan.increment_case,
            )
        };
        assert_eq!(found(1.0, 25), ([0.5, 1.0, 2.0], 1, [25, 50, 100], 0));
        assert_eq!(found(0.3, 6), ([0.3, 0.6, 1.2], 0, [6, 12, 24], 0));
        assert_eq!(found(8.0, 1999), ([2.0, 4.0, 8.0], 2, [500, 1000, 1999], 2));
    }

    #[test]
    fn four_solutions_are_asked_for_beside_the_case() {
        let settings = plan(1.0, 24).settings();
        let pairs: Vec<(f64, usize)> =
            settings.iter().map(|n| (n.fineness, n.increments)).collect();
        assert_eq!(pairs, [(0.5, 24), (2.0, 24), (1.0, 48), (1.0, 96)]);
    }
}
