//! Histories of four points on their way through an increment, and their sensitivity to the strain.
//!
//! Tensors have `N` components, as the map that goes the way sees them. A sensitivity has the shape
//! of the history it is the derivative of.

use nalgebra::{SVector, Vector4};
use simba::simd::{SimdComplexField, SimdPartialOrd, SimdValue};

use crate::material::backstress::{Backstress, MOST_TERMS};
use crate::material::lanes::{Four, all, of_each, vectors};
use crate::material::state::Start;

/// A history, or its sensitivity to one component of the strain at the end of the increment.
#[derive(Clone, Copy)]
pub(crate) struct History<const N: usize> {
    /// Equivalent plastic strain.
    pub(crate) equivalent: Four,
    /// Backstress terms.
    pub(crate) backs: [SVector<Four, N>; MOST_TERMS],
    /// Flow since the start of the increment.
    pub(crate) flow: SVector<Four, N>,
    /// Unit direction of the flow in the last part in which the point flowed; zero before.
    direction: SVector<Four, N>,
}

/// Measures from which the error of a part of an increment is estimated.
#[derive(Clone, Copy)]
pub(crate) struct Turn {
    /// Change of the direction of flow since the part before.
    pub(crate) direction: Four,
    /// Half of `γΔp` times the change of every backstress term, summed, MPa.
    pub(crate) back: Four,
}

/// Sensitivity of the histories before an increment to its strain: none.
pub(crate) fn no_sensitivity<const N: usize>() -> [History<N>; N] {
    [History::none(); N]
}

/// `1 / (1 + γ Δp)`.
pub(crate) fn fading(term: &Backstress, increment: Four) -> Four {
    Four::ONE / (Four::ONE + all(term.recall) * increment)
}

impl<const N: usize> History<N> {
    fn none() -> Self {
        let zero = SVector::from_element(Four::ZERO);
        Self { equivalent: Four::ZERO, backs: [zero; MOST_TERMS], flow: zero, direction: zero }
    }

    /// That of points at the start of an increment; `seen` is a backstress as the map sees it.
    pub(crate) fn begin(
        start: Start<'_>,
        terms: usize,
        seen: impl Fn(&Vector4<Four>) -> SVector<Four, N>,
    ) -> Self {
        let count = start.flows.len();
        let mut history = Self::none();
        history.equivalent = of_each(count, |k| start.flows[k].equivalent);
        for (term, back) in history.backs[..terms].iter_mut().enumerate() {
            *back = seen(&vectors(count, |k| start.backs_of(k)[term]));
        }
        history
    }

    /// A stress relative to the backstress.
    pub(crate) fn relative(&self, stress: &SVector<Four, N>, terms: usize) -> SVector<Four, N> {
        self.backs[..terms].iter().fold(*stress, |relative, back| relative - back)
    }

    /// `of` less the backstress terms as they have faded after a step.
    pub(crate) fn less_faded(
        &self,
        of: SVector<Four, N>,
        terms: &[Backstress],
        increment: Four,
    ) -> SVector<Four, N> {
        terms
            .iter()
            .zip(&self.backs)
            .fold(of, |rest, (term, back)| rest - back * fading(term, increment))
    }

    /// Takes a step with this Δp and flow, both zero for points that do not flow; `metric` are the
    /// weights with which squares of components add up to that of the deviator, so that the turn is
    /// the same in any frame.
    pub(crate) fn step_on(
        &mut self,
        terms: &[Backstress],
        (increment, flow): (Four, SVector<Four, N>),
        metric: [f64; N],
    ) -> Turn {
        let norm = |of: &SVector<Four, N>| {
            let squares = of.iter().zip(metric).map(|(part, weight)| *part * *part * all(weight));
            squares.fold(Four::ZERO, |sum, square| sum + square).simd_sqrt()
        };
        self.equivalent += increment;
        self.flow += flow;
        let mut back_error = Four::ZERO;
        for (term, back) in terms.iter().zip(&mut self.backs) {
            let new = (*back + flow * all(2.0 / 3.0 * term.modulus)) * fading(term, increment);
            let change = norm(&(new - *back));
            back_error += all(0.5 * 1.5_f64.sqrt() * term.recall) * increment * change;
            *back = new;
        }
        let size = norm(&flow);
        let flows = size.simd_gt(Four::ZERO);
        let before = self.direction;
        let over = Four::ONE / size.simd_max(all(f64::MIN_POSITIVE));
        self.direction = before.zip_map(&flow, |old, part| (part * over).select(flows, old));
        let known = flows & norm(&before).simd_gt(Four::ZERO);
        let turn = norm(&(self.direction - before));
        Turn { direction: turn.select(known, Four::ZERO), back: back_error }
    }

    /// Derivative of [`Self::step_on`], where this is that of the history which `now` is after the
    /// step with Δp `increment`, and `d_increment`, `d_flow` are those of Δp and flow.
    pub(crate) fn differentiate_step(
        &mut self,
        terms: &[Backstress],
        (now, increment): (&Self, Four),
        (d_increment, d_flow): (Four, SVector<Four, N>),
    ) {
        self.equivalent += d_increment;
        self.flow += d_flow;
        for (term, (back, sensitivity)) in terms.iter().zip(now.backs.iter().zip(&mut self.backs)) {
            let grown = *sensitivity + d_flow * all(2.0 / 3.0 * term.modulus);
            *sensitivity =
                (grown - back * (all(term.recall) * d_increment)) * fading(term, increment);
        }
    }
}
