//! Runs the checks of `verification/` on several meshes and writes a table and a chart into the
//! folder of each.
//!
//! ```text
//! cargo run --release --example verification_charts              all of them
//! cargo run --release --example verification_charts lame ream    some of them
//! cargo run --release --example verification_charts redraw       charts from the tables only
//! ```
//!
//! The pages beside the charts say what is checked, against what, and why within what.
#![allow(clippy::unwrap_used, clippy::cast_precision_loss, clippy::print_stdout)]
#![allow(clippy::format_push_string, reason = "tables of a few lines")]

#[path = "../../tests/common/mod.rs"]
mod common;

mod chart;
mod expansion;
mod rings;
mod strip;

use std::path::PathBuf;

/// Fineness of the meshes of the closed-form checks.
const LEVELS: [f64; 4] = [0.5, 1.0, 2.0, 4.0];

/// Errors of one quantity on rising fineness.
struct Series {
    name: String,
    errors: Vec<f64>,
}

impl Series {
    fn new(name: &str, errors: Vec<f64>) -> Self {
        Self { name: name.to_owned(), errors }
    }

    /// Orders observed between neighbours.
    fn orders(&self, levels: &[f64]) -> Vec<f64> {
        self.errors
            .windows(2)
            .zip(levels.windows(2))
            .map(|(e, l)| (e[0] / e[1]).ln() / (l[1] / l[0]).ln())
            .collect()
    }
}

/// The folder of a check.
fn folder(name: &str) -> PathBuf {
    let folder = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("verification").join(name);
    std::fs::create_dir_all(&folder).unwrap();
    folder
}

/// Prints the errors and orders of a check, and writes the table its chart is drawn from.
fn publish(name: &str, levels: &[f64], series: &[Series]) {
    let mut table = String::from("fineness");
    for one in series {
        table += &format!(",{}", one.name);
    }
    table.push('\n');
    for (k, level) in levels.iter().enumerate() {
        table += &level.to_string();
        for one in series {
            table += &format!(",{:.3e}", one.errors[k]);
        }
        table.push('\n');
    }
    println!("\n{name}\n{table}");
    for one in series {
        println!("orders of {}: {:.2?}", one.name, one.orders(levels));
    }
    std::fs::write(folder(name).join("errors.csv"), table).unwrap();
}

/// Draws the charts anew from the tables that are there.
fn redraw(checks: &[(&str, &str, fn())]) {
    for (name, title, _) in checks {
        let folder = folder(name);
        let Ok(table) = std::fs::read_to_string(folder.join("errors.csv")) else { continue };
        let mut lines = table.lines();
        let names = lines.next().unwrap_or_default().split(',').skip(1);
        let rows: Vec<Vec<f64>> =
            lines.map(|line| line.split(',').map(|cell| cell.parse().unwrap()).collect()).collect();
        let levels: Vec<f64> = rows.iter().map(|row| row[0]).collect();
        let series: Vec<Series> = names
            .enumerate()
            .map(|(k, name)| Series::new(name, rows.iter().map(|row| row[k + 1]).collect()))
            .collect();
        chart::draw(&folder, title, &levels, &series);
    }
}

fn main() {
    let wanted: Vec<String> = std::env::args().skip(1).collect();
    let checks: [(&str, &str, fn()); 6] = [
        ("lame", "Elastic ring under pressure", rings::lame),
        ("thick-cylinder", "Thick cylinder, 0.18 GPa and back", rings::thick_cylinder),
        ("plastic-sheet", "Perfectly plastic sheet, front at 1.4 radii", rings::plastic_sheet),
        ("ream", "Reaming a residual ring from 100 to 105 mm", rings::ream),
        ("strip-with-hole", "Strip with a central hole in tension", strip::strip),
        ("expansion", "Demonstration case: distance from the finest mesh", expansion::expansion),
    ];
    if wanted != ["redraw"] {
        for (name, _, run) in checks {
            if wanted.is_empty() || wanted.iter().any(|one| one == name) {
                run();
            }
        }
    }
    redraw(&checks);
}
