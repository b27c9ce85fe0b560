//! Doublers of case files.

use super::parts::{at, joint};
use crate::common::plates::run;
use approx::assert_relative_eq;
use hoopset::case;
use hoopset::geometry::hole::Hole;
use hoopset::plot::{FigureContext, hoop_with_doubler, joint_forces};
use hoopset::process::doubler::{Doubler, Filling};
use hoopset::process::job::Job;
use hoopset::result::read::read;
use hoopset::theory::fastener::{Formula, Shank, Sheet};
use hoopset::units::Units;

fn text(units: &str, scale: f64, doubler: &str) -> String {
    let mm = |length: f64| length / scale;
    let metal = if units == "mm-MPa" { "youngs_modulus = 70000" } else { "youngs_modulus = 10000" };
    format!(
        "title = \"strap\"\nunits = \"{units}\"\n\
         [plate]\nwidth = {}\nheight = {}\nthickness = {}\n\
         [material]\n{metal}\npoissons_ratio = 0.33\nyield_stress = {}\n\
         [[hole]]\nname = \"A\"\nat = [{}, {}]\nstarting_diameter = {}\n\
         [[hole]]\nname = \"B\"\nat = [{}, {}]\nstarting_diameter = {}\n\
         [[doubler]]\nname = \"strap\"\nrectangle = [[{}, {}], [{}, {}]]\nthickness = {}\n{doubler}\n\
         [[stage]]\njoin = \"strap\"\n\
         [[stage]]\nload = {{ tension = {}, along = \"x\" }}\n\
         [numerics]\nhardening_bracket = false\nfineness = 0.5\nincrements = 4\n",
        mm(120.0),
        mm(40.0),
        mm(3.0),
        if units == "mm-MPa" { 300.0 } else { 43.0 },
        mm(40.0),
        mm(20.0),
        mm(5.0),
        mm(80.0),
        mm(20.0),
        mm(5.0),
        mm(25.0),
        mm(8.0),
        mm(95.0),
        mm(32.0),
        mm(2.0),
        if units == "mm-MPa" { 80.0 } else { 11.0 },
    )
}

fn job(doubler: &str) -> Job {
    case::parse(&text("mm-MPa", 1.0, doubler), "strap.toml").unwrap().job
}

fn doubler(job: &Job) -> &Doubler {
    job.doublers().next().unwrap()
}

#[test]
fn keys_of_a_doubler_reach_the_joint() {
    let plain = job("fasteners = [\"A\", \"B\"]");
    let found = doubler(&plain);
    assert_eq!((found.along, found.thickness, found.bond), (0, 2.0, None));
    let sheet = |thickness: f64| Sheet { thickness, modulus: 70_000.0 };
    let shank = Shank { diameter: 5.0, modulus: 200_000.0, poissons_ratio: 0.3, shears: 1 };
    let exact = Formula::HuthBolt.flexibility(sheet(3.0), sheet(2.0), shank, true);
    assert_relative_eq!(found.fasteners[1].flexibility, exact, max_relative = 1e-12);
    assert_eq!((found.fasteners[1].hole, found.fasteners[1].hole_diameter), (1, 5.0));
    assert_eq!(found.fasteners[1].filling, Filling::Contact);
    // A default written out changes nothing.
    for key in [
        "faces = 1",
        "along = \"x\"",
        "hole_diameter = 5",
        "pin_modulus = 200000",
        "pin_poissons_ratio = 0.3",
        "rigid_pin = false",
        "fill = \"contact\"",
        "flexibility_formula = \"huth-bolt\"",
    ] {
        assert_eq!(job(&format!("fasteners = [\"A\", \"B\"]\n{key}")), plain, "{key}");
    }
    let both =
        job("fasteners = [\"A\", \"B\"]\nfaces = 2\nflexibility_formula = \"tate-rosenfeld\"");
    let found = doubler(&both);
    assert_eq!(found.thickness, 4.0);
    let shank = Shank { shears: 2, ..shank };
    let exact = Formula::TateRosenfeld.flexibility(sheet(3.0), sheet(2.0), shank, true);
    assert_relative_eq!(found.fasteners[0].flexibility, exact, max_relative = 1e-12);
    let bonded = job("adhesive = { shear_modulus = 700, thickness = 0.2 }\nfaces = 2");
    assert_relative_eq!(doubler(&bonded).bond.unwrap().stiffness(), 7000.0, max_relative = 1e-12);
}

#[test]
fn inches_and_kips_become_millimetres_and_newtons() {
    let written = "fasteners = [\"A\", \"B\"]\nflexibility = 0.005";
    let read = case::parse(&text("in-ksi", 25.4, written), "strap.toml").unwrap().job;
    let found = doubler(&read);
    assert_relative_eq!(found.thickness, 2.0, max_relative = 1e-12);
    // 0.005 in/kip over 4448.22 N.
    assert_relative_eq!(found.fasteners[0].flexibility, 2.855e-5, max_relative = 1e-3);
}

/// Half of the plate, cut along its middle, has the forces of the whole, and both sheets are read apart.
#[test]
fn a_half_has_the_forces_of_the_whole_and_sheets_are_read_apart() {
    let half = job("fasteners = [\"A\", \"B\"]\nfill = \"spring\"");
    let mut whole = half.clone();
    whole.numerics.use_symmetry = false;
    let [half_run, whole_run] = [&half, &whole].map(run);
    let [a, b] = [&half_run, &whole_run].map(|run| at(run, "2-load-full"));
    assert!(a.mesh.symmetry.copies() > 1 && b.mesh.symmetry.copies() == 1);
    for (one, other) in joint(a).fasteners.iter().zip(&joint(b).fasteners) {
        println!("{one:?}\n{other:?}");
        assert_relative_eq!(one.force[0], other.force[0], max_relative = 1e-5);
        assert!(other.force[1].abs() < 1e-6 * other.force[0].abs());
        assert_relative_eq!(one.bearing_stress[0], other.bearing_stress[0], max_relative = 1e-5);
        let [before, behind] = one.plate_force;
        assert_relative_eq!((before - behind).abs(), one.force[0].abs(), max_relative = 1e-6);
    }
    let (plate, summary) = read(a, &half, &[]).unwrap();
    assert_eq!(plate.mesh.nodes.len(), a.mesh.part(None).nodes.len());
    assert!(plate.mesh.sheets.is_empty() && plate.mesh.regions.quads.is_empty());
    assert_eq!(summary.joints, a.joint_readings);
    let bearing = summary.holes[0].bearing_stress.unwrap();
    assert_relative_eq!(bearing, joint(a).fasteners[0].bearing_stress[0], max_relative = 1e-6);
    let sheets = a.doublers_alone(&half);
    let (own, alone) = &sheets[0];
    let (doubler, _) = read(alone, own, &[]).unwrap();
    assert_eq!(doubler.mesh.nodes.len(), a.mesh.part(Some(0)).nodes.len());
    assert_eq!((own.plate.holes.len(), doubler.mesh.holes.len()), (2, 2));
    // Pulled along x between its fasteners, bare beyond them.
    let at = |x: f64| {
        let near = |node: &usize| {
            let [a, b] = doubler.mesh.nodes[*node];
            (a - x).hypot(b - 20.0)
        };
        let nearest = (0..doubler.mesh.nodes.len()).min_by(|a, b| near(a).total_cmp(&near(b)));
        doubler.nodal.stress[nearest.unwrap()].xx
    };
    assert!(at(60.0) > 10.0 && at(25.0).abs() < 0.05 * at(60.0), "{} {}", at(60.0), at(25.0));
}

/// The charts of a joint say what its readings say, and a hole under a doubler is pulled less by the same load.
#[test]
fn charts_show_forces_and_gain() {
    let mut job = job("fasteners = [\"A\", \"B\"]\nfill = \"spring\"");
    job.stages.insert(0, job.stages[1].clone());
    let snapshots = run(&job);
    let [bare, with] = ["1-load-full", "3-load-full"].map(|label| at(&snapshots, label));
    let [bare_result, with_result] =
        [bare, with].map(|snapshot| read(snapshot, &job, &[]).unwrap().0);
    let folder = tempfile::tempdir().unwrap();
    let context = FigureContext { case_title: "strap", units: Units::MmMpa };
    let table = |figure: &str| {
        let text = std::fs::read_to_string(folder.path().join(format!("{figure}.csv"))).unwrap();
        text.lines().map(str::to_owned).collect::<Vec<_>>()
    };
    joint_forces(joint(with), ["3-load-full", "at full load"], context, folder.path()).unwrap();
    let rows = table("3-load-full-forces-strap");
    let sections = joint(with).sections.len();
    assert_eq!(rows.len(), 1 + 2 * sections + 2, "{rows:#?}");
    let hole = &job.plate.holes[0];
    let stages = [&bare_result, &with_result];
    hoop_with_doubler(stages, hole, context, folder.path()).unwrap();
    let rows = table("3-load-full-doubler-at-A");
    let number = |row: &String| row.rsplit(',').next().unwrap().parse::<f64>().unwrap();
    let first = |words: &str| number(rows.iter().find(|row| row.contains(words)).unwrap());
    let (bare, with) = (first("without a doubler"), first("with it"));
    println!("{bare} without, {with} with");
    // A hole of 5 mm in 40 mm of width: three times 80 MPa and a little more; filled all round it hardly opens.
    assert!((240.0..280.0).contains(&bare) && with < 0.6 * bare);
    assert!(
        hoop_with_doubler(
            [&bare_result, &bare_result],
            &Hole::round("Z", [0.0; 2], 5.0),
            context,
            folder.path()
        )
        .is_err()
    );
}
