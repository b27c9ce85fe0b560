//! A section file: the metal round one hole through the thickness, and the mandrel drawn through it.
//!
//! Its keys are those of [`SECTION_FILE`](crate::case::keys::SECTION_FILE), beside `title`, `units`,
//! `[material]` and `[numerics]` of a case file.

pub(in crate::case) mod beside;
mod drawn;
mod stages;
pub mod standing_alone;

use std::path::Path;

use sha2::{Digest, Sha256};
use toml::de::DeTable;

use crate::case::border::{Border, required_length, unknown_word};
use crate::case::build::{not_toml, read_numerics, read_title, read_units};
use crate::case::complaint::{Complaint, Kind, Source};
use crate::case::file_kind::is_section;
use crate::case::keys::{section_file, section_names};
use crate::case::measured::{Part, read_measured};
use crate::case::metal::read_metal;
use crate::case::names::check_name;
use crate::case::reading::read_readings;
use crate::case::section::drawn::rim;
use crate::case::section::stages::StageReader;
use crate::case::table::Table;
use crate::case::unknown::{UnknownTable, read_unknowns};
use crate::case::{Case, hexadecimal, read_text};
use crate::process::section::beside::SectionBeside;
use crate::process::section::readings::SectionReadings;
use crate::process::section::{SectionJob, SectionPart, SectionStage};
use crate::solver::system::STRAIN_PARTS;
use crate::units::Units;

/// A section file, read and checked, in mm, N, MPa.
#[derive(Clone, Debug, PartialEq)]
pub struct SectionCase {
    /// Heading of tables and figures.
    pub title: String,
    /// Units of the file, in which results go back.
    pub units: Units,
    /// The work.
    pub job: SectionJob,
    /// Name of the alloy, or `own`.
    pub material_name: String,
    /// Where its numbers come from.
    pub material_sources: Vec<String>,
    /// Readings of the drawn hole.
    pub readings: SectionReadings,
    /// Unknowns that `hoopset infer` is to find from them.
    pub unknowns: Vec<UnknownTable>,
    /// Remarks on input that looks odd but may be meant.
    pub warnings: Vec<String>,
    /// The file as it is, for the echo.
    pub text: String,
    /// SHA-256 of its bytes, in hexadecimal.
    pub sha256: String,
}

/// A section file, or a case file.
#[derive(Clone, Debug, PartialEq)]
pub enum SectionInput {
    /// A section file.
    Section(Box<SectionCase>),
    /// A case file.
    Plane(Box<Case>),
}

/// Reads a section file, which has a stage `draw` or says so of its plate, or else a case file.
///
/// # Errors
///
/// As [`crate::case::read`].
pub fn read_any(path: &Path) -> Result<SectionInput, Complaint> {
    read_as(path, |root| is_section(root) && !root.contains_key("section"))
}

/// Reads the file of `hoopset infer`: a section file as the case that [`SectionCase::as_case`] makes of it, else a case
/// file.
///
/// # Errors
///
/// As [`crate::case::read`].
pub fn read_measurements(path: &Path) -> Result<Case, Complaint> {
    Ok(match read_as(path, is_section)? {
        SectionInput::Section(section) => section.as_case(),
        SectionInput::Plane(case) => *case,
    })
}

/// Reads the file of `hoopset section`: a section file, or a case file with a `[section]`.
///
/// # Errors
///
/// As [`crate::case::read`].
pub fn read_either(path: &Path) -> Result<SectionInput, Complaint> {
    read_as(path, |root| !root.contains_key("section"))
}

/// Reads the file at `path` as a section file where its tables say so, else as a case file.
fn read_as(
    path: &Path,
    is_section: impl Fn(&DeTable<'_>) -> bool,
) -> Result<SectionInput, Complaint> {
    let (text, name) = read_text(path)?;
    let source = Source { file: &name, text: text.strip_prefix('\u{feff}').unwrap_or(&text) };
    let root = DeTable::parse(source.text).map_err(|error| not_toml(source, &error))?;
    let root = root.get_ref();
    if is_section(root) {
        return of_tables(source, root, &text).map(|case| SectionInput::Section(Box::new(case)));
    }
    crate::case::of_tables(source, root, &text).map(|case| SectionInput::Plane(Box::new(case)))
}

impl SectionCase {
    /// The section of one hole of a plane case.
    #[must_use]
    pub fn beside(case: &Case, beside: &SectionBeside) -> Self {
        Self {
            title: case.title.clone(),
            units: case.units,
            job: beside.section.clone(),
            material_name: case.material_name.clone(),
            material_sources: case.material_sources.clone(),
            // They are compared with the map of the plane case, not with the ring.
            readings: SectionReadings::default(),
            unknowns: Vec::new(),
            warnings: Vec::new(),
            text: case.text.clone(),
            sha256: case.sha256.clone(),
        }
    }
}

/// Reads a section file.
///
/// # Errors
///
/// As [`crate::case::read`].
pub fn read(path: &Path) -> Result<SectionCase, Complaint> {
    let (text, name) = read_text(path)?;
    parse(&text, &name)
}

/// Reads the text of a section file that complaints call `file_name`.
///
/// # Errors
///
/// The first [`Complaint`], as [`crate::case::parse`].
pub fn parse(text: &str, file_name: &str) -> Result<SectionCase, Complaint> {
    let source = Source { file: file_name, text: text.strip_prefix('\u{feff}').unwrap_or(text) };
    let root = DeTable::parse(source.text).map_err(|error| not_toml(source, &error))?;
    of_tables(source, root.get_ref(), text)
}

/// The same from the tables of the text.
fn of_tables(source: Source<'_>, root: &DeTable<'_>, text: &str) -> Result<SectionCase, Complaint> {
    let top = Table::top(source, root);
    top.only(&section_names())?;
    let title = read_title(&top)?;
    let border = Border { units: read_units(&top)? };
    let mut warnings = vec![];
    let remedy = "write [plate], once, and below it its outer diameter, thickness and alloy";
    let plate =
        top.table("plate", "[plate]", remedy)?.ok_or_else(|| top.missing("plate", remedy))?;
    let (hole, part) = read_part(&top, &plate, border)?;
    let own = top.table("material", "[material]", "write [material], once, and its keys below")?;
    let metal = read_metal(&plate, own.as_ref(), border, &mut warnings)?;
    let remedy = "write [[stage]], with two brackets, above the keys of each stage";
    let tables = top.tables("stage", "stage", remedy)?;
    if tables.is_empty() {
        return Err(top.missing("stage", remedy));
    }
    let mut stages = Vec::with_capacity(tables.len());
    for table in &tables {
        let reader = StageReader { table, border, part: &part, hole: &hole, before: &stages };
        let stage = reader.read(&mut warnings)?;
        stages.push(stage);
    }
    let spotfaced = stages.iter().any(|stage| matches!(stage, SectionStage::Spotface { .. }));
    if spotfaced {
        refuse_depths(&top)?;
    }
    let (mut numerics, _) = read_numerics(&top)?;
    // A draw is held to the balance of its forces digit by digit; equal parts let it settle sooner.
    numerics.strain_parts = numerics.strain_parts.or(Some(STRAIN_PARTS));
    let stem =
        Path::new(source.file).file_stem().unwrap_or_default().to_string_lossy().into_owned();
    let job = SectionJob { hole, part, material: metal.material, stages, numerics };
    let own = Part {
        holes: &[&job.hole],
        entry_share: None,
        thickness: Some(part.thickness),
        alone: true,
        border,
    };
    let (_, stresses) = read_measured(&top, &own)?;
    let single = read_readings(&top, &[&job], border)?;
    Ok(SectionCase {
        title: title.unwrap_or(stem),
        units: border.units,
        unknowns: read_unknowns(&top, &[&job], true, border)?,
        readings: SectionReadings { stresses, single, alone: true },
        job,
        material_name: metal.name,
        material_sources: metal.sources,
        warnings,
        text: text.to_owned(),
        sha256: hexadecimal(&Sha256::digest(text.as_bytes())),
    })
}

/// Rejects depths of measurements as lengths: a spotface moves the face that they are counted from.
fn refuse_depths(top: &Table<'_>) -> Result<(), Complaint> {
    for kind in ["measured", "reading"] {
        let remedy = "write each in a table of its own, with two brackets";
        for table in &top.tables(kind, kind, remedy)? {
            if table.has("depth") {
                let problem = "`depth` is counted from a face that a spotface takes away";
                let remedy =
                    "give `depth_share`, of the bore as it is then: 0 is its end at the entry face";
                return Err(table.stray("depth", problem, remedy));
            }
        }
    }
    Ok(())
}

/// The name of the hole, and the ring of metal round it.
fn read_part(
    top: &Table<'_>,
    plate: &Table<'_>,
    border: Border,
) -> Result<(String, SectionPart), Complaint> {
    plate.only(&section_file::SECTION_PLATE.names())?;
    if let Some(word) = plate.text("idealisation")?.filter(|word| word.value != "section") {
        return Err(unknown_word(plate, &word, "idealisation of a section file", &["section"]));
    }
    let rim = rim(plate)?.unwrap_or_default();
    let remedy = "give the diameter of the ring: twice the distance to the nearest edge or hole";
    let outer = required_length(plate, "outer_diameter", remedy, border)?;
    let thickness = required_length(plate, "thickness", "give the thickness", border)?;
    let remedy = "write [[hole]], with two brackets, once: a section has one hole";
    let holes = top.tables("hole", "hole", remedy)?;
    let hole = match holes.as_slice() {
        [] => return Err(top.missing("hole", remedy)),
        [hole] => hole,
        [_, second, ..] => return Err(second.stray("name", "a section has one hole", remedy)),
    };
    hole.only(&section_file::SECTION_HOLE.names())?;
    let name =
        hole.text("name")?.ok_or_else(|| hole.missing("name", "for example `name = \"A\"`"))?;
    check_name(hole, &name, "a hole")?;
    let remedy = "give the diameter before expansion";
    let starting = required_length(hole, "starting_diameter", remedy, border)?;
    if starting.value >= 0.9 * outer.value {
        let problem = format!(
            "a hole of {} leaves no ring within {}",
            border.show_length(starting.value),
            border.show_length(outer.value)
        );
        let remedy = "give a larger `outer_diameter`, or a smaller hole";
        return Err(hole.about(&starting, Kind::Geometry, problem, remedy));
    }
    let part = SectionPart {
        starting_diameter: starting.value,
        outer_diameter: outer.value,
        thickness: thickness.value,
        rim,
    };
    Ok((name.value.to_owned(), part))
}
