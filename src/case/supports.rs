//! `[[support]]`: edges that are held, and whether a load on named edges is in balance with them.

use crate::case::border::unknown_word;
use crate::case::complaint::{Complaint, Kind};
use crate::case::keys::part_keys;
use crate::case::table::{Table, Valued};
use crate::geometry::meet::meetings;
use crate::geometry::piece::Piece;
use crate::geometry::plate::{Outline, Plate};
use crate::mesh::walls::cut_at;
use crate::process::region::Region;
use crate::solver::supports::{Hold, Support};

/// A side whose ends differ by less than this share of its length across an axis is along it.
const ALONG_AXIS: f64 = 1e-9;
/// Net force of a load over the sum of its forces, and net moment over that times the size of
/// the plate, that count as balanced: the rounding of coordinates written with a few decimals.
const BALANCED: f64 = 1e-4;

/// Reads the supports.
pub(super) fn read_supports(top: &Table<'_>, outline: &Outline) -> Result<Vec<Support>, Complaint> {
    let remedy = "write [[support]], with two brackets, above the keys of each held edge";
    let mut supports: Vec<Support> = vec![];
    for table in top.tables("support", "support", remedy)? {
        table.only(&part_keys::SUPPORT.names())?;
        let remedy = "name the edge, for example `edge = \"left\"`";
        let word = table.text("edge")?.ok_or_else(|| table.missing("edge", remedy))?;
        let edge = edge(&table, &word, outline)?;
        let remedy = "\"normal\": the edge slides along itself; \"both\": it does not move at all";
        let word = table.text("hold")?.ok_or_else(|| table.missing("hold", remedy))?;
        let hold = Hold::named(word.value)
            .ok_or_else(|| unknown_word(&table, &word, "way to hold an edge", &Hold::NAMES))?;
        if supports.iter().any(|other| other.edge == edge) {
            let problem = format!("the edge `{edge}` has a support already");
            return Err(table.stray("edge", problem, "write one [[support]] for each edge"));
        }
        if hold == Hold::Normal && held_axis(outline, &edge).is_none() {
            let problem = format!("the edge `{edge}` is not straight along x or y");
            let remedy = "\"normal\" needs a straight edge along an axis; \"both\" holds any edge";
            return Err(table.about(&word, Kind::Conflict, problem, remedy));
        }
        supports.push(Support { edge, hold });
    }
    Ok(supports)
}

/// The edge of the outline that a word names.
pub(super) fn edge(
    table: &Table<'_>,
    word: &Valued<&str>,
    outline: &Outline,
) -> Result<String, Complaint> {
    let names = outline.edge_names();
    if names.iter().any(|name| name == word.value) {
        return Ok(word.value.to_owned());
    }
    let names: Vec<&str> = names.iter().map(String::as_str).collect();
    Err(unknown_word(table, word, "edge of this plate", &names))
}

fn pieces<'o>(outline: &'o [Piece], edge: &str) -> Vec<&'o Piece> {
    outline.iter().filter(|piece| piece.name == edge).collect()
}

/// The axis that an edge is held along when it cannot move across itself: 0 for an edge along y.
fn held_axis(outline: &Outline, edge: &str) -> Option<usize> {
    let loops = outline.loops();
    let all: Vec<Piece> = loops.pieces().cloned().collect();
    let axis = |piece: &Piece| {
        let slack = ALONG_AXIS * piece.length();
        let along = |axis: usize| (piece.to[axis] - piece.from[axis]).abs() <= slack;
        if piece.arc.is_some() { None } else { (0..2).find(|axis| along(*axis)) }
    };
    let axes: Vec<Option<usize>> = pieces(&all, edge).into_iter().map(axis).collect();
    axes.first().copied().flatten().filter(|first| axes.iter().all(|axis| *axis == Some(*first)))
}

/// An edge in parts of one thickness each, with that over the thickness of the plate.
fn stepped(edge: &Piece, plate: &Plate, regions: &[Region]) -> Vec<(Piece, f64)> {
    let slack = ALONG_AXIS * plate.outline.extent();
    let outlines = regions.iter().flat_map(|region| &region.outline.pieces);
    let stops: Vec<[f64; 2]> = outlines.flat_map(|piece| meetings(piece, edge, slack)).collect();
    let thickness = |part: &Piece| {
        // Just inside the metal, which lies on the left.
        let (at, [x, y]) = (part.point(0.5), part.tangent(0.5));
        let inside = [at[0] - 10.0 * slack * y, at[1] + 10.0 * slack * x];
        let last = regions.iter().rev().find(|region| region.outline.surrounds(inside));
        last.and_then(|region| region.thickness).map_or(1.0, |own| own / plate.thickness)
    };
    let parts = cut_at(edge, &stops, slack).into_iter();
    parts.map(|part| (part.clone(), thickness(&part))).collect()
}

/// Part of a load that nothing holds: `None` when it is in balance, else its net force `[x, y]` and
/// moment about the middle of the plate, per thickness and as shares of what acts. `tractions` act
/// on edges, MPa, and `forces` at points: `(mm, N/mm of thickness)`.
pub(super) fn imbalance(
    (plate, regions): (&Plate, &[Region]),
    supports: &[Support],
    tractions: &[(String, f64)],
    forces: &[([f64; 2], [f64; 2])],
) -> Option<[f64; 3]> {
    let outline = &plate.outline;
    let loops = outline.loops();
    let all: Vec<Piece> = loops.pieces().cloned().collect();
    let (middle, size) = (outline.middle(), outline.extent());
    let (mut net, mut sum) = ([0.0; 3], 0.0);
    for (edge, stress) in tractions {
        let parts = pieces(&all, edge).into_iter().flat_map(|piece| stepped(piece, plate, regions));
        for (piece, thickness) in parts {
            let stress = stress * thickness;
            // A uniform traction along the outward normal (dy, −dx) adds up to what the ends of
            // a side tell, curved or not; so does its moment, −½ d(r²).
            let [from, to] =
                [piece.from, piece.to].map(|at| [at[0] - middle[0], at[1] - middle[1]]);
            let square = |at: [f64; 2]| at[0] * at[0] + at[1] * at[1];
            net[0] += stress * (to[1] - from[1]);
            net[1] -= stress * (to[0] - from[0]);
            net[2] -= 0.5 * stress * (square(to) - square(from)) / size;
            sum += stress.abs() * piece.length();
        }
    }
    for (at, [x, y]) in forces {
        net[0] += x;
        net[1] += y;
        net[2] += ((at[0] - middle[0]) * y - (at[1] - middle[1]) * x) / size;
        sum += x.hypot(*y);
    }
    if !supports.is_empty() {
        // Any held edge stops the rotation, a built-in one everything.
        net[2] = 0.0;
        for support in supports {
            let axis = held_axis(outline, &support.edge);
            for (k, part) in net.iter_mut().take(2).enumerate() {
                if support.hold == Hold::Both || axis == Some(k) {
                    *part = 0.0;
                }
            }
        }
    }
    let share = net.map(|part| part / sum);
    share.iter().any(|part| part.abs() > BALANCED).then_some(share)
}
