//! Stress intensity at both tips of a crack under a load, where its faces may press on each other.
//!
//! ```text
//!   K_i(S) = K_load,i S + K_res,i + Σ_j k_ij p_j        i, j: the tip on the face, the tip in the bore
//!   p_j ≥ 0,  K_j ≥ 0,  p_j K_j = 0
//! ```
//!
//! Superposition gives a negative K at a tip that is closed. Faces cannot overlap: they press on each other, and
//! that pressure opens the rest of the front. It is represented by one pressure beside each tip,
//! `(x/c)²(1 − z/a)` at the face and `(z/a)²(1 − x/c)` in the bore, just large enough that K vanishes there. A tip that
//! is closed keeps its superposed negative value, which says how far it is from opening, and does not grow.
//!
//! Held against contact solved for on the faces of a three-dimensional model (`verification/corner-cracks/contact.py`):
//! K of the open tip is mostly 0 to 14 % too high, up to 29 % and more where two cracks see little load; a tip that
//! is barely open or closed may be too low.

use crate::fatigue::cycle::StressCycle;
use crate::fatigue::front::parts::{FieldShare, TipParts};
use crate::fatigue::intensity::{ContactRule, IntensityCycle, Parts};
use crate::fatigue::pass::lines::Lines;

/// Both tips of one crack: on the face, in the bore. MPa√mm, of the load per MPa.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tips {
    load: [f64; 2],
    residual: [f64; 2],
    /// K at tip `i` of 1 MPa beside tip `j`.
    contact: [[f64; 2]; 2],
}

impl Tips {
    /// Tips of a part-elliptical crack with a share of the residual field.
    #[must_use]
    pub(crate) fn of_front(parts: &[TipParts; 2], share: FieldShare) -> Self {
        Self {
            load: parts.map(|tip| tip.load),
            residual: parts.map(|tip| tip.residual(share)),
            contact: parts.map(|tip| tip.contact),
        }
    }

    /// Two equal tips of a straight through crack, with `share` of its residual part.
    #[must_use]
    pub(crate) fn of_through(parts: &Parts, share: f64) -> Self {
        Self {
            load: [parts.per_stress(); 2],
            residual: [share * parts.residual; 2],
            contact: [[1.0; 2]; 2],
        }
    }

    /// These tips and shares of the way to each of two others.
    #[must_use]
    pub(crate) fn towards(&self, others: &[Self; 2], shares: [f64; 2]) -> Self {
        let mixed = |part: &dyn Fn(&Self) -> f64| {
            let own = part(self);
            own + shares[0] * (part(&others[0]) - own) + shares[1] * (part(&others[1]) - own)
        };
        Self {
            load: [0, 1].map(|tip| mixed(&|tips| tips.load[tip])),
            residual: [0, 1].map(|tip| mixed(&|tips| tips.residual[tip])),
            contact: [0, 1].map(|tip| [0, 1].map(|from| mixed(&|tips| tips.contact[tip][from]))),
        }
    }

    /// K at both tips under a remote stress, MPa; negative at a closed tip.
    #[must_use]
    pub fn total(&self, stress: f64) -> [f64; 2] {
        let superposed = [0, 1].map(|tip| self.load[tip] * stress + self.residual[tip]);
        if superposed[0] >= 0.0 && superposed[1] >= 0.0 {
            return superposed;
        }
        // One tip closed: its pressure opens the other, or both are closed.
        for (closed, other) in [(0, 1), (1, 0)] {
            let own = self.contact[closed][closed];
            if superposed[closed] < 0.0 && own > 0.0 {
                let raised =
                    superposed[other] - superposed[closed] / own * self.contact[other][closed];
                if raised >= 0.0 {
                    let mut open = superposed;
                    open[other] = raised;
                    return open;
                }
            }
        }
        superposed
    }

    /// K of open tips under any stress.
    #[must_use]
    pub(crate) fn open(&self) -> OpenTips {
        let raise = [(0, 1), (1, 0)].map(|(tip, closed)| {
            let own = self.contact[closed][closed];
            if own > 0.0 { self.contact[tip][closed] / own } else { 0.0 }
        });
        OpenTips { load: self.load, residual: self.residual, raise }
    }

    /// Intensity at each tip in a cycle.
    #[must_use]
    pub fn cycle(&self, cycle: &StressCycle, rule: ContactRule) -> [IntensityCycle; 2] {
        let (one, other) = (self.total(cycle.maximum()), self.total(cycle.minimum()));
        [0, 1].map(|tip| IntensityCycle::between([one[tip], other[tip]], rule))
    }
}

/// The same tips where a closed one is nothing: asked for many stresses, it takes the same way for each.
#[derive(Clone, Copy, Debug)]
pub(crate) struct OpenTips {
    load: [f64; 2],
    residual: [f64; 2],
    /// Added to a tip for every MPa√mm that the other lacks.
    raise: [f64; 2],
}

impl OpenTips {
    /// K at both tips under a remote stress, MPa; 0 where they are closed.
    #[inline]
    pub(crate) fn at(&self, stress: f64) -> [f64; 2] {
        let superposed = [0, 1].map(|tip| self.load[tip] * stress + self.residual[tip]);
        let lack = superposed.map(|k| (-k).max(0.0));
        let raised = [0, 1].map(|tip| superposed[tip] + self.raise[tip] * lack[1 - tip]);
        // Where both are closed by superposition, the tip in the bore opens first.
        let both = lack[0] > 0.0 && lack[1] > 0.0 && raised[1] >= 0.0;
        [if both { 0.0 } else { raised[0].max(0.0) }, raised[1].max(0.0)]
    }

    /// The same as straight lines; `None` where pressure beside the tips may open both at once, or a number is none.
    pub(crate) fn lines(&self) -> Option<Lines<2>> {
        let [face, bore] = self.raise;
        // Two closed tips would open each other where the product is above 1.
        let apart = face >= 0.0 && bore >= 0.0 && face * bore <= 1.0;
        let raised =
            |part: [f64; 2]| [0, 1].map(|tip: usize| part[tip] - self.raise[tip] * part[1 - tip]);
        let superposed = [self.load, self.residual];
        if apart { Lines::new([superposed, superposed.map(raised)]) } else { None }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn tips(residual: [f64; 2]) -> Tips {
        Tips { load: [1.0, 1.2], residual, contact: [[0.5, 0.1], [0.2, 0.4]] }
    }

    #[test]
    fn open_tips_are_superposed() {
        let open = tips([-50.0, -60.0]).total(100.0);
        assert!((open[0] - 50.0).abs() < 1e-12 && (open[1] - 60.0).abs() < 1e-12);
    }

    #[test]
    fn a_closed_tip_opens_the_other_by_the_pressure_that_holds_it_shut() {
        // 20 short of opening in the bore: 20/0.4 = 50 MPa there, times 0.1 at the face.
        let found = tips([-50.0, -140.0]).total(100.0);
        assert!((found[0] - 55.0).abs() < 1e-12 && (found[1] + 20.0).abs() < 1e-12, "{found:?}");
        // The pressure can open a tip that superposition closes: -2 + 5.
        let barely = tips([-102.0, -140.0]).total(100.0);
        assert!((barely[0] - 3.0).abs() < 1e-12 && barely[1] < 0.0, "{barely:?}");
    }

    #[test]
    fn the_tip_opens_without_a_jump() {
        let at = |stress: f64| tips([-104.0, -150.0]).total(stress)[0];
        // K rises with the load by less than its part of the load where the other tip is closed.
        for k in 0..400 {
            let stress = 80.0 + 0.1 * f64::from(k);
            let step = at(stress + 0.1) - at(stress);
            assert!(at(stress) < 0.0 || (0.0..0.11).contains(&step), "{stress}: {step}");
        }
    }

    #[test]
    fn tips_that_would_open_each_other_have_no_lines() {
        let strange = Tips { contact: [[0.5, 0.7], [0.6, 0.4]], ..tips([-50.0, -60.0]) };
        assert!(strange.open().lines().is_none());
        assert!(tips([f64::NAN, 0.0]).open().lines().is_none());
    }

    #[test]
    fn open_tips_are_the_same_without_what_is_closed() {
        let residuals = [-140.0, -104.0, -101.0, -50.0, 0.0, 30.0];
        for (one, other) in residuals.iter().flat_map(|a| residuals.iter().map(move |b| (a, b))) {
            let all = tips([*one, *other]);
            for k in 0..40 {
                let stress = 5.0 * f64::from(k) - 40.0;
                let (open, total) = (all.open().at(stress), all.total(stress));
                let lines = all.open().lines().expect("sound numbers").at(stress);
                for tip in 0..2 {
                    let none = total[tip].max(0.0);
                    let errors = [open[tip] - none, lines[tip] - none];
                    assert!(
                        errors.iter().all(|error| error.abs() < 1e-12),
                        "{one}, {other} at {stress}: {open:?}, {lines:?}, {total:?}"
                    );
                }
            }
        }
    }
}
