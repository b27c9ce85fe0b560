//! The part of the page on doublers.

use crate::process::joint_reading::JointReading;
use crate::report::escape::markup;
use crate::report::page::html::{minus, table};
use crate::report::run::RunReport;
use crate::report::show::{Show, percent, short};
use crate::result::summary::StageSummary;
use crate::units::quantity::Quantity;

/// Every stage with a doubler on the plate: what it carries, and its fasteners. Nothing without.
pub(super) fn joints(report: &RunReport) -> String {
    let mut text = String::new();
    for stage in report.stages {
        for joint in &stage.joints {
            text.push_str(&joint_text(report, stage, joint));
        }
    }
    if !text.is_empty() {
        text.push_str(
            "<p class=\"small\">Force: from one sheet to the other. Bearing stress: force over diameter and \
             thickness of each sheet. Passing by: the smaller of the forces in the sections of the plate \
             before and behind the fastener, and its stress over the gross section. Sections in between are in \
             <code>doublers.csv</code>.</p>\n",
        );
    }
    text
}

fn joint_text(report: &RunReport, stage: &StageSummary, joint: &JointReading) -> String {
    let show = Show { units: report.units };
    let force = |newtons: f64| {
        short(Quantity::Force.at_border(newtons, report.units), report.units.force_digits())
    };
    let units = report.units;
    let mut words = format!(
        "Doubler {}: largest force in a section {} {}; at most {} % of the load of a section.",
        joint.doubler,
        minus(&force(joint.largest_force())),
        units.force_name(),
        percent(joint.largest_share()),
    );
    if let Some(bond) = &joint.bond {
        words += &format!(
            " Highest shear of the bond {} {} at ({}, {}).",
            show.stress(bond.highest),
            units.stress_name(),
            show.length(bond.at[0]),
            show.length(bond.at[1]),
        );
    }
    let title = format!("{}: {}", stage.stage, joint.doubler);
    let mut text = format!("<h3>{}</h3>\n<p>{}</p>\n", markup(&title), markup(&words));
    if joint.fasteners.is_empty() {
        return text;
    }
    let (newton, mpa) = (units.force_name(), units.stress_name());
    let mut rows = vec![vec![
        "fastener in hole".to_owned(),
        format!("force, {newton}"),
        format!("slip, {}", units.length_name()),
        format!("bearing stress, plate, {mpa}"),
        format!("bearing stress, doubler, {mpa}"),
        format!("passing by, {newton}"),
        format!("passing by, {mpa}"),
    ]];
    rows.extend(joint.fasteners.iter().map(|fastener| {
        let [x, y] = fastener.force;
        let [slip_x, slip_y] = fastener.slip;
        vec![
            report.job.plate.holes[fastener.hole].name.clone(),
            force(x.hypot(y)),
            show.length(slip_x.hypot(slip_y)),
            show.stress(fastener.bearing_stress[0]),
            show.stress(fastener.bearing_stress[1]),
            force(fastener.bypass()),
            show.stress(fastener.bypass() / joint.gross_section),
        ]
    }));
    text.push_str(&table(&title, &rows));
    text
}
