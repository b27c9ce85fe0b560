//! `[plate]` and `[[hole]]`: the plate as drawn, and whether its holes fit.
//!
//! Floor 6, `case`.

use std::collections::HashMap;

use crate::case::border::{Border, required_length, unknown_word};
use crate::case::complaint::{Complaint, Kind};
use crate::case::table::{Table, Valued};
use crate::geometry::hole::Hole;
use crate::geometry::plate::{Outline, Plate};
use crate::material::idealisation::Idealisation;

/// Thinnest strip of metal between a hole and an edge or another hole, in diameters of
/// the hole. Thinner ones cannot be meshed sensibly, and the trade is a factor of ten
/// away: an edge margin of 0.55 against a minimum near 1.2 (common practice, no source).
const THINNEST_LIGAMENT: f64 = 0.05;

/// Longest name of a hole; names become parts of file names.
const LONGEST_NAME: usize = 32;

/// Keys of `[plate]`.
pub(super) const PLATE_KEYS: [&str; 7] =
    ["width", "height", "outer_diameter", "mesh", "thickness", "idealisation", "alloy"];

/// Keys of `[[hole]]`.
const HOLE_KEYS: [&str; 4] = ["name", "at", "starting_diameter", "paths"];

/// A circle that is or becomes the edge of a hole, and where the file says so.
pub(super) struct Circle<'t> {
    /// How messages call it, e.g. ``hole `A` ``.
    pub(super) what: String,
    /// Centre, mm.
    pub(super) centre: [f64; 2],
    /// Diameter, mm.
    pub(super) diameter: f64,
    /// Table that places it.
    pub(super) table: &'t Table<'t>,
    /// Key to point at.
    pub(super) key: &'static str,
}

impl Circle<'_> {
    fn complain(&self, problem: String, remedy: String) -> Complaint {
        let span = self.table.key_span(self.key);
        self.table.source.complain(&span, self.key, Kind::Geometry, problem, remedy)
    }

    fn thinnest(&self) -> f64 {
        THINNEST_LIGAMENT * self.diameter
    }

    /// Whether the circle keeps clear of the plate's edges.
    pub(super) fn check_inside(&self, outline: &Outline, border: Border) -> Result<(), Complaint> {
        let (strip, edge) = nearest_edge(outline, self.centre);
        let ligament = strip - 0.5 * self.diameter;
        if ligament >= self.thinnest() {
            return Ok(());
        }
        let problem = if strip <= 0.0 {
            format!("the centre of {} lies outside the plate", self.what)
        } else if ligament <= 0.0 {
            format!(
                "{} crosses the {edge} edge: its centre is {} away and its radius {}",
                self.what,
                border.show_length(strip),
                border.show_length(0.5 * self.diameter)
            )
        } else {
            format!(
                "{} leaves only {} of metal at the {edge} edge",
                self.what,
                border.show_length(ligament)
            )
        };
        let least = border.show_least(0.5 * self.diameter + self.thinnest());
        Err(self.complain(problem, format!("keep the centre at least {least} inside every edge")))
    }

    /// Whether the circle keeps clear of another hole.
    pub(super) fn check_apart(
        &self,
        other: &str,
        other_centre: [f64; 2],
        other_diameter: f64,
        border: Border,
    ) -> Result<(), Complaint> {
        let spacing = (self.centre[0] - other_centre[0]).hypot(self.centre[1] - other_centre[1]);
        let touching = 0.5 * (self.diameter + other_diameter);
        if spacing >= touching + self.thinnest() {
            return Ok(());
        }
        let problem = if spacing <= touching {
            format!(
                "{} overlaps hole `{other}`: the centres are {} apart and the radii add up to {}",
                self.what,
                border.show_length(spacing),
                border.show_length(touching)
            )
        } else {
            format!(
                "{} leaves only {} of metal to hole `{other}`",
                self.what,
                border.show_length(spacing - touching)
            )
        };
        let least = border.show_least(touching + self.thinnest());
        Err(self.complain(problem, format!("keep the centres at least {least} apart")))
    }
}

/// Distance from a point inside to the nearest edge of the outline, mm, negative outside,
/// and the name of that edge.
fn nearest_edge(outline: &Outline, at: [f64; 2]) -> (f64, &'static str) {
    match outline {
        Outline::Rectangle { width, height } => {
            [(at[0], "left"), (width - at[0], "right"), (at[1], "bottom"), (height - at[1], "top")]
                .into_iter()
                .min_by(|a, b| a.0.total_cmp(&b.0))
                .expect("four edges")
        }
        Outline::Disc { diameter } => (0.5 * diameter - at[0].hypot(at[1]), "rim"),
    }
}

/// Reads `[plate]` without its alloy, and the holes with their further path angles in degrees.
/// `meshed` is the outline of an imported mesh.
pub(super) fn read_plate(
    plate: &Table<'_>,
    meshed: Option<&Outline>,
    holes: &[Table<'_>],
    border: Border,
) -> Result<(Plate, Idealisation, Vec<Vec<f64>>), Complaint> {
    let outline = match meshed {
        Some(outline) => outline.clone(),
        None => read_outline(plate, border)?,
    };
    let remedy = "give the thickness of the plate";
    let thickness = required_length(plate, "thickness", remedy, border)?.value;
    let idealisation = match plate.text("idealisation")? {
        None => Idealisation::default(),
        Some(word) => Idealisation::named(word.value)
            .ok_or_else(|| unknown_word(plate, &word, "idealisation", &Idealisation::NAMES))?,
    };
    let mut drawn: Vec<Hole> = vec![];
    let mut angles = vec![];
    let mut lower_case = HashMap::new();
    for table in holes {
        table.only(&HOLE_KEYS)?;
        let name = read_name(table)?;
        let line = table.source.place(name.span.start).0;
        if let Some((earlier, line)) =
            lower_case.insert(name.value.to_lowercase(), (name.value, line))
        {
            let problem = format!("there is a hole `{earlier}` already, on line {line}");
            let remedy = "give every hole its own name; names that differ only in case are equal, \
                          because some file systems take them so";
            return Err(table.about(&name, Kind::Conflict, problem, remedy));
        }
        let hole = read_hole(table, name.value, &outline, border)?;
        let circle = Circle {
            what: format!("hole `{}`", hole.name),
            centre: hole.centre,
            diameter: hole.starting_diameter,
            table,
            key: if table.has("at") { "at" } else { "starting_diameter" },
        };
        circle.check_inside(&outline, border)?;
        for other in &drawn {
            circle.check_apart(&other.name, other.centre, other.starting_diameter, border)?;
        }
        angles.push(read_paths(table)?);
        drawn.push(hole);
    }
    Ok((Plate { outline, thickness, holes: drawn }, idealisation, angles))
}

fn read_outline(plate: &Table<'_>, border: Border) -> Result<Outline, Complaint> {
    plate.only(&PLATE_KEYS)?;
    if plate.has("outer_diameter") {
        for key in ["width", "height"] {
            if plate.has(key) {
                let problem = format!("a plate has either `outer_diameter` or `{key}`, not both");
                let remedy = "a round plate: `outer_diameter`; a rectangle: `width` and `height`";
                return Err(plate.stray(key, problem, remedy));
            }
        }
        let diameter = required_length(plate, "outer_diameter", "give the outer diameter", border)?;
        return Ok(Outline::Disc { diameter: diameter.value });
    }
    let remedy = "a rectangle needs `width` and `height`, a round plate `outer_diameter`";
    let width = required_length(plate, "width", remedy, border)?.value;
    let height = required_length(plate, "height", remedy, border)?.value;
    Ok(Outline::Rectangle { width, height })
}

fn read_name<'a>(table: &Table<'a>) -> Result<Valued<&'a str>, Complaint> {
    let remedy = "name every hole, for example `name = \"A\"`";
    let name = table.text("name")?.ok_or_else(|| table.missing("name", remedy))?;
    let fits = |letter: char| letter.is_ascii_alphanumeric() || "-_".contains(letter);
    let word = name.value;
    let problem = if word.is_empty() {
        "the name of a hole is empty".to_owned()
    } else if let Some(letter) = word.chars().find(|letter| !fits(*letter)) {
        format!("`{}` in the name of a hole cannot stand in a file name", letter.escape_debug())
    } else if word.starts_with('-') {
        format!("the name `{word}` begins with a hyphen, which commands take for an option")
    } else if word.len() > LONGEST_NAME {
        format!("the name of this hole has {} letters", word.len())
    } else {
        return Ok(name);
    };
    let remedy =
        format!("use up to {LONGEST_NAME} letters a to z, digits, `-` and `_`; it names files");
    Err(table.about(&name, Kind::OutOfRange, problem, remedy))
}

fn read_hole(
    table: &Table<'_>,
    name: &str,
    outline: &Outline,
    border: Border,
) -> Result<Hole, Complaint> {
    let centre = match (table.pair("at")?, outline) {
        (Some(at), _) => border.point(at.value),
        (None, Outline::Disc { .. }) => [0.0, 0.0],
        (None, Outline::Rectangle { .. }) => {
            let remedy = "give the drilled centre, `at = [x, y]`, from the lower left corner";
            return Err(table.missing("at", remedy));
        }
    };
    let remedy = "give the drilled diameter before expansion";
    let diameter = required_length(table, "starting_diameter", remedy, border)?;
    Ok(Hole { name: name.to_owned(), centre, starting_diameter: diameter.value })
}

fn read_paths(table: &Table<'_>) -> Result<Vec<f64>, Complaint> {
    let Some(list) = table.numbers("paths")? else { return Ok(vec![]) };
    if let Some(wrong) = list.value.iter().find(|angle| angle.abs() > 360.0) {
        let problem = format!("the path angle {wrong} is more than a full turn");
        let remedy = "angles are in degrees, counter-clockwise from +x, -360 to 360";
        return Err(table.about(&list, Kind::OutOfRange, problem, remedy));
    }
    Ok(list.value)
}
