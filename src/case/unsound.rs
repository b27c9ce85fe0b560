//! Outlines that cannot be: from a mistake in the drawing to the corner in the file.

use std::ops::Range;

use crate::case::border::Border;
use crate::case::complaint::{Complaint, Kind};
use crate::case::table::Table;
use crate::geometry::draw::DrawError;
use crate::geometry::sound::{OutlineError, PieceRef, SHARPEST_CORNER};

/// Where in the file the pieces of a chain come from.
pub(super) struct Origin<'t> {
    table: Table<'t>,
    /// The corners, and which of them each piece comes from; none for a circle, slot or size.
    corners: Option<(Vec<Table<'t>>, Vec<usize>)>,
}

impl<'t> Origin<'t> {
    /// A chain of corners; `of_piece` has the corner of each piece.
    pub(super) fn corners(
        table: &Table<'t>,
        corners: Vec<Table<'t>>,
        of_piece: Vec<usize>,
    ) -> Self {
        Self { table: table.clone(), corners: Some((corners, of_piece)) }
    }

    /// A chain that a table as a whole stands for.
    pub(super) fn table(table: &Table<'t>) -> Self {
        Self { table: table.clone(), corners: None }
    }

    /// How many corners there are; 1 for a chain without.
    pub(super) fn count(&self) -> usize {
        self.corners.as_ref().map_or(1, |(corners, _)| corners.len())
    }

    /// The place of a piece.
    fn span(&self, piece: usize) -> Range<usize> {
        match &self.corners {
            Some((corners, of_piece)) => corners[of_piece[piece]].span.clone(),
            None => self.table.span.clone(),
        }
    }
}

/// A place of the drawing as the file would write it.
fn place([x, y]: [f64; 2], border: Border) -> String {
    let number = |mm| border.show_bare_length(mm);
    format!("({}, {}) {}", number(x), number(y), border.units.length_name())
}

/// The complaint about corners that cannot be joined. `table` holds them and is called `what`.
pub(super) fn drawing_error(
    error: &DrawError,
    (table, what): (&Table<'_>, &str),
    corners: &[Table<'_>],
    border: Border,
) -> Complaint {
    let last = corners.len().saturating_sub(1);
    let (at, key, problem, remedy): (usize, &str, String, String) = match *error {
        DrawError::TooFewCorners(count) => {
            let problem = format!("{what} has {count} corners, which enclose nothing");
            let remedy = "give at least three corners, or two when a side is an arc";
            let span = table.key_span("outline");
            return table.source.complain(&span, "outline", Kind::Geometry, problem, remedy);
        }
        // The first corner on the last one: it is the last that need not be there.
        DrawError::Coincident(0) => (
            last,
            "at",
            format!("corner {} lies on the first one", last + 1),
            "leave it out: the last corner is joined to the first without being told".to_owned(),
        ),
        DrawError::Coincident(k) => (
            k,
            "at",
            format!("corner {} lies on the one before it", k + 1),
            "leave one of them out".to_owned(),
        ),
        DrawError::NoArc(k) => (
            k,
            "arc_through",
            format!(
                "no arc passes from corner {} through this point to corner {}",
                before(k, last),
                k + 1
            ),
            "choose a point off the straight line between them, about half-way along the arc"
                .to_owned(),
        ),
        DrawError::FilletAtArc(k) => (
            k,
            "fillet",
            format!("the fillet at corner {} does not lie between two straight sides", k + 1),
            "draw this rounding as a side of its own, with `arc_through`".to_owned(),
        ),
        DrawError::FilletAtNoCorner(k) => (
            k,
            "fillet",
            format!("at corner {} the outline goes straight on or straight back", k + 1),
            "a fillet rounds a corner: leave it out".to_owned(),
        ),
        DrawError::FilletTooLarge { corner, radius, largest } => (
            corner,
            "fillet",
            format!(
                "a fillet of {} does not fit corner {}: its sides are too short",
                border.show_length(radius),
                corner + 1
            ),
            if largest > 0.0 {
                format!("there is room for {}", border.show_most(largest))
            } else {
                "the fillets of the neighbouring corners leave no room: make them smaller"
                    .to_owned()
            },
        ),
    };
    let corner = &corners[at];
    corner.source.complain(&corner.key_span(key), key, Kind::Geometry, problem, remedy)
}

fn before(k: usize, last: usize) -> usize {
    if k == 0 { last + 1 } else { k }
}

/// The complaint about an outline that is drawn but cannot be; `origins` has one entry a chain.
pub(super) fn outline_error(
    error: &OutlineError,
    origins: &[Origin<'_>],
    border: Border,
) -> Complaint {
    let whole = |chain: usize| PieceRef { chain, piece: 0, name: String::new() };
    let (piece, problem, remedy): (PieceRef, String, String) = match error {
        OutlineError::Short { piece, at, length, least } => (
            piece.clone(),
            format!(
                "the edge `{}` near {} is only {} long",
                piece.name,
                place(*at, border),
                border.show_length(*length)
            ),
            format!("leave it out, or make it at least {} long", border.show_least(*least)),
        ),
        OutlineError::Sharp { piece, at, angle } => (
            piece.clone(),
            format!(
                "the corner at {}, where the edge `{}` ends, is too sharp: {:.0} degrees",
                place(*at, border),
                piece.name,
                angle.to_degrees()
            ),
            format!(
                "no corner of metal or of air may be sharper than {:.0} degrees: cut it off or \
                 round it",
                SHARPEST_CORNER.to_degrees()
            ),
        ),
        OutlineError::Crossing { pieces, at } => {
            let remedy = match (pieces[0].chain, pieces[1].chain) {
                (a, b) if a == b => "an outline goes round once: check the order of its corners",
                (0, _) => {
                    "a cut-out stays inside the outline: move it, or draw the outline round it"
                }
                _ => "cut-outs stay apart: move one, or draw both as one",
            };
            let problem = format!(
                "the edges `{}` and `{}` cross or touch at {}",
                pieces[0].name,
                pieces[1].name,
                place(*at, border)
            );
            (pieces[1].clone(), problem, remedy.to_owned())
        }
        OutlineError::Narrow { pieces, at, width, least } => (
            pieces[1].clone(),
            format!(
                "the edges `{}` and `{}` are only {} apart at {}",
                pieces[0].name,
                pieces[1].name,
                border.show_length(*width),
                place(*at, border)
            ),
            format!("keep edges at least {} apart", border.show_least(*least)),
        ),
        OutlineError::Outside { piece, at } => (
            piece.clone(),
            format!("the cut-out `{}` at {} is not in metal", piece.name, place(*at, border)),
            "a cut-out lies inside the outline and outside other cut-outs".to_owned(),
        ),
        OutlineError::WrongWay { chain } | OutlineError::NoChain { chain } => (
            whole(*chain),
            "the corners enclose no area".to_owned(),
            "list the corners in order, once round the plate".to_owned(),
        ),
    };
    let origin = &origins[piece.chain];
    let span = origin.span(piece.piece);
    origin.table.source.complain(&span, "", Kind::Geometry, problem, remedy)
}
