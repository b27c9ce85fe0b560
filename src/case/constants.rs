//! Constants of hardening that no metal has: slips of the unit or of the decimal point.

use crate::case::border::{Border, plain};
use crate::case::complaint::{Complaint, Kind};
use crate::case::table::Table;
use crate::material::hardening::{Isotropic, Material};

/// Largest rate of saturation, one over a plastic strain: done within a hundred-thousandth.
const LARGEST_RATE: f64 = 1e5;
/// A backstress may begin steeper than elasticity, up to this many times.
const STEEP: f64 = 100.0;
/// Largest exponent of a power law: flat to every digit.
const LARGEST_EXPONENT: f64 = 1000.0;

/// Rejects a metal whose plastic stiffness is beyond its elastic one, or whose rates no test resolves.
/// `own` is the `[material]` table.
pub(super) fn check_constants(
    own: &Table<'_>,
    material: &Material,
    border: Border,
) -> Result<(), Complaint> {
    let modulus = material.elasticity.youngs_modulus;
    let stiff = |key: &str, what: &str, value: f64, times: f64| -> Result<(), Complaint> {
        if value.abs() <= times * modulus {
            return Ok(());
        }
        let beyond = if times > 1.0 { format!("{} times ", plain(times)) } else { String::new() };
        let problem = format!(
            "{what} is {} {}, beyond {beyond}Young's modulus",
            plain(value / border.units.stress_scale()),
            border.units.stress_name()
        );
        let remedy = "hardening is softer than elasticity; check the unit and the decimal point";
        Err(own.source.complain(&own.key_span(key), key, Kind::OutOfRange, problem, remedy))
    };
    let fast = |key: &str, what: &str, value: f64, most: f64| -> Result<(), Complaint> {
        if value <= most {
            return Ok(());
        }
        let problem = format!("{what} is {}, more than {}", plain(value), plain(most));
        let remedy = "check the decimal point; a term that fast belongs to the yield stress";
        Err(own.source.complain(&own.key_span(key), key, Kind::OutOfRange, problem, remedy))
    };
    match &material.isotropic {
        Isotropic::Linear { slope } => stiff("isotropic", "`slope`", *slope, 1.0)?,
        Isotropic::Voce { terms, slope } => {
            stiff("isotropic", "`slope`", *slope, 1.0)?;
            for term in terms {
                stiff("isotropic", "`saturation`", term.saturation, 1.0)?;
                fast("isotropic", "`rate`", term.rate, LARGEST_RATE)?;
            }
        }
        Isotropic::RambergOsgood { exponent } => {
            fast("isotropic", "`exponent`", *exponent, LARGEST_EXPONENT)?;
        }
        Isotropic::None | Isotropic::Table { .. } => {}
    }
    for term in &material.kinematic {
        stiff("kinematic", "`modulus`", term.modulus, STEEP)?;
        fast("kinematic", "`recall`", term.recall, LARGEST_RATE)?;
    }
    Ok(())
}
