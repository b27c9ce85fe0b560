//! A service load under way: what is read while it goes between its turning points.

use crate::material::elasticity::Elasticity;
use crate::process::service_history::{EdgeReader, Mark, Reading, ServiceHistory};
use crate::solver::state::State;

/// A service load under way.
#[derive(Clone, Debug)]
pub(super) struct ServiceUnderWay {
    pub(super) reader: EdgeReader,
    /// Elasticity of every integration point.
    pub(super) elasticities: Vec<Elasticity>,
    pub(super) history: ServiceHistory,
    /// Equivalent plastic strain of every point at the last turning point.
    pub(super) before: Vec<f64>,
    /// The period that is followed increment by increment.
    pub(super) followed: Option<usize>,
}

impl ServiceUnderWay {
    /// Adds a reading at a share of the load.
    pub(super) fn read(&mut self, state: &State, mark: Mark, period: usize, load: f64) {
        let grown = state.points.iter().zip(&self.before);
        let growth = grown.map(|(point, before)| point.equivalent - before).fold(0.0, f64::max);
        if mark != Mark::Between {
            let now = state.points.iter().map(|point| point.equivalent);
            self.before.clear();
            self.before.extend(now);
        }
        self.history.readings.push(Reading {
            mark,
            period,
            load,
            edge_hoop: self.reader.read(state),
            edge_strain: self.reader.read_strain(state, |point| self.elasticities[point]),
            plastic_growth: growth,
        });
    }

    /// Reads an increment at a share of the load, when it is followed.
    pub(super) fn follow(&mut self, state: &State, load: f64) {
        if let Some(period) = self.followed {
            self.read(state, Mark::Between, period, load);
        }
    }
}
