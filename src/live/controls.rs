//! The controls that a case has: which, over which range, and what each writes to.

use serde::Serialize;
use toml_edit::{DocumentMut, Item, TableLike};

use crate::case::Case;
use crate::case::study::KeyPath;
use crate::geometry::plate::Outline;
use crate::live::split;
use crate::process::section::SectionStage;
use crate::process::stage::Stage;
use crate::solver::friction::Friction;

/// Writes to a place of the case.
#[derive(Clone, Debug)]
pub(super) enum Hold {
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
    /// Name in [`Moves`](super::deck::Moves).
    pub id: String,
    /// Its name for a reader.
    pub label: String,
    /// Unit of its value.
    pub unit: String,
    /// How it is shown.
    pub kind: Kind,
    #[serde(skip)]
    pub(super) hold: Hold,
}

/// Diameter to which `hole` is made when stage `stage` (from 0) begins, mm.
pub(super) fn diameter_before(case: &Case, hole: usize, stage: usize) -> f64 {
    let reams = case.job.stages[..stage].iter().rev().find_map(|earlier| match earlier {
        Stage::Ream { hole: reamed, diameter, .. } if *reamed == hole => Some(*diameter),
        _ => None,
    });
    reams.unwrap_or(case.job.plate.holes[hole].starting_diameter)
}

/// Diameter of a hole when all is done, mm.
pub(super) fn final_diameter(case: &Case, hole: usize) -> f64 {
    diameter_before(case, hole, case.job.stages.len())
}

/// Whether the table of a stage (from 0) has `key`.
pub(super) fn stage_has(document: &DocumentMut, stage: usize, key: &str) -> bool {
    with_stage(document, stage, |table| table.contains_key(key)).unwrap_or(false)
}

pub(super) fn with_stage<T>(
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
pub(super) struct Controls<'a> {
    pub(super) case: &'a Case,
    pub(super) document: &'a DocumentMut,
}

impl Controls<'_> {
    pub(super) fn all(&self) -> Vec<Control> {
        let mut controls = Vec::new();
        self.stages(&mut controls);
        self.holes(&mut controls);
        self.plate(&mut controls);
        self.section(&mut controls);
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

    /// Friction and tapers of the drawn mandrel.
    fn section(&self, controls: &mut Vec<Control>) {
        let draws = self.case.sections.iter().flat_map(|beside| &beside.section.stages);
        let tool = draws.filter_map(|stage| match stage {
            SectionStage::Draw { tool, .. } => Some(tool),
            _ => None,
        });
        let Some(tool) = tool.into_iter().next() else { return };
        let friction = match tool.friction {
            Friction::None => Some(0.0),
            Friction::Constant(coefficient) => Some(coefficient),
            // A table has no single place.
            Friction::Table(_) => None,
        };
        let mut add = |id: &str, label: &str, unit, range| {
            if let Ok(key) = KeyPath::parse(id) {
                let name = (id.to_owned(), Hold::Key(key));
                controls.push(slider(name, (format!("{label} of the drawn mandrel"), unit), range));
            }
        };
        if let Some(now) = friction {
            add("section.friction", "Friction", "", [0.0, 0.3, 0.005, now]);
        }
        let profile = &tool.profile;
        for (id, label, now) in [
            ("section.lead_angle", "Lead taper", profile.lead_angle),
            ("section.trail_angle", "Trail taper", profile.trail_angle),
        ] {
            add(id, label, "°", [0.5, 10.0, 0.1, now.to_degrees()]);
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

pub(super) fn number(item: &Item) -> Option<f64> {
    #[allow(clippy::cast_precision_loss, reason = "a stress in a case file")]
    item.as_float().or_else(|| item.as_integer().map(|whole| whole as f64))
}

/// A size without the rounding of the arithmetic: to a millionth of its unit.
pub(super) fn tidy(value: f64) -> f64 {
    (value * 1e6).round() / 1e6
}
