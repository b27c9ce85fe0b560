//! The service block of a stage in `summary.json`.

use serde_json::Value;

use crate::report::json::border::Border;
use crate::report::json::schema::{Course, Cycle, Keyed, Local, Service, by_hole};
use crate::report::number;
use crate::result::service_summary::{
    CRITERION, ServiceCourse, ServicePath, ServiceSummary, Shakedown,
};
use crate::units::quantity::Quantity::{Fraction, Length, Stress};

/// State after a service load, in border units.
pub(super) fn service_of(service: &ServiceSummary, border: &mut Border) -> Service {
    let [highest, lowest] = service.program.extremes();
    let plain = service.plain.as_ref();
    Service {
        highest_load: border.number("highest_load", Fraction, highest),
        lowest_load: border.number("lowest_load", Fraction, lowest),
        reversals: service.program.reversals(),
        criterion: CRITERION,
        worked: border.within("worked", |border| course(&service.worked, border)),
        plain: plain.map(|plain| border.within("plain", |border| course(plain, border))),
        maximum_lowered: plain.map(|_| lowered(service, border)),
    }
}

fn course(course: &ServiceCourse, border: &mut Border) -> Course {
    Course {
        shakedown: match course.shakedown {
            Shakedown::Reached => Value::Bool(true),
            Shakedown::None => Value::Bool(false),
            Shakedown::Undecided => Value::String(Shakedown::Undecided.name().to_owned()),
        },
        cycles: course
            .periods
            .iter()
            .map(|period| Cycle {
                number: period.number,
                plastic_growth: border.number("plastic_growth", Fraction, period.growth),
                plastic_drift: border.number("plastic_drift", Fraction, period.drift),
                position: border.pair("position", Length, period.position),
            })
            .collect(),
        paths: border.within("paths", |border| {
            by_hole(&course.paths, |path| &path.hole, |path| local(path, border))
        }),
    }
}

fn local(path: &ServicePath, border: &mut Border) -> (String, Local) {
    let angle = number::text(path.angle_deg);
    let place = format!("{}.{angle}", path.hole);
    let local = border.within(place, |border| {
        let mut stress = |key: &str, value: f64| border.number(key, Stress, value);
        let (before, after) = (stress("before", path.before), stress("after", path.after));
        let (maximum, minimum) = (stress("maximum", path.highest), stress("minimum", path.lowest));
        let (mean, range) = (stress("mean", path.mean()), stress("range", path.range()));
        // A label of the path, hence degrees in every unit system.
        let angle_deg = border.number("angle_deg", Fraction, path.angle_deg);
        Local { angle_deg, before, after, maximum, minimum, mean, range }
    });
    (angle, local)
}

fn lowered(service: &ServiceSummary, border: &mut Border) -> Keyed<Keyed<Option<f64>>> {
    let indexed: Vec<(usize, &ServicePath)> = service.worked.paths.iter().enumerate().collect();
    by_hole(
        &indexed,
        |(_, path)| &path.hole,
        |(index, path)| {
            let lowered = border.maybe("maximum_lowered", Stress, service.lowered(*index));
            (number::text(path.angle_deg), lowered)
        },
    )
}
