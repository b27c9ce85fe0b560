//! The keys of the case file.

use crate::case::keys::row::Value::{
    NotNegative, Number, Numbers, Pair, Pairs, Positive, Switch, Table, Tables, Text, Texts, Whole,
    Within, Word,
};
use crate::case::keys::row::{Row, Section, key, row};

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

/// Keys of `[plate]`.
pub(in crate::case) const PLATE: Section = Section {
    heading: "`[plate]`",
    table: "plate",
    repeated: false,
    rows: &[
        row(
            &[key("width", Positive), key("height", Positive)],
            "a rectangle, lower left corner at the origin",
            "",
        ),
        row(
            &[key("outer_diameter", Positive)],
            "a round plate about the origin, in place of width and height",
            "",
        ),
        row(
            &[key("mesh", Text)],
            "a `.vtu` file beside the case file, in place of both: the whole plate, lengths in the unit of the case; every `[[hole]]` must be an opening of it. See [meshes](../meshes/README.md)",
            "",
        ),
        row(
            &[key("outline", Tables(CORNER))],
            "a plate of any shape in place of these: a list of corners in order, either way round, `{ at = [x, y] }`; the last is joined to the first. `fillet = r` rounds the corner; `arc_through = [x, y]` makes the side that ends there an arc through that point; `name` names that side",
            "",
        ),
        row(&[key("thickness", Positive)], "thickness", ""),
        row(
            &[key(
                "idealisation",
                Word(&["plane stress", "plane strain", "generalised plane strain"]),
            )],
            r#"`"plane stress"`, `"plane strain"` or `"generalised plane strain"`"#,
            r#"`"plane stress"`"#,
        ),
        row(
            &[key("alloy", Text)],
            "a name that `hoopset alloys` lists",
            "none: `[material]` gives everything",
        ),
    ],
};

/// Keys of `[material]`.
pub(in crate::case) const MATERIAL: Section = Section {
    heading: "`[material]`",
    table: "material",
    repeated: false,
    rows: &[
        row(
            &[
                key("youngs_modulus", Positive),
                key("poissons_ratio", Positive),
                key("yield_stress", Positive),
            ],
            "elastic constants, initial yield stress",
            "those of `alloy`",
        ),
        row(
            &[key("isotropic", Table(ISOTROPIC))],
            "how the yield surface grows, see below",
            "that of `alloy`, else none",
        ),
        row(
            &[key("kinematic", Tables(TERM))],
            "how it moves: up to three `{ modulus, recall }`",
            "those of `alloy`, else none",
        ),
    ],
};

/// Keys of `[[cutout]]`.
pub(in crate::case) const CUTOUT: Section = Section {
    heading: "`[[cutout]]`",
    table: "cutout",
    repeated: true,
    rows: &[
        row(&[key("name", Text)], "name of its edge", "`cutout-1`, …"),
        row(
            &[key("circle", Pair), key("diameter", Positive)],
            "a round cut-out: centre `[x, y]` and diameter",
            "",
        ),
        row(
            &[key("slot_from", Pair), key("slot_to", Pair), key("width", Positive)],
            "a slot: centres of its round ends, and width",
            "",
        ),
        row(&[key("outline", Tables(CORNER))], "any other: corners as in `[plate]`", ""),
    ],
};

/// Keys of `[[support]]`.
pub(in crate::case) const SUPPORT: Section = Section {
    heading: "`[[support]]`",
    table: "support",
    repeated: true,
    rows: &[
        row(
            &[key("edge", Text)],
            "edge that is held: `left`, `right`, `bottom`, `top`; `rim`; of an outline the names given there, or `edge-1`, `corner-1`, …",
            "free plate",
        ),
        row(
            &[key("hold", Word(&["normal", "both"]))],
            r#"`"both"`: it cannot move; `"normal"`: it slides along itself (straight edges along x or y)"#,
            "",
        ),
    ],
};

/// Keys of `[[hole]]`.
pub(in crate::case) const HOLE: Section = Section {
    heading: "`[[hole]]`",
    table: "hole",
    repeated: true,
    rows: &[
        row(&[key("name", Text)], "letters, digits, `-`, `_`; it names files", ""),
        row(&[key("at", Pair)], "drilled centre `[x, y]`", "the centre, in a round plate"),
        row(&[key("starting_diameter", Positive)], "diameter as drilled, before expansion", ""),
        row(&[key("paths", Numbers)], "directions of further paths, degrees", "none"),
    ],
};

/// Keys of `[[stage]]` expansion.
pub(in crate::case) const EXPAND: Section = Section {
    heading: "`[[stage]]` expansion",
    table: "stage",
    repeated: true,
    rows: &[
        row(&[key("expand", Text)], "name of the hole", ""),
        row(&[key("mandrel_diameter", Positive)], "major diameter of the mandrel", ""),
        row(&[key("sleeve_thickness", NotNegative)], "wall of the split sleeve", "0"),
        row(
            &[key("applied_expansion", Positive)],
            "in place of the two above: fraction of the diameter drilled or last reamed",
            "",
        ),
        row(
            &[key("split_angle", Number), key("split_gap", Positive)],
            "direction of the slit of the sleeve and the angle it spans, degrees; nothing presses there",
            "closed sleeve",
        ),
        row(
            &[key("mandrel_modulus", Positive), key("mandrel_poissons_ratio", Positive)],
            "elasticity of the mandrel",
            "steel, 200 GPa and 0.3, when sizes are given",
        ),
        row(
            &[key("rigid_mandrel", Switch)],
            "`true`: it is rigid",
            "`false` when sizes are given, `true` with `applied_expansion` alone",
        ),
        row(
            &[key("centre", Word(&["floating", "held"]))],
            r#"`"floating"`: nothing holds the mandrel sideways; `"held"`: it stays on the drilled centre"#,
            r#"`"floating"`"#,
        ),
    ],
};

/// Keys of `[[stage]]` ream.
pub(in crate::case) const REAM: Section = Section {
    heading: "`[[stage]]` ream",
    table: "stage",
    repeated: true,
    rows: &[
        row(&[key("ream", Text)], "name of the hole", ""),
        row(
            &[key("diameter", Positive)],
            "after the cut, in the deformed part; it must clean up all round",
            "",
        ),
        row(&[key("offset", Pair)], "`[dx, dy]` of the cutter from the drilled centre", "`[0, 0]`"),
    ],
};

/// Keys of `[[stage]]` pin.
pub(in crate::case) const FASTEN: Section = Section {
    heading: "`[[stage]]` pin",
    table: "stage",
    repeated: true,
    rows: &[
        row(
            &[key("fasten", Text)],
            "name of the hole that a pin is put into; it stays through later stages",
            "",
        ),
        row(
            &[key("pin_diameter", Positive)],
            "larger than the hole: interference fit; smaller: play",
            "neat fit, what the hole just takes",
        ),
        row(
            &[key("pin_modulus", Positive), key("pin_poissons_ratio", Positive)],
            "elasticity of the pin",
            "steel, 200 GPa and 0.3",
        ),
        row(&[key("rigid_pin", Switch)], "`true`: it is rigid", "`false`"),
    ],
};

/// Keys of `[[stage]]` pin out.
pub(in crate::case) const UNFASTEN: Section = Section {
    heading: "`[[stage]]` pin out",
    table: "stage",
    repeated: true,
    rows: &[row(&[key("unfasten", Text)], "name of the hole that the pin is taken out of", "")],
};

/// Keys of `[[stage]]` load.
pub(in crate::case) const LOADED: Section = Section {
    heading: "`[[stage]]` load",
    table: "stage",
    repeated: true,
    rows: &[
        row(
            &[key("load", Table(LOAD))],
            r#"stresses on the drawn area, in the drawn direction: `{ tension, along }` pulls both edges across `"x"` or `"y"`, or the `"rim"` of a round plate; `{ tension, on }` pulls a list of edges by name; `{ pressure, hole }` presses in a hole; `{ bearing = [{ hole, force = [x, y] }] }` is a [bearing load](#bearing-loads), the force in N or kip that the pin in a hole puts on the whole plate; all may stand in one"#,
            "",
        ),
        row(
            &[key("cycles", Whole([1, 1000]))],
            "how often the load is applied and removed, up to 1000",
            "1",
        ),
        row(
            &[key("load_ratio", Within([-10.0, 1.0]))],
            "lowest over highest load, −10 to 1: the load then falls to that share and not to zero, and [every reversal is reported](#service-loads). Below 0 the load reverses: compression",
            "",
        ),
        row(
            &[key("blocks", Tables(BLOCK))],
            "in place of both, a list of `{ highest, lowest, cycles }`: shares of the stated load, −10 to 10, at most 1000 cycles",
            "",
        ),
        row(
            &[key("spectrum", Text)],
            "in place of all three, a text file beside the case file: one turning point per line, as a share of the load; remarks begin with `#`",
            "",
        ),
        row(
            &[key("repeats", Whole([1, 2000]))],
            "how often the spectrum is applied; at most 2000 reversals in all",
            "1",
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
            "equal parts in which the metal follows the strain of an increment; 1 to 64",
            "4",
        ),
        row(
            &[key("path_tolerance", Within([0.0001, 0.1]))],
            "in place of `strain_parts`: error in stress that an increment may make in following the strain, over the yield stress; each element takes as many parts as it asks for, and the end of contact is followed in small increments; 0.0001 to 0.1",
            "none",
        ),
        row(
            &[key("strains", Word(&["finite", "small"]))],
            r#"`"finite"`: logarithmic strain, balance in the part as it stands; `"small"`: linear strain, balance in the part as drawn, for teaching and for closed forms that speak of it"#,
            r#"`"small"`"#,
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
            "a CSV file beside the case file: columns `distance`, `hoop` and, if you like, `plus_minus`, `hole`, `angle_deg`, in the units of the case; its points are drawn over the paths and compared with the last residual state",
            "",
        ),
        row(
            &[key("label", Text)],
            "words in the legend: method and source",
            "the name of the file",
        ),
    ],
};

/// A corner of an outline.
pub(in crate::case) const CORNER: &[Row] = &[
    row(&[key("at", Pair)], "the corner `[x, y]`", ""),
    row(&[key("fillet", Positive)], "radius that rounds it", "sharp"),
    row(&[key("arc_through", Pair)], "a point of the arc that ends there", "a straight side"),
    row(&[key("name", Text)], "name of the side that ends there", "`edge-1`, …"),
];

/// An isotropic hardening law; which keys go together is told by `law`.
const ISOTROPIC: &[Row] = &[
    row(&[key("law", Word(&["none", "linear", "voce", "ramberg-osgood", "table"]))], "the law", ""),
    row(&[key("slope", NotNegative)], "stress per plastic strain", "0"),
    row(&[key("saturation", Number), key("rate", Positive)], "rise to saturation and its rate", ""),
    row(&[key("terms", Tables(VOCE_TERM))], "several such pairs, in place of one", ""),
    row(&[key("exponent", Positive)], "exponent of the stress", ""),
    row(&[key("points", Pairs)], "strain and stress of the curve", ""),
    row(
        &[key("points_are", Word(&["true stress", "engineering stress"]))],
        "the kind of strain and stress of the points",
        "",
    ),
    row(
        &[key("past_end", Word(&["flat", "warn"]))],
        "the curve beyond its last point",
        "`\"flat\"`",
    ),
];

/// A term of saturating hardening.
pub(in crate::case) const VOCE_TERM: &[Row] =
    &[row(&[key("saturation", Number), key("rate", Positive)], "rise to saturation, its rate", "")];

/// A kinematic term.
pub(in crate::case) const TERM: &[Row] =
    &[row(&[key("modulus", Positive), key("recall", NotNegative)], "modulus C and recall γ", "")];

/// The load of a stage.
pub(in crate::case) const LOAD: &[Row] = &[
    row(&[key("tension", Number)], "stress on the edges, negative for compression", ""),
    row(&[key("along", Word(&["x", "y", "rim"]))], "the edges that are pulled", ""),
    row(&[key("on", Texts)], "the same by their names", ""),
    row(&[key("pressure", Positive), key("hole", Text)], "pressure on the edge of a hole", ""),
    row(&[key("bearing", Tables(BEARING))], "forces of pins on the plate", ""),
];

/// The force of a pin on the plate.
pub(in crate::case) const BEARING: &[Row] =
    &[row(&[key("hole", Text), key("force", Pair)], "the hole and the force `[x, y]`", "")];

/// A block of cycles.
pub(in crate::case) const BLOCK: &[Row] = &[
    row(&[key("highest", Number), key("lowest", Number)], "shares of the stated load", ""),
    row(&[key("cycles", Positive)], "how often", "1"),
];

/// The load of `[life]`.
pub(in crate::case) const LIFE_LOAD: &[Row] = &[
    row(&[key("tension", Positive)], "highest remote stress", ""),
    row(&[key("along", Word(&["x", "y", "rim"]))], "the edges that are pulled", ""),
    row(&[key("on", Texts)], "the same by their names", ""),
    row(&[key("bearing", Tables(BEARING))], "forces of pins on the plate", ""),
];

/// Constants of a growth law.
const CONSTANTS: &[Row] = &[
    row(
        &[key("coefficient", Positive), key("exponent", Positive)],
        "growth at a range of 1, and exponent of the range",
        "",
    ),
    row(&[key("gamma", Within([0.0, 1.0]))], "effect of the load ratio", ""),
    row(&[key("toughness", Positive)], "apparent toughness", ""),
    row(&[key("threshold", Positive)], "range below which nothing grows", ""),
];

/// The case file, section by section.
pub const CASE_FILE: [Section; 15] = [
    TOP, PLATE, MATERIAL, CUTOUT, SUPPORT, HOLE, EXPAND, REAM, FASTEN, UNFASTEN, LOADED, COATING,
    LIFE, MEASURED, NUMERICS,
];
