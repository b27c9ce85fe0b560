//! The closed form that applies to the pressure in a hole: theory, front, field.

use crate::material::hardening::Isotropic;
use crate::material::idealisation::Idealisation;
use crate::process::job::Job;
use crate::result::closed_form::loaded::{Loaded, LoadedKind};
use crate::result::closed_form::surroundings::{FAR, Surroundings};
use crate::theory::hardening_sheet::{HardeningSheet, RambergOsgood};
use crate::theory::lame::Ring;
use crate::theory::plastic_cylinder::{LoadedCylinder, PlasticCylinder};
use crate::theory::plastic_sheet::{LoadedSheet, PlasticSheet};
use crate::theory::range::OutOfRange;

/// Plastic fronts from the centre to the nearest boundary, at least, for a sheet without end.
const FRONT_FAR: f64 = 10.0;

/// Opening up to which total-strain theory gives the hoop stress at the hole; its own docs.
const SMALL_OPENING: f64 = 0.01;

/// Halvings of the range of the front: to rounding.
const HALVINGS: usize = 48;

/// Cause of a field.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Cause {
    /// Displacement of the edge, mm.
    Opening(f64),
    /// Pressure in the hole, MPa.
    Pressure(f64),
}

impl Cause {
    fn words(self, inner: f64) -> String {
        match self {
            Self::Opening(opening) => {
                format!("at the measured opening of {:.3} % of the radius", 100.0 * opening / inner)
            }
            Self::Pressure(_) => "at the pressure of the case".to_owned(),
        }
    }
}

fn text(error: OutOfRange) -> String {
    error.to_string()
}

/// The closed form for the hole of radius `inner`, or why there is none.
pub(super) fn loaded(
    job: &Job,
    inner: f64,
    surroundings: Surroundings,
    cause: Cause,
    elastic: bool,
) -> Result<Loaded, String> {
    let hole = HoleUnderCause { job, inner, surroundings, cause };
    if elastic {
        return hole.ring();
    }
    let material = &job.material;
    if !material.kinematic.is_empty() {
        return Err("no closed form for a metal with kinematic hardening".to_owned());
    }
    match (&material.isotropic, job.idealisation) {
        (Isotropic::None, Idealisation::PlaneStress) => hole.sheet(),
        (Isotropic::None, Idealisation::PlaneStrain) => hole.cylinder(),
        (Isotropic::RambergOsgood { exponent }, Idealisation::PlaneStress)
            if surroundings.free() >= FAR * inner =>
        {
            hole.hardening_sheet(*exponent)
        }
        _ => Err("no closed form for this metal in this idealisation".to_owned()),
    }
}

/// A hole of radius `inner`, mm, with the cause of its field.
struct HoleUnderCause<'a> {
    job: &'a Job,
    inner: f64,
    surroundings: Surroundings,
    cause: Cause,
}

impl HoleUnderCause<'_> {
    /// Wall and cause in words.
    fn words(&self) -> (String, String) {
        (self.surroundings.words(self.inner), self.cause.words(self.inner))
    }

    fn ring(&self) -> Result<Loaded, String> {
        let (wall, input) = self.words();
        let (inner, job) = (self.inner, self.job);
        let outer = self.surroundings.outer();
        let ring =
            Ring::new(inner, outer, job.material.elasticity, job.idealisation).map_err(text)?;
        let pressure = match self.cause {
            Cause::Pressure(pressure) => pressure,
            Cause::Opening(opening) => {
                let one = ring.at_pressure(1.0).and_then(|ring| ring.displacement(inner));
                opening / one.map_err(text)?
            }
        };
        let plane = job.idealisation.name();
        Ok(Loaded {
            kind: LoadedKind::Ring(ring.at_pressure(pressure).map_err(text)?),
            name: "Lamé, elastic",
            statement: format!("Lamé: elastic {wall}, {plane}, {input}; nothing has yielded."),
        })
    }

    fn sheet(&self) -> Result<Loaded, String> {
        let (wall, input) = self.words();
        let material = &self.job.material;
        let outer = self.surroundings.outer();
        let sheet =
            PlasticSheet::new(self.inner, outer, material.yield_stress, material.elasticity)
                .map_err(text)?;
        let loaded = sheet_under(&sheet, self.cause)?;
        near_front(loaded.front(), self.surroundings)?;
        Ok(Loaded {
            kind: LoadedKind::Sheet(loaded),
            name: "Nádai, perfectly plastic sheet",
            statement: format!(
                "Nádai 1931, Hill 1950: perfectly plastic sheet in plane stress, von Mises, small \
                 strains, flow rule of Prandtl and Reuss; {wall}, {input}."
            ),
        })
    }

    fn cylinder(&self) -> Result<Loaded, String> {
        let (wall, input) = self.words();
        let material = &self.job.material;
        let outer = self.surroundings.outer();
        let cylinder =
            PlasticCylinder::mises(self.inner, outer, material.yield_stress, material.elasticity)
                .map_err(text)?;
        let loaded = cylinder_under(&cylinder, self.cause, self.surroundings)?;
        near_front(loaded.front(), self.surroundings)?;
        if loaded.pressure() > cylinder.axial_limit_pressure() {
            return Err("the axial stress is no longer the middle one".to_owned());
        }
        Ok(Loaded {
            kind: LoadedKind::Cylinder(loaded),
            name: "Hill, perfectly plastic cylinder",
            statement: format!(
                "Hill 1950: perfectly plastic cylinder in plane strain, Tresca with Y = 2σy/√3, small \
                 strains; exact for von Mises as ν → ½, a few per cent off near the front at ν = 0.3; \
                 {wall}, {input}."
            ),
        })
    }

    fn hardening_sheet(&self, exponent: f64) -> Result<Loaded, String> {
        let (wall, input) = self.words();
        let (inner, material) = (self.inner, &self.job.material);
        let curve = RambergOsgood { offset_stress: material.yield_stress, exponent };
        let sheet = HardeningSheet::new(inner, material.elasticity, curve).map_err(text)?;
        let loaded = match self.cause {
            Cause::Opening(opening) => sheet.at_bore_strain(opening / inner),
            Cause::Pressure(pressure) => sheet.at_pressure(pressure),
        }
        .map_err(text)?;
        if loaded.bore_strain() > SMALL_OPENING {
            return Err(format!(
                "the hole is opened by {:.2} %, beyond {} %, where total-strain theory no longer \
                 gives the hoop stress",
                100.0 * loaded.bore_strain(),
                100.0 * SMALL_OPENING
            ));
        }
        Ok(Loaded {
            kind: LoadedKind::Hardening(Box::new(loaded)),
            name: "hardening sheet, total strain",
            statement: format!(
                "Budiansky 1971, Hsu and Forman 1975: infinite sheet of Ramberg–Osgood metal in \
                 plane stress, total-strain theory, first loading (its hoop stress at the hole is 3 % of the \
                 offset stress off flow theory at an opening of 1 %); {wall}, {input}."
            ),
        })
    }
}

/// Rejects a plastic zone that a boundary would feel.
fn near_front(front: Option<f64>, surroundings: Surroundings) -> Result<(), String> {
    match (front, surroundings) {
        (Some(front), Surroundings::Sheet(free)) if FRONT_FAR * front > free => Err(format!(
            "the nearest edge or hole is only {:.1} radii of the yielded zone away",
            free / front
        )),
        _ => Ok(()),
    }
}

fn sheet_under(sheet: &PlasticSheet, cause: Cause) -> Result<LoadedSheet, String> {
    let inner = sheet.wall().inner();
    let opening = match cause {
        Cause::Pressure(pressure) => return sheet.at_pressure(pressure).map_err(text),
        Cause::Opening(opening) => opening,
    };
    let first = sheet.at_pressure(sheet.first_yield_pressure()).map_err(text)?;
    let yields_at = first.displacement(inner).map_err(text)?;
    if opening <= yields_at {
        return sheet.at_pressure(first.pressure() * opening / yields_at).map_err(text);
    }
    let largest = sheet.largest_front();
    by_front([inner, largest], opening, |front| {
        let loaded = sheet.at_front(front).map_err(text)?;
        let displacement = loaded.displacement(inner).map_err(text)?;
        Ok((loaded, displacement))
    })
    .map_err(|most| beyond(opening, most, inner))
}

fn cylinder_under(
    cylinder: &PlasticCylinder,
    cause: Cause,
    surroundings: Surroundings,
) -> Result<LoadedCylinder, String> {
    let inner = cylinder.wall().inner();
    let opening = match cause {
        Cause::Pressure(pressure) => return cylinder.at_pressure(pressure).map_err(text),
        Cause::Opening(opening) => opening,
    };
    let first = cylinder.at_pressure(cylinder.first_yield_pressure()).map_err(text)?;
    let yields_at = first.displacement(inner).map_err(text)?;
    if opening <= yields_at {
        return cylinder.at_pressure(first.pressure() * opening / yields_at).map_err(text);
    }
    by_front([inner, surroundings.free()], opening, |front| {
        let pressure = cylinder.pressure_for_front(front).map_err(text)?;
        let loaded = cylinder.at_pressure(pressure).map_err(text)?;
        let displacement = loaded.displacement(inner).map_err(text)?;
        Ok((loaded, displacement))
    })
    .map_err(|most| beyond(opening, most, inner))
}

fn beyond(opening: f64, most: Option<f64>, inner: f64) -> String {
    let percent = |value: f64| 100.0 * value / inner;
    most.map_or_else(
        || "the plastic front cannot be found".to_owned(),
        |most| {
            format!(
                "the hole is opened by {:.2} %, beyond the {:.2} % up to which the perfectly \
                 plastic closed form goes",
                percent(opening),
                percent(most)
            )
        },
    )
}

/// The field whose front opens the hole by `opening`; the opening grows with the front. The
/// error is the largest opening there is, when that is too small.
fn by_front<F>(
    [mut low, mut high]: [f64; 2],
    opening: f64,
    at: impl Fn(f64) -> Result<(F, f64), String>,
) -> Result<F, Option<f64>> {
    let (mut found, most) = at(high).map_err(|_| None)?;
    if opening > most {
        return Err(Some(most));
    }
    for _ in 0..HALVINGS {
        let middle = 0.5 * (low + high);
        let (field, reached) = at(middle).map_err(|_| None)?;
        if reached < opening {
            low = middle;
        } else {
            high = middle;
            found = field;
        }
    }
    Ok(found)
}
