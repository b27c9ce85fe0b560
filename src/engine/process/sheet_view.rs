//! One sheet of a snapshot alone: the plate, or a doubler as a plate of its own.
//!
//! Fields, paths and pictures know one sheet; they read these.

use std::borrow::Cow;

use crate::process::job::Job;
use crate::process::sheet_points::points;
use crate::process::snapshot::{HoleStatus, Snapshot, ToolReading};
use crate::solver::state::State;

impl Snapshot {
    /// The plate without the sheets on it.
    #[must_use]
    pub fn plate_alone(&self) -> Cow<'_, Self> {
        if self.mesh.sheets.is_empty() {
            return Cow::Borrowed(self);
        }
        Cow::Owned(self.alone(None, self.holes.clone()))
    }

    /// The doublers on the plate, each as a part of its own: its job, without stages, and its snapshot, whose
    /// heading is the name of the doubler.
    #[must_use]
    pub fn doublers_alone(&self, job: &Job) -> Vec<(Job, Self)> {
        let alone = |(sheet, own): (usize, &crate::mesh::topology::Sheet)| {
            let doubler = job.doublers().filter(|doubler| doubler.name == own.name).last()?;
            let plate = doubler.as_plate(&job.plate);
            let holes = plate.holes.iter().map(|hole| HoleStatus {
                axis: hole.centre,
                nominal_diameter: hole.starting_diameter,
                starting_diameter: hole.starting_diameter,
                applied_expansion: None,
                reamed: false,
            });
            let mut view = self.alone(Some(sheet), holes.collect());
            for hole in (view.contacts.iter_mut().map(|contact| &mut contact.hole))
                .chain(view.tools.iter_mut().map(|tool| &mut tool.hole))
            {
                let place = doubler.fasteners.iter().position(|fastener| fastener.hole == *hole);
                *hole = place.unwrap_or(0);
            }
            view.heading.clone_from(&doubler.name);
            let job = Job {
                plate,
                material: doubler.material.clone(),
                stages: Vec::new(),
                supports: Vec::new(),
                regions: Vec::new(),
                ..job.clone()
            };
            Some((job, view))
        };
        self.mesh.sheets.iter().enumerate().filter_map(alone).collect()
    }

    fn alone(&self, sheet: Option<usize>, holes: Vec<HoleStatus>) -> Self {
        let number = sheet.map_or(0, |sheet| sheet + 1);
        let part = self.mesh.part(sheet);
        let quads = self.mesh.quads.len();
        let mut state = State {
            displacement: self.state.displacement[part.nodes.clone()].to_vec(),
            external: self.state.external[part.nodes.clone()].to_vec(),
            points: points(&self.state.points, 1, quads, &part),
            backstress: points(
                &self.state.backstress,
                self.state.backstress.len() / self.state.points.len(),
                quads,
                &part,
            ),
            stress: points(&self.state.stress, 1, quads, &part),
            conjugate: points(&self.state.conjugate, 1, quads, &part),
            tools: Vec::new(),
            ..self.state.clone()
        };
        let mut contacts = Vec::new();
        for (contact, tool) in self.contacts.iter().zip(&self.state.tools) {
            if contact.sheet == number {
                let mut contact = contact.clone();
                for node in &mut contact.nodes {
                    *node -= part.nodes.start;
                }
                contact.sheet = 0;
                contact.link = None;
                contacts.push(contact);
                let mut tool = tool.clone();
                // What the other sheet hands on is a load on this one.
                let lines = [self.mesh.symmetry.x, self.mesh.symmetry.y];
                let total = tool.total_force();
                tool.bearing =
                    [0, 1].map(|axis| if lines[axis].is_some() { 0.0 } else { total[axis] });
                state.tools.push(tool);
            }
        }
        if let Some(sheet) = sheet {
            let free = self.state.free_strain_of(self.mesh.region_of_sheet(sheet));
            state.free_strain = if free == 0.0 { Vec::new() } else { vec![free] };
        }
        let tools = self.tools.iter().filter(|tool| tool.sheet == number).cloned();
        Self {
            label: self.label.clone(),
            heading: self.heading.clone(),
            mesh: self.mesh.alone(sheet),
            state,
            full_size_strain: points(&self.full_size_strain, 1, quads, &part),
            flowed: self.flowed.change(
                |strains| points(strains, 1, quads, &part),
                |steps| points(steps, 1, quads, &part),
            ),
            holes,
            contacts,
            joints: Vec::new(),
            tools: tools.map(|tool| ToolReading { sheet: 0, ..tool }).collect(),
            ..self.clone()
        }
    }
}
