//! `[[reading]]`: pull force, bore diameter and lip of a drawn hole, for `hoopset infer`.

use crate::case::border::{Border, positive, required_positive, unknown_word};
use crate::case::complaint::Complaint;
use crate::case::depth::{WRITE_SECTION, read_depth};
use crate::case::keys::section_file::{READ, READING};
use crate::case::table::Table;
use crate::process::section::readings::{DrawReading, ReadingKind};
use crate::process::section::{Face, SectionJob, SectionStage};
use crate::solver::friction::Friction;

/// Reads the tables of the file; `sections` are those of its drawn holes, none in a plane case.
pub(super) fn read_readings(
    top: &Table<'_>,
    sections: &[&SectionJob],
    border: Border,
) -> Result<Vec<DrawReading>, Complaint> {
    let remedy = "write [[reading]], with two brackets, above the keys of each reading";
    let tables = top.tables("reading", "reading", remedy)?;
    if !tables.is_empty() && sections.is_empty() {
        let problem = "[[reading]] is of a mandrel that is drawn, and a plane case has none";
        return Err(top.stray("reading", problem, WRITE_SECTION));
    }
    tables.iter().enumerate().map(|(k, table)| read_one(table, k, sections, border)).collect()
}

fn read_one(
    table: &Table<'_>,
    number: usize,
    sections: &[&SectionJob],
    border: Border,
) -> Result<DrawReading, Complaint> {
    table.only(&READING.names())?;
    let mut said = READ.into_iter().filter(|key| table.has(key));
    let remedy = "give `pull_force`, `bore_diameter` or `upset`";
    let Some(key) = said.next() else { return Err(table.missing(READ[0], remedy)) };
    if let Some(other) = said.next() {
        let problem = format!("one reading cannot be both `{key}` and `{other}`");
        return Err(table.stray(other, problem, "write a [[reading]] for each"));
    }
    let section = match table.text("hole")? {
        None => sections[0],
        Some(word) => {
            let names: Vec<&str> = sections.iter().map(|section| section.hole.as_str()).collect();
            let own = names.iter().position(|name| *name == word.value);
            sections[own.ok_or_else(|| unknown_word(table, &word, "drawn hole", &names))?]
        }
    };
    let kind = kind(table, key, section, border)?;
    let scale =
        if kind.is_force() { border.units.force_scale() } else { border.units.length_scale() };
    let value = match kind {
        ReadingKind::Upset { .. } => table.number(key)?.map_or(0.0, |value| value.value),
        _ => required_positive(table, key, "give what was read")?.value,
    };
    let plus_minus =
        required_positive(table, "plus_minus", "give the standard error of the reading")?;
    let label = table.text("label")?;
    Ok(DrawReading {
        label: label.map_or_else(|| format!("reading {}", number + 1), |l| l.value.to_owned()),
        hole: section.hole.clone(),
        read_at: read_at(table, section, kind)?,
        kind,
        value: value * scale,
        plus_minus: plus_minus.value * scale,
    })
}

/// The kind of a reading by its key, and where it was read; keys of the others have no place beside it.
fn kind(
    table: &Table<'_>,
    key: &str,
    section: &SectionJob,
    border: Border,
) -> Result<ReadingKind, Complaint> {
    let own: &[&str] = match key {
        "pull_force" => &["travel"],
        "bore_diameter" => &["depth", "depth_share"],
        _ => &["face"],
    };
    for other in ["travel", "depth", "depth_share", "face"] {
        if table.has(other) && !own.contains(&other) {
            let problem = format!("`{other}` says nothing about `{key}`");
            return Err(table.stray(other, problem, "leave it out"));
        }
    }
    Ok(match key {
        "pull_force" => {
            let travel = table.number("travel")?;
            if let Some(travel) = &travel {
                positive(table, travel, "give the way of the mandrel since it first touched")?;
            }
            ReadingKind::PullForce { travel: travel.map(|travel| border.length(travel.value)) }
        }
        "bore_diameter" => {
            let share = read_depth(table, Some(section.part.thickness), border)?;
            ReadingKind::BoreDiameter { share: share.unwrap_or(0.5) }
        }
        _ => {
            let remedy = "write `face = \"entry\"` or `face = \"exit\"`";
            let word = table.text("face")?.ok_or_else(|| table.missing("face", remedy))?;
            let face = match word.value {
                "entry" => Face::Entry,
                "exit" => Face::Exit,
                _ => return Err(unknown_word(table, &word, "face", &["entry", "exit"])),
            };
            ReadingKind::Upset { face }
        }
    })
}

/// The stage that the reading belongs to: a draw for a pull.
fn read_at(
    table: &Table<'_>,
    section: &SectionJob,
    kind: ReadingKind,
) -> Result<String, Complaint> {
    let drawn = |stage: &SectionStage| matches!(stage, SectionStage::Draw { .. });
    let stages = section.stages.iter().enumerate();
    let fit = stages.filter(|(_, stage)| drawn(stage) || !kind.is_force());
    let labels: Vec<String> = fit.map(|(k, _)| section.label(k)).collect();
    let names: Vec<&str> = labels.iter().map(String::as_str).collect();
    match table.text("read_at")? {
        Some(word) if names.contains(&word.value) => Ok(word.value.to_owned()),
        Some(word) => Err(unknown_word(table, &word, "stage of the section", &names)),
        None => {
            let draw = section.stages.iter().position(drawn).map(|k| section.label(k));
            draw.or_else(|| labels.first().cloned()).ok_or_else(|| {
                let problem = "no mandrel is drawn through the section: nothing pulls";
                table.stray(READ[0], problem, "leave it out, or write a stage `draw`")
            })
        }
    }
}

/// Rejects friction as an unknown where there is none, or where it is told by pressure; `None` when it may be asked for.
pub(super) fn no_friction(sections: &[&SectionJob]) -> Option<(&'static str, &'static str)> {
    if sections.is_empty() {
        let remedy = "write [section], whose mandrel is drawn, and give what tells friction: `pull_force` in \
                      [[reading]], or [[measured]] at a `depth`";
        return Some(("the plane model has no friction", remedy));
    }
    let tools: Vec<&Friction> = sections
        .iter()
        .flat_map(|section| &section.stages)
        .filter_map(|stage| match stage {
            SectionStage::Draw { tool, .. } => Some(&tool.friction),
            _ => None,
        })
        .collect();
    if tools.is_empty() {
        return Some(("no mandrel is drawn", "leave it out, or write a stage `draw`"));
    }
    let by_pressure = tools.iter().any(|friction| matches!(friction, Friction::Table(_)));
    by_pressure.then_some((
        "the file gives it by pressure",
        "write `friction` in place of `friction_by_pressure`: one coefficient is found",
    ))
}
