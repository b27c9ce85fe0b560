//! Everything that an inference has to say besides its numbers, a sentence each.

use crate::case::Case;
use crate::case::unknown::Asked;
use crate::report::metal;
use crate::study::infer::{Further, Inferred};
use crate::units::Units;
use crate::units::quantity::Quantity;

/// The sentences, the gravest first.
#[must_use]
pub fn sentences(case: &Case, found: &Inferred) -> Vec<String> {
    let mut said = untold(found);
    said.extend(trust(found));
    said.extend(found.further.first().map(|best| {
        let place = place(best, case.units);
        format!(
            "A further point would narrow the stress near the hole most at {place}: with an error of {:.1} {} it would \
             leave {:.0} % of the variance",
            Quantity::Stress.at_border(best.error, case.units),
            case.units.stress_name(),
            100.0 * best.left,
        )
    }));
    said.extend(life(case, found));
    said
}

/// Unknowns that the points do not tell.
fn untold(found: &Inferred) -> Vec<String> {
    let name = |k: usize| format!("`{}`", found.unknowns[k].table.asked.name());
    let mut said = Vec::new();
    if found.beyond_front {
        said.push(
            "All points lie beyond the plastic front, where the stress has one number only, its size: \
             they cannot tell the unknowns apart. Measure nearer to the hole"
                .to_owned(),
        );
    }
    for direction in &found.certainty.untold {
        let parts = direction.taking_part();
        let names: Vec<String> = parts.iter().map(|part| name(part.0)).collect();
        let of_friction =
            parts.iter().any(|part| found.unknowns[part.0].table.asked == Asked::Friction);
        said.push(if parts.len() == 1 && of_friction {
            "The points do not tell `friction`: it has no number. The pull force tells it best, in [[reading]]"
                .to_owned()
        } else if parts.len() == 1 {
            format!("The points do not tell {}: it has no number", names.join(", "))
        } else {
            format!(
                "The points tell {} together only: a change of one is made good by the others. Say of \
                 one what is `expected`",
                names.join(", ")
            )
        });
    }
    for (k, _) in found.unknowns.iter().enumerate().filter(|(_, unknown)| unknown.at_limit) {
        said.push(format!("{} ended at its limit", name(k)));
    }
    said
}

/// Where the errors come from.
fn trust(found: &Inferred) -> Option<String> {
    let words = match found.too_far {
        Some(true) => {
            "The deviations are larger than the stated `plus_minus`: the model does not follow the points \
             to within their errors, and the intervals are taken from the deviations"
        }
        None => "Some points have no `plus_minus`: the intervals are taken from the deviations",
        Some(false) => return None,
    };
    Some(words.to_owned())
}

/// The life with its interval, and the point that would narrow it most.
fn life(case: &Case, found: &Inferred) -> Vec<String> {
    let mut said = Vec::new();
    if let Some([cycles, low, high]) = found.life {
        said.push(format!(
            "Life of the expanded part: {} cycles, 90 % from {} to {}",
            metal::digits(cycles),
            metal::digits(low),
            metal::digits(high)
        ));
    } else if case.life.is_some() {
        said.push(
            "The life has no interval: beside the answer it has no finite number of cycles"
                .to_owned(),
        );
    }
    if let Some((best, left)) =
        found.further_for_life.as_ref().and_then(|f| Some((f, f.life_left?)))
    {
        let place = place(best, case.units);
        said.push(format!(
            "A further point would narrow the life most at {place}: it would leave {:.0} % of the variance of its \
             logarithm",
            100.0 * left,
        ));
    }
    said
}

fn place(best: &Further, units: Units) -> String {
    format!(
        "{:.3} {} from hole {}, {}",
        Quantity::Length.at_border(best.distance, units),
        units.length_name(),
        best.hole,
        best.way.words(),
    )
}
