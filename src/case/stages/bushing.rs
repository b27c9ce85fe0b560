//! Keys of a stage that puts a bush into a hole, and what later stages may do to it.

use crate::case::border::required_length;
use crate::case::complaint::{Complaint, Kind};
use crate::case::metal::read_metal;
use crate::case::seated::Seated;
use crate::case::stages::Reader;
use crate::case::standing::Standing;
use crate::case::table::{Table, Valued};
use crate::process::bush::{Assembly, Bush};
use crate::process::stage::Stage;
use crate::solver::friction::Friction;

/// Least wall of a bush, before it is put in and after a ream, over its outer diameter.
const LEAST_WALL: f64 = 0.01;
/// Largest interference over the diameter that the hole has at least; a press fit has a few parts in a
/// thousand (common practice, no source).
const LARGEST_INTERFERENCE: f64 = 0.03;
/// Most play over the diameter of the hole: no mandrel expands a bush by more.
const MOST_PLAY: f64 = 0.10;
/// Most bushes in one case.
const MOST_BUSHES: usize = 50;
/// Axes this close, over the diameter of the hole, are one.
const CONCENTRIC: f64 = 1e-9;
/// Largest coefficient of friction.
const MOST_FRICTION: f64 = 2.0;

impl Reader<'_> {
    /// The innermost bush in a hole.
    pub(super) fn bush_in(&self, hole: usize) -> Option<&Seated> {
        self.bushes.iter().rev().find(|bush| bush.hole == hole)
    }

    pub(super) fn read_bush(&mut self, table: &Table<'_>) -> Result<Stage, Complaint> {
        if !self.doublers.is_empty() {
            let problem = "a case with [[doubler]] has no bushes";
            let remedy = "leave the doublers or the bushes out";
            return Err(table.stray("bush", problem, remedy));
        }
        let hole = self.empty_hole(table, "bush")?;
        let name = self.plate.holes[hole].name.clone();
        let refuse = |problem: String, remedy: &str| {
            let span = table.key_span("bush");
            Err(table.source.complain(&span, "bush", Kind::Sequence, problem, remedy))
        };
        let (axis, drilled) = (self.standing[hole].axis, self.plate.holes[hole].centre);
        let aside = (axis[0] - drilled[0]).hypot(axis[1] - drilled[1]);
        if aside > CONCENTRIC * self.standing[hole].nominal {
            let problem =
                format!("hole `{name}` was reamed off its drilled centre and takes no bush");
            return refuse(problem, "ream without `offset`");
        }
        if self.temperature != 0.0 {
            let problem = "the part has another temperature than that of the drawing".to_owned();
            return refuse(problem, "bring it back first with a stage `temperature = 0`");
        }
        if self.bushes.len() >= MOST_BUSHES {
            return refuse(format!("there are more than {MOST_BUSHES} bushes"), "leave some out");
        }
        let (inner, outer) = self.read_diameters(table, hole)?;
        let own =
            table.table("material", "`material`", "write `material = { yield_stress = 300 }`")?;
        let metal = if own.is_some() || table.has("alloy") {
            Some(read_metal(table, own.as_ref(), self.border, &mut self.warnings)?)
        } else {
            None
        };
        let own_metal = metal.is_some();
        let (material, material_name, expansion) = match metal {
            Some(metal) => (metal.material, metal.name, metal.expansion),
            None => (self.material.clone(), "the metal of the plate".to_owned(), None),
        };
        let loose = outer.value < self.standing[hole].nominal;
        let outer_diameter = outer.value;
        self.bushes.push(Seated { hole, outer_diameter, loose, own_metal, expansion });
        let assembly = self.read_assembly(table)?;
        if loose {
            let text = format!(
                "the bush lies loose in hole `{name}` until an expansion of its bore brings it \
                 against the hole: {} in {}",
                self.border.show_length(outer.value),
                self.border.show_length(self.standing[hole].nominal)
            );
            self.warn(table, "outer_diameter", &text);
        }
        self.standing[hole] =
            Standing { nominal: inner, least: inner, axis: drilled, uneven: 0.0, fastened: false };
        Ok(Stage::Bush(Box::new(Bush {
            hole,
            inner_diameter: inner,
            outer_diameter: outer.value,
            material,
            material_name,
            thermal_expansion: expansion,
            friction: read_friction(table)?,
            assembly,
        })))
    }

    /// Inner diameter, and outer one as it is written, mm.
    fn read_diameters(
        &self,
        table: &Table<'_>,
        hole: usize,
    ) -> Result<(f64, Valued<f64>), Complaint> {
        let remedy = "give both diameters of the bush before it is put in";
        let inner = required_length(table, "inner_diameter", remedy, self.border)?;
        let outer = required_length(table, "outer_diameter", remedy, self.border)?;
        let (show, now) = (|length: f64| self.border.show_length(length), &self.standing[hole]);
        let name = &self.plate.holes[hole].name;
        if outer.value > now.least * (1.0 + LARGEST_INTERFERENCE)
            || outer.value < now.nominal * (1.0 - MOST_PLAY)
        {
            let problem = format!(
                "a bush of {} does not go with hole `{name}` at {}",
                show(outer.value),
                show(now.nominal)
            );
            let remedy = "a pressed bush is larger than its hole by a few parts in a thousand, a loose \
                          one smaller by a few hundredths at most";
            return Err(table.about(&outer, Kind::OutOfRange, problem, remedy));
        }
        if inner.value > outer.value * (1.0 - 2.0 * LEAST_WALL) {
            let problem = format!(
                "a bush of {} by {} has no wall to speak of",
                show(inner.value),
                show(outer.value)
            );
            let most = self.border.show_most(outer.value * (1.0 - 2.0 * LEAST_WALL));
            let remedy = format!("`inner_diameter` may be {most} at most");
            return Err(table.about(&inner, Kind::OutOfRange, problem, remedy));
        }
        Ok((inner.value, outer))
    }

    fn read_assembly(&self, table: &Table<'_>) -> Result<Assembly, Complaint> {
        let (own, part) = ("bush_temperature", "part_temperature");
        let Some(number) = table.number(own)?.or(table.number(part)?) else {
            return Ok(Assembly::Pressed);
        };
        let expansions = self.expansions(table, &number)?;
        let (own_expansion, others) = expansions.split_last().expect("a bush was just put in");
        let largest = others.iter().copied().fold(0.0, f64::max);
        Ok(Assembly::Shrunk {
            bush: Self::assembly_temperature(table, own, *own_expansion)?,
            part: Self::assembly_temperature(table, part, largest)?,
            expansions,
        })
    }

    /// Takes the expansion of a hole into account: it drives a bush against the hole.
    pub(super) fn seat_bush(&mut self, hole: usize) {
        if let Some(bush) = self.bushes.iter_mut().rev().find(|bush| bush.hole == hole) {
            bush.loose = false;
        }
    }

    /// Refuses a pin in a bush that lies loose: nothing would hold the two.
    pub(super) fn check_seated(&self, table: &Table<'_>, hole: usize) -> Result<(), Complaint> {
        if self.bush_in(hole).is_none_or(|bush| !bush.loose) {
            return Ok(());
        }
        let name = &self.plate.holes[hole].name;
        let problem =
            format!("the bush in hole `{name}` lies loose, and nothing would hold a pin in it");
        let remedy = "expand the bush into place before, or make it larger than the hole";
        let span = table.key_span("fasten");
        Err(table.source.complain(&span, "fasten", Kind::Sequence, problem, remedy))
    }

    /// Refuses a ream that leaves no wall of the bush that it cuts.
    pub(super) fn check_wall(
        &self,
        table: &Table<'_>,
        written: &Valued<f64>,
        hole: usize,
        offset: [f64; 2],
    ) -> Result<(), Complaint> {
        let Some(bush) = self.bush_in(hole) else { return Ok(()) };
        let aside = 2.0 * offset[0].hypot(offset[1]);
        let most = bush.outer_diameter * (1.0 - 2.0 * LEAST_WALL) - aside;
        if written.value <= most {
            return Ok(());
        }
        let problem = format!(
            "the ream of {} leaves no wall of the bush of {} in hole `{}`",
            self.border.show_length(written.value),
            self.border.show_length(bush.outer_diameter),
            self.plate.holes[hole].name
        );
        let remedy = format!("ream to {} at most", self.border.show_most(most));
        Err(table.about(written, Kind::Sequence, problem, remedy))
    }
}

fn read_friction(table: &Table<'_>) -> Result<Friction, Complaint> {
    let Some(number) = table.number("friction")? else { return Ok(Friction::None) };
    if (0.0..=MOST_FRICTION).contains(&number.value) {
        return Ok(Friction::constant(number.value));
    }
    let problem =
        format!("`friction` is {}, but must lie between 0 and {MOST_FRICTION}", number.value);
    let remedy = "a coefficient of friction, 0.1 to 0.2 for metals that are not greased";
    Err(table.about(&number, Kind::OutOfRange, problem, remedy))
}
