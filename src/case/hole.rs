//! `[[hole]]`: where it is, where it was drilled, its size, and how round it is.

use crate::case::border::{Border, plain, required_length};
use crate::case::complaint::{Complaint, Kind};
use crate::case::table::Table;
use crate::geometry::hole::Hole;
use crate::geometry::plate::Outline;
use crate::geometry::roundness::OutOfRound;

/// Largest deviation from roundness over the diameter: ten times that of a poor hole (common practice, no
/// source).
const LARGEST_DEVIATION: f64 = 0.05;

/// Lobes of a hole, when the file does not say: an oval.
const LOBES: u8 = 2;

/// Most lobes: the mesh has eighty elements round a hole.
const MOST_LOBES: usize = 12;

/// Reads a hole of this name.
pub(super) fn read_hole(
    table: &Table<'_>,
    name: &str,
    outline: &Outline,
    border: Border,
) -> Result<Hole, Complaint> {
    let place = read_place(table, outline, border)?;
    let missed = read_off_place(table, border)?;
    let remedy = "give the drilled diameter before expansion";
    let diameter = required_length(table, "starting_diameter", remedy, border)?;
    Ok(Hole {
        out_of_round: read_roundness(table, diameter.value, border)?,
        ..Hole::round(name, [place[0] + missed[0], place[1] + missed[1]], diameter.value)
    })
}

/// Place of the hole on the drawing, mm; the centre of a round plate when the file does not say.
pub(super) fn read_place(
    table: &Table<'_>,
    outline: &Outline,
    border: Border,
) -> Result<[f64; 2], Complaint> {
    Ok(match (table.pair("at")?, outline) {
        (Some(at), _) => border.point(at.value),
        (None, Outline::Disc { .. }) => [0.0, 0.0],
        (None, Outline::Rectangle { .. }) => {
            let remedy = "give the drilled centre, `at = [x, y]`, from the lower left corner";
            return Err(table.missing("at", remedy));
        }
        (None, Outline::Loops(_)) => {
            let remedy = "give the drilled centre, `at = [x, y]`, as the outline counts x and y";
            return Err(table.missing("at", remedy));
        }
    })
}

/// By how much the drilled centre missed its place `[x, y]`, mm.
pub(super) fn read_off_place(table: &Table<'_>, border: Border) -> Result<[f64; 2], Complaint> {
    Ok(table.pair("off_place")?.map_or([0.0; 2], |missed| border.point(missed.value)))
}

fn read_roundness(
    table: &Table<'_>,
    diameter: f64,
    border: Border,
) -> Result<Option<OutOfRound>, Complaint> {
    let lobes = table.count("lobes")?;
    let angle = table.number("lobe_angle")?;
    let Some(deviation) = table.number("roundness")? else {
        for key in ["lobes", "lobe_angle"] {
            if table.has(key) {
                let problem = format!("`{key}` has no meaning for a round hole");
                let remedy = "give `roundness`, the distance between the two circles that hold \
                              the edge, or leave it out";
                return Err(table.stray(key, problem, remedy));
            }
        }
        return Ok(None);
    };
    let most = LARGEST_DEVIATION * diameter;
    if deviation.value < 0.0 || border.length(deviation.value) > most {
        let problem = format!(
            "`roundness` is {}, but must lie between 0 and {}",
            plain(deviation.value),
            border.show_most(most)
        );
        let remedy = "give the distance between the two concentric circles that hold the edge; a \
                      few hundredths of a millimetre are much";
        return Err(table.about(&deviation, Kind::OutOfRange, problem, remedy));
    }
    let number = match &lobes {
        None => LOBES,
        Some(lobes) => match u8::try_from(lobes.value) {
            Ok(number) if (2..=MOST_LOBES).contains(&lobes.value) => number,
            _ => {
                let problem =
                    format!("`lobes` is {}, but must lie between 2 and {MOST_LOBES}", lobes.value);
                let remedy = "2 is an oval, 3 what a twist drill leaves in thin sheet; a hole with \
                              one lobe is round and off its place: `off_place`";
                return Err(table.about(lobes, Kind::OutOfRange, problem, remedy));
            }
        },
    };
    let toward = match angle {
        None => 0.0,
        Some(angle) if angle.value.abs() <= 360.0 => angle.value.to_radians(),
        Some(angle) => {
            let problem = format!("`lobe_angle` is {}, more than a full turn", plain(angle.value));
            let remedy = "angles are in degrees, counter-clockwise from +x, -360 to 360";
            return Err(table.about(&angle, Kind::OutOfRange, problem, remedy));
        }
    };
    let deviation = border.length(deviation.value);
    Ok((deviation > 0.0).then_some(OutOfRound { deviation, lobes: number, toward }))
}
