//! The keys of a file of metal tests.

use crate::case::keys::row::Value::{
    NotNegative, Number, Numbers, Positive, Switch, Text, Whole, Word,
};
use crate::case::keys::row::{Section, key, row};

/// Names of the laws of [`METAL`].
pub(in crate::case) const LAWS: [&str; 5] = ["none", "linear", "voce", "ramberg-osgood", "table"];
/// Names of what the columns are.
pub(in crate::case) const MEASURES: [&str; 2] = ["engineering", "true"];
/// Names of the units of strain.
pub(in crate::case) const STRAIN_UNITS: [&str; 2] = ["1", "%"];

/// Keys of the top of the file.
pub(in crate::case) const METAL_TOP: Section = Section {
    heading: "top",
    table: "",
    repeated: false,
    rows: &[
        row(&[key("title", Text)], "heading of page and figures", "name of the file"),
        row(&[key("units", Word(&["mm-MPa", "in-ksi"]))], "stresses in MPa or in ksi", ""),
    ],
};

/// Keys of `[metal]`.
pub(in crate::case) const METAL: Section = Section {
    heading: "`[metal]`",
    table: "metal",
    repeated: false,
    rows: &[
        row(&[key("youngs_modulus", Positive)], "taken as given", "found from the tests"),
        row(&[key("poissons_ratio", Positive)], "a bar does not tell it", ""),
        row(
            &[key("isotropic", Word(&LAWS))],
            "law by which the yield surface grows, as in a case file",
            "`\"voce\"`",
        ),
        row(&[key("isotropic_terms", Whole([1, 3]))], "saturating terms of a `voce` law", "1"),
        row(&[key("slope", Switch)], "whether a `voce` law has a linear part", "`false`"),
        row(
            &[key("plastic_strains", Numbers)],
            "plastic strains of the points of a `table`, from 0; their stresses are found",
            "",
        ),
        row(&[key("kinematic_terms", Whole([0, 3]))], "terms of the backstress", "2"),
    ],
};

/// Keys of `[[constant]]`.
pub(in crate::case) const CONSTANT: Section = Section {
    heading: "`[[constant]]`",
    table: "constant",
    repeated: true,
    rows: &[
        row(
            &[key("name", Text)],
            "`youngs_modulus`, `yield_stress`, `slope`, `exponent`, `saturation 1`, `rate 1`, `modulus 2`, \
             `recall 2`, `point 1`, …; backstress terms are in the order of falling recall",
            "",
        ),
        row(&[key("fixed", Number)], "the constant is not searched for", ""),
        row(&[key("start", Number)], "where the search begins", "several places"),
        row(
            &[key("lowest", Number), key("highest", Number)],
            "limits; a `saturation` may be negative",
            "wide ones, from the look of the tests",
        ),
    ],
};

/// Keys of `[[test]]`.
pub(in crate::case) const TEST: Section = Section {
    heading: "`[[test]]`",
    table: "test",
    repeated: true,
    rows: &[
        row(&[key("file", Text)], "CSV table beside the file, rows in the order of time", ""),
        row(&[key("label", Text)], "words in the legend", "name of the table"),
        row(
            &[key("strain", Text), key("stress", Text)],
            "names of the columns",
            "`strain`, `stress`",
        ),
        row(
            &[key("measure", Word(&MEASURES))],
            "force over the first section and elongation over the first length, or true stress and \
             logarithmic strain",
            "",
        ),
        row(&[key("strain_unit", Word(&STRAIN_UNITS))], "`\"1\"` or `\"%\"`", "`\"1\"`"),
        row(
            &[key("stress_error", Positive)],
            "standard error of a stress; for all tests or for none",
            "from the deviations",
        ),
        row(&[key("weight", NotNegative)], "2: as if every point were there twice", "1"),
    ],
};

/// The sections of a file of metal tests.
pub const METAL_FILE: [Section; 4] = [METAL_TOP, METAL, CONSTANT, TEST];
