//! From the tables of a sheet file to a [`Sheet`].

use std::collections::BTreeMap;
use std::path::Path;

use toml::de::DeTable;

use crate::case::border::{Border, plain, required_length, unknown_word};
use crate::case::build::{not_toml, read_numerics, read_title, read_units};
use crate::case::complaint::{Complaint, Kind, Source};
use crate::case::drawing::{Circle, read_centre, read_plate};
use crate::case::keys::{self, sheet_file};
use crate::case::metal::{Metal, read_metal, read_poissons_ratio, read_youngs_modulus};
use crate::case::names::check_name;
use crate::case::sheet::{Draws, Sheet};
use crate::case::table::Table;
use crate::case::tooling::{LARGEST_EXPANSION, STEEL};
use crate::geometry::hole::Hole;
use crate::geometry::plate::Plate;
use crate::material::hardening::Material;
use crate::material::idealisation::Idealisation;
use crate::material::strains::Strains;
use crate::numeric::random::Spread;
use crate::units::Units;

/// Defaults in mm (common practice, no source).
const START_BAND: f64 = 0.05;
const SLEEVE_TOLERANCE: f64 = 0.005;
const MANDREL_BAND: f64 = 0.01;
const MANDREL_WEAR: f64 = 0.02;
const LEAST_CUT: f64 = 0.05;

/// Limits of the counts of draws and of those that are solved.
const COUNTS: [usize; 2] = [100, 1_000_000];
const HELD_OUT: [usize; 2] = [2, 50];

/// Values that the file left open, in words.
struct Assumed {
    border: Border,
    said: Vec<String>,
}

impl Assumed {
    /// A length of at least zero, mm; `usual` when the file does not give it.
    fn length(
        &mut self,
        table: Option<&Table<'_>>,
        key: &'static str,
        what: &str,
        usual: f64,
    ) -> Result<f64, Complaint> {
        if let Some(table) = table
            && let Some(number) = table.number(key)?
        {
            if number.value < 0.0 {
                let problem = format!("`{key}` is {}, less than zero", plain(number.value));
                return Err(table.about(&number, Kind::OutOfRange, problem, "give a width"));
            }
            return Ok(self.border.length(number.value));
        }
        self.said.push(format!("{what} {}", self.border.show_length(usual)));
        Ok(usual)
    }
}

/// Reads the text of a sheet file: one table after the other, in the order of the file.
pub(super) fn build(source: Source<'_>) -> Result<Sheet, Complaint> {
    let root = DeTable::parse(source.text).map_err(|error| not_toml(source, &error))?;
    let top = Table::top(source, root.get_ref());
    if top.has("stage") {
        let problem = "this is a case file and no tool sheet";
        return Err(top.stray("stage", problem, "`hoopset run` takes it"));
    }
    top.only(&keys::sheet_names())?;
    let title = read_title(&top)?;
    let units = read_units(&top)?;
    let border = Border { units };
    let mut assumed = Assumed { border, said: vec![] };
    let mut warnings = vec![];
    let (mut plate, idealisation, metal) = read_part(&top, border, &mut warnings)?;
    let hole = needed(&top, "hole")?;
    let finished = read_hole(&hole, &mut plate, border)?;
    let path = read_path(&hole)?;

    let wanted = once(&top, "expansion")?;
    let expansion = read_expansion(wanted.as_ref(), &metal.material, &mut assumed)?;
    let start = once(&top, "starting_diameter")?;
    if let Some(start) = &start {
        start.only(&sheet_file::STARTING_DIAMETER.names())?;
    }
    let start_band = assumed.length(start.as_ref(), "band", "starting hole band", START_BAND)?;
    let tool = needed(&top, "tool")?;
    tool.only(&sheet_file::TOOL.names())?;
    let (sleeve_thickness, sleeve_tolerance) = read_sleeve(&tool, &mut assumed)?;
    let mandrel_band =
        assumed.length(Some(&tool), "mandrel_band", "new mandrel band", MANDREL_BAND)?;
    let mandrel_wear = assumed.length(Some(&tool), "mandrel_wear", "mandrel wear", MANDREL_WEAR)?;
    let elastic = read_elastic(&tool, border)?;

    let ream = once(&top, "ream")?;
    if let Some(ream) = &ream {
        ream.only(&sheet_file::SHEET_REAM.names())?;
    }
    let least_cut = assumed.length(ream.as_ref(), "least_cut", "least cut", LEAST_CUT)?;
    let allowance = read_allowance(ream.as_ref(), finished[0], &mut assumed)?;
    let step = read_step(&top, border)?;
    no_bracket(&top)?;
    let (numerics, _) = read_numerics(&top, Strains::default())?;
    let draw_table = once(&top, "draws")?;
    let draws = read_draws(draw_table.as_ref())?;

    let tables = [start.as_ref(), Some(&tool), ream.as_ref(), wanted.as_ref(), Some(&hole)];
    let stem = Path::new(source.file).file_stem().unwrap_or_default().to_string_lossy();
    Ok(Sheet {
        title: title.unwrap_or_else(|| stem.into_owned()),
        units,
        plate,
        idealisation,
        material: metal.material,
        material_name: metal.name,
        material_sources: metal.sources,
        path,
        finished,
        expansion,
        start_band,
        sleeve_thickness,
        sleeve_tolerance,
        mandrel_band,
        mandrel_wear,
        elastic,
        allowance,
        least_cut,
        step,
        draws,
        numerics,
        assumed: assumed.said,
        warnings,
        text: String::new(),
        sha256: String::new(),
        file: source.file.to_owned(),
        places: places(source, tables.into_iter().flatten()),
    })
}

/// Step that sizes are rounded to, mm.
fn read_step(top: &Table<'_>, border: Border) -> Result<f64, Complaint> {
    if top.has("round_to") {
        return Ok(required_length(top, "round_to", "give a step, such as 0.01", border)?.value);
    }
    Ok(border.length(if border.units == Units::InKsi { 0.0002 } else { 0.005 }))
}

/// Rejects bounding laws, which a tool sheet does not run.
fn no_bracket(top: &Table<'_>) -> Result<(), Complaint> {
    if let Some(numerics) = once(top, "numerics")?
        && numerics.has("hardening_bracket")
    {
        let problem = "a tool sheet has no `hardening_bracket`";
        let remedy = "leave it out, or run one set of sizes as a case";
        return Err(numerics.stray("hardening_bracket", problem, remedy));
    }
    Ok(())
}

/// The table `[key]`, when the file has it.
fn once<'a>(top: &Table<'a>, key: &'static str) -> Result<Option<Table<'a>>, Complaint> {
    top.table(key, &format!("[{key}]"), &format!("write [{key}], once, and its keys below"))
}

/// The table `[key]`, which must be there.
fn needed<'a>(top: &Table<'a>, key: &'static str) -> Result<Table<'a>, Complaint> {
    once(top, key)?.ok_or_else(|| top.missing(key, format!("write [{key}] and its keys below")))
}

/// Plate without its hole, idealisation and metal.
fn read_part(
    top: &Table<'_>,
    border: Border,
    warnings: &mut Vec<String>,
) -> Result<(Plate, Idealisation, Metal), Complaint> {
    let plate_table = needed(top, "plate")?;
    if plate_table.has("mesh") {
        let problem = "a tool sheet makes its own meshes";
        return Err(plate_table.stray("mesh", problem, "draw the plate with `width`, `height`"));
    }
    let remedy = "write [[cutout]], with two brackets, above the keys of each cut-out";
    let cutouts = top.tables("cutout", "cutout", remedy)?;
    let (plate, idealisation, _) =
        read_plate(&plate_table, None, &cutouts, &[], border, &mut vec![])?;
    let own = once(top, "material")?;
    let metal = read_metal(&plate_table, own.as_ref(), border, warnings)?;
    Ok((plate, idealisation, metal))
}

/// Puts the hole into the plate; its finished diameters, smallest and largest, mm.
fn read_hole(hole: &Table<'_>, plate: &mut Plate, border: Border) -> Result<[f64; 2], Complaint> {
    hole.only(&sheet_file::SHEET_HOLE.names())?;
    let name = match hole.text("name")? {
        None => "A".to_owned(),
        Some(name) => {
            check_name(hole, &name, "a hole")?;
            name.value.to_owned()
        }
    };
    let centre = read_centre(hole, &plate.outline, border)?;
    let finished = read_finished(hole, border)?;
    Circle {
        what: format!("hole `{name}`"),
        centre,
        diameter: finished[1],
        table: hole,
        key: if hole.has("at") { "at" } else { "finished_diameter" },
    }
    .check_inside(&plate.outline, border)?;
    plate.holes.push(Hole { name, centre, starting_diameter: finished[0] });
    Ok(finished)
}

/// Direction in which the stresses are read, degrees.
fn read_path(hole: &Table<'_>) -> Result<Option<f64>, Complaint> {
    let path = hole.number("path")?;
    if let Some(angle) = path.as_ref().filter(|angle| angle.value.abs() > 360.0) {
        let problem = format!("`path` is {}, more than a full turn", plain(angle.value));
        let remedy = "angles are in degrees, counter-clockwise from +x, -360 to 360";
        return Err(hole.about(angle, Kind::OutOfRange, problem, remedy));
    }
    Ok(path.map(|angle| angle.value))
}

/// Wall of the sleeve and its tolerance, mm.
fn read_sleeve(tool: &Table<'_>, assumed: &mut Assumed) -> Result<(f64, f64), Complaint> {
    let thickness = match tool.number("sleeve_thickness")? {
        None => {
            let remedy = "give the wall of the split sleeve, 0 without one";
            return Err(tool.missing("sleeve_thickness", remedy));
        }
        Some(number) if number.value < 0.0 => {
            let problem = format!("`sleeve_thickness` is {}, less than zero", number.value);
            let remedy = "give the wall of the split sleeve, 0 without one";
            return Err(tool.about(&number, Kind::OutOfRange, problem, remedy));
        }
        Some(number) => assumed.border.length(number.value),
    };
    let tolerance = if thickness == 0.0 && !tool.has("sleeve_tolerance") {
        0.0
    } else {
        assumed.length(Some(tool), "sleeve_tolerance", "sleeve wall ±", SLEEVE_TOLERANCE)?
    };
    if tolerance > thickness {
        let problem = "`sleeve_tolerance` is larger than the sleeve is thick";
        return Err(tool.stray("sleeve_tolerance", problem, "check the decimal point"));
    }
    Ok((thickness, tolerance))
}

/// Difference of diameter between expanded and finished hole, mm, where the file gives it.
fn read_allowance(
    ream: Option<&Table<'_>>,
    finished: f64,
    assumed: &mut Assumed,
) -> Result<Option<f64>, Complaint> {
    let Some(ream) = ream.filter(|ream| ream.has("allowance")) else {
        assumed.said.push("ream allowance".to_owned());
        return Ok(None);
    };
    let remedy = "give a diameter larger than zero";
    let allowance = required_length(ream, "allowance", remedy, assumed.border)?;
    // A ream this deep leaves no hole to expand, or a slip of the decimal point.
    if allowance.value > 0.5 * finished {
        let problem = "the ream allowance is more than half of the finished hole";
        let remedy = "it is the diameter between expanded and finished hole";
        return Err(ream.about(&allowance, Kind::OutOfRange, problem, remedy));
    }
    Ok(Some(allowance.value))
}

/// Lines of the keys that a sheet can be at odds with.
fn places<'t>(
    source: Source<'_>,
    tables: impl Iterator<Item = &'t Table<'t>>,
) -> BTreeMap<&'static str, (usize, usize)> {
    let mut places = BTreeMap::new();
    for table in tables {
        let keys = ["band", "allowance", "highest", "finished_diameter"];
        for key in keys.into_iter().chain(sheet_file::TOOL.names()).filter(|key| table.has(key)) {
            places.insert(key, source.place(table.key_span(key).start));
        }
    }
    places
}

fn read_finished(hole: &Table<'_>, border: Border) -> Result<[f64; 2], Complaint> {
    let remedy = "write `finished_diameter = [smallest, largest]`";
    let pair =
        hole.pair("finished_diameter")?.ok_or_else(|| hole.missing("finished_diameter", remedy))?;
    let [low, high] = pair.value;
    // A hole that may be half as large again has no tolerance but a slip of the pen.
    if low > 0.0 && high >= low && high <= 1.5 * low && (1e-3..1e5).contains(&border.length(low)) {
        return Ok(border.point(pair.value));
    }
    let problem = format!(
        "`finished_diameter` is {} to {}, which are no limits of a hole",
        plain(low),
        plain(high)
    );
    Err(hole.about(&pair, Kind::OutOfRange, problem, remedy))
}

/// Usual applied expansion, by what the metal is (common practice, no source).
fn usual(material: &Material) -> (&'static str, [f64; 2]) {
    // Moduli of aluminium, titanium and steel lie far apart; strength tells steels apart.
    let modulus = material.elasticity.youngs_modulus;
    let strong = material.monotonic_stress(0.002) > 900.0;
    match (modulus, strong) {
        (modulus, _) if modulus < 90e3 => ("aluminium", [0.03, 0.05]),
        (modulus, _) if modulus < 150e3 => ("titanium", [0.045, 0.065]),
        (_, true) => ("high-strength steel", [0.045, 0.065]),
        (_, false) => ("low-strength steel", [0.03, 0.05]),
    }
}

fn read_expansion(
    table: Option<&Table<'_>>,
    material: &Material,
    assumed: &mut Assumed,
) -> Result<[f64; 2], Complaint> {
    let Some(table) = table else {
        let (family, band) = usual(material);
        let [low, high] = band.map(|end| 100.0 * end);
        assumed.said.push(format!("applied expansion {low} to {high} % as for {family}"));
        return Ok(band);
    };
    table.only(&sheet_file::EXPANSION.names())?;
    let remedy = "give a fraction of the starting diameter: 0.03 for 3 %";
    let end = |key| table.number(key)?.ok_or_else(|| table.missing(key, remedy));
    let (low, high) = (end("lowest")?, end("highest")?);
    if low.value <= 0.0 {
        let problem = format!("`lowest` is {}, but must be larger than zero", plain(low.value));
        return Err(table.about(&low, Kind::OutOfRange, problem, remedy));
    }
    if high.value <= low.value || high.value > LARGEST_EXPANSION {
        let problem = format!(
            "`highest` is {}, outside {} to {LARGEST_EXPANSION}",
            plain(high.value),
            plain(low.value)
        );
        return Err(table.about(&high, Kind::OutOfRange, problem, remedy));
    }
    Ok([low.value, high.value])
}

fn read_elastic(tool: &Table<'_>, border: Border) -> Result<Option<(f64, f64)>, Complaint> {
    let modulus = match tool.number("mandrel_modulus")? {
        None => STEEL.0,
        Some(number) => read_youngs_modulus(tool, &number, border)?,
    };
    let ratio = match tool.number("mandrel_poissons_ratio")? {
        None => STEEL.1,
        Some(number) => read_poissons_ratio(tool, &number)?,
    };
    if !tool.switch("rigid_mandrel")?.is_some_and(|switch| switch.value) {
        return Ok(Some((modulus, ratio)));
    }
    for key in ["mandrel_modulus", "mandrel_poissons_ratio"] {
        if tool.has(key) {
            let problem = format!("a rigid mandrel has no `{key}`");
            let remedy = format!("leave out `{key}` or `rigid_mandrel`");
            return Err(tool.stray(key, problem, remedy));
        }
    }
    Ok(None)
}

fn read_draws(table: Option<&Table<'_>>) -> Result<Draws, Complaint> {
    let mut draws = Draws {
        count: 5000,
        seed: 1,
        spreads: [Spread::Normal, Spread::Uniform, Spread::Normal, Spread::Normal],
        held_out: 4,
    };
    let Some(table) = table else { return Ok(draws) };
    table.only(&sheet_file::DRAWS.names())?;
    for (key, place, [least, most]) in
        [("count", &mut draws.count, COUNTS), ("held_out", &mut draws.held_out, HELD_OUT)]
    {
        let Some(number) = table.count(key)? else { continue };
        if !(least..=most).contains(&number.value) {
            let problem = format!("`{key}` is {}, outside {least} to {most}", number.value);
            return Err(table.about(&number, Kind::OutOfRange, problem, "take one in between"));
        }
        *place = number.value;
    }
    if let Some(seed) = table.count("seed")? {
        draws.seed = seed.value as u64;
    }
    let keys = ["starting_diameter", "mandrel", "sleeve", "finished"];
    for (key, spread) in keys.into_iter().zip(&mut draws.spreads) {
        let Some(word) = table.text(key)? else { continue };
        *spread = Spread::named(word.value)
            .ok_or_else(|| unknown_word(table, &word, "distribution", &Spread::NAMES))?;
    }
    Ok(draws)
}
