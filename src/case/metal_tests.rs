//! A file of metal tests: tables of strain and stress, and the law whose constants are looked for.
//!
//! Its keys are those of [`METAL_FILE`].

use std::path::Path;

use sha2::{Digest, Sha256};
use toml::de::DeTable;

use crate::case::border::{Border, plain, positive, unknown_word};
use crate::case::build::{not_toml, read_title, read_units};
use crate::case::columns::Columns;
use crate::case::complaint::{Complaint, Kind, Source};
use crate::case::keys::metal_file::{
    CONSTANT, LAWS, MEASURES, METAL, METAL_FILE, STRAIN_UNITS, TEST,
};
use crate::case::keys::top_names;
use crate::case::metal::{read_poissons_ratio, read_youngs_modulus};
use crate::case::table::{Table, Valued};
use crate::case::{hexadecimal, read_text};
use crate::fit::metal::{Plan, Unknown};
use crate::fit::record::{Measure, Record};
use crate::fit::starts::Look;
use crate::material::backstress::Backstress;
use crate::material::constant::Constant;
use crate::material::elasticity::Elasticity;
use crate::material::hardening::{Isotropic, Material, PastEnd, VoceTerm};
use crate::units::Units;

/// A file to begin from, every key explained.
pub const METAL_STARTER: &str = include_str!("metal_tests/starter.toml");

/// Strains of a bar lie within these; a table in per cent read as plain numbers does not.
const STRAINS: [f64; 2] = [-0.5, 1.0];
/// Stresses of metals, MPa.
const STRESSES: [f64; 2] = [-1e4, 1e4];

/// Tests and what is asked of them.
#[derive(Clone, Debug, PartialEq)]
pub struct MetalTests {
    /// Heading of figures and page.
    pub title: String,
    /// Units of the file, in which results go back.
    pub units: Units,
    /// The tests.
    pub records: Vec<Record>,
    /// The law and its unknown constants.
    pub plan: Plan,
    /// SHA-256 of the file, in hexadecimal.
    pub sha256: String,
    /// Its text, for the echo.
    pub text: String,
}

/// Reads a file of metal tests and its tables.
///
/// # Errors
///
/// The first [`Complaint`]; of a table it names the line, and the column counted in cells.
pub fn read(path: &Path) -> Result<MetalTests, Complaint> {
    let (text, name) = read_text(path)?;
    let source = Source { file: &name, text: text.strip_prefix('\u{feff}').unwrap_or(&text) };
    let root = DeTable::parse(source.text).map_err(|error| not_toml(source, &error))?;
    let top = Table::top(source, root.get_ref());
    top.only(&top_names(&METAL_FILE))?;
    let title = read_title(&top)?;
    let units = read_units(&top)?;
    let border = Border { units };
    let remedy = "write [[test]], with two brackets, above the keys of each test";
    let tables = top.tables("test", "test", remedy)?;
    if tables.is_empty() {
        return Err(top.missing("test", remedy));
    }
    let records: Vec<Record> =
        tables.iter().map(|table| read_test(table, border)).collect::<Result<_, _>>()?;
    if let Some(k) = records.iter().position(|r| r.error.is_some() != records[0].error.is_some()) {
        let problem = "some tests have a `stress_error` and some have none";
        return Err(tables[k].stray(
            "stress_error",
            problem,
            "give it for all of them or for none",
        ));
    }
    let remedy = "write [metal] and below it `poissons_ratio` and the law";
    let own = top.table("metal", "[metal]", remedy)?.ok_or_else(|| top.missing("metal", remedy))?;
    let (metal, modulus_known) = read_law(&own, &records, border)?;
    let look = Look::at(&records, modulus_known.then_some(metal.elasticity.youngs_modulus));
    let wanted = Constant::all(&metal);
    let wanted = wanted.into_iter().filter(|c| !modulus_known || *c != Constant::YoungsModulus);
    let unknown = |constant| Unknown { constant, limits: look.limits(constant), start: None };
    let mut plan = Plan { metal, unknowns: wanted.map(unknown).collect() };
    let remedy = "write [[constant]], with two brackets, above the keys of each constant";
    for table in top.tables("constant", "constant", remedy)? {
        read_constant(&table, &mut plan, border)?;
    }
    let sha256 = hexadecimal(&Sha256::digest(text.as_bytes()));
    let stem = path.file_stem().unwrap_or_default().to_string_lossy().into_owned();
    Ok(MetalTests { title: title.unwrap_or(stem), units, records, plan, sha256, text })
}

/// A word of a few, the first when none is written and there is a default.
fn word(
    table: &Table<'_>,
    key: &'static str,
    what: &str,
    words: &[&'static str],
) -> Result<Option<usize>, Complaint> {
    let Some(found) = table.text(key)? else { return Ok(None) };
    match words.iter().position(|word| *word == found.value) {
        Some(k) => Ok(Some(k)),
        None => Err(unknown_word(table, &found, what, words)),
    }
}

fn read_test(table: &Table<'_>, border: Border) -> Result<Record, Complaint> {
    table.only(&TEST.names())?;
    let remedy = "name the table, for example `file = \"loop.csv\"`";
    let name = table.text("file")?.ok_or_else(|| table.missing("file", remedy))?;
    let path = Path::new(table.source.file).with_file_name(name.value);
    let remedy = "write `measure = \"engineering\"` or `measure = \"true\"`: they differ by 2 % of \
                  stress at 2 % strain";
    let measure = word(table, "measure", "measure", &MEASURES)?
        .ok_or_else(|| table.missing("measure", remedy))?;
    let measure = [Measure::Engineering, Measure::True][measure];
    let percent = word(table, "strain_unit", "unit of strain", &STRAIN_UNITS)? == Some(1);
    let scale = if percent { 0.01 } else { 1.0 };
    if !path.is_file() {
        let problem = format!("there is no file `{}`", name.value.escape_debug());
        let remedy = "it is looked for beside the file of tests";
        return Err(table.about(&name, Kind::Unreadable, problem, remedy));
    }
    let columns = Columns::read(&path)?;
    let called = |key: &'static str| Ok::<_, Complaint>(table.text(key)?.map_or(key, |t| t.value));
    let (strain, stress) = (called("strain")?, called("stress")?);
    let strains: Vec<f64> = columns
        .all_numbers(strain, STRAINS.map(|limit| limit / scale))?
        .iter()
        .map(|value| value * scale)
        .collect();
    let stresses: Vec<f64> = columns
        .all_numbers(stress, STRESSES.map(|limit| limit / border.units.stress_scale()))?
        .iter()
        .map(|value| border.stress(*value))
        .collect();
    check_order(&columns, (strain, &strains), &stresses)?;
    let label = table.text("label")?.map_or(name.value, |label| label.value);
    let mut record = Record::new(label, [strains, stresses], measure);
    if let Some(error) = table.number("stress_error")? {
        record.error = Some(border.stress(positive(table, &error, "a standard error, a stress")?));
    }
    if let Some(weight) = table.number("weight")? {
        record.weight =
            positive(table, &weight, "1 is usual; leave a test out that counts nothing")?;
    }
    Ok(record)
}

/// A test begins near no strain, and stresses have the sign that a first pull or push gives them.
fn check_order(
    columns: &Columns,
    (strain, strains): (&str, &[f64]),
    stresses: &[f64],
) -> Result<(), Complaint> {
    let largest = strains.iter().fold(0.0_f64, |most, value| most.max(value.abs()));
    if largest == 0.0 {
        return Err(columns.about(0, strain, "every strain is zero", "is this another column?"));
    }
    // An extensometer is set to zero before the test; what is left is small beside the test.
    if strains[0].abs() > 0.25 * largest {
        let problem = format!("the test begins at a strain of {}", plain(strains[0]));
        let remedy = "rows are in the order of time, from the bar at rest; keep the first pull";
        return Err(columns.about(0, strain, problem, remedy));
    }
    let first = strains.iter().position(|value| value.abs() > 0.05 * largest).unwrap_or(0);
    if strains[first] * stresses[first] < 0.0 {
        let problem = "strain and stress of the first part have different signs";
        let remedy = "tension is positive in both columns";
        return Err(columns.about(first, strain, problem, remedy));
    }
    Ok(())
}

/// The law with its given constants, and whether Young's modulus is one of them.
fn read_law(
    own: &Table<'_>,
    records: &[Record],
    border: Border,
) -> Result<(Material, bool), Complaint> {
    own.only(&METAL.names())?;
    let remedy = "a bar does not tell Poisson's ratio: give it, for example 0.33";
    let ratio =
        own.number("poissons_ratio")?.ok_or_else(|| own.missing("poissons_ratio", remedy))?;
    let poissons_ratio = read_poissons_ratio(own, &ratio)?;
    let given = own.number("youngs_modulus")?;
    let youngs_modulus = match &given {
        Some(number) => read_youngs_modulus(own, number, border)?,
        None => Look::at(records, None).modulus,
    };
    let law = word(own, "isotropic", "law", &LAWS)?.map_or("voce", |k| LAWS[k]);
    let only_with = |key: &'static str, wanted: &str| {
        if own.has(key) && law != wanted {
            let problem = format!("`{key}` belongs to a `{wanted}` law, and this one is `{law}`");
            return Err(own.stray(key, problem, "leave it out"));
        }
        Ok(())
    };
    only_with("isotropic_terms", "voce")?;
    only_with("slope", "voce")?;
    only_with("plastic_strains", "table")?;
    let terms = read_count(own, "isotropic_terms", [1, 3])?.unwrap_or(1);
    let slope = own.switch("slope")?.is_some_and(|slope| slope.value);
    let isotropic = match law {
        "none" => Isotropic::None,
        "linear" => Isotropic::Linear { slope: 1.0 },
        "voce" => Isotropic::Voce {
            terms: vec![VoceTerm { saturation: 1.0, rate: 1.0 }; terms],
            slope: if slope { 1.0 } else { 0.0 },
        },
        "ramberg-osgood" => Isotropic::RambergOsgood { exponent: 10.0 },
        _ => Isotropic::Table { points: read_points(own)?, past_end: PastEnd::Flat },
    };
    let kinematic = read_count(own, "kinematic_terms", [0, 3])?.unwrap_or(2);
    let metal = Material {
        elasticity: Elasticity { youngs_modulus, poissons_ratio },
        yield_stress: 1.0,
        isotropic,
        kinematic: vec![Backstress { modulus: 1.0, recall: 1.0 }; kinematic],
    };
    Ok((metal, given.is_some()))
}

fn read_count(
    own: &Table<'_>,
    key: &'static str,
    [least, most]: [usize; 2],
) -> Result<Option<usize>, Complaint> {
    let Some(count) = own.count(key)? else { return Ok(None) };
    if (least..=most).contains(&count.value) {
        return Ok(Some(count.value));
    }
    let problem = format!("`{key}` is {}, outside {least} to {most}", count.value);
    Err(own.about(&count, Kind::OutOfRange, problem, "a case file takes no more"))
}

fn read_points(own: &Table<'_>) -> Result<Vec<[f64; 2]>, Complaint> {
    let remedy = "for example `plastic_strains = [0, 0.002, 0.01, 0.03]`";
    let strains =
        own.numbers("plastic_strains")?.ok_or_else(|| own.missing("plastic_strains", remedy))?;
    let rises = strains.value.windows(2).all(|pair| pair[0] < pair[1]);
    if strains.value.len() < 2 || strains.value.len() > 10 || strains.value[0].abs() > 0.0 || !rises
    {
        let problem = "`plastic_strains` must begin with 0 and rise, with 2 to 10 of them";
        return Err(own.about(&strains, Kind::OutOfRange, problem, remedy));
    }
    Ok(strains.value.into_iter().map(|strain| [strain, 1.0]).collect())
}

fn read_constant(table: &Table<'_>, plan: &mut Plan, border: Border) -> Result<(), Complaint> {
    table.only(&CONSTANT.names())?;
    let known: Vec<String> = Constant::all(&plan.metal).into_iter().map(Constant::name).collect();
    let known: Vec<&str> = known.iter().map(String::as_str).collect();
    let remedy = format!("name one of {}", crate::case::table::quoted(&known));
    let name = table.text("name")?.ok_or_else(|| table.missing("name", remedy))?;
    let place = known
        .iter()
        .position(|known| *known == name.value)
        .ok_or_else(|| unknown_word(table, &name, "constant of this law", &known))?;
    let constant = Constant::all(&plan.metal)[place];
    let inside = |number: &Valued<f64>| {
        if constant.is_stress() { border.stress(number.value) } else { number.value }
    };
    let Some(at) = plan.unknowns.iter().position(|unknown| unknown.constant == constant) else {
        let problem = format!("`{}` is given already", name.value);
        return Err(table.about(&name, Kind::Conflict, problem, "keep one of the two"));
    };
    if let Some(fixed) = table.number("fixed")? {
        if let Some(key) = ["start", "lowest", "highest"].into_iter().find(|key| table.has(key)) {
            let problem = format!("`fixed` and `{key}` contradict each other");
            return Err(table.stray(key, problem, "keep one of them"));
        }
        constant.put(&mut plan.metal, inside(&fixed));
        plan.unknowns.remove(at);
        return Ok(());
    }
    let unknown = &mut plan.unknowns[at];
    let number = |key| Ok::<_, Complaint>(table.number(key)?.map(|number| inside(&number)));
    let [low, high] = [number("lowest")?, number("highest")?];
    unknown.limits = [low.unwrap_or(unknown.limits[0]), high.unwrap_or(unknown.limits[1])];
    if unknown.limits[0] >= unknown.limits[1] {
        let problem = "`lowest` is not below `highest`";
        let key = if low.is_some() { "lowest" } else { "highest" };
        return Err(table.stray(
            key,
            problem,
            "widen the limits; a constant that is known is `fixed`",
        ));
    }
    if unknown.limits[0] < 0.0 && !matches!(constant, Constant::Saturation(_)) {
        let problem = format!("`{}` cannot be negative", name.value);
        return Err(table.stray("lowest", problem, "give a limit above zero"));
    }
    if unknown.limits[0] == 0.0 {
        let problem = "`lowest` is 0, which a search by ratios never reaches";
        let remedy = "give a small number, or `fixed = 0`";
        return Err(table.stray("lowest", problem, remedy));
    }
    unknown.start = number("start")?;
    if unknown.start.is_some_and(|start| start < unknown.limits[0] || start > unknown.limits[1]) {
        let problem = "`start` lies outside the limits";
        return Err(table.stray("start", problem, "begin between `lowest` and `highest`"));
    }
    Ok(())
}
