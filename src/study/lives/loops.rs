//! Initiation from the loops that the simulation itself went through.
//!
//! A case with a service stage has run the edge through cycles of its load. The last of them, hoop
//! stress and total hoop strain at the edge of a path, is a loop that strain-life takes as it
//! stands. It belongs to the load of that stage, which need not be that of `[life]`.

use crate::case::Case;
use crate::fatigue::assessment::Comparison;
use crate::fatigue::initiation::loop_initiation;
use crate::fatigue::neuber::LocalLoop;
use crate::fatigue::strain_life::StrainLifeModel;
use crate::process::job::Job;
use crate::process::program::Program;
use crate::process::snapshot::Snapshot;
use crate::result::service_summary::{
    ServiceCourse, ServicePath, ServiceSummary, Shakedown, services,
};
use crate::study::lives::life_report::LifeReport;

/// Angles closer than this, degrees, are one.
const SAME_ANGLE: f64 = 1e-6;

/// Adds to every place of `report` the initiation under the last cycle of the last service stage of
/// `case`, from the `last` snapshot of its run and, for the plain hole, from that of the plain part
/// with its job. Without a service stage or strain-life constants nothing is added.
pub fn add_loops(
    report: &mut LifeReport,
    case: &Case,
    last: &Snapshot,
    plain: Option<(&Snapshot, &Job)>,
) {
    let Some(model) = report.ground.strain_life.clone() else { return };
    let wanted = case.life.as_ref().map_or(&[][..], |settings| &settings.path);
    let angles: Vec<Vec<f64>> =
        case.path_angles.iter().map(|own| own.iter().chain(wanted).copied().collect()).collect();
    let Some(service) = services(last, &case.job, &angles, plain).pop() else { return };
    let Program::Blocks(blocks) = &service.program else {
        report.warnings.push(format!(
            "the loops of stage {} are those of a spectrum: no initiation is taken from them; \
             give it `load_ratio` or `blocks`",
            service.stage
        ));
        return;
    };
    if let Some(block) = blocks.last() {
        let [highest, lowest] = [block.highest, block.lowest];
        report.loop_words = Some(format!(
            "last cycle of stage {}, {highest} to {lowest} times its load, {}",
            service.stage,
            settled(&service)
        ));
    }
    let governing = std::iter::once(&mut report.governing);
    for comparison in report.comparisons.iter_mut().chain(governing) {
        add(&model, &service, comparison);
    }
}

/// Whether the last cycle may stand for all that follow.
fn settled(service: &ServiceSummary) -> String {
    let words = |course: &ServiceCourse| match course.shakedown {
        Shakedown::Reached => "shaken down",
        Shakedown::None => "yielding in every cycle",
        Shakedown::Undecided => "still settling: more cycles would change it",
    };
    match &service.plain {
        Some(plain) => {
            format!("plain hole {}, expanded hole {}", words(plain), words(&service.worked))
        }
        None => words(&service.worked).to_owned(),
    }
}

fn add(model: &StrainLifeModel, service: &ServiceSummary, at: &mut Comparison) {
    let (hole, angle) = (&at.place.hole, at.place.angle_deg);
    let found = |course: &ServiceCourse| {
        let same =
            |path: &&ServicePath| path.hole == *hole && (path.angle_deg - angle).abs() < SAME_ANGLE;
        course.paths.iter().find(same).map(local)
    };
    let loops = [service.plain.as_ref().and_then(found), found(&service.worked)];
    for (assessed, local) in [&mut at.plain, &mut at.expanded].into_iter().zip(loops) {
        if let Some(local) = local {
            assessed.initiation.extend(loop_initiation(model, local));
        }
    }
}

/// The loop at the edge of a path.
#[must_use]
pub fn local(path: &ServicePath) -> LocalLoop {
    LocalLoop {
        strain_amplitude: 0.5 * path.strain_range,
        maximum: path.highest,
        minimum: path.lowest,
    }
}
