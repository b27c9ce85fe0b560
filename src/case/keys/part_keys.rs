//! Keys of the part: plate, metal, cut-outs, supports, holes.

use crate::case::keys::row::Value::{
    NotNegative, Number, Numbers, Pair, Pairs, Positive, Switch, Table, Tables, Text, Texts, Whole,
    Word,
};
use crate::case::keys::row::{Row, Section, key, row};

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

/// A corner of an outline.
pub(in crate::case) const CORNER: &[Row] = &[
    row(&[key("at", Pair)], "the corner `[x, y]`", ""),
    row(&[key("fillet", Positive)], "radius that rounds it", "sharp"),
    row(&[key("arc_through", Pair)], "a point of the arc that ends there", "a straight side"),
    row(&[key("name", Text)], "name of the side that ends there", "`edge-1`, …"),
];

/// Keys of `[material]`.
pub(in crate::case) const MATERIAL: Section =
    Section { heading: "`[material]`", table: "material", repeated: false, rows: MATERIAL_ROWS };

/// Keys of a metal.
pub(super) const MATERIAL_ROWS: &[Row] = &[
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
    row(
        &[key("thermal_expansion", Positive)],
        "strain by degree of temperature, for stages with `temperature`; the degree is that of the stage",
        "none",
    ),
];

/// Alloy of a part of the plate or beside it.
pub(super) const OWN_ALLOY: Row =
    row(&[key("alloy", Text)], "a name that `hoopset alloys` lists", "the metal of the plate");

/// Constants of the metal of such a part.
pub(super) const OWN_MATERIAL: Row = row(
    &[key("material", Table(MATERIAL_ROWS))],
    "constants of its own metal, or changes of its `alloy`: keys as in `[material]`",
    "the metal of the plate",
);

/// Names of the laws of isotropic hardening.
pub(in crate::case) const LAWS: &[&str] = &["none", "linear", "voce", "ramberg-osgood", "table"];

/// An isotropic hardening law; which keys go together is told by `law`.
pub(in crate::case) const ISOTROPIC: &[Row] = &[
    row(&[key("law", Word(LAWS))], "the law", ""),
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

/// Keys of `[[region]]`.
pub(in crate::case) const REGION: Section = Section {
    heading: "`[[region]]`",
    table: "region",
    repeated: true,
    rows: &[
        row(
            &[key("name", Text)],
            "name of a region of another thickness or metal: a pad, a step, a pocket, a ring",
            "",
        ),
        row(
            &[key("circle", Pair), key("diameter", Positive)],
            "a round region: centre `[x, y]` and diameter; it may reach beyond the plate, as all regions may",
            "",
        ),
        row(
            &[key("rectangle", Pairs)],
            "two opposite corners of a rectangle, `[[x, y], [x, y]]`",
            "",
        ),
        row(&[key("outline", Tables(CORNER))], "any other: corners as in `[plate]`", ""),
        row(
            &[key("thickness", Positive)],
            "its thickness, centred on that of the plate",
            "that of the plate",
        ),
        OWN_ALLOY,
        OWN_MATERIAL,
    ],
};

/// Keys of `adhesive`.
pub(in crate::case) const ADHESIVE: &[Row] =
    &[row(&[key("shear_modulus", Positive), key("thickness", Positive)], "of the layer", "")];

/// Keys of `[[doubler]]`.
pub(in crate::case) const DOUBLER: Section = Section {
    heading: "`[[doubler]]`",
    table: "doubler",
    repeated: true,
    rows: &[
        row(
            &[key("name", Text)],
            "name of a sheet that lies on the plate and shares its load from the stage on that joins it, in plane stress",
            "",
        ),
        row(
            &[key("circle", Pair), key("diameter", Positive)],
            "a round doubler: centre `[x, y]` and diameter, in the coordinates of the plate",
            "",
        ),
        row(
            &[key("rectangle", Pairs)],
            "two opposite corners of a rectangle, `[[x, y], [x, y]]`",
            "",
        ),
        row(&[key("outline", Tables(CORNER))], "any other: corners as in `[plate]`", ""),
        row(&[key("thickness", Positive)], "its thickness on one face", ""),
        row(
            &[key("faces", Whole([1, 2]))],
            "faces of the plate that have one, both alike; one on one face bends the plate, which a plane model leaves out",
            "1",
        ),
        OWN_ALLOY,
        OWN_MATERIAL,
        row(
            &[key("along", Word(&["x", "y"]))],
            "axis along which its load is counted, section by section",
            "its longer side",
        ),
        row(
            &[key("adhesive", Table(ADHESIVE))],
            "the layer that bonds it, which shears elastically: `{ shear_modulus, thickness }`",
            "not bonded",
        ),
        row(
            &[key("fasteners", Texts)],
            "holes of the plate that have a fastener through plate and doubler; the doubler has its holes there",
            "none",
        ),
        row(
            &[key("hole_diameter", Positive)],
            "diameter of its holes",
            "that of the hole of the plate when it is joined",
        ),
        row(
            &[key("pin_diameter", Positive)],
            "diameter of the fasteners; larger than a hole for interference, smaller for play",
            "neat fit in each hole",
        ),
        row(
            &[key("pin_modulus", Positive), key("pin_poissons_ratio", Positive)],
            "elasticity of the fasteners",
            "steel, 200 GPa and 0.3",
        ),
        row(&[key("rigid_pin", Switch)], "`true`: they keep their diameter", "`false`"),
        row(
            &[key("fill", Word(&["contact", "spring"]))],
            r#"`"contact"`: each pin only pushes on the edges of its holes; `"spring"`: it pushes and pulls all round, and the joint is linear"#,
            r#"`"contact"`"#,
        ),
        row(
            &[key("flexibility", Positive)],
            "slip between plate and doubler over the force of one fastener, length by force",
            "by `flexibility_formula`",
        ),
        row(
            &[key("flexibility_formula", Word(&FORMULAS))],
            "published formula for it: bolts or rivets by Huth (1984), aluminium rivets by Swift (1971), or bolts in double shear by Tate and Rosenfeld (1946), whose part of the holes is left out in contact",
            r#"`"huth-bolt"`"#,
        ),
    ],
};

/// Words of `flexibility_formula`.
const FORMULAS: [&str; 4] = crate::theory::fastener::Formula::NAMES;

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
        row(
            &[key("off_place", Pair)],
            "`[dx, dy]` by which the drilled centre missed `at`, the place on the drawing; paths and edge margins are those of the drilled hole",
            "`[0, 0]`",
        ),
        row(
            &[key("roundness", NotNegative)],
            "deviation of the drilled hole from a circle: distance between the two concentric circles that hold its edge; `starting_diameter` is that of the circle half-way",
            "0: round",
        ),
        row(
            &[key("lobes", Whole([2, 12])), key("lobe_angle", Number)],
            "number of lobes of a hole with `roundness`, 2 for an oval, and the direction of one of them, degrees",
            "2, towards 0",
        ),
        row(&[key("paths", Numbers)], "directions of further paths, degrees", "none"),
    ],
};
