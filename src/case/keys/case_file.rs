//! The keys of the case file.

use crate::case::keys::life_keys::LIFE;
use crate::case::keys::part_keys::{CUTOUT, DOUBLER, HOLE, MATERIAL, PLATE, REGION, SUPPORT};
use crate::case::keys::row::Value::{
    NotNegative, Number, Positive, Switch, Text, Whole, Within, Word,
};
use crate::case::keys::row::{Section, key, row};
use crate::case::keys::section_file::{BESIDE, BESIDE_MANDREL, READING};
use crate::case::keys::stage_keys::{
    BUSH, DETACH, EXPAND, FASTEN, JOIN, LOADED, REAM, TEMPERATURE, UNFASTEN,
};
use crate::process::gauge::GridDirection;

/// Keys of the top of the file.
pub(in crate::case) const TOP: Section = Section {
    heading: "top",
    table: "",
    repeated: false,
    rows: &[
        row(&[key("title", Text)], "heads every figure and table", "name of the file"),
        row(
            &[key("units", Word(&["mm-MPa", "in-ksi"]))],
            r#"`"mm-MPa"` or `"in-ksi"`, for this file and for its results"#,
            "",
        ),
    ],
};

/// Keys of `[coating]`.
pub(in crate::case) const COATING: Section = Section {
    heading: "`[coating]`",
    table: "coating",
    repeated: false,
    rows: &[
        row(
            &[key("thickness", Positive)],
            "thickness of a photoelastic coating on the face; with this table the run draws its fringes",
            "no pictures",
        ),
        row(&[key("strain_optic_coefficient", Positive)], "its strain-optic coefficient", ""),
        row(
            &[key("wavelength", Within([380.0, 780.0]))],
            "wavelength that orders are counted by, nanometres in either system",
            "575, the tint of passage",
        ),
        row(
            &[key("bonded_after", Text)],
            r#"stage it was bonded after, e.g. `"1-expand-A"`: it shows what was added since"#,
            "before the work: it shows all",
        ),
        row(
            &[key("light", Word(&["white", "monochrome"]))],
            r#"`"white"` or `"monochrome"`"#,
            r#"`"white"`"#,
        ),
    ],
};

/// Keys of `[numerics]`.
pub(in crate::case) const NUMERICS: Section = Section {
    heading: "`[numerics]`",
    table: "numerics",
    repeated: false,
    rows: &[
        row(&[key("fineness", Within([0.25, 8.0]))], "2 halves every element; 0.25 to 8", "1"),
        row(
            &[key("increments", Whole([4, 2000]))],
            "at least this many to full mandrel size; 4 to 2000",
            "8",
        ),
        row(
            &[key("strain_parts", Whole([1, 64]))],
            "equal parts in which the metal follows the strain of an increment, in place of `path_tolerance`; 1 to 64",
            "as many as `path_tolerance` asks for",
        ),
        row(
            &[key("path_tolerance", Within([0.0001, 0.1]))],
            "error in stress that an increment may make in following the strain, over the yield stress; each element takes as many parts as it asks for, and the end of contact is followed in small increments; 0.0001 to 0.1",
            "0.001",
        ),
        row(
            &[key("strains", Word(&["finite", "small"]))],
            r#"`"finite"`: logarithmic strain, balance in the part as it stands; `"small"`: linear strain, balance in the part as drawn, for teaching and for closed forms that speak of it"#,
            r#"`"finite"`"#,
        ),
        row(
            &[key("symmetry", Switch)],
            "compute a half or a quarter where plate and stages allow",
            "`true`",
        ),
        row(
            &[key("hardening_bracket", Switch)],
            "also run the two bounding hardening laws",
            "`true`",
        ),
        row(
            &[key("plain_hole", Switch)],
            "also put service loads on the same part with holes of final size that were never worked",
            "`true`",
        ),
        row(
            &[key("idealisations", Switch)],
            "also solve the last state in the other two idealisations, side by side",
            "`false`",
        ),
    ],
};

/// Keys of `[[measured]]`.
pub(in crate::case) const MEASURED: Section = Section {
    heading: "`[[measured]]`",
    table: "measured",
    repeated: true,
    rows: &[
        row(
            &[key("file", Text)],
            "a CSV file beside the case file: columns `distance`, `hoop` or `radial` and, if you like, `plus_minus`, `hole`, `angle_deg`, in the units of the case; its points are drawn over the paths and compared with the last residual state",
            "",
        ),
        row(
            &[key("label", Text)],
            "words in the legend: method and source",
            "the name of the file",
        ),
        row(
            &[key("spot", Positive), key("gauge_length", Positive)],
            "the method averages over a round spot of this diameter, or over this length along the path: so does what it is compared with",
            "a point",
        ),
        row(
            &[key("depth", NotNegative), key("depth_share", Within([0.0, 1.0]))],
            "with a `[section]`: measured at this depth below the entry face, or at this share of the thickness (0 the entry face, 1 the exit face); needs `plus_minus` in the table; for `hoopset infer`, and in a section file for the charts of `hoopset section`",
            "plane stress",
        ),
        row(
            &[key("face", Word(&FACES))],
            "`\"entry\"`: measured on the face where the mandrel enters, and compared with the plane stress times `entry_share` of `[life]`, or 0.45, or what `infer` finds for it",
            "`\"mean\"` of the thickness",
        ),
    ],
};

/// Keys of `[[gauge]]`.
pub(in crate::case) const GAUGE: Section = Section {
    heading: "`[[gauge]]`",
    table: "gauge",
    repeated: true,
    rows: &[
        row(
            &[key("label", Text)],
            "its name; a reading of a strain gauge on the face of the plate, for `hoopset infer`",
            "its number",
        ),
        row(&[key("hole", Text)], "the hole it is placed from", "the first"),
        row(
            &[key("distance", Positive), key("angle_deg", Number)],
            "the middle of its grid: distance from the edge of the hole as drilled, and direction from the middle of the hole, degrees from +x",
            "`angle_deg` 0",
        ),
        row(
            &[key("direction", Word(&GridDirection::NAMES)), key("grid_length", Positive)],
            r#"`"radial"`, away from the hole, or `"hoop"`, round it; the length that it averages over"#,
            "",
        ),
        row(
            &[key("read_at", Text), key("bonded_after", Text)],
            r#"state it was read in, such as `"1-expand-A"`, or `"1-expand-A-full"` with the tool at full size; stage it was bonded after"#,
            "bonded before the work",
        ),
        row(
            &[key("strain", Number), key("plus_minus", Positive)],
            "reading and its standard error, as strains: 1250 microstrain are 1250e-6",
            "",
        ),
    ],
};

/// Names of unknowns.
pub(in crate::case) const UNKNOWNS: [&str; 5] =
    ["kinematic_share", "yield_stress", "applied_expansion", "entry_face_share", "friction"];

/// Words of `face` in `[[measured]]`.
pub(in crate::case) const FACES: [&str; 2] = ["entry", "mean"];

/// Keys of `[[unknown]]`.
pub(in crate::case) const UNKNOWN: Section = Section {
    heading: "`[[unknown]]`",
    table: "unknown",
    repeated: true,
    rows: &[
        row(
            &[key("name", Word(&UNKNOWNS))],
            "found by `hoopset infer` from the measured points; other commands take the case as it stands",
            "",
        ),
        row(
            &[key("expected", NotNegative), key("plus_minus", Positive)],
            "what is known of it from elsewhere, and the standard error of that",
            "nothing",
        ),
    ],
};

/// The case file, section by section.
pub const CASE_FILE: [Section; 26] = [
    TOP,
    PLATE,
    MATERIAL,
    CUTOUT,
    REGION,
    DOUBLER,
    SUPPORT,
    HOLE,
    EXPAND,
    REAM,
    FASTEN,
    UNFASTEN,
    JOIN,
    DETACH,
    TEMPERATURE,
    BUSH,
    LOADED,
    COATING,
    LIFE,
    BESIDE,
    BESIDE_MANDREL,
    MEASURED,
    GAUGE,
    READING,
    UNKNOWN,
    NUMERICS,
];
