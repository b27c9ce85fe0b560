//! `alloy` and `[material]`: the metal.

use crate::case::border::{Border, plain, positive, required_positive};
use crate::case::complaint::{Complaint, Kind};
use crate::case::constants::{Limits, check_backstress};
use crate::case::hardening_law::{LAW_EXAMPLE, check_law, read_isotropic};
use crate::case::keys::part_keys;
use crate::case::keys::row::names;
use crate::case::table::{Table, Valued};
use crate::material::backstress::Backstress;
use crate::material::elasticity::Elasticity;
use crate::material::hardening::{Isotropic, Material};
use crate::material::library::{self, Alloy};
use crate::units::Units;

/// Most backstress terms a case file may give (design decision: three fit any curve in use).
const MOST_TERMS: usize = 3;

/// Young's moduli outside these, MPa, are a slip of units: structural metals lie at 40 to 420 GPa.
pub(super) const YOUNGS_MODULUS: [f64; 2] = [1e3, 1e6];

/// Coefficients of expansion of metals, by kelvin or by degree Fahrenheit.
const EXPANSIONS: [f64; 2] = [1e-7, 1e-4];

/// Share of the yield stress that a softening law must leave.
const LEAST_YIELD_STRESS: f64 = 0.1;

/// Plastic strain at the edge of a hole over its applied expansion, at most.
const STRAIN_OVER_EXPANSION: f64 = 3.0;

/// Expansion that a metal is checked for when there is none, or a smaller one.
const LEAST_EXPANSION: f64 = 0.01;

/// Largest yield stress over Young's modulus: small-strain theory would be lost on a
/// metal that yields at 5 % elastic strain, and no structural metal comes near it.
const LARGEST_YIELD_STRAIN: f64 = 0.05;

/// Moduli of aluminium to steel in the *other* unit: in a file in MPa, 9 000 to 31 000 is what
/// their moduli are in ksi; in a file in ksi, 60 000 and more is what they are in MPa.
const LOOKS_LIKE_KSI: [f64; 2] = [9_000.0, 31_000.0];
const LOOKS_LIKE_MPA: f64 = 60_000.0;

/// The metal, what to call it, and where its numbers come from.
pub(super) struct Metal {
    pub(super) material: Material,
    pub(super) name: String,
    pub(super) sources: Vec<String>,
    /// Coefficient of linear thermal expansion, by degree, when the case gives it.
    pub(super) expansion: Option<f64>,
}

/// Reads the metal; `warnings` takes what looks odd but may be meant.
pub(super) fn read_metal(
    plate: &Table<'_>,
    own: Option<&Table<'_>>,
    border: Border,
    warnings: &mut Vec<String>,
) -> Result<Metal, Complaint> {
    let alloy = match plate.text("alloy")? {
        None => None,
        Some(word) => Some(find_alloy(plate, &word)?),
    };
    let Some(own) = own else {
        let remedy = "name an alloy of the library, or write a [material] table";
        let alloy = alloy.ok_or_else(|| plate.missing("alloy", remedy))?;
        return Ok(Metal {
            material: alloy.material.clone(),
            name: alloy.name.clone(),
            sources: alloy.sources.clone(),
            expansion: None,
        });
    };
    own.only(&part_keys::MATERIAL.names())?;
    let material = read_own(own, alloy, border, warnings)?;
    let expansion = read_expansion(own)?;
    Ok(match alloy {
        None => Metal { material, name: "own".to_owned(), sources: vec![], expansion },
        Some(alloy) => {
            let changed: Vec<&str> =
                part_keys::MATERIAL.names().into_iter().filter(|key| own.has(key)).collect();
            let mut sources = alloy.sources.clone();
            sources.push(format!("the case file: {}", changed.join(", ")));
            // A coefficient of expansion is added and changes nothing.
            let added = changed == ["thermal_expansion"];
            let name = if added { alloy.name.clone() } else { format!("{}, changed", alloy.name) };
            Metal { material, name, sources, expansion }
        }
    })
}

/// The coefficient of thermal expansion, by the degree that the case counts.
fn read_expansion(own: &Table<'_>) -> Result<Option<f64>, Complaint> {
    let Some(number) = own.number("thermal_expansion")? else { return Ok(None) };
    let [least, most] = EXPANSIONS;
    if (least..=most).contains(&number.value) {
        return Ok(Some(number.value));
    }
    let problem = format!(
        "`thermal_expansion` is {}, which is no coefficient of a metal",
        plain(number.value)
    );
    let remedy = "strain by degree: aluminium alloys lie near 23e-6 by kelvin, steels near 12e-6";
    Err(own.about(&number, Kind::OutOfRange, problem, remedy))
}

fn find_alloy(plate: &Table<'_>, word: &Valued<&str>) -> Result<&'static Alloy, Complaint> {
    library::find(word.value).map_err(|unknown| {
        let remedy = match unknown.nearest {
            Some(meant) => format!("did you mean `{meant}`?"),
            None => format!("choose from {}", library::names_in_backticks()),
        };
        plate.about(word, Kind::UnknownName, unknown.to_string(), remedy)
    })
}

fn read_own(
    own: &Table<'_>,
    alloy: Option<&Alloy>,
    border: Border,
    warnings: &mut Vec<String>,
) -> Result<Material, Complaint> {
    let base = alloy.map(|alloy| &alloy.material);
    let elasticity = Elasticity {
        youngs_modulus: match (own.number("youngs_modulus")?, base) {
            (None, Some(base)) => base.elasticity.youngs_modulus,
            (None, None) => {
                let remedy = "give Young's modulus, or name an `alloy` to change";
                return Err(own.missing("youngs_modulus", remedy));
            }
            (Some(number), _) => {
                note_other_unit(own, &number, border, warnings);
                read_youngs_modulus(own, &number, border)?
            }
        },
        poissons_ratio: match (own.number("poissons_ratio")?, base) {
            (None, Some(base)) => base.elasticity.poissons_ratio,
            (None, None) => {
                return Err(own.missing("poissons_ratio", "give Poisson's ratio, for example 0.33"));
            }
            (Some(number), _) => read_poissons_ratio(own, &number)?,
        },
    };
    let (isotropic, table_start) = match (own.table("isotropic", "`isotropic`", LAW_EXAMPLE)?, base)
    {
        (Some(law), _) => read_isotropic(&law, elasticity.youngs_modulus, border)?,
        (None, Some(base)) => (base.isotropic.clone(), None),
        (None, None) => (Isotropic::None, None),
    };
    let yield_stress = match (own.number("yield_stress")?, table_start, base) {
        (Some(number), start, _) => read_yield_stress(own, &number, start, &elasticity, border)?,
        (None, Some(start), _) => start,
        (None, None, Some(base)) => base.yield_stress,
        (None, None, None) => {
            return Err(own.missing(
                "yield_stress",
                "give the initial yield stress, or a law that begins with it (`table`)",
            ));
        }
    };
    let kinematic = match (own.has("kinematic"), base) {
        (true, _) => read_kinematic(own, border)?,
        (false, Some(base)) => base.kinematic.clone(),
        (false, None) => vec![],
    };
    let material = Material { elasticity, yield_stress, isotropic, kinematic };
    let limits = Limits { own, youngs_modulus: elasticity.youngs_modulus, border };
    check_law(&limits, &material.isotropic)?;
    check_backstress(&limits, &material.kinematic)?;
    let left = smallest_yield_stress(&material);
    if left < LEAST_YIELD_STRESS * yield_stress {
        let problem = format!(
            "the yield stress would shrink from {} to {}",
            border.show_stress(yield_stress),
            border.show_stress(left)
        );
        let remedy = "a negative `saturation` may take nine tenths of the yield stress at most";
        return Err(own.stray("isotropic", problem, remedy));
    }
    Ok(material)
}

/// Yield stress that a law which softens comes down to, MPa.
fn smallest_yield_stress(material: &Material) -> f64 {
    let Isotropic::Voce { terms, .. } = &material.isotropic else { return material.yield_stress };
    material.yield_stress + terms.iter().map(|term| term.saturation.min(0.0)).sum::<f64>()
}

/// Complains about a metal that softens within the plastic strain of the work: about three times
/// the largest expansion at the edge of a hole (lessons and tables: 5 to 11 % at 4 %).
pub(super) fn check_hardening(
    own: &Table<'_>,
    material: &Material,
    expansion: f64,
) -> Result<(), Complaint> {
    let strain = STRAIN_OVER_EXPANSION * expansion.max(LEAST_EXPANSION);
    let Some(from) = material.softens_within(strain) else { return Ok(()) };
    let problem = format!(
        "the metal softens from a plastic strain of {from:.4} on, and the work reaches about {strain:.3}"
    );
    let remedy = "the growth of the backstress must outweigh a negative `saturation` as far as the \
                  work goes; a `kinematic` term without recall does so for ever";
    Err(own.stray("isotropic", problem, remedy))
}

/// Young's modulus in MPa, of the plate or of a mandrel.
pub(super) fn read_youngs_modulus(
    table: &Table<'_>,
    number: &Valued<f64>,
    border: Border,
) -> Result<f64, Complaint> {
    let modulus = border.stress(number.value);
    if (YOUNGS_MODULUS[0]..=YOUNGS_MODULUS[1]).contains(&modulus) {
        return Ok(modulus);
    }
    let unit = border.units.stress_name();
    let problem = format!(
        "`{}` is {} {unit}, which is {} GPa and no modulus of a metal",
        number.key,
        plain(number.value),
        // Three significant digits are enough to see the slip.
        short_gpa(modulus)
    );
    let remedy = match border.units {
        Units::MmMpa => "it is read in MPa: aluminium alloys lie near 72000, steels near 205000",
        Units::InKsi => "it is read in ksi: aluminium alloys lie near 10500, steels near 29500",
    };
    Err(table.about(number, Kind::OutOfRange, problem, remedy))
}

fn short_gpa(mpa: f64) -> String {
    let gpa = mpa / 1e3;
    if gpa != 0.0 && (gpa.abs() < 1e-3 || gpa.abs() > 1e6) {
        format!("{gpa:.2e}")
    } else {
        crate::case::border::short(gpa, 3)
    }
}

fn note_other_unit(
    own: &Table<'_>,
    number: &Valued<f64>,
    border: Border,
    warnings: &mut Vec<String>,
) {
    let line = own.source.place(number.span.start).0;
    let written = number.value;
    match border.units {
        Units::MmMpa if (LOOKS_LIKE_KSI[0]..=LOOKS_LIKE_KSI[1]).contains(&written) => {
            warnings.push(format!(
                "line {line}: a Young's modulus of {written} MPa is soft; it looks like a value in ksi"
            ));
        }
        Units::InKsi if written >= LOOKS_LIKE_MPA => warnings.push(format!(
            "line {line}: a Young's modulus of {written} ksi is stiff; it looks like a value in MPa"
        )),
        _ => {}
    }
}

/// Poisson's ratio of the plate or of a mandrel.
pub(super) fn read_poissons_ratio(
    table: &Table<'_>,
    number: &Valued<f64>,
) -> Result<f64, Complaint> {
    if number.value > 0.0 && number.value < 0.5 {
        return Ok(number.value);
    }
    let problem =
        format!("`{}` is {}, but must lie above 0 and below 0.5", number.key, plain(number.value));
    let remedy = "metals lie at 0.27 to 0.35; for a nearly incompressible one write 0.4999";
    Err(table.about(number, Kind::OutOfRange, problem, remedy))
}

fn read_yield_stress(
    own: &Table<'_>,
    number: &Valued<f64>,
    table_start: Option<f64>,
    elasticity: &Elasticity,
    border: Border,
) -> Result<f64, Complaint> {
    let stress = border.stress(positive(own, number, "give the initial yield stress")?);
    let most = LARGEST_YIELD_STRAIN * elasticity.youngs_modulus;
    if stress > most {
        let problem = format!(
            "`yield_stress` is {} {}, more than a twentieth of Young's modulus",
            number.value,
            border.units.stress_name()
        );
        let remedy = format!("it is read in {}; check both", border.units.stress_name());
        return Err(own.about(number, Kind::OutOfRange, problem, remedy));
    }
    // 1e-6: a value copied with the digits a person writes.
    if let Some(start) = table_start.filter(|start| (stress - start).abs() > 1e-6 * start) {
        let problem = format!(
            "`yield_stress` is {}, but the table begins at {}",
            border.show_stress(stress),
            border.show_stress(start)
        );
        let remedy = "leave `yield_stress` out: the first point of the table says it";
        return Err(own.about(number, Kind::Conflict, problem, remedy));
    }
    Ok(stress)
}

fn read_kinematic(own: &Table<'_>, border: Border) -> Result<Vec<Backstress>, Complaint> {
    let remedy = "write `kinematic = [ { modulus = 20000, recall = 150 } ]`";
    let terms = own.tables("kinematic", "`kinematic` term", remedy)?;
    if let Some(extra) = terms.get(MOST_TERMS) {
        let problem = format!("`kinematic` has {} terms, {MOST_TERMS} at most", terms.len());
        let remedy = "terms with rates near each other can be joined: add their moduli";
        return Err(own.source.complain(
            &extra.span,
            "kinematic",
            Kind::OutOfRange,
            problem,
            remedy,
        ));
    }
    terms
        .iter()
        .map(|term| {
            term.only(&names(part_keys::TERM))?;
            let remedy = "give the initial modulus C, a stress";
            let modulus = border.stress(required_positive(term, "modulus", remedy)?.value);
            let remedy = "give the rate of fading memory; 0 makes the term linear";
            let recall = term.number("recall")?.ok_or_else(|| term.missing("recall", remedy))?;
            if recall.value < 0.0 {
                let problem = format!("`recall` is {}, but must not be negative", recall.value);
                return Err(term.about(&recall, Kind::OutOfRange, problem, remedy));
            }
            Ok(Backstress { modulus, recall: recall.value })
        })
        .collect()
}
