//! Loads that come and go.
//!
//! Floor 4, `process`.

use crate::process::error::StageError;
use crate::process::history::Phase;
use crate::process::load;
use crate::process::sequence::{Observer, Sequence};
use crate::process::stage::Load;
use crate::solver::increment::Drive;

impl Sequence {
    pub(super) fn load(
        &mut self,
        label: &str,
        load: &Load,
        cycles: usize,
        observer: &mut dyn Observer,
    ) -> Result<(), StageError> {
        let names = self.job.plate.outline.edge_names();
        let full = load::forces(&self.system.mesh, load, self.job.plate.thickness, &names)?;
        let hole = load.pressure.map_or(0, |(hole, _)| hole);
        let nothing = vec![[0.0; 2]; full.len()];
        for cycle in 1..=cycles {
            let last = cycle == cycles;
            let step = self.step();
            let drive = Drive { external: Some(full.clone()), step, ..Drive::default() };
            self.phase(label, Phase::LoadUp, &drive, hole, observer)?;
            if self.stop {
                return Ok(());
            }
            if last {
                let mut snapshot = self.snapshot(&format!("{label}-full"), "at full load");
                snapshot.loaded = true;
                self.hand_over(snapshot, observer);
            }
            if self.stop {
                return Ok(());
            }
            let drive = Drive { external: Some(nothing.clone()), step, ..Drive::default() };
            self.phase(label, Phase::LoadDown, &drive, hole, observer)?;
            if self.stop {
                return Ok(());
            }
        }
        self.finish(label, "load taken off", observer);
        Ok(())
    }
}
