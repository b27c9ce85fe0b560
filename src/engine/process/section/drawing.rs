//! Forces and energies of a tool at work, increment by increment.
//!
//! ```text
//! work of the tool = work on the metal + heat of friction
//! ```
//!
//! Through an increment the push on a node and its friction go in proportion, and so does the normal that they follow, as
//! the node slides over a fillet. The mean force is that of the product. The mean of the forces at both ends would
//! have the push do work along the slide, which it never does. A node that comes onto the tool or
//! leaves it on the way is pushed for a part of the increment only: while it touches, it moves along
//! the normal as the tool does, so that part is its own normal motion over that of the tool.

use crate::mesh::section_sleeve::SLEEVE_REGION;
use crate::process::section::record::{SectionPhase, SleeveRecord, TravelRecord};
use crate::solver::increment::Increment;
use crate::solver::prescribed::Drive;
use crate::solver::state::State;
use crate::solver::surface::Stance;
use crate::solver::system::System;

/// Energies of tools since the start of the work, N·mm.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Account {
    /// Of all tools.
    pub tools: f64,
    /// Heat of friction.
    pub friction: f64,
}

/// Follows the tool in the bore through one phase.
#[derive(Debug)]
pub(crate) struct Watch<'a> {
    label: &'a str,
    phase: SectionPhase,
    /// Origin of travel.
    start: f64,
    /// Shifts of the tools along the axis then, mm.
    shifts: Vec<f64>,
    before: State,
    /// How far every node of the bore has slipped on the sleeve since the start, mm.
    slipped: Vec<f64>,
}

impl<'a> Watch<'a> {
    pub(crate) fn begin(label: &'a str, phase: SectionPhase, drive: &Drive, state: &State) -> Self {
        let start = match (drive.travel, drive.tool) {
            (Some((_, [from, _])), _) => from[1],
            (None, Some(_)) => state.tools[0].unloaded_radius,
            (None, None) => 0.0,
        };
        let nodes = state.mated.first().map_or(0, |mated| mated.status.len());
        Self {
            label,
            phase,
            start,
            shifts: System::shifts(state),
            before: state.clone(),
            slipped: vec![0.0; nodes],
        }
    }

    /// Books the energies of an increment and notes the forces at its end.
    pub(crate) fn record(
        &mut self,
        system: &System,
        state: &State,
        increment: &Increment,
        number: usize,
        account: &mut Account,
    ) -> TravelRecord {
        self.book(system, state, account);
        let mut record = TravelRecord {
            stage: self.label.to_owned(),
            phase: self.phase,
            increment: number + 1,
            share: increment.share,
            travel: 0.0,
            pull_force: 0.0,
            friction_force: 0.0,
            support_force: 0.0,
            radial_force: 0.0,
            peak_pressure: 0.0,
            touching: None,
            iterations: increment.iterations.residuals.len(),
            contact_changes: increment.iterations.contact_changes,
            halvings: increment.halvings,
            unstable: increment.iterations.unstable,
            residual: increment.iterations.residuals.last().copied().unwrap_or(0.0),
            tool_work: account.tools,
            metal_work: state.energy.external,
            friction_work: account.friction,
            elastic_energy: state.energy.elastic,
            plastic_work: state.energy.plastic,
            sleeve: None,
        };
        if matches!(self.phase, SectionPhase::Cut | SectionPhase::SleeveOut) {
            return record;
        }
        let (contact, tool) = (&system.tools[0], &state.tools[0]);
        let drawn = self.phase == SectionPhase::Draw;
        let shift = system.shift(state, &self.shifts);
        let way = if drawn { tool.centre[1] - shift } else { tool.unloaded_radius } - self.start;
        record.travel = if drawn { way.abs() } else { way };
        let sense = if drawn && way < 0.0 { -1.0 } else { 1.0 };
        for (place, &node) in contact.nodes.iter().enumerate() {
            if !tool.status[place].touches() {
                continue;
            }
            let Contact { normal, along, stance } = Contact::of(system, state, 0, place);
            record.pull_force += sense * tool.force[place][1];
            record.friction_force += sense * along * stance.tangent()[1];
            record.radial_force += tool.force[place][0];
            record.peak_pressure = record.peak_pressure.max(normal / contact.areas[place]);
            let depth = system.mesh.nodes[node][1];
            let [first, last] = record.touching.unwrap_or([depth; 2]);
            record.touching = Some([first.min(depth), last.max(depth)]);
        }
        let caps = system.tools.iter().zip(&state.tools).filter(|(c, _)| c.carries.is_some());
        // Taken from the total so that a force of zero has no sign.
        let on_face = caps.flat_map(|(cap, state)| &state.force[..cap.face()]);
        record.support_force = on_face.map(|force| -sense * force[1] + 0.0).sum();
        record.sleeve = self.sleeve(system, state, sense);
        record
    }

    /// The sleeve that is a layer of elements, if there is one.
    fn sleeve(&self, system: &System, state: &State, sense: f64) -> Option<SleeveRecord> {
        let mated = state.mated.first()?;
        let ends = system
            .tools
            .iter()
            .zip(&state.tools)
            .flat_map(|(contact, tool)| tool.force[contact.face()..].iter());
        let in_sleeve = state.points.iter().enumerate();
        let in_sleeve =
            in_sleeve.filter(|(point, _)| system.mesh.region_of_point(*point) == SLEEVE_REGION);
        // Without what the pressure does where the bore is inclined: that along the edge only.
        let edges = mated.force.iter().zip(&mated.normals);
        let dragged = edges.map(|([x, y], [nx, ny])| nx * (nx * y - ny * x));
        Some(SleeveRecord {
            end_force: -sense * ends.map(|force| force[1]).sum::<f64>() + 0.0,
            slip: self.slipped.iter().map(|slip| slip.abs()).fold(0.0, f64::max),
            plastic_strain: in_sleeve.map(|(_, point)| point.equivalent).fold(0.0, f64::max),
            friction_force: sense * dragged.sum::<f64>() + 0.0,
        })
    }

    fn book(&mut self, system: &System, state: &State, account: &mut Account) {
        let before = &self.before;
        for index in 0..system.tools.len() {
            let (old, new) = (&before.tools[index], &state.tools[index]);
            let moved = [0, 1].map(|axis| new.centre[axis] - old.centre[axis]);
            let grown = new.radius - old.radius;
            for (place, &node) in system.tools[index].nodes.iter().enumerate() {
                if !(old.status[place].touches() || new.status[place].touches()) {
                    continue;
                }
                let now = Contact::of(system, state, index, place);
                let then = Contact::of(system, before, index, place);
                let by = [0, 1]
                    .map(|axis| state.displacement[node][axis] - before.displacement[node][axis]);
                let both = old.status[place].touches() && new.status[place].touches();
                let touching = if new.status[place].touches() { now.stance } else { then.stance };
                let [nx, ny] = touching.normal;
                let advance = nx * moved[0] + ny * moved[1] + touching.growth * grown;
                let part = if both { 1.0 } else { touched(nx * by[0] + ny * by[1], advance) };
                // Off the tool there is no place that the force would turn to.
                let stances = if both { [then.stance, now.stance] } else { [touching; 2] };
                let [push, drag] = [[then.normal, now.normal], [then.along, now.along]];
                let force = [0, 1].map(|axis| {
                    mean_product(push, stances.map(|stance| stance.normal[axis]))
                        + mean_product(drag, stances.map(|stance| stance.tangent()[axis]))
                });
                account.tools += part * (force[0] * moved[0] + force[1] * moved[1]);
                account.tools +=
                    part * mean_product(push, stances.map(|stance| stance.growth)) * grown;
                let [tx, ty] = touching.tangent();
                let slip = tx * (by[0] - moved[0]) + ty * (by[1] - moved[1]);
                account.friction -= 0.5 * part * (then.along + now.along) * slip;
            }
        }
        for (index, edges) in system.mated.iter().enumerate() {
            let (old, new) = (&before.mated[index], &state.mated[index]);
            for place in 0..new.status.len() {
                let by = edges.difference(place, |node| {
                    [0, 1].map(|k| state.displacement[node][k] - before.displacement[node][k])
                });
                let [nx, ny] = new.normals[place];
                let along = |[x, y]: [f64; 2]| nx * y - ny * x;
                let mean = 0.5 * (along(old.force[place]) + along(new.force[place]));
                account.friction -= mean * along(by);
                if new.status[place].touches() {
                    self.slipped[place] += along(by);
                }
            }
        }
        self.before.clone_from(state);
    }
}

/// Part of an increment for which a node touches that comes or goes within it, from how far it and the
/// tool move along the normal, mm.
fn touched(moved: f64, advance: f64) -> f64 {
    if advance == 0.0 { 1.0 } else { (moved / advance).clamp(0.0, 1.0) }
}

/// Mean of the product of two quantities that go in proportion between their values at the ends.
fn mean_product([a0, a1]: [f64; 2], [b0, b1]: [f64; 2]) -> f64 {
    (2.0 * (a0 * b0 + a1 * b1) + a0 * b1 + a1 * b0) / 6.0
}

/// The force on one node, along the normal and the tangent of its tool, N.
struct Contact {
    normal: f64,
    along: f64,
    stance: Stance,
}

impl Contact {
    fn of(system: &System, state: &State, index: usize, place: usize) -> Self {
        let (contact, tool) = (&system.tools[index], &state.tools[index]);
        let node = contact.nodes[place];
        let stance = contact.stance(tool, place, system.mesh.nodes[node], state.displacement[node]);
        let ([nx, ny], [tx, ty]) = (stance.normal, stance.tangent());
        let [x, y] = tool.force[place];
        Self { normal: nx * x + ny * y, along: tx * x + ty * y, stance }
    }
}
