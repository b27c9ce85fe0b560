//! `[[stage]]`: the work, checked in the order in which it is done.

mod bushing;
mod loads;

use crate::case::border::{Border, required_length, unknown_word};
use crate::case::complaint::{Complaint, Kind};
use crate::case::doubler::sketch::Sketch;
use crate::case::drawing::Circle;
use crate::case::keys::{self, CASE_FILE, stage_keys};
use crate::case::pin;
use crate::case::seated::Seated;
use crate::case::standing::Standing;
use crate::case::table::{Table, quoted};
use crate::case::tooling::{self, read_tool};
use crate::geometry::plate::Plate;
use crate::material::hardening::Material;
use crate::material::idealisation::Idealisation;
use crate::process::region::Region;
use crate::process::stage::Stage;
use crate::solver::supports::Support;

/// A ream that enlarges an expanded hole by more than this factor is warned of: the
/// compression reaches a radius or so from the edge, and its peak lies in the first quarter.
const DEEP_REAM: f64 = 1.25;

/// Kinds of stage, by the key that names them.
const ACTIONS: [&str; 9] =
    ["expand", "ream", "bush", "fasten", "unfasten", "join", "detach", "temperature", "load"];

/// Whether pins stand in the holes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Pins {
    /// Those that stages put in.
    Fastened,
    /// A neat pin in every hole that is loaded.
    Assumed,
}

/// Reads the stages one after the other, keeping track of what each hole has become.
pub(super) struct Reader<'p> {
    pub(super) plate: &'p Plate,
    pub(super) supports: &'p [Support],
    /// Regions of another thickness or metal.
    pub(super) regions: &'p [Region],
    /// Coefficient of thermal expansion of the plate, when the case gives it.
    pub(super) expansion: Option<f64>,
    /// Bushes that the stages read so far put in.
    pub(super) bushes: Vec<Seated>,
    /// Temperature of the part now.
    pub(super) temperature: f64,
    /// Doublers that stages may join.
    pub(super) doublers: &'p [Sketch<'p>],
    /// Those on the plate, by their places.
    pub(super) joined: Vec<usize>,
    /// Which of them have been.
    pub(super) ever_joined: Vec<bool>,
    /// Every joining so far: the doubler and its coefficient of expansion.
    pub(super) joins: Vec<(usize, Option<f64>)>,
    idealisation: Idealisation,
    pub(super) material: &'p Material,
    pub(super) border: Border,
    /// By how much each hole was drilled off its place `[x, y]`, mm.
    pub(super) off_place: Vec<[f64; 2]>,
    /// How each hole stands after the stages read so far.
    pub(super) standing: Vec<Standing>,
    /// Remarks on input that looks odd but may be meant.
    pub(super) warnings: Vec<String>,
}

impl<'p> Reader<'p> {
    /// A reader that has seen no stage.
    pub(super) fn new(
        plate: &'p Plate,
        supports: &'p [Support],
        idealisation: Idealisation,
        material: &'p Material,
        border: Border,
    ) -> Self {
        let standing = plate.holes.iter().map(Standing::drilled).collect();
        let regions = &[];
        Self {
            plate,
            supports,
            regions,
            expansion: None,
            bushes: vec![],
            temperature: 0.0,
            doublers: &[],
            joined: vec![],
            ever_joined: vec![],
            joins: vec![],
            idealisation,
            material,
            border,
            off_place: vec![[0.0; 2]; plate.holes.len()],
            standing,
            warnings: vec![],
        }
    }

    /// Reads the next stage.
    pub(super) fn read(&mut self, table: &Table<'_>) -> Result<Stage, Complaint> {
        let all = keys::table_names(&CASE_FILE, "stage");
        table.only(&all)?;
        let actions: Vec<&str> = ACTIONS.into_iter().filter(|key| table.has(key)).collect();
        let action = match actions.as_slice() {
            [action] => *action,
            [] => {
                let remedy = "write `expand = \"HOLE\"`, `ream = \"HOLE\"`, `fasten = \"HOLE\"`, \
                              `unfasten = \"HOLE\"`, `bush = \"HOLE\"`, `join = \"DOUBLER\"`, \
                              `detach = \"DOUBLER\"`, `temperature = -80` or `load = { … }`";
                let problem = format!("{} does nothing", table.name);
                return Err(table.source.complain(
                    &table.span,
                    "",
                    Kind::MissingKey,
                    problem,
                    remedy,
                ));
            }
            several => {
                let problem = format!("{} does several things: {}", table.name, quoted(several));
                let remedy = "write a [[stage]] for each, in the order of the work";
                return Err(table.stray(several[1], problem, remedy));
            }
        };
        let own = match action {
            "expand" => stage_keys::EXPAND,
            "ream" => stage_keys::REAM,
            "bush" => stage_keys::BUSH,
            "fasten" => stage_keys::FASTEN,
            "unfasten" => stage_keys::UNFASTEN,
            "join" => stage_keys::JOIN,
            "detach" => stage_keys::DETACH,
            "temperature" => stage_keys::TEMPERATURE,
            _ => stage_keys::LOADED,
        }
        .names();
        if let Some(stray) = all.iter().find(|key| table.has(key) && !own.contains(key)) {
            let problem = format!("`{stray}` has no meaning in a stage that does `{action}`");
            let remedy = match &own[1..] {
                [] => format!("`{action}` takes no other keys"),
                others => format!("keys that go with `{action}`: {}", quoted(others)),
            };
            return Err(table.stray(stray, problem, remedy));
        }
        match action {
            "expand" => self.read_expand(table),
            "ream" => self.read_ream(table),
            "bush" => self.read_bush(table),
            "fasten" => self.read_fasten(table),
            "unfasten" => self.read_unfasten(table),
            "join" => self.read_join(table),
            "detach" => self.read_detach(table),
            "temperature" => self.read_temperature(table),
            _ => self.read_load(table),
        }
    }

    /// The hole that a key names.
    pub(super) fn hole(&self, table: &Table<'_>, key: &'static str) -> Result<usize, Complaint> {
        let names: Vec<&str> = self.plate.holes.iter().map(|hole| hole.name.as_str()).collect();
        let remedy = format!("name the hole: {}", quoted(&names));
        let word = table.text(key)?.ok_or_else(|| table.missing(key, remedy))?;
        names
            .iter()
            .position(|name| *name == word.value)
            .ok_or_else(|| unknown_word(table, &word, "hole of this plate", &names))
    }

    pub(super) fn warn(&mut self, table: &Table<'_>, key: &str, text: &str) {
        let line = table.source.place(table.key_span(key).start).0;
        self.warnings.push(format!("line {line}: {text}"));
    }

    fn read_expand(&mut self, table: &Table<'_>) -> Result<Stage, Complaint> {
        self.check_uncovered(table, "expand")?;
        let hole = self.empty_hole(table, "expand")?;
        let now = self.standing[hole].clone();
        let tool = read_tool(table, now.nominal, self.border)?;
        let (expansion, key) = (tool.applied_expansion(now.nominal), tooling::size_key(table));
        tooling::check_size(table, &tool, &now, &self.plate.holes[hole].name, self.border)?;
        if expansion > tooling::UNUSUAL_EXPANSION {
            let text = format!(
                "an applied expansion of {:.2} % is more than the usual 3 to 6 %: \
                 check the sizes, and that the hardening law holds for such strains",
                100.0 * expansion
            );
            self.warn(table, key, &text);
        }
        self.seat_bush(hole);
        if self.bush_in(hole).is_none() {
            self.standing[hole].expand(&tool, self.material, self.idealisation);
        }
        Ok(Stage::Expand { hole, tool })
    }

    fn read_ream(&mut self, table: &Table<'_>) -> Result<Stage, Complaint> {
        self.check_uncovered(table, "ream")?;
        let hole = self.empty_hole(table, "ream")?;
        let name = &self.plate.holes[hole].name;
        let remedy = "give the diameter after the cut";
        let written = required_length(table, "diameter", remedy, self.border)?;
        let diameter = written.value;
        let offset = self.read_axis(table, hole)?;
        let drilled = self.plate.holes[hole].centre;
        let axis = [drilled[0] + offset[0], drilled[1] + offset[1]];
        self.standing[hole].check_ream(table, &written, diameter, axis, name, self.border)?;
        self.check_wall(table, &written, hole, offset)?;
        let circle = Circle {
            what: format!("the ream of hole `{name}`"),
            centre: axis,
            diameter,
            table,
            key: if table.has("offset") { "offset" } else { "diameter" },
        };
        circle.check_inside(&self.plate.outline, self.border)?;
        for (other, standing) in self.standing.iter().enumerate().filter(|(at, _)| *at != hole) {
            let other = &self.plate.holes[other].name;
            circle.check_apart(other, standing.axis, standing.nominal, self.border)?;
        }
        let before = &self.standing[hole];
        if before.least > before.nominal && diameter > DEEP_REAM * before.nominal {
            let text = format!(
                "the ream of hole `{name}` takes away the metal that the expansion has \
                 compressed most: {} to {}",
                self.border.show_length(before.nominal),
                self.border.show_length(diameter)
            );
            self.warn(table, "diameter", &text);
        }
        self.standing[hole] =
            Standing { nominal: diameter, least: diameter, axis, uneven: 0.0, fastened: false };
        Ok(Stage::Ream { hole, diameter, offset })
    }

    /// Axis of a cutter from the drilled centre `[x, y]`, mm.
    fn read_axis(&self, table: &Table<'_>, hole: usize) -> Result<[f64; 2], Complaint> {
        let offset = table.pair("offset")?.map_or([0.0, 0.0], |at| self.border.point(at.value));
        let missed = self.off_place[hole];
        match table.text("axis")? {
            Some(word) if word.value == "place" => {
                Ok([offset[0] - missed[0], offset[1] - missed[1]])
            }
            Some(word) if word.value != "drilled" => {
                Err(unknown_word(table, &word, "axis", &["drilled", "place"]))
            }
            _ => Ok(offset),
        }
    }

    /// A hole without a pin in it.
    pub(super) fn empty_hole(
        &self,
        table: &Table<'_>,
        key: &'static str,
    ) -> Result<usize, Complaint> {
        let hole = self.hole(table, key)?;
        if self.standing[hole].fastened {
            let problem = format!("hole `{}` has a pin in it", self.plate.holes[hole].name);
            let remedy = "take it out first with a stage `unfasten`";
            let span = table.key_span(key);
            return Err(table.source.complain(&span, key, Kind::Sequence, problem, remedy));
        }
        Ok(hole)
    }

    fn read_fasten(&mut self, table: &Table<'_>) -> Result<Stage, Complaint> {
        let hole = self.empty_hole(table, "fasten")?;
        self.check_seated(table, hole)?;
        let nominal = self.standing[hole].nominal;
        let (diameter, elastic) =
            pin::read_pin(table, nominal, &self.plate.holes[hole].name, self.border)?;
        self.standing[hole].fastened = true;
        Ok(Stage::Fasten { hole, diameter, elastic })
    }

    fn read_unfasten(&mut self, table: &Table<'_>) -> Result<Stage, Complaint> {
        let hole = self.hole(table, "unfasten")?;
        if !self.standing[hole].fastened {
            let problem = format!("hole `{}` has no pin in it", self.plate.holes[hole].name);
            let remedy = "put one in with a stage `fasten` before";
            let span = table.key_span("unfasten");
            return Err(table.source.complain(&span, "unfasten", Kind::Sequence, problem, remedy));
        }
        if let Some(doubler) = self.doubler_at(hole) {
            let problem = format!(
                "the pin in hole `{}` holds doubler `{doubler}`",
                self.plate.holes[hole].name
            );
            let remedy = "take the doubler off with a stage `detach`";
            let span = table.key_span("unfasten");
            return Err(table.source.complain(&span, "unfasten", Kind::Sequence, problem, remedy));
        }
        self.standing[hole].fastened = false;
        Ok(Stage::Unfasten { hole })
    }
}
