//! The sheet file: what a workshop wants of one hole, from which its tools are found.
//!
//! Its keys are those of [`SHEET_FILE`](crate::case::keys::SHEET_FILE), beside `title`, `units` and some
//! tables of a case file. Lengths in mm or in, as `units` says.
//!
//! Defaults are common practice, no source; every one that is used is listed on the sheet.

mod oversize;
mod read;
mod tooling;

use std::collections::BTreeMap;
use std::path::Path;

use sha2::{Digest, Sha256};

use crate::case::complaint::{Complaint, Kind, Source};
use crate::case::{hexadecimal, read_text};
use crate::geometry::plate::Plate;
use crate::material::hardening::Material;
use crate::material::idealisation::Idealisation;
use crate::numeric::random::Spread;
use crate::process::job::Numerics;
use crate::units::Units;

/// A sheet to begin from, every key explained.
pub const SHEET: &str = include_str!("sheet/starter.toml");

/// How sizes are drawn.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Draws {
    /// How many sets of sizes.
    pub count: usize,
    /// Where the random numbers start.
    pub seed: u64,
    /// How starting hole, mandrel, sleeve and finished hole lie between their limits.
    pub spreads: [Spread; 4],
    /// How many draws are solved to test the surrogate.
    pub held_out: usize,
}

/// A repair size that the hole is worked to after the one before.
#[derive(Clone, Debug, PartialEq)]
pub struct Oversize {
    /// Smallest and largest finished diameter, mm.
    pub finished: [f64; 2],
    /// Line and column of the diameters.
    place: (usize, usize),
}

/// A sheet file, read and checked. Lengths in mm, stresses in MPa.
#[derive(Clone, Debug, PartialEq)]
pub struct Sheet {
    /// Heading of figures and tables.
    pub title: String,
    /// Units of the file, in which results go back.
    pub units: Units,
    /// The plate with its one hole, drawn at the smallest finished diameter: where it starts is to
    /// be found.
    pub plate: Plate,
    /// Assumption about the direction through the thickness.
    pub idealisation: Idealisation,
    /// The metal.
    pub material: Material,
    /// Name of the alloy, as in [`Case`](crate::case::Case).
    pub material_name: String,
    /// Where the numbers of the alloy come from.
    pub material_sources: Vec<String>,
    /// Direction in which stresses are read, degrees; `None`: towards the nearest edge.
    pub path: Option<f64>,
    /// Smallest and largest finished diameter.
    pub finished: [f64; 2],
    /// Repair sizes that the hole is worked to afterwards, rising.
    pub oversizes: Vec<Oversize>,
    /// Lowest and highest wanted applied expansion, fractions.
    pub expansion: [f64; 2],
    /// Width of the band of starting diameters.
    pub start_band: f64,
    /// Wall of the sleeve.
    pub sleeve_thickness: f64,
    /// How far the wall may be off, either way.
    pub sleeve_tolerance: f64,
    /// Width of the band of new mandrels.
    pub mandrel_band: f64,
    /// Loss of diameter at which a mandrel is worn out.
    pub mandrel_wear: f64,
    /// Elastic constants `(E, ν)` of the mandrel; `None` for a rigid one.
    pub elastic: Option<(f64, f64)>,
    /// Diameter from the expanded to the finished hole; `None`: to be chosen.
    pub allowance: Option<f64>,
    /// Least amount that the ream takes off the diameter.
    pub least_cut: f64,
    /// Step that starting holes, mandrels and plugs are rounded to.
    pub step: f64,
    /// How sizes are drawn.
    pub draws: Draws,
    /// How finely it is solved.
    pub numerics: Numerics,
    /// Values that the file left to common practice, in words.
    pub assumed: Vec<String>,
    /// Odd but possibly intended input, each with its line.
    pub warnings: Vec<String>,
    /// The file as it is, for the echo.
    pub text: String,
    /// SHA-256 of its bytes, in hexadecimal.
    pub sha256: String,
    /// Name of the file, and line and column of its keys, for later complaints.
    file: String,
    places: BTreeMap<&'static str, (usize, usize)>,
}

impl Sheet {
    /// The sheet of size `which`: 0 for the first, then the repair sizes in order. Complaints about its
    /// finished diameter point at its own key.
    ///
    /// # Panics
    ///
    /// When there is no such size.
    #[must_use]
    pub fn at_size(&self, which: usize) -> Self {
        let mut sheet = self.clone();
        if which > 0 {
            let size = &self.oversizes[which - 1];
            sheet.finished = size.finished;
            sheet.plate.holes[0].starting_diameter = size.finished[0];
            sheet.places.insert("finished_diameter", size.place);
        }
        sheet
    }

    /// A complaint about `key`, found only after something was computed; where the key is not
    /// written, about the whole file.
    #[must_use]
    pub fn complaint(&self, key: &str, problem: String, remedy: String) -> Complaint {
        let place = self.places.get(key).copied();
        Complaint {
            file: self.file.clone(),
            place,
            key: Some(key.into()),
            kind: Kind::OutOfRange,
            problem,
            remedy,
        }
    }

    /// A length in mm as the file would write it, with its unit.
    #[must_use]
    pub(crate) fn show_length(&self, mm: f64) -> String {
        crate::case::border::Border { units: self.units }.show_length(mm)
    }
}

/// Reads a sheet file.
///
/// # Errors
///
/// As [`crate::case::read`].
pub fn read(path: &Path) -> Result<Sheet, Complaint> {
    let (text, name) = read_text(path)?;
    parse(&text, &name)
}

/// Reads the text of a sheet file that complaints call `file_name`.
///
/// # Errors
///
/// The first [`Complaint`], as [`crate::case::parse`].
pub fn parse(text: &str, file_name: &str) -> Result<Sheet, Complaint> {
    let source = Source { file: file_name, text: text.strip_prefix('\u{feff}').unwrap_or(text) };
    let mut sheet = read::build(source)?;
    text.clone_into(&mut sheet.text);
    sheet.sha256 = hexadecimal(&Sha256::digest(text.as_bytes()));
    Ok(sheet)
}
