//! Round walls with a hole: elastic, yielded, released, reamed.

use hoopset::material::elasticity::Elasticity;
use hoopset::material::hardening::Material;
use hoopset::material::idealisation::Idealisation;
use hoopset::mesh::build;
use hoopset::mesh::plan::MeshPlan;
use hoopset::mesh::topology::Symmetry;
use hoopset::numeric::profile::Profile;
use hoopset::process::job::{Job, Numerics};
use hoopset::process::stage::Stage;
use hoopset::theory::field::RotationalField;
use hoopset::theory::lame::Ring;
use hoopset::theory::plastic_cylinder::PlasticCylinder;
use hoopset::theory::plastic_sheet::PlasticSheet;
use hoopset::theory::ream::Reamed;

use crate::common::expansion::{drive, ready, rigid};
use crate::common::metals::{elastic, perfect};
use crate::common::plates::{disc, path, pressure, results, run};
use crate::common::wall::Wall;
use crate::{LEVELS, Series, folder, publish};

/// A wall on the program's own mesh.
fn wall(radii: (f64, f64), metal: Material, idealisation: Idealisation, fineness: f64) -> Wall {
    let symmetry = Symmetry { x: Some(0.0), y: Some(0.0) };
    let plan = MeshPlan { fineness, symmetry, ..MeshPlan::default() };
    let mesh = build(&disc(radii.0, radii.1), &plan).unwrap();
    Wall::on_mesh(radii, metal, idealisation, mesh)
}

fn relative(found: f64, expected: f64) -> f64 {
    (found / expected - 1.0).abs()
}

/// Mean distance of a recovered hoop profile from a closed form, over `scale`.
fn mean_error(found: &Profile, theory: &impl RotationalField, from: f64, scale: f64) -> f64 {
    let pieces = 1000;
    let width = theory.outer() - theory.inner();
    let sum: f64 = (0..pieces)
        .map(|k| {
            let r = theory.inner() + width * (f64::from(k) + 0.5) / f64::from(pieces);
            (found.at(r - from).unwrap() - theory.hoop(r).unwrap()).abs()
        })
        .sum();
    sum / f64::from(pieces) / scale
}

pub(crate) fn lame() {
    let elasticity = Elasticity { youngs_modulus: 210_000.0, poissons_ratio: 0.3 };
    let ring = Ring::new(100.0, 200.0, elasticity, Idealisation::PlaneStrain).unwrap();
    let theory = ring.at_pressure(100.0).unwrap();
    let (mut stress, mut moved) = (Vec::new(), Vec::new());
    for fineness in LEVELS {
        let metal = elastic(210_000.0, 0.3);
        let mut wall = wall((100.0, 200.0), metal, Idealisation::PlaneStrain, fineness);
        wall.press(100.0, 1.0);
        let (hoop, _) = wall.hoop_and_radial();
        println!(
            "lame {fineness}: bore hoop {:.5}, u_b {:.8}",
            hoop.values()[0],
            wall.displacement(200.0)
        );
        stress.push(relative(hoop.values()[0], theory.hoop(100.0).unwrap()));
        moved.push(relative(wall.displacement(100.0), theory.displacement(100.0).unwrap()));
    }
    let series = [
        Series::new("hoop stress at the bore", stress),
        Series::new("displacement of the bore", moved),
    ];
    publish("lame", &LEVELS, &series);
}

pub(crate) fn thick_cylinder() {
    let nu = 0.4999;
    let elasticity = Elasticity { youngs_modulus: 210_000.0, poissons_ratio: nu };
    let theory = PlasticCylinder::mises(100.0, 200.0, 240.0, elasticity).unwrap();
    let loaded = theory.at_pressure(180.0).unwrap();
    let residual = loaded.released(1.0).unwrap();
    let yield_difference = theory.yield_difference();
    let (mut rim, mut mean, mut bore, mut left) = (vec![], vec![], vec![], vec![]);
    for fineness in LEVELS {
        let metal = perfect(210_000.0, nu, 240.0);
        let mut wall = wall((100.0, 200.0), metal, Idealisation::PlaneStrain, fineness);
        wall.press(180.0, 0.02);
        let (hoop, _) = wall.hoop_and_radial();
        let moved = wall.displacement(200.0);
        rim.push(relative(moved, loaded.displacement(200.0).unwrap()));
        mean.push(mean_error(&hoop, &loaded, 0.0, yield_difference));
        wall.press(0.0, 0.25);
        let (hoop, _) = wall.hoop_and_radial();
        println!(
            "thick cylinder {fineness}: u_b {moved:.6}, residual bore {:.4}",
            hoop.values()[0]
        );
        bore.push((hoop.values()[0] - residual.hoop(100.0).unwrap()).abs() / yield_difference);
        left.push(mean_error(&hoop, &residual, 0.0, yield_difference));
    }
    let series = [
        Series::new("displacement of the rim", rim),
        Series::new("hoop stress in the mean over the wall / Y", mean),
        Series::new("residual hoop at the bore / Y", bore),
        Series::new("residual hoop in the mean over the wall / Y", left),
    ];
    publish("thick-cylinder", &LEVELS, &series);
}

/// The sheet opened by a rigid tool, or pressed: mesh and increments.
pub(crate) fn plastic_sheet() {
    let metal = || perfect(72_000.0, 0.33, 350.0);
    let elasticity = metal().elasticity;
    let sheet = PlasticSheet::new(1.0, 5.0, 350.0, elasticity).unwrap();
    let target = sheet.at_front(1.4).unwrap();
    let opening = target.displacement(1.0).unwrap();
    let tool_pressure = |fineness: f64, increments: usize| {
        let job = Job {
            plate: disc(1.0, 5.0),
            idealisation: Idealisation::PlaneStress,
            material: metal(),
            stages: vec![Stage::Expand { hole: 0, tool: rigid(2.0 * (1.0 + opening)) }],
            numerics: Numerics { fineness, increments, use_symmetry: true },
            supports: vec![],
        };
        let (mut system, mut state, start) = ready(&job);
        drive(&mut system, &mut state, [start, 1.0 + opening], increments, false, |_, _, _| {});
        let tool = state.tools.first().unwrap();
        let pressure = system.tools.first().unwrap().mean_pressure(tool);
        relative(pressure, target.pressure())
    };
    let (mut pressures, mut hoop_error, mut moved) = (vec![], vec![], vec![]);
    let levels = &LEVELS[..3];
    for &fineness in levels {
        pressures.push(tool_pressure(fineness, 96));
        let mut wall = wall((1.0, 5.0), metal(), Idealisation::PlaneStress, fineness);
        wall.press(target.pressure(), 1.0 / 96.0);
        let (hoop, _) = wall.hoop_and_radial();
        hoop_error.push(mean_error(&hoop, &target, 0.0, 350.0));
        moved.push(relative(wall.displacement(1.0), opening));
    }
    let series = [
        Series::new("pressure of a rigid tool", pressures),
        Series::new("hoop stress in the mean over the wall / σy", hoop_error),
        Series::new("displacement of the bore", moved),
    ];
    publish("plastic-sheet", levels, &series);
    let mut table = String::from("increments,tool pressure,bore displacement under pressure\n");
    for increments in [12, 24, 48, 96, 192] {
        let mut wall = wall((1.0, 5.0), metal(), Idealisation::PlaneStress, 0.5);
        wall.press(target.pressure(), 1.0 / increments as f64);
        let moved = relative(wall.displacement(1.0), opening);
        table += &format!("{increments},{:.3e},{moved:.3e}\n", tool_pressure(0.5, increments));
    }
    println!("{table}");
    std::fs::write(folder("plastic-sheet").join("increments.csv"), table).unwrap();
}

pub(crate) fn ream() {
    let elasticity = Elasticity { youngs_modulus: 210_000.0, poissons_ratio: 0.4999 };
    let cylinder = PlasticCylinder::mises(100.0, 200.0, 240.0, elasticity).unwrap();
    let residual = cylinder.at_pressure(180.0).unwrap().released(1.0).unwrap();
    let (mut at_edge, mut mean) = (Vec::new(), Vec::new());
    let levels = &LEVELS[..3];
    for &fineness in levels {
        let job = Job {
            plate: disc(100.0, 200.0),
            idealisation: Idealisation::PlaneStrain,
            material: perfect(210_000.0, 0.4999, 240.0),
            stages: vec![
                Stage::Load { load: pressure(0, 180.0), cycles: 1 },
                Stage::Ream { hole: 0, diameter: 210.0, offset: [0.0; 2] },
            ],
            numerics: Numerics { fineness, increments: 50, use_symmetry: true },
            supports: vec![],
        };
        let snapshots = run(&job);
        let last = snapshots.last().unwrap();
        let node = last.mesh.nodes[last.mesh.holes[0].edge[0]];
        let edge = node[0].hypot(node[1]);
        let theory = Reamed::new(residual, edge, 0.5).unwrap();
        let (result, _) = results(&snapshots, "2-ream-A", &job);
        let hoop = path(&result, "A", 0.0).hoop();
        let cut = last.cut.unwrap();
        println!(
            "ream {fineness}: drawn radius {edge:.5}, edge hoop {:.4} for {:.4}, moved {:.4}, transfer {:.1e}",
            hoop.values()[0],
            theory.hoop(edge).unwrap(),
            cut.largest_move,
            cut.transfer_error
        );
        at_edge.push(relative(hoop.values()[0], theory.hoop(edge).unwrap()));
        mean.push(mean_error(&hoop, &theory, edge, theory.hoop(edge).unwrap().abs()));
    }
    let series = [
        Series::new("hoop stress at the new edge", at_edge),
        Series::new("hoop stress in the mean over the wall", mean),
    ];
    publish("ream", levels, &series);
}
