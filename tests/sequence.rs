//! The work on a plate from drawing to ream, through the public interface.

mod common;

use std::ops::ControlFlow;

use hoopset::geometry::hole::Hole;
use hoopset::geometry::plate::{Outline, Plate};
use hoopset::material::backstress::Backstress;
use hoopset::material::elasticity::Elasticity;
use hoopset::material::hardening::{Isotropic, Material, VoceTerm};
use hoopset::material::idealisation::Idealisation;
use hoopset::process::history::HistoryRecord;
use hoopset::process::job::{Job, Numerics};
use hoopset::process::sequence::{Observer, Sequence};
use hoopset::process::snapshot::Snapshot;
use hoopset::process::stage::Stage;
use hoopset::process::tool::{Centre, Tool};

#[derive(Default)]
struct Keep {
    snapshots: Vec<Snapshot>,
}

impl Observer for Keep {
    fn increment(&mut self, r: &HistoryRecord) -> ControlFlow<()> {
        println!(
            "{} {:?} {:4} {:.3} exp {:.5} p {:.2} {:.2} closed {} its {} sc {} cb {} res {:.1e} shift {:?} W {:.3} {:.3e} {:?}",
            r.stage,
            r.phase,
            r.increment,
            r.share,
            r.expansion,
            r.mean_pressure,
            r.peak_pressure,
            r.closed_nodes,
            r.iterations,
            r.status_changes,
            r.cutbacks,
            r.residual,
            r.mandrel_shift,
            r.external_work,
            (r.external_work - r.elastic_energy - r.plastic_work) / r.external_work,
            r.residuals
        );
        ControlFlow::Continue(())
    }
    fn snapshot(&mut self, s: Snapshot) -> ControlFlow<()> {
        println!("== {} {:?}", s.label, s.cut);
        self.snapshots.push(s);
        ControlFlow::Continue(())
    }
}

fn demo() -> Job {
    Job {
        plate: Plate {
            outline: Outline::Rectangle { width: 60.0, height: 60.0 },
            thickness: 6.0,
            holes: vec![Hole { name: "A".into(), centre: [12.0, 30.0], starting_diameter: 5.7 }],
        },
        idealisation: Idealisation::PlaneStress,
        material: Material {
            elasticity: Elasticity { youngs_modulus: 73_000.0, poissons_ratio: 0.33 },
            yield_stress: 300.0,
            isotropic: Isotropic::Voce {
                terms: vec![VoceTerm { saturation: 60.0, rate: 30.0 }],
                slope: 300.0,
            },
            kinematic: vec![
                Backstress { modulus: 63_234.0, recall: 1058.0 },
                Backstress { modulus: 9_052.0, recall: 101.0 },
            ],
        },
        stages: vec![
            Stage::Expand {
                hole: 0,
                tool: Tool {
                    mandrel_diameter: 5.52,
                    sleeve_thickness: 0.2,
                    split: None,
                    elastic: Some((200_000.0, 0.3)),
                    centre: Centre::Floating,
                },
            },
            Stage::Ream { hole: 0, diameter: 6.0, offset: [0.0; 2] },
        ],
        numerics: Numerics::default(),
        supports: vec![],
    }
}

#[test]
fn demo_runs() {
    let start = std::time::Instant::now();
    let mut sequence = Sequence::new(demo()).unwrap();
    println!(
        "nodes {} quads {} tri {} holes {:?} {:?}",
        sequence.mesh().nodes.len(),
        sequence.mesh().quads.len(),
        sequence.mesh().triangles.len(),
        sequence.mesh().holes[0].layers,
        sequence.mesh().holes[0].sectors
    );
    println!("factor {} setup {:?}", sequence.system().factor_size(), start.elapsed());
    let mut keep = Keep::default();
    let end = sequence.run(&mut keep);
    println!(
        "{:?} {:?} {:?}",
        end.as_ref().map_err(|e| e.error.to_string()),
        start.elapsed(),
        sequence.system().factorizations()
    );
    assert!(end.is_ok());
}
