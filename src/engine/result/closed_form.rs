//! Which closed form, if any, speaks of a state of a hole, and what it says.
//!
//! The work on each hole is followed snapshot by snapshot. A form is given only when its
//! assumptions hold as the case is set up: shape, metal, idealisation, and that the work is a first loading,
//! a release, a ream. Its input is the measured opening of the hole (mean radial displacement
//! of the edge over its radius) under a tool, which makes a tool that gives way a rigid one, or the
//! pressure or remote stress of a load. Where none speaks the reason is kept.

mod loaded;
mod remote;
mod residual;
mod stress;
mod surroundings;

use serde::{Deserialize, Serialize};

use crate::material::state::YIELDED;
use crate::numeric::profile::Profile;
use crate::process::job::Job;
use crate::process::snapshot::Snapshot;
use crate::process::stage::{Load, Stage};
use crate::result::closed_form::loaded::Loaded;
use crate::result::closed_form::residual::Residual;
use crate::result::closed_form::stress::{Cause, loaded};
use crate::result::closed_form::surroundings::{Surroundings, surroundings};
use crate::result::path::StressPath;
use crate::result::stage::StageResult;
use crate::theory::field::RotationalField;

/// Straight pieces of a profile.
const PIECES: u32 = 400;

/// Starting diameters that a profile reaches, as the hoop chart does.
const REACH: f64 = 3.0;

/// A closed form beside one computed state.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct ClosedForm {
    /// Label of the snapshot.
    pub stage: String,
    /// Direction of the path, degrees; `None` when every direction is the same.
    pub angle_deg: Option<f64>,
    /// Which theory, in a few words.
    pub name: String,
    /// Which theory, its author, what it takes as given, and its input.
    pub statement: String,
    /// Hoop stress (MPa) against distance from the edge as it stands (mm).
    pub profile: Profile,
    /// Computed less theoretical hoop stress where it is largest within the profile, MPa, and
    /// the distance, mm.
    pub largest_difference: Option<[f64; 2]>,
}

/// The closed forms of one hole.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct HoleForms {
    /// Name of the hole.
    pub hole: String,
    /// In the order of the snapshots.
    pub forms: Vec<ClosedForm>,
    /// Why there is none, or none from some stage on; `None` when every state has one that
    /// could have.
    pub reason: Option<String>,
}

/// The closed forms for every hole of `job`; `stages[k]` is `snapshots[k]` as read.
#[must_use]
pub fn closed_forms(job: &Job, snapshots: &[Snapshot], stages: &[StageResult]) -> Vec<HoleForms> {
    (0..job.plate.holes.len()).map(|index| of_hole(job, index, snapshots, stages)).collect()
}

fn of_hole(job: &Job, index: usize, snapshots: &[Snapshot], stages: &[StageResult]) -> HoleForms {
    let mut found =
        HoleForms { hole: job.plate.holes[index].name.clone(), forms: Vec::new(), reason: None };
    let surroundings = match surroundings(job, index) {
        Ok(surroundings) => surroundings,
        Err(reason) => {
            found.reason = Some(reason);
            return found;
        }
    };
    let mut state = State::Bare;
    for (snapshot, stage) in snapshots.iter().zip(stages) {
        let hole = Hole { job, index, surroundings, snapshot, stage };
        match hole.next(&state) {
            Ok((next, forms)) => {
                state = next;
                found.forms.extend(forms);
            }
            Err(reason) => {
                found.reason = Some(format!("{}: {reason}", snapshot.label));
                break;
            }
        }
    }
    found
}

/// State of the metal round a hole after the work, in terms of theory.
#[derive(Clone, Debug)]
enum State {
    /// Nothing that stays.
    Bare,
    /// Under its first pressure.
    Loaded(Loaded),
    /// After it.
    Residual(Residual),
}

/// One hole in one snapshot.
struct Hole<'a> {
    job: &'a Job,
    index: usize,
    surroundings: Surroundings,
    snapshot: &'a Snapshot,
    stage: &'a StageResult,
}

type Next = Result<(State, Vec<ClosedForm>), String>;

impl Hole<'_> {
    /// The state after this snapshot and the forms that speak of it.
    fn next(&self, before: &State) -> Next {
        let full = !self.snapshot.finished;
        let unchanged = || Ok((before.clone(), Vec::new()));
        let Some(stage) = self.snapshot.stage.checked_sub(1).and_then(|k| self.job.stages.get(k))
        else {
            return unchanged();
        };
        match stage {
            Stage::Expand { hole, tool } if *hole == self.index => {
                if tool.split.is_some() {
                    return Err("the sleeve has a slit, so that the pressure is not even".into());
                }
                if full {
                    self.loaded(before, Cause::Opening(self.opening()))
                } else {
                    self.released(before)
                }
            }
            Stage::Load { load, .. } if !load.bearing.is_empty() => {
                Err("a pin bears on the plate".into())
            }
            Stage::Load { load: Load { tractions, pressure, .. }, cycles } => {
                let pressed = pressure.filter(|(hole, _)| *hole == self.index);
                match (pressed, tractions.is_empty()) {
                    (None, true) => unchanged(),
                    (Some((_, pressure)), true) if full => {
                        if *cycles > 1 && !self.is_elastic() {
                            return Err("the pressure comes more than once".into());
                        }
                        self.loaded(before, Cause::Pressure(pressure))
                    }
                    (Some(_), true) => self.released(before),
                    (None, false) => self.pulled(before, tractions, full),
                    (Some(_), false) => Err("pressure and remote load act together".into()),
                }
            }
            Stage::Service { .. } if matches!(before, State::Bare) && self.is_elastic() => {
                unchanged()
            }
            Stage::Service { .. } => {
                Err("a service load acts on metal that has yielded or yields it".into())
            }
            Stage::Ream { hole, offset, .. } if *hole == self.index => {
                if offset[0] != 0.0 || offset[1] != 0.0 {
                    return Err("the cutter stands off the centre".into());
                }
                self.reamed(before)
            }
            Stage::Bush(_) => Err("a bush is put in".into()),
            Stage::Temperature { .. } if !matches!(before, State::Bare) => {
                Err("the temperature has changed".into())
            }
            Stage::Fasten { hole, .. } | Stage::Unfasten { hole } if *hole == self.index => {
                Err("a pin is put into the hole".into())
            }
            Stage::Join { .. } | Stage::Detach { .. } => Err("a doubler shares the load".into()),
            _ => unchanged(),
        }
    }

    fn loaded(&self, before: &State, cause: Cause) -> Next {
        if !matches!(before, State::Bare) {
            return Err("the hole is loaded again after it has yielded".into());
        }
        let loaded = loaded(self.job, self.inner()?, self.surroundings, cause, self.is_elastic())?;
        let form = self.form(loaded.field(), loaded.name(), loaded.statement())?;
        Ok((State::Loaded(loaded), vec![form]))
    }

    fn released(&self, before: &State) -> Next {
        let State::Loaded(loaded) = before else {
            return Err("no closed form of the loaded state to start from".into());
        };
        match loaded.released()? {
            None => Ok((State::Bare, Vec::new())),
            Some(residual) => {
                let form = self.form(&residual, residual.name(), residual.statement())?;
                Ok((State::Residual(residual), vec![form]))
            }
        }
    }

    fn reamed(&self, before: &State) -> Next {
        let State::Residual(residual) = before else {
            return Ok((before.clone(), Vec::new()));
        };
        let reamed = residual.reamed(self.inner()?, self.job)?;
        let form = self.form(&reamed, reamed.name(), reamed.statement())?;
        Ok((State::Residual(reamed), vec![form]))
    }

    fn pulled(&self, before: &State, tractions: &[(String, f64)], full: bool) -> Next {
        if !matches!(before, State::Bare) {
            return Err("a remote load acts on a state that is not free of stress".into());
        }
        if !self.is_elastic() {
            return Err("the remote load yields the metal".into());
        }
        let forms = if full {
            let paths: Vec<&StressPath> = self.paths().collect();
            let reach = |path: &StressPath| self.reach(std::iter::once(path));
            remote::forms(self.job, (self.inner()?, &paths), self.surroundings, tractions, reach)?
                .into_iter()
                .map(|form| ClosedForm { stage: self.snapshot.label.clone(), ..form })
                .collect()
        } else {
            Vec::new()
        };
        Ok((State::Bare, forms))
    }

    fn form(
        &self,
        field: &dyn RotationalField,
        name: &str,
        statement: &str,
    ) -> Result<ClosedForm, String> {
        let inner = field.inner();
        let reach = self.reach(self.paths());
        let profile = field.hoop_profile(reach, PIECES).map_err(|error| error.to_string())?;
        let largest_difference =
            difference(self.paths(), reach, |_, distance| field.hoop(inner + distance).ok());
        Ok(ClosedForm {
            stage: self.snapshot.label.clone(),
            angle_deg: None,
            name: name.to_owned(),
            statement: statement.to_owned(),
            profile,
            largest_difference,
        })
    }

    fn is_elastic(&self) -> bool {
        self.snapshot.state.largest_plastic_strain() <= YIELDED
    }

    fn paths(&self) -> impl Iterator<Item = &StressPath> {
        let name = &self.job.plate.holes[self.index].name;
        self.stage.paths.iter().filter(move |path| path.hole == *name && path.points.len() > 1)
    }

    /// Radius of the hole as it stands, reference coordinates, mm.
    fn inner(&self) -> Result<f64, String> {
        let [x, y] = self.job.plate.holes[self.index].centre;
        let first = self.paths().next().and_then(|path| path.points.first());
        let first = first.ok_or_else(|| "no path starts at the hole".to_owned())?;
        Ok((first.drawn[0] - x).hypot(first.drawn[1] - y))
    }

    /// Distance to which all `paths` and the chart reach, mm.
    fn reach<'p>(&self, paths: impl Iterator<Item = &'p StressPath>) -> f64 {
        let ends = paths.filter_map(|path| path.points.last().map(|point| point.distance));
        ends.fold(REACH * self.job.plate.holes[self.index].starting_diameter, f64::min)
    }

    /// Mean radial displacement of the hole's edge, mm.
    fn opening(&self) -> f64 {
        let [x, y] = self.job.plate.holes[self.index].centre;
        let edge = &self.snapshot.mesh.holes[self.index].edge;
        let outward = |&node: &usize| {
            let [nx, ny] = self.snapshot.mesh.nodes[node];
            let [ux, uy] = self.snapshot.state.displacement[node];
            let (dx, dy) = (nx - x, ny - y);
            (ux * dx + uy * dy) / dx.hypot(dy)
        };
        edge.iter().map(outward).sum::<f64>() / edge.len() as f64
    }
}

/// Largest difference of the computed hoop stress from `theory`, up to `reach`, with its place.
fn difference<'p>(
    paths: impl Iterator<Item = &'p StressPath>,
    reach: f64,
    theory: impl Fn(&StressPath, f64) -> Option<f64>,
) -> Option<[f64; 2]> {
    let mut largest: Option<[f64; 2]> = None;
    for path in paths {
        for point in path.points.iter().filter(|point| point.distance <= reach) {
            let Some(expected) = theory(path, point.distance) else { continue };
            let found = point.stress.hoop - expected;
            if largest.is_none_or(|[size, _]| found.abs() > size.abs()) {
                largest = Some([found, point.distance]);
            }
        }
    }
    largest
}
