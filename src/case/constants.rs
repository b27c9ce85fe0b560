//! Constants of hardening that no metal has: slips of the unit or of the decimal point.

use crate::case::border::{Border, plain};
use crate::case::complaint::{Complaint, Kind};
use crate::case::table::Table;
use crate::material::backstress::Backstress;

/// Largest rate of saturation, one over a plastic strain: done within a hundred-thousandth.
pub(super) const LARGEST_RATE: f64 = 1e5;
/// A backstress may begin steeper than elasticity, up to this many times.
const STEEP: f64 = 100.0;

/// Limits of the constants of hardening, and the table that has them.
pub(super) struct Limits<'a> {
    /// The `[material]` table.
    pub(super) own: &'a Table<'a>,
    /// Young's modulus, MPa.
    pub(super) youngs_modulus: f64,
    pub(super) border: Border,
}

impl Limits<'_> {
    /// Rejects a stress, MPa, beyond so many times Young's modulus. `key` of the table has it, as
    /// `name`.
    pub(super) fn stiff(
        &self,
        key: &str,
        name: &str,
        value: f64,
        times: f64,
    ) -> Result<(), Complaint> {
        if value.abs() <= times * self.youngs_modulus {
            return Ok(());
        }
        let beyond = if times > 1.0 { format!("{} times ", plain(times)) } else { String::new() };
        let units = self.border.units;
        let problem = format!(
            "{name} is {} {}, beyond {beyond}Young's modulus",
            plain(value / units.stress_scale()),
            units.stress_name()
        );
        let remedy = "hardening is softer than elasticity; check the unit and the decimal point";
        Err(self.complaint(key, problem, remedy))
    }

    /// Rejects a rate above `most`. `key` of the table has it, as `name`.
    pub(super) fn fast(
        &self,
        key: &str,
        name: &str,
        value: f64,
        most: f64,
    ) -> Result<(), Complaint> {
        if value <= most {
            return Ok(());
        }
        let problem = format!("{name} is {}, more than {}", plain(value), plain(most));
        let remedy = "check the decimal point; a term that fast belongs to the yield stress";
        Err(self.complaint(key, problem, remedy))
    }

    fn complaint(&self, key: &str, problem: String, remedy: &str) -> Complaint {
        self.own.source.complain(&self.own.key_span(key), key, Kind::OutOfRange, problem, remedy)
    }
}

/// Rejects backstress terms far stiffer than elasticity, or whose rates no test resolves.
pub(super) fn check_backstress(limits: &Limits<'_>, terms: &[Backstress]) -> Result<(), Complaint> {
    for term in terms {
        limits.stiff("kinematic", "`modulus`", term.modulus, STEEP)?;
        limits.fast("kinematic", "`recall`", term.recall, LARGEST_RATE)?;
    }
    Ok(())
}
