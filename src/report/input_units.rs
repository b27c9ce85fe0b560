//! Units of the keys of case, sheet and section files.

use crate::units::Units;

/// Quantity of a number under a key.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Measures {
    Length,
    Stress,
    Force,
    /// Length by force.
    Flexibility,
    Degrees,
    /// Nanometres in either system.
    Wavelength,
    /// Stress intensity.
    Intensity,
    /// Growth constants, whose unit depends on the exponent.
    Growth,
    /// A curve: strain, then stress.
    StrainStress,
    /// Rows of pressure and a number.
    PressureNumber,
    /// Cycles of load.
    Cycles,
    /// A temperature, in the degrees of the user, whichever they are.
    Temperature,
    /// Strain by such a degree.
    PerDegree,
    /// As the value that it stands with.
    AsValue,
    Nothing,
}

/// Keys by what they measure.
const KEYS: &[(Measures, &[&str])] = &[
    (
        Measures::Length,
        &[
            "width",
            "height",
            "outer_diameter",
            "rectangle",
            "inner_diameter",
            "at",
            "thickness",
            "fillet",
            "arc_through",
            "circle",
            "diameter",
            "slot_from",
            "slot_to",
            "starting_diameter",
            "mandrel_diameter",
            "sleeve_thickness",
            "offset",
            "off_place",
            "roundness",
            "pin_diameter",
            "hole_diameter",
            "initial_flaw",
            "detectable",
            "spot",
            "gauge_length",
            "land",
            "protrusion",
            "distance",
            "grid_length",
            "depth",
            "finished_diameter",
            "band",
            "sleeve_tolerance",
            "mandrel_band",
            "mandrel_wear",
            "allowance",
            "least_cut",
            "round_to",
            "limits",
            "model_plus_minus",
            "bore_diameter",
            "upset",
            "travel",
        ],
    ),
    (
        Measures::Stress,
        &[
            "youngs_modulus",
            "shear_modulus",
            "yield_stress",
            "slope",
            "saturation",
            "modulus",
            "mandrel_modulus",
            "pin_modulus",
            "tension",
            "pressure",
        ],
    ),
    (Measures::Force, &["force", "pull_force"]),
    (Measures::Flexibility, &["flexibility"]),
    (
        Measures::Degrees,
        &[
            "paths",
            "path",
            "split_angle",
            "lobe_angle",
            "split_gap",
            "lead_angle",
            "trail_angle",
            "angle",
            "angle_deg",
        ],
    ),
    (Measures::Wavelength, &["wavelength"]),
    (Measures::Intensity, &["toughness", "threshold"]),
    (Measures::Growth, &["coefficient"]),
    (Measures::StrainStress, &["points"]),
    (Measures::PressureNumber, &["friction_by_pressure"]),
    (Measures::Cycles, &["cycles", "wanted_life"]),
    (Measures::Temperature, &["temperature", "bush_temperature", "part_temperature"]),
    (Measures::PerDegree, &["thermal_expansion"]),
    (Measures::AsValue, &["expected", "plus_minus"]),
    (
        Measures::Nothing,
        &[
            "poissons_ratio",
            "mandrel_poissons_ratio",
            "pin_poissons_ratio",
            "rate",
            "recall",
            "exponent",
            "applied_expansion",
            "residual_left",
            "lobes",
            "load_ratio",
            "highest",
            "least_edge_margin",
            "lowest",
            "repeats",
            "gamma",
            "strain_optic_coefficient",
            "strain",
            "factor",
            "entry_share",
            "depth_share",
            "retardation",
            "faces",
            "fineness",
            "increments",
            "strain_parts",
            "path_tolerance",
            "friction",
            "count",
            "seed",
            "held_out",
            "false_alarms",
            "expansions",
            "reams",
            "checks",
        ],
    ),
];

fn measures(key: &str) -> Option<Measures> {
    let found = KEYS.iter().find(|(_, keys)| keys.contains(&key));
    found.map(|(measures, _)| *measures)
}

/// Unit of the numbers under `key`, as printed; empty for a key that is not listed.
pub(super) fn unit(key: &str, units: Units) -> &'static str {
    let (length, stress) = (units.length_name(), units.stress_name());
    let metric = units == Units::MmMpa;
    match measures(key) {
        None => "",
        Some(Measures::Length) => length,
        Some(Measures::Stress) => stress,
        Some(Measures::Force) => units.force_name(),
        Some(Measures::Flexibility) if metric => "mm/N",
        Some(Measures::Flexibility) => "in/kip",
        Some(Measures::Degrees) => "degree",
        Some(Measures::Wavelength) => "nm",
        Some(Measures::Intensity) if metric => "MPa√m",
        Some(Measures::Intensity) => "ksi√in",
        Some(Measures::Growth) if metric => "m/cycle at MPa√m",
        Some(Measures::Growth) => "in/cycle at ksi√in",
        Some(Measures::StrainStress) if metric => "1, MPa",
        Some(Measures::StrainStress) => "1, ksi",
        Some(Measures::PressureNumber) if metric => "MPa, 1",
        Some(Measures::PressureNumber) => "ksi, 1",
        Some(Measures::Cycles) => "cycles",
        Some(Measures::Temperature) => "degree of temperature",
        Some(Measures::PerDegree) => "1/degree of temperature",
        Some(Measures::AsValue) => "as the value",
        Some(Measures::Nothing) => "1",
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::case::keys::row::{Row, Value};
    use crate::case::keys::{CASE_FILE, SECTION_FILE, SHEET_FILE, SHOP_FILE};

    fn numeric(rows: &[Row], found: &mut Vec<&'static str>) {
        for key in rows.iter().flat_map(|row| row.keys) {
            match key.value {
                Value::Table(inner) | Value::Tables(inner) => numeric(inner, found),
                Value::Number
                | Value::Within(_)
                | Value::Positive
                | Value::NotNegative
                | Value::Whole(_)
                | Value::Pair
                | Value::Numbers
                | Value::Pairs => found.push(key.name),
                Value::Text
                | Value::Word(_)
                | Value::Switch
                | Value::Texts
                | Value::Scalar
                | Value::Scalars => {}
            }
        }
    }

    #[test]
    fn every_number_of_every_file_has_a_unit() {
        let mut keys = Vec::new();
        for section in CASE_FILE.iter().chain(&SHEET_FILE).chain(&SECTION_FILE).chain(&SHOP_FILE) {
            numeric(section.rows, &mut keys);
        }
        assert!(keys.len() > 60);
        let without: Vec<&str> = keys.into_iter().filter(|key| measures(key).is_none()).collect();
        assert_eq!(without, Vec::<&str>::new());
    }

    #[test]
    fn no_key_has_two_units() {
        let mut keys: Vec<&str> = KEYS.iter().flat_map(|(_, keys)| *keys).copied().collect();
        let count = keys.len();
        keys.sort_unstable();
        keys.dedup();
        assert_eq!(keys.len(), count);
    }
}
