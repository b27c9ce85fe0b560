//! Another temperature of the whole part: free strains that regions of different metals share out.

use crate::material::strains::Strains;
use crate::process::history::Phase;
use crate::process::sequence::{Observer, Sequence};
use crate::process::stage::Stage;
use crate::process::stage_error::StageError;
use crate::solver::prescribed::Drive;

/// Increments of a temperature stage over those of an expansion.
const HEAT_SHARE: f64 = 0.5;

impl Sequence {
    /// Brings every region to the thermal strain `expansions[region] · difference`, plate first.
    pub(super) fn heat(
        &mut self,
        label: &str,
        difference: f64,
        expansions: &[f64],
        observer: &mut dyn Observer,
    ) -> Result<(), StageError> {
        let plate = self.job.regions.len() + 1;
        let strain = |(region, expansion): (usize, &f64)| {
            // A doubler is free of stress at the temperature it was joined at.
            let joined = region.checked_sub(plate).map_or(0.0, |nth| self.joined_at(nth));
            let linear = expansion * (difference - joined);
            match self.job.numerics.strains {
                Strains::Finite => linear.ln_1p(),
                Strains::Small => linear,
            }
        };
        let free_strain: Vec<f64> = expansions.iter().enumerate().map(strain).collect();
        self.state.free_strain.resize(free_strain.len(), 0.0);
        let drive = Drive {
            free_strain: Some(free_strain),
            step: self.step() / HEAT_SHARE,
            ..Drive::default()
        };
        self.phase(label, Phase::Temperature, &drive, 0, observer)?;
        if !self.stop {
            self.finish(
                label,
                &format!("temperature {difference} from that of the drawing"),
                observer,
            );
        }
        Ok(())
    }

    /// Temperature at which the `nth` doubler of the job is joined, from that of the drawing.
    fn joined_at(&self, nth: usize) -> f64 {
        let (mut temperature, mut joined) = (0.0, 0);
        for stage in &self.job.stages {
            match stage {
                Stage::Temperature { difference, .. } => temperature = *difference,
                Stage::Join { .. } if joined == nth => return temperature,
                Stage::Join { .. } => joined += 1,
                _ => {}
            }
        }
        // No doubler: a bush.
        0.0
    }
}
