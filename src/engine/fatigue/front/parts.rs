//! The parts of K along the front of one crack: of the load, of the residual field, of contact.
//!
//! ```text
//!   influence coefficients:  K = C(c √(a/t)) K₀(φ) Σ Cₙ(φ) σ(xₙ, zₙ)
//!   published equations:     K = K_eq · W(σ)/W(σ_eq) · C(c √(a/t))
//! ```
//!
//! Corner cracks at a hole are read from the table of influence coefficients ([`crate::fatigue::influence`]). The
//! published equations serve the other places, and corner cracks as a second opinion: `K_eq` is their value in a
//! wide plate and `σ_eq` the stress it is for, that of a hole under tension, or a uniform one at the plate edge. `C`
//! is the edge correction of through cracks, in which a corner crack counts with `√(a/t)` of its length, as in
//! the published width factor; it multiplies the load alone.
//!
//! **Contact.** Beside load and residual field two pressures on the faces are kept, one near each tip; see
//! [`crate::fatigue::front::tips`].

use std::sync::Arc;

use serde::Serialize;

use crate::fatigue::crack::CrackGeometry;
use crate::fatigue::front::equations::{ASPECTS, RADII, Site, Surroundings, unit_intensity};
use crate::fatigue::front::field::ResidualField;
use crate::fatigue::front::weight::FrontWeight;
use crate::fatigue::influence::{Influence, embedded};
use crate::fatigue::width::edge_correction;
use crate::numeric::profile::Profile;

/// Parts of K at each angle: load, residual field, what the entry face lacks of it, contact at the face and in
/// the bore.
pub(super) const PARTS: usize = 5;

/// A plate with a part-elliptical crack, and the stress on its plane before there is a crack.
#[derive(Clone, Debug, PartialEq)]
pub struct FrontCrack {
    /// Where the crack lies.
    pub site: Site,
    /// Hole, edges and number of through cracks that follow.
    pub geometry: CrackGeometry,
    /// Thickness of the plate, mm.
    pub thickness: f64,
    /// Elastic hoop stress over remote stress against distance from where the crack starts, mm.
    pub load: Profile,
    /// Residual hoop stress.
    pub residual: ResidualField,
}

/// Where stress intensities come from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum IntensitySource {
    /// The table of influence coefficients, where it has the site; else the published equations.
    InfluenceTable,
    /// The published equations.
    PublishedEquations,
}

/// Parts of K at a place of the front; MPa√mm, that of the load per MPa of remote stress.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct TipParts {
    /// Of the remote load.
    pub load: f64,
    /// Of the residual field of the middle, over the whole crack.
    pub residual: f64,
    /// Of the residual field times what an entry share of 0 takes away.
    pub lack: f64,
    /// Of 1 MPa at the tip on the face, and of 1 MPa at the tip in the bore, that opens the faces there.
    pub contact: [f64; 2],
}

/// How much of the residual field is there.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct FieldShare {
    /// Factor on the whole field.
    pub whole: f64,
    /// Share of the middle's field at the entry face.
    pub entry: f64,
}

impl TipParts {
    pub(super) fn new([load, residual, lack, face, bore]: [f64; PARTS]) -> Self {
        Self { load, residual, lack, contact: [face, bore] }
    }

    /// K of the residual field, MPa√mm.
    #[must_use]
    pub fn residual(&self, share: FieldShare) -> f64 {
        share.whole * (self.residual - (1.0 - share.entry) * self.lack)
    }
}

impl FrontCrack {
    /// Depth at which the crack is through, mm.
    #[must_use]
    pub fn deepest(&self) -> f64 {
        match self.site {
            Site::Bore(_) => 0.5 * self.thickness,
            _ => self.thickness,
        }
    }

    fn is_at_hole(&self) -> bool {
        !matches!(self.site, Site::EdgeCorner | Site::Face)
    }

    /// Influence coefficients of this site; `None` when the table does not have it.
    #[must_use]
    pub fn influence(&self) -> Option<Influence> {
        let Site::HoleCorner(sides) = self.site else { return None };
        Influence::new(sides, self.geometry.radius(), self.thickness)
    }

    /// Stress at `x` mm, whatever the depth.
    fn along(&self, x: f64) -> Along {
        let load = self.load.at(x).unwrap_or(0.0);
        let own =
            if self.is_at_hole() { tension_at_hole(1.0 + x / self.geometry.radius()) } else { 1.0 };
        Along { load, middle: self.residual.middle(x), own }
    }

    /// Stress at `x`, `z` mm, one value for each part of K, from that `along` the distance.
    fn stress(&self, along: &Along, [a, c]: [f64; 2], x: f64, z: f64) -> [f64; PARTS] {
        // A crack in the middle of the bore begins where the field is whole.
        let (depth, whole) = match self.site {
            Site::Bore(_) => (0.5 * self.thickness - z, true),
            Site::EdgeCorner | Site::Face => (z, true),
            Site::HoleCorner(_) => (z, false),
        };
        let [residual, lack] = self.residual.at_depth(along.middle, x, depth, self.thickness);
        let (x_share, z_share) = ((x / c).min(1.0), (z / a).min(1.0));
        [
            along.load,
            residual,
            if whole { 0.0 } else { lack },
            x_share * x_share * (1.0 - z_share),
            z_share * z_share * (1.0 - x_share),
        ]
    }
}

/// Stress at a distance from where the crack starts, which cracks of all depths share.
#[derive(Clone, Copy, Debug)]
struct Along {
    /// Of the load, over the remote stress.
    load: f64,
    /// Residual stress in the middle of the thickness, MPa, where the field is that of a plane.
    middle: f64,
    /// The stress that the published equations are for.
    own: f64,
}

/// Stresses along the distances that cracks of one length on the face ask for.
pub(super) struct Column {
    /// The length, mm.
    c: f64,
    /// For each weight function; one for the table.
    along: Vec<Vec<Along>>,
}

/// Reads the parts of K at fixed angles of the front, from one source.
pub(super) struct PartsReader<'a> {
    crack: &'a FrontCrack,
    angles: Vec<f64>,
    source: Source,
    /// The wide plate that the equations are for.
    plate: Surroundings,
}

enum Source {
    Table(Box<Influence>),
    Equations(Vec<Arc<FrontWeight>>),
}

impl<'a> PartsReader<'a> {
    pub(super) fn new(crack: &'a FrontCrack, angles: &[f64], wanted: IntensitySource) -> Self {
        let table = match wanted {
            IntensitySource::InfluenceTable => crack.influence(),
            IntensitySource::PublishedEquations => None,
        };
        let source = match table {
            Some(table) => Source::Table(Box::new(table)),
            None => {
                Source::Equations(angles.iter().map(|angle| FrontWeight::shared(*angle)).collect())
            }
        };
        let radius = crack.geometry.radius();
        let plate = Surroundings { radius, thickness: crack.deepest(), width: f64::INFINITY };
        Self { crack, angles: angles.to_vec(), source, plate }
    }

    /// Which source serves.
    pub(super) fn source(&self) -> IntensitySource {
        match self.source {
            Source::Table(_) => IntensitySource::InfluenceTable,
            Source::Equations(_) => IntensitySource::PublishedEquations,
        }
    }

    /// A smooth stress intensity at each angle, over which the parts change little with the size of the crack.
    pub(super) fn reference(&self) -> Reference {
        Reference { source: self.source(), site: self.crack.site, plate: self.plate }
    }

    /// Stresses for cracks that are `c` mm long on the face.
    pub(super) fn column(&self, c: f64) -> Column {
        let at = |share: f64| self.crack.along(c * share);
        let along = match &self.source {
            Source::Table(influence) => vec![influence.distances().map(at).collect()],
            Source::Equations(weights) => {
                weights.iter().map(|weight| weight.distances().map(at).collect()).collect()
            }
        };
        Column { c, along }
    }

    /// Parts of K over the reference at each angle of a crack `a` mm deep.
    pub(super) fn shares(&self, column: &Column, a: f64) -> Vec<[f64; PARTS]> {
        let (crack, c) = (self.crack, column.c);
        let effective = (c * (a / crack.deepest()).min(1.0).sqrt()).min(crack.geometry.longest());
        let edges = edge_correction(&crack.geometry, effective);
        let mut all = match &self.source {
            Source::Table(influence) => self.by_table(influence, [a, c], &column.along),
            Source::Equations(weights) => {
                let pairs = weights.iter().zip(&column.along);
                pairs.map(|(weight, along)| self.by_equations(weight, [a, c], along)).collect()
            }
        };
        for parts in &mut all {
            parts[0] *= edges;
        }
        all
    }

    fn by_table(
        &self,
        influence: &Influence,
        [a, c]: [f64; 2],
        along: &[Vec<Along>],
    ) -> Vec<[f64; PARTS]> {
        let coefficients = influence.front(a, c);
        let places = coefficients.samples().zip(along.iter().flatten());
        let stresses: Vec<[f64; PARTS]> =
            places.map(|([x, z], along)| self.crack.stress(along, [a, c], x, z)).collect();
        let mut all = vec![[0.0; PARTS]; self.angles.len()];
        for part in 0..PARTS {
            let values: Vec<f64> = stresses.iter().map(|stress| stress[part]).collect();
            let front = coefficients.of_values(&values);
            for (parts, angle) in all.iter_mut().zip(&self.angles) {
                parts[part] = front.at(*angle) / embedded(a, c, angle.to_radians());
            }
        }
        all
    }

    fn by_equations(
        &self,
        weight: &FrontWeight,
        [a, c]: [f64; 2],
        along: &[Along],
    ) -> [f64; PARTS] {
        let mut along = along.iter();
        let integrals = weight.integrals([a, c], |x, z| {
            let Some(along) = along.next() else { return [f64::NAN; PARTS + 1] };
            let [load, residual, lack, face, bore] = self.crack.stress(along, [a, c], x, z);
            [along.own, load, residual, lack, face, bore]
        });
        let [own, load, residual, lack, face, bore] = integrals;
        [load / own, residual / own, lack / own, face / own, bore / own]
    }
}

/// The stress intensity that the parts are kept over.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Reference {
    source: IntensitySource,
    site: Site,
    plate: Surroundings,
}

impl Reference {
    /// √mm, at an angle in degrees.
    pub(super) fn at(&self, [a, c]: [f64; 2], degrees: f64) -> f64 {
        match self.source {
            IntensitySource::InfluenceTable => embedded(a, c, degrees.to_radians()),
            // Where the equations end, at a/t = 1, the corner is at its deepest.
            IntensitySource::PublishedEquations => {
                unit_intensity(self.site, [a.min(self.plate.thickness), c], &self.plate, degrees)
            }
        }
    }
}

/// Parts of K along the front of a crack `a` by `c` mm, at parametric angles in degrees.
#[must_use]
pub fn along_front(
    crack: &FrontCrack,
    wanted: IntensitySource,
    size: [f64; 2],
    angles: &[f64],
) -> Vec<(f64, TipParts)> {
    let reader = PartsReader::new(crack, angles, wanted);
    let reference = reader.reference();
    let [a, c] = size;
    let all = reader.shares(&reader.column(c), a).into_iter().zip(angles);
    all.map(|(parts, &degrees)| {
        let unit = reference.at(size, degrees);
        (degrees, TipParts::new(parts.map(|share| unit * share)))
    })
    .collect()
}

/// Hoop stress of a hole in a wide plate under unit tension, on the line across it, at `s` radii.
/// Source: G. Kirsch (1898), any text on elasticity.
fn tension_at_hole(s: f64) -> f64 {
    let square = (s * s).recip();
    1.0 + 0.5 * square + 1.5 * square * square
}

/// Whether the published equations were fitted for a crack of this size; `None` when they were.
#[must_use]
pub fn outside_fit(crack: &FrontCrack, [a, c]: [f64; 2]) -> Option<String> {
    let (aspect, radii) = (a / c, crack.geometry.radius() / crack.deepest());
    let within = |value: f64, [low, high]: [f64; 2]| (0.999 * low..=1.001 * high).contains(&value);
    if !within(aspect, ASPECTS) {
        return Some(format!("a/c {aspect:.2} is outside {} to {}", ASPECTS[0], ASPECTS[1]));
    }
    (crack.is_at_hole() && !within(radii, RADII))
        .then(|| format!("r/t {radii:.2} is outside {} to {}", RADII[0], RADII[1]))
}
