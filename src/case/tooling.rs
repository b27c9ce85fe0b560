//! Keys of an expand stage: mandrel, sleeve, slit, elasticity.

use crate::case::border::{Border, plain, required_length, unknown_word};
use crate::case::complaint::{Complaint, Kind};
use crate::case::metal::{read_poissons_ratio, read_youngs_modulus};
use crate::case::standing::Standing;
use crate::case::table::Table;
use crate::process::tool::{Centre, Split, Tool};

/// Applied expansion that is refused: beyond every use (common practice, no source).
pub(super) const LARGEST_EXPANSION: f64 = 0.10;

/// Applied expansion beyond the usual 3 to 6 % (common practice, no source).
pub(super) const UNUSUAL_EXPANSION: f64 = 0.06;

/// A mandrel farther off the axis, over the diameter, would tear the hole on one side (common practice, no source).
const LARGEST_OFFSET: f64 = 0.05;

/// Mandrel or pin of steel, `(E in MPa, ν)` (common practice, no source).
pub(super) const STEEL: (f64, f64) = (200_000.0, 0.3);

/// The key that says how large the tool is.
pub(super) fn size_key(table: &Table<'_>) -> &'static str {
    if table.has("applied_expansion") { "applied_expansion" } else { "mandrel_diameter" }
}

/// Reads the tool for a hole of `nominal` diameter, mm.
pub(super) fn read_tool(
    table: &Table<'_>,
    nominal: f64,
    border: Border,
) -> Result<Tool, Complaint> {
    let (mandrel_diameter, sleeve_thickness) = read_sizes(table, nominal, border)?;
    let centre = read_centre(table)?;
    Ok(Tool {
        mandrel_diameter,
        sleeve_thickness,
        split: read_split(table, sleeve_thickness)?,
        elastic: read_elastic(table, border)?,
        centre,
        offset: read_offset(table, centre, nominal, border)?,
    })
}

fn read_centre(table: &Table<'_>) -> Result<Centre, Complaint> {
    match table.text("centre")? {
        None => Ok(Centre::default()),
        Some(word) => match word.value {
            "floating" => Ok(Centre::Floating),
            "held" => Ok(Centre::Held),
            _ => Err(unknown_word(table, &word, "kind of centre", &["floating", "held"])),
        },
    }
}

/// Where a held mandrel stands from the axis of a hole of `nominal` diameter, mm.
fn read_offset(
    table: &Table<'_>,
    centre: Centre,
    nominal: f64,
    border: Border,
) -> Result<[f64; 2], Complaint> {
    let Some(written) = table.pair("offset")? else { return Ok([0.0; 2]) };
    let offset = border.point(written.value);
    if centre == Centre::Floating && offset[0].hypot(offset[1]) > 0.0 {
        let problem = "a floating mandrel finds its own place, so that `offset` has no meaning";
        let remedy = "write `centre = \"held\"`, or leave `offset` out";
        return Err(table.about(&written, Kind::Conflict, problem.to_owned(), remedy));
    }
    let most = LARGEST_OFFSET * nominal;
    if offset[0].hypot(offset[1]) > most {
        let problem = format!(
            "`offset` puts the mandrel {} off the axis of the hole",
            border.show_length(offset[0].hypot(offset[1]))
        );
        let remedy = format!("{} is the most that is modelled", border.show_most(most));
        return Err(table.about(&written, Kind::OutOfRange, problem, remedy));
    }
    Ok(offset)
}

/// Mandrel diameter and sleeve thickness, mm.
fn read_sizes(table: &Table<'_>, nominal: f64, border: Border) -> Result<(f64, f64), Complaint> {
    let Some(expansion) = table.number("applied_expansion")? else {
        let remedy = "give `mandrel_diameter` and `sleeve_thickness`, or `applied_expansion`";
        let mandrel = required_length(table, "mandrel_diameter", remedy, border)?;
        let sleeve = match table.number("sleeve_thickness")? {
            None => 0.0,
            Some(sleeve) if sleeve.value < 0.0 => {
                let problem =
                    format!("`sleeve_thickness` is {}, but must not be negative", sleeve.value);
                let remedy = "give the wall of the sleeve; leave it out when there is none";
                return Err(table.about(&sleeve, Kind::OutOfRange, problem, remedy));
            }
            Some(sleeve) => border.length(sleeve.value),
        };
        return Ok((mandrel.value, sleeve));
    };
    for key in ["mandrel_diameter", "sleeve_thickness"] {
        if table.has(key) {
            let problem = format!("`applied_expansion` and `{key}` both say how large the tool is");
            let remedy = "keep `applied_expansion`, or the sizes of mandrel and sleeve";
            return Err(table.stray(key, problem, remedy));
        }
    }
    if expansion.value <= 0.0 {
        let problem =
            format!("`applied_expansion` is {}, but must be larger than zero", expansion.value);
        let remedy = "give a fraction of the diameter: 0.04 for 4 %";
        return Err(table.about(&expansion, Kind::OutOfRange, problem, remedy));
    }
    Ok((nominal * (1.0 + expansion.value), 0.0))
}

fn read_split(table: &Table<'_>, sleeve_thickness: f64) -> Result<Option<Split>, Complaint> {
    let (angle, gap) = match (table.number("split_angle")?, table.number("split_gap")?) {
        (None, None) => return Ok(None),
        (Some(angle), Some(gap)) => (angle, gap),
        (Some(_), None) => {
            let remedy = "give the angle that the open slit spans, in degrees; 3 to 8 is common";
            return Err(table.missing("split_gap", remedy));
        }
        (None, Some(_)) => {
            let remedy = "give the direction of the slit in degrees, counter-clockwise from +x";
            return Err(table.missing("split_angle", remedy));
        }
    };
    if angle.value.abs() > 360.0 {
        let problem = format!("`split_angle` is {}, more than a full turn", plain(angle.value));
        let remedy = "angles are in degrees, counter-clockwise from +x, -360 to 360";
        return Err(table.about(&angle, Kind::OutOfRange, problem, remedy));
    }
    if !(gap.value > 0.0 && gap.value < 90.0) {
        let problem = format!(
            "`split_gap` is {}, but must lie above 0 and below 90 degrees",
            plain(gap.value)
        );
        let remedy = "give the angle that the open slit spans at the hole edge";
        return Err(table.about(&gap, Kind::OutOfRange, problem, remedy));
    }
    if sleeve_thickness == 0.0 && table.has("mandrel_diameter") {
        let problem = "a slit needs a sleeve, and `sleeve_thickness` is 0";
        let remedy = "give `sleeve_thickness`, or leave `split_angle` and `split_gap` out";
        return Err(table.stray("split_angle", problem, remedy));
    }
    Ok(Some(Split { angle: angle.value.to_radians(), gap: gap.value.to_radians() }))
}

fn read_elastic(table: &Table<'_>, border: Border) -> Result<Option<(f64, f64)>, Complaint> {
    let modulus = match table.number("mandrel_modulus")? {
        None => None,
        Some(number) => Some(read_youngs_modulus(table, &number, border)?),
    };
    let ratio = match table.number("mandrel_poissons_ratio")? {
        None => None,
        Some(number) => Some(read_poissons_ratio(table, &number)?),
    };
    let rigid = table.switch("rigid_mandrel")?.map(|switch| switch.value);
    if rigid == Some(true) {
        for key in ["mandrel_modulus", "mandrel_poissons_ratio"] {
            if table.has(key) {
                let problem = format!("a rigid mandrel has no `{key}`");
                let remedy = format!("leave out `{key}` or `rigid_mandrel`");
                return Err(table.stray(key, problem, remedy));
            }
        }
        return Ok(None);
    }
    let sized = table.has("mandrel_diameter");
    match (modulus, ratio) {
        (None, Some(_)) if !sized && rigid.is_none() => {
            let remedy = "give the modulus of the mandrel too; without it the mandrel is rigid \
                          when only `applied_expansion` is given";
            Err(table.missing("mandrel_modulus", remedy))
        }
        (None, None) if !sized && rigid.is_none() => Ok(None),
        (modulus, ratio) => Ok(Some((modulus.unwrap_or(STEEL.0), ratio.unwrap_or(STEEL.1)))),
    }
}

/// Refuses a tool that does not touch the hole, or that would tear it.
pub(super) fn check_size(
    table: &Table<'_>,
    tool: &Tool,
    now: &Standing,
    hole: &str,
    border: Border,
) -> Result<(), Complaint> {
    let key = size_key(table);
    let complain = |kind: Kind, problem: String, remedy: String| {
        Err(table.source.complain(&table.key_span(key), key, kind, problem, remedy))
    };
    let acting = border.show_length(tool.acting_diameter());
    let expansion = tool.applied_expansion(now.nominal);
    if tool.acting_diameter() <= now.nominal {
        let problem = format!(
            "mandrel plus twice the sleeve is {acting}, no larger than hole `{hole}` at {}",
            border.show_length(now.nominal)
        );
        let wanted = border.show_length(1.04 * now.nominal);
        let remedy = format!("for an applied expansion of 4 % they must add up to {wanted}");
        return complain(Kind::Sequence, problem, remedy);
    }
    if tool.acting_diameter() <= now.least {
        let problem = format!(
            "the tool of {acting} would not touch hole `{hole}`, which stands at {} at least after \
             its last expansion",
            border.show_length(now.least)
        );
        let remedy = "use a larger tool, or leave this stage out".to_owned();
        return complain(Kind::Sequence, problem, remedy);
    }
    // A billionth: 0.1 itself, made a diameter and back, is allowed.
    if expansion > LARGEST_EXPANSION + 1e-9 {
        let problem = format!(
            "the applied expansion of hole `{hole}` is {} %, more than {:.0} %",
            plain(1e-4 * (1e6 * expansion).round()),
            100.0 * LARGEST_EXPANSION
        );
        let remedy = if key == "applied_expansion" {
            "give a fraction, 0.04 for 4 %".to_owned()
        } else {
            format!(
                "check the sizes: {acting} acts on {}; usual is 3 to 6 %",
                border.show_length(now.nominal)
            )
        };
        return complain(Kind::OutOfRange, problem, remedy);
    }
    Ok(())
}
