//! What one point of the metal remembers, and what it answers to a strain.
//!
//! Floor 1, `material`.

use nalgebra::{Matrix4, Vector4};
use serde::{Deserialize, Serialize};

use crate::material::backstress::MOST_TERMS;

/// Equivalent plastic strain that counts as yielded: a hundredth of the 0.2 % offset that
/// yield stresses are defined by.
pub const YIELDED: f64 = 2e-5;

/// The history of one point of the metal.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct PointState {
    /// Plastic strain `(εxx, εyy, εzz, γxy)`, engineering shear; its trace is zero.
    pub plastic_strain: Vector4<f64>,
    /// Equivalent plastic strain `p = ∫ √(2/3 dεᵖ:dεᵖ)`.
    pub equivalent: f64,
    /// Deviatoric backstress of every term, `(xx, yy, zz, xy)`, MPa; unused terms are zero.
    pub backstress: [Vector4<f64>; MOST_TERMS],
}

impl Default for PointState {
    fn default() -> Self {
        Self {
            plastic_strain: Vector4::zeros(),
            equivalent: 0.0,
            backstress: [Vector4::zeros(); MOST_TERMS],
        }
    }
}

/// Where a strain increment starts.
#[derive(Clone, Copy, Debug)]
pub struct Start<'a> {
    /// History.
    pub state: &'a PointState,
    /// Stress `(xx, yy, zz, xy)` that belongs to it, MPa; not read when there is one part.
    pub stress: &'a Vector4<f64>,
}

impl<'a> Start<'a> {
    /// The start of an increment that is followed in one part.
    #[must_use]
    pub fn whole(state: &'a PointState) -> Self {
        static UNREAD: Vector4<f64> = Vector4::new(0.0, 0.0, 0.0, 0.0);
        Self { state, stress: &UNREAD }
    }

    /// The response from here by a map that is handed its place.
    pub(crate) fn response(
        self,
        parts: &mut [f64],
        answer: impl FnOnce(Place<'_>) -> Result<Reply, ReturnMapError>,
    ) -> Result<Response, ReturnMapError> {
        let mut state = *self.state;
        let Reply { stress, tangent, .. } = answer(Place { state: &mut state, parts })?;
        Ok(Response { stress, tangent, state })
    }
}

/// Where the answer to a strain increment goes, and what is known of it.
///
/// The strain runs straight through an increment and is followed in equal parts. Backward Euler
/// over the whole of it gives all its flow the direction of the end; over parts the direction turns
/// as the stress does, and the error falls with the size of a part.
#[derive(Debug)]
pub struct Place<'a> {
    /// History: on entry an earlier or later state of the point, about where this one will be.
    pub state: &'a mut PointState,
    /// Growth of the equivalent plastic strain in every part, at least one; on entry about what is
    /// to be expected, 0 where nothing is known.
    pub parts: &'a mut [f64],
}

impl Place<'_> {
    /// What to expect of part `index`, after `before` in the part before it.
    pub(crate) fn guess(&self, old: &PointState, index: usize, before: f64) -> f64 {
        match (self.parts[index], before) {
            (known, _) if known > 0.0 => known,
            (_, before) if before > 0.0 => before,
            _ => (self.state.equivalent - old.equivalent).abs() / self.parts.len() as f64,
        }
    }
}

/// Share of an increment that lies behind after each of `parts`: the last is exactly one.
pub(crate) fn shares(parts: usize) -> impl Iterator<Item = (usize, f64)> {
    (0..parts).map(move |index| (index, (index + 1) as f64 / parts as f64))
}

/// What of the answer is wanted.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Asked {
    /// Stress and history; the tangent is that of the elastic metal.
    Stress,
    /// The consistent tangent too.
    Tangent,
}

/// What a point answers to a strain.
#[derive(Clone, Copy, Debug)]
pub struct Response {
    /// Cauchy stress `(xx, yy, zz, xy)`, MPa.
    pub stress: Vector4<f64>,
    /// Consistent tangent `∂σ/∂ε`, MPa, shape `(4, 4)`, engineering shear. In plane
    /// stress its row and column zz are zero.
    pub tangent: Matrix4<f64>,
    /// History after the strain.
    pub state: PointState,
}

/// An answer whose history was written where it belongs.
#[derive(Clone, Copy, Debug)]
pub struct Reply {
    /// Cauchy stress `(xx, yy, zz, xy)`, MPa.
    pub stress: Vector4<f64>,
    /// As [`Response::tangent`]; elastic when only the stress was asked for.
    pub tangent: Matrix4<f64>,
    /// Whether the metal yielded on the way.
    pub plastic: bool,
}

impl PointState {
    /// Becomes `old`, of which it is an earlier or later state: nothing is written where no plastic
    /// strain lies between.
    #[allow(clippy::float_cmp, reason = "the same number or another one, not a result")]
    pub(crate) fn become_again(&mut self, old: &Self) {
        if self.equivalent != old.equivalent {
            *self = *old;
        }
    }
}

/// The return map found no plastic increment; the strain step has to be smaller.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ReturnMapError {
    /// Equivalent stress that an elastic step would have reached, MPa.
    pub trial: f64,
    /// Equivalent plastic strain before the step.
    pub equivalent: f64,
}

impl std::fmt::Display for ReturnMapError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(
            f,
            "no plastic increment found from a trial stress of {:.4e} MPa at plastic strain {:.4e}",
            self.trial, self.equivalent
        )
    }
}

impl std::error::Error for ReturnMapError {}
