//! What is noted of every increment and kept of every phase.
//!
//! Floor 4, `process`.

use crate::process::history::{HistoryRecord, Phase};
use crate::process::sequence::Sequence;
use crate::process::snapshot::{Snapshot, ToolReading, VERSION};
use crate::solver::contact::{ToolContact, ToolState};
use crate::solver::increment::Increment;
use crate::solver::state::State;
use crate::solver::system::System;

impl Sequence {
    pub(super) fn snapshot(&self, label: &str, heading: &str) -> Snapshot {
        let tools: Vec<ToolReading> = self
            .system
            .tools
            .iter()
            .zip(&self.state.tools)
            .map(|(contact, tool)| self.reading(contact, tool))
            .collect();
        Snapshot {
            version: VERSION,
            label: label.to_owned(),
            heading: heading.to_owned(),
            stage: self.next_stage + 1,
            finished: false,
            loaded: !tools.is_empty(),
            mesh: self.system.mesh.clone(),
            state: self.state.clone(),
            full_size_strain: self.full_size_strain.clone(),
            holes: self.holes.clone(),
            contacts: self.system.tools.clone(),
            tools,
            break_throughs: self.break_throughs.clone(),
            cut: None,
            factorizations: self.earlier_factorizations + self.system.factorizations(),
            services: self.services.clone(),
            history: self.history.clone(),
        }
    }

    fn reading(&self, contact: &ToolContact, tool: &ToolState) -> ToolReading {
        let drawn = &self.job.plate.holes[contact.hole];
        let angle = |node: usize| drawn.angle_to(self.system.mesh.nodes[node]);
        ToolReading {
            hole: contact.hole,
            pressures: contact
                .nodes
                .iter()
                .zip(tool.pressures(contact))
                .map(|(&node, pressure)| [angle(node), pressure])
                .collect(),
            mean_pressure: contact.mean_pressure(tool),
            mandrel_shift: tool.centre,
            penetration: self.system.closed_gap(&self.state),
        }
    }
}

/// The record of an increment of `phase` on a hole, given with its nominal radius (mm), after
/// `before` others.
#[allow(clippy::too_many_arguments)]
pub(super) fn record(
    label: &str,
    phase: Phase,
    system: &System,
    state: &State,
    increment: &Increment,
    (hole, nominal_radius): (usize, f64),
    before: usize,
) -> HistoryRecord {
    let copies = system.mesh.symmetry.copies() as f64;
    let tool = system.tools.iter().zip(&state.tools).find(|(contact, _)| contact.hole == hole);
    HistoryRecord {
        stage: label.to_owned(),
        phase,
        increment: before + 1,
        share: increment.share,
        expansion: tool.map_or(0.0, |(_, tool)| tool.radius / nominal_radius - 1.0),
        mean_pressure: tool.map_or(0.0, |(contact, tool)| contact.mean_pressure(tool)),
        peak_pressure: tool
            .map_or(0.0, |(contact, tool)| tool.pressures(contact).fold(0.0, f64::max)),
        closed_nodes: tool.map_or(0, |(_, tool)| tool.closed_count()),
        mandrel_shift: tool.map_or([0.0; 2], |(_, tool)| tool.centre),
        load_factor: 0.0,
        iterations: increment.iterations.residuals.len(),
        contact_changes: increment.iterations.contact_changes,
        halvings: increment.halvings,
        residual: increment.iterations.residuals.last().copied().unwrap_or(0.0),
        residuals: increment.iterations.residuals.clone(),
        external_work: copies * state.energy.external,
        elastic_energy: copies * state.energy.elastic,
        plastic_work: copies * state.energy.plastic,
        largest_plastic_strain: state.largest_plastic_strain(),
    }
}
