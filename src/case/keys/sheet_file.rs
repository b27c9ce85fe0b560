//! The keys of the sheet file.

use crate::case::keys::row::Value::{
    NotNegative, Number, Pair, Positive, Switch, Text, Whole, Within, Word,
};
use crate::case::keys::row::{Section, key, row};

/// Keys of the top of the file.
pub(in crate::case) const SHEET_TOP: Section = Section {
    heading: "top",
    table: "",
    repeated: false,
    rows: &[row(
        &[key("round_to", Positive)],
        "starting holes and mandrels are rounded to it",
        "0.005 mm, 0.0002 in",
    )],
};

/// Keys of `[hole]`.
pub(in crate::case) const SHEET_HOLE: Section = Section {
    heading: "`[hole]`",
    table: "hole",
    repeated: false,
    rows: &[
        row(&[key("name", Text)], "as in a case file", "`A`"),
        row(&[key("at", Pair)], "`[x, y]` of the drilled centre", "centre of a round plate"),
        row(&[key("finished_diameter", Pair)], "`[smallest, largest]` after the ream", ""),
        row(
            &[key("path", Number)],
            "direction in which the stresses are read, degrees",
            "towards the nearest edge",
        ),
    ],
};

/// Keys of `[expansion]`.
pub(in crate::case) const EXPANSION: Section = Section {
    heading: "`[expansion]`",
    table: "expansion",
    repeated: false,
    rows: &[row(
        &[key("lowest", Positive), key("highest", Positive)],
        "wanted applied expansion, fractions",
        "usual for the metal",
    )],
};

/// Keys of `[starting_diameter]`.
pub(in crate::case) const STARTING_DIAMETER: Section = Section {
    heading: "`[starting_diameter]`",
    table: "starting_diameter",
    repeated: false,
    rows: &[row(
        &[key("band", NotNegative)],
        "width between the smallest and the largest starting diameter",
        "0.05 mm",
    )],
};

/// Keys of `[tool]`.
pub(in crate::case) const TOOL: Section = Section {
    heading: "`[tool]`",
    table: "tool",
    repeated: false,
    rows: &[
        row(&[key("sleeve_thickness", NotNegative)], "wall of the split sleeve; 0 without one", ""),
        row(&[key("sleeve_tolerance", NotNegative)], "tolerance, plus or minus", "0.005 mm"),
        row(
            &[key("mandrel_band", NotNegative)],
            "width between the smallest and the largest new mandrel",
            "0.01 mm",
        ),
        row(
            &[key("mandrel_wear", NotNegative)],
            "loss of diameter at which a mandrel is worn out",
            "0.02 mm",
        ),
        row(
            &[key("mandrel_modulus", Positive), key("mandrel_poissons_ratio", Positive)],
            "elasticity of the mandrel",
            "steel, 200 GPa and 0.3",
        ),
        row(&[key("rigid_mandrel", Switch)], "`true` for a mandrel that does not give", "`false`"),
    ],
};

/// Keys of `[ream]`.
pub(in crate::case) const SHEET_REAM: Section = Section {
    heading: "`[ream]`",
    table: "ream",
    repeated: false,
    rows: &[
        row(
            &[key("allowance", NotNegative)],
            "difference of diameter between the expanded and the finished hole, both nominal",
            "3 % of the diameter, 0.1 to 0.4 mm, more when the tolerances ask for it",
        ),
        row(
            &[key("least_cut", NotNegative)],
            "least cut of the ream on the diameter, in the worst case",
            "0.05 mm",
        ),
    ],
};

/// Keys of `[[oversize]]`.
pub(in crate::case) const OVERSIZE: Section = Section {
    heading: "`[[oversize]]`",
    table: "oversize",
    repeated: true,
    rows: &[
        row(
            &[key("finished_diameter", Pair)],
            "`[smallest, largest]` of a repair size, to which the finished hole is cleaned up, expanded and reamed again; rising",
            "",
        ),
        row(
            &[key("least_edge_margin", Within([0.6, 10.0]))],
            "least distance of the centre from the edge over the largest finished diameter, 0.6 to 10",
            "1.2",
        ),
    ],
};

/// Keys of `[draws]`.
pub(in crate::case) const DRAWS: Section = Section {
    heading: "`[draws]`",
    table: "draws",
    repeated: false,
    rows: &[
        row(
            &[key("count", Whole([100, 1_000_000])), key("seed", Whole([0, u64::MAX]))],
            "random sets of sizes, 100 to 1000000; where they start",
            "5000, 1",
        ),
        row(
            &[
                key("starting_diameter", Word(&["uniform", "normal"])),
                key("mandrel", Word(&["uniform", "normal"])),
                key("sleeve", Word(&["uniform", "normal"])),
                key("finished", Word(&["uniform", "normal"])),
            ],
            r#"how a size lies between its limits: `"uniform"`, or `"normal"` with the limits three standard deviations off the middle, cut there"#,
            r#"`"normal"`, mandrel `"uniform"`"#,
        ),
        row(
            &[key("held_out", Whole([2, 50]))],
            "draws that are solved to test the surrogate, 2 to 50",
            "4",
        ),
    ],
};

/// The sections that a sheet has of its own.
pub const SHEET_FILE: [Section; 8] =
    [SHEET_TOP, SHEET_HOLE, EXPANSION, STARTING_DIAMETER, TOOL, SHEET_REAM, OVERSIZE, DRAWS];
