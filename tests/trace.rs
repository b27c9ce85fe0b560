//! Following a run: the watched point against the snapshots, the frames, and the figures made
//! of both.
#![allow(clippy::unwrap_used, missing_docs)]

use std::fs;

use hoopset::plot::{
    Component, FigureContext, deviatoric_path, edge_loop, plastic_growth, stress_steps,
};
use hoopset::process::history::Phase;
use hoopset::process::trace::{Trace, Watched};
use hoopset::result::frames::read_frame;
use hoopset::tensor::Stress;
use hoopset::{Case, parse, read};

const CASE: &str = r#"
    title = "Ring <A> & more"
    units = "mm-MPa"
    plate = { outer_diameter = 30.0, thickness = 3.0 }
    material = { youngs_modulus = 72000.0, poissons_ratio = 0.33, yield_stress = 350.0, kinematic = [ { modulus = 20000.0, recall = 150.0 } ] }
    hole = [ { name = "A", starting_diameter = 6.0 } ]
    stage = [ { expand = "A", applied_expansion = 0.02 }, { ream = "A", diameter = 6.3 } ]
    numerics = { fineness = 0.5, increments = 12 }
"#;

fn followed(depth: f64) -> (Case, Trace) {
    follow(CASE, depth)
}

fn follow(text: &str, depth: f64) -> (Case, Trace) {
    let case = parse(text, "ring.toml").unwrap();
    let mut trace = Trace::new(&case.job, Watched { hole: 0, angle: 0.0, depth }, 3);
    case.sequence(case.job.clone()).unwrap().run(&mut trace).unwrap();
    (case, trace)
}

#[test]
fn a_trace_starts_at_rest_and_has_a_record_for_every_increment() {
    let (_, trace) = followed(0.0);
    assert_eq!(trace.records.len(), trace.history.len() + 1);
    let rest = &trace.records[0];
    assert_eq!(rest.stress, Stress::default().polar(0.0));
    assert_eq!((rest.increment, rest.equivalent_plastic_strain.to_bits()), (0, 0));
    for (record, noted) in trace.records[1..].iter().zip(&trace.history) {
        assert_eq!((&record.stage, record.increment), (&noted.stage, noted.increment));
    }
}

#[test]
fn the_last_record_of_a_phase_is_the_point_of_its_snapshot() {
    let (_, trace) = followed(0.0);
    for snapshot in &trace.snapshots {
        let record = trace.records.iter().find(|r| r.increment == snapshot.history.len()).unwrap();
        // Found by its stress, which no other point of a ring has to all digits.
        let angle = record.position[1].atan2(record.position[0]);
        let same = |stress: &&nalgebra::Vector4<f64>| {
            let polar = Stress::from(**stress).polar(angle);
            (polar.hoop - record.stress.hoop).abs() + (polar.radial - record.stress.radial).abs()
                < 1e-9
        };
        assert!(snapshot.state.stress.iter().any(|stress| same(&stress)), "{}", snapshot.label);
    }
}

#[test]
fn a_point_that_is_cut_away_is_followed_by_the_one_that_is_left() {
    let (_, trace) = followed(0.0);
    let radius = |k: usize| trace.records[k].position[0].hypot(trace.records[k].position[1]);
    let cut = trace.records.iter().position(|r| r.phase == Phase::Ream).unwrap();
    assert!(radius(cut - 1) < 3.03 && radius(cut) > 3.1, "{} {}", radius(cut - 1), radius(cut));
    let stretches = trace.stretches();
    // The path does not jump: the ream begins with a record of its own.
    assert_eq!(stretches[2].records[0].phase, Phase::Ream);
    assert_eq!(stretches[1].records[0].phase, Phase::Expand);
    // Watched deeper, the metal is one and the same throughout.
    let (_, deep) = followed(1.5);
    let stretches = deep.stretches();
    assert_eq!(stretches[2].records[0].phase, Phase::Release);
}

#[test]
fn strain_at_the_edge_is_displacement_over_radius() {
    // Hoop strain of a ring is u/r. Source: any text on elasticity.
    let (_, trace) = followed(0.0);
    for record in trace.records.iter().filter(|r| r.phase == Phase::Expand) {
        let radius = record.position[0].hypot(record.position[1]);
        let strain = (record.edge_displacement / 3.0).ln_1p();
        // The point lies inside the edge by a share of the radius, over which u falls by as much.
        let slack = 3.0 * (radius / 3.0 - 1.0) * strain + 1e-12;
        assert!((record.strain.hoop - strain).abs() <= slack, "{} {strain}", record.strain.hoop);
    }
}

#[test]
fn stress_stays_on_or_inside_the_yield_circle() {
    // With small strains: with finite ones the circle is that of the stress by the drawn volume.
    let small = CASE.replace("fineness = 0.5,", "fineness = 0.5, strains = \"small\",");
    let (_, trace) = follow(&small, 0.0);
    for record in &trace.records {
        let (s, a) = (record.stress.cartesian(0.0), record.backstress.cartesian(0.0));
        let rest = Stress { xx: s.xx - a.xx, yy: s.yy - a.yy, zz: s.zz - a.zz, xy: s.xy - a.xy };
        assert!(rest.von_mises() <= record.yield_stress * (1.0 + 1e-6), "{record:?}");
    }
    // Pressed outward, a kinematic metal moves its yield surface towards radial compression.
    let full = trace.records.iter().rev().find(|r| r.phase == Phase::Expand).unwrap();
    assert!(full.backstress.radial < -10.0, "{:?}", full.backstress);
}

#[test]
fn the_frame_at_the_end_of_a_phase_reads_as_its_snapshot() {
    let (case, trace) = followed(0.0);
    for snapshot in &trace.snapshots {
        let increments = snapshot.history.len();
        let frame = trace
            .frames
            .iter()
            .find(|frame| trace.records[frame.record].increment == increments)
            .unwrap();
        let (nodal, path) = read_frame(&trace, frame, &case.job).unwrap();
        let (stage, _) = read(snapshot, &case.job, &case.path_angles).unwrap();
        assert_eq!(nodal.hoop, stage.nodal.hoop, "{}", snapshot.label);
        assert_eq!(nodal.reverse_plastic_strain.len(), stage.nodal.reverse_plastic_strain.len());
        let same = stage.paths.iter().find(|p| p.angle_deg.abs() < 1e-9).unwrap();
        assert_eq!(path.hoop(), same.hoop());
        if snapshot.finished {
            assert_eq!(nodal.reverse_plastic_strain, stage.nodal.reverse_plastic_strain);
        }
    }
}

#[test]
fn figures_of_a_trace_are_written_and_the_page_needs_nothing_else() {
    let (case, trace) = followed(0.0);
    let folder = tempfile::tempdir().unwrap();
    let context = FigureContext { case_title: &case.title, units: case.units };
    let figure = edge_loop(&trace, context, folder.path()).unwrap();
    let rows = fs::read_to_string(figure.csv.unwrap()).unwrap();
    assert!(rows.starts_with("curve,Hoop strain (%),Hoop stress (MPa)\n"));
    assert!(rows.lines().count() > trace.records.len());
    let figure = deviatoric_path(&trace, context, folder.path()).unwrap();
    let text = fs::read_to_string(figure.svg).unwrap();
    assert!(text.contains("yield circle after 1-expand-A: tool growing"), "it has moved");
    let hoop = (Component::Hoop, 6.0);
    stress_steps(&trace, &case.job, hoop, &[], context, folder.path()).unwrap();

    let page = plastic_growth(&trace, &case.job, 1.5, context, folder.path()).unwrap();
    let again = fs::read(&page).unwrap();
    plastic_growth(&trace, &case.job, 1.5, context, folder.path()).unwrap();
    assert_eq!(again, fs::read(&page).unwrap(), "equal input gives equal bytes");
    let text = String::from_utf8(again).unwrap();
    assert!(text.len() < 1_500_000, "{} bytes", text.len());
    for (k, _) in trace.frames.iter().enumerate() {
        assert!(text.contains(&format!("<g id=\"f{k}\">")), "frame {k}");
    }
    assert!(!text.contains(&format!("<g id=\"f{}\">", trace.frames.len())));
    // Nothing is fetched: the only addresses are the names of the SVG dialects.
    let addresses = text.replace("http://www.w3.org/2000/svg", "");
    let addresses = addresses.replace("http://www.w3.org/1999/xlink", "");
    assert!(!addresses.contains("http") && !addresses.contains("//cdn"), "an address");
    assert!(!text.contains("Ring <A>"), "the title is escaped");
    // The last frame shows without a script, and there is metal that yielded twice.
    let last = trace.frames.len() - 1;
    assert!(text.contains(&format!("<use id=\"now\" href=\"#f{last}\"/>")));
    assert!(text.contains("<path class=\"again\" d=\"M"));
}
