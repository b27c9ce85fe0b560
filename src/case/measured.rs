//! `[[measured]]`: a user's own measurements, laid over the charts and compared with what is computed.

use crate::case::beside::read_beside;
use crate::case::border::{Border, required_length, unknown_word};
use crate::case::complaint::{Complaint, Kind};
use crate::case::depth::read_depth;
use crate::case::keys::case_file;
use crate::case::table::Table;
use crate::fatigue::front::field::USUAL_SHARE;
use crate::process::measured::{Averaged, Component, Measured};
use crate::process::section::readings::DepthMeasured;

/// Largest table, MiB; the most points it may have need a tenth of it.
const LARGEST_MIB: u64 = 1;
/// Longest words in a legend, characters.
const LONGEST_LABEL: usize = 80;

/// The part that measurements are made on.
pub(super) struct Part<'a> {
    /// Names of the holes.
    pub(super) holes: &'a [&'a str],
    /// `entry_share` of `[life]`.
    pub(super) entry_share: Option<f64>,
    /// Thickness, mm, when the file has a section.
    pub(super) thickness: Option<f64>,
    /// Whether it has nothing else.
    pub(super) alone: bool,
    pub(super) border: Border,
}

/// Reads the measurements: those compared with the plane model, and those at a depth of a section.
pub(super) fn read_measured(
    top: &Table<'_>,
    part: &Part<'_>,
) -> Result<(Vec<Measured>, Vec<DepthMeasured>), Complaint> {
    let remedy = "write [[measured]], with two brackets, above the keys of each measurement";
    let (mut plane, mut depths) = (Vec::new(), Vec::new());
    for table in &top.tables("measured", "measurement", remedy)? {
        let measured = read_one(table, part)?;
        let share = read_depth(table, part.thickness, part.border)?;
        if share.is_some() || part.alone {
            depths.push(at_depth(table, measured, share, part.alone)?);
        } else {
            plane.push(measured);
        }
    }
    Ok((plane, depths))
}

/// Points at a depth, and what they must have there.
fn at_depth(
    table: &Table<'_>,
    mut measured: Measured,
    share: Option<f64>,
    alone: bool,
) -> Result<DepthMeasured, Complaint> {
    if table.has("face") {
        let problem = "`face` is of the plane model: a section says how the stress goes through the thickness";
        return Err(table.stray("face", problem, "give `depth_share`: 0 is the entry face"));
    }
    if measured.points.iter().any(|point| point.plus_minus.is_none_or(|error| error <= 0.0)) {
        let problem =
            "stresses at a depth stand beside forces and diameters, and some have no `plus_minus`";
        return Err(table.stray("file", problem, "give the standard error of every point"));
    }
    if measured.component == Component::Radial && !alone {
        let problem = "radial stresses at a depth are known of a section file alone";
        let remedy = "measure hoop stresses, or write a section file";
        return Err(table.stray("file", problem, remedy));
    }
    // A section is the same all round.
    measured.points.iter_mut().filter(|_| alone).for_each(|point| point.angle_deg = None);
    Ok(DepthMeasured { measured, share })
}

fn read_one(table: &Table<'_>, part: &Part<'_>) -> Result<Measured, Complaint> {
    let Part { holes, entry_share, border, .. } = *part;
    table.only(&case_file::MEASURED.names())?;
    let remedy = "name the table of measured points, for example `file = \"strips.csv\"`";
    let name = table.text("file")?.ok_or_else(|| table.missing("file", remedy))?;
    let label = table.text("label")?;
    if let Some(label) = &label {
        let odd = label.value.trim().is_empty() || label.value.chars().any(char::is_control);
        if odd || label.value.chars().count() > LONGEST_LABEL {
            let problem = "`label` is empty, too long, or holds a control character";
            let remedy = format!("one line of up to {LONGEST_LABEL} characters: method and source");
            return Err(table.about(label, Kind::OutOfRange, problem, remedy));
        }
    }
    let shown = name.value.escape_debug().to_string();
    let text = read_beside(table, &name, LARGEST_MIB)?;
    let words =
        label.as_ref().map_or_else(|| format!("measured ({})", name.value), |l| l.value.to_owned());
    let mut measured = Measured::from_csv(&words, &text, border.units).map_err(|fault| {
        let remedy =
            "a head `distance,hoop`, perhaps `plus_minus`, `hole`, `angle_deg`, and a row a point";
        table.about(&name, Kind::WrongType, format!("`{shown}` {fault}"), remedy)
    })?;
    measured.averaged = read_averaged(table, border)?;
    measured.face_share = read_face(table, entry_share)?;
    let strange = measured.points.iter().filter_map(|point| point.hole.as_deref());
    match strange.into_iter().find(|hole| !holes.contains(hole)) {
        None => Ok(measured),
        Some(hole) => {
            let problem = format!("`{shown}` has points of hole `{}`", hole.escape_debug());
            let remedy = format!("holes of this case: {}", crate::case::table::quoted(holes));
            Err(table.about(&name, Kind::UnknownName, problem, remedy))
        }
    }
}

/// The share that the face of the points has of the stress of the plane model: `entry_share` of `[life]`, or the usual
/// one.
fn read_face(table: &Table<'_>, entry_share: Option<f64>) -> Result<Option<f64>, Complaint> {
    let Some(face) = table.text("face")? else { return Ok(None) };
    match case_file::FACES.iter().position(|known| *known == face.value) {
        Some(0) => Ok(Some(entry_share.unwrap_or(USUAL_SHARE))),
        Some(_) => Ok(None),
        None => Err(unknown_word(table, &face, "face", &case_file::FACES)),
    }
}

/// The part of the metal that the method averages over.
fn read_averaged(table: &Table<'_>, border: Border) -> Result<Averaged, Complaint> {
    let remedy = "give the length that the method averages over";
    match (table.has("spot"), table.has("gauge_length")) {
        (false, false) => Ok(Averaged::Point),
        (true, true) => {
            let problem = "`spot` and `gauge_length` both say what is averaged over";
            Err(table.stray("gauge_length", problem, "keep one of them"))
        }
        (true, _) => Ok(Averaged::Spot(required_length(table, "spot", remedy, border)?.value)),
        _ => Ok(Averaged::Length(required_length(table, "gauge_length", remedy, border)?.value)),
    }
}
