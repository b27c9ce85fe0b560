//! Expansions driven by hand, so that every increment can be looked into.

use std::ops::ControlFlow;

use hoopset::mesh::build;
use hoopset::process::expand::{contact, touching_radius};
use hoopset::process::job::Job;
use hoopset::process::plan::mesh_plan;
use hoopset::process::stage::Stage;
use hoopset::process::tool::{Centre, Tool};
use hoopset::solver::contact::{ContactStatus, ToolState};
use hoopset::solver::increment::{Increment, PhaseEnd};
use hoopset::solver::prescribed::Drive;
use hoopset::solver::state::State;
use hoopset::solver::system::System;

/// A rigid tool of `diameter` mm whose centre floats.
pub fn rigid(diameter: f64) -> Tool {
    Tool {
        mandrel_diameter: diameter,
        sleeve_thickness: 0.0,
        split: None,
        elastic: None,
        centre: Centre::Floating,
        offset: [0.0; 2],
    }
}

/// A stage that expands the first hole.
pub fn expand(tool: Tool) -> Stage {
    Stage::Expand { hole: 0, tool }
}

/// The equations of a job with its first stage's tool about to touch.
pub fn ready(job: &Job) -> (System, State, f64) {
    let Stage::Expand { hole, tool } = &job.stages[0] else { panic!("no expansion") };
    let plate = &job.plate;
    let mesh = build(plate, &mesh_plan(job)).unwrap();
    let radius = plate.holes[*hole].radius();
    let mut system =
        System::new(mesh, job.material.clone(), job.idealisation, plate.thickness, radius).unwrap();
    system.method.strains = job.numerics.strains;
    let mut state = system.virgin_state();
    let side = contact(
        &system.mesh,
        (*hole, &plate.holes[*hole]),
        tool,
        job.idealisation,
        plate.thickness,
    );
    let start = touching_radius(&system.mesh, &side, &state);
    state.tools.push(ToolState::new(start, side.nodes.len()));
    system.set_tools(vec![side]);
    (system, state, start)
}

/// Drives the tool from one radius to another; `watch` sees every state in equilibrium.
pub fn drive(
    system: &mut System,
    state: &mut State,
    radius: [f64; 2],
    increments: usize,
    until_open: bool,
    mut watch: impl FnMut(&System, &State, &Increment),
) {
    let drive = Drive {
        tool: Some((0, radius)),
        step: 1.0 / increments as f64,
        until_open,
        ..Drive::default()
    };
    let end = system.run_phase(state, &drive, |system, state, increment| {
        watch(system, state, increment);
        ControlFlow::Continue(())
    });
    assert_eq!(end, PhaseEnd::Done);
}

/// Pressure with its sign at every contact node, MPa, positive when the tool pushes.
pub fn signed_pressures(system: &System, state: &State) -> Vec<(ContactStatus, f64)> {
    let (side, tool) = (system.tools.first().unwrap(), state.tools.first().unwrap());
    side.nodes
        .iter()
        .enumerate()
        .map(|(k, &node)| {
            let normal =
                side.stance(tool, k, system.mesh.nodes[node], state.displacement[node]).normal;
            let [x, y] = tool.force[k];
            (tool.status[k], (x * normal[0] + y * normal[1]) / side.areas[k])
        })
        .collect()
}
