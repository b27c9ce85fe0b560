//! `[plate]` and `[[hole]]`: the plate as drawn, and whether its holes fit.

use std::collections::HashMap;

use crate::case::border::{Border, plain, required_length, unknown_word};
use crate::case::complaint::{Complaint, Kind};
use crate::case::hole::read_hole;
use crate::case::keys::part_keys;
use crate::case::names::check_name;
use crate::case::outline::read_outline;
use crate::case::table::{Table, Valued};
use crate::geometry::fit::{LEAST_LIGAMENT, ROUNDING};
use crate::geometry::hole::Hole;
use crate::geometry::plate::{Outline, Plate};
use crate::material::idealisation::Idealisation;

/// Most further paths of one hole.
const MOST_PATHS: usize = 360;

/// Diameters of fastener holes, mm: beyond these the unit is in doubt (common practice, no source).
const USUAL_DIAMETERS: [f64; 2] = [0.8, 160.0];

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
        LEAST_LIGAMENT * self.diameter
    }

    /// Whether the circle keeps clear of the plate's edges.
    pub(super) fn check_inside(&self, outline: &Outline, border: Border) -> Result<(), Complaint> {
        let near = outline.nearest_edge(self.centre);
        let (strip, edge) = (near.distance, near.name);
        let ligament = strip - 0.5 * self.diameter;
        if ligament >= self.thinnest() * (1.0 - ROUNDING) {
            return Ok(());
        }
        let problem = if strip <= 0.0 && outline.loops().outer.surrounds(self.centre) {
            format!("the centre of {} lies in the cut-out `{edge}`", self.what)
        } else if strip <= 0.0 {
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
        let thinnest = LEAST_LIGAMENT * self.diameter.max(other_diameter);
        if spacing - touching >= thinnest * (1.0 - ROUNDING) {
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
        let least = border.show_least(touching + thinnest);
        Err(self.complain(problem, format!("keep the centres at least {least} apart")))
    }
}

/// Reads `[plate]` without its alloy, its cut-outs, and the holes with their further path
/// angles in degrees. `meshed` is the outline of an imported mesh.
pub(super) fn read_plate(
    plate: &Table<'_>,
    meshed: Option<&Outline>,
    cutouts: &[Table<'_>],
    holes: &[Table<'_>],
    border: Border,
    warnings: &mut Vec<String>,
) -> Result<(Plate, Idealisation, Vec<Vec<f64>>), Complaint> {
    plate.only(&part_keys::PLATE.names())?;
    let outline = match meshed {
        Some(outline) => outline.clone(),
        None => read_outline(plate, cutouts, border)?,
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
        table.only(&part_keys::HOLE.names())?;
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
            diameter: widest(&hole),
            table,
            key: ["off_place", "at"]
                .into_iter()
                .find(|key| table.has(key))
                .unwrap_or("starting_diameter"),
        };
        circle.check_inside(&outline, border)?;
        for other in &drawn {
            circle.check_apart(&other.name, other.centre, widest(other), border)?;
        }
        angles.push(read_paths(table)?);
        note_odd_size(table, &hole, border, warnings);
        drawn.push(hole);
    }
    Ok((Plate { outline, thickness, holes: drawn }, idealisation, angles))
}

/// Diameter of the circle about the centre that holds the whole hole, mm.
fn widest(hole: &Hole) -> f64 {
    hole.starting_diameter + hole.out_of_round.map_or(0.0, |shape| shape.deviation)
}

/// Warns of a diameter that no fastener has in the unit of the file.
fn note_odd_size(table: &Table<'_>, hole: &Hole, border: Border, warnings: &mut Vec<String>) {
    let [least, most] = USUAL_DIAMETERS;
    let (diameter, key) = (hole.starting_diameter, "starting_diameter");
    if (least..=most).contains(&diameter) {
        return;
    }
    let line = table.source.place(table.key_span(key).start).0;
    let size = if diameter < least { "small" } else { "large" };
    warnings.push(format!(
        "line {line}: a hole of {} {} is very {size} for a fastener; lengths are read in {}",
        plain(diameter / border.units.length_scale()),
        border.units.length_name(),
        border.units.length_name()
    ));
}

fn read_name<'a>(table: &Table<'a>) -> Result<Valued<&'a str>, Complaint> {
    let remedy = "name every hole, for example `name = \"A\"`";
    let name = table.text("name")?.ok_or_else(|| table.missing("name", remedy))?;
    check_name(table, &name, "a hole")?;
    Ok(name)
}

fn read_paths(table: &Table<'_>) -> Result<Vec<f64>, Complaint> {
    let Some(list) = table.numbers("paths")? else { return Ok(vec![]) };
    if let Some(wrong) = list.value.iter().find(|angle| angle.abs() > 360.0) {
        let problem = format!("the path angle {} is more than a full turn", plain(*wrong));
        let remedy = "angles are in degrees, counter-clockwise from +x, -360 to 360";
        return Err(table.about(&list, Kind::OutOfRange, problem, remedy));
    }
    if list.value.len() > MOST_PATHS {
        let problem = format!("`paths` has {} angles, {MOST_PATHS} at most", list.value.len());
        let remedy = "one a degree is more than the mesh resolves";
        return Err(table.about(&list, Kind::OutOfRange, problem, remedy));
    }
    Ok(list.value)
}
