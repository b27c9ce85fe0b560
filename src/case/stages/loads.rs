//! Loads of a stage: tractions, pressure, bearing, and the course they take.

use crate::case::border::{plain, required_positive};
use crate::case::complaint::{Complaint, Kind};
use crate::case::keys::row::names;
use crate::case::keys::stage_keys;
use crate::case::program::{Course, read_course};
use crate::case::stages::Pins;
use crate::case::stages::Reader;
use crate::case::supports::edge;
use crate::case::table::Table;
use crate::geometry::plate::Outline;
use crate::process::program::Program;
use crate::process::stage::{Load, Stage};
use crate::solver::supports::Hold;

impl Reader<'_> {
    pub(super) fn read_load(&mut self, table: &Table<'_>) -> Result<Stage, Complaint> {
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
    pub(in crate::case) fn read_tension(
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
