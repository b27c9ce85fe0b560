//! A quarter annulus of quadrilaterals, made by hand so that solver tests need no mesher.
#![allow(dead_code, missing_docs)]

use std::f64::consts::FRAC_PI_2;

use hoopset::element::edge;
use hoopset::material::elasticity::Elasticity;
use hoopset::material::hardening::{Isotropic, Material};
use hoopset::mesh::topology::{HoleMesh, Mesh, NamedEdge, Symmetry};

/// Radii of `layers` layers that grow by `growth` from the hole outward.
pub fn graded(inner: f64, outer: f64, layers: usize, growth: f64) -> Vec<f64> {
    let mut steps = vec![1.0];
    for _ in 1..layers {
        steps.push(steps[steps.len() - 1] * growth);
    }
    let total: f64 = steps.iter().sum();
    let mut radii = vec![inner];
    let mut sum = 0.0;
    for step in steps {
        sum += step;
        radii.push(inner + (outer - inner) * sum / total);
    }
    *radii.last_mut().unwrap() = outer;
    radii
}

/// Quarter annulus about the origin with ring lines at `radii`.
pub fn quarter_annulus(radii: &[f64], sectors: usize) -> Mesh {
    let layers = radii.len() - 1;
    let mut mesh = Mesh { symmetry: Symmetry { x: Some(0.0), y: Some(0.0) }, ..Mesh::default() };
    let mut ids = std::collections::BTreeMap::new();
    let mut node = |mesh: &mut Mesh, i: usize, j: usize| -> usize {
        *ids.entry((i, j)).or_insert_with(|| {
            let radius =
                if i % 2 == 0 { radii[i / 2] } else { 0.5 * (radii[i / 2] + radii[i / 2 + 1]) };
            let angle = FRAC_PI_2 * j as f64 / (2 * sectors) as f64;
            let mut at = [radius * angle.cos(), radius * angle.sin()];
            if j == 0 {
                at[1] = 0.0;
            }
            if j == 2 * sectors {
                at[0] = 0.0;
            }
            mesh.nodes.push(at);
            mesh.nodes.len() - 1
        })
    };
    for layer in 0..layers {
        for sector in 0..sectors {
            let (i, j) = (2 * layer, 2 * sector);
            let places = [
                (i, j),
                (i + 2, j),
                (i + 2, j + 2),
                (i, j + 2),
                (i + 1, j),
                (i + 2, j + 1),
                (i + 1, j + 2),
                (i, j + 1),
            ];
            let quad = places.map(|(i, j)| node(&mut mesh, i, j));
            mesh.quads.push(quad);
        }
    }
    let edge = (0..=2 * sectors).map(|j| node(&mut mesh, 0, j)).collect();
    let sides = (0..sectors)
        .map(|k| [2 * k, 2 * k + 1, 2 * k + 2].map(|j| node(&mut mesh, 2 * layers, j)))
        .collect();
    mesh.holes =
        vec![HoleMesh { edge, closed: false, first_quad: 0, sectors, layers, ream_layers: None }];
    mesh.edges = vec![NamedEdge { name: "rim".into(), sides }];
    mesh
}

/// Nodal forces of a uniform pressure in the hole, N.
pub fn pressure_forces(mesh: &Mesh, pressure: f64, thickness: f64) -> Vec<[f64; 2]> {
    let mut forces = vec![[0.0; 2]; mesh.nodes.len()];
    for side in mesh.holes[0].sides() {
        // Counter-clockwise round the hole the material lies on the right, so the unit
        // traction of `edge` points into the plate: outward from the hole.
        let nodes = side.map(|n| mesh.nodes[n]);
        for (n, f) in side.iter().zip(edge::normal_forces(&nodes)) {
            forces[*n][0] += pressure * thickness * f[0];
            forces[*n][1] += pressure * thickness * f[1];
        }
    }
    forces
}

pub fn perfect(young: f64, nu: f64, yield_stress: f64) -> Material {
    Material {
        elasticity: Elasticity { youngs_modulus: young, poissons_ratio: nu },
        yield_stress,
        isotropic: Isotropic::None,
        kinematic: vec![],
    }
}
