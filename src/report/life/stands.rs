//! Basis of a life: load, law, limits, and the flags that go with their sources.

use crate::fatigue::crack::CrackSides;
use crate::fatigue::growth::GrowthLaw;
use crate::fatigue::intensity::ContactRule;
use crate::fatigue::origin::Origin;
use crate::numeric::profile::Profile;
use crate::report::life::rows::intensity;
use crate::report::show::Show;
use crate::study::lives::LifeReport;
use crate::units::quantity::Quantity;

/// The law with its constants, as tables print them.
pub(super) fn law(law: &GrowthLaw) -> String {
    let name = law.name();
    let numbers = match *law {
        GrowthLaw::Paris { coefficient, exponent, .. } => {
            format!("C {coefficient:e}, m {exponent}")
        }
        GrowthLaw::Walker { coefficient, exponent, gamma, .. } => {
            format!("C {coefficient:e}, m {exponent}, γ {gamma}")
        }
        GrowthLaw::Forman { coefficient, exponent, toughness, .. } => {
            format!("C {coefficient:e}, n {exponent}, Kc {toughness}")
        }
        GrowthLaw::Closure(closure) => {
            format!("C {:e}, n {}, Kc {}", closure.coefficient, closure.exponent, closure.toughness)
        }
    };
    format!("{name}: {numbers} (m a cycle, MPa√m)")
}

/// Basis of all answers, name and value.
pub(super) fn ground(report: &LifeReport) -> Vec<(String, String)> {
    let show = Show { units: report.units };
    let (mm, mpa) = (report.units.length_name(), report.units.stress_name());
    let ground = &report.ground;
    let place = &report.governing.place;
    let cracks = match place.geometry.sides() {
        CrackSides::One => "one through crack",
        CrackSides::Two => "two equal through cracks on opposite sides",
    };
    let mut facts = vec![
        (
            "load".to_owned(),
            format!(
                "highest remote stress {} {mpa}; {}",
                show.input_stress(report.tension),
                report.load_words
            ),
        ),
        ("cracks".to_owned(), format!("{cracks}, from {} {mm}", show.input_length(ground.initial))),
        (
            "hole in the drawn plate".to_owned(),
            format!("radius {} {mm}", show.length(place.geometry.radius())),
        ),
        ("growth".to_owned(), law(&ground.model.law)),
        ("growth constants".to_owned(), ground.model.origin.to_string()),
        ("cycles that close the crack".to_owned(), closing(ground.contact).to_owned()),
        (
            "fracture at K".to_owned(),
            format!(
                "{} {} ({})",
                intensity(report, ground.limits.toughness),
                Quantity::Intensity.unit(report.units),
                report.toughness_words
            ),
        ),
        (
            "net section".to_owned(),
            ground.limits.yield_stress.map_or_else(
                || "not checked".to_owned(),
                |stress| {
                    format!("yields at {} {mpa}, the 0.2 % offset stress", show.stress(stress))
                },
            ),
        ),
        ("residual state".to_owned(), format!("{}, {}", report.stage, report.idealisation)),
        ("residual stress under the load".to_owned(), relaxation(report)),
    ];
    if let Some(model) = &ground.strain_life {
        facts.push(("strain-life constants".to_owned(), model.origin.to_string()));
    }
    facts
}

/// The part of a cycle that a law gets where superposition closes the crack.
fn closing(rule: ContactRule) -> &'static str {
    match rule {
        ContactRule::OpenPart => "count with their open part at ratio 0",
        ContactRule::FullRange => {
            "count with their whole range and ratio, down to -2, as the law was fitted"
        }
    }
}

/// Share of the residual stress that the load leaves at the governing place.
fn relaxation(report: &LifeReport) -> String {
    let Some(run) = report.relaxation else {
        return "as the work left it; the load was not run on it".to_owned();
    };
    let show = Show { units: report.units };
    let place = &report.governing.place;
    let edge = |profile: &Profile| show.stress(profile.values().first().copied().unwrap_or(0.0));
    let ends = match &place.worked_hoop {
        Some(before) if run.yielded => format!(
            "; hoop at the crack's start {} before, {} {} after",
            edge(before),
            edge(&place.residual_hoop),
            report.units.stress_name()
        ),
        _ => "; the metal does not yield".to_owned(),
    };
    let state = if run.settled { "settled" } else { "still yielding" };
    format!("load run for {} cycles, {state}{ends}", run.cycles)
}

/// Warnings about the constants, to stand wherever a result stands.
pub(super) fn flags(report: &LifeReport) -> Vec<String> {
    let mut flags = Vec::new();
    let mut flag = |what: &str, origin: &Origin| {
        if origin.from_memory() {
            flags.push(format!(
                "{what} constants are from memory, not checked against their source"
            ));
        }
        if origin.stand_in {
            flags.push(format!("{what} constants are of another product: {}", origin.product));
        }
    };
    flag("growth", &report.ground.model.origin);
    if let Some(model) = &report.ground.strain_life {
        flag("strain-life", &model.origin);
    }
    if report.toughness_words.starts_with("apparent") {
        flags.push(
            "fracture is set by the toughness inside the growth law, a number of a fit; give `toughness` \
             for this thickness"
                .to_owned(),
        );
    }
    flags
}
