//! `[life]`: the service load, the crack, and what decides its growth, for `hoopset life`.
//!
//! Only the table itself is checked here: which growth law the alloy has
//! constants for is decided by who computes the life.

pub use crate::case::life_course::LoadCourse;

use crate::case::border::{Border, plain, positive, required_length, required_positive};
use crate::case::complaint::{Complaint, Kind};
use crate::case::keys::life_keys;
use crate::case::keys::row::names;
use crate::case::life_course::read_course;
use crate::case::part_through::{self, PartThrough};
use crate::case::stages::{Pins, Reader};
use crate::case::table::{Table, quoted};
use crate::process::stage::Load;
use crate::units::Units;

/// Growth laws by name.
const LAWS: [&str; 4] = ["paris", "walker", "forman", "closure"];

/// Factor on the life when none is written: common practice, no source.
const USUAL_FACTOR: f64 = 3.0;

/// Largest exponent of a growth law that is read: beyond, a life is a matter of rounding.
const LARGEST_EXPONENT: f64 = 20.0;

/// Largest direction that is read, degrees: beyond, its place in a turn is rounding.
const LARGEST_ANGLE: f64 = 1e6;

/// MPa√m in a ksi√in: 6.894 757 · √0.0254.
const ROOT_METRE_IN_ROOT_INCH: f64 = 1.098_843_5;
/// Metres in an inch.
const METRES_PER_INCH: f64 = 0.0254;

/// Content of `[life]`. Lengths in mm, stresses in MPa.
#[derive(Clone, Debug, PartialEq)]
#[allow(clippy::struct_excessive_bools, reason = "switches of the table, each by itself")]
pub struct LifeSettings {
    /// The remote load at share 1.
    pub load: Load,
    /// Its tension, MPa, positive.
    pub tension: f64,
    /// How it comes and goes, in shares of it.
    pub course: LoadCourse,
    /// The hole; `None`: every one.
    pub hole: Option<usize>,
    /// Directions of cracks, degrees; empty: those across the load.
    pub path: Vec<f64>,
    /// Whether a second, equal crack lies opposite.
    pub two_cracks: bool,
    /// Crack length that growth starts from, mm.
    pub initial_flaw: f64,
    /// Smallest crack that an inspection finds, mm.
    pub detectable: Option<f64>,
    /// Factor that lives are divided by.
    pub factor: f64,
    /// Growth law by name; `None`: the first of the alloy.
    pub law: Option<String>,
    /// Constants of that law; `None`: those known for the alloy.
    pub constants: Option<LawConstants>,
    /// Fracture toughness, MPa√m.
    pub toughness: Option<f64>,
    /// Whether the net section is checked against yielding.
    pub net_section: bool,
    /// Life that a trade asks of a plain hole, cycles.
    pub wanted_life: Option<f64>,
    /// Whether the load is run on the residual state until the metal no longer yields.
    pub relaxation: bool,
    /// Whether cracks from a plate edge near a hole are followed too.
    pub edge_cracks: bool,
    /// Share of the residual stress at the entry face; `None`: that of measured fields.
    pub entry_share: Option<f64>,
    /// Exponent of retardation by overloads; `None`: none.
    pub retardation: Option<f64>,
    /// Part-through cracks that are followed, and the field over the depth.
    pub part_through: PartThrough,
    /// Line of the table in the case file.
    pub line: usize,
}

/// Constants of a growth law, m a cycle and MPa√m.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LawConstants {
    /// Growth at a range of 1.
    pub coefficient: f64,
    /// Exponent of the range.
    pub exponent: f64,
    /// Effect of the ratio (Walker).
    pub gamma: Option<f64>,
    /// Apparent toughness (Forman).
    pub toughness: Option<f64>,
    /// Range below which nothing grows.
    pub threshold: Option<f64>,
}

/// Reads the table, when the file has one.
pub(super) fn read_life(
    top: &Table<'_>,
    reader: &mut Reader<'_>,
    border: Border,
) -> Result<Option<LifeSettings>, Complaint> {
    let remedy = "write [life], once, and its keys below";
    let Some(table) = top.table("life", "[life]", remedy)? else { return Ok(None) };
    table.only(&life_keys::LIFE.names())?;
    let remedy = "write `load = { tension = 120, along = \"y\" }`, the highest remote stress";
    let inner = table
        .table("load", "`load` of [life]", remedy)?
        .ok_or_else(|| table.missing("load", remedy))?;
    inner.only(&names(life_keys::LIFE_LOAD))?;
    required_positive(&inner, "tension", "the highest stress is a tension; cycles go below it")?;
    let tractions = reader.read_tension(&inner)?;
    let bearing = reader.read_bearing(&inner, Pins::Assumed)?;
    reader.check_balance(&inner, &tractions, &bearing)?;
    let tension = tractions.first().map_or(0.0, |(_, stress)| *stress);
    let hole = if table.has("hole") { Some(reader.hole(&table, "hole")?) } else { None };
    let path = table.numbers("path")?;
    if let Some(angles) = &path
        && let Some(wrong) = angles.value.iter().find(|angle| angle.abs() > LARGEST_ANGLE)
    {
        let problem = format!("`path` has a direction of {}", plain(*wrong));
        let remedy = "directions are degrees, counter-clockwise from +x";
        return Err(table.about(angles, Kind::OutOfRange, problem, remedy));
    }
    let path = path.map(|angles| angles.value).unwrap_or_default();
    let remedy = "the length that growth starts from, from the edge of the hole";
    let initial = required_length(&table, "initial_flaw", remedy, border)?.value;
    let detectable = if table.has("detectable") {
        let remedy = "the smallest crack that an inspection finds";
        Some(required_length(&table, "detectable", remedy, border)?.value)
    } else {
        None
    };
    let law = read_law(&table)?;
    let constants = read_constants(&table, law.as_deref(), border.units)?;
    let toughness = optional_positive(&table, "toughness", "K at fracture for this thickness")?
        .map(|value| value * intensity_scale(border.units));
    let course = read_course(&table)?;
    if !bearing.is_empty() && course.turns_round() {
        let problem = "a load with `bearing` turns round";
        let remedy = "keep every load at 0 or above: a pin that pushes the other way leaves the metal that \
                      the answer is for";
        return Err(table.stray("load", problem, remedy));
    }
    Ok(Some(LifeSettings {
        load: Load { tractions, bearing, ..Load::default() },
        tension,
        course,
        hole,
        path: path.into_iter().map(|angle| angle.rem_euclid(360.0)).collect(),
        two_cracks: read_cracks(&table)?,
        initial_flaw: initial,
        detectable,
        factor: read_factor(&table)?,
        law,
        constants,
        toughness,
        net_section: table.switch("net_section")?.is_none_or(|switch| switch.value),
        relaxation: table.switch("relaxation")?.is_none_or(|switch| switch.value),
        edge_cracks: table.switch("edge_cracks")?.is_none_or(|switch| switch.value),
        entry_share: read_entry_share(&table)?,
        retardation: optional_positive(&table, "retardation", "the exponent, fitted to tests")?,
        wanted_life: optional_positive(&table, "wanted_life", "cycles that are needed")?,
        part_through: part_through::read(&table, border)?,
        line: top.source.place(table.span.start).0,
    }))
}

/// MPa√m in a unit of stress intensity of the file: MPa√m or ksi√in.
fn intensity_scale(units: Units) -> f64 {
    if units == Units::InKsi { ROOT_METRE_IN_ROOT_INCH } else { 1.0 }
}

fn optional_positive(
    table: &Table<'_>,
    key: &'static str,
    remedy: &str,
) -> Result<Option<f64>, Complaint> {
    table.number(key)?.map(|number| positive(table, &number, remedy)).transpose()
}

fn read_cracks(table: &Table<'_>) -> Result<bool, Complaint> {
    let Some(word) = table.text("cracks")? else { return Ok(false) };
    match word.value {
        "one" => Ok(false),
        "two" => Ok(true),
        other => {
            let problem = format!("`{}` is no crack that can be followed", other.escape_debug());
            let remedy = "`cracks` is \"one\" or \"two\", through the whole thickness; corner and \
                          surface cracks are outside this two-dimensional model";
            Err(table.about(&word, Kind::UnknownName, problem, remedy))
        }
    }
}

fn read_factor(table: &Table<'_>) -> Result<f64, Complaint> {
    let Some(factor) = table.number("factor")? else { return Ok(USUAL_FACTOR) };
    if factor.value < 1.0 {
        let problem = format!("`factor` is {}, below 1", plain(factor.value));
        let remedy = "lives are divided by it; 3 is usual (common practice)";
        return Err(table.about(&factor, Kind::OutOfRange, problem, remedy));
    }
    Ok(factor.value)
}

fn read_entry_share(table: &Table<'_>) -> Result<Option<f64>, Complaint> {
    let Some(share) = table.number("entry_share")? else { return Ok(None) };
    if !(0.0..=1.0).contains(&share.value) {
        let problem = format!("`entry_share` is {}, outside 0 to 1", plain(share.value));
        let remedy =
            "the residual stress at the entry face over that in the middle; 0.3 to 0.6 is measured";
        return Err(table.about(&share, Kind::OutOfRange, problem, remedy));
    }
    Ok(Some(share.value))
}

fn read_law(table: &Table<'_>) -> Result<Option<String>, Complaint> {
    let Some(word) = table.text("law")? else { return Ok(None) };
    if LAWS.contains(&word.value) {
        return Ok(Some(word.value.to_owned()));
    }
    Err(super::border::unknown_word(table, &word, "growth law", &LAWS))
}

fn read_constants(
    table: &Table<'_>,
    law: Option<&str>,
    units: Units,
) -> Result<Option<LawConstants>, Complaint> {
    let example = "write `law = \"walker\"` and `constants = { coefficient, exponent, gamma }`";
    let Some(inner) = table.table("constants", "`constants`", example)? else { return Ok(None) };
    let (keys, needed): (&[&str], Option<&'static str>) = match law {
        Some("paris") => (&["coefficient", "exponent", "threshold"], None),
        Some("walker") => (&["coefficient", "exponent", "gamma", "threshold"], Some("gamma")),
        Some("forman") => {
            (&["coefficient", "exponent", "toughness", "threshold"], Some("toughness"))
        }
        _ => {
            let problem = "`constants` need a `law` that takes them";
            let remedy = "name it: `law = \"paris\"`, `\"walker\"` or `\"forman\"`";
            return Err(table.stray("constants", problem, remedy));
        }
    };
    inner.only(keys)?;
    let remedy = format!("constants of this law: {}", quoted(keys));
    let exponent = required_positive(&inner, "exponent", &remedy)?;
    if exponent.value > LARGEST_EXPONENT {
        let problem = format!("`exponent` is {}, above {LARGEST_EXPONENT}", plain(exponent.value));
        let remedy =
            "exponents of growth laws lie between 2 and 5 for most metals (common practice)";
        return Err(inner.about(&exponent, Kind::OutOfRange, problem, remedy));
    }
    let exponent = exponent.value;
    let coefficient = required_positive(&inner, "coefficient", &remedy)?.value;
    if let Some(key) = needed.filter(|key| !inner.has(key)) {
        return Err(inner.missing(key, remedy));
    }
    let scale = intensity_scale(units);
    let gamma = inner.number("gamma")?;
    if let Some(gamma) = gamma.as_ref().filter(|gamma| !(0.0..=1.0).contains(&gamma.value)) {
        let problem = format!("`gamma` is {}, outside 0 to 1", plain(gamma.value));
        return Err(inner.about(gamma, Kind::OutOfRange, problem, "1: the ratio has no effect"));
    }
    let scaled = |key| optional_positive(&inner, key, &remedy).map(|k| k.map(|k| k * scale));
    // da/dN = C ΔKⁿ (over K in Forman's law): C changes with the units of both.
    let length = if units == Units::InKsi { METRES_PER_INCH } else { 1.0 };
    let powers = if law == Some("forman") { exponent - 1.0 } else { exponent };
    Ok(Some(LawConstants {
        coefficient: coefficient * length / scale.powf(powers),
        exponent,
        gamma: gamma.map(|gamma| gamma.value),
        toughness: scaled("toughness")?,
        threshold: scaled("threshold")?,
    }))
}
