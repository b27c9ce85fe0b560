//! `temperature` of a stage: the whole part is brought to another temperature.

use crate::case::complaint::{Complaint, Kind};
use crate::case::stages::Reader;
use crate::case::table::Table;
use crate::process::stage::Stage;

/// Temperatures from that of the drawing that a stage may ask for, in the degrees of the coefficient.
const TEMPERATURES: [f64; 2] = [-500.0, 2000.0];
/// Largest thermal strain; no metal expands by as much.
const LARGEST_STRAIN: f64 = 0.05;

impl Reader<'_> {
    pub(super) fn read_temperature(&mut self, table: &Table<'_>) -> Result<Stage, Complaint> {
        let remedy =
            "give the temperature less that of the drawing, for example `temperature = -80`";
        let number =
            table.number("temperature")?.ok_or_else(|| table.missing("temperature", remedy))?;
        let difference = number.value;
        if !(TEMPERATURES[0]..=TEMPERATURES[1]).contains(&difference) {
            let problem = format!(
                "`temperature` is {difference}, but must lie between {} and {}",
                TEMPERATURES[0], TEMPERATURES[1]
            );
            return Err(table.about(&number, Kind::OutOfRange, problem, remedy));
        }
        if let Some(hole) = self.standing.iter().position(|hole| hole.fastened) {
            let problem = format!(
                "hole `{}` has a pin in it, whose thermal expansion is not known",
                self.plate.holes[hole].name
            );
            let remedy = "take it out first with a stage `unfasten`";
            return Err(table.about(&number, Kind::Sequence, problem, remedy));
        }
        let plate = self.expansion.ok_or_else(|| {
            let problem = "the metal of the plate has no coefficient of thermal expansion";
            let remedy =
                "give `thermal_expansion` in [material], for example 23e-6, with its source";
            table.about(&number, Kind::MissingKey, problem, remedy)
        })?;
        let mut expansions = vec![plate];
        for region in self.regions {
            let own = match (&region.material, region.thermal_expansion) {
                (_, Some(own)) => own,
                (None, None) => plate,
                (Some(_), None) => {
                    let problem = format!(
                        "the metal of region `{}` has no coefficient of thermal expansion",
                        region.name
                    );
                    let remedy = "give `thermal_expansion` in its `material`, with its source";
                    return Err(table.about(&number, Kind::MissingKey, problem, remedy));
                }
            };
            expansions.push(own);
        }
        let largest =
            expansions.iter().fold(0.0_f64, |most, one| most.max((one * difference).abs()));
        if largest > LARGEST_STRAIN {
            let problem = format!("the metal would expand by {:.1} %", 100.0 * largest);
            let remedy = "temperature and `thermal_expansion` count the same degrees: check both";
            return Err(table.about(&number, Kind::OutOfRange, problem, remedy));
        }
        if difference != 0.0 {
            let text = "elastic constants, yield stress and hardening are those of the case at every \
                        temperature, and nothing relaxes by heat";
            self.warn(table, "temperature", text);
        }
        Ok(Stage::Temperature { difference, expansions })
    }
}
