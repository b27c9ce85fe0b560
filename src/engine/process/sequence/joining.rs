//! Doublers: laid on, bonded and fastened; taken off.
//!
//! The mesh of a doubler is there from its stage on, free of stress: what the plate has been through before
//! is not in it. It follows the plate by its bond, its fasteners, or both. One that is only fastened could
//! move with the play in its holes, so a layer far too soft to carry anything holds it
//! ([`SOFT`]).

use crate::mesh::build;
use crate::mesh::overlap::overlap;
use crate::mesh::plan::MeshPlan;
use crate::mesh::topology::Mesh;
use crate::process::doubler::{Doubler, Fastener, Filling};
use crate::process::expand;
use crate::process::history::Phase;
use crate::process::sequence::{Observer, Sequence};
use crate::process::sheet_points::{cut_out, repack, taken_off, widen, widened};
use crate::process::stage::Stage;
use crate::process::stage_error::StageError;
use crate::process::tool::Tool;
use crate::solver::contact::{Link, ToolState};
use crate::solver::increment_error::IncrementError;
use crate::solver::layer::Joint;
use crate::solver::prescribed::Drive;
use crate::solver::state::Rate;
use crate::solver::tables::Tables;

/// Stiffness of the layer that only keeps a doubler in its place, all of it together over modulus and
/// thickness of the doubler: its load is about this share of what the doubler carries.
const SOFT: f64 = 1e-9;

/// Increments in which a doubler that is taken off gives up its forces, over those of an expansion.
const DETACH_SHARE: f64 = 0.5;

impl Sequence {
    pub(super) fn join(
        &mut self,
        label: &str,
        doubler: &Doubler,
        observer: &mut dyn Observer,
    ) -> Result<(), StageError> {
        let earlier = &self.job.stages[..self.next_stage];
        let before = earlier.iter().filter(|stage| matches!(stage, Stage::Join { .. }));
        let number = self.job.regions.len() + before.count() + 1;
        // The case allows fewer regions and doublers than a byte counts.
        let region = u8::try_from(number).unwrap_or(u8::MAX);
        let last = u8::try_from(self.job.regions.len() + self.job.doublers().count());
        let thickness = self.job.plate.thickness;
        let relative: Vec<f64> = (1..=last.unwrap_or(u8::MAX))
            .map(|region| self.job.thickness_of(region) / thickness)
            .collect();
        let plan = MeshPlan {
            fineness: self.job.numerics.fineness,
            symmetry: self.system.mesh.symmetry,
            ..MeshPlan::default()
        };
        let own = build(&doubler.as_plate(&self.job.plate), &plan)?;
        let area: f64 = {
            let tables = Tables::new(&own, self.job.measure());
            tables.map_or(0.0, |tables| tables.volumes().sum::<f64>()) / thickness
        };
        let mut mesh = self.system.mesh.clone();
        mesh.lay_on(&doubler.name, own, region, &relative);
        let sheet = mesh.sheets.len() - 1;
        mesh.sheets[sheet].overlap = overlap(&mesh, sheet);
        let soft = SOFT * doubler.material.elasticity.youngs_modulus * doubler.thickness / area;
        let mut joints = std::mem::take(&mut self.system.joints);
        let nodes = mesh.nodes.len();
        for joint in &mut joints {
            joint.reference.resize(nodes, [0.0; 2]);
        }
        let mut reference = self.state.displacement.clone();
        reference.resize(nodes, [0.0; 2]);
        let stiffness = doubler.bond.map_or(soft, |bond| bond.stiffness());
        joints.push(Joint { stiffness, reference });
        let part = mesh.part(Some(sheet));
        let old = self.system.mesh.quads.len();
        self.state = widened(&self.state, old, &part);
        self.full_size_strain = widen(&self.full_size_strain, 1, old, &part, 0.0);
        self.flowed = self.flowed.change(
            |strains| widen(strains, 1, old, &part, 0.0),
            |steps| widen(steps, 1, old, &part, 0),
        );
        self.replace_mesh(mesh, joints)?;
        for (place, fastener) in doubler.fasteners.iter().enumerate() {
            self.put_in(label, (sheet, place), fastener, observer)?;
            if self.stop {
                return Ok(());
            }
        }
        let drive = Drive { step: 1.0, ..Drive::default() };
        let hole = doubler.fasteners.first().map_or(0, |fastener| fastener.hole);
        self.phase(label, Phase::Join, &drive, hole, observer)?;
        if !self.stop {
            self.finish(label, &format!("doubler {} joined", doubler.name), observer);
        }
        Ok(())
    }

    /// Puts a fastener into the hole of the plate and into hole `place` of a sheet.
    fn put_in(
        &mut self,
        label: &str,
        (sheet, place): (usize, usize),
        fastener: &Fastener,
        observer: &mut dyn Observer,
    ) -> Result<(), StageError> {
        let pin = Tool::pin(fastener.pin_diameter.unwrap_or(0.0), fastener.elastic);
        let diameter = fastener.pin_diameter;
        self.drive_pin(label, fastener.hole, diameter, &pin, observer)?;
        if self.stop {
            return Ok(());
        }
        let hole = &self.job.plate.holes[fastener.hole];
        let name = &self.system.mesh.sheets[sheet].name;
        let thickness = self.job.doublers().find(|doubler| doubler.name == *name);
        let mut contact = expand::contact_on(
            &self.system.mesh,
            &self.system.mesh.sheets[sheet].holes[place],
            (fastener.hole, hole),
            &pin,
            self.job.idealisation,
            thickness.map_or(self.job.plate.thickness, |doubler| doubler.thickness),
        );
        let start = expand::touching_radius(&self.system.mesh, &contact, &self.state);
        let own = ToolState::new(start, contact.nodes.len());
        let tools = &mut self.system.tools;
        let partner = tools.len() - 1;
        let copies = self.system.mesh.symmetry.copies() as f64;
        contact.sheet = sheet + 1;
        contact.link = Some(Link {
            stiffness: (fastener.flexibility * copies).recip(),
            apart: [0, 1].map(|axis| -self.state.tools[partner].centre[axis]),
        });
        if fastener.filling == Filling::Spring {
            // Each fills its hole as it stands, round or not.
            let mesh = &self.system.mesh;
            let displacement = &self.state.displacement;
            tools[partner].fit(&self.state.tools[partner], &mesh.nodes, displacement);
            tools[partner].bilateral = true;
            contact.fit(&own, &mesh.nodes, displacement);
            contact.bilateral = true;
        }
        let mut tools = std::mem::take(&mut self.system.tools);
        tools.push(contact);
        self.state.tools.push(own);
        self.system.set_tools(tools);
        self.grow_pin(label, (fastener.hole, partner + 1), start, diameter, observer)
    }

    pub(super) fn detach(
        &mut self,
        label: &str,
        doubler: &str,
        observer: &mut dyn Observer,
    ) -> Result<(), StageError> {
        let sheets = &self.system.mesh.sheets;
        let sheet = sheets.iter().position(|sheet| sheet.name == doubler);
        let sheet = sheet.ok_or_else(|| StageError::NoDoubler { doubler: doubler.to_owned() })?;
        let part = self.system.mesh.part(Some(sheet));
        let nodes = self.system.mesh.nodes.len();
        let old = self.system.mesh.quads.len();
        let its: Vec<usize> = (self.system.tools.iter())
            .filter(|tool| tool.sheet == sheet + 1)
            .map(|tool| tool.hole)
            .collect();
        let stays: Vec<bool> = (self.system.tools.iter())
            .map(|tool| !(tool.sheet == sheet + 1 || tool.sheet == 0 && its.contains(&tool.hole)))
            .collect();
        let mut stay = stays.iter();
        self.state.tools.retain(|_| stay.next().copied().unwrap_or(true));
        let mut stay = stays.iter();
        self.system.tools.retain(|_| stay.next().copied().unwrap_or(true));
        for tool in &mut self.system.tools {
            if tool.sheet > sheet + 1 {
                tool.sheet -= 1;
            }
            for node in &mut tool.nodes {
                if *node >= part.nodes.end {
                    *node -= part.nodes.len();
                }
            }
        }
        let mut joints = std::mem::take(&mut self.system.joints);
        joints.remove(sheet);
        for joint in &mut joints {
            joint.reference.drain(part.nodes.clone());
        }
        let mut mesh = self.system.mesh.clone();
        mesh.take_off(sheet);
        let places = self.state.backstress.len() / self.state.points.len();
        self.state = taken_off(&self.state, old, &part, places);
        self.full_size_strain = cut_out(&self.full_size_strain, 1, old, &part);
        self.flowed = self.flowed.change(
            |strains| cut_out(strains, 1, old, &part),
            |steps| cut_out(steps, 1, old, &part),
        );
        let stored = self.state.energy.elastic;
        self.replace_mesh(mesh, joints)?;
        let failed =
            |cause| StageError::Increment(IncrementError { done: 0.0, halvings: 0, cause });
        self.system.settle(&mut self.state).map_err(failed)?;
        self.state.energy.removed += stored - self.state.energy.elastic;
        let drive = Drive {
            external: Some(vec![[0.0; 2]; nodes - part.nodes.len()]),
            step: self.step() / DETACH_SHARE,
            ..Drive::default()
        };
        self.phase(label, Phase::Detach, &drive, its.first().copied().unwrap_or(0), observer)?;
        if !self.stop {
            self.finish(label, &format!("doubler {doubler} taken off"), observer);
        }
        Ok(())
    }

    /// Goes on with the equations of another mesh, on which state and tools are already.
    fn replace_mesh(&mut self, mesh: Mesh, joints: Vec<Joint>) -> Result<(), StageError> {
        // Two sets of equations at once would be the most memory that the run needs.
        self.system.retire();
        let mut system = self.next_system(mesh)?;
        system.set_tools(std::mem::take(&mut self.system.tools));
        system.set_joints(joints);
        repack(&mut self.state, &system);
        self.state.rate = Rate::default();
        self.system = system;
        Ok(())
    }
}
