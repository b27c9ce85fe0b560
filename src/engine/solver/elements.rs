//! All elements of a mesh, integrated in parallel: metal, forces, stiffness, each into its own place.
//!
//! An element that was and is elastic keeps its stiffness, with finite strains as long as it has hardly
//! deformed since. The stiffness is turned into the frames of its nodes; forces stay in x and y.

use nalgebra::{Matrix4, Vector4};
use rayon::iter::Either;
use rayon::prelude::*;

use crate::element::kernel::{
    AxialTerms, ElementForces, PointGeometry, axial_terms, block, block_count, forces, stiffness,
    strain,
};
use crate::element::nominal;
use crate::material::hardening::Material;
use crate::material::idealisation::Idealisation;
use crate::material::logarithmic::{Deformation, Gradient};
use crate::material::state::{Flowed, Map, Place, PointFlow, ReturnMapError, Start};
use crate::material::strains::Strains;
use crate::material::{plane_stress, return_map};
use crate::mesh::topology::NodeId;
use crate::solver::equations::Contributions;
use crate::solver::factor::scalar::Scalar;
use crate::solver::frame::into_frame;

/// Elements that one task integrates: a tenth of a millisecond where they yield. Those that do lie together, so that larger
/// shares leave a second core with the elastic ones alone.
const TASK: usize = 16;

/// Results asked of an assembly.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Asked {
    /// Stresses, histories and forces.
    Stress,
    /// The consistent tangent too.
    Tangent,
    /// The tangent, of which this share is that of the elastic metal.
    Stiffened(f64),
}

/// Tangent of the metal before it yields, MPa, shape `(4, 4)`.
fn elastic_tangent(material: &Material, idealisation: Idealisation) -> Matrix4<f64> {
    match idealisation {
        Idealisation::PlaneStress => material.elasticity.plane_stress_stiffness(),
        Idealisation::PlaneStrain
        | Idealisation::GeneralisedPlaneStrain
        | Idealisation::Axisymmetric => material.elasticity.stiffness(),
    }
}

/// Histories and stresses of points, old and new: those of one kind of element, or of one element.
pub(super) struct Points<'a> {
    pub(super) start: Start<'a>,
    pub(super) flows: &'a mut [PointFlow],
    pub(super) backs: &'a mut [Vector4<f64>],
    pub(super) stresses: &'a mut [Vector4<f64>],
    pub(super) parts: &'a mut [f64],
}

/// A metal and its third direction as elements of its region see it.
pub(super) struct Kind<'a> {
    pub(super) material: &'a Material,
    pub(super) map: Map,
    /// Tangent before it yields.
    pub(super) elastic: Matrix4<f64>,
}

impl<'a> Kind<'a> {
    pub(super) fn new(material: &'a Material, idealisation: Idealisation) -> Self {
        let map: Map = match idealisation {
            Idealisation::PlaneStress => plane_stress::answer,
            Idealisation::PlaneStrain
            | Idealisation::GeneralisedPlaneStrain
            | Idealisation::Axisymmetric => return_map::answer,
        };
        Self { material, map, elastic: elastic_tangent(material, idealisation) }
    }
}

/// Data shared by all elements of an assembly.
pub(super) struct Shared<'a> {
    pub(super) strains: Strains,
    /// Change of the displacement gradient up to which an elastic element keeps its stiffness.
    pub(super) kept_within: f64,
    /// Region 0, which is the whole of most meshes.
    pub(super) kind: Kind<'a>,
    /// Regions from 1.
    pub(super) others: Vec<Kind<'a>>,
    /// Whether a uniform strain through the thickness is an unknown.
    pub(super) uniform_axial: bool,
    /// Places of every point for terms of the backstress.
    pub(super) places: usize,
    pub(super) displacement: &'a [[f64; 2]],
    pub(super) axial_strain: f64,
    /// Free strains of regions, plate first.
    pub(super) free_strain: &'a [f64],
    pub(super) frames: &'a [Option<[f64; 2]>],
    pub(super) asked: Asked,
    /// Room of every point for the growth of its plastic strain in every part.
    pub(super) most_parts: usize,
}

impl Shared<'_> {
    /// Integrates all elements of one shape, given with the numbers of their regions, if there are
    /// any. An error comes with the number of its point among those of the shape.
    pub(super) fn integrate<const N: usize, const P: usize>(
        &self,
        (elements, regions): (&[[NodeId; N]], &[u8]),
        geometry: &[[PointGeometry<N>; P]],
        Points { start, flows, backs, stresses, parts }: Points<'_>,
        into: &mut Contributions<N>,
    ) -> Result<(), (usize, ReturnMapError)> {
        let Contributions {
            forces,
            blocks,
            axial,
            elastic,
            gradients,
            renewed,
            framed,
            parts: shares,
        } = into;
        let terms = P * self.places;
        let old = start.flows.par_chunks(P).zip(start.backs.par_chunks(terms));
        let old = old.zip(start.stresses.par_chunks(P));
        let new = flows.par_chunks_mut(P).zip(backs.par_chunks_mut(terms));
        let new =
            new.zip(stresses.par_chunks_mut(P)).zip(parts.par_chunks_mut(P * self.most_parts));
        let places = forces.par_iter_mut().zip(blocks.par_chunks_mut(block_count(N)));
        let axial = if self.uniform_axial {
            axial.resize(elements.len(), AxialTerms::default());
            Either::Left(axial.par_iter_mut().map(Some))
        } else {
            Either::Right((0..elements.len()).into_par_iter().map(|_| None))
        };
        let kept = elastic.par_iter_mut().zip(gradients);
        let shares = shares.counts.par_iter().zip(&mut shares.errors);
        let marks = kept.zip(&framed[..]).zip(renewed).zip(axial).zip(shares);
        let error = elements
            .par_iter()
            .zip(geometry)
            .zip(old.zip(new).zip(places.zip(marks)))
            .with_min_len(TASK)
            .with_max_len(TASK)
            .enumerate()
            .map(|(index, ((nodes, points), ((old, new), (place, marks))))| {
                let ((old_flows, old_backs), old_stresses) = old;
                let before = match start.before {
                    [] => &[][..],
                    all => &all[P * index..P * (index + 1)],
                };
                let start =
                    Start { flows: old_flows, backs: old_backs, stresses: old_stresses, before };
                let (((flows, backs), stresses), parts) = new;
                let (forces, blocks) = place;
                let ((((kept, &framed), renewed), axial), (&count, error)) = marks;
                let parts = &mut parts[..P * usize::from(count)];
                let histories = Points { start, flows, backs, stresses, parts };
                let element = Element { forces, blocks, axial, kept, renewed, framed, error };
                let region = regions.get(index).map_or(0, |&region| usize::from(region));
                let kind = region.checked_sub(1).map_or(&self.kind, |other| &self.others[other]);
                let free = self.free_strain.get(region).copied().unwrap_or(0.0);
                self.integrate_one((kind, free), (nodes, points), histories, element)
                    .err()
                    .map(|(point, error)| (P * index + point, error))
            })
            .find_map_first(|error| error);
        error.map_or(Ok(()), Err)
    }

    fn integrate_one<const N: usize, const P: usize>(
        &self,
        (kind, free): (&Kind<'_>, f64),
        (nodes, points): (&[NodeId; N], &[PointGeometry<N>; P]),
        Points { start, flows, backs, stresses, parts }: Points<'_>,
        element: Element<'_, N>,
    ) -> Result<(), (usize, ReturnMapError)> {
        let displacement = nodes.map(|node| self.displacement[node]);
        let finite = (self.strains == Strains::Finite).then(|| {
            let gradients = points.each_ref().map(|point| nominal::gradient(point, &displacement));
            (Deformation::of(&gradients, self.axial_strain), mean(&gradients))
        });
        let mut strains = match &finite {
            Some(((_, strains), _)) => *strains,
            None => points.each_ref().map(|point| strain(point, &displacement, self.axial_strain)),
        };
        if free != 0.0 {
            // The metal answers the rest of the strain.
            let free = Vector4::new(free, free, free, 0.0);
            for strain in &mut strains {
                *strain -= free;
            }
        }
        let mut tangents = [Matrix4::zeros(); P];
        let wanted = self.asked != Asked::Stress;
        // The place of the new histories still holds those of the last iterate, or at first those
        // before the last increment.
        let tangents_wanted = wanted.then_some(&mut tangents[..]);
        let place =
            Place { flows, backs, stresses: &mut *stresses, tangents: tangents_wanted, parts };
        let Flowed { yields, error } = (kind.map)(kind.material, &strains, start, place)?;
        *element.error = f32::of(error);
        *element.forces = match &finite {
            Some(((deformation, _), _)) => {
                nominal::forces(points, &deformation.nominal(stresses), |k| stresses[k][2])
            }
            None => forces(points, stresses),
        };
        if !wanted {
            return Ok(());
        }
        if let Asked::Stiffened(share) = self.asked {
            for tangent in &mut tangents {
                *tangent = *tangent * (1.0 - share) + kind.elastic * share;
            }
        }
        let finite = finite.as_ref().map(|((deformation, _), now)| (deformation, now));
        self.renew((nodes, points), finite, (stresses, &tangents, yields), element);
        Ok(())
    }

    /// Brings stiffness and axial terms of an element up to date, from the stresses and tangents at its
    /// points and whether any of them yields. With finite strains its deformation comes too, and the
    /// mean displacement gradient.
    fn renew<const N: usize, const P: usize>(
        &self,
        (nodes, points): (&[NodeId; N], &[PointGeometry<N>; P]),
        finite: Option<(&Deformation, &Gradient)>,
        (stresses, tangents, yields): (&[Vector4<f64>], &[Matrix4<f64>; P], bool),
        element: Element<'_, N>,
    ) {
        let Element { blocks, axial, kept: (kept, kept_at), renewed, framed, .. } = element;
        let elastic = !yields && !framed;
        let stays = |now: &Gradient| {
            now.iter().zip(&*kept_at).all(|(now, then)| (now - then).abs() <= self.kept_within)
        };
        let as_it_was = elastic && *kept && finite.is_none_or(|(_, now)| stays(now));
        if as_it_was && axial.is_none() {
            return;
        }
        // What a uniform strain through the thickness adds is computed anew every time.
        let terms = if let Some((deformation, now)) = finite {
            let answers =
                std::array::from_fn(|k| deformation.moduli(k, &stresses[k], &tangents[k]));
            if !as_it_was {
                nominal::stiffness(points, &answers.map(|(moduli, _)| moduli), blocks);
                *kept_at = *now;
            }
            axial
                .is_some()
                .then(|| nominal::axial_terms(points, &answers.map(|(_, column)| column)))
        } else {
            if !as_it_was {
                stiffness(points, tangents, blocks);
            }
            axial.is_some().then(|| axial_terms(points, tangents))
        };
        if !as_it_was {
            if framed {
                turn(blocks, nodes, self.frames);
            }
            *kept = elastic;
            *renewed = true;
        }
        if let (Some(axial), Some(terms)) = (axial, terms) {
            *axial = terms;
            for (coupling, &node) in axial.coupling.iter_mut().zip(nodes) {
                if let Some(normal) = self.frames[node] {
                    *coupling = into_frame(*coupling, normal);
                }
            }
        }
    }
}

/// Mean of the gradients at the points of an element.
fn mean<const P: usize>(gradients: &[Gradient; P]) -> Gradient {
    std::array::from_fn(|i| gradients.iter().map(|gradient| gradient[i]).sum::<f64>() / P as f64)
}

/// The place of one element among the contributions.
struct Element<'a, const N: usize> {
    forces: &'a mut ElementForces<N>,
    blocks: &'a mut [[f64; 4]],
    axial: Option<&'a mut AxialTerms<N>>,
    /// Whether the blocks are those of the elastic element, and the gradient they belong to.
    kept: (&'a mut bool, &'a mut Gradient),
    renewed: &'a mut bool,
    framed: bool,
    error: &'a mut f32,
}

/// Turns the stiffness rows and columns of framed nodes into their frames.
fn turn(blocks: &mut [[f64; 4]], nodes: &[NodeId], frames: &[Option<[f64; 2]>]) {
    for (a, &node) in nodes.iter().enumerate() {
        let Some(normal) = frames[node] else { continue };
        // Rows of a, in the blocks below the diagonal and on it.
        for b in 0..=a {
            let [xx, xy, yx, yy] = blocks[block(a, b)];
            let [nx, tx] = into_frame([xx, yx], normal);
            let [ny, ty] = into_frame([xy, yy], normal);
            blocks[block(a, b)] = [nx, ny, tx, ty];
        }
        // Columns of a, in the blocks on the diagonal and below it.
        for c in a..nodes.len() {
            let [xx, xy, yx, yy] = blocks[block(c, a)];
            let [xn, xt] = into_frame([xx, xy], normal);
            let [yn, yt] = into_frame([yx, yy], normal);
            blocks[block(c, a)] = [xn, xt, yn, yt];
        }
    }
}
