//! The keys of the study file.

use crate::case::keys::row::Value::{
    Number, Positive, Scalar, Scalars, Switch, Tables, Text, Texts, Whole, Within, Word,
};
use crate::case::keys::row::{Row, Section, key, row};

/// Numbers that a study reads from a case, by name; the first thirteen are the headline numbers of a
/// run.
pub const MEASURES: [&str; 23] = [
    "edge_hoop",
    "peak_compression",
    "compression_depth",
    "peak_tension",
    "plastic_extent",
    "reverse_yield_extent",
    "retained_expansion",
    "smallest_diameter",
    "largest_diameter",
    "mean_pressure",
    "peak_pressure",
    "mandrel_shift",
    "bulge",
    "hoop_at",
    "depth_to",
    "fit_pressure",
    "push_out_force",
    "plain_life",
    "expanded_life",
    "life_factor",
    "corner_plain_life",
    "corner_expanded_life",
    "corner_life_factor",
];

/// How the values of a range lie, or those of a scale.
pub(in crate::case) const SPACINGS: [&str; 2] = ["linear", "logarithmic"];

/// Keys of the top of the file.
pub(in crate::case) const STUDY_TOP: Section = Section {
    heading: "top",
    table: "",
    repeated: false,
    rows: &[
        row(&[key("title", Text)], "heads page and charts", "name of the file"),
        row(&[key("question", Text)], "the question that the study answers, for the page", "none"),
        row(&[key("case", Text)], "the base case, a file beside the study", ""),
        row(
            &[key("skip", Texts)],
            "conditions on axes and values; a case that meets one is not solved, e.g. `[\"ligament < 1\"]`",
            "none",
        ),
        row(
            &[key("paths", Switch)],
            "`true`: the stresses along all paths of all cases go to a second file",
            "`false`",
        ),
    ],
};

/// Keys of `[design]`.
pub(in crate::case) const DESIGN: Section = Section {
    heading: "`[design]`",
    table: "design",
    repeated: false,
    rows: &[
        row(
            &[key("method", Word(&["grid", "latin hypercube"]))],
            r#"`"grid"`: every combination of the axes; `"latin hypercube"`: `count` cases that spread evenly over every axis"#,
            r#"`"grid"`"#,
        ),
        row(
            &[key("count", Whole([2, 10_000_000])), key("seed", Whole([0, u64::MAX]))],
            "cases of a Latin hypercube; where its random numbers start",
            "none, 1",
        ),
    ],
};

/// Keys of `[[axis]]`.
pub(in crate::case) const AXIS: Section = Section {
    heading: "`[[axis]]`",
    table: "axis",
    repeated: true,
    rows: &[
        row(
            &[key("name", Text)],
            "its column, and its name in expressions: letters, digits, `_`",
            "",
        ),
        row(
            &[key("key", Text)],
            "key of the case that it sets, [written with dots](#which-key)",
            "none: it is used in expressions",
        ),
        row(&[key("values", Scalars)], "the values: numbers, texts or switches", ""),
        row(
            &[key("from", Number), key("to", Number), key("count", Whole([2, 10_000]))],
            "in place of values: a range, both ends included",
            "",
        ),
        row(
            &[key("spacing", Word(&SPACINGS))],
            "steps of that range: of equal difference or of equal ratio",
            r#"`"linear"`"#,
        ),
        row(
            &[key("variants", Tables(VARIANT))],
            "in place of values: a list of `{ name, set }`, where `set` is a list of `{ key, to }`; all of them are set together",
            "",
        ),
        row(&[key("label", Text)], "words on charts", "its name"),
        row(&[key("unit", Text)], "its unit, for charts and columns", "none"),
    ],
};

/// Keys of a variant.
const VARIANT: &[Row] = &[
    row(&[key("name", Text)], "its name in tables and charts", ""),
    row(&[key("set", Tables(SETTING))], "keys and their values", ""),
];

/// Keys of a setting of a variant.
const SETTING: &[Row] =
    &[row(&[key("key", Text)], "key of the case", ""), row(&[key("to", Scalar)], "its value", "")];

/// Keys of `[[value]]`.
pub(in crate::case) const VALUE: Section = Section {
    heading: "`[[value]]`",
    table: "value",
    repeated: true,
    rows: &[
        row(&[key("name", Text)], "its column, and its name in expressions", ""),
        row(
            &[key("expression", Text)],
            "computed from axes and other values, e.g. `edge_margin * 6.0`",
            "",
        ),
        row(&[key("label", Text), key("unit", Text)], "as of an axis", ""),
    ],
};

/// Keys of `[[set]]`.
pub(in crate::case) const SET: Section = Section {
    heading: "`[[set]]`",
    table: "set",
    repeated: true,
    rows: &[
        row(&[key("key", Text)], "key of the case, tied to axes", ""),
        row(&[key("to", Text)], "expression that gives its number", ""),
    ],
};

/// Keys of `[[number]]`.
pub(in crate::case) const NUMBER: Section = Section {
    heading: "`[[number]]`",
    table: "number",
    repeated: true,
    rows: &[
        row(&[key("name", Text)], "its column, and its name in expressions", ""),
        row(&[key("measure", Word(&MEASURES))], "the number read, [see there](#numbers)", ""),
        row(
            &[key("expression", Text)],
            "in place of a measure: computed from axes, values, numbers above it, `yield_stress` (0.2 % offset) and `starting_radius` of its hole",
            "",
        ),
        row(
            &[key("stage", Text)],
            r#"`"last"`: the last residual state; else a label, or the end of one: `"1-expand-A-full"`, `"expand-A-full"`"#,
            r#"`"last"`; of pressures the last state with a tool at full size"#,
        ),
        row(&[key("hole", Text)], "where it is read", "the first hole"),
        row(&[key("path", Number)], "direction of the path, degrees", "towards the nearest edge"),
        row(
            &[key("towards", Text)],
            "in place of `path`: `\"edge\"`, `\"inside\"` (away from the nearest edge) or the name of another hole",
            "`\"edge\"`",
        ),
        row(&[key("edge", Text)], "edge whose bulge it is", "the edge nearest to the hole"),
        row(
            &[key("distance", Positive)],
            "of `hoop_at`: the distance from the edge of the hole",
            "",
        ),
        row(
            &[key("level", Number)],
            "of `depth_to`: the distance over which the hoop stress stays at or below this stress",
            "",
        ),
        row(
            &[key("label", Text), key("unit", Text)],
            "words and unit on charts",
            "those of the measure",
        ),
    ],
};

/// Keys of `[[chart]]`.
pub(in crate::case) const CHART: Section = Section {
    heading: "`[[chart]]`",
    table: "chart",
    repeated: true,
    rows: &[
        row(&[key("number", Text)], "the number that is drawn", ""),
        row(&[key("x", Text)], "axis to the right", ""),
        row(&[key("y", Text)], "a second axis, upward: the chart is a heat map", "none: curves"),
        row(&[key("family", Text)], "axis with one curve per value", "none"),
        row(&[key("panel", Text)], "axis with one small chart per value", "none"),
        row(
            &[key("also", Texts)],
            "further numbers of the same unit, drawn as curves of their own",
            "none",
        ),
        row(
            &[key("spacing", Word(&SPACINGS))],
            r#"`"logarithmic"`: of the number drawn, upward or in the colours; what is not above zero is left out"#,
            r#"`"linear"`"#,
        ),
        row(&[key("title", Text)], "its title", "number and axes"),
    ],
};

/// Keys of `[search]`.
pub(in crate::case) const SEARCH: Section = Section {
    heading: "`[search]`",
    table: "search",
    repeated: false,
    rows: &[
        row(
            &[key("find", Word(&["smallest", "largest"]))],
            "which value of the axis is wanted; the study then gives answers in place of a table",
            "",
        ),
        row(
            &[key("of", Text)],
            "axis with `from` and `to` that is searched; all others are a grid",
            "",
        ),
        row(
            &[key("such_that", Text)],
            "condition on numbers, axes and values that must hold from there on, e.g. `depth >= 0.8 * reference_depth`",
            "",
        ),
        row(
            &[key("within", Positive)],
            "the answer is bracketed to this share of the range",
            "0.01",
        ),
        row(
            &[key("reference", Tables(REFERENCE))],
            "a case to compare with: a list of `{ axis, value }`; its numbers are called `reference_NAME`",
            "none",
        ),
        row(
            &[key("error", Within([0.0, 1.0]))],
            "share by which a number may be off (see `run --convergence`); it widens the answer",
            "0",
        ),
    ],
};

/// Keys of the reference of a search.
const REFERENCE: &[Row] =
    &[row(&[key("axis", Text)], "an axis", ""), row(&[key("value", Scalar)], "its value", "")];

/// The study file, section by section.
pub const STUDY_FILE: [Section; 8] = [STUDY_TOP, DESIGN, AXIS, VALUE, SET, NUMBER, CHART, SEARCH];
