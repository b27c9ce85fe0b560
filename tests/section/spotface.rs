//! Spotfaces: floors cut round the hole, before and after a draw.

use approx::assert_relative_eq;
use hoopset::process::job::Numerics;
use hoopset::process::section::record::SectionSnapshot;
use hoopset::process::section::run::SectionRun;
use hoopset::process::section::{Face, Rim, SectionStage};
use hoopset::process::stage_error::StageError;
use hoopset::result::section::read_section;

use crate::common::metals::elastic;
use crate::shop::{CAP, Keep, draw, isotropic, job, mandrel, metal, run};

const BOTH: [Face; 2] = [Face::Entry, Face::Exit];

fn spotface(face: Face, depth: f64, diameter: f64) -> SectionStage {
    SectionStage::Spotface { face, depth, diameter }
}

/// Nodes of a face: where they were drawn, and where they are now; radius and depth, mm.
fn face_nodes(snapshot: &SectionSnapshot, face: &str) -> Vec<[[f64; 2]; 2]> {
    let sides = &snapshot.mesh.edge(face).unwrap().sides;
    let place = |&node: &usize| {
        let (at, moved) = (snapshot.mesh.nodes[node], snapshot.state.displacement[node]);
        [at, [at[0] + moved[0], at[1] + moved[1]]]
    };
    sides.iter().flatten().map(place).collect()
}

/// Depth now of the face at the drawn radius `r`, mm.
fn level(snapshot: &SectionSnapshot, face: &str, r: f64) -> f64 {
    let nodes = face_nodes(snapshot, face);
    let off = |node: &&[[f64; 2]; 2]| (node[0][0] - r).abs();
    nodes.iter().min_by(|a, b| off(a).total_cmp(&off(b))).unwrap()[1][1]
}

/// Pressure that a cylinder of `driven` mm more than the bore has on a thin disc of two thicknesses, elastic, over the
/// modulus: rings in plane stress, `σr = A − B/r²`, whose radial forces and displacements agree at the step (the stepped
/// disc of the textbooks on strength of materials; the equations are solved here).
fn stepped_disc([a, s, b]: [f64; 3], [thin, thick]: [f64; 2], nu: f64, driven: f64) -> f64 {
    // u E/r = (1 − ν) A + (1 + ν) B/r². Unit displacement at a, free rim at b.
    let row = |r: f64| [1.0 - nu, (1.0 + nu) / (r * r)];
    let (bore, step) = (row(a), row(s));
    // Outer ring: B = A b²; so σr(s) = A (1 − b²/s²), u E/r = A k.
    let outer = 1.0 - b * b / (s * s);
    let stiff = step[0] + step[1] * b * b;
    // Inner: A − B/s² = (thick/thin) outer C; (1−ν) A + (1+ν) B/s² = stiff C.
    let load = thick / thin * outer;
    let first = f64::midpoint((1.0 + nu) * load, stiff);
    let second = (first - load) * s * s;
    let scale = (driven / a) / (bore[0] * first + bore[1] * second);
    -(first - second / (a * a)) * scale
}

/// A thin disc spotfaced from both sides and opened within its elastic range. The plane closed form leaves
/// out what happens within a thickness of the step; that goes with the thickness.
#[test]
fn an_opened_disc_of_two_thicknesses_has_the_pressure_of_the_closed_form() {
    let [a, s, b] = [10.0, 20.0, 40.0];
    let (nu, driven) = (0.3, 0.002);
    let pressure = |thickness: f64| {
        let depth = 0.25 * thickness;
        let mut stages: Vec<SectionStage> =
            BOTH.into_iter().map(|face| spotface(face, depth, 2.0 * s)).collect();
        stages.push(SectionStage::Grow { diameter: 2.0 * (a + driven) });
        let mut job = job(stages, elastic(70_000.0, nu));
        job.part.starting_diameter = 2.0 * a;
        job.part.outer_diameter = 2.0 * b;
        job.part.thickness = thickness;
        job.numerics = Numerics { fineness: 1.0, increments: 2, ..job.numerics };
        let full = &run(job)[2];
        let reading = read_section(full);
        -reading.paths[7].points[0].radial
    };
    let plane = 70_000.0 * stepped_disc([a, s, b], [0.5, 1.0], nu, driven);
    let [thick, thin] = [1.0, 0.25].map(|thickness| pressure(thickness) / plane - 1.0);
    println!("plane {plane:.3} MPa; off by {thick:.5} and {thin:.5}");
    assert!(thin.abs() < 0.005, "{thin}");
    assert!(thick.abs() < 0.02 && thin.abs() < thick.abs(), "{thick} {thin}");
}

/// Floor and wall lie on the cutter, the part is in balance, and the bore below keeps what it had.
#[test]
fn a_drawn_hole_can_be_spotfaced_and_one_that_is_can_be_drawn() {
    let drawn = || draw(mandrel(5.7 * 1.04, 0.05), CAP, false);
    let all = |stages| {
        let mut job = job(stages, metal());
        job.numerics = Numerics { fineness: 0.4, increments: 4, ..job.numerics };
        run(job)
    };
    for face in BOTH {
        let snapshots = all(vec![drawn(), spotface(face, 0.8, 12.0)]);
        let [plain, after] = &snapshots[..] else { panic!("{}", snapshots.len()) };
        let plain = read_section(plain).paths[3].headline().edge;
        let name = if face == Face::Entry { "entry" } else { "exit" };
        let drawn_floor = if face == Face::Entry { 0.8 } else { 4.9 };
        let nodes = face_nodes(after, name);
        let floor = nodes.iter().filter(|[drawn, _]| (drawn[1] - drawn_floor).abs() < 0.3);
        let depths = floor.map(|[_, now]| now[1]);
        let (low, high) = depths.fold((f64::INFINITY, 0.0_f64), |(l, h), z| (l.min(z), h.max(z)));
        // What the forces of the metal taken bore bends it by.
        assert!(high - low < 0.01, "{face:?}: from {low} to {high}");
        let depth = (low - level(after, name, 6.02)).abs();
        assert_relative_eq!(depth, 0.8, epsilon = 0.01);
        let kept = read_section(after).paths[3].headline().edge;
        assert!((kept - plain).abs() < 0.15 * plain.abs(), "{face:?}: {kept} for {plain}");
        // The cap of the exit face lies on the floor of that spotface, or across it.
        let before = all(vec![spotface(face, 0.8, 12.0), drawn()]).pop().unwrap();
        let kept = read_section(&before).paths[3].headline().edge;
        assert!((kept - plain).abs() < 0.15 * plain.abs(), "{face:?}: {kept} for {plain}");
    }
}

/// Spotfaces on both faces, equal or not, then a ream and a countersink below one of them: every mesh is sound and in
/// balance.
#[test]
fn work_goes_on_below_spotfaces() {
    for other in [12.0, 12.3, 16.0, 9.0] {
        let stages = vec![
            SectionStage::Grow { diameter: 5.7 * 1.04 },
            spotface(Face::Exit, 0.5, other),
            spotface(Face::Entry, 0.7, 12.0),
            SectionStage::Ream { diameter: 6.1 },
            SectionStage::Countersink {
                face: Face::Entry,
                depth: 0.6,
                angle: 100.0_f64.to_radians(),
            },
        ];
        let snapshots = run(job(stages, isotropic()));
        let last = snapshots.last().unwrap();
        let bore = read_section(last).bore;
        // From floor to floor, each so far below its face at the wall; the opening thickened the metal.
        let opened = &snapshots[1];
        let top = level(opened, "entry", 6.0) + 0.7;
        let floors = level(opened, "exit", 0.5 * other) - 0.5 - top;
        let length = bore.last().unwrap()[0] - bore[0][0];
        assert_relative_eq!(length, floors, epsilon = 0.01);
        let widest = 6.1 + 1.2 * 50.0_f64.to_radians().tan();
        assert_relative_eq!(bore[0][1], widest, max_relative = 0.02);
        let middle = read_section(last).paths[4].headline().edge;
        assert!(middle < -200.0, "{other}: {middle}");
    }
}

/// Equal spotfaces on a part alike on both sides leave it so.
#[test]
fn equal_spotfaces_leave_the_part_alike_on_both_sides() {
    let mut stages = vec![SectionStage::Grow { diameter: 5.7 * 1.04 }];
    stages.extend(BOTH.map(|face| spotface(face, 0.7, 12.0)));
    let mut job = job(stages, isotropic());
    job.part.rim = Rim::Flat;
    let reading = read_section(run(job).last().unwrap());
    let edges: Vec<f64> = reading.paths.iter().map(|path| path.headline().edge).collect();
    for k in 0..3 {
        // The first was cut with the other face still whole, and what was read off there is not symmetric.
        assert!((edges[k] - edges[6 - k]).abs() < 0.02 * 350.0, "{edges:?}");
    }
}

#[test]
fn spotfaces_that_cannot_be_cut_are_errors() {
    let error = |stages| {
        let mut run = SectionRun::new(job(stages, metal())).unwrap();
        run.run(&mut Keep::default()).unwrap_err()
    };
    let twice = vec![spotface(Face::Entry, 0.5, 12.0), spotface(Face::Entry, 0.8, 12.0)];
    assert!(matches!(error(twice), StageError::Spotfaced { .. }));
    let narrow = vec![spotface(Face::Entry, 0.5, 5.8)];
    assert!(matches!(error(narrow), StageError::NotCleanedUp { .. }));
    let swallowed = vec![spotface(Face::Entry, 0.5, 7.0), SectionStage::Ream { diameter: 6.8 }];
    assert!(matches!(error(swallowed), StageError::CutBeyondRings { .. }));
}
