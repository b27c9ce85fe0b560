//! `[section]` of a case file: the mandrel that is drawn through every expanded hole of a plane case.

use crate::case::border::{Border, required_length};
use crate::case::complaint::{Complaint, Kind};
use crate::case::keys::{CASE_FILE, table_names};
use crate::case::section::drawn::{read_drawn, rim};
use crate::case::table::Table;
use crate::geometry::plate::Plate;
use crate::process::job::Job;
use crate::process::section::beside::{SectionBeside, section_numerics};
use crate::process::section::{DrawTool, Rim, SectionJob, SectionPart, SectionStage};
use crate::process::stage::Stage;

/// Ring of a hole far from everything, over its diameter: beyond it the residual stress is below one per
/// cent of its peak.
const WIDEST: f64 = 10.0;
/// Largest hole in a ring, over its outer diameter.
const LARGEST: f64 = 0.9;

/// Reads the table, when the file has one; one section for every hole that is expanded.
pub(in crate::case) fn read_beside(
    top: &Table<'_>,
    job: &Job,
    border: Border,
    warnings: &mut Vec<String>,
) -> Result<Vec<SectionBeside>, Complaint> {
    let remedy = "write [section], once, and its keys below";
    let Some(table) = top.table("section", "[section]", remedy)? else { return Ok(Vec::new()) };
    table.only(&table_names(&CASE_FILE, "section"))?;
    let found = (0..job.plate.holes.len())
        .map(|hole| one(&table, job, hole, border, warnings))
        .collect::<Result<Vec<_>, _>>()?;
    let found: Vec<SectionBeside> = found.into_iter().flatten().collect();
    if found.is_empty() {
        let remedy = "expand a hole in a [[stage]], or leave [section] out";
        return Err(top.stray("section", "no hole is expanded: nothing is drawn", remedy));
    }
    Ok(found)
}

/// Expansions and reams of one hole, as those of the first of a ring.
fn work_of(job: &Job, hole: usize, warnings: &mut Vec<String>) -> Vec<Stage> {
    let own = &job.plate.holes[hole];
    let mut plane = Vec::new();
    for stage in &job.stages {
        match stage {
            Stage::Expand { hole: at, tool } if *at == hole => {
                plane.push(Stage::Expand { hole: 0, tool: *tool });
            }
            Stage::Ream { hole: at, diameter, offset } if *at == hole => {
                if offset.iter().any(|along| *along != 0.0) {
                    warnings.push(format!(
                        "the section of hole {} is reamed about its axis: it knows no `offset`",
                        own.name
                    ));
                }
                plane.push(Stage::Ream { hole: 0, diameter: *diameter, offset: [0.0; 2] });
            }
            _ => {}
        }
    }
    plane
}

/// Rejects a ring that the largest diameter of the hole leaves no metal of.
fn check_room(
    table: &Table<'_>,
    part: &SectionPart,
    plane: &[Stage],
    border: Border,
) -> Result<(), Complaint> {
    let largest = plane.iter().filter_map(|stage| match stage {
        Stage::Ream { diameter, .. } => Some(*diameter),
        _ => None,
    });
    let largest = largest.fold(part.starting_diameter, f64::max);
    if largest >= LARGEST * part.outer_diameter {
        let problem = format!(
            "a hole of {} leaves no ring within {}",
            border.show_length(largest),
            border.show_length(part.outer_diameter)
        );
        let key = if table.has("outer_diameter") { "outer_diameter" } else { "rim" };
        let remedy = "give a larger `outer_diameter`";
        return Err(table.source.complain(
            &table.key_span(key),
            key,
            Kind::Geometry,
            problem,
            remedy,
        ));
    }
    Ok(())
}

/// The section of one hole; none when it is never expanded.
fn one(
    table: &Table<'_>,
    job: &Job,
    hole: usize,
    border: Border,
    warnings: &mut Vec<String>,
) -> Result<Option<SectionBeside>, Complaint> {
    let (plate, own) = (&job.plate, &job.plate.holes[hole]);
    let plane = work_of(job, hole, warnings);
    if !plane.iter().any(|stage| matches!(stage, Stage::Expand { .. })) {
        return Ok(None);
    }
    let part = SectionPart {
        starting_diameter: own.starting_diameter,
        outer_diameter: outer_diameter(table, plate, hole, border)?,
        thickness: plate.thickness,
        rim: rim(table)?.unwrap_or(Rim::Flat),
    };
    check_room(table, &part, &plane, border)?;
    let mut stages = Vec::with_capacity(plane.len());
    for stage in &plane {
        stages.push(match stage {
            Stage::Expand { tool, .. } => {
                let drawn = read_drawn(table, border, &part, tool, warnings)?;
                SectionStage::Draw {
                    tool: DrawTool {
                        mandrel_diameter: tool.mandrel_diameter,
                        sleeve_thickness: tool.sleeve_thickness,
                        sleeve: drawn.sleeve,
                        profile: drawn.profile,
                        friction: drawn.friction,
                        elastic: tool.elastic,
                    },
                    support: drawn.support,
                    backwards: drawn.backwards,
                }
            }
            Stage::Ream { diameter, .. } => SectionStage::Ream { diameter: *diameter },
            _ => continue,
        });
    }
    let section = SectionJob {
        hole: own.name.clone(),
        part,
        material: job.material.clone(),
        stages,
        numerics: section_numerics(&job.numerics),
    };
    Ok(Some(SectionBeside { hole, section, stages: plane, numerics: job.numerics.clone() }))
}

/// Diameter of the ring: that of the file, else as wide as the nearest edge or hole leaves, mm.
fn outer_diameter(
    table: &Table<'_>,
    plate: &Plate,
    hole: usize,
    border: Border,
) -> Result<f64, Complaint> {
    if table.has("outer_diameter") {
        let remedy = "give the diameter of the ring of metal round the hole";
        return Ok(required_length(table, "outer_diameter", remedy, border)?.value);
    }
    let own = &plate.holes[hole];
    let edge = plate.outline.loops().distance(own.centre);
    let others = plate.holes.iter().enumerate().filter(|(other, _)| *other != hole);
    let near = others.map(|(_, other)| other.distance_to(own.centre) - other.radius());
    let nearest = near.fold(edge, f64::min);
    Ok((2.0 * nearest).min(WIDEST * own.starting_diameter))
}
