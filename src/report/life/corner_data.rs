//! Corner cracks at the entry face as data: `corner.csv` and the block of `life.json`.

use serde_json::{Value, json};

use crate::fatigue::front::front_life::FrontLife;
use crate::fatigue::front::intensity::ANGLES;
use crate::report::escape::cell;
use crate::report::life::corner::{kind, notes};
use crate::report::number;
use crate::study::lives::{DepthSource, LifeReport, SectionUsed};
use crate::units::quantity::Quantity;

/// Columns of `corner.csv`.
pub(super) const COLUMNS: [(&str, Quantity, &str); 7] = [
    ("hole", Quantity::Name, "name of the hole"),
    ("angle_deg", Quantity::Degrees, "direction of the crack, counter-clockwise from +x"),
    ("crack", Quantity::Name, "where it lies"),
    ("state", Quantity::Name, "plain or expanded"),
    ("cycles", Quantity::Fraction, "cycles up to this size"),
    (
        "bore_length",
        Quantity::Length,
        "a, along the bore or plate edge from the entry face, or from the middle for a crack in the bore; the depth at \
         which it is through once it is",
    ),
    ("face_length", Quantity::Length, "c, along the face from the edge of hole or plate"),
];

/// Sizes against cycles of every corner crack.
#[must_use]
pub fn corner_csv(report: &LifeReport) -> Option<String> {
    let corner = report.corner.as_ref()?;
    let names: Vec<&str> = COLUMNS.iter().map(|column| column.0).collect();
    let mut text = format!("{}\n", names.join(","));
    let length = |value: f64| number::text(Quantity::Length.at_border(value, report.units));
    for at in &corner.places {
        for (state, one) in [("plain", &at.plain), ("expanded", &at.expanded)] {
            for point in &one.points {
                let cells = [
                    cell(&at.hole).into_owned(),
                    number::text(at.angle_deg),
                    kind(at.site).to_owned(),
                    state.to_owned(),
                    number::text(point.cycles),
                    length(point.a),
                    length(point.c),
                ];
                text.push_str(&cells.join(","));
                text.push('\n');
            }
        }
    }
    Some(text)
}

/// A number to the digits of every file; `null` when it is not finite.
pub(super) fn finite(value: f64) -> Value {
    if value.is_finite() { json!(number::rounded(value)) } else { Value::Null }
}

/// A section that the residual field is made of.
fn section(one: &SectionUsed, report: &LifeReport) -> Value {
    let stress = |mpa: f64| finite(Quantity::Stress.at_border(mpa, report.units));
    json!({
        "hole": one.hole,
        "outer_diameter": finite(Quantity::Length.at_border(one.outer_diameter, report.units)),
        "bore_hoop": {
            "entry": stress(one.faces.entry),
            "middle": stress(one.faces.middle),
            "exit": stress(one.faces.exit),
        },
    })
}

/// The block of `life.json`.
pub(super) fn value(report: &LifeReport) -> Value {
    let Some(corner) = &report.corner else { return Value::Null };
    let number = finite;
    let length = |value: f64| number(Quantity::Length.at_border(value, report.units));
    let [plain, expanded] = corner.lives();
    let one = |life: &FrontLife| {
        json!({
            "cycles": number(life.cycles_borne()),
            "ends": life.end,
            "through": life.through_at.is_some(),
            "bore_length": life.last().map(|last| length(last.a)),
            "face_length": life.last().map(|last| length(last.c)),
        })
    };
    json!({
        "plain_cycles": number(plain),
        "expanded_cycles": number(expanded),
        "life_improvement_factor": number(expanded / plain),
        "entry_face_share": match corner.depth {
            DepthSource::EntryShare => number(corner.entry),
            _ => Value::Null,
        },
        "entry_face_share_given": corner.given,
        "section_field": match &corner.depth {
            DepthSource::File(name) => Some(name),
            _ => None,
        },
        "sections": match &corner.depth {
            DepthSource::Sections(used) => used.iter().map(|one| section(one, report)).collect(),
            _ => Vec::new(),
        },
        "evaluation_angles_deg": ANGLES,
        "retardation": corner.retardation,
        "places": corner.places.iter().map(|at| json!({
            "hole": at.hole,
            "angle_deg": at.angle_deg,
            "crack": kind(at.site),
            "intensity": at.grower.table.source(),
            "outside": at.outside,
            "by_equations": at.by_equations.map(|[plain, expanded]| json!({
                "plain_cycles": number(plain),
                "expanded_cycles": number(expanded),
                "life_improvement_factor": number(expanded / plain),
            })),
            "plain": one(&at.plain),
            "expanded": one(&at.expanded),
        })).collect::<Vec<_>>(),
        "drawn": {
            "count": corner.band.count,
            "percentiles": corner.band.percents,
            "expanded_cycles": corner.band.lives.map(number),
            "life_improvement_factors": corner.band.factors.map(number),
            "field_shares": corner.band.spread.whole.map(number),
            "entry_face_shares": corner.band.spread.entry.map(number),
        },
        "what_moves_the_life": corner.band.swings.iter().map(|swing| json!({
            "quantity": swing.name,
            "ends": swing.ends,
            "expanded_cycles": swing.lives.map(number),
        })).collect::<Vec<_>>(),
        "flaws": corner.flaws.iter().map(|one| json!({
            "flaw": length(one.flaw),
            "plain_cycles": number(one.plain),
            "expanded_cycles": number(one.expanded),
        })).collect::<Vec<_>>(),
        "notes": notes(report),
    })
}
