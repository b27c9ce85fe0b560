//! `[[region]]`: parts of the plate that are thicker, thinner, or of another metal.

use crate::case::border::{Border, LENGTHS, required_length};
use crate::case::complaint::{Complaint, Kind};
use crate::case::keys::part_keys::REGION;
use crate::case::metal::read_metal;
use crate::case::names::check_name;
use crate::case::outline::{CORNER_EXAMPLE, Names, point, read_corners};
use crate::case::table::{Table, Valued, quoted};
use crate::case::unsound::{Origin, outline_error};
use crate::geometry::arc::apart;
use crate::geometry::meet::{gap, meetings};
use crate::geometry::outline::{Loop, Loops};
use crate::geometry::piece::Piece;
use crate::geometry::plate::Plate;
use crate::material::idealisation::Idealisation;
use crate::process::region::Region;
use crate::process::stage::Stage;

/// Most regions of a plate.
const MOST_REGIONS: usize = 100;
/// Metal that a region leaves, or has, round a hole, over the diameter of the hole.
const LEAST_WALL: f64 = 0.05;
/// Least distance between the outlines of two regions, over the extent of the plate.
const LEAST_GAP: f64 = 1e-3;
/// Thickness of a region over that of the plate, at least and at most.
const THICKNESS: [f64; 2] = [0.02, 50.0];
/// Centres this close, over a diameter, are one.
const CONCENTRIC: f64 = 1e-9;

/// Ways to draw a region.
const SHAPES: [&str; 3] = ["circle", "rectangle", "outline"];

/// Tables of a case that know one thickness and one metal.
const ONE_METAL: [(&str, &str); 2] = [
    ("life", "crack growth knows one thickness and one metal"),
    ("section", "the section of a hole knows one thickness and one metal"),
];

/// Reads all regions of `plate`.
pub(super) fn read_regions(
    top: &Table<'_>,
    (plate, idealisation): (&Plate, Idealisation),
    border: Border,
    warnings: &mut Vec<String>,
) -> Result<Vec<Region>, Complaint> {
    let remedy = "write [[region]], with two brackets, above the keys of each region";
    let tables = top.tables("region", "region", remedy)?;
    let Some(first) = tables.first() else { return Ok(vec![]) };
    if tables.len() > MOST_REGIONS {
        let problem = format!("there are {} regions, {MOST_REGIONS} at most", tables.len());
        return Err(top.stray("region", problem, "join regions that are alike"));
    }
    check_rest(top, first)?;
    let mut regions: Vec<Region> = vec![];
    for table in &tables {
        let region = read_region(table, (plate, idealisation), border, warnings)?;
        check_holes(table, &region, plate, border)?;
        for other in &regions {
            check_apart(table, &region, other, plate)?;
        }
        regions.push(region);
    }
    let thick = |region: &Region| region.thickness.is_some();
    if let Some(at) = regions.iter().position(thick) {
        let line = tables[at].source.place(tables[at].span.start).0;
        warnings.push(format!(
            "line {line}: a step in thickness counts as centred on the middle of the plate: a plane \
             model cannot say how an eccentric step bends, nor the stress at its root"
        ));
    }
    Ok(regions)
}

/// Refuses what knows one thickness or one metal.
fn check_rest(top: &Table<'_>, first: &Table<'_>) -> Result<(), Complaint> {
    for (key, why) in ONE_METAL {
        if top.has(key) {
            let remedy = format!("leave [{key}] or [[region]] out");
            return Err(top.stray(
                key,
                format!("[{key}] does not go with [[region]]: {why}"),
                remedy,
            ));
        }
    }
    let meshed = top.table("plate", "[plate]", "")?.is_some_and(|plate| plate.has("mesh"));
    if meshed {
        let problem = "a mesh that is read from a file has no regions";
        let span = first.span.clone();
        let remedy = "draw the plate with `width` and `height` or `outline` in place of `mesh`";
        return Err(first.source.complain(&span, "region", Kind::Conflict, problem, remedy));
    }
    Ok(())
}

fn read_region(
    table: &Table<'_>,
    (plate, idealisation): (&Plate, Idealisation),
    border: Border,
    warnings: &mut Vec<String>,
) -> Result<Region, Complaint> {
    table.only(&REGION.names())?;
    let remedy = "name every region, for example `name = \"pad\"`";
    let name = table.text("name")?.ok_or_else(|| table.missing("name", remedy))?;
    check_name(table, &name, "a region")?;
    let outline = read_outline(table, name.value, border)?;
    check_covers(table, &outline, plate)?;
    let thickness = read_thickness(table, (plate, idealisation), border)?;
    let own = table.table("material", "`material`", "write `material = { yield_stress = 300 }`")?;
    let metal = if own.is_some() || table.has("alloy") {
        Some(read_metal(table, own.as_ref(), border, warnings)?)
    } else {
        None
    };
    if thickness.is_none() && metal.is_none() {
        let problem = format!("region `{}` differs from the plate in nothing", name.value);
        let remedy = "give its `thickness`, its `alloy` or its `material`";
        let span = table.span.clone();
        return Err(table.source.complain(&span, "region", Kind::MissingKey, problem, remedy));
    }
    let thermal_expansion = metal.as_ref().and_then(|metal| metal.expansion);
    let (material, material_name) = match metal {
        Some(metal) => (Some(metal.material), metal.name),
        None => (None, String::new()),
    };
    let name = name.value.to_owned();
    Ok(Region { name, outline, thickness, material, thermal_expansion, material_name })
}

/// The outline of a region, counter-clockwise.
fn read_outline(table: &Table<'_>, own: &str, border: Border) -> Result<Loop, Complaint> {
    let found: Vec<&str> = SHAPES.into_iter().filter(|key| table.has(key)).collect();
    let shape = match found[..] {
        [shape] => shape,
        [] => {
            let remedy = "give `circle = [x, y]` and `diameter`, or `rectangle`, or `outline`";
            return Err(table.missing("circle", remedy));
        }
        [_, second, ..] => {
            let problem = format!("{} has several shapes: {}", table.name, quoted(&found));
            return Err(table.stray(second, problem, "write a [[region]] for each"));
        }
    };
    if shape != "circle" && table.has("diameter") {
        let problem = format!("`diameter` has no meaning in a region with `{shape}`");
        return Err(table.stray("diameter", problem, "leave it out"));
    }
    let (outline, origin) = match shape {
        "circle" => {
            let centre = point(table, "circle", "give the centre, `circle = [x, y]`", border)?;
            let remedy = "give the diameter of the circle";
            let diameter = required_length(table, "diameter", remedy, border)?.value;
            (Loop::circle(own, centre, 0.5 * diameter), Origin::table(table))
        }
        "rectangle" => (read_rectangle(table, own, border)?, Origin::table(table)),
        _ => {
            let corners = table.tables("outline", "corner", CORNER_EXAMPLE)?;
            let numbered = corners.into_iter().enumerate();
            let corners: Vec<Table<'_>> = numbered
                .map(|(k, corner)| corner.called(format!("corner {} of {}", k + 1, table.name)))
                .collect();
            let here = (table, "the region");
            let mut names = Names::new();
            let drawn = read_corners(here, &corners, Some(own), &mut names, border)?;
            let drawn = if drawn.chain.area() < 0.0 { drawn.reversed() } else { drawn };
            (drawn.chain, Origin::corners(table, corners, drawn.corners))
        }
    };
    let alone = Loops { outer: outline, inner: vec![] };
    alone.check().map_err(|error| outline_error(&error, &[origin], border))?;
    Ok(alone.outer)
}

fn read_rectangle(table: &Table<'_>, own: &str, border: Border) -> Result<Loop, Complaint> {
    let remedy = "give two opposite corners, `rectangle = [[x, y], [x, y]]`";
    let corners =
        table.pairs("rectangle", remedy)?.ok_or_else(|| table.missing("rectangle", remedy))?;
    let complain = |problem: String| {
        let span = table.key_span("rectangle");
        table.source.complain(&span, "rectangle", Kind::OutOfRange, problem, remedy)
    };
    let [a, b] = &corners[..] else {
        return Err(complain(format!("`rectangle` has {} corners", corners.len())));
    };
    let (a, b) = (border.point(a.value), border.point(b.value));
    let low = [0, 1].map(|axis| a[axis].min(b[axis]));
    let high = [0, 1].map(|axis| a[axis].max(b[axis]));
    let size = [0, 1].map(|axis| high[axis] - low[axis]);
    if low.iter().chain(&high).any(|x| x.abs() > LENGTHS[1]) || size.iter().any(|x| *x < LENGTHS[0])
    {
        return Err(complain("these corners make no rectangle of the size of a part".to_owned()));
    }
    let corners = [low, [high[0], low[1]], high, [low[0], high[1]]];
    let side = |k: usize| Piece::straight(own, corners[k], corners[(k + 1) % 4]);
    Ok(Loop { pieces: (0..4).map(side).collect() })
}

fn read_thickness(
    table: &Table<'_>,
    (plate, idealisation): (&Plate, Idealisation),
    border: Border,
) -> Result<Option<f64>, Complaint> {
    if !table.has("thickness") {
        return Ok(None);
    }
    let own = required_length(table, "thickness", "give the thickness of the region", border)?;
    let share = own.value / plate.thickness;
    if !(THICKNESS[0]..=THICKNESS[1]).contains(&share) {
        let problem = format!(
            "`thickness` is {}, but the plate is {} thick",
            border.show_length(own.value),
            border.show_length(plate.thickness)
        );
        let remedy = "a region is a fiftieth to fifty times as thick as the plate; a hole in the metal \
                      is a [[cutout]]";
        return Err(table.about(&own, Kind::OutOfRange, problem, remedy));
    }
    if idealisation != Idealisation::PlaneStress {
        let problem = format!(
            "a region of another thickness has no meaning in {}, which a step would break",
            idealisation.name()
        );
        let remedy = "write `idealisation = \"plane stress\"` in [plate], or leave `thickness` out";
        return Err(table.about(&own, Kind::Conflict, problem, remedy));
    }
    Ok(Some(own.value))
}

/// Refuses a region with no metal of the plate in it.
fn check_covers(table: &Table<'_>, outline: &Loop, plate: &Plate) -> Result<(), Complaint> {
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
    let problem = "the region lies outside the plate";
    let remedy = "its coordinates are those of the plate";
    let key = SHAPES.into_iter().find(|key| table.has(key)).unwrap_or("region");
    Err(table.source.complain(&table.key_span(key), key, Kind::Geometry, problem, remedy))
}

/// Refuses an outline that runs through a hole, or past one too closely.
fn check_holes(
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

fn too_close(table: &Table<'_>, problem: String, least: f64, border: Border) -> Complaint {
    let key = SHAPES.into_iter().find(|key| table.has(key)).unwrap_or("region");
    let least = border.show_least(least);
    let remedy =
        format!("keep the outline at least {least} from the centre: elements are laid between");
    table.source.complain(&table.key_span(key), key, Kind::Geometry, problem, remedy)
}

/// Refuses outlines that cross or nearly touch.
fn check_apart(
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
pub(super) fn check_reams(
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
