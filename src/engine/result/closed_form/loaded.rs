//! Fields under the first pressure in a hole.

use crate::result::closed_form::residual::{Residual, ResidualKind};
use crate::theory::field::RotationalField;
use crate::theory::hardening_sheet::LoadedHardeningSheet;
use crate::theory::lame::PressurisedRing;
use crate::theory::plastic_cylinder::LoadedCylinder;
use crate::theory::plastic_sheet::LoadedSheet;

/// A field under the first pressure.
#[derive(Clone, Debug)]
pub(super) struct Loaded {
    pub(super) kind: LoadedKind,
    pub(super) name: &'static str,
    pub(super) statement: String,
}

#[derive(Clone, Debug)]
pub(super) enum LoadedKind {
    Ring(PressurisedRing),
    Cylinder(LoadedCylinder),
    Sheet(LoadedSheet),
    Hardening(Box<LoadedHardeningSheet>),
}

impl Loaded {
    pub(super) fn name(&self) -> &'static str {
        self.name
    }

    pub(super) fn statement(&self) -> &str {
        &self.statement
    }

    pub(super) fn field(&self) -> &dyn RotationalField {
        match &self.kind {
            LoadedKind::Ring(ring) => ring,
            LoadedKind::Cylinder(cylinder) => cylinder,
            LoadedKind::Sheet(sheet) => sheet,
            LoadedKind::Hardening(sheet) => sheet.as_ref(),
        }
    }

    /// Residual field when the pressure is gone; `None` when there is none.
    pub(super) fn released(&self) -> Result<Option<Residual>, String> {
        let (kind, what) = match &self.kind {
            LoadedKind::Ring(_) => return Ok(None),
            LoadedKind::Hardening(_) => {
                return Err("total-strain theory knows nothing of unloading".to_owned());
            }
            LoadedKind::Cylinder(loaded) if loaded.front().is_none() => return Ok(None),
            LoadedKind::Sheet(loaded) if loaded.front().is_none() => return Ok(None),
            LoadedKind::Cylinder(loaded) => {
                let residual = loaded.released(1.0).map_err(|error| error.to_string())?;
                let what = match residual.reverse_front() {
                    Some(_) => "pressure taken away, yielding in reverse",
                    None => "pressure taken away elastically",
                };
                (ResidualKind::Cylinder(residual), what)
            }
            LoadedKind::Sheet(loaded) => {
                let residual = loaded.released(1.0).map_err(|_| {
                    "the hole yields in reverse, for which the plane-stress sheet has no closed form"
                        .to_owned()
                })?;
                (ResidualKind::Sheet(residual), "pressure taken away elastically")
            }
        };
        Ok(Some(Residual {
            kind,
            name: self.name.to_owned(),
            statement: format!("{} Then: {what}.", self.statement),
        }))
    }
}
