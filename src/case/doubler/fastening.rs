//! Fasteners of a doubler: which holes, which pins, and how far they give way.

use crate::case::border::{Border, plain, required_length, unknown_word};
use crate::case::complaint::{Complaint, Kind};
use crate::case::table::{Table, quoted};
use crate::geometry::plate::Plate;
use crate::process::doubler::Filling;
use crate::theory::fastener::Formula;

/// Keys that say something of fasteners.
const OF_FASTENERS: [&str; 8] = [
    "hole_diameter",
    "pin_diameter",
    "pin_modulus",
    "pin_poissons_ratio",
    "rigid_pin",
    "fill",
    "flexibility",
    "flexibility_formula",
];

/// Flexibilities of a fastener, mm/N: a thousandth and a thousand times those of bolts and rivets.
const FLEXIBILITIES: [f64; 2] = [1e-9, 1.0];

/// How far fasteners give way.
#[derive(Clone, Copy, Debug)]
pub(in crate::case) enum Flexibility {
    /// This far, mm/N.
    Given(f64),
    /// As a formula says.
    By(Formula),
}

/// The fasteners of a doubler, all alike.
pub(in crate::case) struct Fastening {
    pub(super) holes: Vec<usize>,
    /// Diameter of their holes in the doubler, mm; `None`: as in the plate.
    pub(super) hole_diameter: Option<f64>,
    pub(super) filling: Filling,
    pub(super) flexibility: Flexibility,
}

/// Reads the fasteners of a doubler on so many `faces`; there are some, or a bond, or both.
pub(super) fn read_fastening(
    table: &Table<'_>,
    plate: &Plate,
    faces: u8,
    border: Border,
) -> Result<Option<Fastening>, Complaint> {
    let bonded = table.has("adhesive");
    if !table.has("fasteners") {
        if let Some(key) = OF_FASTENERS.into_iter().find(|key| table.has(key)) {
            let problem = format!("`{key}` has no meaning in a doubler without `fasteners`");
            return Err(table.stray(
                key,
                problem,
                "list the holes that they are in, or leave it out",
            ));
        }
        if !bonded {
            let problem = format!("nothing joins {} to the plate", table.name);
            let remedy = "give its `fasteners`, its `adhesive`, or both";
            let span = table.span.clone();
            return Err(table.source.complain(&span, "doubler", Kind::MissingKey, problem, remedy));
        }
        return Ok(None);
    }
    let holes = read_holes(table, plate)?;
    if holes.len() < 2 && !bonded {
        let problem = "one fastener alone lets the doubler turn about it";
        let remedy = "give two or more, or an `adhesive`";
        let span = table.key_span("fasteners");
        return Err(table.source.complain(&span, "fasteners", Kind::Conflict, problem, remedy));
    }
    let hole_diameter = if table.has("hole_diameter") {
        Some(required_length(table, "hole_diameter", "give it as drilled", border)?.value)
    } else {
        None
    };
    let filling = match table.text("fill")? {
        None => Filling::Contact,
        Some(word) => match word.value {
            "contact" => Filling::Contact,
            "spring" => Filling::Spring,
            _ => {
                let words = ["contact", "spring"];
                return Err(unknown_word(table, &word, "way to fill a hole", &words));
            }
        },
    };
    if filling == Filling::Spring && table.has("pin_diameter") {
        let problem = "a spring fills its holes as they stand, whatever the diameter of the pin";
        let remedy = "leave `pin_diameter` out, or write `fill = \"contact\"`";
        return Err(table.stray("pin_diameter", problem, remedy));
    }
    let flexibility = read_flexibility(table, faces, border)?;
    Ok(Some(Fastening { holes, hole_diameter, filling, flexibility }))
}

fn read_holes(table: &Table<'_>, plate: &Plate) -> Result<Vec<usize>, Complaint> {
    let names: Vec<&str> = plate.holes.iter().map(|hole| hole.name.as_str()).collect();
    let remedy = format!("list holes of the plate: {}", quoted(&names));
    let mut holes: Vec<usize> = vec![];
    for word in table.texts("fasteners", &remedy)?.unwrap_or_default() {
        let Some(hole) = names.iter().position(|name| *name == word.value) else {
            return Err(unknown_word(table, &word, "hole of this plate", &names));
        };
        if holes.contains(&hole) {
            let problem = format!("hole `{}` is listed twice", names[hole]);
            return Err(table.about(&word, Kind::Conflict, problem, "list each hole once"));
        }
        holes.push(hole);
    }
    if holes.is_empty() {
        return Err(table.stray("fasteners", "`fasteners` lists no hole", remedy));
    }
    Ok(holes)
}

fn read_flexibility(
    table: &Table<'_>,
    faces: u8,
    border: Border,
) -> Result<Flexibility, Complaint> {
    if let Some(number) = table.number("flexibility")? {
        if table.has("flexibility_formula") {
            let problem = "the flexibility is given, so no formula is wanted";
            let remedy = "give `flexibility` or `flexibility_formula`, not both";
            return Err(table.stray("flexibility_formula", problem, remedy));
        }
        let units = border.units;
        let given = border.length(number.value) / units.force_scale();
        if (FLEXIBILITIES[0]..=FLEXIBILITIES[1]).contains(&given) {
            return Ok(Flexibility::Given(given));
        }
        let unit = format!("{}/{}", units.length_name(), units.force_name());
        let problem =
            format!("`flexibility` is {} {unit}, which no fastener has", plain(number.value));
        let remedy = format!(
            "it is the slip of two sheets over the force, in {unit}; of a bolt of 5 mm in sheets of 2 mm \
             some {}",
            plain(3e-5 * units.force_scale() / border.length(1.0))
        );
        return Err(table.about(&number, Kind::OutOfRange, problem, remedy));
    }
    let Some(word) = table.text("flexibility_formula")? else {
        return Ok(Flexibility::By(Formula::HuthBolt));
    };
    let formula = Formula::named(word.value).ok_or_else(|| {
        unknown_word(table, &word, "formula for the flexibility of a fastener", &Formula::NAMES)
    })?;
    if formula.is_double_shear() && faces == 1 {
        let problem = format!("`{}` speaks of fasteners in double shear alone", word.value);
        let remedy =
            "write `faces = 2` where a doubler lies on either face, or take another formula";
        return Err(table.about(&word, Kind::Conflict, problem, remedy));
    }
    Ok(Flexibility::By(formula))
}
