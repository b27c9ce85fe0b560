//! A tool as long as the hole that grows in it evenly.

use crate::process::plan::springback;
use crate::process::section::observer::SectionObserver;
use crate::process::section::record::SectionPhase;
use crate::process::section::run::{Halt, SectionRun};
use crate::process::section::setting::bore_radius;
use crate::process::section::tooling::cylinder;
use crate::solver::prescribed::Drive;

/// How much farther than the elastic estimate a release may have to go, for the size of its
/// increments only.
const RELEASE_MARGIN: f64 = 1.25;

impl SectionRun {
    /// Widens the bore evenly to `diameter` mm, and lets go of it.
    pub(super) fn grow(
        &mut self,
        label: &str,
        diameter: f64,
        observer: &mut dyn SectionObserver,
    ) -> Result<(), Halt> {
        let contact = cylinder(&self.system.mesh);
        let full = 0.5 * diameter;
        let start = bore_radius(&self.system.mesh, &contact, &self.state);
        if full <= start {
            return Err(self.too_small(diameter, start));
        }
        self.put_in(vec![contact]);
        let pose = &mut self.state.tools[0];
        pose.radius = start;
        pose.unloaded_radius = start;
        let increments = self.job.numerics.increments as f64;
        let drive =
            Drive { tool: Some((0, [start, full])), step: increments.recip(), ..Drive::default() };
        self.phase(label, SectionPhase::Grow, &drive, observer)?;
        let full_size = " expanded evenly, tool at full size";
        self.emit(&format!("{label}-full"), full_size, true, observer)?;
        let end = start - 0.1 * (full - start);
        let recovery = RELEASE_MARGIN * springback(&self.job.material, start, full - start);
        let drive = Drive {
            tool: Some((0, [full, end])),
            step: (2.0 * recovery / (increments * (full - end))).min(0.5),
            until_open: true,
            ..Drive::default()
        };
        self.phase(label, SectionPhase::Release, &drive, observer)?;
        self.finish(label, " expanded evenly, tool out", observer)
    }
}
