//! The law of isotropic hardening in a case file, read and written.

use crate::case::border::{Border, required_positive, unknown_word};
use crate::case::complaint::{Complaint, Kind};
use crate::case::constants::{LARGEST_RATE, Limits};
use crate::case::curve::read_table;
use crate::case::keys::part_keys;
use crate::case::keys::row::names;
use crate::case::table::Table;
use crate::material::hardening::{Isotropic, PastEnd, VoceTerm};

/// Largest exponent of a power law: flat to every digit.
const LARGEST_EXPONENT: f64 = 1000.0;

/// How a law is written.
pub(super) const LAW_EXAMPLE: &str = "for example `isotropic = { law = \"linear\", slope = 800 }`";

/// The law, and the yield stress that a table begins with, MPa.
pub(super) fn read_isotropic(
    table: &Table<'_>,
    youngs_modulus: f64,
    border: Border,
) -> Result<(Isotropic, Option<f64>), Complaint> {
    let law = table.text("law")?.ok_or_else(|| table.missing("law", LAW_EXAMPLE))?;
    let table = &table.called(format!("the `{}` law", law.value));
    let slope = |needed: bool| -> Result<f64, Complaint> {
        match table.number("slope")? {
            None if needed => Err(table.missing("slope", "give the slope, stress per strain")),
            None => Ok(0.0),
            Some(slope) if slope.value < 0.0 => {
                let problem = format!("`slope` is {}: the metal would soften", slope.value);
                let remedy = "a hardening slope is zero or positive";
                Err(table.about(&slope, Kind::OutOfRange, problem, remedy))
            }
            Some(slope) => Ok(border.stress(slope.value)),
        }
    };
    let isotropic = match law.value {
        "none" => {
            table.only(&["law"])?;
            Isotropic::None
        }
        "linear" => {
            table.only(&["law", "slope"])?;
            Isotropic::Linear { slope: slope(true)? }
        }
        "voce" => {
            table.only(&["law", "saturation", "rate", "terms", "slope"])?;
            Isotropic::Voce { terms: read_voce_terms(table, border)?, slope: slope(false)? }
        }
        "ramberg-osgood" => {
            table.only(&["law", "exponent"])?;
            let remedy = "the exponent n of the stress; plates of aluminium have 8 to 35";
            let exponent = required_positive(table, "exponent", remedy)?;
            if exponent.value <= 1.0 {
                let problem =
                    format!("`exponent` is {}, but must be larger than 1", exponent.value);
                return Err(table.about(&exponent, Kind::OutOfRange, problem, remedy));
            }
            Isotropic::RambergOsgood { exponent: exponent.value }
        }
        "table" => {
            let (law, start) = read_table(table, youngs_modulus, border)?;
            return Ok((law, Some(start)));
        }
        _ => return Err(unknown_word(table, &law, "hardening law", part_keys::LAWS)),
    };
    Ok((isotropic, None))
}

/// Rejects constants of a law that is stiffer than elasticity, or whose rates no test resolves.
pub(super) fn check_law(limits: &Limits<'_>, law: &Isotropic) -> Result<(), Complaint> {
    match law {
        Isotropic::None | Isotropic::Table { .. } => Ok(()),
        Isotropic::Linear { slope } => limits.stiff("isotropic", "`slope`", *slope, 1.0),
        Isotropic::Voce { terms, slope } => {
            limits.stiff("isotropic", "`slope`", *slope, 1.0)?;
            terms.iter().try_for_each(|term| {
                limits.stiff("isotropic", "`saturation`", term.saturation, 1.0)?;
                limits.fast("isotropic", "`rate`", term.rate, LARGEST_RATE)
            })
        }
        Isotropic::RambergOsgood { exponent } => {
            limits.fast("isotropic", "`exponent`", *exponent, LARGEST_EXPONENT)
        }
    }
}

/// A law as a case file in mm and MPa has it.
pub(crate) fn written(law: &Isotropic) -> String {
    match law {
        Isotropic::None => "{ law = \"none\" }".to_owned(),
        Isotropic::Linear { slope } => format!("{{ law = \"linear\", slope = {slope:?} }}"),
        Isotropic::Voce { terms, slope } => {
            let terms: Vec<String> = terms
                .iter()
                .map(|term| {
                    format!("{{ saturation = {:?}, rate = {:?} }}", term.saturation, term.rate)
                })
                .collect();
            format!("{{ law = \"voce\", slope = {slope:?}, terms = [{}] }}", terms.join(", "))
        }
        Isotropic::RambergOsgood { exponent } => {
            format!("{{ law = \"ramberg-osgood\", exponent = {exponent:?} }}")
        }
        Isotropic::Table { points, past_end } => {
            let end = match past_end {
                PastEnd::Flat => "flat",
                PastEnd::Warn => "warn",
            };
            format!(
                "{{ law = \"table\", points_are = \"true stress\", past_end = \"{end}\", \
                 points = {points:?} }}"
            )
        }
    }
}

/// The saturating terms of a law: one, written as `saturation` and `rate`, or several in `terms`.
fn read_voce_terms(table: &Table<'_>, border: Border) -> Result<Vec<VoceTerm>, Complaint> {
    let term = |table: &Table<'_>| {
        let remedy = "give the rise to saturation, a stress; negative where the metal softens";
        let saturation = table
            .number("saturation")?
            .filter(|number| number.value != 0.0)
            .ok_or_else(|| table.missing("saturation", remedy))?;
        let saturation = border.stress(saturation.value);
        let remedy = "give the rate, a number such as 25";
        let rate = required_positive(table, "rate", remedy)?.value;
        Ok(VoceTerm { saturation, rate })
    };
    if !table.has("terms") {
        return Ok(vec![term(table)?]);
    }
    if let Some(key) = ["saturation", "rate"].into_iter().find(|key| table.has(key)) {
        let problem = format!("`{key}` and `terms` both give terms of the law");
        return Err(table.stray(key, problem, "keep one of them"));
    }
    let example =
        "write `terms = [{ saturation = 60, rate = 30 }, { saturation = 30, rate = 400 }]`";
    let tables = table.tables("terms", "term of the `voce` law, number", example)?;
    if tables.is_empty() {
        return Err(table.stray("terms", "`terms` lists no term", example));
    }
    let each = tables.iter().map(|table| {
        table.only(&names(part_keys::VOCE_TERM))?;
        term(table)
    });
    each.collect()
}
