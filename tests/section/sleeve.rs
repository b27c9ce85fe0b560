//! The sleeve as a layer of elements, against closed forms: thin sleeves and rings with a long land in them.
//!
//! A land longer than the bore presses on every depth alike. Nothing then holds sleeve or ring along the axis
//! but friction, so both are in plane stress across the axis, and Lamé's rings are the answer in the middle.

use std::ops::ControlFlow;

use approx::assert_relative_eq;
use hoopset::material::hardening::Material;
use hoopset::mesh::topology::NodeId;
use hoopset::process::section::observer::{SectionEnding, SectionObserver};
use hoopset::process::section::record::{SectionSnapshot, TravelRecord};
use hoopset::process::section::run::SectionRun;
use hoopset::process::section::{DrawTool, SectionJob, SleeveEnd, SleeveLayer, Support};
use hoopset::solver::friction::Friction;
use hoopset::solver::state::State;
use hoopset::solver::system::System;

use crate::common::metals::elastic;
use crate::shop::{CAP, draw, job, mandrel};

const PLATE: (f64, f64) = (72_000.0, 0.33);
const STEEL: (f64, f64) = (200_000.0, 0.3);
const BORE: f64 = 2.85;
const RIM: f64 = 30.0;
const WALL: f64 = 0.2;
const THICKNESS: f64 = 5.7;

/// Pressures and displacements in the middle while the land fills the sleeve.
#[derive(Debug)]
struct Filled {
    /// Between mandrel and sleeve, and between sleeve and hole, MPa on the area as drawn.
    pressures: [f64; 2],
    /// Radial displacement of the bore, mm.
    moved: f64,
}

#[derive(Default)]
struct Look {
    filled: Vec<Filled>,
    records: Vec<TravelRecord>,
    snapshots: Vec<SectionSnapshot>,
}

impl SectionObserver for Look {
    fn increment(
        &mut self,
        record: &TravelRecord,
        system: &System,
        state: &State,
    ) -> ControlFlow<()> {
        self.records.push(record.clone());
        let Some([first, last]) = record.touching.filter(|_| !state.mated.is_empty()) else {
            return ControlFlow::Continue(());
        };
        // The ends of the sleeve may bend off.
        if first > 0.3 || last < THICKNESS - 0.3 || !(8.0..12.0).contains(&record.travel) {
            return ControlFlow::Continue(());
        }
        let middle = |node: NodeId| (system.mesh.nodes[node][1] / THICKNESS - 0.5).abs() < 0.2;
        let (contact, tool) = (&system.tools[0], &state.tools[0]);
        let (edges, mated) = (&system.mated[0], &state.mated[0]);
        // Forces of corners and mid-sides differ: pressures are those of the forces over the areas.
        let mean = |parts: &mut dyn Iterator<Item = (NodeId, f64, f64)>| {
            let of_middle = parts.filter(|(node, ..)| middle(*node));
            let (force, area) =
                of_middle.fold((0.0, 0.0), |(f, a), (_, force, area)| (f + force, a + area));
            force / area
        };
        let inside = contact.nodes.iter().zip(&tool.force).zip(&contact.areas);
        let outside = edges.mating.pairs.iter().zip(&mated.force).zip(&edges.areas);
        let pressures = [
            mean(&mut inside.map(|((&node, force), &area)| (node, force[0], area))),
            mean(&mut outside.map(|((pair, force), &area)| (pair[0], force[0], area))),
        ];
        let bore = system.mesh.holes[0].edge.iter();
        let moved: Vec<f64> =
            bore.filter(|&&n| middle(n)).map(|&n| state.displacement[n][0]).collect();
        let moved = moved.iter().sum::<f64>() / moved.len() as f64;
        self.filled.push(Filled { pressures, moved });
        ControlFlow::Continue(())
    }
    fn snapshot(&mut self, snapshot: SectionSnapshot) -> ControlFlow<()> {
        self.snapshots.push(snapshot);
        ControlFlow::Continue(())
    }
}

fn look(job: SectionJob) -> Look {
    let mut look = Look::default();
    let ending = SectionRun::new(job).unwrap().run(&mut look).unwrap();
    assert_eq!(ending, SectionEnding::Done);
    look
}

fn steel() -> Material {
    elastic(STEEL.0, STEEL.1)
}

fn layer(material: Material, closed: bool, friction: f64) -> SleeveLayer {
    let friction = Friction::constant(friction);
    // Without any friction nothing but its stop holds a sleeve, so that either end stays there.
    let end = if closed { SleeveEnd::Held } else { SleeveEnd::Stopped };
    SleeveLayer { material, closed, friction, protrusion: 0.3, end }
}

/// A rigid mandrel with a long land that widens the inside of the sleeve by `driven` mm.
fn long_land(driven: f64, friction: f64, sleeve: Option<Box<SleeveLayer>>) -> DrawTool {
    let mut tool = mandrel(2.0 * (BORE - WALL + driven), friction);
    tool.sleeve_thickness = WALL;
    tool.sleeve = sleeve;
    tool.profile.land = 14.0;
    tool.profile.fillet = 1.0;
    tool
}

fn filled(tool: DrawTool) -> Vec<Filled> {
    let mut job = job(vec![draw(tool, Support::Rim, false)], elastic(PLATE.0, PLATE.1));
    job.numerics.increments = 3;
    let look = look(job);
    assert!(look.filled.len() > 2, "{}", look.filled.len());
    look.filled
}

/// Growth of the bore of the plate by pressure, mm/MPa. Source: Lamé's ring, plane stress.
fn ring_bore() -> f64 {
    let (a2, b2) = (BORE * BORE, RIM * RIM);
    BORE / PLATE.0 * ((b2 + a2) / (b2 - a2) + PLATE.1)
}

/// A closed sleeve in the ring: two rings of Lamé, the inside of the inner one held at a displacement.
#[test]
fn a_closed_sleeve_in_a_ring_is_lames_two_rings() {
    let driven = 0.005;
    // Inner ring, plane stress: u = ((1−ν)(pᵢa² − pₒb²) r + (1+ν) a²b² (pᵢ − pₒ)/r) / (E (b² − a²)).
    let (a, b) = (BORE - WALL, BORE);
    let (a2, b2) = (a * a, b * b);
    let u = |r: f64, inner: f64, outer: f64| {
        let (young, nu) = STEEL;
        ((1.0 - nu) * (inner * a2 - outer * b2) * r + (1.0 + nu) * a2 * b2 * (inner - outer) / r)
            / (young * (b2 - a2))
    };
    // Two linear equations: u(a) = driven, u(b) = growth of the ring.
    let (k, l) = (u(a, 1.0, 0.0), u(a, 0.0, 1.0));
    let (m, n) = (u(b, 1.0, 0.0), u(b, 0.0, 1.0) - ring_bore());
    let determinant = k * n - l * m;
    let (inner, outer) = (driven * n / determinant, -driven * m / determinant);
    for at in filled(long_land(driven, 0.0, Some(Box::new(layer(steel(), true, 0.0))))) {
        assert_relative_eq!(at.pressures[0], inner, max_relative = 0.005);
        assert_relative_eq!(at.pressures[1], outer, max_relative = 0.005);
        assert_relative_eq!(at.moved, outer * ring_bore(), max_relative = 0.005);
    }
}

/// A split sleeve has no hoop stress: σr falls as 1/r, so pᵢ rᵢ = pₒ rₒ; and thins by ∫ σr/E dr.
#[test]
fn a_split_sleeve_passes_pressure_on_in_proportion_to_its_radii_and_thins() {
    let driven = 0.005;
    let (inside, outside) = (BORE - WALL, BORE);
    // driven = growth of the ring + thinning, both in proportion to the outer pressure.
    let thinning = outside / STEEL.0 * (outside / inside).ln();
    let outer = driven / (ring_bore() + thinning);
    for at in filled(long_land(driven, 0.0, Some(Box::new(layer(steel(), false, 0.0))))) {
        assert_relative_eq!(
            at.pressures[0] * inside,
            at.pressures[1] * outside,
            max_relative = 0.005
        );
        assert_relative_eq!(at.pressures[1], outer, max_relative = 0.005);
        assert_relative_eq!(driven - at.moved, outer * thinning, max_relative = 0.01);
    }
}

/// The same draw with the sleeve as a layer and by its thickness, without friction and with gentle tapers. The layer
/// thins by p t/E under the land, 1.0 µm at the 1000 MPa of that narrow band, and bends over its ends.
#[test]
fn without_friction_a_split_layer_does_nearly_what_its_thickness_does() {
    let of = |sleeve| {
        let mut tool = mandrel(5.7 * 1.03 - 2.0 * WALL, 0.0);
        tool.sleeve_thickness = WALL;
        tool.sleeve = sleeve;
        tool.profile.lead_angle = 0.01;
        tool.profile.trail_angle = 0.02;
        let look = look(job(vec![draw(tool, CAP, false)], crate::shop::metal()));
        let reading = hoopset::result::section::read_section(&look.snapshots[0]);
        let pull = look.records.iter().map(|record| record.pull_force).fold(0.0, f64::max);
        (reading.paths[3].headline().edge, reading.gauge(0.5), pull)
    };
    let (plain, bore, pull) = of(None);
    let (layered, narrower, pulled) = of(Some(Box::new(layer(steel(), false, 0.0))));
    // 2 % of the yield stress; 330.7 and 326.7 MPa.
    assert!((layered - plain).abs() < 7.0, "{layered} for {plain}");
    assert!((0.0..0.004).contains(&(bore - narrower)), "{narrower} for {bore}");
    assert_relative_eq!(pulled, pull, max_relative = 0.02);
}
