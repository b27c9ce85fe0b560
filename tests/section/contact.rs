//! Elastic answers of a section with a closed form: pressure on a cavity, Hertz, partial slip.

use std::ops::ControlFlow;

use approx::assert_relative_eq;
use hoopset::element::edge::{lengths, ring_areas, ring_normal_forces};
use hoopset::material::idealisation::Idealisation;
use hoopset::mesh::section_grid::SectionGrid;
use hoopset::mesh::topology::{Mesh, NodeId};
use hoopset::solver::contact::{ContactStatus, ToolContact, ToolState};
use hoopset::solver::friction::Friction;
use hoopset::solver::increment::PhaseEnd;
use hoopset::solver::newton::Scheme;
use hoopset::solver::prescribed::Drive;
use hoopset::solver::state::State;
use hoopset::solver::supports::Supports;
use hoopset::solver::surface::Surface;
use hoopset::solver::system::System;

use crate::common::meshes::graded;
use crate::common::metals::elastic;

const E: f64 = 72_000.0;

/// The equations of an elastic body, with what is held of every node at a place.
fn body(
    mesh: Mesh,
    nu: f64,
    idealisation: Idealisation,
    held: impl Fn([f64; 2]) -> [bool; 2],
) -> System {
    let mut system = System::new(mesh, elastic(E, nu), idealisation, 1.0, 1.0).unwrap();
    system.supports = Supports { held: system.mesh.nodes.iter().map(|&at| held(at)).collect() };
    system.method.scheme = Scheme::Newton;
    system
}

fn run(system: &mut System, state: &mut State, drive: &Drive) {
    let end = system.run_phase(state, drive, |_, _, _| ControlFlow::Continue(()));
    assert_eq!(end, PhaseEnd::Done);
}

/// Contact nodes of an edge with their shares of it.
fn edge_nodes(
    mesh: &Mesh,
    share: fn(&[[f64; 2]; 3]) -> [f64; 3],
    touchable: impl Fn([f64; 2]) -> bool,
) -> (Vec<NodeId>, Vec<f64>) {
    let mut of_node = vec![0.0; mesh.nodes.len()];
    let sides = &mesh.edge("entry").unwrap().sides;
    for side in sides {
        let shares = share(&side.map(|node| mesh.nodes[node]));
        side.iter().zip(shares).for_each(|(&node, share)| of_node[node] += share);
    }
    let mut nodes: Vec<NodeId> = sides.iter().flatten().copied().collect();
    nodes.sort_by(|&a, &b| mesh.nodes[a][0].total_cmp(&mesh.nodes[b][0]));
    nodes.dedup();
    nodes.retain(|&node| touchable(mesh.nodes[node]));
    let areas = nodes.iter().map(|&node| of_node[node]).collect();
    (nodes, areas)
}

/// Displacement of the wall under uniform pressure on a band |z| < h of an infinite cylindrical
/// cavity of radius a. Source: Tranter (1946), form from memory; values computed from it, and from
/// a solution by Love's function to 1e-15. ν = 0.33, h = a.
#[test]
fn a_band_of_pressure_on_a_cavity_moves_its_wall_as_in_the_infinite_body() {
    let mut radii = graded(1.0, 60.0, 40, 1.12);
    radii[0] = 1.0;
    let mut depths = graded(0.0, 1.0, 12, 1.0 / 1.25);
    depths.extend(graded(1.0, 60.0, 40, 1.15).into_iter().skip(1));
    // z = 0 is a plane of symmetry.
    let mut system = body(
        SectionGrid::straight(&radii, &depths).mesh(),
        0.33,
        Idealisation::Axisymmetric,
        |[_, z]| [false, z == 0.0],
    );
    let mut external = vec![[0.0; 2]; system.mesh.nodes.len()];
    let bore = system.mesh.holes[0].edge.clone();
    for side in bore.windows(3).step_by(2) {
        if system.mesh.nodes[side[2]][1] > 1.0 + 1e-9 {
            continue;
        }
        let side = [side[0], side[1], side[2]];
        // From the entry face down the metal lies on the left: the outward normal is −r.
        let forces = ring_normal_forces(&side.map(|node| system.mesh.nodes[node]));
        for (node, force) in side.into_iter().zip(forces) {
            external[node][0] += force[0].abs();
        }
    }
    let mut state = system.virgin_state();
    run(
        &mut system,
        &mut state,
        &Drive { external: Some(external), step: 1.0, ..Drive::default() },
    );
    let shear = E / (2.0 * 1.33);
    let wall = |z: f64| {
        let node = bore.iter().find(|&&node| (system.mesh.nodes[node][1] - z).abs() < 1e-9);
        2.0 * shear * state.displacement[*node.unwrap()][0]
    };
    assert_relative_eq!(wall(0.0), 0.80401, max_relative = 0.01);
    assert_relative_eq!(wall(1.0), 0.46507, max_relative = 0.01);
}

/// Contact radius and pressure under a rigid sphere. Source: Hertz (1882), in any text on contact.
#[test]
fn a_rigid_sphere_on_a_thick_disc_makes_the_contact_of_hertz() {
    const RADIUS: f64 = 100.0;
    let mut radii: Vec<f64> = (0..=20).map(|k| 0.1 * f64::from(k)).collect();
    radii.extend(graded(2.0, 80.0, 24, 1.16).into_iter().skip(1));
    let depths = graded(0.0, 80.0, 36, 1.14);
    let mut system = body(
        SectionGrid::straight(&radii, &depths).mesh(),
        0.3,
        Idealisation::Axisymmetric,
        |[r, z]| [r == 0.0, z == 80.0],
    );
    // A node on the axis stands for no area.
    let nodes = edge_nodes(&system.mesh, ring_areas, |[r, _]| r > 0.0 && r <= 2.0);
    let sphere = ToolContact::rigid(0, [0.0, -RADIUS], Surface::Circle, nodes);
    let mut state = system.virgin_state();
    state.tools = vec![ToolState::new(RADIUS, sphere.nodes.len())];
    system.set_tools(vec![sphere]);
    let drive =
        Drive { travel: Some((0, [[0.0; 2], [0.0, 0.015]])), step: 0.25, ..Drive::default() };
    run(&mut system, &mut state, &drive);
    let (contact, tool) = (&system.tools[0], &state.tools[0]);
    let load = tool.total_force()[1];
    let modulus = E / (1.0 - 0.3 * 0.3);
    let expected = (0.75 * load * RADIUS / modulus).cbrt();
    // p₀ √(1 − r²/a²) has the second moment 2/5 P a².
    let moment: f64 = contact
        .nodes
        .iter()
        .zip(&tool.force)
        .map(|(&node, force)| force[1] * system.mesh.nodes[node][0].powi(2))
        .sum();
    let radius = (2.5 * moment / load).sqrt();
    assert_relative_eq!(radius, expected, max_relative = 0.01);
    // On the axis σz = −p₀/(1 + z²/a²), from memory; the points next to it are 0.02 mm off.
    let peak = 1.5 * load / (std::f64::consts::PI * expected * expected);
    let near = system.tables.positions.iter().zip(&state.stress).filter(|(at, _)| at[0] < 0.03);
    let mut count = 0;
    for (&[_, z], stress) in near.filter(|(at, _)| at[1] < expected) {
        let pressure = -stress[1] * (1.0 + (z / expected).powi(2));
        assert_relative_eq!(pressure, peak, max_relative = 0.01);
        count += 1;
    }
    assert!(count > 4, "{count}");
}

/// Stick zone of a cylinder pressed on a half plane and then pushed along it, c/a = √(1 − Q/μP).
/// Source: Cattaneo (1938), Mindlin (1949), from memory. A nearly incompressible metal, for which a
/// rigid cylinder is as good as an equal one.
#[test]
fn a_cylinder_pushed_along_a_block_slips_at_the_ends_of_the_contact() {
    const RADIUS: f64 = 60.0;
    const FRICTION: f64 = 0.4;
    let mut right: Vec<f64> = (0..=24).map(|k| 0.1 * f64::from(k)).collect();
    right.extend(graded(2.4, 60.0, 20, 1.2).into_iter().skip(1));
    let mut radii: Vec<f64> = right.iter().skip(1).rev().map(|x| -x).collect();
    radii.extend(right);
    let depths = graded(0.0, 60.0, 30, 1.16);
    let mut system = body(
        SectionGrid::straight(&radii, &depths).mesh(),
        0.499,
        Idealisation::PlaneStrain,
        |[_, y]| [y == 60.0; 2],
    );
    let nodes = edge_nodes(&system.mesh, lengths, |[x, _]| x.abs() <= 2.4);
    let mut cylinder = ToolContact::rigid(0, [0.0, -RADIUS], Surface::Circle, nodes);
    cylinder.free = [false, true];
    let mut state = system.virgin_state();
    state.tools = vec![ToolState::new(RADIUS, cylinder.nodes.len())];
    system.set_tools(vec![cylinder.clone()]);
    let load = 2500.0;
    let press = Drive { bearing: Some(vec![[0.0, load]]), step: 0.25, ..Drive::default() };
    run(&mut system, &mut state, &press);
    // Pressed on without friction, as the closed form has it; then everything sticks.
    cylinder.friction = Friction::Constant(FRICTION);
    cylinder.free = [true, true];
    system.set_tools(vec![cylinder]);
    for status in &mut state.tools[0].status {
        if status.touches() {
            *status = ContactStatus::Stick;
        }
    }
    let push =
        Drive { bearing: Some(vec![[0.5 * FRICTION * load, load]]), step: 0.1, ..Drive::default() };
    run(&mut system, &mut state, &push);
    let tool = &state.tools[0];
    let [along, down] = tool.total_force();
    assert_relative_eq!(along, 0.5 * FRICTION * load, max_relative = 1e-6);
    assert_relative_eq!(down, load, max_relative = 1e-6);
    let moment = |axis: usize| -> f64 {
        let forces = system.tools[0].nodes.iter().zip(&tool.force);
        forces.map(|(&node, force)| force[axis] * system.mesh.nodes[node][0].powi(2)).sum()
    };
    // Second moments: P a²/4 of the pressure, μP (a² − c⁴/a²)/4 of the friction.
    let a_squared = 4.0 * moment(1) / load;
    let c_fourth = a_squared * (a_squared - 4.0 * moment(0) / (FRICTION * load));
    let ratio = (c_fourth.sqrt() / a_squared).sqrt();
    assert_relative_eq!(ratio, 0.5_f64.sqrt(), max_relative = 0.03);
    let stuck = tool.status.iter().filter(|status| **status == ContactStatus::Stick).count();
    assert!(stuck > 0 && stuck < tool.closed_count(), "{stuck} of {}", tool.closed_count());
}
