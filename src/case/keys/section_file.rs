//! The keys of the section file, and of a drawn mandrel wherever one is described.

use crate::case::keys::part_keys::MATERIAL_ROWS;
use crate::case::keys::row::Value::{
    NotNegative, Number, Pairs, Positive, Switch, Table, Text, Within, Word,
};
use crate::case::keys::row::{Row, Section, key, row};

/// Shape, friction, direction and support of a drawn mandrel.
pub(in crate::case) const DRAWN: &[Row] = &[
    row(
        &[key("lead_angle", Within([0.1, 45.0])), key("trail_angle", Within([0.1, 45.0]))],
        "half angles of the tapers, degrees; 0.1 to 45",
        "2 and 4 (common practice, no source)",
    ),
    row(&[key("land", Positive)], "length at the major diameter", "half of the starting diameter"),
    row(&[key("fillet", Positive)], "radius between land and tapers", "10 mm"),
    row(
        &[key("sleeve", Table(SLEEVE))],
        "the sleeve as a layer of elements: `{ alloy, material, closed, friction, friction_by_pressure, protrusion, end }`",
        "it counts by its thickness",
    ),
    row(
        &[key("friction", Within([0.0, 1.0]))],
        "coefficient of friction of the mandrel, 0 to 1: on the sleeve where that is a layer of elements, else on the bore",
        "0",
    ),
    row(
        &[key("friction_by_pressure", Pairs)],
        "in its place: rows `[pressure, coefficient]`",
        "none",
    ),
    row(
        &[key("enters", Word(&["entry", "exit"]))],
        r#"face at which the mandrel enters: `"entry"` or `"exit"`"#,
        r#"`"entry"`"#,
    ),
    row(
        &[key("support", Table(SUPPORT))],
        "`{ inner_diameter, outer_diameter }` of a nose cap on the face at which it leaves",
        "held at the rim",
    ),
];

/// A sleeve that is a layer of elements.
pub(in crate::case) const SLEEVE: &[Row] = &[
    row(&[key("alloy", Text)], "its metal: a name that `hoopset alloys` lists", ""),
    row(
        &[key("material", Table(MATERIAL_ROWS))],
        "constants of its metal, or changes of its `alloy`: keys as in `[material]`",
        "",
    ),
    row(
        &[key("closed", Switch)],
        "`true` for a sleeve without a slit, which carries hoop stress",
        "`false`: split",
    ),
    row(&[key("friction", Within([0.0, 1.0]))], "friction between sleeve and hole, 0 to 1", "0"),
    row(
        &[key("friction_by_pressure", Pairs)],
        "in its place: rows `[pressure, coefficient]`",
        "none",
    ),
    row(
        &[key("protrusion", Positive)],
        "how far it stands out beyond either face",
        "a tenth of the starting diameter, at least three walls",
    ),
    row(
        &[key("end", Word(&["held", "stopped"]))],
        r#"its end where the mandrel leaves: `"held"` both ways by its flare, or `"stopped"` by the nose cap, which only pushes"#,
        r#"`"held"`"#,
    ),
];

/// A nose cap.
pub(in crate::case) const SUPPORT: &[Row] = &[row(
    &[key("inner_diameter", Positive), key("outer_diameter", Positive)],
    "its bore and rim",
    "",
)];

/// Keys of `[plate]` in a section file.
pub(in crate::case) const SECTION_PLATE: Section = Section {
    heading: "`[plate]`",
    table: "plate",
    repeated: false,
    rows: &[
        row(&[key("outer_diameter", Positive)], "diameter of the ring of metal round the hole", ""),
        row(&[key("thickness", Positive)], "thickness", ""),
        row(&[key("alloy", Text)], "as in a case file", ""),
        row(&[key("idealisation", Word(&["section"]))], r#"`"section"`"#, r#"`"section"`"#),
        row(
            &[key("rim", Word(&["free", "flat"]))],
            r#"`"free"`: a small disc; `"flat"`: a large plate, whose rim may grow but not tilt"#,
            r#"`"free"`"#,
        ),
    ],
};

/// Keys of `[[hole]]` in a section file.
pub(in crate::case) const SECTION_HOLE: Section = Section {
    heading: "`[[hole]]`",
    table: "hole",
    repeated: true,
    rows: &[row(
        &[key("name", Text), key("starting_diameter", Positive)],
        "the one hole, through the middle; its diameter before expansion",
        "",
    )],
};

/// Sizes of a tool in a section.
const SIZES: &[Row] = &[
    row(&[key("draw", Text)], "hole that a mandrel is drawn through", ""),
    row(
        &[key("mandrel_diameter", Positive), key("sleeve_thickness", NotNegative)],
        "major diameter of the mandrel; wall of the sleeve, which counts by its thickness unless there is a `sleeve`",
        "no sleeve",
    ),
    row(
        &[key("applied_expansion", Number)],
        "in their place: a rigid mandrel without sleeve, sized for it; a fraction",
        "none",
    ),
    row(
        &[key("mandrel_modulus", Positive), key("mandrel_poissons_ratio", Positive)],
        "elasticity of the mandrel",
        "steel, 200 GPa and 0.3",
    ),
    row(&[key("rigid_mandrel", Switch)], "`true` for a mandrel that does not give", "`false`"),
];

/// Keys of a draw: the size of the tool.
pub(in crate::case) const DRAW: Section =
    Section { heading: "`[[stage]]` draw", table: "stage", repeated: true, rows: SIZES };

/// Keys of a draw: the mandrel.
pub(in crate::case) const DRAW_MANDREL: Section =
    Section { heading: "`[[stage]]` draw: mandrel", table: "stage", repeated: true, rows: DRAWN };

/// Keys of an evenly growing tool.
pub(in crate::case) const SECTION_EXPAND: Section = Section {
    heading: "`[[stage]]` expand",
    table: "stage",
    repeated: true,
    rows: &[row(
        &[key("expand", Text)],
        "hole that a long rigid tool grows in evenly, with `mandrel_diameter`, `sleeve_thickness` or `applied_expansion`",
        "",
    )],
};

/// Keys of a ream.
pub(in crate::case) const SECTION_REAM: Section = Section {
    heading: "`[[stage]]` ream",
    table: "stage",
    repeated: true,
    rows: &[row(
        &[key("ream", Text), key("diameter", Positive)],
        "hole to ream; diameter after the cut",
        "",
    )],
};

/// Keys of a spotface.
pub(in crate::case) const SECTION_SPOTFACE: Section = Section {
    heading: "`[[stage]]` spotface",
    table: "stage",
    repeated: true,
    rows: &[
        row(
            &[key("spotface", Text), key("face", Word(&["entry", "exit"]))],
            r#"hole; `"entry"` or `"exit"`"#,
            "",
        ),
        row(
            &[key("depth", Positive), key("diameter", Positive)],
            "depth of its flat floor below that face; diameter of the floor",
            "",
        ),
    ],
};

/// Keys of a countersink.
pub(in crate::case) const SECTION_COUNTERSINK: Section = Section {
    heading: "`[[stage]]` countersink",
    table: "stage",
    repeated: true,
    rows: &[
        row(
            &[key("countersink", Text), key("face", Word(&["entry", "exit"]))],
            r#"hole; `"entry"` or `"exit"`"#,
            "",
        ),
        row(
            &[key("depth", Positive), key("angle", Within([30.0, 150.0]))],
            "depth below the face, or below the floor of its spotface, at which the cone meets the bore; whole angle in degrees, 30 to 150",
            "",
        ),
    ],
};

/// Quantities of `[[reading]]`.
pub(in crate::case) const READ: [&str; 3] = ["pull_force", "bore_diameter", "upset"];

/// Keys of `[[reading]]`, in a section file and in a case file with a `[section]`.
pub(in crate::case) const READING: Section = Section {
    heading: "`[[reading]]`",
    table: "reading",
    repeated: true,
    rows: &[
        row(
            &[key(READ[0], Positive), key("travel", Positive)],
            "force that pulls the mandrel through a section, N or kip, for `hoopset infer`: the largest of the draw, or that at this travel since the mandrel first touched",
            "the largest",
        ),
        row(
            &[
                key(READ[1], Positive),
                key("depth", NotNegative),
                key("depth_share", Within([0.0, 1.0])),
            ],
            "in its place: diameter of the bore at a depth, with the mandrel out",
            "`depth_share` 0.5",
        ),
        row(
            &[key(READ[2], Number), key("face", Word(&["entry", "exit"]))],
            "in its place: how far the metal at the bore stands out beyond this face",
            "",
        ),
        row(&[key("plus_minus", Positive)], "its standard error", ""),
        row(
            &[key("label", Text), key("hole", Text), key("read_at", Text)],
            "its name; the hole; the stage of the section that it belongs to, as `section.csv` names it",
            "its number; the first expanded; the first draw",
        ),
    ],
};

/// The sections that a section file has of its own; it shares `[material]`, `[numerics]`, the measurements and the top
/// with a case file.
pub const SECTION_FILE: [Section; 8] = [
    SECTION_PLATE,
    SECTION_HOLE,
    DRAW,
    DRAW_MANDREL,
    SECTION_EXPAND,
    SECTION_REAM,
    SECTION_SPOTFACE,
    SECTION_COUNTERSINK,
];

/// Keys of the ring in `[section]` of a case file.
pub(in crate::case) const BESIDE: Section = Section {
    heading: "`[section]`",
    table: "section",
    repeated: false,
    rows: &[
        row(
            &[key("outer_diameter", Positive)],
            "the table asks for the section of every expanded hole, the mandrel drawn through it, see [section](section.md): diameter of the ring of metal round the hole",
            "twice the distance to the nearest edge or hole, at most ten diameters",
        ),
        row(
            &[key("rim", Word(&["free", "flat"]))],
            r#"`"flat"`: the rim may grow but not tilt, as in a large plate; `"free"`: a small disc"#,
            r#"`"flat"`"#,
        ),
    ],
};

/// Keys of the mandrel in `[section]` of a case file.
pub(in crate::case) const BESIDE_MANDREL: Section =
    Section { heading: "`[section]` mandrel", table: "section", repeated: false, rows: DRAWN };
