//! Loads that go between highest and lowest values: what every reversal leaves at the edge.
#![allow(clippy::unwrap_used, clippy::float_cmp, missing_docs)]
#![allow(clippy::print_stdout, reason = "what was measured, for `--nocapture`")]

use approx::assert_relative_eq;
use hoopset::case::{self, Case};
use hoopset::process::plain::{NoPlain, plain_job};
use hoopset::process::program::Program;
use hoopset::process::stage::Stage;
use hoopset::result::service_summary::{ServiceSummary, Shakedown, services};
use hoopset::theory::strip_hole::STRIP_HOLE;
use hoopset::{Snapshot, read};

/// A strip with its hole in the middle, 2a/width = 0.1, that yields at 400 MPa and goes on there.
const STRIP: &str = r#"units = "mm-MPa"
plate = { width = 60.0, height = 180.0, thickness = 2.0 }
material = { youngs_modulus = 72000.0, poissons_ratio = 0.33, yield_stress = 400.0 }
hole = [{ name = "A", at = [30.0, 90.0], starting_diameter = 6.0 }]
numerics = { strains = "small" }
[[stage]]
"#;

/// An expanded and reamed hole far from every edge, on a coarse mesh.
const WORKED: &str = r#"units = "mm-MPa"
plate = { width = 60.0, height = 60.0, thickness = 5.0, alloy = "2024-T351 plate" }
hole = [{ name = "A", at = [30.0, 30.0], starting_diameter = 5.7 }]
numerics = { fineness = 0.5, increments = 12 }
[[stage]]
expand = "A"
applied_expansion = 0.035
[[stage]]
ream = "A"
diameter = 6.0
[[stage]]
load = { tension = 150.0, along = "y" }
"#;

fn parsed(text: &str) -> Case {
    case::parse(text, "service.toml").unwrap()
}

fn run(case: &Case) -> Vec<Snapshot> {
    let mut snapshots: Vec<Snapshot> = Vec::new();
    case.sequence(case.job.clone()).unwrap().run(&mut snapshots).unwrap();
    snapshots
}

fn summary(case: &Case, snapshots: &[Snapshot]) -> ServiceSummary {
    services(snapshots.last().unwrap(), &case.job, &case.path_angles, None).remove(0)
}

/// Index of the path at an angle.
fn path(service: &ServiceSummary, angle: f64) -> usize {
    service.worked.paths.iter().position(|path| path.angle_deg == angle).unwrap()
}

#[test]
fn in_an_elastic_plate_every_reversal_is_the_load_times_the_stress_concentration() {
    let load = "load = { tension = 60.0, along = \"y\" }\nload_ratio = -0.4\ncycles = 2\n";
    let case = parsed(&format!("{STRIP}{load}"));
    let snapshots = run(&case);
    let service = summary(&case, &snapshots);
    let side = &service.worked.paths[path(&service, 0.0)];
    // Computed independently with complex variables, see `theory/strip_hole.rs`; the default mesh
    // is within 0.15 % there (README), and the strip is three times as long as wide.
    let strip = STRIP_HOLE.into_iter().find(|strip| (strip.ratio - 0.1).abs() < 1e-9).unwrap();
    assert_relative_eq!(side.highest, strip.across * 60.0, max_relative = 2e-3);
    // Linear: only the tolerance of the equilibrium is between them.
    assert_relative_eq!(side.lowest, -0.4 * side.highest, max_relative = 1e-7);
    assert_relative_eq!(side.range(), 1.4 * side.highest, max_relative = 1e-7);
    assert_relative_eq!(side.mean(), 0.3 * side.highest, max_relative = 1e-7);
    assert!(side.before == 0.0 && side.after.abs() < 1e-4, "{side:?}");
    assert_eq!(service.worked.shakedown, Shakedown::Reached);
    // Where nothing yields, every way from one turning point to the next is one increment.
    let increments = snapshots.last().unwrap().history.len();
    assert_eq!(increments, 5);
}

#[test]
fn an_edge_is_read_as_a_path_of_the_snapshot_reads_it() {
    let case = parsed(&format!("{WORKED}load_ratio = -0.5\n"));
    let mut case = case;
    case.path_angles = vec![vec![33.0]];
    let snapshots = run(&case);
    let service = summary(&case, &snapshots);
    let full = snapshots.iter().find(|snapshot| snapshot.label == "3-load-full").unwrap();
    let (_, read_full) = read(full, &case.job, &case.path_angles).unwrap();
    let (_, read_end) = read(snapshots.last().unwrap(), &case.job, &case.path_angles).unwrap();
    let (_, read_before) = read(&snapshots[2], &case.job, &case.path_angles).unwrap();
    assert_eq!(snapshots[2].label, "2-ream-A");
    let turn = service.worked.rows.iter().find(|row| row.load == 1.0 && row.reversal == 1).unwrap();
    assert_eq!(service.worked.paths.len(), read_full.paths.len());
    for (index, path) in service.worked.paths.iter().enumerate() {
        assert_eq!(path.angle_deg, read_full.paths[index].angle_deg);
        // At nodes the same sums; between them the path starts within a millionth of a millimetre
        // of the side, where the stress changes by hundreds of MPa in a millimetre.
        let close = |found: f64, read: f64| (found - read).abs() < 4e-3;
        assert!(close(turn.edge_hoop[index], read_full.paths[index].edge_hoop), "{path:?}");
        assert!(close(path.after, read_end.paths[index].edge_hoop), "{path:?}");
        assert!(close(path.before, read_before.paths[index].edge_hoop), "{path:?}");
    }
}

#[test]
fn blocks_of_equal_cycles_are_those_cycles() {
    let cycles = parsed(&format!("{WORKED}load_ratio = 0.1\ncycles = 3\n"));
    let blocks =
        "blocks = [{ highest = 1.0, lowest = 0.1, cycles = 2 }, { highest = 1, lowest = 0.1 }]";
    let blocks = parsed(&format!("{WORKED}{blocks}\n"));
    let (one, other) = (run(&cycles), run(&blocks));
    let (one, other) = (one.last().unwrap(), other.last().unwrap());
    assert_eq!(one.history, other.history);
    assert_eq!(one.state, other.state);
    assert_eq!(one.services[0].readings, other.services[0].readings);
}

#[test]
fn compression_relaxes_the_residual_stress_and_tension_of_the_same_size_does_not() {
    let relaxed = |blocks: &str| {
        let case = parsed(&format!("{WORKED}blocks = [{blocks}]\n"));
        let snapshots = run(&case);
        let service = summary(&case, &snapshots);
        let side = service.worked.paths[path(&service, 0.0)].clone();
        println!("{blocks}: {side:?} {:?}", service.worked.shakedown);
        (side, service.worked.shakedown)
    };
    let (over, settled_over) =
        relaxed("{ highest = 1, lowest = 0 }, { highest = 0.5, lowest = 0, cycles = 3 }");
    let (under, settled_under) =
        relaxed("{ highest = 0, lowest = -1 }, { highest = 0.5, lowest = 0, cycles = 3 }");
    assert!(over.before < -300.0 && under.before == over.before);
    // Three times the tension only just takes the compression off: nothing yields at this side.
    assert!((over.after - over.before).abs() < 10.0, "{over:?}");
    // Three times the compression comes on top of it: the metal yields, and less is left.
    assert!(under.after - under.before > 50.0, "{under:?}");
    assert!(under.highest > over.highest + 50.0);
    assert_eq!([settled_over, settled_under], [Shakedown::Reached; 2]);
}

#[test]
fn a_perfectly_plastic_hole_shakes_down_below_twice_the_yield_stress_and_not_above() {
    // E. Melan's static theorem (1938, from memory): elastic stresses of a cycle whose range stays
    // below twice the yield stress can be shifted into the yield surface; at the edge, where the
    // state is uniaxial, a larger range cannot.
    let run = |course: &str| {
        let case =
            parsed(&format!("{STRIP}load = {{ tension = 200.0, along = \"y\" }}\n{course}\n"));
        summary(&case, &run(&case)).worked
    };
    // Range 3.03 × 200 = 606 MPa, peak beyond yield, range below 800.
    let below = run("load_ratio = 0.0\ncycles = 4");
    assert!(below.periods[0].growth > 1e-4, "{:?}", below.periods);
    assert_eq!(below.shakedown, Shakedown::Reached, "{:?}", below.periods);
    // Range 3.03 × 400 = 1213 MPa: it yields to and fro in every cycle.
    let above = run("load_ratio = -1.0\ncycles = 6");
    assert_eq!(above.shakedown, Shakedown::None, "{:?}", above.periods);
    let last = above.periods.last().unwrap();
    assert!(last.growth > 1e-3 && last.drift < 0.05 * last.growth, "{last:?}");
}

#[test]
fn a_spectrum_is_read_from_a_file_beside_the_case() {
    let folder = tempfile::tempdir().unwrap();
    let text = format!(
        "{STRIP}load = {{ tension = 60.0, along = \"y\" }}\nspectrum = \"flights.txt\"\nrepeats = 2\n"
    );
    let of = |spectrum: &str| {
        std::fs::write(folder.path().join("flights.txt"), spectrum).unwrap();
        let file = folder.path().join("case.toml");
        std::fs::write(&file, &text).unwrap();
        case::read(&file)
    };
    let case = of("# taxi\n-0.2\n0.3\n0.6 # gust\n\n0.1\n1.0\n").unwrap();
    let [Stage::Service { program, .. }] = case.job.stages.as_slice() else { panic!() };
    let expected = Program::Spectrum { turns: vec![-0.2, 0.6, 0.1, 1.0], repeats: 2 };
    assert_eq!(*program, expected);
    let service = summary(&case, &run(&case));
    let side = &service.worked.paths[path(&service, 0.0)];
    assert_relative_eq!(side.lowest, -0.2 * side.highest, max_relative = 1e-7);

    let said = |spectrum: &str| of(spectrum).unwrap_err().problem;
    assert_eq!(said("0\n1\nabc\n"), "`flights.txt` line 3: `abc` is not a number");
    assert_eq!(said("0\n1 2\n"), "`flights.txt` line 2: `1 2` is not a number");
    assert_eq!(said("0\n\ninf\n"), "`flights.txt` line 3: `inf` is not a number");
    assert_eq!(said("0\n120\n"), "`flights.txt` line 2: 120 is beyond 10 times the load");
    assert_eq!(said("1\n1\n"), "`flights.txt` has no two different values: nothing turns");
    assert_eq!(said(""), "`flights.txt` has no two different values: nothing turns");
    let long = "0\n1\n".repeat(1000) + "0\n";
    assert_eq!(said(&long), "`flights.txt` has 2001 turning points, more than 2000");
    let many = "0\n1\n".repeat(750);
    assert_eq!(said(&many), "`repeats` is 2, outside 1 to 1");
}

#[test]
fn the_plain_part_has_holes_of_final_size_and_the_same_loads() {
    let case = parsed(&format!("{WORKED}load_ratio = 0.1\n"));
    let plain = plain_job(&case.job).unwrap();
    assert_eq!(plain.plate.holes[0].starting_diameter, 6.0);
    assert_eq!(plain.stages, case.job.stages[2..]);
    let unloaded = parsed(WORKED);
    assert_eq!(plain_job(&unloaded.job), Err(NoPlain::NoService));
    let strip = format!("{STRIP}load = {{ tension = 60.0, along = \"y\" }}\nload_ratio = 0.1\n");
    assert_eq!(plain_job(&parsed(&strip).job), Err(NoPlain::Nothing));
}
