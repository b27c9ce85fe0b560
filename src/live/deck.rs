//! The parts of a case that can be moved by hand, and the case file that a position of all controls stands for.
//!
//! A control is a key of the case file, or a size that a hand thinks in and a file does not: applied
//! expansion in per cent, edge margin, spacing, the kinematic share of the hardening. Those are worked out
//! from the case with all plain keys in place, in a fixed order, so equal positions give equal files.

use std::collections::BTreeMap;

use toml_edit::DocumentMut;

use crate::case::study::{KeyPath, Scalar};
use crate::case::{Case, Complaint, parse};
use crate::live::Trouble;
use crate::live::controls::{
    Control, Controls, Hold, Kind, diameter_before, final_diameter, stage_has, tidy,
};
use crate::live::split;
use crate::process::stage::Stage;

/// Largest value of a control, far above any that makes sense.
const LARGEST: f64 = 1e7;

/// Values of the controls that were moved, by the name of the control.
pub type Moves = BTreeMap<String, Scalar>;

/// A case and its controls.
#[derive(Clone, Debug)]
pub struct Deck {
    /// Name of the file in complaints.
    pub name: String,
    /// The case as it was read.
    pub case: Case,
    /// Its controls.
    pub controls: Vec<Control>,
    document: DocumentMut,
}

impl Deck {
    /// The controls of the case `text`; complaints call it `name`.
    ///
    /// # Errors
    ///
    /// The [`Complaint`] about the text.
    pub fn new(text: &str, name: &str) -> Result<Self, Complaint> {
        let case = parse(text, name)?;
        // What was parsed as a case is TOML.
        let document: DocumentMut = text.trim_start_matches('\u{feff}').parse().unwrap_or_default();
        let controls = Controls { case: &case, document: &document }.all();
        Ok(Self { name: name.to_owned(), case, controls, document })
    }

    /// The text of the case file with `moves` made.
    ///
    /// # Errors
    ///
    /// [`Trouble::Control`] for a control that the case does not have or a value it cannot take;
    /// [`Trouble::Case`] when the moved plain keys make no case.
    pub fn text(&self, moves: &Moves) -> Result<String, Trouble> {
        if moves.is_empty() {
            return Ok(self.case.text.clone());
        }
        let mut document = self.document.clone();
        let mut composed = Vec::new();
        for (id, value) in moves {
            let control = self
                .controls
                .iter()
                .find(|control| control.id == *id)
                .ok_or_else(|| Trouble::Control(format!("this case has no control `{id}`")))?;
            fits(control, value)?;
            match &control.hold {
                Hold::Key(key) => key.set(&mut document, value).map_err(Trouble::Control)?,
                hold => composed.push((hold, value)),
            }
        }
        if composed.is_empty() {
            return Ok(document.to_string());
        }
        let plain = parse(&document.to_string(), &self.name)?;
        place_holes(&mut document, &plain, &composed)?;
        for (hold, value) in composed {
            let Scalar::Number(value) = value else { continue };
            match hold {
                Hold::Expansion(stage) => expand(&mut document, &plain, *stage, *value)?,
                Hold::Split => {
                    split::set(&mut document, &plain.job.material, value / 100.0, plain.units);
                }
                _ => {}
            }
        }
        Ok(document.to_string())
    }

    /// The case with `moves` made.
    ///
    /// # Errors
    ///
    /// As [`Deck::text`]; a [`Complaint`] about the text that comes out.
    pub fn case(&self, moves: &Moves) -> Result<Case, Trouble> {
        Ok(parse(&self.text(moves)?, &self.name)?)
    }
}

/// Whether a control takes a value.
fn fits(control: &Control, value: &Scalar) -> Result<(), Trouble> {
    let wrong = |what: &str| Trouble::Control(format!("`{}`: {what}", control.id));
    match (&control.kind, value) {
        (Kind::Slider { .. }, Scalar::Number(number)) if number.abs() <= LARGEST => Ok(()),
        (Kind::Slider { .. }, _) => Err(wrong("a finite number is wanted")),
        (Kind::Choice { options, .. }, Scalar::Text(text)) if options.contains(&text.as_str()) => {
            Ok(())
        }
        (Kind::Choice { options, .. }, _) => Err(wrong(&format!("one of {}", options.join(", ")))),
    }
}

/// Moves the holes as margin and spacings ask.
fn place_holes(
    document: &mut DocumentMut,
    case: &Case,
    composed: &[(&Hold, &Scalar)],
) -> Result<(), Trouble> {
    let plate = &case.job.plate;
    let mut at: Vec<[f64; 2]> = plate.holes.iter().map(|hole| hole.centre).collect();
    for (hold, value) in composed {
        let Scalar::Number(value) = value else { continue };
        let (from, by) = match hold {
            Hold::Margin => {
                let near = plate.nearest_edge(0);
                let inward = near.distance - value * final_diameter(case, 0);
                (0, [inward * exact(near.angle.cos()), inward * exact(near.angle.sin())])
            }
            Hold::Spacing(hole) => {
                let [a, b] = [at[hole - 1], at[*hole]];
                let apart = (b[0] - a[0]).hypot(b[1] - a[1]);
                let stretch = value * final_diameter(case, *hole) / apart - 1.0;
                (*hole, [stretch * (b[0] - a[0]), stretch * (b[1] - a[1])])
            }
            _ => continue,
        };
        for centre in &mut at[from..] {
            centre[0] += by[0];
            centre[1] += by[1];
        }
    }
    for (hole, now) in plate.holes.iter().zip(&at) {
        for (axis, name) in ["x", "y"].into_iter().enumerate() {
            if now[axis].total_cmp(&hole.centre[axis]).is_ne() {
                let value = tidy(now[axis] / case.units.length_scale());
                set(document, &format!("hole.{}.at.{name}", hole.name), value)?;
            }
        }
    }
    Ok(())
}

/// Writes the tool of a stage that expands its hole by `percent`.
fn expand(
    document: &mut DocumentMut,
    case: &Case,
    stage: usize,
    percent: f64,
) -> Result<(), Trouble> {
    let Some(Stage::Expand { hole, tool }) = case.job.stages.get(stage) else { return Ok(()) };
    let number = stage + 1;
    if stage_has(document, stage, "applied_expansion") {
        return set(document, &format!("stage.{number}.applied_expansion"), tidy(percent / 100.0));
    }
    let before = diameter_before(case, *hole, stage);
    let mandrel = before * (1.0 + percent / 100.0) - 2.0 * tool.sleeve_thickness;
    let mandrel = tidy(mandrel / case.units.length_scale());
    set(document, &format!("stage.{number}.mandrel_diameter"), mandrel)
}

fn set(document: &mut DocumentMut, key: &str, value: f64) -> Result<(), Trouble> {
    let key = KeyPath::parse(key).map_err(|(problem, _)| Trouble::Control(problem))?;
    key.set(document, &Scalar::Number(value)).map_err(Trouble::Control)
}

/// A direction cosine that is zero where it should be.
fn exact(cosine: f64) -> f64 {
    if cosine.abs() < 1e-12 { 0.0 } else { cosine }
}
