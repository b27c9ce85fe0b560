//! The pin of a `fasten` stage.

use crate::case::border::{Border, required_length};
use crate::case::complaint::{Complaint, Kind};
use crate::case::metal::{read_poissons_ratio, read_youngs_modulus};
use crate::case::table::Table;
use crate::case::tooling::STEEL;

/// Largest interference of a pin over the nominal hole, as a share of it; beyond lies
/// expansion, not fastening (common practice, no source: interference fits are below 2 %, and
/// an expanded hole that has not been reamed stands some 3 % above its nominal diameter).
const LARGEST_INTERFERENCE: f64 = 0.06;

/// Smallest pin that still is one, as a share of the nominal hole.
const MOST_PLAY: f64 = 0.10;

/// Diameter (mm; `None` for a neat fit) and elastic constants (`None` for a rigid pin).
pub(super) type Pin = (Option<f64>, Option<(f64, f64)>);

/// Reads the pin for a hole of `nominal` diameter, mm.
pub(super) fn read_pin(
    table: &Table<'_>,
    nominal: f64,
    hole: &str,
    border: Border,
) -> Result<Pin, Complaint> {
    let mut diameter = None;
    if table.has("pin_diameter") {
        let written = required_length(table, "pin_diameter", "give the pin's diameter", border)?;
        let excess = written.value / nominal - 1.0;
        if !(-MOST_PLAY..=LARGEST_INTERFERENCE).contains(&excess) {
            let problem = format!(
                "a pin of {} does not go with hole `{hole}` at {}",
                border.show_length(written.value),
                border.show_length(nominal)
            );
            let remedy = "leave `pin_diameter` out for a neat fit";
            return Err(table.about(&written, Kind::OutOfRange, problem, remedy));
        }
        diameter = Some(written.value);
    }
    if table.switch("rigid_pin")?.is_some_and(|switch| switch.value) {
        for key in ["pin_modulus", "pin_poissons_ratio"] {
            if table.has(key) {
                let problem = format!("a rigid pin has no `{key}`");
                let remedy = format!("leave out `{key}` or `rigid_pin`");
                return Err(table.stray(key, problem, remedy));
            }
        }
        return Ok((diameter, None));
    }
    let modulus = match table.number("pin_modulus")? {
        None => STEEL.0,
        Some(number) => read_youngs_modulus(table, &number, border)?,
    };
    let ratio = match table.number("pin_poissons_ratio")? {
        None => STEEL.1,
        Some(number) => read_poissons_ratio(table, &number)?,
    };
    Ok((diameter, Some((modulus, ratio))))
}
