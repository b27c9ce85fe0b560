//! Loads that come and go.

use crate::process::history::Phase;
use crate::process::load;
use crate::process::program::Program;
use crate::process::sequence::under_way::ServiceUnderWay;
use crate::process::sequence::{Observer, Sequence};
use crate::process::service_history::{EdgeReader, Mark, ServiceHistory, period};
use crate::process::stage::Load;
use crate::process::stage_error::StageError;
use crate::solver::prescribed::Drive;

/// Largest growth of the equivalent plastic strain at a point within one increment of a service
/// load that is longer than the planned ones: times three shear moduli of aluminium it is less
/// than 1 MPa, of which only the part that turns with the direction of flow is at stake.
const LEAP: f64 = 1e-5;

impl Sequence {
    pub(super) fn load(
        &mut self,
        label: &str,
        load: &Load,
        cycles: usize,
        observer: &mut dyn Observer,
    ) -> Result<(), StageError> {
        let full = self.full(load)?;
        let hole = load.hole();
        for cycle in 1..=cycles {
            let last = cycle == cycles;
            let step = self.step();
            let drive = Drive { step, ..full.drive(1.0) };
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
            let drive = Drive { step, ..full.drive(0.0) };
            self.phase(label, Phase::LoadDown, &drive, hole, observer)?;
            if self.stop {
                return Ok(());
            }
        }
        self.finish(label, "load taken off", observer);
        Ok(())
    }
}

/// A load at full size on the mesh and the tools as they stand.
struct FullLoad {
    /// Nodal forces, N.
    external: Vec<[f64; 2]>,
    /// Forces on the tools, N.
    bearing: Vec<[f64; 2]>,
}

impl FullLoad {
    /// A phase that ends at a share of it.
    fn drive(&self, share: f64) -> Drive {
        let part = |forces: &[[f64; 2]]| {
            Some(forces.iter().map(|force| force.map(|part| share * part)).collect())
        };
        Drive { external: part(&self.external), bearing: part(&self.bearing), ..Drive::default() }
    }
}

impl Sequence {
    fn full(&self, load: &Load) -> Result<FullLoad, StageError> {
        let mesh = &self.system.mesh;
        let edges = self.job.plate.outline.edge_names();
        let external = load::forces(mesh, load, self.job.plate.thickness, &edges)?;
        let bearing = load::bearings(mesh, load, &self.system.tools, &self.hole_names())?;
        Ok(FullLoad { external, bearing })
    }

    /// A load that goes between highest and lowest values, read at every reversal.
    pub(super) fn serve(
        &mut self,
        label: &str,
        load: &Load,
        program: &Program,
        observer: &mut dyn Observer,
    ) -> Result<(), StageError> {
        let full = self.full(load)?;
        let hole = load.hole();
        self.begin_service(label, program);
        let turns = program.turns();
        let shown = program.shown();
        let last = turns.last().map_or(0, |turn| turn.period);
        let mut start = self.state.clone();
        let mut now = 0.0;
        for (index, turn) in turns.iter().enumerate() {
            // The loops of the first period and the last are drawn; the others are only read.
            let followed = turn.period == 1 || turn.period == last;
            self.go(label, &full, [now, turn.load], (turn.period, followed), hole, observer)?;
            if self.stop {
                return Ok(());
            }
            now = turn.load;
            let ends = turns.get(index + 1).is_none_or(|next| next.period != turn.period);
            if ends {
                let at = &self.system.tables.positions;
                let period = period(turn.period, turn.block, &start, &self.state, at);
                if let Some(service) = &mut self.service {
                    service.history.periods.push(period);
                }
                start.points.clone_from(&self.state.points);
                start.backstress.clone_from(&self.state.backstress);
            }
            if shown == Some(index) {
                let extreme = if turn.load == 0.0 {
                    "no"
                } else if turn.load > 0.0 {
                    "the highest"
                } else {
                    "the lowest"
                };
                let heading = format!("at {extreme} load of the last cycle");
                let mut snapshot = self.snapshot(&format!("{label}-full"), &heading);
                snapshot.loaded = true;
                self.hand_over(snapshot, observer);
                if self.stop {
                    return Ok(());
                }
            }
        }
        self.go(label, &full, [now, 0.0], (last, false), hole, observer)?;
        if !self.stop {
            self.end_service();
            self.finish(label, "load taken off", observer);
        }
        Ok(())
    }

    fn begin_service(&mut self, label: &str, program: &Program) {
        let mesh = &self.system.mesh;
        let (holes, positions) = (&self.job.plate.holes, &self.system.tables.positions);
        let reader = EdgeReader::new(mesh, holes, positions, self.job.numerics.strains);
        let positions = |edge: &Vec<usize>| edge.iter().map(|&node| mesh.nodes[node]).collect();
        let mut service = ServiceUnderWay {
            before: self.state.points.iter().map(|point| point.equivalent).collect(),
            history: ServiceHistory {
                stage: self.next_stage + 1,
                label: label.to_owned(),
                program: program.clone(),
                edges: mesh.holes.iter().map(|hole| positions(&hole.edge)).collect(),
                symmetry: mesh.symmetry,
                readings: Vec::new(),
                periods: Vec::new(),
            },
            reader,
            elasticities: self.system.elasticities().collect(),
            followed: None,
        };
        service.read(&self.state, Mark::Before, 0, 0.0);
        self.service = Some(service);
    }

    fn end_service(&mut self) {
        if let Some(mut service) = self.service.take() {
            if let Some(reading) = service.history.readings.last_mut() {
                reading.mark = Mark::After;
            }
            self.services.push(service.history);
        }
    }

    /// From one share of the load to another, and a reading there.
    fn go(
        &mut self,
        label: &str,
        full: &FullLoad,
        [from, to]: [f64; 2],
        (period, followed): (usize, bool),
        hole: usize,
        observer: &mut dyn Observer,
    ) -> Result<(), StageError> {
        if let Some(service) = &mut self.service {
            service.followed = followed.then_some(period);
        }
        if from.total_cmp(&to).is_ne() {
            self.load_span = [from, to];
            let step = (self.step() / (to - from).abs()).min(1.0);
            let drive = Drive { step, leap: Some(LEAP), ..full.drive(to) };
            let phase = if to > from { Phase::LoadUp } else { Phase::LoadDown };
            let outcome = self.phase(label, phase, &drive, hole, observer);
            self.load_span = [0.0, 1.0];
            outcome?;
            if self.stop {
                return Ok(());
            }
        }
        if let Some(service) = &mut self.service {
            // The last increment of the phase is the turning point itself.
            if service.history.readings.last().is_some_and(|last| last.mark == Mark::Between)
                && from.total_cmp(&to).is_ne()
                && followed
            {
                service.history.readings.pop();
            }
            service.read(&self.state, Mark::Turn, period, to);
        }
        Ok(())
    }
}
