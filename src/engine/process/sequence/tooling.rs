//! Tools and pins: expand, fasten, unfasten.

use crate::process::expand;
use crate::process::history::Phase;
use crate::process::plan::springback;
use crate::process::sequence::{Observer, Sequence};
use crate::process::stage_error::StageError;
use crate::process::tool::Tool;
use crate::solver::contact::ToolState;
use crate::solver::prescribed::Drive;
use crate::solver::state::Rate;

/// How much farther than the elastic estimate a release may have to go, for the size of its
/// increments only: reverse yielding and a near edge make the plate softer.
const RELEASE_MARGIN: f64 = 1.25;

impl Sequence {
    pub(super) fn expand(
        &mut self,
        label: &str,
        hole: usize,
        tool: &Tool,
        observer: &mut dyn Observer,
    ) -> Result<(), StageError> {
        let name = self.job.plate.holes[hole].name.clone();
        let start = self.insert(hole, tool);
        self.flowed.begin(&self.state.points);
        let full = 0.5 * tool.acting_diameter();
        if full <= start {
            self.remove(hole);
            return Err(StageError::ToolTooSmall {
                hole: name,
                tool: 2.0 * full,
                smallest: 2.0 * start,
            });
        }
        self.holes[hole].applied_expansion =
            Some(tool.applied_expansion(self.holes[hole].nominal_diameter));
        self.holes[hole].reamed = false;
        self.drive_tool(label, Phase::Expand, hole, [start, full], observer)?;
        if self.stop {
            return Ok(());
        }
        self.full_size_strain = self.state.points.iter().map(|point| point.equivalent).collect();
        let heading = format!("hole {name} expanded, tool at full size");
        self.emit(&format!("{label}-full"), &heading, observer);
        self.flowed.begin(&self.state.points);
        if self.stop {
            return Ok(());
        }
        self.release(label, hole, start, observer)?;
        if !self.stop {
            self.finish(label, &format!("hole {name} expanded, tool out"), observer);
        }
        Ok(())
    }

    pub(super) fn fasten(
        &mut self,
        label: &str,
        hole: usize,
        diameter: Option<f64>,
        elastic: Option<(f64, f64)>,
        observer: &mut dyn Observer,
    ) -> Result<(), StageError> {
        let pin = Tool::pin(diameter.unwrap_or(0.0), elastic);
        self.drive_pin(label, hole, diameter, &pin, observer)?;
        let name = self.job.plate.holes[hole].name.clone();
        if !self.stop {
            self.finish(label, &format!("pin in hole {name}"), observer);
        }
        Ok(())
    }

    /// Puts a pin into a hole of the plate and grows it to its diameter, mm; without one it just touches.
    pub(super) fn drive_pin(
        &mut self,
        label: &str,
        hole: usize,
        diameter: Option<f64>,
        pin: &Tool,
        observer: &mut dyn Observer,
    ) -> Result<(), StageError> {
        let start = self.insert(hole, pin);
        let last = self.system.tools.len() - 1;
        self.grow_pin(label, (hole, last), start, diameter, observer)
    }

    /// Brings the pin that is tool `index` in a hole, which just touches at radius `start`, to its diameter,
    /// mm.
    pub(super) fn grow_pin(
        &mut self,
        label: &str,
        (hole, index): (usize, usize),
        start: f64,
        diameter: Option<f64>,
        observer: &mut dyn Observer,
    ) -> Result<(), StageError> {
        match diameter.map(|diameter| 0.5 * diameter) {
            // A pin with play stands in the hole and waits.
            Some(radius) if radius <= start => {
                let tool = &mut self.state.tools[index];
                tool.radius = radius;
                tool.unloaded_radius = radius;
            }
            Some(radius) => {
                let tool = Some((index, [start, radius]));
                let drive = Drive { tool, step: self.step(), ..Drive::default() };
                self.phase(label, Phase::Expand, &drive, hole, observer)?;
            }
            None => {}
        }
        Ok(())
    }

    pub(super) fn unfasten(
        &mut self,
        label: &str,
        hole: usize,
        observer: &mut dyn Observer,
    ) -> Result<(), StageError> {
        let name = self.job.plate.holes[hole].name.clone();
        let start = self.tool_of(hole).map_or(0.0, |index| {
            expand::touching_radius(&self.system.mesh, &self.system.tools[index], &self.state)
        });
        // The hole may have closed on the pin: it is surely free below its drilled size less
        // what an elastic plate gives back.
        self.release(label, hole, 0.98 * start, observer)?;
        if !self.stop {
            self.finish(label, &format!("pin out of hole {name}"), observer);
        }
        Ok(())
    }

    /// Puts a tool into a hole, just touching it; returns its radius then, mm.
    fn insert(&mut self, hole: usize, tool: &Tool) -> f64 {
        let mut contact = expand::contact(
            &self.system.mesh,
            (hole, &self.job.plate.holes[hole]),
            tool,
            self.job.idealisation,
            self.job.thickness_of(self.job.region_of_hole(hole)),
        );
        let axis = self.holes[hole].axis;
        contact.reference = [axis[0] + tool.offset[0], axis[1] + tool.offset[1]];
        let start = expand::touching_radius(&self.system.mesh, &contact, &self.state);
        self.state.tools.push(ToolState::new(start, contact.nodes.len()));
        let mut tools = std::mem::take(&mut self.system.tools);
        tools.push(contact);
        self.system.set_tools(tools);
        start
    }

    fn tool_of(&self, hole: usize) -> Option<usize> {
        self.system.tools.iter().position(|contact| contact.hole == hole)
    }

    fn remove(&mut self, hole: usize) {
        if let Some(index) = self.tool_of(hole) {
            self.state.tools.remove(index);
            self.state.rate = Rate::default();
            let mut tools = std::mem::take(&mut self.system.tools);
            tools.remove(index);
            self.system.set_tools(tools);
        }
    }

    fn drive_tool(
        &mut self,
        label: &str,
        phase: Phase,
        hole: usize,
        radii: [f64; 2],
        observer: &mut dyn Observer,
    ) -> Result<(), StageError> {
        let tool = self.tool_of(hole).map(|index| (index, radii));
        let drive = Drive { tool, step: self.step(), ..Drive::default() };
        self.phase(label, phase, &drive, hole, observer)
    }

    /// Shrinks the tool in a hole until it touches nothing and takes it out. `start` is the
    /// radius it began to touch at, mm.
    fn release(
        &mut self,
        label: &str,
        hole: usize,
        start: f64,
        observer: &mut dyn Observer,
    ) -> Result<(), StageError> {
        let Some(index) = self.tool_of(hole) else { return Ok(()) };
        let tool = &self.state.tools[index];
        let full = tool.unloaded_radius;
        let given_way = full - tool.radius;
        if tool.closed_count() > 0 {
            // Once nothing touches, further shrinking changes nothing: the end is only a bound.
            let end = start - 0.1 * (full - start).max(0.01 * start);
            let driven = (full - start).max(0.0);
            let metal = self.job.material_of(self.job.region_of_hole(hole));
            let recovery = given_way + RELEASE_MARGIN * springback(metal, start, driven);
            let steps = (0.5 * self.job.numerics.increments as f64).max(4.0);
            let drive = Drive {
                tool: Some((index, [full, end])),
                step: (recovery / (steps * (full - end))).min(0.5),
                until_open: true,
                ..Drive::default()
            };
            self.phase(label, Phase::Release, &drive, hole, observer)?;
            if self.stop {
                return Ok(());
            }
        }
        self.remove(hole);
        Ok(())
    }
}
