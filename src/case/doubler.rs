//! `[[doubler]]`: sheets on the plate, bonded or fastened, and the stages that join them and take them off.

mod checks;
mod fastening;
pub(super) mod sketch;
mod stages;

pub(super) use crate::case::doubler::checks::check_joined;
use crate::case::doubler::checks::{check_holes, check_rest};
use crate::case::doubler::fastening::read_fastening;
use crate::case::doubler::sketch::Sketch;

use crate::case::border::{Border, required_length, unknown_word};
use crate::case::complaint::{Complaint, Kind};
use crate::case::keys::part_keys::{ADHESIVE, DOUBLER};
use crate::case::keys::row::names;
use crate::case::metal::read_metal;
use crate::case::names::check_name;
use crate::case::region::{check_covers, read_outline};
use crate::case::table::Table;
use crate::geometry::outline::{Loop, Loops};
use crate::geometry::plate::Plate;
use crate::material::idealisation::Idealisation;
use crate::process::doubler::Bond;

/// Most doublers of a plate.
const MOST_DOUBLERS: usize = 20;
/// Thickness of a doubler over that of the plate, at least and at most.
const THICKNESS: [f64; 2] = [0.02, 50.0];
/// Shear moduli of adhesives, MPa; rubbers lie near 1, filled resins below a light metal.
const SHEAR_MODULI: [f64; 2] = [1e-3, 5e4];

/// Reads all doublers of `plate`.
pub(super) fn read_doublers<'a>(
    top: &Table<'a>,
    (plate, idealisation): (&Plate, Idealisation),
    border: Border,
    warnings: &mut Vec<String>,
) -> Result<Vec<Sketch<'a>>, Complaint> {
    let remedy = "write [[doubler]], with two brackets, above the keys of each doubler";
    let tables = top.tables("doubler", "doubler", remedy)?;
    let Some(first) = tables.first() else { return Ok(vec![]) };
    if tables.len() > MOST_DOUBLERS {
        let problem = format!("there are {} doublers, {MOST_DOUBLERS} at most", tables.len());
        return Err(top.stray("doubler", problem, "join doublers that are alike"));
    }
    check_rest(top, first, idealisation)?;
    let mut sketches: Vec<Sketch<'a>> = vec![];
    for table in tables {
        let sketch = read_doubler(table, plate, border, warnings)?;
        if sketches.iter().any(|other| other.name == sketch.name) {
            let problem = format!("there is a doubler `{}` already", sketch.name);
            let span = sketch.table.key_span("name");
            let remedy = "give every doubler its own name";
            return Err(sketch.table.source.complain(
                &span,
                "name",
                Kind::Conflict,
                problem,
                remedy,
            ));
        }
        sketches.push(sketch);
    }
    Ok(sketches)
}

fn read_doubler<'a>(
    table: Table<'a>,
    plate: &Plate,
    border: Border,
    warnings: &mut Vec<String>,
) -> Result<Sketch<'a>, Complaint> {
    table.only(&DOUBLER.names())?;
    let remedy = "name every doubler, for example `name = \"strap\"`";
    let name = table.text("name")?.ok_or_else(|| table.missing("name", remedy))?;
    check_name(&table, &name, "a doubler")?;
    let name = name.value.to_owned();
    let outline = read_outline(&table, &name, border)?;
    check_covers(&table, &outline, plate)?;
    let faces = read_faces(&table, warnings)?;
    let thickness = read_thickness(&table, plate, border)?;
    let own = table.table("material", "`material`", "write `material = { yield_stress = 300 }`")?;
    let metal = if own.is_some() || table.has("alloy") {
        Some(read_metal(&table, own.as_ref(), border, warnings)?)
    } else {
        None
    };
    let along = read_along(&table, &outline)?;
    let bond = read_bond(&table, faces, border)?;
    let fastening = read_fastening(&table, plate, faces, border)?;
    let sketch = Sketch { table, name, outline, thickness, faces, metal, along, bond, fastening };
    check_holes(&sketch, plate, border)?;
    Ok(sketch)
}

fn read_faces(table: &Table<'_>, warnings: &mut Vec<String>) -> Result<u8, Complaint> {
    let remedy = "`faces = 1` for a doubler on one face, 2 for one on either face, both alike";
    let faces = match table.count("faces")? {
        None => 1,
        Some(faces) if faces.value == 1 => 1,
        Some(faces) if faces.value == 2 => 2,
        Some(faces) => {
            let problem = format!("`faces` is {}, but a plate has two", faces.value);
            let span = faces.span.clone();
            return Err(table.source.complain(&span, "faces", Kind::OutOfRange, problem, remedy));
        }
    };
    if faces == 1 {
        let line = table.source.place(table.span.start).0;
        warnings.push(format!(
            "line {line}: a doubler on one face is eccentric: a plane model cannot say how plate and \
             doubler bend, nor how a bond peels"
        ));
    }
    Ok(faces)
}

fn read_thickness(table: &Table<'_>, plate: &Plate, border: Border) -> Result<f64, Complaint> {
    let own = required_length(table, "thickness", "give the thickness of the doubler", border)?;
    let share = own.value / plate.thickness;
    if (THICKNESS[0]..=THICKNESS[1]).contains(&share) {
        return Ok(own.value);
    }
    let problem = format!(
        "`thickness` is {}, but the plate is {} thick",
        border.show_length(own.value),
        border.show_length(plate.thickness)
    );
    let remedy = "a doubler is a fiftieth to fifty times as thick as the plate";
    Err(table.about(&own, Kind::OutOfRange, problem, remedy))
}

/// The axis that loads are counted along: the longer one, unless the case says which.
fn read_along(table: &Table<'_>, outline: &Loop) -> Result<usize, Complaint> {
    if let Some(word) = table.text("along")? {
        let axes = ["x", "y"];
        let found = axes.iter().position(|axis| *axis == word.value);
        return found.ok_or_else(|| unknown_word(table, &word, "axis of the plate", &axes));
    }
    let alone = Loops { outer: outline.clone(), inner: vec![] };
    let [low, high] = alone.bounds();
    Ok(usize::from(high[1] - low[1] > high[0] - low[0]))
}

fn read_bond(table: &Table<'_>, faces: u8, border: Border) -> Result<Option<Bond>, Complaint> {
    let remedy = "write `adhesive = { shear_modulus = 700, thickness = 0.2 }`";
    let Some(own) = table.table("adhesive", "`adhesive`", remedy)? else { return Ok(None) };
    own.only(&names(ADHESIVE))?;
    let modulus =
        own.number("shear_modulus")?.ok_or_else(|| own.missing("shear_modulus", remedy))?;
    let shear_modulus = border.stress(modulus.value);
    if !(SHEAR_MODULI[0]..=SHEAR_MODULI[1]).contains(&shear_modulus) {
        let problem = format!(
            "`shear_modulus` is {}, which no adhesive has",
            border.show_stress(shear_modulus)
        );
        let remedy = "adhesives lie between a rubber, some MPa, and a filled resin, some thousands";
        return Err(own.about(&modulus, Kind::OutOfRange, problem, remedy));
    }
    let thickness = required_length(&own, "thickness", "give the thickness of the layer", border)?;
    Ok(Some(Bond { shear_modulus, thickness: thickness.value, faces }))
}
