//! What one point of the metal remembers, and what it answers to a strain.
//!
//! Floor 1, `material`.

use nalgebra::{Matrix4, Vector4};
use serde::{Deserialize, Serialize};

use crate::material::backstress::MOST_TERMS;
use crate::material::hardening::Material;

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

/// Where a strain increment starts: up to four points that a map answers for at once.
#[derive(Clone, Copy, Debug)]
pub struct Start<'a> {
    /// Histories.
    pub states: &'a [PointState],
    /// Stresses `(xx, yy, zz, xy)` that belong to them, MPa; not read when there is one part.
    pub stresses: &'a [Vector4<f64>],
}

/// Where the answers to a strain increment go, and what is known of them.
///
/// The strain runs straight through an increment and is followed in equal parts. Backward Euler
/// over the whole of it gives all its flow the direction of the end; over parts the direction turns
/// as the stress does, and the error falls with the size of a part.
#[derive(Debug)]
pub struct Place<'a> {
    /// Histories: on entry earlier or later states of the points, about where these will be.
    pub states: &'a mut [PointState],
    /// Stresses, MPa.
    pub stresses: &'a mut [Vector4<f64>],
    /// Consistent tangents as [`Response::tangent`], where they are wanted.
    pub tangents: Option<&'a mut [Matrix4<f64>]>,
    /// Growth of the equivalent plastic strain of every point in the first part, in the next, and
    /// so on; on entry about what is to be expected, 0 where nothing is known.
    pub parts: &'a mut [f64],
}

impl Place<'_> {
    /// All points stay as they were: nothing yielded.
    pub(crate) fn stay(self, old: &[PointState], tangent: impl Fn() -> Matrix4<f64>) {
        for (new, old) in self.states.iter_mut().zip(old) {
            new.become_again(old);
        }
        self.parts.fill(0.0);
        if let Some(tangents) = self.tangents {
            tangents.fill(tangent());
        }
    }
}

/// A map from the strains of up to four points to stresses, histories and tangents; returns
/// whether any of them yielded. An error comes with the number of its point.
pub(crate) type Map =
    fn(&Material, &[Vector4<f64>], Start<'_>, Place<'_>) -> Result<bool, (usize, ReturnMapError)>;

/// The answer of `map` for one point alone, in as many steps as there are `parts`.
pub(crate) fn of_one(
    map: Map,
    material: &Material,
    strain: &Vector4<f64>,
    (state, stress): (&PointState, &Vector4<f64>),
    parts: &mut [f64],
) -> Result<Response, ReturnMapError> {
    use std::slice::{from_mut, from_ref};
    let mut response =
        Response { stress: Vector4::zeros(), tangent: Matrix4::zeros(), state: *state };
    let place = Place {
        states: from_mut(&mut response.state),
        stresses: from_mut(&mut response.stress),
        tangents: Some(from_mut(&mut response.tangent)),
        parts,
    };
    let start = Start { states: from_ref(state), stresses: from_ref(stress) };
    map(material, from_ref(strain), start, place).map_err(|(_, error)| error)?;
    Ok(response)
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
