//! `[[gauge]]`: readings of strain gauges, for `hoopset infer`.

use crate::case::border::{Border, plain, required_length, unknown_word};
use crate::case::complaint::{Complaint, Kind};
use crate::case::keys::case_file;
use crate::case::table::Table;
use crate::process::gauge::{Gauge, GridDirection};
use crate::process::stage::Stage;

/// A reading beyond this is no strain of a plate that holds together but a slip of the decimal point,
/// or microstrain where a strain is asked for.
const LARGEST: f64 = 0.2;

/// Reads the gauges of the file; `holes` are the names of the holes.
pub(super) fn read_gauges(
    top: &Table<'_>,
    stages: &[Stage],
    holes: &[&str],
    border: Border,
) -> Result<Vec<Gauge>, Complaint> {
    let remedy = "write [[gauge]], with two brackets, above the keys of each reading";
    let tables = top.tables("gauge", "gauge", remedy)?;
    let states = Labels::of(stages, holes);
    tables.iter().enumerate().map(|(k, table)| states.read(table, k, holes, border)).collect()
}

/// Names of the states of a run.
struct Labels {
    /// After each stage.
    after: Vec<String>,
    /// Those, and the states under load or with the tool at full size.
    all: Vec<String>,
}

impl Labels {
    fn of(stages: &[Stage], holes: &[&str]) -> Self {
        let (mut after, mut all) = (Vec::new(), Vec::new());
        for (k, stage) in stages.iter().enumerate() {
            let label = stage.label(k + 1, holes);
            if matches!(stage, Stage::Expand { .. } | Stage::Load { .. }) {
                all.push(format!("{label}-full"));
            }
            all.push(label.clone());
            after.push(label);
        }
        Self { after, all }
    }

    fn read(
        &self,
        table: &Table<'_>,
        number: usize,
        holes: &[&str],
        border: Border,
    ) -> Result<Gauge, Complaint> {
        table.only(&case_file::GAUGE.names())?;
        let label = table.text("label")?;
        let label = label.map_or_else(|| format!("gauge {}", number + 1), |l| l.value.to_owned());
        let hole = match table.text("hole")? {
            None => 0,
            Some(word) => holes
                .iter()
                .position(|hole| *hole == word.value)
                .ok_or_else(|| unknown_word(table, &word, "hole", holes))?,
        };
        let remedy = "give the distance of its middle from the edge of the hole as drilled";
        let distance = required_length(table, "distance", remedy, border)?.value;
        let remedy = "give the length of its grid";
        let length = required_length(table, "grid_length", remedy, border)?.value;
        let remedy = "say which way its grid lies, `direction = \"hoop\"` or `\"radial\"`";
        let word = table.text("direction")?.ok_or_else(|| table.missing("direction", remedy))?;
        let direction = GridDirection::named(word.value)
            .ok_or_else(|| unknown_word(table, &word, "direction", &GridDirection::NAMES))?;
        if direction == GridDirection::Radial && 0.5 * length >= distance {
            let problem = "the grid reaches over the edge of the hole";
            let remedy = "`distance` is that of the middle of the grid";
            return Err(table.stray("distance", problem, remedy));
        }
        let all: Vec<&str> = self.all.iter().map(String::as_str).collect();
        let remedy = "name the state it was read in, for example `read_at = \"1-expand-A\"`";
        let read_at = table.text("read_at")?.ok_or_else(|| table.missing("read_at", remedy))?;
        let read_place = self
            .all
            .iter()
            .position(|label| label == read_at.value)
            .ok_or_else(|| unknown_word(table, &read_at, "state", &all))?;
        let bonded_after = self.bonded(table, read_at.value, read_place)?;
        let [strain, plus_minus] = reading(table)?;
        Ok(Gauge {
            label,
            hole,
            distance,
            angle_deg: table.number("angle_deg")?.map_or(0.0, |angle| angle.value),
            direction,
            length,
            bonded_after,
            read_at: read_at.value.to_owned(),
            strain,
            plus_minus,
        })
    }

    /// The stage that the gauge was bonded after, which must come before it is read.
    fn bonded(
        &self,
        table: &Table<'_>,
        read_at: &str,
        read_place: usize,
    ) -> Result<Option<String>, Complaint> {
        match table.text("bonded_after")? {
            None => Ok(None),
            Some(word) => {
                let after: Vec<&str> = self.after.iter().map(String::as_str).collect();
                if !after.contains(&word.value) {
                    return Err(unknown_word(table, &word, "stage", &after));
                }
                let bonded = self.all.iter().position(|label| label == word.value);
                if bonded.is_none_or(|bonded| bonded >= read_place) {
                    let problem = format!("the gauge is read at `{read_at}`, before it is bonded");
                    let remedy = "a gauge reads what is added after it is bonded";
                    return Err(table.about(&word, Kind::Conflict, problem, remedy));
                }
                Ok(Some(word.value.to_owned()))
            }
        }
    }
}

/// Reading and standard error, as strains.
fn reading(table: &Table<'_>) -> Result<[f64; 2], Complaint> {
    let remedy = "give the reading as a strain: 1250 microstrain are 1250e-6";
    let strain = table.number("strain")?.ok_or_else(|| table.missing("strain", remedy))?;
    let error = "give the standard error of the reading, a strain: 20e-6";
    let plus_minus =
        table.number("plus_minus")?.ok_or_else(|| table.missing("plus_minus", error))?;
    if strain.value.abs() > LARGEST {
        let problem = format!("`strain` is {}, beyond {LARGEST}", plain(strain.value));
        return Err(table.about(&strain, Kind::OutOfRange, problem, remedy));
    }
    if plus_minus.value <= 0.0 || plus_minus.value > LARGEST {
        let problem =
            format!("`plus_minus` is {}, which is no error of a strain", plain(plus_minus.value));
        return Err(table.about(&plus_minus, Kind::OutOfRange, problem, error));
    }
    Ok([strain.value, plus_minus.value])
}
