//! `hoopset alloys`: the library and where its numbers come from.

use std::path::Path;
use std::process::ExitCode;

use crate::cli::args::Alloys;
use crate::cli::exit::CliError;
use crate::cli::output::say;
use crate::material::hardening::Hardening;
use crate::material::library::{Alloy, alloys as library, find};
use crate::plot::{FigureContext, alloy_figures};
use crate::report::folder::ResultsFolder;
use crate::report::material::material_text;
use crate::units::Units;

pub(crate) fn alloys(arguments: &Alloys) -> Result<ExitCode, CliError> {
    if let Some(name) = &arguments.name {
        let alloy = find(name)?;
        print_alloy(alloy);
        if let Some(out) = &arguments.out {
            draw(alloy, out)?;
        }
        return Ok(ExitCode::SUCCESS);
    }
    say!("name                         E GPa     nu  flow at 0.2 %  at 4 %  MPa   density g/cm3");
    for alloy in library() {
        let material = &alloy.material;
        say!(
            "{:26} {:7.1}  {:5.2}  {:13.0}  {:6.0}  {:20.2}",
            alloy.name,
            material.elasticity.youngs_modulus / 1000.0,
            material.elasticity.poissons_ratio,
            material.monotonic_stress(0.002),
            material.monotonic_stress(0.04),
            alloy.density,
        );
    }
    say!("\nSources:");
    for alloy in library() {
        say!("  {}", alloy.name);
        for source in &alloy.sources {
            say!("    - {source}");
        }
    }
    say!("\n`hoopset alloys NAME` prints the law of one alloy.");
    Ok(ExitCode::SUCCESS)
}

/// Draws the first pull and loops of an alloy into folder `out`.
fn draw(alloy: &Alloy, out: &Path) -> Result<(), CliError> {
    let folder = ResultsFolder::create(out)?;
    let context = FigureContext { case_title: &alloy.name, units: Units::MmMpa };
    let figures = alloy_figures(&alloy.material, context, &folder.path(""))?;
    let kept = folder.finish_as(true)?;
    for name in figures.iter().filter_map(|figure| figure.png.file_name()) {
        say!("drew {}", kept.join(name).display());
    }
    Ok(())
}

fn print_alloy(alloy: &Alloy) {
    let material = &alloy.material;
    say!("{} ({}), density {:.2} g/cm3", alloy.name, alloy.form, alloy.density);
    say!(
        "  Young's modulus {:.0} MPa, Poisson's ratio {:.3}, first yield {:.1} MPa",
        material.elasticity.youngs_modulus,
        material.elasticity.poissons_ratio,
        material.elastic_limit(),
    );
    say!("  plastic strain   stress MPa   size of yield surface MPa");
    for p in [0.0, 0.0002, 0.002, 0.01, 0.02, 0.04, 0.08] {
        say!(
            "  {p:14.4}   {:10.1}   {:10.1}",
            material.monotonic_stress(p),
            material.yield_stress(p)
        );
    }
    for source in &alloy.sources {
        say!("  - {source}");
    }
    say!("\nThe same metal for a case file in mm-MPa:\n");
    say!("{}", material_text(material).trim_end());
}
