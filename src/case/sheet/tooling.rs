//! Tooling of a sheet file: finished diameters, sleeve, mandrel, expansion, ream and the draws of tolerances.

use crate::case::border::{Border, plain, required_length, unknown_word};
use crate::case::complaint::{Complaint, Kind};
use crate::case::keys::sheet_file;
use crate::case::metal::{read_poissons_ratio, read_youngs_modulus};
use crate::case::sheet::Draws;
use crate::case::table::Table;
use crate::case::tooling::{LARGEST_EXPANSION, STEEL};
use crate::material::hardening::Material;
use crate::numeric::random::Spread;

/// Tolerance of the wall of a sleeve, mm (common practice, no source).
const SLEEVE_TOLERANCE: f64 = 0.005;

/// Limits of the counts of draws and of those that are solved.
const COUNTS: [usize; 2] = [100, 1_000_000];
const HELD_OUT: [usize; 2] = [2, 50];

/// Values that the file left open, in words.
pub(super) struct Assumed {
    pub(super) border: Border,
    pub(super) said: Vec<String>,
}

impl Assumed {
    /// A length of at least zero, mm; `usual` when the file does not give it.
    pub(super) fn length(
        &mut self,
        table: Option<&Table<'_>>,
        key: &'static str,
        what: &str,
        usual: f64,
    ) -> Result<f64, Complaint> {
        if let Some(table) = table
            && let Some(number) = table.number(key)?
        {
            if number.value < 0.0 {
                let problem = format!("`{key}` is {}, less than zero", plain(number.value));
                return Err(table.about(&number, Kind::OutOfRange, problem, "give a width"));
            }
            return Ok(self.border.length(number.value));
        }
        self.said.push(format!("{what} {}", self.border.show_length(usual)));
        Ok(usual)
    }
}

/// Smallest and largest finished diameter of a hole or a repair size, mm.
pub(super) fn read_finished(hole: &Table<'_>, border: Border) -> Result<[f64; 2], Complaint> {
    let remedy = "write `finished_diameter = [smallest, largest]`";
    let pair =
        hole.pair("finished_diameter")?.ok_or_else(|| hole.missing("finished_diameter", remedy))?;
    let [low, high] = pair.value;
    // A hole that may be half as large again has no tolerance but a slip of the pen.
    if low > 0.0 && high >= low && high <= 1.5 * low && (1e-3..1e5).contains(&border.length(low)) {
        return Ok(border.point(pair.value));
    }
    let problem = format!(
        "`finished_diameter` is {} to {}, which are no limits of a hole",
        plain(low),
        plain(high)
    );
    Err(hole.about(&pair, Kind::OutOfRange, problem, remedy))
}

/// Wall of the sleeve and its tolerance, mm.
pub(super) fn read_sleeve(
    tool: &Table<'_>,
    assumed: &mut Assumed,
) -> Result<(f64, f64), Complaint> {
    let thickness = match tool.number("sleeve_thickness")? {
        None => {
            let remedy = "give the wall of the split sleeve, 0 without one";
            return Err(tool.missing("sleeve_thickness", remedy));
        }
        Some(number) if number.value < 0.0 => {
            let problem = format!("`sleeve_thickness` is {}, less than zero", number.value);
            let remedy = "give the wall of the split sleeve, 0 without one";
            return Err(tool.about(&number, Kind::OutOfRange, problem, remedy));
        }
        Some(number) => assumed.border.length(number.value),
    };
    let tolerance = if thickness == 0.0 && !tool.has("sleeve_tolerance") {
        0.0
    } else {
        assumed.length(Some(tool), "sleeve_tolerance", "sleeve wall ±", SLEEVE_TOLERANCE)?
    };
    if tolerance > thickness {
        let problem = "`sleeve_tolerance` is larger than the sleeve is thick";
        return Err(tool.stray("sleeve_tolerance", problem, "check the decimal point"));
    }
    Ok((thickness, tolerance))
}

/// Difference of diameter between expanded and finished hole, mm, where the file gives it.
pub(super) fn read_allowance(
    ream: Option<&Table<'_>>,
    finished: f64,
    assumed: &mut Assumed,
) -> Result<Option<f64>, Complaint> {
    let Some(ream) = ream.filter(|ream| ream.has("allowance")) else {
        assumed.said.push("ream allowance".to_owned());
        return Ok(None);
    };
    let remedy = "give a diameter larger than zero";
    let allowance = required_length(ream, "allowance", remedy, assumed.border)?;
    // A ream this deep leaves no hole to expand, or a slip of the decimal point.
    if allowance.value > 0.5 * finished {
        let problem = "the ream allowance is more than half of the finished hole";
        let remedy = "it is the diameter between expanded and finished hole";
        return Err(ream.about(&allowance, Kind::OutOfRange, problem, remedy));
    }
    Ok(Some(allowance.value))
}

/// Usual applied expansion, by what the metal is (common practice, no source).
fn usual(material: &Material) -> (&'static str, [f64; 2]) {
    // Moduli of aluminium, titanium and steel lie far apart; strength tells steels apart.
    let modulus = material.elasticity.youngs_modulus;
    let strong = material.monotonic_stress(0.002) > 900.0;
    match (modulus, strong) {
        (modulus, _) if modulus < 90e3 => ("aluminium", [0.03, 0.05]),
        (modulus, _) if modulus < 150e3 => ("titanium", [0.045, 0.065]),
        (_, true) => ("high-strength steel", [0.045, 0.065]),
        (_, false) => ("low-strength steel", [0.03, 0.05]),
    }
}

pub(super) fn read_expansion(
    table: Option<&Table<'_>>,
    material: &Material,
    assumed: &mut Assumed,
) -> Result<[f64; 2], Complaint> {
    let Some(table) = table else {
        let (family, band) = usual(material);
        let [low, high] = band.map(|end| 100.0 * end);
        assumed.said.push(format!("applied expansion {low} to {high} % as for {family}"));
        return Ok(band);
    };
    table.only(&sheet_file::EXPANSION.names())?;
    let remedy = "give a fraction of the starting diameter: 0.03 for 3 %";
    let end = |key| table.number(key)?.ok_or_else(|| table.missing(key, remedy));
    let (low, high) = (end("lowest")?, end("highest")?);
    if low.value <= 0.0 {
        let problem = format!("`lowest` is {}, but must be larger than zero", plain(low.value));
        return Err(table.about(&low, Kind::OutOfRange, problem, remedy));
    }
    if high.value <= low.value || high.value > LARGEST_EXPANSION {
        let problem = format!(
            "`highest` is {}, outside {} to {LARGEST_EXPANSION}",
            plain(high.value),
            plain(low.value)
        );
        return Err(table.about(&high, Kind::OutOfRange, problem, remedy));
    }
    Ok([low.value, high.value])
}

pub(super) fn read_elastic(
    tool: &Table<'_>,
    border: Border,
) -> Result<Option<(f64, f64)>, Complaint> {
    let modulus = match tool.number("mandrel_modulus")? {
        None => STEEL.0,
        Some(number) => read_youngs_modulus(tool, &number, border)?,
    };
    let ratio = match tool.number("mandrel_poissons_ratio")? {
        None => STEEL.1,
        Some(number) => read_poissons_ratio(tool, &number)?,
    };
    if !tool.switch("rigid_mandrel")?.is_some_and(|switch| switch.value) {
        return Ok(Some((modulus, ratio)));
    }
    for key in ["mandrel_modulus", "mandrel_poissons_ratio"] {
        if tool.has(key) {
            let problem = format!("a rigid mandrel has no `{key}`");
            let remedy = format!("leave out `{key}` or `rigid_mandrel`");
            return Err(tool.stray(key, problem, remedy));
        }
    }
    Ok(None)
}

pub(super) fn read_draws(table: Option<&Table<'_>>) -> Result<Draws, Complaint> {
    let mut draws = Draws {
        count: 5000,
        seed: 1,
        spreads: [Spread::Normal, Spread::Uniform, Spread::Normal, Spread::Normal],
        held_out: 4,
    };
    let Some(table) = table else { return Ok(draws) };
    table.only(&sheet_file::DRAWS.names())?;
    for (key, place, [least, most]) in
        [("count", &mut draws.count, COUNTS), ("held_out", &mut draws.held_out, HELD_OUT)]
    {
        let Some(number) = table.count(key)? else { continue };
        if !(least..=most).contains(&number.value) {
            let problem = format!("`{key}` is {}, outside {least} to {most}", number.value);
            return Err(table.about(&number, Kind::OutOfRange, problem, "take one in between"));
        }
        *place = number.value;
    }
    if let Some(seed) = table.count("seed")? {
        draws.seed = seed.value as u64;
    }
    let keys = ["starting_diameter", "mandrel", "sleeve", "finished"];
    for (key, spread) in keys.into_iter().zip(&mut draws.spreads) {
        let Some(word) = table.text(key)? else { continue };
        *spread = Spread::named(word.value)
            .ok_or_else(|| unknown_word(table, &word, "distribution", &Spread::NAMES))?;
    }
    Ok(draws)
}
