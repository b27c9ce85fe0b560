//! The demonstration case on finer meshes and with more increments: what the default costs.

use hoopset::case::{DEMO, parse};
use hoopset::result::read::read;

use crate::common::plates::run;
use crate::{Series, folder, publish};

const LEVELS: [f64; 3] = [1.0, 2.0, 4.0];
const INCREMENTS: [usize; 3] = [12, 24, 48];

/// Peak compression, edge hoop, depth towards the near edge; the same away from it; retained
/// expansion in percent, from the state before the ream.
fn headline(fineness: f64, increments: usize) -> [f64; 7] {
    let mut job = parse(DEMO, "demo.toml").unwrap().job;
    job.numerics.fineness = fineness;
    job.numerics.increments = increments;
    let snapshots = run(&job);
    let summary = |label: &str| {
        let snapshot = snapshots.iter().find(|s| s.label == label).unwrap();
        read(snapshot, &job, &[]).unwrap().1
    };
    let (released, reamed) = (summary("1-expand-A"), summary("2-ream-A"));
    let numbers = |angle: f64| {
        let path = reamed.paths.iter().find(|p| (p.angle_deg - angle).abs() < 1e-6).unwrap();
        [path.peak_compression.unwrap()[0], path.edge_hoop, path.compression_depth.unwrap()]
    };
    let ([a, b, c], [d, e, f]) = (numbers(180.0), numbers(0.0));
    [a, b, c, d, e, f, 100.0 * released.holes[0].retained_expansion.unwrap()]
}

const NAMES: [&str; 7] = [
    "peak compression to near edge MPa",
    "edge hoop to near edge MPa",
    "depth to near edge mm",
    "peak compression away MPa",
    "edge hoop away MPa",
    "depth away mm",
    "retained expansion %",
];

pub(crate) fn expansion() {
    let mut table = format!("fineness,increments,{}\n", NAMES.join(","));
    let mut kept = Vec::new();
    for fineness in LEVELS {
        for increments in INCREMENTS {
            // The finest mesh with the default increments only, unless asked: it takes minutes.
            if fineness > 2.0 && increments != 24 {
                continue;
            }
            let numbers = headline(fineness, increments);
            let cells: Vec<String> = numbers.iter().map(|x| format!("{x:.4}")).collect();
            let line = format!("{fineness},{increments},{}", cells.join(","));
            println!("{line}");
            table += &line;
            table.push('\n');
            kept.push(((fineness, increments), numbers));
        }
    }
    // Increments alone, on a coarse mesh: the two errors hardly know of each other.
    for increments in [12, 24, 48, 96, 192, 384] {
        let numbers = headline(0.5, increments);
        let cells: Vec<String> = numbers.iter().map(|x| format!("{x:.4}")).collect();
        println!("0.5,{increments},{}", cells.join(","));
        table += &format!("0.5,{increments},{}\n", cells.join(","));
    }
    std::fs::write(folder("expansion").join("numbers.csv"), &table).unwrap();
    let at = |fineness: f64| {
        kept.iter().find(|(key, _)| *key == (fineness, 24)).map(|(_, numbers)| *numbers).unwrap()
    };
    // Distance from the finest mesh, the only reference there is.
    let reference = at(4.0);
    let levels = [1.0, 2.0];
    let series: Vec<Series> = [0, 2, 6]
        .map(|k| {
            let errors = levels.map(|level| (at(level)[k] / reference[k] - 1.0).abs()).to_vec();
            Series::new(&format!("{} from fineness 4", NAMES[k]), errors)
        })
        .into();
    publish("expansion", &levels, &series);
}
