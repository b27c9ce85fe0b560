//! Repair sizes of a sheet file: `[[oversize]]`.

use crate::case::border::plain;
use crate::case::complaint::{Complaint, Kind};
use crate::case::keys::sheet_file;
use crate::case::sheet::Oversize;
use crate::case::sheet::tooling::{Assumed, read_finished};
use crate::case::table::Table;
use crate::geometry::fit::{LEAST_LIGAMENT, ROUNDING};
use crate::geometry::plate::Plate;

/// Least edge margin e/D of a repair size (common practice, no source).
const LEAST_EDGE_MARGIN: f64 = 1.2;

/// Edge margins that can be asked for: the least ligament that a plate is accepted with, and a slip of
/// the decimal point.
const EDGE_MARGINS: [f64; 2] = [0.5 + LEAST_LIGAMENT, 10.0];

/// Most repair sizes of one hole.
const MOST: usize = 12;

/// Reads the repair sizes, each larger than the one before and than the first size, `finished` mm.
pub(super) fn read_oversizes(
    top: &Table<'_>,
    plate: &Plate,
    finished: [f64; 2],
    assumed: &mut Assumed,
) -> Result<Vec<Oversize>, Complaint> {
    let remedy = "write [[oversize]], with two brackets, above the keys of each repair size";
    let tables = top.tables("oversize", "oversize", remedy)?;
    if tables.len() > MOST {
        let problem = format!("{} repair sizes, more than {MOST}", tables.len());
        return Err(top.stray("oversize", problem, "leave out those that no shop would use"));
    }
    let mut sizes: Vec<Oversize> = Vec::with_capacity(tables.len());
    let mut usual = false;
    for table in &tables {
        table.only(&sheet_file::OVERSIZE.names())?;
        let before = sizes.last().map_or(finished, |size| size.finished);
        let least = read_least_margin(table)?;
        usual |= least.is_none();
        sizes.push(read_oversize(
            table,
            plate,
            before,
            least.unwrap_or(LEAST_EDGE_MARGIN),
            assumed,
        )?);
    }
    if usual {
        assumed.said.push(format!("least edge margin of an oversize {LEAST_EDGE_MARGIN}"));
    }
    Ok(sizes)
}

fn read_least_margin(table: &Table<'_>) -> Result<Option<f64>, Complaint> {
    let Some(least) = table.number("least_edge_margin")? else { return Ok(None) };
    let [low, high] = EDGE_MARGINS;
    if (low..=high).contains(&least.value) {
        return Ok(Some(least.value));
    }
    let problem = format!("`least_edge_margin` is {}, outside {low} to {high}", plain(least.value));
    let remedy = "it is the distance of the centre from the edge over the finished diameter";
    Err(table.about(&least, Kind::OutOfRange, problem, remedy))
}

/// One repair size after a hole of the limits `before`, mm.
fn read_oversize(
    table: &Table<'_>,
    plate: &Plate,
    before: [f64; 2],
    least: f64,
    assumed: &Assumed,
) -> Result<Oversize, Complaint> {
    let border = assumed.border;
    let finished = read_finished(table, border)?;
    let span = table.key_span("finished_diameter");
    let complain = |kind, problem, remedy| {
        Err(table.source.complain(&span, "finished_diameter", kind, problem, remedy))
    };
    if finished[0] <= before[1] {
        let problem = format!(
            "{} may be as small as {}, and the size before it as large as {}",
            table.name,
            border.show_length(finished[0]),
            border.show_length(before[1])
        );
        let remedy = "give the sizes in the order they are worked, each larger than the last";
        return complain(Kind::OutOfRange, problem, remedy.to_owned());
    }
    let edge = plate.nearest_edge(0);
    let margin = edge.distance / finished[1];
    if margin < least * (1.0 - ROUNDING) {
        let problem = format!(
            "{} has an edge margin e/D of {margin:.3} to the {} edge, less than {}",
            table.name,
            edge.name,
            plain(least)
        );
        let remedy = format!(
            "end the chain before {}, or state a smaller `least_edge_margin`",
            border.show_length(edge.distance / least)
        );
        return complain(Kind::Geometry, problem, remedy);
    }
    Ok(Oversize { finished, place: table.source.place(span.start) })
}
