//! The photoelastic coating whose fringes a run draws.

use crate::case::border::{Border, plain, required_length, required_positive, unknown_word};
use crate::case::complaint::{Complaint, Kind};
use crate::case::keys::case_file;
use crate::case::table::{Table, quoted};
use crate::process::coating::{Coating, Light};
use crate::process::stage::Stage;

/// Wavelength of the tint of passage in white light, nm (from memory).
const TINT_OF_PASSAGE: f64 = 575.0;

/// Wavelengths that are light, nm.
const VISIBLE: [f64; 2] = [380.0, 780.0];

/// Strain-optic coefficient: soft coatings have some 0.01, stiff ones 0.15 (from memory); more
/// than this is a slip of the decimal point.
const LARGEST_COEFFICIENT: f64 = 1.0;

/// Nanometres in a millimetre.
const NANOMETRES: f64 = 1e6;

/// Reads `[coating]`, when there is one.
pub(super) fn read_coating(
    top: &Table<'_>,
    stages: &[Stage],
    holes: &[&str],
    border: Border,
) -> Result<Option<Coating>, Complaint> {
    let remedy = "write [coating], once, and its keys below";
    let Some(table) = top.table("coating", "[coating]", remedy)? else { return Ok(None) };
    table.only(&case_file::COATING.names())?;
    let remedy = "give the thickness of the coating";
    let thickness = required_length(&table, "thickness", remedy, border)?.value;
    let remedy = "give its strain-optic coefficient; stiff coatings have 0.08 to 0.15";
    let coefficient = required_positive(&table, "strain_optic_coefficient", remedy)?;
    if coefficient.value > LARGEST_COEFFICIENT {
        let problem = format!(
            "`strain_optic_coefficient` is {}, more than any coating has",
            plain(coefficient.value)
        );
        return Err(table.about(&coefficient, Kind::OutOfRange, problem, remedy));
    }
    let wavelength = match table.number("wavelength")? {
        None => TINT_OF_PASSAGE,
        Some(number) if (VISIBLE[0]..=VISIBLE[1]).contains(&number.value) => number.value,
        Some(number) => {
            let problem = format!("`wavelength` is {}, which is no light", plain(number.value));
            let remedy = "wavelengths are in nanometres, 380 to 780; 575 is the default";
            return Err(table.about(&number, Kind::OutOfRange, problem, remedy));
        }
    };
    let light = match table.text("light")? {
        None => Light::default(),
        Some(word) => Light::named(word.value)
            .ok_or_else(|| unknown_word(&table, &word, "light", &Light::NAMES))?,
    };
    let bonded_after = match table.text("bonded_after")? {
        None => None,
        Some(word) => {
            let labels: Vec<String> =
                stages.iter().enumerate().map(|(k, stage)| stage.label(k + 1, holes)).collect();
            let mut labels: Vec<&str> = labels.iter().map(String::as_str).collect();
            let last = labels.pop();
            if last == Some(word.value) {
                let problem =
                    format!("no stage follows `{}`, so the coating shows nothing", word.value);
                let remedy = if labels.is_empty() {
                    "leave `bonded_after` out: the coating is then bonded before the work"
                        .to_owned()
                } else {
                    format!("choose from {}, or leave it out", quoted(&labels))
                };
                return Err(table.about(&word, Kind::Conflict, problem, remedy));
            }
            if !labels.contains(&word.value) {
                return Err(unknown_word(&table, &word, "stage that others follow", &labels));
            }
            Some(word.value.to_owned())
        }
    };
    Ok(Some(Coating {
        thickness,
        strain_optic_coefficient: coefficient.value,
        wavelength: wavelength / NANOMETRES,
        bonded_after,
        light,
    }))
}
