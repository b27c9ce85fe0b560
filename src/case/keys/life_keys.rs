//! Keys of `[life]`.

use crate::case::keys::row::Value::{
    NotNegative, Number, Numbers, Positive, Switch, Table, Tables, Text, Texts, Within, Word,
};
use crate::case::keys::row::{Row, Section, key, row};
use crate::case::keys::stage_keys::{BEARING, BLOCK};

/// Keys of `[life]`.
pub(in crate::case) const LIFE: Section = Section {
    heading: "`[life]`",
    table: "life",
    repeated: false,
    rows: &[
        row(
            &[key("load", Table(LIFE_LOAD))],
            "`{ tension, along }` or `{ tension, on }` as in a load stage: the highest remote stress",
            "",
        ),
        row(&[key("load_ratio", Within([-10.0, 1.0]))], "lowest over highest load", "0"),
        row(
            &[key("blocks", Tables(BLOCK))],
            "in its place: a list of `{ highest, lowest, cycles }`, shares of the load, in order and repeated",
            "",
        ),
        row(
            &[key("spectrum", Text)],
            "in its place: a file beside the case file, one turning point per line as a share of the load",
            "",
        ),
        row(&[key("hole", Text)], "hole the crack starts from", "every hole"),
        row(&[key("path", Numbers)], "directions of cracks", "those across the load"),
        row(
            &[key("cracks", Word(&["one", "two"]))],
            r#"`"one"`, or `"two"` equal ones on opposite sides"#,
            r#"`"one"`"#,
        ),
        row(&[key("initial_flaw", Positive)], "crack length that growth starts from", ""),
        row(
            &[key("detectable", Positive)],
            "smallest crack that an inspection finds",
            "no interval",
        ),
        row(&[key("factor", Number)], "lives are divided by it for the interval", "3"),
        row(
            &[key("law", Word(&["paris", "walker", "forman", "closure"]))],
            r#"growth law: `"paris"`, `"walker"`, `"forman"`, `"closure"`"#,
            "first one known for the alloy",
        ),
        row(
            &[key("constants", Table(CONSTANTS))],
            "of that law: `{ coefficient, exponent }` and `gamma` (walker), `toughness` (forman), perhaps `threshold`; m per cycle and MPa√m, or in per cycle and ksi√in",
            "those known for the alloy",
        ),
        row(
            &[key("toughness", Positive)],
            "stress intensity at fracture for this thickness, MPa√m or ksi√in",
            "apparent one of the law",
        ),
        row(
            &[key("net_section", Switch)],
            "whether yielding of the net section ends the life",
            "`true`",
        ),
        row(
            &[key("wanted_life", Positive)],
            "cycles that a plain hole must reach in the trade",
            "those of the expanded hole",
        ),
        row(
            &[key("relaxation", Switch)],
            "whether the load is run on the residual state until the metal no longer yields, and cracks grow in what is left",
            "`true`",
        ),
        row(
            &[key("edge_cracks", Switch)],
            "whether cracks from a plate edge within four diameters of the hole are followed too",
            "`true`",
        ),
        row(
            &[key("entry_share", Within([0.0, 1.0]))],
            "residual stress at the entry face over that in the middle of the thickness, for corner cracks; 0 to 1",
            "0.45, drawn between 0.3 and 0.6",
        ),
        row(
            &[key("part_through", Texts)],
            r#"part-through cracks that are followed beside the through crack: `"corner"` of the hole, `"bore"` (middle of its length), `"plate edge"` (corner there, with `edge_cracks`)"#,
            r#"`["corner"]`"#,
        ),
        row(
            &[key("section_field", Text)],
            "file beside the case file with the residual hoop stress over depth and distance, such as the `section.csv` of `hoopset section`: part-through cracks get the plane stress plus its change with depth, in place of `entry_share`",
            "none",
        ),
        row(
            &[key("retardation", NotNegative)],
            "exponent of retardation of corner cracks by overloads",
            "none",
        ),
    ],
};

/// The load of `[life]`.
pub(in crate::case) const LIFE_LOAD: &[Row] = &[
    row(&[key("tension", Positive)], "highest remote stress", ""),
    row(&[key("along", Word(&["x", "y", "rim"]))], "the edges that are pulled", ""),
    row(&[key("on", Texts)], "the same by their names", ""),
    row(&[key("bearing", Tables(BEARING))], "forces of pins on the plate", ""),
];

/// Constants of a growth law.
pub(in crate::case) const CONSTANTS: &[Row] = &[
    row(
        &[key("coefficient", Positive), key("exponent", Positive)],
        "growth at a range of 1, and exponent of the range",
        "",
    ),
    row(&[key("gamma", Within([0.0, 1.0]))], "effect of the load ratio", ""),
    row(&[key("toughness", Positive)], "apparent toughness", ""),
    row(&[key("threshold", Positive)], "range below which nothing grows", ""),
];
