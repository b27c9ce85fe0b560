//! Runs the checks of `verification/` on several meshes and writes a table and a chart into the
//! folder of each.
//!
//! ```text
//! cargo run --release --example verification_charts              all of them
//! cargo run --release --example verification_charts lame ream    some of them
//! ```
//!
//! The pages beside the charts say what is checked, against what, and why within what.
#![allow(clippy::unwrap_used, clippy::cast_precision_loss, clippy::print_stdout)]

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

/// Prints the errors and orders of a check, and writes them as table and chart.
fn publish(name: &str, title: &str, levels: &[f64], series: &[Series]) {
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
    println!("\n{title}\n{table}");
    for one in series {
        println!("orders of {}: {:.2?}", one.name, one.orders(levels));
    }
    let folder = folder(name);
    std::fs::write(folder.join("errors.csv"), table).unwrap();
    chart::draw(&folder, title, levels, series);
}

fn main() {
    let wanted: Vec<String> = std::env::args().skip(1).collect();
    let checks: [(&str, fn()); 6] = [
        ("lame", rings::lame),
        ("thick-cylinder", rings::thick_cylinder),
        ("plastic-sheet", rings::plastic_sheet),
        ("ream", rings::ream),
        ("strip-with-hole", strip::strip),
        ("expansion", expansion::expansion),
    ];
    for (name, run) in checks {
        if wanted.is_empty() || wanted.iter().any(|one| one == name) {
            run();
        }
    }
}
