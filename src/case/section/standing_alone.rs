//! A section file as a case: what `hoopset infer` asks of a case it can then ask of a section.

use crate::case::Case;
use crate::case::section::SectionCase;
use crate::geometry::hole::Hole;
use crate::geometry::plate::{Outline, Plate};
use crate::material::idealisation::Idealisation;
use crate::process::job::Job;
use crate::process::section::beside::SectionBeside;
use crate::process::section::{SectionJob, SectionStage};
use crate::process::stage::Stage;
use crate::process::tool::{Centre, Tool};

impl SectionCase {
    /// The section beside a plane ring of its own, which nothing solves: its readings stand alone. Expansions of the ring
    /// are those of the section, in their order.
    #[must_use]
    pub fn as_case(&self) -> Case {
        let SectionJob { hole, part, material, stages, numerics } = &self.job;
        let ring = Plate {
            outline: Outline::Disc { diameter: part.outer_diameter },
            thickness: part.thickness,
            holes: vec![Hole::round(hole.clone(), [0.0; 2], part.starting_diameter)],
        };
        let stages: Vec<Stage> = stages.iter().filter_map(in_the_plane).collect();
        let job = Job {
            plate: ring,
            idealisation: Idealisation::Axisymmetric,
            material: material.clone(),
            stages: stages.clone(),
            numerics: numerics.clone(),
            supports: Vec::new(),
            regions: Vec::new(),
        };
        let beside = SectionBeside {
            hole: 0,
            section: self.job.clone(),
            stages,
            numerics: numerics.clone(),
        };
        Case {
            title: self.title.clone(),
            units: self.units,
            job,
            material_name: self.material_name.clone(),
            material_sources: self.material_sources.clone(),
            path_angles: vec![Vec::new()],
            bracket: false,
            coating: None,
            idealisations: false,
            measured: Vec::new(),
            unknowns: self.unknowns.clone(),
            readings: self.readings.clone(),
            gauges: Vec::new(),
            plain_hole: false,
            life: None,
            sections: vec![beside],
            imported: None,
            text: self.text.clone(),
            sha256: self.sha256.clone(),
            warnings: self.warnings.clone(),
        }
    }
}

/// A stage of the section on the plane ring; what is cut at a face is none there.
fn in_the_plane(stage: &SectionStage) -> Option<Stage> {
    let tool = |mandrel_diameter, sleeve_thickness, elastic| Tool {
        mandrel_diameter,
        sleeve_thickness,
        split: None,
        elastic,
        centre: Centre::Floating,
        offset: [0.0; 2],
    };
    match stage {
        SectionStage::Draw { tool: drawn, .. } => Some(Stage::Expand {
            hole: 0,
            tool: tool(drawn.mandrel_diameter, drawn.sleeve_thickness, drawn.elastic),
        }),
        SectionStage::Grow { diameter } => {
            Some(Stage::Expand { hole: 0, tool: tool(*diameter, 0.0, None) })
        }
        SectionStage::Ream { diameter } => {
            Some(Stage::Ream { hole: 0, diameter: *diameter, offset: [0.0; 2] })
        }
        SectionStage::Spotface { .. } | SectionStage::Countersink { .. } => None,
    }
}
