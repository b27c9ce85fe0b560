//! A section file: the metal round one hole through the thickness, and the mandrel drawn through it.
//!
//! | table | key | meaning | default |
//! |---|---|---|---|
//! | top | `title`, `units` | as in a case file | |
//! | `[plate]` | `outer_diameter`, `thickness`, `alloy` | the ring of metal round the hole | |
//! | | `idealisation` | `"section"` | `"section"` |
//! | | `rim` | `"free"`: a small disc; `"flat"`: a large plate, whose rim may grow but not tilt | `"free"` |
//! | `[material]` | | as in a case file | that of `alloy` |
//! | `[[hole]]` | `name`, `starting_diameter` | the one hole, through the middle | |
//! | `[[stage]]` | `draw` | hole that a mandrel is drawn through | |
//! | | `mandrel_diameter`, `sleeve_thickness` or `applied_expansion`, `mandrel_modulus`, `mandrel_poissons_ratio`, `rigid_mandrel` | as in a case file; the sleeve counts by its thickness | |
//! | | `lead_angle`, `trail_angle` | half angles of the tapers, degrees, 0.1 to 45 | 2 and 4 (common practice, no source) |
//! | | `land` | length at the major diameter | half of the starting diameter |
//! | | `fillet` | radius between land and tapers | 10 mm |
//! | | `friction` | coefficient, 0 to 1 | 0 |
//! | | `friction_by_pressure` | in its place: rows `[pressure, coefficient]` | |
//! | | `enters` | face the mandrel enters at: `"entry"` or `"exit"` | `"entry"` |
//! | | `support` | `{ inner_diameter, outer_diameter }` of a nose cap on the face it leaves at | held at the rim |
//! | | `expand` | hole that a long tool grows in evenly, with the sizes above | |
//! | | `ream`, `diameter` | hole to ream, diameter after the cut | |
//! | | `countersink`, `face`, `depth`, `angle` | hole, `"entry"` or `"exit"`, depth at which the cone meets the bore, whole angle in degrees | |
//! | `[numerics]` | `fineness`, `increments`, `strain_parts` | as in a case file | |

use std::path::Path;

use sha2::{Digest, Sha256};
use toml::de::DeTable;

use crate::case::border::{Border, plain, required_length, unknown_word};
use crate::case::build::{not_toml, read_numerics, read_title, read_units};
use crate::case::complaint::{Complaint, Kind, Source};
use crate::case::metal::read_metal;
use crate::case::names::check_name;
use crate::case::table::{Table, Valued};
use crate::case::tooling::read_tool;
use crate::case::{hexadecimal, read_text};
use crate::geometry::mandrel::MandrelProfile;
use crate::material::strains::Strains;
use crate::process::section::{
    DrawTool, Face, Rim, SectionJob, SectionPart, SectionStage, Support,
};
use crate::solver::friction::Friction;
use crate::solver::system::STRAIN_PARTS;
use crate::units::Units;

/// Half angles of tapers, degrees: below, a mandrel would be metres long; above, it is a punch.
const TAPERS: [f64; 2] = [0.1, 45.0];

/// Whole angles of countersinks, degrees.
const SINKS: [f64; 2] = [30.0, 150.0];

/// Keys of the size of a tool.
const SIZES: [&str; 6] = [
    "mandrel_diameter",
    "sleeve_thickness",
    "applied_expansion",
    "mandrel_modulus",
    "mandrel_poissons_ratio",
    "rigid_mandrel",
];

/// Keys of a drawn mandrel besides its size.
const DRAWN: [&str; 8] = [
    "lead_angle",
    "land",
    "trail_angle",
    "fillet",
    "friction",
    "friction_by_pressure",
    "enters",
    "support",
];

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
    /// Remarks on input that looks odd but may be meant.
    pub warnings: Vec<String>,
    /// The file as it is, for the echo.
    pub text: String,
    /// SHA-256 of its bytes, in hexadecimal.
    pub sha256: String,
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
    let top = Table::top(source, root.get_ref());
    top.only(&["title", "units", "plate", "material", "hole", "stage", "numerics"])?;
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
    let mut nominal = part.starting_diameter;
    let mut stages = Vec::with_capacity(tables.len());
    for table in &tables {
        let reader = StageReader { table, border, part: &part, hole: &hole, nominal };
        let stage = reader.read()?;
        if let SectionStage::Ream { diameter } = stage {
            nominal = diameter;
        }
        stages.push(stage);
    }
    let (mut numerics, _) = read_numerics(&top, Strains::Small)?;
    // A draw is held to the balance of its forces digit by digit; equal parts let it settle sooner.
    numerics.strain_parts = numerics.strain_parts.or(Some(STRAIN_PARTS));
    let stem = Path::new(file_name).file_stem().unwrap_or_default().to_string_lossy().into_owned();
    Ok(SectionCase {
        title: title.unwrap_or(stem),
        units: border.units,
        job: SectionJob { hole, part, material: metal.material, stages, numerics },
        material_name: metal.name,
        material_sources: metal.sources,
        warnings,
        text: text.to_owned(),
        sha256: hexadecimal(&Sha256::digest(text.as_bytes())),
    })
}

/// The name of the hole, and the ring of metal round it.
fn read_part(
    top: &Table<'_>,
    plate: &Table<'_>,
    border: Border,
) -> Result<(String, SectionPart), Complaint> {
    plate.only(&["outer_diameter", "thickness", "alloy", "idealisation", "rim"])?;
    if let Some(word) = plate.text("idealisation")?.filter(|word| word.value != "section") {
        return Err(unknown_word(plate, &word, "idealisation of a section file", &["section"]));
    }
    let rim = match plate.text("rim")? {
        None => Rim::Free,
        Some(word) if word.value == "free" => Rim::Free,
        Some(word) if word.value == "flat" => Rim::Flat,
        Some(word) => return Err(unknown_word(plate, &word, "kind of rim", &["free", "flat"])),
    };
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
    hole.only(&["name", "starting_diameter"])?;
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

/// Reads one stage of a hole that was last made to `nominal`, mm.
struct StageReader<'a> {
    table: &'a Table<'a>,
    border: Border,
    part: &'a SectionPart,
    hole: &'a str,
    nominal: f64,
}

impl StageReader<'_> {
    fn read(&self) -> Result<SectionStage, Complaint> {
        let kinds = ["draw", "expand", "ream", "countersink"];
        let mut said = kinds.into_iter().filter(|kind| self.table.has(kind));
        let remedy = "write `draw`, `expand`, `ream` or `countersink` with the name of the hole";
        let Some(kind) = said.next() else { return Err(self.table.missing("draw", remedy)) };
        if let Some(other) = said.next() {
            let problem = format!("one stage cannot both `{kind}` and `{other}`");
            return Err(self.table.stray(other, problem, "write a [[stage]] for each"));
        }
        let word = self.table.text(kind)?.ok_or_else(|| self.table.missing(kind, remedy))?;
        if word.value != self.hole {
            return Err(unknown_word(self.table, &word, "hole", &[self.hole]));
        }
        match kind {
            "draw" => self.draw(),
            "expand" => {
                self.only(&["expand"], &[&SIZES[..3]])?;
                let tool = read_tool(self.table, self.nominal, self.border)?;
                let diameter = tool.acting_diameter();
                self.larger(diameter)?;
                Ok(SectionStage::Grow { diameter })
            }
            "ream" => {
                self.only(&["ream", "diameter"], &[])?;
                let remedy = "give the diameter after the cut";
                let diameter = required_length(self.table, "diameter", remedy, self.border)?;
                if diameter.value <= self.nominal
                    || diameter.value >= 0.9 * self.part.outer_diameter
                {
                    let problem = format!(
                        "a cut of {} is outside the metal of the ring",
                        self.border.show_length(diameter.value)
                    );
                    let remedy = "a ream is larger than the hole and leaves a ring";
                    return Err(self.table.about(&diameter, Kind::OutOfRange, problem, remedy));
                }
                Ok(SectionStage::Ream { diameter: diameter.value })
            }
            _ => self.countersink(),
        }
    }

    fn only(&self, own: &[&'static str], more: &[&[&'static str]]) -> Result<(), Complaint> {
        let mut known = own.to_vec();
        for keys in more {
            known.extend_from_slice(keys);
        }
        self.table.only(&known)
    }

    /// Rejects a tool no larger than the hole was made.
    fn larger(&self, diameter: f64) -> Result<(), Complaint> {
        if diameter > self.nominal {
            return Ok(());
        }
        let key = if self.table.has("applied_expansion") {
            "applied_expansion"
        } else {
            "mandrel_diameter"
        };
        let problem = format!(
            "mandrel and sleeve measure {}, no more than the hole of {}",
            self.border.show_length(diameter),
            self.border.show_length(self.nominal)
        );
        Err(self.table.stray(key, problem, "give a larger mandrel or a thicker sleeve"))
    }

    fn draw(&self) -> Result<SectionStage, Complaint> {
        self.only(&["draw"], &[&SIZES, &DRAWN])?;
        let tool = read_tool(self.table, self.nominal, self.border)?;
        let usual = MandrelProfile::default();
        let profile = MandrelProfile {
            lead_angle: self.angle("lead_angle", TAPERS)?.unwrap_or(usual.lead_angle),
            trail_angle: self.angle("trail_angle", TAPERS)?.unwrap_or(usual.trail_angle),
            land: self.length("land")?.unwrap_or(0.5 * self.part.starting_diameter),
            fillet: self.length("fillet")?.unwrap_or(usual.fillet),
        };
        if profile.straight_land() < 0.0 {
            let key = if self.table.has("fillet") { "fillet" } else { "land" };
            let problem = format!(
                "fillets of {} do not fit a land of {}",
                self.border.show_length(profile.fillet),
                self.border.show_length(profile.land)
            );
            return Err(self.table.stray(key, problem, "give a longer land or smaller fillets"));
        }
        let drawn = DrawTool {
            mandrel_diameter: tool.mandrel_diameter,
            sleeve_thickness: tool.sleeve_thickness,
            profile,
            friction: self.friction()?,
            elastic: tool.elastic,
        };
        self.larger(drawn.acting_diameter())?;
        let backwards = match self.face("enters")? {
            None | Some(Face::Entry) => false,
            Some(Face::Exit) => true,
        };
        let support = self.support(drawn.mandrel_diameter)?;
        Ok(SectionStage::Draw { tool: drawn, support, backwards })
    }

    fn angle(&self, key: &'static str, [least, most]: [f64; 2]) -> Result<Option<f64>, Complaint> {
        let Some(angle) = self.table.number(key)? else { return Ok(None) };
        if (least..=most).contains(&angle.value) {
            return Ok(Some(angle.value.to_radians()));
        }
        let problem = format!(
            "`{key}` is {}, outside {} to {} degrees",
            plain(angle.value),
            plain(least),
            plain(most)
        );
        Err(self.table.about(&angle, Kind::OutOfRange, problem, "angles are in degrees"))
    }

    fn length(&self, key: &'static str) -> Result<Option<f64>, Complaint> {
        if !self.table.has(key) {
            return Ok(None);
        }
        let remedy = "give a length larger than zero";
        required_length(self.table, key, remedy, self.border).map(|length| Some(length.value))
    }

    fn friction(&self) -> Result<Friction, Complaint> {
        let remedy = "a coefficient of friction lies between 0 and 1; 0.05 to 0.2 is usual";
        let check = |at: &Valued<f64>| {
            if (0.0..=1.0).contains(&at.value) {
                return Ok(());
            }
            let problem = format!("`{}` is {}, outside 0 to 1", at.key, plain(at.value));
            Err(self.table.about(at, Kind::OutOfRange, problem, remedy))
        };
        let key = "friction_by_pressure";
        let example = "for example `friction_by_pressure = [[220, 0.06], [660, 0.04]]`";
        let rows = self.table.pairs(key, example)?;
        match (self.table.number("friction")?, rows) {
            (Some(_), Some(_)) => {
                let problem = "`friction` and `friction_by_pressure` both give the friction";
                Err(self.table.stray(key, problem, "keep one of them"))
            }
            (Some(number), None) => {
                check(&number)?;
                Ok(Friction::constant(number.value))
            }
            (None, None) => Ok(Friction::None),
            (None, Some(rows)) => {
                let mut table: Vec<[f64; 2]> = Vec::with_capacity(rows.len());
                for row in rows {
                    let [pressure, coefficient] = row.value;
                    check(&Valued { value: coefficient, key, span: row.span.clone() })?;
                    let pressure = self.border.stress(pressure);
                    if table.last().is_some_and(|last| last[0] >= pressure) {
                        let problem = "pressures do not rise from row to row";
                        return Err(self.table.about(&row, Kind::OutOfRange, problem, example));
                    }
                    table.push([pressure, coefficient]);
                }
                if table.is_empty() {
                    return Err(self.table.stray(key, "the list is empty", example));
                }
                Ok(Friction::Table(table))
            }
        }
    }

    fn face(&self, key: &'static str) -> Result<Option<Face>, Complaint> {
        match self.table.text(key)? {
            None => Ok(None),
            Some(word) => match word.value {
                "entry" => Ok(Some(Face::Entry)),
                "exit" => Ok(Some(Face::Exit)),
                _ => Err(unknown_word(self.table, &word, "face", &["entry", "exit"])),
            },
        }
    }

    fn support(&self, mandrel: f64) -> Result<Support, Complaint> {
        let remedy = "for example `support = { inner_diameter = 9.0, outer_diameter = 18.0 }`";
        let Some(cap) = self.table.table("support", "`support`", remedy)? else {
            return Ok(Support::Rim);
        };
        cap.only(&["inner_diameter", "outer_diameter"])?;
        let inner = required_length(&cap, "inner_diameter", remedy, self.border)?;
        let outer = required_length(&cap, "outer_diameter", remedy, self.border)?;
        if inner.value <= mandrel {
            let problem = format!(
                "a mandrel of {} does not pass a nose cap with a bore of {}",
                self.border.show_length(mandrel),
                self.border.show_length(inner.value)
            );
            let remedy = "give a larger `inner_diameter`";
            return Err(cap.about(&inner, Kind::OutOfRange, problem, remedy));
        }
        if outer.value <= inner.value || inner.value >= self.part.outer_diameter {
            let problem = format!(
                "no face is left to bear on between {} and {}",
                self.border.show_length(inner.value),
                self.border.show_length(outer.value.min(self.part.outer_diameter))
            );
            let remedy = "a nose cap is wider outside than inside, and lies on the part";
            return Err(cap.about(&outer, Kind::Geometry, problem, remedy));
        }
        Ok(Support::NoseCap { inner_diameter: inner.value, outer_diameter: outer.value })
    }

    fn countersink(&self) -> Result<SectionStage, Complaint> {
        self.only(&["countersink", "face", "depth", "angle"], &[])?;
        let remedy = "write `face = \"entry\"` or `face = \"exit\"`";
        let face = self.face("face")?.ok_or_else(|| self.table.missing("face", remedy))?;
        let remedy = "give the depth below the face at which the cone meets the bore";
        let depth = required_length(self.table, "depth", remedy, self.border)?;
        if depth.value >= self.part.thickness {
            let problem = format!(
                "a countersink of {} goes through a thickness of {}",
                self.border.show_length(depth.value),
                self.border.show_length(self.part.thickness)
            );
            let remedy = "leave some bore below it";
            return Err(self.table.about(&depth, Kind::Geometry, problem, remedy));
        }
        let remedy = "give the whole angle of the cone in degrees; 100 is usual";
        let angle =
            self.angle("angle", SINKS)?.ok_or_else(|| self.table.missing("angle", remedy))?;
        let widest = self.nominal + 2.0 * depth.value * (0.5 * angle).tan();
        if widest >= 0.8 * self.part.outer_diameter {
            let problem = format!(
                "the countersink is {} wide at the face of a ring of {}",
                self.border.show_length(widest),
                self.border.show_length(self.part.outer_diameter)
            );
            let remedy = "give a smaller depth or angle";
            return Err(self.table.about(&depth, Kind::Geometry, problem, remedy));
        }
        Ok(SectionStage::Countersink { face, depth: depth.value, angle })
    }
}
