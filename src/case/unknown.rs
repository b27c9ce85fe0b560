//! `[[unknown]]`: what `hoopset infer` is to find from the measurements of a case.

use crate::case::border::{Border, plain, unknown_word};
use crate::case::complaint::{Complaint, Kind};
use crate::case::keys::case_file;
use crate::case::reading::no_friction;
use crate::case::table::{Table, Valued};
use crate::process::section::SectionJob;

/// Something about a case that is not known.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Asked {
    /// Share of the hardening that is kinematic, 0 to 1, at the same first pull.
    KinematicShare,
    /// Yield stress of the metal, MPa.
    YieldStress,
    /// Applied expansion of every `expand` stage, a fraction.
    AppliedExpansion,
    /// Residual stress at the entry face over that of the plane model, 0 to 1.
    EntryFaceShare,
    /// Coefficient of friction of every drawn mandrel, the same at any pressure.
    Friction,
}

impl Asked {
    /// All of them.
    pub const ALL: [Self; 5] = [
        Self::KinematicShare,
        Self::YieldStress,
        Self::AppliedExpansion,
        Self::EntryFaceShare,
        Self::Friction,
    ];

    /// Its name in a file.
    #[must_use]
    pub fn name(self) -> &'static str {
        case_file::UNKNOWNS[self as usize]
    }

    /// Whether it is a stress.
    #[must_use]
    pub fn is_stress(self) -> bool {
        self == Self::YieldStress
    }
}

/// An `[[unknown]]` table. A stress is in MPa.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct UnknownTable {
    /// Which one.
    pub asked: Asked,
    /// Known of it from elsewhere: a value and its standard error.
    pub expected: Option<[f64; 2]>,
}

/// Reads the tables of the file; `sections` are those of its drawn holes, which stand `alone` in a section file.
pub(super) fn read_unknowns(
    top: &Table<'_>,
    sections: &[&SectionJob],
    alone: bool,
    border: Border,
) -> Result<Vec<UnknownTable>, Complaint> {
    let remedy = "write [[unknown]], with two brackets, above the keys of each unknown";
    let mut all: Vec<UnknownTable> = Vec::new();
    for table in top.tables("unknown", "unknown", remedy)? {
        table.only(&case_file::UNKNOWN.names())?;
        let remedy = "for example `name = \"kinematic_share\"`";
        let name = table.text("name")?.ok_or_else(|| table.missing("name", remedy))?;
        let asked = Asked::ALL
            .into_iter()
            .find(|asked| asked.name() == name.value)
            .ok_or_else(|| unknown_word(&table, &name, "unknown", &case_file::UNKNOWNS))?;
        let not_served = match asked {
            Asked::Friction => no_friction(sections),
            Asked::EntryFaceShare if alone => {
                let remedy = "leave it out: `friction` and the expansion are behind it";
                Some(("a section says how the stress goes through the thickness", remedy))
            }
            _ => None,
        };
        if let Some((why, remedy)) = not_served {
            let problem = format!("`{}` cannot be inferred: {why}", name.value);
            return Err(table.about(&name, Kind::UnknownName, problem, remedy));
        }
        if all.iter().any(|other| other.asked == asked) {
            let problem = format!("`{}` is asked for twice", name.value);
            return Err(table.about(&name, Kind::Conflict, problem, "keep one of them"));
        }
        let inside = |number: Valued<f64>| {
            if asked.is_stress() { border.stress(number.value) } else { number.value }
        };
        let expected = match (table.number("expected")?, table.number("plus_minus")?) {
            (None, None) => None,
            (Some(value), Some(error)) if error.value > 0.0 && value.value >= 0.0 => {
                Some([inside(value), inside(error)])
            }
            (Some(_), Some(error)) => {
                let problem =
                    format!("`expected` or `plus_minus` is below zero: {}", plain(error.value));
                let remedy = "give a value and its standard error";
                return Err(table.about(&error, Kind::OutOfRange, problem, remedy));
            }
            (Some(_), None) => {
                return Err(table.missing("plus_minus", "give the standard error of `expected`"));
            }
            (None, Some(_)) => {
                return Err(table.missing("expected", "give the value that `plus_minus` is of"));
            }
        };
        all.push(UnknownTable { asked, expected });
    }
    Ok(all)
}
