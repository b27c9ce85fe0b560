//! `hoopset alloys`: the library and where its numbers come from.
//!
//! Floor 11, `cli`.

use std::process::ExitCode;

use crate::cli::args::Alloys;
use crate::cli::error::CliError;
use crate::cli::output::say;
use crate::material::hardening::Hardening;
use crate::material::library::{Alloy, alloys as library, find};

pub(crate) fn alloys(arguments: &Alloys) -> Result<ExitCode, CliError> {
    if let Some(name) = &arguments.name {
        print_alloy(find(name)?);
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

fn print_alloy(alloy: &Alloy) {
    let material = &alloy.material;
    say!("{} ({}), density {:.2} g/cm3", alloy.name, alloy.form, alloy.density);
    say!(
        "  Young's modulus {:.0} MPa, Poisson's ratio {:.3}, first yield {:.1} MPa",
        material.elasticity.youngs_modulus,
        material.elasticity.poissons_ratio,
        material.elastic_limit(),
    );
    say!("  isotropic: {:?}", material.isotropic);
    for term in &material.kinematic {
        say!("  backstress: modulus {:.0} MPa, recall {:.1}", term.modulus, term.recall);
    }
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
}
