//! `[[number]]`: what is read from every case.

use crate::case::border::{Border, unknown_word};
use crate::case::complaint::{Complaint, Kind};
use crate::case::keys::study_file::{MEASURES, NUMBER};
use crate::case::study::axes::read_name;
use crate::case::study::expression::Expression;
use crate::case::study::life_number::{LifeReading, read_life};
use crate::case::study::lookup::unknown;
use crate::case::table::Table;
use crate::units::Units;
use crate::units::quantity::Quantity;

/// Names that expressions of numbers take beside axes, values and numbers: 0.2 % offset stress of the
/// metal, and radius of the first hole as drilled, in the units of the case.
pub(super) const OF_THE_CASE: [&str; 2] = ["yield_stress", "starting_radius"];

/// The state that a number is read from.
#[derive(Clone, Debug, PartialEq)]
pub enum When {
    /// The last state without tool or load.
    LastResidual,
    /// The last state with a tool at full size, or a load in full.
    LastFull,
    /// The last state of this label, or of a label that ends in `-` and this.
    Labelled(String),
}

impl When {
    /// In words.
    #[must_use]
    pub fn words(&self) -> String {
        match self {
            Self::LastResidual => "last residual state".to_owned(),
            Self::LastFull => "last state at full size or full load".to_owned(),
            Self::Labelled(label) => format!("state {label}"),
        }
    }
}

/// The direction of a path from its hole.
#[derive(Clone, Debug, PartialEq)]
pub enum Towards {
    /// To the nearest edge of the plate.
    Edge,
    /// Away from it.
    Inside,
    /// To another hole, by its index.
    Hole(usize),
    /// At an angle, degrees counter-clockwise from +x.
    Angle(f64),
}

/// A number read from a state. Distance in mm, level in MPa.
#[derive(Clone, Debug, PartialEq)]
pub struct Measured {
    /// One of the measures of the key list.
    pub measure: &'static str,
    /// Which state.
    pub when: When,
    /// Index of the hole.
    pub hole: usize,
    /// Direction of the path.
    pub towards: Towards,
    /// Edge of a bulge; `None`: the one nearest to the hole.
    pub edge: Option<String>,
    /// Distance of `hoop_at`.
    pub distance: f64,
    /// Level of `depth_to`.
    pub level: f64,
}

impl Measured {
    /// Kind of number.
    #[must_use]
    pub fn quantity(&self) -> Quantity {
        quantity(self.measure)
    }
}

/// Kind of number of a measure.
#[must_use]
fn quantity(measure: &str) -> Quantity {
    match measure {
        "edge_hoop" | "peak_compression" | "peak_tension" | "mean_pressure" | "peak_pressure"
        | "hoop_at" | "fit_pressure" => Quantity::Stress,
        "push_out_force" => Quantity::Force,
        "retained_expansion" => Quantity::Fraction,
        _ => Quantity::Length,
    }
}

/// How a number comes about.
#[derive(Clone, Debug, PartialEq)]
pub enum Reading {
    /// It is read from a state.
    Measured(Box<Measured>),
    /// It is a life, or what the expansion is worth.
    Life(LifeReading),
    /// It is computed from others.
    Computed(Box<Expression>),
}

/// A number that is wanted of every case.
#[derive(Clone, Debug, PartialEq)]
pub struct Number {
    /// Its name.
    pub name: String,
    /// Words on charts.
    pub label: String,
    /// Its unit; empty for none.
    pub unit: String,
    /// How it comes about.
    pub reading: Reading,
}

/// Data of the rest of the study that the reader of a number needs.
pub(super) struct Around<'a> {
    /// Names of axes, values and numbers so far.
    pub(super) taken: &'a [String],
    /// Those of them that are numbers.
    pub(super) numeric: &'a [String],
    /// Holes of the base case.
    pub(super) holes: &'a [String],
    /// Units of the base case.
    pub(super) units: Units,
    /// Whether the base case asks for lives.
    pub(super) has_life: bool,
}

/// Reads one `[[number]]`.
pub(super) fn read_number(table: &Table<'_>, around: &Around<'_>) -> Result<Number, Complaint> {
    table.only(&NUMBER.names())?;
    let name = read_name(table, around.taken)?;
    if OF_THE_CASE.contains(&name.as_str()) {
        let problem = format!("`{name}` is a name that expressions already have");
        return Err(table.stray("name", problem, "give another name"));
    }
    let text = |key| table.text(key).map(|text| text.map(|text| text.value.to_owned()));
    let (label, unit) = (text("label")?, text("unit")?);
    if let Some(expression) = table.text("expression")? {
        let of_measure =
            ["measure", "stage", "hole", "path", "towards", "edge", "distance", "level"];
        if let Some(stray) = of_measure.into_iter().find(|key| table.has(key)) {
            let problem = format!("a computed number has no `{stray}`");
            return Err(table.stray(stray, problem, "leave it out, or leave out `expression`"));
        }
        let parsed = Expression::parse(expression.value).map_err(|why| {
            let problem = format!("`{}` is no expression: {why}", expression.value);
            table.about(&expression, Kind::Syntax, problem, "for example `depth / starting_radius`")
        })?;
        let known =
            |name: &&String| around.numeric.contains(name) || OF_THE_CASE.contains(&name.as_str());
        if let Some(stranger) = parsed.names().iter().find(|name| !known(name)) {
            let mut names: Vec<&str> = around.numeric.iter().map(String::as_str).collect();
            names.extend(OF_THE_CASE);
            let at = crate::case::table::Valued { value: stranger.as_str(), ..expression };
            return Err(unknown(table, &at, "number", &names));
        }
        let label = label.unwrap_or_else(|| name.replace('_', " "));
        let reading = Reading::Computed(Box::new(parsed));
        return Ok(Number { name, label, unit: unit.unwrap_or_default(), reading });
    }
    let remedy = format!("choose from {}", MEASURES.join(", "));
    let word = table.text("measure")?.ok_or_else(|| table.missing("measure", &remedy))?;
    let measure = MEASURES
        .into_iter()
        .find(|measure| *measure == word.value)
        .ok_or_else(|| unknown_word(table, &word, "measure", &MEASURES))?;
    if let Some(reading) = LifeReading::of(measure) {
        let reading = read_life(table, reading, around.has_life)?;
        let label = label.unwrap_or_else(|| measure.replace('_', " "));
        let unit = unit.unwrap_or_else(|| reading.unit().to_owned());
        return Ok(Number { name, label, unit, reading: Reading::Life(reading) });
    }
    let measured = read_measured(table, measure, around)?;
    let label = label.unwrap_or_else(|| measured.measure.replace('_', " "));
    let quantity = measured.quantity();
    let unit = unit.unwrap_or_else(|| match quantity {
        Quantity::Fraction => String::new(),
        quantity => quantity.unit(around.units).to_owned(),
    });
    Ok(Number { name, label, unit, reading: Reading::Measured(Box::new(measured)) })
}

fn read_measured(
    table: &Table<'_>,
    measure: &'static str,
    around: &Around<'_>,
) -> Result<Measured, Complaint> {
    let border = Border { units: around.units };
    let pressure = ["mean_pressure", "peak_pressure", "mandrel_shift"].contains(&measure);
    let when = match table.text("stage")? {
        None if pressure => When::LastFull,
        None => When::LastResidual,
        Some(stage) if stage.value == "last" => When::LastResidual,
        Some(stage) => When::Labelled(stage.value.to_owned()),
    };
    let named = |at: &crate::case::table::Valued<&str>| {
        let names: Vec<&str> = around.holes.iter().map(String::as_str).collect();
        let place = names.iter().position(|name| *name == at.value);
        place.ok_or_else(|| unknown(table, at, "hole", &names))
    };
    let hole = table.text("hole")?.map(|hole| named(&hole)).transpose()?.unwrap_or(0);
    let towards = match (table.number("path")?, table.text("towards")?) {
        (Some(_), Some(_)) => {
            let problem = "a path has one direction";
            return Err(table.stray("towards", problem, "leave out `path` or `towards`"));
        }
        (Some(angle), None) => Towards::Angle(angle.value),
        (None, Some(word)) => match word.value {
            "edge" => Towards::Edge,
            "inside" => Towards::Inside,
            _ => Towards::Hole(named(&word)?),
        },
        (None, None) => Towards::Edge,
    };
    if towards == Towards::Hole(hole) {
        return Err(table.stray("towards", "a path cannot lead to its own hole", "name another"));
    }
    let own = |key: &'static str, of: &str| {
        let value = table.number(key)?;
        match (value, measure == of) {
            (None, true) => Err(table.missing(key, format!("`{of}` needs `{key}`"))),
            (Some(_), false) => {
                let problem = format!("`{key}` belongs to `{of}`, not to `{measure}`");
                Err(table.stray(key, problem, format!("leave out `{key}`")))
            }
            (value, _) => Ok(value.map(|value| value.value)),
        }
    };
    let distance = border.length(own("distance", "hoop_at")?.unwrap_or(0.0));
    if distance < 0.0 {
        let problem = "`distance` is less than zero";
        return Err(table.stray(
            "distance",
            problem,
            "give the distance from the edge of the hole",
        ));
    }
    let level = border.stress(own("level", "depth_to")?.unwrap_or(0.0));
    let edge = table.text("edge")?.map(|edge| edge.value.to_owned());
    if edge.is_some() && measure != "bulge" {
        let problem = format!("`edge` belongs to `bulge`, not to `{measure}`");
        return Err(table.stray("edge", problem, "leave out `edge`"));
    }
    Ok(Measured { measure, when, hole, towards, edge, distance, level })
}
