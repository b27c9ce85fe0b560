//! Keys of a drawn mandrel besides its size: tapers, land, friction, direction, support.

use crate::case::border::{Border, plain, required_length, unknown_word};
use crate::case::complaint::{Complaint, Kind};
use crate::case::keys::row::names;
use crate::case::keys::section_file::SLEEVE;
use crate::case::metal::read_metal;
use crate::case::table::{Table, Valued};
use crate::geometry::mandrel::MandrelProfile;
use crate::process::section::{Face, Rim, SectionPart, SleeveEnd, SleeveLayer, Support};
use crate::process::tool::Tool;
use crate::solver::friction::Friction;

/// Half angles of tapers, degrees: below, a mandrel would be metres long; above, it is a punch.
const TAPERS: [f64; 2] = [0.1, 45.0];

/// Length of a sleeve beyond a face, over the starting diameter, unless the file says it.
const PROTRUSION: f64 = 0.1;

/// The same over its wall, at least: an end that is shorter than its wall is thick does not bend as one.
const LEAST_PROTRUSION: f64 = 3.0;

/// Thickest wall of a sleeve that is a layer of elements, over the starting diameter.
const THICKEST: f64 = 0.2;

/// A drawn mandrel but for its size.
pub(super) struct Drawn {
    /// Shape of the mandrel.
    pub(super) profile: MandrelProfile,
    /// The sleeve, where it is a layer of elements.
    pub(super) sleeve: Option<Box<SleeveLayer>>,
    /// Friction on the bore, or on the sleeve.
    pub(super) friction: Friction,
    /// Whether it enters at the exit face.
    pub(super) backwards: bool,
    /// Support that takes the pull.
    pub(super) support: Support,
}

/// Reads the keys of a mandrel that is drawn through `part`, whose sizes are those of `tool`.
pub(super) fn read_drawn(
    table: &Table<'_>,
    border: Border,
    part: &SectionPart,
    tool: &Tool,
    warnings: &mut Vec<String>,
) -> Result<Drawn, Complaint> {
    let usual = MandrelProfile::default();
    let angle = |key| angle(table, key, TAPERS);
    let profile = MandrelProfile {
        lead_angle: angle("lead_angle")?.unwrap_or(usual.lead_angle),
        trail_angle: angle("trail_angle")?.unwrap_or(usual.trail_angle),
        land: length(table, border, "land")?.unwrap_or(0.5 * part.starting_diameter),
        fillet: length(table, border, "fillet")?.unwrap_or(usual.fillet),
    };
    if profile.straight_land() < 0.0 {
        let key = if table.has("fillet") { "fillet" } else { "land" };
        let problem = format!(
            "fillets of {} do not fit a land of {}",
            border.show_length(profile.fillet),
            border.show_length(profile.land)
        );
        return Err(table.stray(key, problem, "give a longer land or smaller fillets"));
    }
    Ok(Drawn {
        profile,
        sleeve: sleeve(table, border, part, (tool.sleeve_thickness, warnings))?.map(Box::new),
        friction: friction(table, border)?,
        backwards: face(table, "enters")? == Some(Face::Exit),
        support: support(table, border, part, tool.mandrel_diameter)?,
    })
}

/// The support of the rim, when the file says it.
pub(super) fn rim(table: &Table<'_>) -> Result<Option<Rim>, Complaint> {
    choice(table, "rim", "kind of rim", [("free", Rim::Free), ("flat", Rim::Flat)])
}

/// The one of two things that the file names under `key`, which is a `kind` of thing.
fn choice<T>(
    table: &Table<'_>,
    key: &'static str,
    kind: &str,
    [one, other]: [(&str, T); 2],
) -> Result<Option<T>, Complaint> {
    match table.text(key)? {
        None => Ok(None),
        Some(word) if word.value == one.0 => Ok(Some(one.1)),
        Some(word) if word.value == other.0 => Ok(Some(other.1)),
        Some(word) => Err(unknown_word(table, &word, kind, &[one.0, other.0])),
    }
}

/// An angle in degrees within limits, as radians.
pub(super) fn angle(
    table: &Table<'_>,
    key: &'static str,
    [least, most]: [f64; 2],
) -> Result<Option<f64>, Complaint> {
    let Some(angle) = table.number(key)? else { return Ok(None) };
    if (least..=most).contains(&angle.value) {
        return Ok(Some(angle.value.to_radians()));
    }
    let problem = format!(
        "`{key}` is {}, outside {} to {} degrees",
        plain(angle.value),
        plain(least),
        plain(most)
    );
    Err(table.about(&angle, Kind::OutOfRange, problem, "angles are in degrees"))
}

/// One of the two faces, when the file names it.
pub(super) fn face(table: &Table<'_>, key: &'static str) -> Result<Option<Face>, Complaint> {
    choice(table, key, "face", [("entry", Face::Entry), ("exit", Face::Exit)])
}

fn length(table: &Table<'_>, border: Border, key: &'static str) -> Result<Option<f64>, Complaint> {
    if !table.has(key) {
        return Ok(None);
    }
    let remedy = "give a length larger than zero";
    required_length(table, key, remedy, border).map(|length| Some(length.value))
}

fn friction(table: &Table<'_>, border: Border) -> Result<Friction, Complaint> {
    let remedy = "a coefficient of friction lies between 0 and 1; 0.05 to 0.2 is usual";
    let check = |at: &Valued<f64>| {
        if (0.0..=1.0).contains(&at.value) {
            return Ok(());
        }
        let problem = format!("`{}` is {}, outside 0 to 1", at.key, plain(at.value));
        Err(table.about(at, Kind::OutOfRange, problem, remedy))
    };
    let key = "friction_by_pressure";
    let example = "for example `friction_by_pressure = [[220, 0.06], [660, 0.04]]`";
    let rows = table.pairs(key, example)?;
    match (table.number("friction")?, rows) {
        (Some(_), Some(_)) => {
            let problem = "`friction` and `friction_by_pressure` both give the friction";
            Err(table.stray(key, problem, "keep one of them"))
        }
        (Some(number), None) => {
            check(&number)?;
            Ok(Friction::constant(number.value))
        }
        (None, None) => Ok(Friction::None),
        (None, Some(rows)) => {
            let mut read: Vec<[f64; 2]> = Vec::with_capacity(rows.len());
            for row in rows {
                let [pressure, coefficient] = row.value;
                check(&Valued { value: coefficient, key, span: row.span.clone() })?;
                let pressure = border.stress(pressure);
                if read.last().is_some_and(|last| last[0] >= pressure) {
                    let problem = "pressures do not rise from row to row";
                    return Err(table.about(&row, Kind::OutOfRange, problem, example));
                }
                read.push([pressure, coefficient]);
            }
            if read.is_empty() {
                return Err(table.stray(key, "the list is empty", example));
            }
            Ok(Friction::Table(read))
        }
    }
}

/// The sleeve as a layer of elements with a wall of so many mm, when the file describes it.
fn sleeve(
    table: &Table<'_>,
    border: Border,
    part: &SectionPart,
    (wall, warnings): (f64, &mut Vec<String>),
) -> Result<Option<SleeveLayer>, Complaint> {
    let remedy = "for example `sleeve = { material = { youngs_modulus = 195000, poissons_ratio = 0.29, \
                  yield_stress = 1100 }, friction = 0.1 }`";
    let Some(own) = table.table("sleeve", "`sleeve`", remedy)? else { return Ok(None) };
    own.only(&names(SLEEVE))?;
    if wall <= 0.0 {
        let problem = "a sleeve without `sleeve_thickness` has no wall";
        return Err(table.stray("sleeve", problem, "give the wall of the sleeve"));
    }
    if wall > THICKEST * part.starting_diameter {
        let problem = format!(
            "a wall of {} is more than a fifth of the starting diameter: no sleeve",
            border.show_length(wall)
        );
        return Err(table.stray("sleeve", problem, "give a thinner wall, or leave `sleeve` out"));
    }
    let metal = own.table("material", "`material`", remedy)?;
    let metal = read_metal(&own, metal.as_ref(), border, warnings)?;
    let usual = (PROTRUSION * part.starting_diameter).max(LEAST_PROTRUSION * wall);
    Ok(Some(SleeveLayer {
        material: metal.material,
        closed: own.switch("closed")?.is_some_and(|closed| closed.value),
        friction: friction(&own, border)?,
        protrusion: length(&own, border, "protrusion")?.unwrap_or(usual),
        end: end(&own)?.unwrap_or_default(),
    }))
}

/// How the end of a sleeve stands on its stop, when the file says it.
fn end(table: &Table<'_>) -> Result<Option<SleeveEnd>, Complaint> {
    let ends = [("held", SleeveEnd::Held), ("stopped", SleeveEnd::Stopped)];
    choice(table, "end", "end of a sleeve", ends)
}

fn support(
    table: &Table<'_>,
    border: Border,
    part: &SectionPart,
    mandrel: f64,
) -> Result<Support, Complaint> {
    let remedy = "for example `support = { inner_diameter = 9.0, outer_diameter = 18.0 }`";
    let Some(cap) = table.table("support", "`support`", remedy)? else {
        return Ok(Support::Rim);
    };
    cap.only(&["inner_diameter", "outer_diameter"])?;
    let inner = required_length(&cap, "inner_diameter", remedy, border)?;
    let outer = required_length(&cap, "outer_diameter", remedy, border)?;
    if inner.value <= mandrel {
        let problem = format!(
            "a mandrel of {} does not pass a nose cap with a bore of {}",
            border.show_length(mandrel),
            border.show_length(inner.value)
        );
        let remedy = "give a larger `inner_diameter`";
        return Err(cap.about(&inner, Kind::OutOfRange, problem, remedy));
    }
    if outer.value <= inner.value || inner.value >= part.outer_diameter {
        let problem = format!(
            "no face is left to bear on between {} and {}",
            border.show_length(inner.value),
            border.show_length(outer.value.min(part.outer_diameter))
        );
        let remedy = "a nose cap is wider outside than inside, and lies on the part";
        return Err(cap.about(&outer, Kind::Geometry, problem, remedy));
    }
    Ok(Support::NoseCap { inner_diameter: inner.value, outer_diameter: outer.value })
}
