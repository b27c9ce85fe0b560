//! `[[unknown]]`: what `hoopset infer` is to find from the measurements of a case.

use crate::case::border::{Border, plain, unknown_word};
use crate::case::complaint::{Complaint, Kind};
use crate::case::keys::case_file;
use crate::case::table::{Table, Valued};

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
}

impl Asked {
    /// All of them.
    pub const ALL: [Self; 4] =
        [Self::KinematicShare, Self::YieldStress, Self::AppliedExpansion, Self::EntryFaceShare];

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

/// Words that are asked for and that this model cannot serve, with the reason.
const NOT_SERVED: [(&str, &str); 1] = [(
    "friction",
    "the plane model has no friction: a section has, and its depths are not measured here",
)];

/// Reads the tables of the file.
pub(super) fn read_unknowns(
    top: &Table<'_>,
    border: Border,
) -> Result<Vec<UnknownTable>, Complaint> {
    let remedy = "write [[unknown]], with two brackets, above the keys of each unknown";
    let mut all: Vec<UnknownTable> = Vec::new();
    for table in top.tables("unknown", "unknown", remedy)? {
        table.only(&case_file::UNKNOWN.names())?;
        let remedy = "for example `name = \"kinematic_share\"`";
        let name = table.text("name")?.ok_or_else(|| table.missing("name", remedy))?;
        if let Some((_, why)) = NOT_SERVED.iter().find(|(word, _)| *word == name.value) {
            let problem = format!("`{}` cannot be inferred: {why}", name.value);
            let remedy = "leave it out; `hoopset section` computes the faces";
            return Err(table.about(&name, Kind::UnknownName, problem, remedy));
        }
        let asked = Asked::ALL
            .into_iter()
            .find(|asked| asked.name() == name.value)
            .ok_or_else(|| unknown_word(&table, &name, "unknown", &case_file::UNKNOWNS))?;
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
