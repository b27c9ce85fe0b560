//! `[[stage]]`: the work, checked in the order in which it is done.

use crate::case::border::{Border, plain, required_length, required_positive, unknown_word};
use crate::case::complaint::{Complaint, Kind};
use crate::case::drawing::Circle;
use crate::case::keys::row::names;
use crate::case::keys::{self, CASE_FILE, stage_keys};
use crate::case::pin;
use crate::case::program::{Course, read_course};
use crate::case::standing::Standing;
use crate::case::supports::edge;
use crate::case::table::{Table, quoted};
use crate::case::tooling::{self, read_tool};
use crate::geometry::plate::{Outline, Plate};
use crate::material::hardening::Material;
use crate::material::idealisation::Idealisation;
use crate::process::program::Program;
use crate::process::region::Region;
use crate::process::stage::{Load, Stage};
use crate::solver::supports::{Hold, Support};

/// A ream that enlarges an expanded hole by more than this factor is warned of: the
/// compression reaches a radius or so from the edge, and its peak lies in the first quarter.
const DEEP_REAM: f64 = 1.25;

/// Kinds of stage, by the key that names them.
const ACTIONS: [&str; 6] = ["expand", "ream", "fasten", "unfasten", "temperature", "load"];

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
    idealisation: Idealisation,
    pub(super) material: &'p Material,
    pub(super) border: Border,
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
            idealisation,
            material,
            border,
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
                              `unfasten = \"HOLE\"`, `temperature = -80` or `load = { … }`";
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
            "fasten" => stage_keys::FASTEN,
            "unfasten" => stage_keys::UNFASTEN,
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
            "fasten" => self.read_fasten(table),
            "unfasten" => self.read_unfasten(table),
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
        let hole = self.empty_hole(table, "expand")?;
        let now = self.standing[hole].clone();
        if now.is_eccentric() {
            let problem = format!(
                "hole `{}` was reamed off its drilled centre and cannot be expanded again",
                self.plate.holes[hole].name
            );
            let remedy = "expand first, or ream without `offset`";
            return Err(table.source.complain(
                &table.key_span("expand"),
                "expand",
                Kind::Sequence,
                problem,
                remedy,
            ));
        }
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
        self.standing[hole].expand(&tool, self.material, self.idealisation);
        Ok(Stage::Expand { hole, tool })
    }

    fn read_ream(&mut self, table: &Table<'_>) -> Result<Stage, Complaint> {
        let hole = self.empty_hole(table, "ream")?;
        let name = &self.plate.holes[hole].name;
        let remedy = "give the diameter after the cut";
        let written = required_length(table, "diameter", remedy, self.border)?;
        let diameter = written.value;
        let offset = table.pair("offset")?.map_or([0.0, 0.0], |at| self.border.point(at.value));
        let drilled = self.plate.holes[hole].centre;
        let axis = [drilled[0] + offset[0], drilled[1] + offset[1]];
        self.standing[hole].check_ream(table, &written, diameter, axis, name, self.border)?;
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
            Standing { nominal: diameter, least: diameter, axis, drilled, fastened: false };
        Ok(Stage::Ream { hole, diameter, offset })
    }

    /// A hole without a pin in it.
    fn empty_hole(&self, table: &Table<'_>, key: &'static str) -> Result<usize, Complaint> {
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
        self.standing[hole].fastened = false;
        Ok(Stage::Unfasten { hole })
    }

    fn read_load(&mut self, table: &Table<'_>) -> Result<Stage, Complaint> {
        let course = read_course(table)?;
        let remedy = "write `load = { tension = 120, along = \"y\" }`";
        let inner =
            table.table("load", "`load`", remedy)?.ok_or_else(|| table.missing("load", remedy))?;
        inner.only(&names(stage_keys::LOAD))?;
        let mut load =
            Load { bearing: self.read_bearing(&inner, Pins::Fastened)?, ..Load::default() };
        if inner.has("tension") || inner.has("along") || inner.has("on") {
            load.tractions = self.read_tension(&inner)?;
        }
        self.check_balance(&inner, &load.tractions, &load.bearing)?;
        if inner.has("pressure") || inner.has("hole") {
            let remedy = "give the pressure on the edge of the hole, positive in compression";
            let pressure = required_positive(&inner, "pressure", remedy)?;
            let hole = self.hole(&inner, "hole")?;
            load.pressure = Some((hole, self.border.stress(pressure.value)));
        }
        if load == Load::default() {
            let problem = "the load is empty";
            return Err(table.source.complain(
                &inner.span,
                "load",
                Kind::MissingKey,
                problem,
                "give `tension` and `along` or `on`, `pressure` and `hole`, `bearing`, or all of them",
            ));
        }
        let program = match course {
            Course::OnAndOff(cycles) => return Ok(Stage::Load { load, cycles }),
            Course::Service(program) => program,
        };
        self.check_extremes(table, &inner, &load, &program)?;
        Ok(Stage::Service { load, program })
    }

    /// Checks of the largest and least load.
    fn check_extremes(
        &mut self,
        stage: &Table<'_>,
        inner: &Table<'_>,
        load: &Load,
        program: &Program,
    ) -> Result<(), Complaint> {
        let [highest, lowest] = program.extremes();
        if load.pressure.is_some() && lowest < 0.0 {
            let key = if stage.has("load_ratio") { "load_ratio" } else { "load" };
            let problem = "a pressure cannot be turned round: there is nothing that pulls";
            let remedy = "keep the lowest load at 0 or above";
            return Err(stage.stray(key, problem, remedy));
        }
        let limit = self.material.elastic_limit();
        let share = highest.max(-lowest);
        let stated = load.tractions.iter().map(|(_, stress)| stress.abs()).fold(0.0, f64::max);
        if stated <= limit && share * stated > limit {
            let text = format!(
                "the load goes up to {} times the stated one, {}, and exceeds the elastic limit of {}: \
                 the whole plate yields",
                plain(share),
                self.border.show_stress(share * stated),
                self.border.show_stress(limit)
            );
            self.warn(inner, "tension", &text);
        }
        Ok(())
    }

    /// Edges that are pulled and the stress on each, MPa.
    pub(super) fn read_tension(
        &mut self,
        load: &Table<'_>,
    ) -> Result<Vec<(String, f64)>, Complaint> {
        let remedy = "give the stress on the edges, negative for compression";
        let tension = load.number("tension")?.ok_or_else(|| load.missing("tension", remedy))?;
        if tension.value == 0.0 {
            let problem = "a tension of 0 is no load";
            return Err(load.about(&tension, Kind::OutOfRange, problem, remedy));
        }
        let edges = if load.has("on") { self.read_edges(load)? } else { self.read_along(load)? };
        let stress = self.border.stress(tension.value);
        let limit = self.material.elastic_limit();
        if stress.abs() > limit {
            let text = format!(
                "a tension of {} exceeds the elastic limit of {}: the whole plate yields",
                self.border.show_stress(stress),
                self.border.show_stress(limit)
            );
            self.warn(load, "tension", &text);
        }
        let tractions: Vec<(String, f64)> = edges.into_iter().map(|edge| (edge, stress)).collect();
        for (edge, _) in &tractions {
            if self.supports.iter().any(|s| s.edge == *edge && s.hold == Hold::Both) {
                let text = format!("the edge `{edge}` is held: a load on it does nothing");
                self.warn(load, "on", &text);
            }
        }
        Ok(tractions)
    }

    /// The edges of `on = [ … ]`.
    fn read_edges(&self, load: &Table<'_>) -> Result<Vec<String>, Complaint> {
        if load.has("along") {
            let problem = "a load has either `along` or `on`, not both";
            let remedy = "`along` names a direction, `on` the edges themselves";
            return Err(load.stray("along", problem, remedy));
        }
        let remedy = "list the edges, for example `on = [\"left\", \"right\"]`";
        let words = load.texts("on", remedy)?.unwrap_or_default();
        let mut edges: Vec<String> = vec![];
        for word in &words {
            let edge = edge(load, word, &self.plate.outline)?;
            if edges.contains(&edge) {
                let problem = format!("the edge `{edge}` is listed twice");
                return Err(load.about(word, Kind::Conflict, problem, "list each edge once"));
            }
            edges.push(edge);
        }
        if edges.is_empty() {
            return Err(load.stray("on", "`on` lists no edges", remedy));
        }
        Ok(edges)
    }

    /// The edges of `along = "…"`.
    fn read_along(&self, load: &Table<'_>) -> Result<Vec<String>, Complaint> {
        let (directions, remedy): (&[&str], &str) = match self.plate.outline.frame() {
            Some(Outline::Rectangle { .. }) => {
                (&["x", "y"], "\"x\" pulls the left and right edges, \"y\" bottom and top")
            }
            Some(Outline::Disc { .. }) => (&["rim"], "a round plate is pulled along its \"rim\""),
            _ => {
                (&[], "name the edges to pull, `on = [\"edge-1\", …]`, of a plate with an outline")
            }
        };
        let along = load.text("along")?.ok_or_else(|| load.missing("along", remedy))?;
        if !directions.contains(&along.value) {
            let problem = if ["x", "y", "rim"].contains(&along.value) {
                format!("this plate has no edges to pull along `{}`", along.value)
            } else {
                format!("`{}` is no direction of a load", along.value.escape_debug())
            };
            return Err(load.about(&along, Kind::UnknownName, problem, remedy));
        }
        let edges: &[&str] = match along.value {
            "x" => &["left", "right"],
            "y" => &["bottom", "top"],
            _ => &["rim"],
        };
        Ok(edges.iter().map(|edge| (*edge).to_owned()).collect())
    }
}
