//! A mandrel drawn through the hole of a section.

use crate::process::section::observer::SectionObserver;
use crate::process::section::pacing::{ELSEWHERE, followed_closely};
use crate::process::section::record::SectionPhase;
use crate::process::section::run::{Halt, SectionRun};
use crate::process::section::setting::{bore_radius, tallest_row};
use crate::process::section::sleeve;
use crate::process::section::tooling::{first_touch, mandrel, nose_cap, sleeve_stop};
use crate::process::section::{DrawTool, SleeveEnd, Support};
use crate::solver::contact::{ContactStatus, ToolContact};
use crate::solver::prescribed::Drive;

/// Rows of the mesh that a drawn mandrel may travel per increment, times `increments`: with the default
/// an eighth of a row where the draw is followed closely. A fillet is then passed in several increments, and every node of
/// the bore in about the same ones. With a row per increment the nodes keep a zigzag of 30 MPa.
const ROWS_PER_INCREMENT: f64 = 1.0;

impl SectionRun {
    /// Draws the mandrel of `tool` through the bore, and takes it and its sleeve out.
    pub(super) fn draw(
        &mut self,
        label: &str,
        tool: &DrawTool,
        (support, backwards): (Support, bool),
        observer: &mut dyn SectionObserver,
    ) -> Result<(), Halt> {
        let mesh = &self.system.mesh;
        let row = tallest_row(mesh);
        let bore = bore_radius(mesh, &mandrel(mesh, tool, backwards, None), &self.state);
        let wide = 0.5 * tool.acting_diameter() - bore;
        if wide <= 0.0 {
            return Err(self.too_small(tool.acting_diameter(), bore));
        }
        let part = tool.sleeve.as_ref().map(|_| mesh.clone());
        let lined = match &tool.sleeve {
            None => None,
            Some(layer) => {
                let Self { job, system, state, .. } = self;
                let sleeve = (layer.as_ref(), tool.sleeve_thickness);
                let (with, nodes) = sleeve::put_in(job, system, state, sleeve)?;
                self.earlier_factorizations += self.system.factorizations();
                self.system = with;
                Some(nodes)
            }
        };
        let mesh = &self.system.mesh;
        let protrusion = tool.sleeve.as_ref().map_or(0.0, |layer| layer.protrusion);
        let end = tool.sleeve.as_ref().map_or(SleeveEnd::default(), |layer| layer.end);
        let thickness = self.job.part.thickness;
        let contact = mandrel(mesh, tool, backwards, lined.as_ref());
        let radius = tool.pushing_radius();
        let start = first_touch(mesh, &contact, &self.state, radius);
        let sense = if backwards { -1.0 } else { 1.0 };
        // The trail taper has left when it is as thin at the far face as the hole was; the hole is
        // wider by then, so contact ends before.
        let lead = tool.profile.lead_reach(wide);
        let length = thickness + 2.0 * protrusion;
        let way = lead + tool.profile.land + length + tool.profile.trail_reach(wide);
        let cap = nose_cap(mesh, support, backwards, thickness);
        // The stop of a sleeve is a part of its cap, and so is the puller.
        let free = [false, cap.is_some() && lined.is_some()];
        let mut tools = vec![ToolContact { free, ..contact }];
        let displacement = &self.state.displacement;
        tools.extend(match &lined {
            Some(nodes) => Some(sleeve_stop(mesh, nodes, (cap, end), backwards, displacement)),
            None => cap,
        });
        self.put_in(tools);
        for (contact, tool) in self.system.tools.iter().zip(&mut self.state.tools) {
            // The sleeve lies against its stop.
            tool.status[contact.face()..].fill(ContactStatus::SMOOTH);
        }
        let pose = &mut self.state.tools[0];
        pose.radius = radius;
        pose.unloaded_radius = radius;
        pose.centre = [0.0, start];
        let increments = self.job.numerics.increments as f64;
        let step = (row * ROWS_PER_INCREMENT / increments)
            .min(lead / increments)
            .min(2.0 * tool.profile.land / increments);
        let drive = Drive {
            travel: Some((0, [[0.0, start], [0.0, start + sense * way]])),
            step: step / way,
            close: followed_closely(tool, (lead, thickness), way),
            elsewhere: ELSEWHERE,
            until_open: true,
            ..Drive::default()
        };
        self.phase(label, SectionPhase::Draw, &drive, observer)?;
        if let Some(part) = part {
            self.earlier_factorizations += self.system.factorizations();
            let Self { job, system, state, .. } = self;
            self.system = sleeve::take_out(job, (system, part), state)?;
            self.give_up(label, SectionPhase::SleeveOut, observer)?;
        }
        self.finish(label, ", mandrel drawn through", observer)
    }
}
