//! From the tables of a sheet file to a [`Sheet`].

use std::collections::BTreeMap;
use std::path::Path;

use toml::de::DeTable;

use crate::case::border::{Border, plain, required_length};
use crate::case::build::{not_toml, read_numerics, read_title, read_units};
use crate::case::complaint::{Complaint, Kind, Source};
use crate::case::drawing::{Circle, read_plate};
use crate::case::hole::read_place;
use crate::case::keys::{self, sheet_file};
use crate::case::metal::{Metal, read_metal};
use crate::case::names::check_name;
use crate::case::sheet::Sheet;
use crate::case::sheet::oversize::read_oversizes;
use crate::case::sheet::tooling::{
    Assumed, read_allowance, read_draws, read_elastic, read_expansion, read_finished, read_sleeve,
};
use crate::case::table::Table;
use crate::geometry::hole::Hole;
use crate::geometry::plate::Plate;
use crate::material::idealisation::Idealisation;
use crate::units::Units;

/// Defaults in mm (common practice, no source).
const START_BAND: f64 = 0.05;
const MANDREL_BAND: f64 = 0.01;
const MANDREL_WEAR: f64 = 0.02;
const LEAST_CUT: f64 = 0.05;

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
    let oversizes = read_oversizes(&top, &plate, finished, &mut assumed)?;
    let step = read_step(&top, border)?;
    no_bracket(&top)?;
    let (numerics, _) = read_numerics(&top)?;
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
        oversizes,
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
    let centre = read_place(hole, &plate.outline, border)?;
    let finished = read_finished(hole, border)?;
    Circle {
        what: format!("hole `{name}`"),
        centre,
        diameter: finished[1],
        table: hole,
        key: if hole.has("at") { "at" } else { "finished_diameter" },
    }
    .check_inside(&plate.outline, border)?;
    plate.holes.push(Hole::round(name, centre, finished[0]));
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
