//! `fasteners.csv` and `doublers.csv`: what every fastener carries, and the forces in sections of plate and
//! doubler.

use crate::geometry::hole::Hole;
use crate::process::joint_reading::{FastenerReading, JointReading, SectionForces};
use crate::report::csv::columns::{Cell, Column, column, table};
use crate::result::summary::StageSummary;
use crate::units::Units;
use crate::units::quantity::{Described, Quantity};

/// A row of `fasteners.csv`.
struct FastenerRow<'a> {
    stage: &'a str,
    joint: &'a JointReading,
    hole: &'a str,
    fastener: &'a FastenerReading,
}

/// A row of `doublers.csv`.
struct SectionRow<'a> {
    stage: &'a str,
    joint: &'a JointReading,
    section: &'a SectionForces,
}

/// `fasteners.csv` of these stages; `holes` are those of the plate.
#[must_use]
pub fn fasteners(stages: &[StageSummary], holes: &[Hole], units: Units) -> String {
    let rows = stages.iter().flat_map(|stage| {
        stage.joints.iter().flat_map(move |joint| {
            joint.fasteners.iter().map(move |fastener| FastenerRow {
                stage: &stage.stage,
                joint,
                hole: &holes[fastener.hole].name,
                fastener,
            })
        })
    });
    table(&fastener_columns(), rows, units)
}

/// `doublers.csv` of these stages.
#[must_use]
pub fn doublers(stages: &[StageSummary], units: Units) -> String {
    let rows = stages.iter().flat_map(|stage| {
        stage.joints.iter().flat_map(move |joint| {
            let sections = joint.sections.iter();
            sections.map(move |section| SectionRow { stage: &stage.stage, joint, section })
        })
    });
    table(&section_columns(), rows, units)
}

/// Both files with their columns.
pub(super) fn described() -> [(&'static str, Vec<Described>); 2] {
    [
        ("fasteners.csv", fastener_columns().iter().map(|column| column.described).collect()),
        ("doublers.csv", section_columns().iter().map(|column| column.described).collect()),
    ]
}

#[rustfmt::skip] // one line a column reads as a table
fn fastener_columns<'a>() -> Vec<Column<FastenerRow<'a>>> {
    use Cell::{Number, Text};
    use Quantity::{Force, Length, Name, Stress};
    vec![
        column("stage", Name, |r: &FastenerRow| Text(r.stage.to_owned()), "label of the snapshot"),
        column("doubler", Name, |r| Text(r.joint.doubler.clone()), "doubler that it joins"),
        column("hole", Name, |r| Text(r.hole.to_owned()), "hole of the plate that it is in"),
        column("at", Length, |r| Number(r.fastener.at), "its place along the axis of the doubler"),
        column("force", Force, |r| Number(r.fastener.force[0].hypot(r.fastener.force[1])), "that it carries from one sheet to the other"),
        column("force_x", Force, |r| Number(r.fastener.force[0]), "on the doubler"),
        column("force_y", Force, |r| Number(r.fastener.force[1]), "on the doubler"),
        column("slip_x", Length, |r| Number(r.fastener.slip[0]), "way of its part in the doubler on that in the plate"),
        column("slip_y", Length, |r| Number(r.fastener.slip[1]), "way of its part in the doubler on that in the plate"),
        column("bearing_stress", Stress, |r| Number(r.fastener.bearing_stress[0]), "force over diameter and thickness of the plate"),
        column("bearing_stress_doubler", Stress, |r| Number(r.fastener.bearing_stress[1]), "force over diameter and thickness of the doubler"),
        column("plate_force_before", Force, |r| Number(r.fastener.plate_force[0]), "in the section of the plate before it along the axis, tension positive"),
        column("plate_force_behind", Force, |r| Number(r.fastener.plate_force[1]), "in the section of the plate behind it"),
        column("bypass_force", Force, |r| Number(r.fastener.bypass()), "the smaller of the two: the load of the section that passes by"),
        column("bypass_stress", Stress, |r| Number(r.fastener.bypass() / r.joint.gross_section), "over the gross section of the plate"),
    ]
}

#[rustfmt::skip] // one line a column reads as a table
fn section_columns<'a>() -> Vec<Column<SectionRow<'a>>> {
    use Cell::{Number, Text};
    use Quantity::{Force, Length, Name};
    vec![
        column("stage", Name, |r: &SectionRow| Text(r.stage.to_owned()), "label of the snapshot"),
        column("doubler", Name, |r| Text(r.joint.doubler.clone()), "name of the doubler"),
        column("axis", Name, |r| Text(["x", "y"][r.joint.along].to_owned()), "axis that sections are counted along"),
        column("at", Length, |r| Number(r.section.at), "place of the section along it"),
        column("plate_force", Force, |r| Number(r.section.plate), "in the section of the plate, tension positive"),
        column("doubler_force", Force, |r| Number(r.section.doubler), "in the section of the doubler, tension positive"),
    ]
}
