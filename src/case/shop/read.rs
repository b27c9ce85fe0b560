//! From the tables of a shop file to a [`Shop`].

use std::path::Path;

use sha2::{Digest, Sha256};
use toml::de::DeTable;

use crate::case::beside::read_beside;
use crate::case::border::{Border, plain, positive};
use crate::case::build::{not_toml, read_title};
use crate::case::columns::Columns;
use crate::case::complaint::{Complaint, Kind, Source};
use crate::case::keys::row::Section;
use crate::case::keys::shop_file::{
    EXPANDED, MANDREL, REAMED, SHOP_FILE, SLEEVE, START, SURROGATE,
};
use crate::case::keys::top_names;
use crate::case::shop::table::{Nominal, read_holes};
use crate::case::shop::{Effort, Shop, Size};
use crate::case::study::Base;
use crate::case::table::{Table, quoted};
use crate::case::{Case, hexadecimal, parse, read_text};
use crate::process::stage::Stage;

/// Largest table of holes, MiB.
const LARGEST_MIB: u64 = 32;

/// Uncertainty of the expanded diameter of the model, share of the starting diameter: one stress through the
/// thickness, no friction, one metal (common practice, no source).
const MODEL: f64 = 0.002;

/// Share of sound holes that may be called suspects, unless the file says otherwise.
const FALSE_ALARMS: f64 = 1e-3;

/// Reads the text of a shop file.
pub(super) fn build(source: Source<'_>) -> Result<Shop, Complaint> {
    let root = DeTable::parse(source.text).map_err(|error| not_toml(source, &error))?;
    let top = Table::top(source, root.get_ref());
    if let Some(key) = ["stage", "plate", "units"].into_iter().find(|key| top.has(key)) {
        let problem = "this is a case file and no shop file";
        let remedy = "`hoopset run` takes it; a shop file names it by `case` and has its units";
        return Err(top.stray(key, problem, remedy));
    }
    top.only(&top_names(&SHOP_FILE))?;
    let title = read_title(&top)?;
    let (case, base) = read_case(&top)?;
    let border = Border { units: case.units };
    let hole = read_hole(&top, &case)?;
    let stages = read_stages(&top, &case, hole)?;
    let path = read_path(&top)?;
    let start =
        read_size(&top, &START, border)?.ok_or_else(|| needed(&top, "starting_diameter"))?;
    let mandrel = read_size(&top, &MANDREL, border)?.ok_or_else(|| needed(&top, "mandrel"))?;
    let sleeve = read_size(&top, &SLEEVE, border)?;
    let reamed = read_reamed(&top, stages.1, border)?;
    let (expanded, model) = read_expanded(&top, border)?;
    check_sizes(&top, &case, hole, [start, mandrel], sleeve, border)?;
    let (holes, table, table_sha256) =
        read_table(&top, &Nominal { start, mandrel, sleeve, reamed }, border)?;
    let stem = Path::new(source.file).file_stem().unwrap_or_default().to_string_lossy();
    Ok(Shop {
        title: title.unwrap_or_else(|| stem.into_owned()),
        units: case.units,
        by_expansion: base.has_key(stages.0, "applied_expansion"),
        case,
        base,
        hole,
        stages,
        path,
        start,
        mandrel,
        sleeve,
        expanded,
        model: model.unwrap_or(MODEL * start.middle()),
        reamed,
        false_alarms: top.number("false_alarms")?.map_or(Ok(FALSE_ALARMS), |number| {
            if (1e-6..=0.1).contains(&number.value) {
                return Ok(number.value);
            }
            let problem =
                format!("`false_alarms` is {}, outside 0.000001 to 0.1", plain(number.value));
            Err(top.about(&number, Kind::OutOfRange, problem, "0.001 is one hole in a thousand"))
        })?,
        effort: read_effort(&top)?,
        holes,
        text: String::new(),
        sha256: String::new(),
        table,
        table_sha256,
    })
}

fn once<'a>(top: &Table<'a>, key: &'static str) -> Result<Option<Table<'a>>, Complaint> {
    top.table(key, &format!("[{key}]"), &format!("write [{key}], once, and its keys below"))
}

fn needed(top: &Table<'_>, key: &'static str) -> Complaint {
    top.missing(key, format!("write [{key}] and its `limits` and `plus_minus` below"))
}

fn read_case(top: &Table<'_>) -> Result<(Case, Base), Complaint> {
    let remedy = "name the case file of the nominal hole: `case = \"plate.toml\"`";
    let named = top.text("case")?.ok_or_else(|| top.missing("case", remedy))?;
    let path = Path::new(top.source.file).with_file_name(named.value);
    let (text, file) = read_text(&path).map_err(|complaint| {
        let problem = format!("the case: {} (`{}`)", complaint.problem, named.value.escape_debug());
        top.about(&named, Kind::Unreadable, problem, remedy)
    })?;
    let case = parse(&text, &file)?;
    let base = Base::new(&text, &file, &case).map_err(|error| {
        let problem = format!("the case cannot be changed: {error}").replace('\n', " ");
        top.about(&named, Kind::Syntax, problem, "write it in plain TOML")
    })?;
    Ok((case, base))
}

fn read_hole(top: &Table<'_>, case: &Case) -> Result<usize, Complaint> {
    let Some(name) = top.text("hole")? else { return Ok(0) };
    let names: Vec<&str> = case.job.plate.holes.iter().map(|hole| hole.name.as_str()).collect();
    names.iter().position(|known| *known == name.value).ok_or_else(|| {
        let problem = format!("the case has no hole `{}`", name.value.escape_debug());
        top.about(&name, Kind::UnknownName, problem, format!("its holes are {}", quoted(&names)))
    })
}

/// Numbers of the stages that expand and ream the hole.
fn read_stages(
    top: &Table<'_>,
    case: &Case,
    hole: usize,
) -> Result<(usize, Option<usize>), Complaint> {
    let numbered = || case.job.stages.iter().enumerate().map(|(k, stage)| (k + 1, stage));
    let of = |wanted: &dyn Fn(&Stage) -> bool| -> Vec<usize> {
        numbered().filter(|(_, stage)| wanted(stage)).map(|(number, _)| number).collect()
    };
    let expands = of(&|stage| matches!(stage, Stage::Expand { hole: own, .. } if *own == hole));
    let reams = of(&|stage| matches!(stage, Stage::Ream { hole: own, .. } if *own == hole));
    if case.job.bushes().next().is_some() {
        let problem = "the case puts a bush into a hole, which the shop's sheet knows nothing of";
        return Err(top.stray("case", problem, "name a case without a bush"));
    }
    let name = &case.job.plate.holes[hole].name;
    let remedy = "the shop works each hole once: one `expand`, then at most one `ream`";
    match (expands.as_slice(), reams.as_slice()) {
        ([expand], []) => Ok((*expand, None)),
        ([expand], [ream]) if ream > expand => Ok((*expand, Some(*ream))),
        _ => {
            let problem = format!(
                "the case expands hole `{name}` {} times and reams it {} times",
                expands.len(),
                reams.len()
            );
            Err(top.stray("case", problem, remedy))
        }
    }
}

fn read_path(top: &Table<'_>) -> Result<Option<f64>, Complaint> {
    let path = top.number("path")?;
    if let Some(angle) = path.as_ref().filter(|angle| angle.value.abs() > 360.0) {
        let problem = format!("`path` is {}, more than a full turn", plain(angle.value));
        let remedy = "angles are in degrees, counter-clockwise from +x, -360 to 360";
        return Err(top.about(angle, Kind::OutOfRange, problem, remedy));
    }
    Ok(path.map(|angle| angle.value))
}

fn read_size(
    top: &Table<'_>,
    section: &Section,
    border: Border,
) -> Result<Option<Size>, Complaint> {
    let Some(table) = once(top, section.table)? else { return Ok(None) };
    table.only(&section.names())?;
    let remedy = "write `limits = [smallest, largest]`";
    let pair = table.pair("limits")?.ok_or_else(|| table.missing("limits", remedy))?;
    let [low, high] = pair.value;
    // A size that may be half as large again has no tolerance but a slip of the pen.
    if !(low > 0.0 && high > low && high <= 1.5 * low) {
        let problem =
            format!("`limits` is {} to {}, which are no limits of a size", plain(low), plain(high));
        return Err(table.about(&pair, Kind::OutOfRange, problem, remedy));
    }
    let limits = border.point(pair.value);
    let plus_minus = read_error(&table, border)?;
    if plus_minus > limits[1] - limits[0] {
        let problem =
            "`plus_minus` is larger than the limits are apart: such a gauge tells nothing";
        return Err(table.stray("plus_minus", problem, "check the decimal point, or the gauge"));
    }
    Ok(Some(Size { limits, plus_minus }))
}

/// The standard error of a reading, mm.
fn read_error(table: &Table<'_>, border: Border) -> Result<f64, Complaint> {
    let remedy =
        "the standard error of one reading: a third of the largest error of the gauge is usual";
    let error = table.number("plus_minus")?.ok_or_else(|| table.missing("plus_minus", remedy))?;
    Ok(border.length(positive(table, &error, remedy)?))
}

fn read_reamed(
    top: &Table<'_>,
    ream: Option<usize>,
    border: Border,
) -> Result<Option<Size>, Complaint> {
    match (read_size(top, &REAMED, border)?, ream) {
        (Some(_), None) => {
            let problem = "[reamed] is given, and the case does not ream the hole";
            Err(top.stray("reamed", problem, "leave it out, or ream the hole in the case"))
        }
        (None, Some(_)) => Err(needed(top, "reamed")),
        (size, _) => Ok(size),
    }
}

/// Standard errors of a reading of the expanded diameter and, when it is given, of the model, mm.
fn read_expanded(top: &Table<'_>, border: Border) -> Result<(f64, Option<f64>), Complaint> {
    let remedy = "write [expanded] and its `plus_minus` below";
    let table = once(top, "expanded")?.ok_or_else(|| top.missing("expanded", remedy))?;
    table.only(&EXPANDED.names())?;
    let remedy = "give a standard uncertainty, a length";
    let model = match table.number("model_plus_minus")? {
        None => None,
        Some(number) => Some(border.length(positive(&table, &number, remedy)?)),
    };
    Ok((read_error(&table, border)?, model))
}

/// Rejects limits that are of another hole than that of the case, or that expand nothing.
fn check_sizes(
    top: &Table<'_>,
    case: &Case,
    hole: usize,
    [start, mandrel]: [Size; 2],
    sleeve: Option<Size>,
    border: Border,
) -> Result<(), Complaint> {
    let drawn = case.job.plate.holes[hole].starting_diameter;
    if (drawn / start.middle() - 1.0).abs() > 0.05 {
        let problem = format!(
            "the hole of the case starts at {}, and `limits` is about {}",
            border.show_length(drawn),
            border.show_length(start.middle())
        );
        let remedy = "name the case of this hole, or mend the limits";
        return Err(top.stray("starting_diameter", problem, remedy));
    }
    let wall = |end: usize| sleeve.map_or(0.0, |sleeve| sleeve.limits[end]);
    let ends = [
        (mandrel.limits[0] + 2.0 * wall(0)) / start.limits[1] - 1.0,
        (mandrel.limits[1] + 2.0 * wall(1)) / start.limits[0] - 1.0,
    ];
    if ends[0] < 0.005 || ends[1] > 0.10 {
        let problem = format!(
            "by these limits the applied expansion lies between {:.2} and {:.2} %",
            100.0 * ends[0],
            100.0 * ends[1]
        );
        let remedy = "mandrel and two sleeve walls less the starting hole, over the starting hole, must lie \
                      within 0.5 and 10 %";
        return Err(top.stray("mandrel", problem, remedy));
    }
    Ok(())
}

type Holes = (Vec<crate::case::shop::HoleRow>, String, String);

fn read_table(top: &Table<'_>, nominal: &Nominal, border: Border) -> Result<Holes, Complaint> {
    let remedy = "name the table of holes: `holes = \"holes.csv\"`";
    let name = top.text("holes")?.ok_or_else(|| top.missing("holes", remedy))?;
    let text = read_beside(top, &name, LARGEST_MIB)?;
    let path = Path::new(top.source.file).with_file_name(name.value);
    let columns = Columns::parse(&path.display().to_string(), &text)?;
    let holes = read_holes(&columns, nominal, border)?;
    Ok((holes, name.value.to_owned(), hexadecimal(&Sha256::digest(text.as_bytes()))))
}

fn read_effort(top: &Table<'_>) -> Result<Effort, Complaint> {
    let mut effort = Effort { grid: [6, 4], checks: 8, seed: 1 };
    let Some(table) = once(top, "surrogate")? else { return Ok(effort) };
    table.only(&SURROGATE.names())?;
    let [expansions, reams] = &mut effort.grid;
    for (key, place, [least, most]) in [
        ("expansions", expansions, [3, 12]),
        ("reams", reams, [2, 8]),
        ("checks", &mut effort.checks, [4, 200]),
    ] {
        let Some(number) = table.count(key)? else { continue };
        if !(least..=most).contains(&number.value) {
            let problem = format!("`{key}` is {}, outside {least} to {most}", number.value);
            return Err(table.about(&number, Kind::OutOfRange, problem, "take one in between"));
        }
        *place = number.value;
    }
    if let Some(seed) = table.count("seed")? {
        effort.seed = seed.value as u64;
    }
    Ok(effort)
}
