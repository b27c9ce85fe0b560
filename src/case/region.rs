//! `[[region]]`: parts of the plate that are thicker, thinner, or of another metal.

mod checks;
mod imported;

pub(super) use crate::case::region::checks::{check_covers, check_reams};
pub(super) use crate::case::region::imported::regions_of_mesh;

use crate::case::border::{Border, LENGTHS, required_length};
use crate::case::complaint::{Complaint, Kind};
use crate::case::keys::part_keys::REGION;
use crate::case::metal::read_metal;
use crate::case::names::check_name;
use crate::case::outline::{CORNER_EXAMPLE, Names, point, read_corners};
use crate::case::region::checks::{
    ECCENTRIC, SHAPES, THICKNESS, check_alone, check_apart, check_holes,
};
use crate::case::table::{Table, quoted};
use crate::case::unsound::{Origin, outline_error};
use crate::geometry::outline::{Loop, Loops};
use crate::geometry::piece::Piece;
use crate::geometry::plate::Plate;
use crate::material::idealisation::Idealisation;
use crate::process::region::Region;

/// Most regions of a plate.
const MOST_REGIONS: usize = 100;

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
        warnings.push(format!("line {line}: {ECCENTRIC}"));
    }
    Ok(regions)
}

/// Refuses what knows one thickness or one metal.
fn check_rest(top: &Table<'_>, first: &Table<'_>) -> Result<(), Complaint> {
    check_alone(top, "[[region]]", "[[region]]")?;
    let meshed = top.table("plate", "[plate]", "")?.is_some_and(|plate| plate.has("mesh"));
    if meshed {
        let problem = "no region can be drawn on a mesh that is read from a file";
        let span = first.span.clone();
        let remedy = "give the cells of the mesh an array `thickness`, or draw the plate with `width` and \
                      `height` or `outline` in place of `mesh`";
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
    Ok(Region {
        name,
        outline,
        thickness,
        material,
        thermal_expansion,
        material_name,
        elements: None,
    })
}

/// The outline of a region or a doubler, counter-clockwise.
pub(super) fn read_outline(
    table: &Table<'_>,
    own: &str,
    border: Border,
) -> Result<Loop, Complaint> {
    let found: Vec<&str> = SHAPES.into_iter().filter(|key| table.has(key)).collect();
    let what = if table.name.contains("doubler") { "doubler" } else { "region" };
    let shape = match found[..] {
        [shape] => shape,
        [] => {
            let remedy = "give `circle = [x, y]` and `diameter`, or `rectangle`, or `outline`";
            return Err(table.missing("circle", remedy));
        }
        [_, second, ..] => {
            let problem = format!("{} has several shapes: {}", table.name, quoted(&found));
            return Err(table.stray(second, problem, format!("write a [[{what}]] for each")));
        }
    };
    if shape != "circle" && table.has("diameter") {
        let problem = format!("`diameter` has no meaning in a {what} with `{shape}`");
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
            let here = (table, if what == "region" { "the region" } else { "the doubler" });
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
