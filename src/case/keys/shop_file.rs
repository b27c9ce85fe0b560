//! The keys of the shop file: limits and gauges of a lot of holes.

use crate::case::keys::row::Value::{Number, Pair, Positive, Text, Whole, Within};
use crate::case::keys::row::{Row, Section, key, row};

/// Keys of the top of the file.
pub(in crate::case) const SHOP_TOP: Section = Section {
    heading: "top",
    table: "",
    repeated: false,
    rows: &[
        row(&[key("title", Text)], "heads pages and charts", "name of the file"),
        row(
            &[key("case", Text)],
            "the case of the nominal hole, a file beside this one, with one `expand` of the hole and at most one `ream` after it",
            "",
        ),
        row(
            &[key("holes", Text)],
            "the [table of holes](#table-of-holes), a file beside this one",
            "",
        ),
        row(&[key("hole", Text)], "name of the hole of the case that all of them are", "the first"),
        row(
            &[key("path", Number)],
            "direction in which the stresses are read, degrees",
            "towards the nearest edge",
        ),
        row(
            &[key("false_alarms", Within([1e-6, 0.1]))],
            "largest share of sound holes that may be called suspects",
            "0.001",
        ),
    ],
};

/// Keys of a size that has limits.
const SIZE: &[Row] = &[
    row(&[key("limits", Pair)], "`[smallest, largest]`", ""),
    row(&[key("plus_minus", Positive)], "standard error of one reading of it", ""),
];

const fn size(heading: &'static str, table: &'static str) -> Section {
    Section { heading, table, repeated: false, rows: SIZE }
}

/// Keys of `[starting_diameter]`.
pub(in crate::case) const START: Section = size("`[starting_diameter]`", "starting_diameter");

/// Keys of `[mandrel]`.
pub(in crate::case) const MANDREL: Section =
    size("`[mandrel]`: diameter, worn out to new", "mandrel");

/// Keys of `[sleeve]`.
pub(in crate::case) const SLEEVE: Section = size("`[sleeve]`: wall; left out: no sleeve", "sleeve");

/// Keys of `[reamed]`.
pub(in crate::case) const REAMED: Section =
    size("`[reamed]`: diameter; when the case reams the hole", "reamed");

/// Keys of `[expanded]`.
pub(in crate::case) const EXPANDED: Section = Section {
    heading: "`[expanded]`",
    table: "expanded",
    repeated: false,
    rows: &[
        row(
            &[key("plus_minus", Positive)],
            "standard error of one reading of the mean diameter after expansion",
            "",
        ),
        row(
            &[key("model_plus_minus", Positive)],
            "standard uncertainty of the diameter that the model has for it, common to all holes; what the hardening laws leave is added",
            "0.2 % of the starting diameter (common practice, no source)",
        ),
    ],
};

/// Keys of `[surrogate]`.
pub(in crate::case) const SURROGATE: Section = Section {
    heading: "`[surrogate]`",
    table: "surrogate",
    repeated: false,
    rows: &[
        row(
            &[key("expansions", Whole([3, 12])), key("reams", Whole([2, 8]))],
            "solutions along the applied expansion and along the depth of the ream",
            "6, 4",
        ),
        row(
            &[key("checks", Whole([4, 200])), key("seed", Whole([0, u64::MAX]))],
            "solutions at random sizes that tell its error; where they start",
            "8, 1",
        ),
    ],
};

/// All sections of a shop file.
pub const SHOP_FILE: [Section; 7] = [SHOP_TOP, START, MANDREL, SLEEVE, EXPANDED, REAMED, SURROGATE];
