//! A metal as text that a case file takes as it is.

use crate::case::hardening_law::written;
use crate::material::constant::Constant;
use crate::material::hardening::Material;
use crate::units::Units;

/// Digits of a constant in a table for a case file.
const DIGITS: usize = 7;

/// The metal as a `[material]` table of a case file with these units, to seven digits.
#[must_use]
pub fn for_case(material: &Material, units: Units) -> String {
    let mut written = material.clone();
    for constant in Constant::all(material) {
        let value = constant.of(material).unwrap_or(0.0);
        let scale = if constant.is_stress() { units.stress_scale() } else { 1.0 };
        let text = format!("{:.*e}", DIGITS - 1, value / scale);
        // What the standard library prints reads back.
        constant.put(&mut written, text.parse().unwrap_or(value / scale));
    }
    format!("# for a case file in {}\n{}", units.name(), material_text(&written))
}

/// The metal as a `[material]` table of a case file in mm and MPa.
#[must_use]
pub fn material_text(material: &Material) -> String {
    let elasticity = &material.elasticity;
    let isotropic = written(&material.isotropic);
    let terms: Vec<String> = material
        .kinematic
        .iter()
        .map(|term| {
            format!("    {{ modulus = {:?}, recall = {:?} }},\n", term.modulus, term.recall)
        })
        .collect();
    format!(
        "[material]\nyoungs_modulus = {:?}\npoissons_ratio = {:?}\nyield_stress = {:?}\n\
         isotropic = {isotropic}\nkinematic = [\n{}]\n",
        elasticity.youngs_modulus,
        elasticity.poissons_ratio,
        material.yield_stress,
        terms.concat(),
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::material::library::alloys;

    #[test]
    fn a_case_with_the_printed_metal_has_the_metal_of_the_alloy() {
        for alloy in alloys() {
            let text = format!(
                "units = \"mm-MPa\"\n[plate]\nouter_diameter = 60\nthickness = 6\n\
                 [[hole]]\nname = \"A\"\nstarting_diameter = 6\n\
                 [[stage]]\nexpand = \"A\"\napplied_expansion = 0.04\n{}",
                material_text(&alloy.material)
            );
            let case = crate::case::parse(&text, "case.toml").expect("a case");
            assert_eq!(case.job.material, alloy.material, "{}", alloy.name);
        }
    }
}
