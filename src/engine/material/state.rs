//! History of one point of the metal, and its answer to a strain.

use nalgebra::{Matrix4, Vector4};
use serde::{Deserialize, Serialize};

use crate::material::backstress::MOST_TERMS;
use crate::material::hardening::Material;
use crate::material::lanes::{Four, vectors};

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

/// The plastic strain of one point of many, whose backstress is kept beside it: points have as many
/// terms of it as the metal.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct PointFlow {
    /// As [`PointState::plastic_strain`].
    pub plastic_strain: Vector4<f64>,
    /// As [`PointState::equivalent`].
    pub equivalent: f64,
}

impl Default for PointFlow {
    fn default() -> Self {
        Self { plastic_strain: Vector4::zeros(), equivalent: 0.0 }
    }
}

/// Places that a point has for terms of the backstress of `material`: at least one, so that the
/// places of many points can be shared out.
#[must_use]
pub fn back_places(material: &Material) -> usize {
    material.kinematic.len().max(1)
}

impl PointState {
    /// Its plastic strain alone.
    #[must_use]
    pub fn flow(&self) -> PointFlow {
        PointFlow { plastic_strain: self.plastic_strain, equivalent: self.equivalent }
    }
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
    /// Plastic strains.
    pub flows: &'a [PointFlow],
    /// Backstress terms, those of one point after those of another.
    pub backs: &'a [Vector4<f64>],
    /// Stresses `(xx, yy, zz, xy)` that belong to them, MPa; not read when there is one part.
    pub stresses: &'a [Vector4<f64>],
    /// Strains that the increment would add were it like the one before it, `(εxx, εyy, εzz, γxy)`; empty where there was
    /// none: its path is straight.
    pub before: &'a [Vector4<f64>],
}

impl<'a> Start<'a> {
    /// The strains of an increment like the one before, where there was one.
    pub(crate) fn before_of_four(&self) -> Option<Vector4<Four>> {
        let count = self.flows.len();
        (!self.before.is_empty()).then(|| vectors(count, |k| self.before[k]))
    }

    /// Places of a point for backstress terms.
    pub(crate) fn backs_of(&self, point: usize) -> &'a [Vector4<f64>] {
        let places = self.backs.len() / self.flows.len();
        &self.backs[point * places..(point + 1) * places]
    }
}

/// Where the answers to a strain increment go, and what is known of them.
///
/// The strain runs through an increment on a parabola (`material/bend.rs`), or straight, and is followed
/// in equal parts. Backward Euler
/// over the whole of it gives all its flow the direction of the end; over parts the direction turns
/// as the stress does, and the error falls with the size of a part.
///
/// Each part gives its flow `3GΔp` the direction of its end where that of its middle would be right:
/// the stress is wrong by half of `3GΔp` times the turn of the direction, and each backstress term by
/// half of `γΔp` times its change. What was wrong before fades by `1 + 3GΔp/σ_y`, as the stress is
/// drawn to the direction of the strain. The sum over the parts is the estimate of the error.
#[derive(Debug)]
pub struct Place<'a> {
    /// Plastic strains: on entry earlier or later ones of the points, about what these will be.
    pub flows: &'a mut [PointFlow],
    /// Backstress terms that go with them.
    pub backs: &'a mut [Vector4<f64>],
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
    pub(crate) fn stay(mut self, start: Start<'_>, tangent: impl Fn() -> Matrix4<f64>) {
        for point in 0..start.flows.len() {
            self.become_again(start, point);
        }
        self.parts.fill(0.0);
        if let Some(tangents) = self.tangents {
            tangents.fill(tangent());
        }
    }

    /// A point becomes what it was, of which it is an earlier or later state: nothing is written
    /// where no plastic strain lies between.
    #[allow(clippy::float_cmp, reason = "the same number or another one, not a result")]
    pub(crate) fn become_again(&mut self, start: Start<'_>, point: usize) {
        if self.flows[point].equivalent != start.flows[point].equivalent {
            self.flows[point] = start.flows[point];
            let old = start.backs_of(point);
            self.backs[point * old.len()..(point + 1) * old.len()].copy_from_slice(old);
        }
    }
}

/// A map from the strains of up to four points to stresses, histories and tangents. An error comes
/// with the number of its point.
pub(crate) type Map =
    fn(&Material, &[Vector4<f64>], Start<'_>, Place<'_>) -> Result<Flowed, (usize, ReturnMapError)>;

/// Outcome of an increment at up to four points.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Flowed {
    /// Whether any of them yielded.
    pub yields: bool,
    /// Estimate of the error that the parts of the increment leave in the stress, over the yield
    /// stress: that of the worst point; see [`Place`].
    pub error: f64,
}

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
    let (old, mut new) = (state.flow(), state.flow());
    let places = back_places(material);
    let place = Place {
        flows: from_mut(&mut new),
        backs: &mut response.state.backstress[..places],
        stresses: from_mut(&mut response.stress),
        tangents: Some(from_mut(&mut response.tangent)),
        parts,
    };
    let backs = &state.backstress[..places];
    let start = Start { flows: from_ref(&old), backs, stresses: from_ref(stress), before: &[] };
    map(material, from_ref(strain), start, place).map_err(|(_, error)| error)?;
    response.state.plastic_strain = new.plastic_strain;
    response.state.equivalent = new.equivalent;
    Ok(response)
}

/// Answer of a point to a strain.
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
