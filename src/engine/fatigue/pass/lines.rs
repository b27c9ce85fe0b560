//! Stress intensity at tips against remote stress.

use crate::fatigue::intensity::Parts;

/// Stress intensity at `N` tips under any remote stress.
pub(crate) trait TipsAt<const N: usize> {
    /// MPa√mm at a stress in MPa, not above zero where a tip is closed.
    fn at(&self, stress: f64) -> [f64; N];

    /// The same where a closed tip is nothing, as straight lines; `None` where that is not all.
    fn lines(&self) -> Option<Lines<N>> {
        None
    }

    /// K of one tip over stress, √mm above zero, where they are in proportion also below zero.
    fn proportion(&self) -> Option<f64> {
        None
    }
}

impl<const N: usize, F: Fn(f64) -> [f64; N]> TipsAt<N> for F {
    fn at(&self, stress: f64) -> [f64; N] {
        self(stress)
    }
}

impl TipsAt<1> for Parts {
    fn at(&self, stress: f64) -> [f64; 1] {
        [self.total(stress)]
    }

    fn lines(&self) -> Option<Lines<1>> {
        Lines::new([[[self.per_stress()], [self.residual]]; 2])
    }

    fn proportion(&self) -> Option<f64> {
        Some(self.per_stress()).filter(|slope| *slope > 0.0 && self.residual == 0.0)
    }
}

/// K at tips as the highest of three straight lines: superposed, raised by the pressure of another tip where that is
/// closed, and none.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Lines<const N: usize> {
    /// Slopes and values at no stress, superposed and raised.
    lines: [[[f64; N]; 2]; 2],
}

impl<const N: usize> Lines<N> {
    /// From slopes, √mm, and values at no stress, MPa√mm, of both lines of each tip; `None` unless all are finite.
    pub(crate) fn new(lines: [[[f64; N]; 2]; 2]) -> Option<Self> {
        lines
            .as_flattened()
            .as_flattened()
            .iter()
            .all(|one| one.is_finite())
            .then_some(Self { lines })
    }

    /// K at the tips under a remote stress, MPa, a finite one; 0 where they are closed.
    #[inline]
    pub(crate) fn at(&self, stress: f64) -> [f64; N] {
        let [superposed, raised] = &self.lines;
        let on = |[slope, start]: &[[f64; N]; 2], tip: usize| slope[tip] * stress + start[tip];
        std::array::from_fn(|tip| higher(higher(on(superposed, tip), on(raised, tip)), 0.0))
    }
}

impl Lines<2> {
    /// Those of the first tip.
    pub(crate) fn first(self) -> Lines<1> {
        Lines { lines: self.lines.map(|line| line.map(|[first, _]| [first])) }
    }
}

/// The higher of two numbers, a comparison and no more.
#[inline]
pub(super) fn higher(a: f64, b: f64) -> f64 {
    if a > b { a } else { b }
}
