//! `bearing` of a load: forces that pins put on the plate, and what holds against a load.

use crate::case::border::plain;
use crate::case::complaint::{Complaint, Kind};
use crate::case::keys::row::names;
use crate::case::keys::stage_keys;
use crate::case::stages::{Pins, Reader};
use crate::case::supports::imbalance;
use crate::case::table::Table;

const EXAMPLE: &str = "for example `bearing = [{ hole = \"A\", force = [4000, 0] }]`";

/// Largest force, N: ten thousand tonnes are a slip of the decimal point.
const LARGEST: f64 = 1e8;

impl Reader<'_> {
    /// The bearing loads of a load, by hole, N.
    pub(super) fn read_bearing(
        &mut self,
        load: &Table<'_>,
        pins: Pins,
    ) -> Result<Vec<(usize, [f64; 2])>, Complaint> {
        let mut bearing: Vec<(usize, [f64; 2])> = vec![];
        for table in load.tables("bearing", "bearing load", EXAMPLE)? {
            table.only(&names(stage_keys::BEARING))?;
            let hole = self.hole(&table, "hole")?;
            let name = self.plate.holes[hole].name.clone();
            if bearing.iter().any(|(other, _)| *other == hole) {
                let problem = format!("hole `{name}` has a bearing load already");
                return Err(table.stray("hole", problem, "write one force for each pin"));
            }
            if pins == Pins::Fastened && !self.standing[hole].fastened {
                let problem = format!("hole `{name}` has no pin to carry a bearing load");
                let remedy = "put one in with a stage `fasten` before";
                let span = table.key_span("hole");
                return Err(table.source.complain(&span, "hole", Kind::Sequence, problem, remedy));
            }
            let force = table.pair("force")?.ok_or_else(|| table.missing("force", EXAMPLE))?;
            let written = force.value;
            let newtons = written.map(|part| part * self.border.units.force_scale());
            let size = newtons[0].hypot(newtons[1]);
            if size == 0.0 {
                let problem = "a bearing load of [0, 0] is no load";
                let remedy = "give the force that the pin puts on the plate, `force = [x, y]`";
                return Err(table.about(&force, Kind::OutOfRange, problem, remedy));
            }
            if size > LARGEST {
                let unit = self.border.units.force_name();
                let [x, y] = written.map(plain);
                let problem = format!("`force` is [{x}, {y}] {unit}, which no pin carries");
                let remedy = format!("forces are read in {unit}; check the decimal point");
                return Err(table.about(&force, Kind::OutOfRange, problem, remedy));
            }
            let stress = size / (self.standing[hole].nominal * self.plate.thickness);
            let limit = self.material.elastic_limit();
            if stress > limit {
                let text = format!(
                    "the bearing stress in hole `{name}`, {} over diameter and thickness, exceeds \
                     the elastic limit of {}",
                    self.border.show_stress(stress),
                    self.border.show_stress(limit)
                );
                self.warn(&table, "force", &text);
            }
            bearing.push((hole, newtons));
        }
        if load.has("bearing") && bearing.is_empty() {
            return Err(load.stray("bearing", "`bearing` lists no force", EXAMPLE));
        }
        Ok(bearing)
    }

    /// Refuses a load that would move the plate as a whole.
    pub(super) fn check_balance(
        &self,
        load: &Table<'_>,
        tractions: &[(String, f64)],
        bearing: &[(usize, [f64; 2])],
    ) -> Result<(), Complaint> {
        let forces: Vec<([f64; 2], [f64; 2])> = bearing
            .iter()
            .map(|(hole, force)| {
                (self.plate.holes[*hole].centre, force.map(|part| part / self.plate.thickness))
            })
            .collect();
        let part = (self.plate, self.regions);
        let Some(net) = imbalance(part, self.supports, tractions, &forces) else {
            return Ok(());
        };
        let what = if net[0].hypot(net[1]) > net[2].abs() { "push" } else { "turn" };
        let problem = format!("the load would {what} the plate away: nothing holds against it");
        let (key, remedy) = if !bearing.is_empty() {
            ("bearing", "hold an edge with [[support]], or pull edges with the same force")
        } else if load.has("on") {
            ("on", "pull the opposite edges too, or hold an edge with [[support]]")
        } else {
            ("along", "pull the opposite edges too, or hold an edge with [[support]]")
        };
        Err(load.stray(key, problem, remedy))
    }
}
