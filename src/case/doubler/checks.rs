//! Tables that do not go with a doubler, and where its holes may be.

use crate::case::border::Border;
use crate::case::complaint::{Complaint, Kind};
use crate::case::doubler::sketch::Sketch;
use crate::case::table::Table;
use crate::geometry::arc::apart;
use crate::geometry::plate::Plate;
use crate::material::idealisation::Idealisation;

/// Metal between the hole of a fastener and the edge of its doubler, or another hole, over its diameter.
const LEAST_LIGAMENT: f64 = 0.1;

/// Tables of a case that know one sheet.
const ONE_SHEET: [(&str, &str); 5] = [
    ("coating", "a photoelastic coating lies on one sheet"),
    ("gauge", "strain gauges are read on one sheet"),
    ("unknown", "unknowns are inferred from one sheet"),
    ("life", "crack growth knows one sheet"),
    ("section", "the section of a hole knows one sheet"),
];

/// Refuses what knows one sheet, and idealisations in which sheets of their own thickness have no meaning.
pub(super) fn check_rest(
    top: &Table<'_>,
    first: &Table<'_>,
    idealisation: Idealisation,
) -> Result<(), Complaint> {
    for (key, why) in ONE_SHEET {
        if top.has(key) {
            let repeated = matches!(key, "gauge" | "unknown");
            let key_in_words = if repeated { format!("[[{key}]]") } else { format!("[{key}]") };
            let remedy = format!("leave {key_in_words} or [[doubler]] out");
            let problem = format!("{key_in_words} does not go with [[doubler]]: {why}");
            return Err(top.stray(key, problem, remedy));
        }
    }
    let complain = |problem: String, remedy: &str| {
        let span = first.span.clone();
        Err(first.source.complain(&span, "doubler", Kind::Conflict, problem, remedy))
    };
    let meshed = top.table("plate", "[plate]", "")?.is_some_and(|plate| plate.has("mesh"));
    if meshed {
        let problem = "a mesh that is read from a file takes no doubler";
        let remedy = "draw the plate with `width` and `height` or `outline` in place of `mesh`";
        return complain(problem.to_owned(), remedy);
    }
    let all_three = match top.table("numerics", "[numerics]", "")? {
        Some(numerics) => numerics.switch("idealisations")?.is_some_and(|all| all.value),
        None => false,
    };
    if idealisation != Idealisation::PlaneStress || all_three {
        let problem = format!(
            "a doubler has no meaning in {}: sheets that shear on each other are thin",
            if all_three { "the other idealisations" } else { idealisation.name() }
        );
        let remedy = "write `idealisation = \"plane stress\"` in [plate], without `idealisations` in \
                      [numerics], or leave [[doubler]] out";
        return complain(problem, remedy);
    }
    Ok(())
}

/// Refuses fasteners outside the doubler, too near to its edge or to each other.
pub(super) fn check_holes(
    sketch: &Sketch<'_>,
    plate: &Plate,
    border: Border,
) -> Result<(), Complaint> {
    let Some(fastening) = &sketch.fastening else { return Ok(()) };
    let table = &sketch.table;
    let diameter =
        |hole: usize| fastening.hole_diameter.unwrap_or(plate.holes[hole].starting_diameter);
    let complain = |problem: String, remedy: String| {
        let span = table.key_span("fasteners");
        Err(table.source.complain(&span, "fasteners", Kind::Geometry, problem, remedy))
    };
    for (k, &hole) in fastening.holes.iter().enumerate() {
        let drawn = &plate.holes[hole];
        let (name, own) = (&drawn.name, &sketch.name);
        if !sketch.outline.surrounds(drawn.centre) {
            let problem = format!("the fastener in hole `{name}` lies outside doubler `{own}`");
            return complain(problem, "draw the doubler over it, or leave it out".to_owned());
        }
        let pieces = sketch.outline.pieces.iter();
        let near = pieces.map(|piece| piece.distance(drawn.centre)).fold(f64::INFINITY, f64::min);
        let least = (0.5 + LEAST_LIGAMENT) * diameter(hole);
        if near < least {
            let problem = format!(
                "the hole of doubler `{own}` at `{name}` is {} from its edge",
                border.show_length(near)
            );
            let remedy = format!(
                "keep its centre at least {} from the edge of the doubler",
                border.show_least(least)
            );
            return complain(problem, remedy);
        }
        for &other in &fastening.holes[..k] {
            let between = apart(drawn.centre, plate.holes[other].centre);
            let least = 0.5 * (diameter(hole) + diameter(other))
                + LEAST_LIGAMENT * diameter(hole).max(diameter(other));
            if between < least {
                let problem = format!(
                    "the holes of doubler `{own}` at `{}` and `{name}` leave no metal between them",
                    plate.holes[other].name
                );
                return complain(problem, "make `hole_diameter` smaller".to_owned());
            }
        }
    }
    Ok(())
}

/// Refuses a doubler that no stage joins.
pub(in crate::case) fn check_joined(
    sketches: &[Sketch<'_>],
    joined: &[bool],
) -> Result<(), Complaint> {
    let mut pairs = sketches.iter().zip(joined);
    let Some((sketch, _)) = pairs.find(|(_, joined)| !**joined) else { return Ok(()) };
    let problem = format!("no stage joins doubler `{}`", sketch.name);
    let remedy = format!("write a [[stage]] with `join = \"{}\"`, or leave it out", sketch.name);
    let span = sketch.table.key_span("name");
    Err(sketch.table.source.complain(&span, "name", Kind::Sequence, problem, remedy))
}
