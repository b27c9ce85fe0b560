//! Coarse sections for tests: a metal, mandrels, and a run that keeps its snapshots.

use std::ops::ControlFlow;

use hoopset::geometry::mandrel::MandrelProfile;
use hoopset::material::backstress::Backstress;
use hoopset::material::hardening::{Isotropic, Material};
use hoopset::material::strains::Strains;
use hoopset::process::job::Numerics;
use hoopset::process::section::observer::{SectionEnding, SectionObserver};
use hoopset::process::section::record::{SectionSnapshot, TravelRecord};
use hoopset::process::section::run::SectionRun;
use hoopset::process::section::{DrawTool, Rim, SectionJob, SectionPart, SectionStage, Support};
use hoopset::solver::friction::Friction;
use hoopset::solver::state::State;
use hoopset::solver::system::System;

use crate::common::metals::perfect;

#[derive(Default)]
pub(crate) struct Keep {
    pub(crate) snapshots: Vec<SectionSnapshot>,
}

impl SectionObserver for Keep {
    fn increment(&mut self, _: &TravelRecord, _: &System, _: &State) -> ControlFlow<()> {
        ControlFlow::Continue(())
    }
    fn snapshot(&mut self, snapshot: SectionSnapshot) -> ControlFlow<()> {
        self.snapshots.push(snapshot);
        ControlFlow::Continue(())
    }
}

pub(crate) fn run(job: SectionJob) -> Vec<SectionSnapshot> {
    let mut keep = Keep::default();
    let ending = SectionRun::new(job).unwrap().run(&mut keep).unwrap();
    assert_eq!(ending, SectionEnding::Done);
    keep.snapshots
}

/// Linear kinematic hardening (invented, of the size of a 2024 plate).
pub(crate) fn metal() -> Material {
    Material {
        kinematic: vec![Backstress { modulus: 1000.0, recall: 0.0 }],
        ..perfect(72_000.0, 0.33, 350.0)
    }
}

pub(crate) fn mandrel(diameter: f64, friction: f64) -> DrawTool {
    DrawTool {
        mandrel_diameter: diameter,
        sleeve_thickness: 0.0,
        sleeve: None,
        profile: MandrelProfile::default(),
        friction: Friction::constant(friction),
        elastic: None,
    }
}

pub(crate) const CAP: Support = Support::NoseCap { inner_diameter: 9.0, outer_diameter: 18.0 };

/// A hole of 5.7 mm through 5.7 mm, coarse.
pub(crate) fn job(stages: Vec<SectionStage>, material: Material) -> SectionJob {
    SectionJob {
        hole: "A".into(),
        part: SectionPart {
            starting_diameter: 5.7,
            outer_diameter: 60.0,
            thickness: 5.7,
            rim: Rim::Free,
        },
        material,
        stages,
        numerics: Numerics {
            fineness: 0.4,
            increments: 4,
            strains: Strains::Small,
            strain_parts: Some(4),
            ..Numerics::default()
        },
    }
}

pub(crate) fn draw(tool: DrawTool, support: Support, backwards: bool) -> SectionStage {
    SectionStage::Draw { tool, support, backwards }
}

/// Linear isotropic hardening, the metal of the independent radial code.
pub(crate) fn isotropic() -> Material {
    Material { isotropic: Isotropic::Linear { slope: 1000.0 }, ..perfect(72_000.0, 0.33, 350.0) }
}

/// Steel that hardens, of the strength of a sleeve (invented).
pub(crate) fn sleeve_steel() -> Material {
    Material { isotropic: Isotropic::Linear { slope: 2000.0 }, ..perfect(200_000.0, 0.3, 1100.0) }
}

/// Mean between two shares of the depth of a line through depths and values, by small steps.
pub(crate) fn mean(line: &[[f64; 2]], from: f64, to: f64) -> f64 {
    let thickness = line[line.len() - 1][0];
    let at = |share: f64| {
        let depth = share * thickness;
        let after = line.partition_point(|[z, _]| *z < depth).clamp(1, line.len() - 1);
        let ([z0, h0], [z1, h1]) = (line[after - 1], line[after]);
        h0 + (h1 - h0) * (depth - z0) / (z1 - z0)
    };
    let parts = 2000;
    let sum: f64 =
        (0..parts).map(|k| at(from + (f64::from(k) + 0.5) / f64::from(parts) * (to - from))).sum();
    sum / f64::from(parts)
}
