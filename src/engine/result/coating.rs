//! Fringe orders of a photoelastic coating on the face of the plate.
//!
//! A transparent coating bonded to the metal takes its strains over. Light crosses it, is thrown
//! back by the cement and crosses it again; the two principal strains delay it differently, and
//! a circular polariscope turns the delay into fringes of order
//!
//! ```text
//! N = (ε₁ − ε₂) / f,      f = λ / (2 t K)
//! ```
//!
//! with the principal strains ε₁ ≥ ε₂ in the plane, wavelength λ, thickness t and strain-optic
//! coefficient K. Source: standard optics of reflection polariscopes (from memory).
//!
//! The coating sees total strain, plastic and elastic, from the moment it was bonded. While the
//! metal stays elastic `ε₁ − ε₂ = (1+ν)(σ₁ − σ₂)/E`; on yielded metal no stress can be read.
//! The coating is taken as thin and soft: it stiffens nothing, and its strain is that of the face.

use nalgebra::Vector4;

use crate::element::point_field::quad_shares;
use crate::mesh::locate::Locator;
use crate::mesh::topology::Mesh;
use crate::process::coating::Coating;
use crate::process::job::Job;
use crate::process::snapshot::Snapshot;
use crate::process::trace::Frame;
use crate::result::recovery::carry_on;
use crate::solver::tables::{FoldedElement, Tables};
use crate::tensor::Stress;

/// Strains of the face at the nodes of a mesh: `[εxx − εyy, γxy]`, total, engineering shear.
///
/// The two numbers whose root of squares is the difference of the principal strains; unlike
/// that difference they may be subtracted and interpolated.
#[derive(Clone, Debug, PartialEq)]
pub struct FaceStrain {
    /// The mesh.
    pub mesh: Mesh,
    /// One entry a node.
    pub values: Vec<[f64; 2]>,
}

impl FaceStrain {
    /// That of a snapshot.
    ///
    /// # Errors
    ///
    /// [`FoldedElement`] when the mesh is not one that was solved on.
    pub fn of_snapshot(snapshot: &Snapshot, job: &Job) -> Result<Self, FoldedElement> {
        let state = &snapshot.state;
        let at = |point: usize| (state.conjugate[point], state.points[point].plastic_strain);
        Self::recovered(&snapshot.mesh, job, at)
    }

    /// That of a frame of a followed run.
    ///
    /// # Errors
    ///
    /// [`FoldedElement`] as [`FaceStrain::of_snapshot`].
    pub fn of_frame(frame: &Frame, job: &Job) -> Result<Self, FoldedElement> {
        Self::recovered(&frame.mesh, job, |point| {
            (frame.conjugate[point], frame.plastic_strain[point])
        })
    }

    fn recovered(
        mesh: &Mesh,
        job: &Job,
        at: impl Fn(usize) -> (Vector4<f64>, Vector4<f64>),
    ) -> Result<Self, FoldedElement> {
        let tables = Tables::new(mesh, job.measure())?;
        let tensor = |point: usize| {
            // The stress that does work on the strain: the elastic strain follows from it.
            let (stress, plastic) = at(point);
            let metal = job.material_of(mesh.region_of_point(point));
            let strain = metal.elasticity.total_strain(stress, plastic);
            Stress { xx: strain[0], yy: strain[1], zz: strain[2], xy: 0.5 * strain[3] }
        };
        let mut values = vec![[0.0; 2]; mesh.nodes.len()];
        let mut count = vec![0.0; mesh.nodes.len()];
        let place = (mesh, &job.plate.holes[..], &tables.positions[..]);
        carry_on(place, tensor, (|_, _, local| quad_shares(local), &[]), |node, strain, _, _| {
            values[node][0] += strain.xx - strain.yy;
            values[node][1] += 2.0 * strain.xy;
            count[node] += 1.0;
        });
        for (value, count) in values.iter_mut().zip(count) {
            *value = value.map(|sum| sum / f64::max(count, 1.0));
        }
        Ok(Self { mesh: mesh.clone(), values })
    }

    /// Strain added since `earlier`, which may stand on the mesh before a cut. A node that
    /// the earlier mesh does not have (none, after a cut) counts from zero.
    #[must_use]
    pub fn since(&self, earlier: &Self) -> Self {
        let minus =
            |value: &[f64; 2], before: [f64; 2]| [value[0] - before[0], value[1] - before[1]];
        let values = if self.mesh == earlier.mesh {
            self.values.iter().zip(&earlier.values).map(|(now, then)| minus(now, *then)).collect()
        } else {
            let locator = Locator::new(&earlier.mesh);
            let then = |at: [f64; 2]| earlier.at(&locator, at).unwrap_or_default();
            let nodes = self.values.iter().zip(&self.mesh.nodes);
            nodes.map(|(now, &node)| minus(now, then(node))).collect()
        };
        Self { mesh: self.mesh.clone(), values }
    }

    fn at(&self, locator: &Locator<'_>, point: [f64; 2]) -> Option<[f64; 2]> {
        Some(locator.find(point)?.blend(&self.mesh, &self.values))
    }

    /// Fringe order at every node.
    #[must_use]
    pub fn orders(&self, coating: &Coating) -> Vec<f64> {
        self.values.iter().map(|[a, b]| coating.order(a.hypot(*b))).collect()
    }
}
