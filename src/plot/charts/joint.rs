//! Forces along a doubler: in the plate, in the doubler, and of its fasteners.

use std::path::Path;

use crate::plot::charts::curves::{Curve, CurveChart, Look, curve_chart};
use crate::plot::figure::{Figure, FigureContext, FigureError};
use crate::process::joint_reading::JointReading;
use crate::units::quantity::Quantity;

/// Forces in the sections of plate and doubler against their place, with what every fastener carries, of the
/// state `label`, described as `heading`, into `LABEL-forces-DOUBLER.svg`, `.png` and `.csv`.
///
/// # Errors
/// [`FigureError::Nothing`] without sections; [`FigureError::NotFinite`]; [`FigureError::Write`].
pub fn joint_forces(
    joint: &JointReading,
    [label, heading]: [&str; 2],
    context: FigureContext,
    folder: &Path,
) -> Result<Figure, FigureError> {
    let name = format!("{label}-forces-{}", joint.doubler);
    if joint.sections.is_empty() {
        return Err(FigureError::Nothing { figure: name, missing: "section" });
    }
    let force = |newtons: f64| Quantity::Force.at_border(newtons, context.units);
    let place = |mm: f64| context.length(mm);
    let sections = |of: fn(&crate::process::joint_reading::SectionForces) -> f64| {
        joint.sections.iter().map(|section| [place(section.at), force(of(section))]).collect()
    };
    let mut curves = vec![
        Curve {
            label: "in the plate".to_owned(),
            points: sections(|section| section.plate),
            look: Look::Bare(0),
        },
        Curve {
            label: format!("in doubler {}", joint.doubler),
            points: sections(|section| section.doubler),
            look: Look::Bare(1),
        },
    ];
    if !joint.fasteners.is_empty() {
        let points = joint.fasteners.iter().map(|fastener| {
            let [x, y] = fastener.force;
            [place(fastener.at), force(x.hypot(y))]
        });
        curves.push(Curve {
            label: "of each fastener".to_owned(),
            points: points.collect(),
            look: Look::Markers(2),
        });
    }
    let axis = ["x", "y"][joint.along];
    let unit = context.units.force_name();
    curve_chart(
        &CurveChart::new(
            [&name, &format!("Forces along doubler {}", joint.doubler), heading],
            [&context.length_axis(&format!("Place along {axis}")), &format!("Force ({unit})")],
            &curves,
        ),
        context,
        folder,
    )
}
