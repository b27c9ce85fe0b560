//! From the tables of a case file to a job: which tables there are, and in what order they
//! are believed.

use toml::de::DeTable;

use crate::case::border::{Border, plain, unknown_word};
use crate::case::coating::read_coating;
use crate::case::complaint::{Complaint, Kind, Source};
use crate::case::doubler::{check_joined, read_doublers};
use crate::case::drawing::read_plate;
use crate::case::file_kind::check_is_case;
use crate::case::gauge::read_gauges;
use crate::case::hole::read_off_place;
use crate::case::imported;
use crate::case::keys::case_file;
use crate::case::life_table::{LifeSettings, read_life};
use crate::case::measured::{Part, read_measured};
use crate::case::metal::{check_hardening, read_metal};
use crate::case::reading::read_readings;
use crate::case::region::{check_reams, read_regions, regions_of_mesh};
use crate::case::section::beside::read_beside;
use crate::case::stages::Reader;
use crate::case::supports::read_supports;
use crate::case::table::{Table, Valued};
use crate::case::unknown::{UnknownTable, read_unknowns};
use crate::geometry::plate::Plate;
use crate::material::strains::Strains;
use crate::mesh::import::Imported;
use crate::process::coating::Coating;
use crate::process::gauge::Gauge;
use crate::process::job::{Job, Numerics};
use crate::process::measured::Measured;
use crate::process::region::Region;
use crate::process::section::SectionJob;
use crate::process::section::beside::SectionBeside;
use crate::process::section::readings::SectionReadings;
use crate::process::stage::Stage;
use crate::units::Units;

/// Longest title; it heads every figure.
const LONGEST_TITLE: usize = 120;

/// Limits of the mesh fineness: a quarter is the coarsest that still has rings worth the name;
/// eight is 64 times the elements.
pub const FINENESS: [f64; 2] = [0.25, 8.0];

/// Limits of the increments to full size.
pub const INCREMENTS: [usize; 2] = [4, 2000];

/// Parts that an increment of strain may be followed in.
pub(super) const PARTS: [usize; 2] = [1, 64];
/// Errors in following the strain that may be asked for, over the yield stress.
const TOLERANCE: [f64; 2] = [1e-4, 0.1];

/// Content of a file, checked and in mm, N, MPa; [`super::Case`] without its text.
pub(super) struct Built {
    pub(super) title: Option<String>,
    pub(super) units: Units,
    pub(super) job: Job,
    pub(super) material_name: String,
    pub(super) material_sources: Vec<String>,
    pub(super) path_angles: Vec<Vec<f64>>,
    pub(super) bracket: bool,
    pub(super) idealisations: bool,
    pub(super) measured: Vec<Measured>,
    pub(super) gauges: Vec<Gauge>,
    pub(super) unknowns: Vec<UnknownTable>,
    pub(super) readings: SectionReadings,
    pub(super) coating: Option<Coating>,
    pub(super) plain_hole: bool,
    pub(super) life: Option<LifeSettings>,
    pub(super) sections: Vec<SectionBeside>,
    pub(super) imported: Option<Imported>,
    pub(super) warnings: Vec<String>,
}

/// Reads the tables of a case file.
pub(super) fn build(source: Source<'_>, root: &DeTable<'_>) -> Result<Built, Complaint> {
    let top = Table::top(source, root);
    check_is_case(source, root)?;
    let title = read_title(&top)?;
    let border = Border { units: read_units(&top)? };
    let mut warnings = vec![];

    let remedy = "write [plate], once, and below it its size and its alloy";
    let plate_table =
        top.table("plate", "[plate]", remedy)?.ok_or_else(|| top.missing("plate", remedy))?;
    let remedy = "write [[cutout]], with two brackets, above the keys of each cut-out";
    let cutout_tables = top.tables("cutout", "cutout", remedy)?;
    let hole_tables = at_least_one(&top, "hole")?;
    let stage_tables = at_least_one(&top, "stage")?;

    let mut imported = imported::read(&top, &plate_table, &hole_tables, border, &mut warnings)?;
    let meshed = imported.as_ref().map(|imported| &imported.outline);
    let (plate, idealisation, path_angles) =
        read_plate(&plate_table, meshed, &cutout_tables, &hole_tables, border, &mut warnings)?;
    let supports = read_supports(&top, &plate.outline)?;
    let remedy = "write [material], once, and its keys below";
    let own = top.table("material", "[material]", remedy)?;
    let metal = read_metal(&plate_table, own.as_ref(), border, &mut warnings)?;
    let mut regions = read_regions(&top, (&plate, idealisation), border, &mut warnings)?;
    if let Some(imported) = &mut imported {
        let tables = (&top, &plate_table);
        let part = (&plate, idealisation);
        regions.extend(regions_of_mesh(tables, imported, part, border, &mut warnings)?);
    }
    let doublers = read_doublers(&top, (&plate, idealisation), border, &mut warnings)?;
    let mut reader = Reader::new(&plate, &supports, idealisation, &metal.material, border);
    reader.regions = &regions;
    reader.expansion = metal.expansion;
    reader.off_place =
        hole_tables.iter().map(|table| read_off_place(table, border)).collect::<Result<_, _>>()?;
    reader.doublers = &doublers;
    reader.ever_joined = vec![false; doublers.len()];
    let stages =
        stage_tables.iter().map(|table| reader.read(table)).collect::<Result<Vec<_>, _>>()?;
    check_joined(&doublers, &reader.ever_joined)?;
    check_life(&top, &stages)?;
    check_reams(&regions, &plate, (&stage_tables, &stages), border)?;
    if let Some(own) = &own {
        check_hardening(own, &metal.material, largest_expansion(&plate, &stages))?;
    }
    let life = read_life(&top, &mut reader, border)?;
    warnings.append(&mut reader.warnings);
    let names: Vec<&str> = plate.holes.iter().map(|hole| hole.name.as_str()).collect();
    let coating = read_coating(&top, &stages, &names, border)?;
    let part = Part {
        holes: &names,
        entry_share: life.as_ref().and_then(|life| life.entry_share),
        thickness: top.has("section").then_some(plate.thickness),
        alone: false,
        border,
    };
    let (measured, stresses) = read_measured(&top, &part)?;
    let gauges = read_gauges(&top, &stages, &names, border)?;
    let (mut numerics, Beside { bracket, plain_hole, idealisations }) = read_numerics(&top)?;
    check_idealisations(&top, idealisations, &regions)?;
    if let Some(imported) = &imported {
        imported::check_work(imported, &top, &stage_tables, &stages)?;
        numerics.use_symmetry = false;
    }
    let job =
        Job { plate, idealisation, material: metal.material, stages, numerics, supports, regions };
    let sections = read_beside(&top, &job, border, &mut warnings)?;
    check_depth(&top, life.as_ref(), &sections)?;
    let drawn: Vec<&SectionJob> = sections.iter().map(|beside| &beside.section).collect();
    let single = read_readings(&top, &drawn, border)?;
    Ok(Built {
        title,
        units: border.units,
        job,
        material_name: metal.name,
        material_sources: metal.sources,
        path_angles,
        bracket,
        idealisations,
        measured,
        gauges,
        unknowns: read_unknowns(&top, &drawn, false, border)?,
        readings: SectionReadings { stresses, single, alone: false },
        coating,
        plain_hole,
        life,
        sections,
        imported,
        warnings,
    })
}

/// The largest applied expansion of the stages, a fraction.
fn largest_expansion(plate: &Plate, stages: &[Stage]) -> f64 {
    let expansion = |stage: &Stage| match stage {
        Stage::Expand { hole, tool } => {
            tool.applied_expansion(plate.holes[*hole].starting_diameter)
        }
        _ => 0.0,
    };
    stages.iter().map(expansion).fold(0.0, f64::max)
}

/// Tables `[[name]]`, of which a case has one or more.
fn at_least_one<'a>(top: &Table<'a>, name: &'static str) -> Result<Vec<Table<'a>>, Complaint> {
    let remedy = format!("write [[{name}]], with two brackets, above the keys of each {name}");
    let tables = top.tables(name, name, &remedy)?;
    if tables.is_empty() { Err(top.missing(name, remedy)) } else { Ok(tables) }
}

/// Refuses a life of what it knows nothing of, a bush or another temperature, and bushes where they cannot be.
fn check_life(top: &Table<'_>, stages: &[Stage]) -> Result<(), Complaint> {
    if stages.iter().any(|stage| matches!(stage, Stage::Bush(_))) {
        for (key, why) in [
            ("life", "[life] does not go with a bush: crack growth knows one metal"),
            ("section", "[section] does not go with a bush: the section of a hole knows one metal"),
        ] {
            if top.has(key) {
                return Err(top.stray(key, why, format!("leave [{key}] or the stage out")));
            }
        }
        let plate = top.table("plate", "[plate]", "")?;
        if let Some(plate) = plate.filter(|plate| plate.has("mesh")) {
            let problem = "a mesh that is read from a file takes no bush";
            let remedy = "draw the plate with `width` and `height` or `outline` in place of `mesh`";
            return Err(plate.stray("mesh", problem, remedy));
        }
    }
    let heated = stages.iter().any(|stage| matches!(stage, Stage::Temperature { .. }));
    if !heated || !top.has("life") {
        return Ok(());
    }
    let problem = "[life] does not go with a stage of another temperature: crack growth knows one";
    Err(top.stray("life", problem, "leave [life] or the stage out"))
}

/// Refuses idealisations that a step in thickness has no meaning in.
fn check_idealisations(top: &Table<'_>, wanted: bool, regions: &[Region]) -> Result<(), Complaint> {
    let stepped = regions.iter().any(|region| region.thickness.is_some());
    match top.table("numerics", "[numerics]", "")? {
        Some(numerics) if wanted && stepped => {
            let problem = "a step in thickness has no meaning in the other idealisations";
            Err(numerics.stray("idealisations", problem, "leave `idealisations` out"))
        }
        _ => Ok(()),
    }
}

/// Rejects a life that is told twice how the residual stress goes through the thickness.
fn check_depth(
    top: &Table<'_>,
    life: Option<&LifeSettings>,
    sections: &[SectionBeside],
) -> Result<(), Complaint> {
    let Some(life) = life.filter(|_| !sections.is_empty()) else { return Ok(()) };
    let key = match (&life.part_through.field, life.entry_share) {
        (Some(_), _) => "section_field",
        (None, Some(_)) => "entry_share",
        (None, None) => return Ok(()),
    };
    let problem = format!(
        "`{key}` of [life] and [section] both say how the stress goes through the thickness"
    );
    Err(top.stray("section", problem, format!("leave out [section] or `{key}`")))
}

/// The complaint of the TOML reader, in our form.
pub(super) fn not_toml(source: Source<'_>, error: &toml::de::Error) -> Complaint {
    let span = error.span().unwrap_or(0..0);
    let problem = format!("this is not TOML: {}", error.message().replace('\n', "; "));
    let remedy = if error.message().contains("duplicate") {
        "write each key once in a table, and each of [plate], [material], [numerics] once in a file"
    } else {
        "a line is `key = value`, a [table] or a # remark; text stands in quotes, numbers stand \
         alone and take a decimal point"
    };
    source.complain(&span, "", Kind::Syntax, problem, remedy)
}

pub(super) fn read_title(top: &Table<'_>) -> Result<Option<String>, Complaint> {
    let Some(title) = top.text("title")? else { return Ok(None) };
    let problem = if title.value.trim().is_empty() {
        "the title is empty".to_owned()
    } else if title.value.chars().any(char::is_control) {
        "the title holds a line break or another control character".to_owned()
    } else if title.value.chars().any(turns_text) {
        "the title holds a mark that turns the direction of the text".to_owned()
    } else if title.value.chars().count() > LONGEST_TITLE {
        format!("the title has {} characters", title.value.chars().count())
    } else {
        return Ok(Some(title.value.to_owned()));
    };
    let remedy = format!("one line of up to {LONGEST_TITLE} characters; it heads every figure");
    Err(top.about(&title, Kind::OutOfRange, problem, remedy))
}

/// Whether a character makes a text read otherwise than it is written: the marks of the bidirectional
/// algorithm (Unicode Standard Annex 9).
fn turns_text(letter: char) -> bool {
    matches!(letter, '\u{061c}' | '\u{200e}' | '\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
}

pub(super) fn read_units(top: &Table<'_>) -> Result<Units, Complaint> {
    let remedy =
        "write `units = \"mm-MPa\"` or `units = \"in-ksi\"`: the numbers alone do not tell";
    let word = top.text("units")?.ok_or_else(|| top.missing("units", remedy))?;
    Units::named(word.value)
        .ok_or_else(|| unknown_word(top, &word, "system of units", &Units::NAMES))
}

/// Solutions that are run beside that of the case.
#[derive(Clone, Copy, Debug)]
pub(super) struct Beside {
    /// The bounding hardening laws.
    bracket: bool,
    /// The same part with holes that were never worked, under service loads.
    plain_hole: bool,
    /// The other idealisations.
    idealisations: bool,
}

/// The numerics, `strains` unless the file says otherwise, and the solutions that are run as well.
pub(super) fn read_numerics(top: &Table<'_>) -> Result<(Numerics, Beside), Complaint> {
    let mut numerics = Numerics::default();
    let remedy = "write [numerics], once, and its keys below";
    let Some(table) = top.table("numerics", "[numerics]", remedy)? else {
        return Ok((numerics, Beside { bracket: true, plain_hole: true, idealisations: false }));
    };
    table.only(&case_file::NUMERICS.names())?;
    if let Some(fineness) = table.number("fineness")? {
        if !(FINENESS[0]..=FINENESS[1]).contains(&fineness.value) {
            let problem = outside("fineness", &plain(fineness.value), FINENESS);
            let remedy = "1 is the default mesh; 2 halves every element";
            return Err(table.about(&fineness, Kind::OutOfRange, problem, remedy));
        }
        numerics.fineness = fineness.value;
    }
    if let Some(increments) = table.count("increments")? {
        let Valued { value, .. } = increments;
        if !(INCREMENTS[0]..=INCREMENTS[1]).contains(&value) {
            let problem = outside("increments", &value.to_string(), INCREMENTS);
            let remedy = format!("{} is the default", numerics.increments);
            return Err(table.about(&increments, Kind::OutOfRange, problem, remedy));
        }
        numerics.increments = value;
    }
    if let Some(strain_parts) = table.count("strain_parts")? {
        let Valued { value, .. } = strain_parts;
        if !(PARTS[0]..=PARTS[1]).contains(&value) {
            let problem = outside("strain_parts", &value.to_string(), PARTS);
            let remedy =
                "leave it out: `path_tolerance` then gives each element as many as it needs";
            return Err(table.about(&strain_parts, Kind::OutOfRange, problem, remedy));
        }
        if table.has("path_tolerance") {
            let problem = "`path_tolerance` and `strain_parts` both say how strain is followed";
            let remedy = "leave out one of them";
            return Err(table.stray("path_tolerance", problem, remedy));
        }
        numerics.strain_parts = Some(value);
    }
    if let Some(tolerance) = table.number("path_tolerance")? {
        if !(TOLERANCE[0]..=TOLERANCE[1]).contains(&tolerance.value) {
            let problem = outside("path_tolerance", &plain(tolerance.value), TOLERANCE);
            let remedy = "0.001 serves most cases";
            return Err(table.about(&tolerance, Kind::OutOfRange, problem, remedy));
        }
        numerics.path_tolerance = tolerance.value;
        numerics.strain_parts = None;
    }
    if let Some(word) = table.text("strains")? {
        numerics.strains = Strains::named(word.value)
            .ok_or_else(|| unknown_word(&table, &word, "measure of strain", &Strains::NAMES))?;
    }
    if let Some(symmetry) = table.switch("symmetry")? {
        numerics.use_symmetry = symmetry.value;
    }
    let switch = |key, default| table.switch(key).map(|found| found.map_or(default, |s| s.value));
    let beside = Beside {
        bracket: switch("hardening_bracket", true)?,
        plain_hole: switch("plain_hole", true)?,
        idealisations: switch("idealisations", false)?,
    };
    Ok((numerics, beside))
}

fn outside<T: std::fmt::Display>(key: &str, value: &str, [least, most]: [T; 2]) -> String {
    format!("`{key}` is {value}, outside {least} to {most}")
}
