//! The parts of a case that can be moved by hand, and the case file that a position of all controls stands for.
//!
//! A control is a key of the case file, or a size that a hand thinks in and a file does not: applied
//! expansion in per cent, edge margin, spacing, the kinematic share of the hardening. Those are worked out
//! from the case with all plain keys in place, in a fixed order, so equal positions give equal files.

use std::collections::BTreeMap;

use serde::Serialize;
use toml_edit::{DocumentMut, Item, TableLike};

use crate::case::study::{KeyPath, Scalar};
use crate::case::{Case, Complaint, parse};
use crate::geometry::plate::Outline;
use crate::live::Trouble;
use crate::live::split;
use crate::process::stage::Stage;

/// Largest value of a control, far above any that makes sense.
const LARGEST: f64 = 1e7;

/// Values of the controls that were moved, by the name of the control.
pub type Moves = BTreeMap<String, Scalar>;

/// Writes to a place of the case.
#[derive(Clone, Debug)]
enum Hold {
    Key(KeyPath),
    /// Expansion of the tool of a stage, per cent; stage from 0.
    Expansion(usize),
    /// e/D of the first hole; all holes move along.
    Margin,
    /// Distance of a hole from the one before it over its diameter; the later ones move along.
    Spacing(usize),
    /// Kinematic share of the hardening, per cent.
    Split,
}

/// How a control is shown.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Kind {
    /// A slider beside a field.
    Slider {
        /// Lowest position.
        low: f64,
        /// Highest position.
        high: f64,
        /// Distance of positions.
        step: f64,
        /// Position in the case as it was read.
        value: f64,
    },
    /// A choice of words.
    Choice {
        /// The words.
        options: Vec<&'static str>,
        /// That of the case as it was read.
        value: String,
    },
}

/// One thing that can be moved.
#[derive(Clone, Debug, Serialize)]
pub struct Control {
    /// Name in [`Moves`].
    pub id: String,
    /// Its name for a reader.
    pub label: String,
    /// Unit of its value.
    pub unit: String,
    /// How it is shown.
    pub kind: Kind,
    #[serde(skip)]
    hold: Hold,
}

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

/// A size without the rounding of the arithmetic: to a millionth of its unit.
fn tidy(value: f64) -> f64 {
    (value * 1e6).round() / 1e6
}

/// A direction cosine that is zero where it should be.
fn exact(cosine: f64) -> f64 {
    if cosine.abs() < 1e-12 { 0.0 } else { cosine }
}

/// Diameter to which `hole` is made when stage `stage` (from 0) begins, mm.
fn diameter_before(case: &Case, hole: usize, stage: usize) -> f64 {
    let reams = case.job.stages[..stage].iter().rev().find_map(|earlier| match earlier {
        Stage::Ream { hole: reamed, diameter, .. } if *reamed == hole => Some(*diameter),
        _ => None,
    });
    reams.unwrap_or(case.job.plate.holes[hole].starting_diameter)
}

/// Diameter of a hole when all is done, mm.
fn final_diameter(case: &Case, hole: usize) -> f64 {
    diameter_before(case, hole, case.job.stages.len())
}

/// Whether the table of a stage (from 0) has `key`.
fn stage_has(document: &DocumentMut, stage: usize, key: &str) -> bool {
    with_stage(document, stage, |table| table.contains_key(key)).unwrap_or(false)
}

fn with_stage<T>(
    document: &DocumentMut,
    stage: usize,
    look: impl FnOnce(&dyn TableLike) -> T,
) -> Option<T> {
    match document.get("stage")? {
        Item::ArrayOfTables(tables) => tables.get(stage).map(|table| look(table)),
        Item::Value(value) => {
            value.as_array()?.get(stage)?.as_inline_table().map(|table| look(table))
        }
        _ => None,
    }
}

/// Makes the controls of a case.
struct Controls<'a> {
    case: &'a Case,
    document: &'a DocumentMut,
}

impl Controls<'_> {
    fn all(&self) -> Vec<Control> {
        let mut controls = Vec::new();
        self.stages(&mut controls);
        self.holes(&mut controls);
        self.plate(&mut controls);
        controls
    }

    fn stages(&self, controls: &mut Vec<Control>) {
        let holes = &self.case.job.plate.holes;
        for (index, stage) in self.case.job.stages.iter().enumerate() {
            let number = index + 1;
            match stage {
                Stage::Expand { hole, tool } => {
                    let now =
                        100.0 * tool.applied_expansion(diameter_before(self.case, *hole, index));
                    controls.push(slider(
                        (format!("expansion:{number}"), Hold::Expansion(index)),
                        (format!("Expansion of {}, stage {number}", holes[*hole].name), "%"),
                        [0.5, (2.0 * now).max(7.0), 0.02, now],
                    ));
                }
                Stage::Ream { hole, diameter, .. } => {
                    let [start, now] =
                        [holes[*hole].starting_diameter, *diameter].map(|mm| self.length(mm));
                    self.key(
                        controls,
                        &format!("stage.{number}.diameter"),
                        format!("Ream of {}, stage {number}", holes[*hole].name),
                        [start, (1.2 * start).max(now), 0.0, now],
                    );
                }
                Stage::Load { .. } | Stage::Service { .. } => self.load(controls, index),
                _ => {}
            }
        }
    }

    fn load(&self, controls: &mut Vec<Control>, index: usize) {
        let tension = with_stage(self.document, index, |table| {
            let load = table.get("load")?.as_table_like()?;
            number(load.get("tension")?)
        });
        if let Some(now) = tension.flatten() {
            let most = 2.0 * now.abs();
            let id = format!("stage.{}.load.tension", index + 1);
            let label = format!("Tension, stage {}", index + 1);
            if let Ok(key) = KeyPath::parse(&id) {
                let unit = self.case.units.stress_name();
                controls.push(slider((id, Hold::Key(key)), (label, unit), [-most, most, 0.0, now]));
            }
        }
    }

    fn holes(&self, controls: &mut Vec<Control>) {
        let plate = &self.case.job.plate;
        let placed =
            matches!(plate.outline, Outline::Rectangle { .. }) && self.case.imported.is_none();
        if placed && !plate.holes.is_empty() {
            let diameter = final_diameter(self.case, 0);
            let now = plate.nearest_edge(0).distance / diameter;
            let most = 0.45 * plate.outline.extent() / diameter;
            controls.push(slider(
                ("margin".to_owned(), Hold::Margin),
                (format!("Edge margin e/D of {}", plate.holes[0].name), ""),
                [1.0, most.clamp(4.0_f64.min(most), 8.0).max(now), 0.01, now],
            ));
            for hole in 1..plate.holes.len() {
                let [a, b] = [hole - 1, hole].map(|hole| plate.holes[hole].centre);
                let now = (b[0] - a[0]).hypot(b[1] - a[1]) / final_diameter(self.case, hole);
                controls.push(slider(
                    (format!("spacing:{}", hole + 1), Hold::Spacing(hole)),
                    (
                        format!(
                            "Spacing {}–{} over D",
                            plate.holes[hole - 1].name,
                            plate.holes[hole].name
                        ),
                        "",
                    ),
                    [1.5, (2.0 * now).max(6.0), 0.01, now],
                ));
            }
        }
        for hole in &plate.holes {
            let now = self.length(hole.starting_diameter);
            self.key(
                controls,
                &format!("hole.{}.starting_diameter", hole.name),
                format!("Starting diameter of {}", hole.name),
                [0.9 * now, 1.1 * now, 0.0, now],
            );
        }
    }

    fn plate(&self, controls: &mut Vec<Control>) {
        let job = &self.case.job;
        let own = self.case.imported.is_none();
        match &job.plate.outline {
            Outline::Rectangle { width, height } if own => {
                for (key, label, now) in
                    [("plate.width", "Width", *width), ("plate.height", "Height", *height)]
                {
                    let now = self.length(now);
                    self.key(controls, key, label.to_owned(), [0.5 * now, 2.0 * now, 0.0, now]);
                }
            }
            Outline::Disc { diameter } if own => {
                let now = self.length(*diameter);
                let label = "Outer diameter".to_owned();
                self.key(controls, "plate.outer_diameter", label, [0.5 * now, 2.0 * now, 0.0, now]);
            }
            _ => {}
        }
        let now = self.length(job.plate.thickness);
        self.key(
            controls,
            "plate.thickness",
            "Thickness".to_owned(),
            [0.2 * now, 3.0 * now, 0.0, now],
        );
        if let Some(share) = split::share(&job.material) {
            controls.push(slider(
                ("split".to_owned(), Hold::Split),
                ("Kinematic share of hardening".to_owned(), "%"),
                [0.0, 100.0, 1.0, 100.0 * share],
            ));
        }
        if let Ok(key) = KeyPath::parse("plate.idealisation") {
            controls.push(Control {
                id: "plate.idealisation".to_owned(),
                label: "Idealisation".to_owned(),
                unit: String::new(),
                kind: Kind::Choice {
                    options: vec!["plane stress", "generalised plane strain", "plane strain"],
                    value: job.idealisation.name().to_owned(),
                },
                hold: Hold::Key(key),
            });
        }
    }

    /// A slider of a length that is a key of the file.
    fn key(&self, controls: &mut Vec<Control>, id: &str, label: String, range: [f64; 4]) {
        if let Ok(key) = KeyPath::parse(id) {
            let unit = self.case.units.length_name();
            controls.push(slider((id.to_owned(), Hold::Key(key)), (label, unit), range));
        }
    }

    fn length(&self, millimetres: f64) -> f64 {
        millimetres / self.case.units.length_scale()
    }
}

/// A slider over `[low, high]`; a step of zero is a round one, some three hundred over the range.
fn slider((id, hold): (String, Hold), (label, unit): (String, &str), range: [f64; 4]) -> Control {
    let [low, high, step, value] = range;
    let step = if step > 0.0 { step } else { round_step((high - low) / 300.0) };
    let kind =
        Kind::Slider { low: low.min(value), high: high.max(value), step, value: tidy(value) };
    Control { id, label, unit: unit.to_owned(), kind, hold }
}

/// The round number 1, 2 or 5 times a power of ten at or below `wanted`.
fn round_step(wanted: f64) -> f64 {
    let power = 10f64.powf(wanted.max(1e-9).log10().floor());
    let times = [5.0, 2.0, 1.0].into_iter().find(|times| times * power <= wanted).unwrap_or(1.0);
    // Through text, so that 0.01 is the 0.01 that a reader writes.
    format!("{:.0e}", times * power).parse().unwrap_or(times * power)
}

fn number(item: &Item) -> Option<f64> {
    #[allow(clippy::cast_precision_loss, reason = "a stress in a case file")]
    item.as_float().or_else(|| item.as_integer().map(|whole| whole as f64))
}
