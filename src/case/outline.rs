//! The outline of `[plate]`, and `[[cutout]]`: corners, arcs and fillets, circles and slots.

use std::collections::HashMap;
use std::ops::Range;

use crate::case::border::{Border, LENGTHS, required_length};
use crate::case::complaint::{Complaint, Kind, Source};
use crate::case::keys::part_keys;
use crate::case::keys::row;
use crate::case::names::{LONGEST_NAME, check_name};
use crate::case::table::{Table, Valued, quoted};
use crate::case::unsound::{Origin, drawing_error, outline_error};
use crate::geometry::draw::{Corner, Drawn, draw};
use crate::geometry::outline::{Loop, Loops};
use crate::geometry::plate::Outline;

/// Keys that make a plate without `outline`.
const SIZE_KEYS: [&str; 3] = ["width", "height", "outer_diameter"];
/// Most corners and cut-outs of a plate together. A contour traced from a picture has more, and
/// should be drawn with arcs instead.
const MOST_CORNERS: usize = 500;

/// How to write a corner.
pub(super) const CORNER_EXAMPLE: &str =
    "for example `outline = [{ at = [0, 0] }, { at = [40, 0], fillet = 4 }, { at = [0, 30] }]`";

/// Names already given to edges, with the line each stands on; 0 for those that stand nowhere.
pub(super) type Names = HashMap<String, usize>;

/// Reads the outline of a plate and its cut-outs.
pub(super) fn read_outline(
    plate: &Table<'_>,
    cutouts: &[Table<'_>],
    border: Border,
) -> Result<Outline, Complaint> {
    let mut names = Names::new();
    let mut origins = vec![];
    let outer = if plate.has("outline") {
        if let Some(key) = SIZE_KEYS.into_iter().find(|key| plate.has(key)) {
            let problem = format!("a plate has either `outline` or `{key}`, not both");
            let remedy = "`outline` lists the corners of any plate; a rectangle needs only \
                          `width` and `height`, a round plate `outer_diameter`";
            return Err(plate.stray(key, problem, remedy));
        }
        let corners = plate.tables("outline", "corner", CORNER_EXAMPLE)?;
        let here = (plate, "the outline");
        let drawn = read_corners(here, &corners, None, &mut names, border)?;
        let drawn = if drawn.chain.area() < 0.0 { drawn.reversed() } else { drawn };
        origins.push(Origin::corners(plate, corners, drawn.corners));
        Outline::Loops(Loops { outer: drawn.chain, inner: vec![] })
    } else {
        let simple = read_simple(plate, border)?;
        names.extend(simple.edge_names().into_iter().map(|name| (name, 0)));
        origins.push(Origin::table(plate));
        if cutouts.is_empty() {
            return Ok(simple);
        }
        simple
    };
    let mut loops = outer.loops().into_owned();
    for (number, table) in cutouts.iter().enumerate() {
        let (chain, origin) = read_cutout(table, number, &mut names, border)?;
        loops.inner.push(chain);
        origins.push(origin);
    }
    if origins.iter().map(Origin::count).sum::<usize>() > MOST_CORNERS {
        let problem = format!("the plate has more than {MOST_CORNERS} corners and cut-outs");
        let remedy = "draw round sides as arcs, with `arc_through` or `fillet`";
        let span = plate.key_span("outline");
        return Err(plate.source.complain(&span, "outline", Kind::OutOfRange, problem, remedy));
    }
    check_size(plate, &loops, border)?;
    loops.check().map_err(|error| outline_error(&error, &origins, border))?;
    Ok(Outline::Loops(loops))
}

/// A rectangle or a round plate.
fn read_simple(plate: &Table<'_>, border: Border) -> Result<Outline, Complaint> {
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
    let remedy = "a rectangle needs `width` and `height`, a round plate `outer_diameter`, any \
                  other `outline`";
    let width = required_length(plate, "width", remedy, border)?.value;
    let height = required_length(plate, "height", remedy, border)?.value;
    Ok(Outline::Rectangle { width, height })
}

/// Refuses an outline of a size that no part has.
fn check_size(plate: &Table<'_>, loops: &Loops, border: Border) -> Result<(), Complaint> {
    let [low, high] = loops.bounds();
    for (axis, word) in ["wide", "high"].into_iter().enumerate() {
        let extent = high[axis] - low[axis];
        if !(LENGTHS[0]..=LENGTHS[1]).contains(&extent) {
            let problem = format!(
                "the plate is {} {word}, which is no size of a part",
                border.show_length(extent)
            );
            let remedy =
                format!("lengths are read in {}; check the corners", border.units.length_name());
            let key = if plate.has("outline") { "outline" } else { "width" };
            let span = plate.key_span(key);
            return Err(plate.source.complain(&span, key, Kind::OutOfRange, problem, remedy));
        }
    }
    Ok(())
}

/// The key that gives the shape of a cut-out; rejects others beside it.
fn read_shape(table: &Table<'_>) -> Result<&'static str, Complaint> {
    let shapes = ["outline", "circle", "slot_from"];
    let shape = match shapes.into_iter().filter(|key| table.has(key)).collect::<Vec<_>>()[..] {
        [shape] => shape,
        [] => {
            let remedy = "give `circle = [x, y]` and `diameter`, or `slot_from`, `slot_to` and \
                          `width`, or `outline`";
            return Err(table.missing("circle", remedy));
        }
        [_, second, ..] => {
            let problem = format!("{} has several shapes", table.name);
            return Err(table.stray(second, problem, "write a [[cutout]] for each"));
        }
    };
    let keys: &[&str] = match shape {
        "circle" => &["circle", "diameter"],
        "outline" => &["outline"],
        _ => &["slot_from", "slot_to", "width"],
    };
    let all = part_keys::CUTOUT.names();
    if let Some(stray) = all[1..].iter().find(|key| table.has(key) && !keys.contains(key)) {
        let problem = format!("`{stray}` has no meaning in a cut-out with `{shape}`");
        let remedy = format!("keys that go together: {}", quoted(keys));
        return Err(table.stray(stray, problem, remedy));
    }
    Ok(shape)
}

/// Reads a cut-out, run clockwise.
fn read_cutout<'t>(
    table: &Table<'t>,
    number: usize,
    names: &mut Names,
    border: Border,
) -> Result<(Loop, Origin<'t>), Complaint> {
    table.only(&part_keys::CUTOUT.names())?;
    let own = match table.text("name")? {
        Some(name) => {
            check_name(table, &name, "a cut-out")?;
            name.value.to_owned()
        }
        None => format!("cutout-{}", number + 1),
    };
    let span = if table.has("name") { table.key_span("name") } else { table.span.clone() };
    claim(names, &own, table.source, &span, "name")?;
    let shape = read_shape(table)?;
    let chain = match shape {
        "circle" => {
            let remedy = "give the centre, `circle = [x, y]`";
            let centre = point(table, "circle", remedy, border)?;
            let remedy = "give the diameter of the circle";
            let diameter = required_length(table, "diameter", remedy, border)?.value;
            Loop::circle(&own, centre, 0.5 * diameter)
        }
        "outline" => {
            let called = |(k, corner): (usize, Table<'t>)| {
                corner.called(format!("corner {} of {}", k + 1, table.name))
            };
            let corners = table.tables("outline", "corner", CORNER_EXAMPLE)?;
            let corners: Vec<Table<'t>> = corners.into_iter().enumerate().map(called).collect();
            let here = (table, "the cut-out");
            let drawn = read_corners(here, &corners, Some(&own), names, border)?;
            let drawn = if drawn.chain.area() > 0.0 { drawn.reversed() } else { drawn };
            return Ok((drawn.chain, Origin::corners(table, corners, drawn.corners)));
        }
        _ => {
            let remedy = "give the centres of the round ends, `slot_from = [x, y]` and \
                          `slot_to = [x, y]`";
            let from = point(table, "slot_from", remedy, border)?;
            let to = point(table, "slot_to", remedy, border)?;
            let width =
                required_length(table, "width", "give the width of the slot", border)?.value;
            if (from[0] - to[0]).hypot(from[1] - to[1]) < LENGTHS[0] {
                let problem = "the ends of the slot have the same centre";
                let span = table.key_span("slot_to");
                let remedy = "a round cut-out: `circle` and `diameter`";
                return Err(table.source.complain(
                    &span,
                    "slot_to",
                    Kind::Geometry,
                    problem,
                    remedy,
                ));
            }
            Loop::slot(&own, from, to, width)
        }
    };
    Ok((chain.reversed(), Origin::table(table)))
}

/// A point that must be there, mm, within the size of a part.
pub(super) fn point(
    table: &Table<'_>,
    key: &'static str,
    remedy: &str,
    border: Border,
) -> Result<[f64; 2], Complaint> {
    let at = table.pair(key)?.ok_or_else(|| table.missing(key, remedy))?;
    place(table, &at, border)
}

pub(super) fn place(
    table: &Table<'_>,
    at: &Valued<[f64; 2]>,
    border: Border,
) -> Result<[f64; 2], Complaint> {
    let point = border.point(at.value);
    if point.iter().any(|coordinate| coordinate.abs() > LENGTHS[1]) {
        let problem = format!("`{}` lies beyond the size of any part", at.key);
        let remedy =
            format!("lengths are read in {}; check the decimal point", border.units.length_name());
        return Err(table.about(at, Kind::OutOfRange, problem, remedy));
    }
    Ok(point)
}

/// Reads the corners of a chain and joins them. Sides without a name are called `own`, or by
/// their number.
pub(super) fn read_corners(
    (table, what): (&Table<'_>, &str),
    corners: &[Table<'_>],
    own: Option<&str>,
    names: &mut Names,
    border: Border,
) -> Result<Drawn, Complaint> {
    let mut read = Vec::with_capacity(corners.len().min(MOST_CORNERS));
    for corner in corners {
        corner.only(&row::names(part_keys::CORNER))?;
        let remedy = "give the corner, `at = [x, y]`; with a fillet, where its sides would meet";
        let at = point(corner, "at", remedy, border)?;
        let through = corner.pair("arc_through")?;
        let arc_through = through.map(|at| place(corner, &at, border)).transpose()?;
        let fillet = if corner.has("fillet") {
            Some(required_length(corner, "fillet", "give the radius of the fillet", border)?.value)
        } else {
            None
        };
        let name = corner.text("name")?;
        if let Some(name) = &name {
            check_name(corner, name, "an edge")?;
            claim(names, name.value, corner.source, &name.span, "name")?;
        }
        let name = name.map(|name| name.value.to_owned());
        read.push(Corner { at, fillet, arc_through, name });
    }
    let side = |k: usize| own.map_or_else(|| format!("edge-{}", k + 1), str::to_owned);
    let fillet = |k: usize| own.map_or_else(|| format!("corner-{}", k + 1), str::to_owned);
    let drawn = draw(&read, side, fillet)
        .map_err(|error| drawing_error(&error, (table, what), corners, border))?;
    if own.is_none() {
        for (piece, &corner) in drawn.chain.pieces.iter().zip(&drawn.corners) {
            if read[corner].name.as_ref() != Some(&piece.name) {
                claim(names, &piece.name, table.source, &corners[corner].span, "name")?;
            }
        }
    }
    Ok(drawn)
}

/// Takes a name, or says who has it.
fn claim(
    names: &mut Names,
    name: &str,
    source: Source<'_>,
    span: &Range<usize>,
    key: &str,
) -> Result<(), Complaint> {
    let line = source.place(span.start).0;
    let Some(earlier) = names.insert(name.to_owned(), line) else { return Ok(()) };
    let problem = if earlier == 0 {
        format!("this plate has an edge `{name}` already")
    } else {
        format!("there is an edge `{name}` already, on line {earlier}")
    };
    let remedy = format!(
        "give every edge its own name, of up to {LONGEST_NAME} letters; a load takes several, \
         `on = [\"one\", \"other\"]`"
    );
    Err(source.complain(span, key, Kind::Conflict, problem, remedy))
}
