//! Where a region may lie: inside the plate, round a hole or apart from it, apart from the others.

use crate::case::border::{Border, required_length};
use crate::case::complaint::{Complaint, Kind};
use crate::case::table::{Table, Valued};
use crate::geometry::arc::apart;
use crate::geometry::meet::{gap, meetings};
use crate::geometry::outline::Loop;
use crate::geometry::piece::Piece;
use crate::geometry::plate::Plate;
use crate::process::region::Region;
use crate::process::stage::Stage;

/// Ways to draw a region.
pub(super) const SHAPES: [&str; 3] = ["circle", "rectangle", "outline"];

/// Thickness of a region over that of the plate, at least and at most.
pub(super) const THICKNESS: [f64; 2] = [0.02, 50.0];
/// The warning about every step.
pub(super) const ECCENTRIC: &str = "a step in thickness counts as centred on the middle of the plate: a plane model cannot say how an \
     eccentric step bends, nor the stress at its root";
/// Tables of a case that know one thickness and one metal.
const ONE_METAL: [(&str, &str); 2] = [
    ("life", "crack growth knows one thickness and one metal"),
    ("section", "the section of a hole knows one thickness and one metal"),
];

/// Metal that a region leaves, or has, round a hole, over the diameter of the hole.
const LEAST_WALL: f64 = 0.05;
/// Least distance between the outlines of two regions, over the extent of the plate.
const LEAST_GAP: f64 = 1e-3;
/// Centres this close, over a diameter, are one.
const CONCENTRIC: f64 = 1e-9;

/// Refuses tables that know one thickness and one metal beside `regions`, which `source` makes.
pub(super) fn check_alone(top: &Table<'_>, regions: &str, source: &str) -> Result<(), Complaint> {
    for (key, why) in ONE_METAL {
        if top.has(key) {
            let problem = format!("[{key}] does not go with {regions}: {why}");
            return Err(top.stray(key, problem, format!("leave [{key}] or {source} out")));
        }
    }
    Ok(())
}

/// Refuses a region or a doubler with no metal of the plate in it.
pub(in crate::case) fn check_covers(
    table: &Table<'_>,
    outline: &Loop,
    plate: &Plate,
) -> Result<(), Complaint> {
    let loops = plate.outline.loops();
    let places = |pieces: &[Piece]| -> Vec<[f64; 2]> {
        pieces.iter().flat_map(|piece| [0.25, 0.5, 0.75].map(|share| piece.point(share))).collect()
    };
    let edges: Vec<Piece> = loops.pieces().cloned().collect();
    let slack = 1e-9 * plate.outline.extent();
    let within = places(&outline.pieces)
        .iter()
        .any(|at| loops.surround(*at) && loops.distance_exceeds(*at, slack));
    let crossed = outline
        .pieces
        .iter()
        .any(|piece| edges.iter().any(|edge| !meetings(piece, edge, slack).is_empty()));
    if within || crossed || places(&edges).iter().any(|at| outline.surrounds(*at)) {
        return Ok(());
    }
    let what = if table.name.contains("doubler") { "doubler" } else { "region" };
    let problem = format!("the {what} lies outside the plate");
    let remedy = "its coordinates are those of the plate";
    let key = SHAPES.into_iter().find(|key| table.has(key)).unwrap_or("region");
    Err(table.source.complain(&table.key_span(key), key, Kind::Geometry, problem, remedy))
}

/// Refuses an outline that runs through a hole, or past one too closely.
pub(super) fn check_holes(
    table: &Table<'_>,
    region: &Region,
    plate: &Plate,
    border: Border,
) -> Result<(), Complaint> {
    for hole in &plate.holes {
        let least = LEAST_WALL * hole.starting_diameter;
        let near = region.outline.pieces.iter().map(|piece| piece.distance(hole.centre));
        let near = near.fold(f64::INFINITY, f64::min);
        let round = region.outline.as_circle();
        let ring = round.is_some_and(|(centre, _)| {
            apart(centre, hole.centre) <= CONCENTRIC * hole.starting_diameter
        });
        if near - hole.radius() >= least {
            continue;
        }
        let problem = if ring && near <= hole.radius() {
            format!("region `{}` lies in hole `{}`", region.name, hole.name)
        } else {
            format!(
                "the outline of region `{}` passes the centre of hole `{}` at {}, and the hole has a \
                 radius of {}",
                region.name,
                hole.name,
                border.show_length(near),
                border.show_length(hole.radius())
            )
        };
        return Err(too_close(table, problem, hole.radius() + least, border));
    }
    Ok(())
}

pub(super) fn too_close(
    table: &Table<'_>,
    problem: String,
    least: f64,
    border: Border,
) -> Complaint {
    let key = SHAPES.into_iter().find(|key| table.has(key)).unwrap_or("region");
    let least = border.show_least(least);
    let remedy =
        format!("keep the outline at least {least} from the centre: elements are laid between");
    table.source.complain(&table.key_span(key), key, Kind::Geometry, problem, remedy)
}

/// Refuses outlines that cross or nearly touch.
pub(super) fn check_apart(
    table: &Table<'_>,
    region: &Region,
    other: &Region,
    plate: &Plate,
) -> Result<(), Complaint> {
    let key = SHAPES.into_iter().find(|key| table.has(key)).unwrap_or("region");
    if region.name == other.name {
        let problem = format!("there is a region `{}` already", other.name);
        let span = table.key_span("name");
        let remedy = "give every region its own name";
        return Err(table.source.complain(&span, "name", Kind::Conflict, problem, remedy));
    }
    let extent = plate.outline.extent();
    let close = region.outline.pieces.iter().any(|a| {
        other.outline.pieces.iter().any(|b| {
            gap(a, b).width < LEAST_GAP * extent || !meetings(a, b, 1e-9 * extent).is_empty()
        })
    });
    if !close {
        return Ok(());
    }
    let problem =
        format!("the outlines of regions `{}` and `{}` touch or cross", other.name, region.name);
    let remedy = "regions lie apart or one in the other; of two that cover a place the later counts, so \
                  a region that surrounds both can stand first";
    Err(table.source.complain(&table.key_span(key), key, Kind::Geometry, problem, remedy))
}

/// Refuses a ream that cuts through the outline of a region, or leaves a sliver of it.
pub(in crate::case) fn check_reams(
    regions: &[Region],
    plate: &Plate,
    (tables, stages): (&[Table<'_>], &[Stage]),
    border: Border,
) -> Result<(), Complaint> {
    for (table, stage) in tables.iter().zip(stages) {
        let Stage::Ream { hole, diameter, offset } = stage else { continue };
        let hole = &plate.holes[*hole];
        let axis = [0, 1].map(|k| hole.centre[k] + offset[k]);
        for region in regions {
            let round = region.outline.as_circle().filter(|(centre, _)| {
                apart(*centre, hole.centre) <= CONCENTRIC * hole.starting_diameter
            });
            let least = LEAST_WALL * hole.starting_diameter;
            // A ring about the hole may be cut away as a whole.
            let gone = round.is_some_and(|(_, radius)| {
                0.5 * diameter - offset[0].hypot(offset[1]) >= radius + 0.5 * least
            });
            let near = region.outline.pieces.iter().map(|piece| piece.distance(axis));
            let near = near.fold(f64::INFINITY, f64::min);
            if gone || near - 0.5 * diameter >= 0.5 * least {
                continue;
            }
            let problem = format!(
                "the ream of hole `{}` to {} cuts the outline of region `{}`",
                hole.name,
                border.show_length(*diameter),
                region.name
            );
            let remedy = "stay clear of the outline, or take a ring round the hole away as a whole";
            let diameter: Valued<f64> = required_length(table, "diameter", "", border)?;
            return Err(table.about(&diameter, Kind::Geometry, problem, remedy));
        }
    }
    Ok(())
}
