//! The sheet file: what a workshop wants of one hole, from which its tools are found.
//!
//! `title`, `units`, `[plate]`, `[[cutout]]`, `[material]` and `[numerics]` are those of a case
//! file ([`table`](crate::case::table)). Lengths in mm or in, as `units` says.
//!
//! | table | key | meaning | default |
//! |---|---|---|---|
//! | top | `round_to` | start holes and mandrels are rounded to it | 0.005 mm, 0.0002 in |
//! | `[hole]` | `name` | as in a case file | `A` |
//! | | `at` | `[x, y]` of the drilled centre | centre of a round plate |
//! | | `finished_diameter` | `[smallest, largest]` after the ream | |
//! | | `path` | direction in which the stresses are read, degrees | towards the nearest edge |
//! | `[expansion]` | `lowest`, `highest` | wanted applied expansion, fractions | usual for the metal |
//! | `[start_hole]` | `band` | width between the smallest and the largest starting diameter | 0.05 mm |
//! | `[tool]` | `sleeve_thickness` | wall of the split sleeve; 0 without one | |
//! | | `sleeve_tolerance` | how much more or less it may be | 0.005 mm |
//! | | `mandrel_band` | width between the smallest and the largest new mandrel | 0.01 mm |
//! | | `mandrel_wear` | what a mandrel may lose of its diameter before it is worn out | 0.02 mm |
//! | | `mandrel_modulus`, `mandrel_poissons_ratio` | elasticity of the mandrel | steel, 200 GPa and 0.3 |
//! | | `rigid_mandrel` | `true` for a mandrel that does not give | `false` |
//! | `[ream]` | `allowance` | diameter between the expanded and the finished hole, both nominal | 3 % of the diameter, 0.1 to 0.4 mm, more when the tolerances ask for it |
//! | | `least_cut` | what the ream takes off the diameter in the worst case | 0.05 mm |
//! | `[draws]` | `count`, `seed` | random sets of sizes, 100 to 1000000; where they start | 5000, 1 |
//! | | `start_hole`, `mandrel`, `sleeve`, `finished` | how a size lies between its limits: `"uniform"`, or `"normal"` with the limits three standard deviations off the middle, cut there | `"normal"`, mandrel `"uniform"` |
//! | | `held_out` | draws that are solved to test the surrogate, 2 to 50 | 4 |
//!
//! Defaults are common practice, no source; every one that is used is listed on the sheet.
//!
//! Floor 7, `case`.

mod read;

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
    /// How start hole, mandrel, sleeve and finished hole lie between their limits.
    pub spreads: [Spread; 4],
    /// How many draws are solved to test the surrogate.
    pub held_out: usize,
}

/// A sheet file, read and checked. Lengths in mm, stresses in MPa.
#[derive(Clone, Debug, PartialEq)]
pub struct Sheet {
    /// What figures and tables are headed with.
    pub title: String,
    /// Units of the file, in which results go back.
    pub units: Units,
    /// The plate with its one hole, drawn at the smallest finished diameter: where it starts is to
    /// be found.
    pub plate: Plate,
    /// What the direction through the thickness does.
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
    /// What a mandrel may lose of its diameter.
    pub mandrel_wear: f64,
    /// Elastic constants `(E, ν)` of the mandrel; `None` for a rigid one.
    pub elastic: Option<(f64, f64)>,
    /// Diameter from the expanded to the finished hole; `None`: to be chosen.
    pub allowance: Option<f64>,
    /// What the ream takes off the diameter at least.
    pub least_cut: f64,
    /// What start holes, mandrels and plugs are rounded to.
    pub step: f64,
    /// How sizes are drawn.
    pub draws: Draws,
    /// How finely it is solved.
    pub numerics: Numerics,
    /// What the file left to common practice, in words.
    pub assumed: Vec<String>,
    /// What looks odd but may be meant, each with its line.
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
    pub fn show_length(&self, mm: f64) -> String {
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
