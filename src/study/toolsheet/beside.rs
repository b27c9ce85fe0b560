//! The nominal sizes under other assumptions: the bounding hardening laws, the other idealisations.

use std::ops::ControlFlow;

use rayon::prelude::*;

use crate::case::sheet::Sheet;
use crate::material::bracket::{purely_isotropic, purely_kinematic};
use crate::material::idealisation::Idealisation;
use crate::study::toolsheet::sheet_error::SheetError;
use crate::study::toolsheet::sizes::Sizes;
use crate::study::toolsheet::solve::{Found, solve};

/// The assumption that is another one.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Assumption {
    /// Hardening.
    Hardening,
    /// Direction through the thickness.
    Idealisation,
}

impl Assumption {
    /// As in files.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Hardening => "hardening",
            Self::Idealisation => "idealisation",
        }
    }
}

/// The nominal sizes under another assumption.
#[derive(Clone, Debug, PartialEq)]
pub struct Beside {
    /// Which assumption.
    pub assumption: Assumption,
    /// Its name: `isotropic`, `plane strain`.
    pub name: &'static str,
    /// Results of the sizes.
    pub found: Found,
}

/// Idealisations of a plate.
const IDEALISATIONS: [Idealisation; 3] =
    [Idealisation::PlaneStress, Idealisation::GeneralisedPlaneStrain, Idealisation::PlaneStrain];

/// Solutions that [`beside`] makes.
pub(super) const COUNT: usize = 4;

/// The sheet under the two laws and the two other idealisations.
fn variants(sheet: &Sheet) -> Vec<(Assumption, &'static str, Sheet)> {
    let laws = [
        ("isotropic", purely_isotropic(&sheet.material)),
        ("kinematic", purely_kinematic(&sheet.material).0),
    ];
    let laws = laws.into_iter().map(|(name, material)| {
        let mut other = sheet.clone();
        other.material = material;
        (Assumption::Hardening, name, other)
    });
    let others = IDEALISATIONS.into_iter().filter(|other| *other != sheet.idealisation);
    let others = others.map(|idealisation| {
        let mut other = sheet.clone();
        other.idealisation = idealisation;
        (Assumption::Idealisation, idealisation.name(), other)
    });
    laws.chain(others).collect()
}

/// Solves the nominal `sizes` under every other assumption; one that cannot be solved is left out with a line in
/// words.
///
/// # Errors
///
/// [`SheetError::Stopped`].
pub(super) fn beside(
    sheet: &Sheet,
    sizes: &Sizes,
    watch: impl Fn(usize, f64) -> ControlFlow<()> + Sync,
) -> Result<(Vec<Beside>, Vec<String>), SheetError> {
    let solved: Vec<_> = variants(sheet)
        .into_par_iter()
        .enumerate()
        .with_max_len(1)
        .map(|(k, (assumption, name, sheet))| {
            let found = solve(&sheet, sizes, "the nominal expansion", |share| watch(k, share));
            (assumption, name, found)
        })
        .collect();
    let (mut kept, mut missing) = (Vec::new(), Vec::new());
    for (assumption, name, found) in solved {
        match found {
            Ok(found) => kept.push(Beside { assumption, name, found }),
            Err(SheetError::Stopped) => return Err(SheetError::Stopped),
            Err(error) => missing.push(format!("no band from {name}: {error}")),
        }
    }
    Ok((kept, missing))
}
