//! The snapshot at the end of a phase.

use crate::process::sequence::Sequence;
use crate::process::snapshot::{Snapshot, ToolReading, VERSION};
use crate::solver::contact::{ToolContact, ToolState};

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
            loaded: !tools.is_empty() || self.state.free_strain.iter().any(|own| *own != 0.0),
            mesh: self.system.mesh.clone(),
            state: self.state.clone(),
            full_size_strain: self.full_size_strain.clone(),
            flowed: self.flowed.clone(),
            holes: self.holes.clone(),
            contacts: self.system.tools.clone(),
            joints: self.system.joints.clone(),
            joint_readings: self.joint_readings(),
            mated: self.system.mated.clone(),
            tools,
            support_forces: self.support_forces(),
            break_throughs: self.break_throughs.clone(),
            cut: None,
            factorizations: self.earlier_factorizations + self.system.factorizations(),
            services: self.services.clone(),
            history: self.history.clone(),
        }
    }

    /// The forces of the supports; an edge in the part that symmetry leaves out is not among them.
    fn support_forces(&self) -> Vec<(String, [f64; 2])> {
        let held = self.job.supports.iter().filter_map(|support| {
            let edge = self.system.mesh.edge(&support.edge)?;
            Some((support.edge.clone(), self.system.support_force(edge, &self.state)))
        });
        held.collect()
    }

    fn reading(&self, contact: &ToolContact, tool: &ToolState) -> ToolReading {
        let drawn = &self.job.plate.holes[contact.hole];
        let angle = |node: usize| drawn.angle_to(self.system.mesh.nodes[node]);
        ToolReading {
            hole: contact.hole,
            sheet: contact.sheet,
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
