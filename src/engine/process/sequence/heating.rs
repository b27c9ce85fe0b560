//! Another temperature of the whole part: free strains that regions of different metals share out, metals that are
//! softer when they are hot, and stress that heat takes away.

use crate::material::hot::HotShares;
use crate::material::strains::Strains;
use crate::process::history::Phase;
use crate::process::region_metals::set_hot;
use crate::process::relaxation::{Relaxation, relax};
use crate::process::sequence::{Observer, Sequence};
use crate::process::stage::Stage;
use crate::process::stage_error::StageError;
use crate::solver::increment_error::IncrementError;
use crate::solver::prescribed::Drive;

/// Increments of a temperature stage over those of an expansion.
const HEAT_SHARE: f64 = 0.5;

/// Steps in which the metals change: after each the part finds its balance.
const STEPS: usize = 8;

impl Sequence {
    /// Brings every region to the thermal strain `expansions[region] · difference`, plate first, and its metal to
    /// `metals[region]`.
    pub(super) fn heat(
        &mut self,
        label: &str,
        (difference, expansions): (f64, &[f64]),
        metals: &[HotShares],
        relaxation: Option<&Relaxation>,
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
        let before = self.job.hot_shares(self.next_stage).to_vec();
        if before == metals {
            let drive = Drive {
                free_strain: Some(free_strain),
                step: self.step() / HEAT_SHARE,
                ..Drive::default()
            };
            self.phase(label, Phase::Temperature, &drive, 0, observer)?;
        } else {
            self.heat_in_steps(label, &free_strain, [&before, metals], observer)?;
        }
        if let (false, Some(relaxation)) = (self.stop, relaxation) {
            relax(&self.system, &mut self.state, relaxation.left);
            self.balance_anew(label, None, observer)?;
        }
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

    /// Changes metals and free strains together, a step of each at a time.
    fn heat_in_steps(
        &mut self,
        label: &str,
        free_strain: &[f64],
        [from, to]: [&[HotShares]; 2],
        observer: &mut dyn Observer,
    ) -> Result<(), StageError> {
        let cold = self.state.free_strain.clone();
        let of = |shares: &[HotShares], region: usize| {
            shares.get(region).copied().unwrap_or(HotShares::NONE)
        };
        for step in 1..=STEPS {
            let part = step as f64 / STEPS as f64;
            let now: Vec<HotShares> = (0..from.len().max(to.len()))
                .map(|region| of(from, region).towards(&of(to, region), part))
                .collect();
            set_hot(&self.job, &mut self.system, &now);
            let blend = |(from, to): (&f64, &f64)| {
                if step == STEPS { *to } else { from + part * (to - from) }
            };
            let strain = cold.iter().zip(free_strain).map(blend).collect();
            self.balance_anew(label, Some(strain), observer)?;
            if self.stop {
                break;
            }
        }
        Ok(())
    }

    /// Recomputes the stresses and lets the part find its balance, while the free strains go to `free_strain`.
    fn balance_anew(
        &mut self,
        label: &str,
        free_strain: Option<Vec<f64>>,
        observer: &mut dyn Observer,
    ) -> Result<(), StageError> {
        let before = self.state.energy.elastic;
        let failed =
            |cause| StageError::Increment(IncrementError { done: 0.0, halvings: 0, cause });
        self.system.settle(&mut self.state).map_err(failed)?;
        // Energy that a softer metal no longer stores, or that heat takes, is no work of the part.
        self.state.energy.removed += before - self.state.energy.elastic;
        let nodes = self.system.mesh.nodes.len();
        let external = Some(vec![[0.0; 2]; nodes]);
        let drive = Drive { external, free_strain, step: 1.0, ..Drive::default() };
        self.phase(label, Phase::Temperature, &drive, 0, observer)
    }
}
