//! The joints of doublers in the summary.

use crate::process::joint_reading::JointReading;
use crate::report::json::border::Border;
use crate::report::json::schema::{Bond, Fastener, Joint, Keyed};
use crate::report::run::RunReport;
use crate::result::summary::StageSummary;
use crate::units::quantity::Quantity::{Force, Fraction, Length, Stress};

/// The joints of a stage; `None` without any.
pub(super) fn joints_of(
    stage: &StageSummary,
    report: &RunReport,
    border: &mut Border,
) -> Option<Keyed<Joint>> {
    let joints = stage.joints.iter().map(|joint| {
        let name = joint.doubler.clone();
        (name.clone(), border.within(name, |border| joint_of(joint, report, border)))
    });
    let joints: Vec<_> = joints.collect();
    (!joints.is_empty()).then_some(Keyed(joints))
}

fn joint_of(joint: &JointReading, report: &RunReport, border: &mut Border) -> Joint {
    let fasteners = joint.fasteners.iter().map(|fastener| {
        let [x, y] = fastener.force;
        let [plate, doubler] = fastener.bearing_stress;
        let bypass = fastener.bypass();
        let found = Fastener {
            force: border.number("force", Force, x.hypot(y)),
            force_on_doubler: border.pair("force_on_doubler", Force, fastener.force),
            slip: border.pair("slip", Length, fastener.slip),
            bearing_stress: border.number("bearing_stress", Stress, plate),
            bearing_stress_doubler: border.number("bearing_stress_doubler", Stress, doubler),
            bypass_force: border.number("bypass_force", Force, bypass),
            bypass_stress: border.number("bypass_stress", Stress, bypass / joint.gross_section),
        };
        (report.job.plate.holes[fastener.hole].name.clone(), found)
    });
    let fasteners = Keyed(fasteners.collect());
    Joint {
        axis: ["x", "y"][joint.along],
        largest_force: border.number("largest_force", Force, joint.largest_force()),
        largest_share: border.number("largest_share", Fraction, joint.largest_share()),
        fasteners,
        bond: joint.bond.as_ref().map(|bond| Bond {
            highest_shear: border.number("highest_shear", Stress, bond.highest),
            at: border.pair("at", Length, bond.at),
        }),
    }
}
