//! The work in words: plate, stages, tools, loads.

use crate::geometry::plate::{Outline, Plate};
use crate::process::bush::Assembly;
use crate::process::stage::{Load, Stage};
use crate::process::tool::{Centre, Tool};
use crate::report::service_words::program_words;
use crate::report::show::{NOTHING, Show, angle, percent, short};

/// Size of a plate in words.
pub(super) fn outline_words(plate: &Plate, show: Show) -> String {
    let mm = show.units.length_name();
    match &plate.outline {
        Outline::Rectangle { width, height } => {
            format!("{} × {} {mm}", show.input_length(*width), show.input_length(*height))
        }
        Outline::Disc { diameter } => {
            format!("round, {} {mm} across", show.input_length(*diameter))
        }
        drawn @ Outline::Loops(_) => {
            let [low, high] = drawn.bounds();
            let [width, height] = [0, 1].map(|axis| show.input_length(high[axis] - low[axis]));
            format!("outline as drawn, {width} × {height} {mm} over all")
        }
    }
}

/// A stage in words; an expansion has those of its tool.
pub(super) fn stage_words(stage: &Stage, names: &[&str], show: Show) -> String {
    let mm = show.units.length_name();
    match stage {
        Stage::Expand { .. } => String::new(),
        Stage::Ream { diameter, offset, .. } => {
            let off = offset[0].hypot(offset[1]);
            let aside = if off > 0.0 {
                format!(", {} {mm} off the drilled centre", show.input_length(off))
            } else {
                String::new()
            };
            format!("to {} {mm}{aside}", show.input_length(*diameter))
        }
        Stage::Bush(bush) => {
            let place = match &bush.assembly {
                Assembly::Pressed => String::new(),
                Assembly::Shrunk { bush, part, .. } => {
                    format!(", put in at {} in a part at {}", short(*bush, 4), short(*part, 4))
                }
            };
            format!(
                "bush {} by {} {mm} of {}{place}",
                show.input_length(bush.inner_diameter),
                show.input_length(bush.outer_diameter),
                bush.material_name
            )
        }
        Stage::Fasten { diameter: None, .. } => "pin, neat fit".to_owned(),
        Stage::Fasten { diameter: Some(diameter), .. } => {
            format!("pin {} {mm}", show.input_length(*diameter))
        }
        Stage::Unfasten { .. } => "pin taken out".to_owned(),
        Stage::Join { doubler } => {
            let bonded = if doubler.bond.is_some() { "bonded" } else { "" };
            let fastened = match doubler.fasteners.len() {
                0 => String::new(),
                1 => "1 fastener".to_owned(),
                count => format!("{count} fasteners"),
            };
            let both = if bonded.is_empty() || fastened.is_empty() { "" } else { ", " };
            format!("doubler, {bonded}{both}{fastened}")
        }
        Stage::Detach { .. } => "doubler taken off".to_owned(),
        Stage::Temperature { difference, metals, relaxation, .. } => {
            let softer = if metals.is_empty() { "" } else { ", metals as given for it" };
            let left = relaxation.as_ref().map_or_else(String::new, |stated| {
                let left = short(100.0 * stated.left, 1);
                format!(", {left} % of the stress left by heat as stated ({})", stated.source)
            });
            format!("{} from the temperature of the drawing{softer}{left}", short(*difference, 4))
        }
        Stage::Load { load, cycles } => {
            let times = if *cycles == 1 { "once".to_owned() } else { format!("{cycles} times") };
            format!("{}, on and off {times}", load_words(load, names, show))
        }
        Stage::Service { load, program } => {
            format!("{}; {}", load_words(load, names, show), program_words(program))
        }
    }
}

/// A tool in words.
pub(super) fn tool_words(tool: &Tool, applied: f64, show: Show) -> String {
    let mm = show.units.length_name();
    let mut words = format!(
        "applied expansion {} %: mandrel {} {mm}",
        percent(applied),
        show.input_length(tool.mandrel_diameter)
    );
    if tool.sleeve_thickness > 0.0 {
        words
            .push_str(&format!(", sleeve {} {mm} thick", show.input_length(tool.sleeve_thickness)));
    }
    if let Some(split) = tool.split {
        words.push_str(&format!(
            ", split at {} open over {}",
            angle(split.angle.to_degrees()),
            angle(split.gap.to_degrees())
        ));
    }
    words.push_str(match tool.elastic {
        Some(_) => ", elastic mandrel",
        None => ", rigid mandrel",
    });
    words.push_str(match tool.centre {
        Centre::Floating => ", centre floating",
        Centre::Held => ", centre held",
    });
    words
}

fn load_words(load: &Load, names: &[&str], show: Show) -> String {
    let mpa = show.units.stress_name();
    let mut parts: Vec<String> = load
        .tractions
        .iter()
        .map(|(edge, stress)| format!("{} {mpa} on {edge}", show.input_stress(*stress)))
        .collect();
    if let Some((hole, pressure)) = load.pressure {
        let name = names.get(hole).copied().unwrap_or(NOTHING);
        parts.push(format!("pressure {} {mpa} in hole {name}", show.input_stress(pressure)));
    }
    for (hole, force) in &load.bearing {
        let name = names.get(*hole).copied().unwrap_or(NOTHING);
        let [x, y] = force.map(|part| show.input_force(part));
        parts.push(format!(
            "bearing load [{x}, {y}] {} of the pin in hole {name}",
            show.units.force_name()
        ));
    }
    parts.join(", ")
}
