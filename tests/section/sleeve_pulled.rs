//! A sleeve pulled through the hole with the mandrel that fills it: friction in the hole against μ p A.
//!
//! ```text
//!        hole, held at its rim
//!   ─────────────────────────────
//!     sleeve, split or closed      ──►   stands out at both ends by more than it is pulled
//!   ═════════════════════════════
//!     mandrel, grown by interference ──► drags the sleeve along: more friction than in the hole
//! ```
//!
//! The ends of the sleeve are free, so that all that holds it is friction in the hole.

use std::f64::consts::TAU;
use std::ops::ControlFlow;

use approx::assert_relative_eq;
use hoopset::element::edge::ring_areas;
use hoopset::material::idealisation::Idealisation;
use hoopset::mesh::mating::Mating;
use hoopset::mesh::section_grid::SectionGrid;
use hoopset::mesh::section_sleeve::{SLEEVE_REGION, SleevePlan, with_sleeve};
use hoopset::mesh::topology::{Mesh, NodeId};
use hoopset::solver::contact::{ContactStatus, Drag, ToolContact, ToolState};
use hoopset::solver::friction::Friction;
use hoopset::solver::increment::PhaseEnd;
use hoopset::solver::mated::{MatedEdges, MatedState};
use hoopset::solver::prescribed::Drive;
use hoopset::solver::sliding::Sliding;
use hoopset::solver::state::State;
use hoopset::solver::supports::Supports;
use hoopset::solver::surface::Surface;
use hoopset::solver::system::{Region, System};

use crate::common::meshes::graded;
use crate::common::metals::elastic;

/// Young's modulus, MPa, and Poisson's ratio: of the plate, and of sleeve and mandrel.
const PLATE: (f64, f64) = (72_000.0, 0.33);
const STEEL: (f64, f64) = (200_000.0, 0.3);
const BORE: f64 = 2.85;
const RIM: f64 = 30.0;
const WALL: f64 = 0.2;
/// Two diameters: what the corners of the faces do counts for little.
const THICKNESS: f64 = 11.4;

/// Widening of the mandrel by itself, mm: some 230 MPa, a third of the yield stress of the plate.
const INTERFERENCE: f64 = 0.015;
/// How far the mandrel is pulled, mm: over two rows of the mesh.
const PULLED: f64 = 0.9;
const IN_HOLE: f64 = 0.1;
/// In the hole while the mandrel grows: next to nothing, so that the sleeve is in plane stress across the axis, but somewhere.
const WHILE_GROWING: f64 = 1e-3;
/// Enough that the mandrel sticks.
const ON_MANDREL: f64 = 0.5;

#[derive(Clone, Copy, Debug, PartialEq)]
enum Sleeve {
    /// In an elastic mandrel's way; no hoop stress.
    Split,
    /// On a rigid mandrel.
    Closed,
}

/// The parts in each other, free of stress.
fn put_together(sleeve: Sleeve) -> (System, State) {
    let depths: Vec<f64> = (0..=24).map(|k| THICKNESS * f64::from(k) / 24.0).collect();
    let plate = SectionGrid::straight(&graded(BORE, RIM, 12, 1.3), &depths).mesh();
    let bore = plate.holes[0].edge.clone();
    let plan = SleevePlan {
        wall: WALL,
        bore: bore.iter().map(|&node| plate.nodes[node]).collect(),
        protrusion: PULLED + 0.3,
        fineness: 0.5,
    };
    let (mesh, nodes) = with_sleeve(&plate, &plan);
    let areas = ring_shares(&mesh, &bore);
    let inside = ring_shares(&mesh, &nodes.inside);
    let edges = MatedEdges {
        mating: Mating {
            hole: 0,
            region: SLEEVE_REGION,
            pairs: bore.iter().map(|&node| [node, nodes.outside[0][0]]).collect(),
            closed: false,
        },
        stiffness: areas.iter().map(|area| 100.0 * STEEL.0 * area / nodes.layer).collect(),
        areas,
        friction: Friction::Constant(WHILE_GROWING),
        overlap: vec![0.0; bore.len()],
        sliding: Some(Sliding { outer: nodes.outside, weights: Vec::new(), spring: 0.0 }),
    };
    let metal = elastic(PLATE.0, PLATE.1);
    let mut system = System::new(mesh, metal, Idealisation::Axisymmetric, THICKNESS, BORE).unwrap();
    let on_rim = |[r, _]: [f64; 2]| r > RIM - 1e-9;
    system.supports =
        Supports { held: system.mesh.nodes.iter().map(|&at| [false, on_rim(at)]).collect() };
    let (idealisation, compliance) = match sleeve {
        // A solid cylinder as long as the hole under even pressure (Lamé): it shrinks by (1 − ν) p R/E.
        Sleeve::Split => (Idealisation::PlaneStress, (1.0 - STEEL.1) / (TAU * THICKNESS * STEEL.0)),
        // Its ends would press on such a mandrel too.
        Sleeve::Closed => (Idealisation::Axisymmetric, 0.0),
    };
    let region = Region { material: elastic(STEEL.0, STEEL.1), idealisation };
    let quads = system.mesh.regions.quads.clone();
    system.set_regions(vec![region], quads, Vec::new());
    system.set_mated(vec![edges]);
    let mandrel = ToolContact {
        compliance,
        ..ToolContact::rigid(0, [0.0; 2], Surface::Cylinder, (nodes.inside.clone(), inside))
    };
    system.set_tools(vec![mandrel]);
    let mut state = system.virgin_state();
    state.tools = vec![ToolState::new(BORE - WALL, nodes.inside.len())];
    let mut mated = MatedState::new(vec![[1.0, 0.0]; bore.len()]);
    mated.status.fill(ContactStatus::Stick);
    state.mated = vec![mated];
    (system, state)
}

/// Area of the ring that every node of a line stands for, mm².
fn ring_shares(mesh: &Mesh, line: &[NodeId]) -> Vec<f64> {
    let mut areas = vec![0.0; line.len()];
    for (k, side) in line.windows(3).step_by(2).enumerate() {
        let shares = ring_areas(&[side[0], side[1], side[2]].map(|node| mesh.nodes[node]));
        shares.iter().enumerate().for_each(|(i, share)| areas[2 * k + i] += share);
    }
    areas
}

/// Radial displacement of the bore by pressure, mm/MPa. Source: Lamé's ring, plane stress.
fn ring_bore() -> f64 {
    let (a2, b2) = (BORE * BORE, RIM * RIM);
    BORE / PLATE.0 * ((b2 + a2) / (b2 - a2) + PLATE.1)
}

/// Pressure on the hole when the mandrel has grown by `INTERFERENCE`, MPa. Source: Lamé's rings, plane stress.
fn pressure(sleeve: Sleeve) -> f64 {
    let (a, b) = (BORE - WALL, BORE);
    let (young, nu) = STEEL;
    match sleeve {
        // σr falls as 1/r, so the sleeve thins by ∫ σr/E dr, and the mandrel bears b/a of the pressure.
        Sleeve::Split => {
            let mandrel = (1.0 - nu) * a / young * (b / a);
            INTERFERENCE / (ring_bore() + b / young * (b / a).ln() + mandrel)
        }
        // u = ((1−ν)(pᵢa² − pₒb²) r + (1+ν) a²b² (pᵢ − pₒ)/r) / (E (b² − a²)); u(a) is given, u(b) that of the ring.
        Sleeve::Closed => {
            let (a2, b2) = (a * a, b * b);
            let u = |r: f64, inner: f64, outer: f64| {
                ((1.0 - nu) * (inner * a2 - outer * b2) * r
                    + (1.0 + nu) * a2 * b2 * (inner - outer) / r)
                    / (young * (b2 - a2))
            };
            let inner_over_outer = (ring_bore() - u(b, 0.0, 1.0)) / u(b, 1.0, 0.0);
            INTERFERENCE / (u(a, 1.0, 0.0) * inner_over_outer + u(a, 0.0, 1.0))
        }
    }
}

/// The pull at the end of an increment, and what it did since the mandrel had grown.
#[derive(Clone, Copy, Debug, Default)]
struct Pulled {
    /// Axial force on the mandrel, N; place of the mandrel, mm.
    pull: f64,
    travel: f64,
    /// Normal force in the hole, and axial force of the sleeve on it, N.
    pressed: f64,
    dragged: f64,
    /// Work of the pull, heat in the hole, elastic energy since then, N·mm.
    work: f64,
    heat: f64,
    stored: f64,
}

/// Moves the mandrel from one place to another, mm, and notes every increment in which all of the sleeve slips as
/// `drag` says.
fn pull(
    (system, state): (&mut System, &mut State),
    [from, to]: [f64; 2],
    drag: Drag,
) -> (Vec<Pulled>, Pulled) {
    let drive = Drive {
        travel: Some((0, [[0.0, from], [0.0, to]])),
        step: 0.045 / (to - from).abs(),
        ..Drive::default()
    };
    let mut before = state.clone();
    let stored = state.energy.elastic;
    let mut now =
        Pulled { travel: from, pull: state.tools[0].total_force()[1], ..Pulled::default() };
    let mut slipping = Vec::new();
    let end = system.run_phase(state, &drive, |system, state, _| {
        let (last, edges, mated) = (now, &system.mated[0], &state.mated[0]);
        now.pull = state.tools[0].total_force()[1];
        now.travel = state.tools[0].centre[1];
        now.pressed = edges.normal_force(mated);
        now.dragged = mated.force.iter().map(|force| force[1]).sum();
        now.work += 0.5 * (now.pull + last.pull) * (now.travel - last.travel);
        now.stored = state.energy.elastic - stored;
        let weights = &edges.sliding.as_ref().unwrap().weights;
        let moved = |node: NodeId| state.displacement[node][1] - before.displacement[node][1];
        for (place, pair) in edges.mating.pairs.iter().enumerate() {
            let sleeve: f64 = weights[place].iter().map(|&(node, w)| w * moved(node)).sum();
            let mean = 0.5 * (before.mated[0].force[place][1] + mated.force[place][1]);
            now.heat += mean * (sleeve - moved(pair[0]));
        }
        before.clone_from(state);
        if mated.status.iter().all(|&status| status == ContactStatus::Slip(drag)) {
            slipping.push(now);
        }
        ControlFlow::Continue(())
    });
    assert_eq!(end, PhaseEnd::Done);
    (slipping, now)
}

#[test]
fn a_sleeve_is_pulled_along_the_hole_by_friction_times_pressure_times_area() {
    for sleeve in [Sleeve::Split, Sleeve::Closed] {
        let (mut system, mut state) = put_together(sleeve);
        let radius = BORE - WALL;
        let grow = Drive {
            tool: Some((0, [radius, radius + INTERFERENCE])),
            step: 0.25,
            ..Drive::default()
        };
        let end = system.run_phase(&mut state, &grow, |_, _, _| ControlFlow::Continue(()));
        assert_eq!(end, PhaseEnd::Done);
        system.tools[0].friction = Friction::Constant(ON_MANDREL);
        system.mated[0].friction = Friction::Constant(IN_HOLE);
        for status in state.tools[0].status.iter_mut().chain(&mut state.mated[0].status) {
            if status.touches() {
                *status = ContactStatus::Stick;
            }
        }
        let expected = pressure(sleeve);
        let area = TAU * BORE * THICKNESS;
        // There, and part of the way back. The edge that it slides over is not quite straight, so that a little of the
        // normal force is axial.
        for ([from, to], drag, sense) in
            [([0.0, PULLED], Drag::Along, 1.0), ([PULLED, 0.6], Drag::Against, -1.0)]
        {
            let (slipping, end) = pull((&mut system, &mut state), [from, to], drag);
            // It slips from 0.1 mm on, there, and from twice as far on, back.
            assert!(slipping.len() >= 3, "{}", slipping.len());
            for at in &slipping {
                assert_relative_eq!(at.pressed / area, expected, max_relative = 0.005);
                assert_relative_eq!(at.pull, sense * IN_HOLE * at.pressed, max_relative = 0.001);
                assert_relative_eq!(
                    at.pull,
                    sense * IN_HOLE * expected * area,
                    max_relative = 0.005
                );
                // The sleeve drags the hole along, the hole holds the sleeve back.
                assert_relative_eq!(at.dragged, at.pull, max_relative = 1e-6);
            }
            let most =
                slipping.iter().map(|at| at.pull * sense / (IN_HOLE * expected * area) - 1.0);
            println!(
                "{sleeve:?}: pull {:.0} N for {:.0}, at most {:.1e} off; work {:.2} for {:.2}",
                slipping[0].pull,
                IN_HOLE * expected * area,
                most.map(f64::abs).fold(0.0, f64::max),
                end.work,
                end.heat + end.stored
            );
            assert!(end.heat > 0.0 && end.work > 0.0, "{end:?}");
            assert_relative_eq!(end.work, end.heat + end.stored, max_relative = 5e-4);
        }
    }
}
