//! Fields that stay when the pressure in a hole is gone, and after a ream.

use crate::material::idealisation::Idealisation;
use crate::process::job::Job;
use crate::tensor::{Polar, Stress};
use crate::theory::field::RotationalField;
use crate::theory::ream::Reamed;
use crate::theory::residual_cylinder::ResidualCylinder;
use crate::theory::residual_sheet::ResidualSheet;

/// A field that stays.
#[derive(Clone, Debug)]
pub(super) struct Residual {
    pub(super) kind: ResidualKind,
    pub(super) name: String,
    pub(super) statement: String,
}

#[derive(Clone, Debug)]
pub(super) enum ResidualKind {
    Cylinder(ResidualCylinder),
    Sheet(ResidualSheet),
    Reamed(Box<Reamed<Residual>>),
}

impl Residual {
    pub(super) fn name(&self) -> &str {
        &self.name
    }

    pub(super) fn statement(&self) -> &str {
        &self.statement
    }

    /// The field after a cut to `radius` (mm, reference coordinates) that stays elastic.
    pub(super) fn reamed(&self, radius: f64, job: &Job) -> Result<Self, String> {
        let share = match job.idealisation {
            Idealisation::PlaneStrain => job.material.elasticity.poissons_ratio,
            Idealisation::PlaneStress
            | Idealisation::GeneralisedPlaneStrain
            | Idealisation::Axisymmetric => 0.0,
        };
        let reamed = Reamed::new(self.clone(), radius, share).map_err(|error| error.to_string())?;
        let Polar { radial, hoop, axial, .. } =
            reamed.stress(radius).map_err(|error| error.to_string())?;
        let edge = Stress { xx: radial, yy: hoop, zz: axial, xy: 0.0 };
        if edge.von_mises() > job.material.yield_stress * (1.0 + 1e-9) {
            return Err("the ream yields the new edge".to_owned());
        }
        Ok(Self {
            kind: ResidualKind::Reamed(Box::new(reamed)),
            name: format!("{}, reamed", self.name.trim_end_matches(", reamed")),
            statement: format!(
                "{} Then: cut to {:.3} of the radius, elastically.",
                self.statement,
                radius / self.inner()
            ),
        })
    }

    fn field(&self) -> &dyn RotationalField {
        match &self.kind {
            ResidualKind::Cylinder(cylinder) => cylinder,
            ResidualKind::Sheet(sheet) => sheet,
            ResidualKind::Reamed(reamed) => reamed.as_ref(),
        }
    }
}

impl RotationalField for Residual {
    fn inner(&self) -> f64 {
        self.field().inner()
    }

    fn outer(&self) -> f64 {
        self.field().outer()
    }

    fn stress_within(&self, r: f64) -> Polar {
        self.field().stress_within(r)
    }
}
