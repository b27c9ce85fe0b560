//! How much of the saturating hardening is kinematic, with the first pull unchanged.
//!
//! ```text
//! Q (1 − e^(−b p)) + C/γ (1 − e^(−γ p))   with b = γ:   T = Q + C/γ is the rise of the first pull,
//! share = C/γ ÷ T   →   Q = (1 − share) T,   C = share T γ
//! ```
//!
//! The straight part of the hardening stays as it is.

use toml_edit::{Array, DocumentMut, InlineTable, Item, Value};

use crate::material::hardening::{Isotropic, Material};
use crate::units::Units;

/// Kinematic terms that a case file takes.
const MOST_TERMS: usize = 3;

/// The hardening of a metal in its first pull.
struct Parts {
    /// Rate and rise `(b, T)` of each saturating part, MPa.
    rises: Vec<(f64, f64)>,
    /// Slope of the straight part, MPa.
    slope: f64,
    /// Kinematic share of all rises.
    share: f64,
}

/// The parts of a law; `None` when it has none that saturate, or a backstress without recall.
fn parts(material: &Material) -> Option<Parts> {
    let (terms, slope) = match &material.isotropic {
        Isotropic::None => (&[][..], 0.0),
        Isotropic::Linear { slope } => (&[][..], *slope),
        Isotropic::Voce { terms, slope } => (terms.as_slice(), *slope),
        Isotropic::RambergOsgood { .. } | Isotropic::Table { .. } => return None,
    };
    let mut rises: Vec<(f64, f64)> = Vec::new();
    let mut add = |rate: f64, rise: f64| match rises
        .iter_mut()
        .find(|(known, _)| known.total_cmp(&rate).is_eq())
    {
        Some((_, sum)) => *sum += rise,
        None => rises.push((rate, rise)),
    };
    for term in terms {
        add(term.rate, term.saturation);
    }
    let mut moved = 0.0;
    for term in &material.kinematic {
        if term.recall <= 0.0 {
            return None;
        }
        moved += term.modulus / term.recall;
        add(term.recall, term.modulus / term.recall);
    }
    let all: f64 = rises.iter().map(|(_, rise)| rise).sum();
    let usable =
        !rises.is_empty() && rises.len() <= MOST_TERMS && rises.iter().all(|(_, t)| *t > 0.0);
    usable.then(|| Parts { rises, slope, share: moved / all })
}

/// The kinematic share of the hardening of `material`, 0 to 1; `None` when it cannot be moved.
pub(super) fn share(material: &Material) -> Option<f64> {
    parts(material).map(|parts| parts.share)
}

/// Writes the metal with that share into the `[material]` table of `document`. Does nothing for a metal whose share
/// cannot be moved.
pub(super) fn set(document: &mut DocumentMut, material: &Material, share: f64, units: Units) {
    let Some(Parts { rises, slope, .. }) = parts(material) else { return };
    let stress = |value: f64| value / units.stress_scale();
    let (mut terms, mut kinematic) = (Array::new(), Array::new());
    for (rate, rise) in rises {
        let (still, moving) = (stress((1.0 - share) * rise), stress(share * rise * rate));
        if still > 0.0 {
            terms.push(table([("saturation", still), ("rate", rate)]));
        }
        if moving > 0.0 {
            kinematic.push(table([("modulus", moving), ("recall", rate)]));
        }
    }
    let law = match (terms.is_empty(), slope == 0.0) {
        (true, true) => text_table("none"),
        (true, false) => {
            let mut law = text_table("linear");
            law.insert("slope", stress(slope).into());
            law
        }
        (false, _) => {
            let mut law = text_table("voce");
            law.insert("slope", stress(slope).into());
            law.insert("terms", Value::Array(terms));
            law
        }
    };
    let material = document.entry("material").or_insert_with(toml_edit::table);
    if let Some(material) = material.as_table_like_mut() {
        material.insert("isotropic", Item::Value(Value::InlineTable(law)));
        material.insert("kinematic", Item::Value(Value::Array(kinematic)));
    }
}

fn table<const N: usize>(pairs: [(&str, f64); N]) -> InlineTable {
    pairs.into_iter().map(|(key, value)| (key, Value::from(value))).collect()
}

fn text_table(law: &str) -> InlineTable {
    [("law", Value::from(law))].into_iter().collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::case::{DEMO, parse};
    use crate::material::library::alloys;

    #[test]
    fn a_moved_share_leaves_the_first_pull_as_it_is() {
        let case = parse(DEMO, "demo.toml").expect("the demonstration");
        for wanted in [0.0, 0.3, 1.0] {
            let mut document: DocumentMut = DEMO.parse().expect("TOML");
            set(&mut document, &case.job.material, wanted, case.units);
            let moved = parse(&document.to_string(), "moved.toml").expect("a case").job.material;
            assert!((share(&moved).expect("a share") - wanted).abs() < 1e-12);
            for p in [1e-4, 1e-3, 0.01, 0.1] {
                let [now, then] = [&moved, &case.job.material].map(|m| m.monotonic_stress(p));
                // Sums in another order.
                assert!((now - then).abs() < 1e-9, "share {wanted}, p {p}: {now} and {then}");
            }
        }
    }

    #[test]
    fn the_alloys_have_a_share() {
        for alloy in alloys() {
            let share = share(&alloy.material).expect("a share");
            assert!(share > 0.0 && share < 1.0, "{}: {share}", alloy.name);
        }
    }
}
