//! What both tips of a crack see of a load, where its faces may press on each other.
//!
//! ```text
//!   K_i(S) = K_load,i S + K_res,i + Σ_j k_ij p_j        i, j: the tip on the face, the tip in the bore
//!   p_j ≥ 0,  K_j ≥ 0,  p_j K_j = 0                     one tip closed, the other open
//! ```
//!
//! Superposition gives a negative K at a tip that is closed. Faces cannot overlap: they press on each other, and
//! that pressure opens the rest of the front. It is represented by one pressure beside the closed tip,
//! `(x/c)²(1 − z/a)` at the face and `(z/a)²(1 − x/c)` in the bore, just large enough that K vanishes there. Its K at
//! the other tip is added. A tip that is closed keeps its superposed negative value, which says how far it is
//! from opening, and does not grow. Where both are closed nothing is added.
//!
//! Floor 6, `fatigue::front`.

use crate::fatigue::cycle::StressCycle;
use crate::fatigue::front::parts::{FieldShare, TipParts};
use crate::fatigue::intensity::{ContactRule, IntensityCycle, Parts};

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
    pub fn of_front(parts: &[TipParts; 2], share: FieldShare) -> Self {
        Self {
            load: parts.map(|tip| tip.load),
            residual: parts.map(|tip| tip.residual(share)),
            contact: parts.map(|tip| tip.contact),
        }
    }

    /// Two equal tips of a straight through crack, with `share` of its residual part.
    #[must_use]
    pub fn of_through(parts: &Parts, share: f64) -> Self {
        Self {
            load: [parts.per_stress(); 2],
            residual: [share * parts.residual; 2],
            contact: [[1.0; 2]; 2],
        }
    }

    /// K at both tips under a remote stress, MPa; negative at a closed tip.
    #[must_use]
    pub fn total(&self, stress: f64) -> [f64; 2] {
        let [face, bore] = [0, 1].map(|tip| self.load[tip] * stress + self.residual[tip]);
        let raised = |open: usize, closed: usize, by: f64| {
            let own = self.contact[closed][closed];
            if own > 0.0 { self.contact[open][closed] / own * by } else { 0.0 }
        };
        if face < 0.0 && bore > 0.0 {
            [face, bore + raised(1, 0, -face)]
        } else if bore < 0.0 && face > 0.0 {
            [face + raised(0, 1, -bore), bore]
        } else {
            [face, bore]
        }
    }

    /// What each tip sees of a cycle.
    #[must_use]
    pub fn cycle(&self, cycle: &StressCycle, rule: ContactRule) -> [IntensityCycle; 2] {
        let (one, other) = (self.total(cycle.maximum()), self.total(cycle.minimum()));
        [0, 1].map(|tip| IntensityCycle::between([one[tip], other[tip]], rule))
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
    }
}
