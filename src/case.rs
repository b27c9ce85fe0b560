//! The case file: what a user writes, checked, in mm, N, MPa and radians.
//!
//! A case file is TOML; its keys are listed in [`keys`]. Whatever is wrong with one is
//! answered by a [`Complaint`] that names the place and what would be right.
//!
//! Floor 7.

mod bearing;
mod beside;
mod border;
mod build;
mod coating;
mod columns;
pub mod complaint;
mod constants;
mod curve;
mod depth;
mod doubler;
mod drawing;
mod file_kind;
mod gauge;
pub(crate) mod hardening_law;
mod heat;
mod hole;
mod hot;
mod imported;
pub mod keys;
mod life_course;
pub mod life_table;
mod measured;
mod metal;
pub mod metal_tests;
mod names;
mod outline;
pub mod part_through;
mod pin;
mod program;
mod reading;
mod region;
pub mod schema;
mod seated;
pub mod section;
pub mod sheet;
pub mod shop;
mod stages;
mod standing;
pub mod study;
mod supports;
mod table;
mod tooling;
pub mod unknown;
mod unsound;

use std::fs::File;
use std::io::{ErrorKind, Read};
use std::path::Path;

use sha2::{Digest, Sha256};
use toml::de::DeTable;

pub use crate::case::build::{FINENESS, INCREMENTS};
use crate::case::complaint::Source;
pub use crate::case::complaint::{Complaint, Kind};
use crate::case::life_table::LifeSettings;
use crate::case::unknown::UnknownTable;
use crate::mesh::import::Imported;
use crate::mesh::mesh_error::MeshError;
use crate::mesh::topology::Mesh;
use crate::process::coating::Coating;
use crate::process::gauge::Gauge;
use crate::process::job::Job;
use crate::process::measured::Measured;
use crate::process::plan::mesh_plan;
use crate::process::section::beside::SectionBeside;
use crate::process::section::readings::SectionReadings;
use crate::process::sequence::Sequence;
use crate::process::stage_error::StageError;
use crate::units::Units;

/// The embedded demonstration: an edge hole in a hinge plate.
pub const DEMO: &str = include_str!("case/demo.toml");

/// A case file to begin from, every key explained.
pub const STARTER: &str = include_str!("case/starter.toml");

/// Largest case file, bytes. A case with a thousand holes has a tenth of it; anything
/// larger is some other file.
const LARGEST_FILE: u64 = 1 << 20;

/// A case file, read and checked.
#[derive(Clone, Debug, PartialEq)]
pub struct Case {
    /// Heading of figures and tables.
    pub title: String,
    /// Units of the file, in which results go back.
    pub units: Units,
    /// The work, in mm, N, MPa.
    pub job: Job,
    /// Name of the alloy, with `, changed` when the file overrides part of it, or `own`.
    pub material_name: String,
    /// Where the numbers of the alloy come from; empty for a metal of the user's own.
    pub material_sources: Vec<String>,
    /// Directions of further stress paths, degrees counter-clockwise from +x, one list for
    /// each hole.
    pub path_angles: Vec<Vec<f64>>,
    /// Whether the two bounding hardening laws are run as well.
    pub bracket: bool,
    /// The photoelastic coating whose fringes are drawn.
    pub coating: Option<Coating>,
    /// Whether the last state is also solved in the other idealisations.
    pub idealisations: bool,
    /// Measurements of the user's, to be laid over the charts and compared.
    pub measured: Vec<Measured>,
    /// Unknowns that `hoopset infer` is to find from them.
    pub unknowns: Vec<UnknownTable>,
    /// Readings of drawn holes that they are found from too.
    pub readings: SectionReadings,
    /// Readings of strain gauges that they are found from too.
    pub gauges: Vec<Gauge>,
    /// Whether a service load is also put on the same part with holes that were never worked.
    pub plain_hole: bool,
    /// The question to `hoopset life`, when the file has a `[life]` table.
    pub life: Option<LifeSettings>,
    /// The section of every expanded hole, when the file has a `[section]` table.
    pub sections: Vec<SectionBeside>,
    /// The mesh that `[plate] mesh` names, read and matched with the holes.
    pub imported: Option<Imported>,
    /// The file as it is, for the echo.
    pub text: String,
    /// SHA-256 of its bytes, in hexadecimal.
    pub sha256: String,
    /// Odd but possibly intended input, each with its line.
    pub warnings: Vec<String>,
}

impl Case {
    /// The mesh the case is solved on: the imported one, else one made for it.
    ///
    /// # Errors
    ///
    /// [`MeshError`] when none can be made.
    pub fn mesh(&self) -> Result<Mesh, MeshError> {
        match &self.imported {
            Some(imported) => Ok(imported.mesh.clone()),
            None => crate::mesh::build(&self.job.plate, &mesh_plan(&self.job)),
        }
    }

    /// Stands ready for the first stage of `job`: that of the case, or one that differs from
    /// it in metal or tools only.
    ///
    /// # Errors
    ///
    /// [`StageError`] when the plate cannot be meshed or the equations not set up.
    pub fn sequence(&self, job: Job) -> Result<Sequence, StageError> {
        match &self.imported {
            Some(imported) => Sequence::with_mesh(job, imported.mesh.clone()),
            None => Sequence::new(job),
        }
    }
}

/// Reads a case file.
///
/// # Errors
///
/// A [`Complaint`] for a file that cannot be had (missing, a folder, larger than 1 MiB,
/// not UTF-8), and for whatever [`parse`] complains about.
pub fn read(path: &Path) -> Result<Case, Complaint> {
    let (text, name) = read_text(path)?;
    parse(&text, &name)
}

/// The text of the file at `path`, and what complaints call it.
fn read_text(path: &Path) -> Result<(String, String), Complaint> {
    let name = path.display().to_string();
    let refuse = |problem: String, remedy: &str| Complaint::whole_file(&name, problem, remedy);
    if path.is_dir() {
        return Err(refuse("this is a folder".to_owned(), "name the case file in it"));
    }
    // Opening a pipe would wait for someone to write into it.
    if std::fs::metadata(path).is_ok_and(|found| !found.is_file()) {
        return Err(refuse("this is no ordinary file".to_owned(), "write the case to a file"));
    }
    let file = File::open(path).map_err(|error| match error.kind() {
        ErrorKind::NotFound => refuse(
            "there is no such file".to_owned(),
            "check the path; without a case file the demonstration runs",
        ),
        _ => refuse(format!("cannot open the file: {error}"), "check its permissions"),
    })?;
    let mut bytes = vec![];
    // One byte more than allowed tells, whatever the file claims its size to be.
    file.take(LARGEST_FILE + 1)
        .read_to_end(&mut bytes)
        .map_err(|error| refuse(format!("cannot read the file: {error}"), "try again"))?;
    if bytes.len() as u64 > LARGEST_FILE {
        let problem = "the file is larger than 1 MiB".to_owned();
        return Err(refuse(problem, "a case file has a few hundred lines; is this another file?"));
    }
    let text = String::from_utf8(bytes).map_err(|error| {
        let good = error.utf8_error().valid_up_to();
        let before = String::from_utf8_lossy(&error.as_bytes()[..good]);
        let line = before.matches('\n').count() + 1;
        refuse(format!("line {line} is not UTF-8 text"), "save the file as UTF-8")
    })?;
    Ok((text, name))
}

/// Reads the text of a case file that complaints call `file_name`; a mesh it names is looked
/// for beside that file.
///
/// # Errors
///
/// The first [`Complaint`]: text that is no TOML, unknown or missing keys, values of the
/// wrong type or outside their limits, a plate that cannot be drawn, stages that cannot
/// follow each other.
pub fn parse(text: &str, file_name: &str) -> Result<Case, Complaint> {
    let source = Source { file: file_name, text: text.strip_prefix('\u{feff}').unwrap_or(text) };
    let root = DeTable::parse(source.text).map_err(|error| build::not_toml(source, &error))?;
    of_tables(source, root.get_ref(), text)
}

/// The same from the tables of the text.
fn of_tables(source: Source<'_>, root: &DeTable<'_>, text: &str) -> Result<Case, Complaint> {
    let built = build::build(source, root)?;
    let stem =
        Path::new(source.file).file_stem().unwrap_or_default().to_string_lossy().into_owned();
    Ok(Case {
        title: built.title.unwrap_or(stem),
        units: built.units,
        job: built.job,
        material_name: built.material_name,
        material_sources: built.material_sources,
        path_angles: built.path_angles,
        bracket: built.bracket,
        idealisations: built.idealisations,
        measured: built.measured,
        unknowns: built.unknowns,
        readings: built.readings,
        gauges: built.gauges,
        coating: built.coating,
        plain_hole: built.plain_hole,
        life: built.life,
        sections: built.sections,
        imported: built.imported,
        text: text.to_owned(),
        sha256: hexadecimal(&Sha256::digest(text.as_bytes())),
        warnings: built.warnings,
    })
}

fn hexadecimal(bytes: &[u8]) -> String {
    bytes.iter().fold(String::with_capacity(2 * bytes.len()), |mut text, byte| {
        text.push(char::from_digit(u32::from(byte >> 4), 16).unwrap_or('?'));
        text.push(char::from_digit(u32::from(byte & 15), 16).unwrap_or('?'));
        text
    })
}
