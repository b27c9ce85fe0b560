//! Readings of the joints of doublers, from the state as it stands.

use crate::mesh::overlap::nodes_on_plate;
use crate::process::doubler::Doubler;
use crate::process::joint_reading::{
    BondReading, FastenerReading, JointReading, SECTIONS, SectionForces,
};
use crate::process::sequence::Sequence;

/// Distance of a section from the centre of a fastener, over the diameter of its larger hole, at least.
const CLEAR: f64 = 0.6;

impl Sequence {
    /// Readings of every sheet on the plate, in the order of the mesh.
    pub(super) fn joint_readings(&self) -> Vec<JointReading> {
        let sheets = &self.system.mesh.sheets;
        if sheets.is_empty() || self.system.joints.len() != sheets.len() {
            return Vec::new();
        }
        // What the stresses alone put on the nodes.
        let mut metal = vec![[0.0; 2]; self.system.mesh.nodes.len()];
        self.system.layer_forces(&self.state, &mut metal);
        for (force, all) in metal.iter_mut().zip(self.system.internal_forces()) {
            *force = [0, 1].map(|axis| all[axis] - force[axis]);
        }
        let reading = |(sheet, own): (usize, &crate::mesh::topology::Sheet)| {
            let doubler = self.job.doublers().filter(|doubler| doubler.name == own.name).last()?;
            Some(self.joint_reading(sheet, doubler, &metal))
        };
        sheets.iter().enumerate().filter_map(reading).collect()
    }

    fn joint_reading(&self, sheet: usize, doubler: &Doubler, metal: &[[f64; 2]]) -> JointReading {
        let along = doubler.along;
        let mesh = &self.system.mesh;
        let stops = self.stops(sheet, doubler);
        let section = |at: f64| SectionForces {
            at,
            plate: self.section_force(None, along, at, metal),
            doubler: self.section_force(Some(sheet), along, at, metal),
        };
        let sections: Vec<SectionForces> = stops.into_iter().map(section).collect();
        let copies = mesh.symmetry.copies() as f64;
        let mirrored = [mesh.symmetry.x.is_some(), mesh.symmetry.y.is_some()];
        let fasteners = doubler.fasteners.iter().filter_map(|fastener| {
            let here = |sheet: usize| {
                let mut tools = self.system.tools.iter();
                tools.position(|tool| tool.sheet == sheet && tool.hole == fastener.hole)
            };
            let (plate, own) = (here(0)?, here(sheet + 1)?);
            let total = self.state.tools[own].total_force();
            let apart = self.system.tools[own].link?.apart;
            let (a, b) = (self.state.tools[own].centre, self.state.tools[plate].centre);
            let at = self.job.plate.holes[fastener.hole].centre[along];
            let before = sections.iter().rfind(|section| section.at < at);
            let behind = sections.iter().find(|section| section.at > at);
            let force = [0, 1].map(|axis| if mirrored[axis] { 0.0 } else { copies * total[axis] });
            let size = force[0].hypot(force[1]);
            let thickness = self.job.thickness_of(self.job.region_of_hole(fastener.hole));
            let diameter = self.holes[fastener.hole].nominal_diameter;
            Some(FastenerReading {
                hole: fastener.hole,
                at,
                force,
                slip: [0, 1].map(|axis| a[axis] - b[axis] - apart[axis]),
                bearing_stress: [
                    size / (diameter * thickness),
                    size / (fastener.hole_diameter * doubler.thickness),
                ],
                plate_force: [before, behind].map(|section| section.map_or(0.0, |s| s.plate)),
            })
        });
        let fasteners = fasteners.collect();
        let bond = doubler.bond.map(|bond| self.bond_reading(sheet, bond.stiffness()));
        let [low, high] = self.job.plate.outline.bounds();
        let across = 1 - along;
        let gross_section = (high[across] - low[across]) * self.job.plate.thickness;
        let doubler = doubler.name.clone();
        JointReading { doubler, along, fasteners, gross_section, sections, bond }
    }

    /// Places of the sections of a sheet: evenly over its length and beyond, and half-way between fasteners.
    fn stops(&self, sheet: usize, doubler: &Doubler) -> Vec<f64> {
        let mesh = &self.system.mesh;
        let along = doubler.along;
        let nodes = mesh.part(Some(sheet)).nodes.map(|node| mesh.nodes[node][along]);
        let (mut low, high) = nodes.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), at| {
            (low.min(at), high.max(at))
        });
        if let Some(line) = [mesh.symmetry.x, mesh.symmetry.y][along] {
            low = 2.0 * line - high;
        }
        let step = (high - low) / SECTIONS as f64;
        // Off the nodes of the ends.
        let even = (0..SECTIONS).map(|k| low + (k as f64 + 0.5) * step);
        let mut stops: Vec<f64> = even.collect();
        stops.extend([low - step, high + step]);
        let mut holes: Vec<f64> = doubler
            .fasteners
            .iter()
            .map(|fastener| self.job.plate.holes[fastener.hole].centre[along])
            .collect();
        holes.sort_by(f64::total_cmp);
        stops.extend(
            holes.windows(2).filter(|pair| pair[1] > pair[0]).map(|pair| 0.5 * (pair[0] + pair[1])),
        );
        // A section through a hole would cut the force of its fastener in two.
        stops.retain(|at| {
            doubler.fasteners.iter().all(|fastener| {
                let hole = fastener.hole;
                let widest = fastener.hole_diameter.max(self.holes[hole].nominal_diameter);
                (self.job.plate.holes[hole].centre[along] - at).abs() > CLEAR * widest
            })
        });
        stops.sort_by(f64::total_cmp);
        stops.dedup_by(|a, b| (*a - *b).abs() < 1e-9 * (high - low));
        stops
    }

    /// Force in the section of the plate or of a sheet at a place, N on its whole width.
    fn section_force(
        &self,
        sheet: Option<usize>,
        along: usize,
        at: f64,
        metal: &[[f64; 2]],
    ) -> f64 {
        let mesh = &self.system.mesh;
        // The part that symmetry leaves out has the forces of its mirror image.
        let line = [mesh.symmetry.x, mesh.symmetry.y][along];
        let at = line.map_or(at, |line| line + (at - line).abs());
        let beyond = mesh.part(sheet).nodes.filter(|&node| mesh.nodes[node][along] > at);
        let force: f64 = beyond.map(|node| metal[node][along]).sum();
        let beside = [mesh.symmetry.y, mesh.symmetry.x][along];
        if beside.is_some() { 2.0 * force } else { force }
    }

    /// Shear of the bond under a sheet, of `stiffness` N/mm³.
    fn bond_reading(&self, sheet: usize, stiffness: f64) -> BondReading {
        let mesh = &self.system.mesh;
        let nodes = mesh.part(Some(sheet)).nodes;
        let joint = &self.system.joints[sheet];
        let moved = |node: usize, axis: usize| {
            self.state.displacement[node][axis] - joint.reference[node][axis]
        };
        let below = nodes_on_plate(mesh, sheet);
        let shear: Vec<[f64; 2]> = nodes
            .clone()
            .zip(&below)
            .map(|(node, below)| {
                if below.is_empty() {
                    return [0.0; 2];
                }
                [0, 1].map(|axis| {
                    let plate: f64 =
                        below.iter().map(|&(node, share)| share * moved(node, axis)).sum();
                    -stiffness * (moved(node, axis) - plate)
                })
            })
            .collect();
        let size = |[x, y]: [f64; 2]| x.hypot(y);
        let (mut highest, mut at) = (0.0, mesh.nodes[nodes.start]);
        for (node, shear) in nodes.zip(&shear) {
            if size(*shear) > highest {
                (highest, at) = (size(*shear), mesh.nodes[node]);
            }
        }
        BondReading { highest, at, shear }
    }
}
