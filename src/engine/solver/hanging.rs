//! A mandrel whose puller stands on the nose cap: beside its travel, mandrel, cap and the stop in it are one body.
//!
//! Their shift `c` along the axis is an unknown of the border, that of the mandrel's centre, and its equation is
//!
//! ```text
//! Σ λ of the face + Σ λ of the stop = pull
//! ```
//!
//! with all of them of one iterate. A pull that is handed on from the last iterate changes with the end of the sleeve
//! that the cap stops: where the sleeve sticks to the mandrel that loop has the gain of the sleeve's stiffness over
//! that of the cap, and diverges.
//!
//! The face only pushes, and so does the stop unless the end of the sleeve is held there. An end that lifts off leaves the sleeve to what
//! sticks to it, mandrel or hole. Where nothing does, equilibrium says nothing of its place: it stays on the stop.
//!
//! Where nothing lies on the face, the part stands on the sleeve that sticks in it. Where that slips all along,
//! as a mandrel that leaves squeezes it out, the puller stays where it is, and the ring of the rim that stays at its
//! depth carries what the sleeve does to the part.

use crate::solver::contact::ContactStatus;
use crate::solver::state::State;
use crate::solver::system::System;

impl System {
    /// The tool that tool `index` is one body with along the axis: the mandrel, for its nose cap.
    pub(crate) fn body(&self, index: usize) -> usize {
        let hangs = |from: &usize| self.tools[*from].free[1];
        self.tools[index].carries.filter(hangs).unwrap_or(index)
    }

    /// Whether tool `index` is one body with another along the axis, and moves with that.
    pub(crate) fn hangs(&self, index: usize) -> bool {
        self.body(index) != index
    }

    /// The nose cap that tool `index` is one body with along the axis.
    fn cap(&self, index: usize) -> Option<usize> {
        (0..self.tools.len()).find(|&cap| cap != index && self.body(cap) == index)
    }

    /// Whether the reference point of a tool is an unknown along x and y in `trial`.
    pub(crate) fn moves(&self, trial: &State, index: usize) -> [bool; 2] {
        let [x, y] = self.tools[index].free;
        if self.hangs(index) {
            return [x, false];
        }
        let lies = |cap: usize| {
            let face = &trial.tools[cap].status[..self.tools[cap].face()];
            face.iter().any(|status| status.touches())
        };
        let mut pairs = trial.mated.iter().flat_map(|mated| &mated.status);
        let sticks = pairs.any(|status| *status == ContactStatus::Stick);
        let stands = |cap: usize| sticks && self.end_stands(trial, cap);
        [x, y && self.cap(index).is_none_or(|cap| lies(cap) || stands(cap))]
    }

    /// Whether the end of a sleeve stands on tool `index`.
    fn end_stands(&self, trial: &State, index: usize) -> bool {
        let end = &trial.tools[index].status[self.tools[index].face()..];
        end.iter().any(|status| status.touches())
    }

    /// The tool off which a sleeve has lifted, where neither mandrel nor hole sticks to it: nothing holds it then.
    pub(super) fn floats_off(&self, trial: &State) -> Option<usize> {
        let stop = (0..self.tools.len()).find(|&index| self.tools[index].ends > 0)?;
        let tools = trial.tools.iter().map(|tool| &tool.status);
        let mut touching = tools.chain(trial.mated.iter().map(|mated| &mated.status)).flatten();
        let held = touching.any(|status| *status == ContactStatus::Stick);
        (!held && !self.end_stands(trial, stop)).then_some(stop)
    }

    /// Whether tool `index` hangs with others in a puller that stays where it is in `state`.
    pub(crate) fn stays(&self, state: &State, index: usize) -> bool {
        let body = self.body(index);
        self.cap(body).is_some() && !self.moves(state, body)[1]
    }

    /// Shifts of all tools along the axis, mm.
    pub(crate) fn shifts(state: &State) -> Vec<f64> {
        state.tools.iter().map(|tool| tool.centre[1]).collect()
    }

    /// Shift of the mandrel, the first tool, with its cap since that was at `begun`, mm; none where it does not hang in one.
    pub(crate) fn shift(&self, state: &State, begun: &[f64]) -> f64 {
        self.cap(0).map_or(0.0, |cap| state.tools[cap].centre[1] - begun[cap])
    }

    /// Gives a mandrel on its way the shift of its cap since that was at `begun`, see [`Self::shifts`].
    pub(crate) fn hang(&self, trial: &mut State, begun: &[f64]) {
        for (index, begun) in begun.iter().enumerate() {
            if self.hangs(index) {
                let shift = trial.tools[index].centre[1] - begun;
                trial.tools[self.body(index)].centre[1] += shift;
            }
        }
    }
}
