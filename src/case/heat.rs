//! `temperature` of a stage: the whole part is brought to another temperature.

use crate::case::border::plain;
use crate::case::complaint::{Complaint, Kind};
use crate::case::hot::{read_metals, read_relaxation};
use crate::case::stages::Reader;
use crate::case::table::{Table, Valued};
use crate::process::stage::Stage;

/// Temperatures from that of the drawing that a stage may ask for, in the degrees of the coefficient.
const TEMPERATURES: [f64; 2] = [-500.0, 2000.0];
/// The assumption at another temperature at which the case gives no constants.
const CONSTANTS_STAY: &str =
    "elastic constants, yield stress and hardening are those of the case at every temperature";
/// Largest thermal strain; no metal expands by as much.
const LARGEST_STRAIN: f64 = 0.05;

impl Reader<'_> {
    pub(super) fn read_temperature(&mut self, table: &Table<'_>) -> Result<Stage, Complaint> {
        let remedy =
            "give the temperature less that of the drawing, for example `temperature = -80`";
        let number =
            table.number("temperature")?.ok_or_else(|| table.missing("temperature", remedy))?;
        let difference = number.value;
        check_range(table, &number, remedy)?;
        if let Some(hole) = self.standing.iter().position(|hole| hole.fastened) {
            let problem = format!(
                "hole `{}` has a pin in it, whose thermal expansion is not known",
                self.plate.holes[hole].name
            );
            let remedy = match self.doubler_at(hole) {
                Some(_) => "take the doubler off first with a stage `detach`",
                None => "take it out first with a stage `unfasten`",
            };
            return Err(table.about(&number, Kind::Sequence, problem, remedy));
        }
        let expansions = self.expansions(table, &number)?;
        let most = expansions.iter().fold(0.0_f64, |most, one| most.max(*one));
        check_strain(table, &number, most)?;
        let metals = read_metals(table, self.material, self.regions, self.border)?;
        let relaxation = read_relaxation(table)?;
        let as_at_room = difference != 0.0 && metals.is_empty();
        match (&relaxation, as_at_room) {
            (Some(stated), _) => {
                let rest = if as_at_room { format!("{CONSTANTS_STAY}; ") } else { String::new() };
                let text = format!(
                    "{rest}the heat is stated to leave {} % of the residual stress ({}): no result of this program",
                    plain((1e3 * stated.left).round() / 10.0),
                    stated.source
                );
                self.warn(table, "residual_left", &text);
            }
            (None, true) => {
                self.warn(
                    table,
                    "temperature",
                    &format!("{CONSTANTS_STAY}, and nothing relaxes by heat"),
                );
            }
            (None, false) if difference != 0.0 => {
                self.warn(table, "temperature", "nothing relaxes by heat");
            }
            (None, false) => {}
        }
        self.temperature = difference;
        Ok(Stage::Temperature { difference, expansions, metals, relaxation })
    }

    /// Coefficients of expansion of the plate, of every region, and of every bush that is in by now, for
    /// the temperature that `number` gives.
    pub(super) fn expansions(
        &self,
        table: &Table<'_>,
        number: &Valued<f64>,
    ) -> Result<Vec<f64>, Complaint> {
        let plate = self.expansion.ok_or_else(|| {
            let problem = "the metal of the plate has no coefficient of thermal expansion";
            let remedy =
                "give `thermal_expansion` in [material], for example 23e-6, with its source";
            table.about(number, Kind::MissingKey, problem, remedy)
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
                    return Err(table.about(number, Kind::MissingKey, problem, remedy));
                }
            };
            expansions.push(own);
        }
        // Doublers come after the regions in the order in which they are joined; one that is off stays as it is.
        for &(place, own) in &self.joins {
            if !self.joined.contains(&place) {
                expansions.push(0.0);
                continue;
            }
            expansions.push(own.ok_or_else(|| {
                let problem = format!(
                    "the metal of doubler `{}` has no coefficient of thermal expansion",
                    self.doublers[place].name
                );
                let remedy = "give `thermal_expansion` in its `material`, with its source";
                table.about(number, Kind::MissingKey, problem, remedy)
            })?);
        }
        for bush in &self.bushes {
            let own = match (bush.own_metal, bush.expansion) {
                (_, Some(own)) => own,
                (false, None) => plate,
                (true, None) => {
                    let problem = format!(
                        "the metal of the bush in hole `{}` has no coefficient of thermal expansion",
                        self.plate.holes[bush.hole].name
                    );
                    let remedy = "give `thermal_expansion` in its `material`, with its source";
                    return Err(table.about(number, Kind::MissingKey, problem, remedy));
                }
            };
            expansions.push(own);
        }
        Ok(expansions)
    }

    /// A temperature of assembly, counted from that of the drawing; 0 without the key. `expansion` is the
    /// largest coefficient that it acts on.
    pub(super) fn assembly_temperature(
        table: &Table<'_>,
        key: &'static str,
        expansion: f64,
    ) -> Result<f64, Complaint> {
        let Some(number) = table.number(key)? else { return Ok(0.0) };
        check_range(table, &number, "give it less that of the drawing, for example -180")?;
        check_strain(table, &number, expansion)?;
        Ok(number.value)
    }
}

/// Refuses a temperature that is none.
fn check_range(table: &Table<'_>, number: &Valued<f64>, remedy: &str) -> Result<(), Complaint> {
    if (TEMPERATURES[0]..=TEMPERATURES[1]).contains(&number.value) {
        return Ok(());
    }
    let problem = format!(
        "`{}` is {}, but must lie between {} and {}",
        number.key, number.value, TEMPERATURES[0], TEMPERATURES[1]
    );
    Err(table.about(number, Kind::OutOfRange, problem, remedy))
}

/// Refuses a temperature by which a metal of this coefficient would expand more than any metal does.
fn check_strain(table: &Table<'_>, number: &Valued<f64>, expansion: f64) -> Result<(), Complaint> {
    let strain = (expansion * number.value).abs();
    if strain <= LARGEST_STRAIN {
        return Ok(());
    }
    let problem = format!("the metal would expand by {:.1} %", 100.0 * strain);
    let remedy = "temperature and `thermal_expansion` count the same degrees: check both";
    Err(table.about(number, Kind::OutOfRange, problem, remedy))
}
