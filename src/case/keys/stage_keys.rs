//! Keys of the stages, and of the loads that they share with `[life]`.

use crate::case::keys::part_keys::{OWN_ALLOY, OWN_MATERIAL};
use crate::case::keys::row::Value::{
    NotNegative, Number, Pair, Positive, Switch, Table, Tables, Text, Texts, Whole, Within, Word,
};
use crate::case::keys::row::{Row, Section, key, row};

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
            r#"`"floating"`: nothing holds the mandrel sideways; `"held"`: it stays on the axis of the hole as drilled or last reamed"#,
            r#"`"floating"`"#,
        ),
        row(&[key("offset", Pair)], "`[dx, dy]` of a held mandrel from that axis", "`[0, 0]`"),
    ],
};

/// Keys of `[[stage]]` temperature.
pub(in crate::case) const TEMPERATURE: Section = Section {
    heading: "`[[stage]]` temperature",
    table: "stage",
    repeated: true,
    rows: &[
        row(
            &[key("temperature", Number)],
            "the whole part is brought to this temperature, counted from that of the drawing, and stays there; every metal expands by its `thermal_expansion`",
            "",
        ),
        row(
            &[key("youngs_modulus", Positive), key("yield_stress", Positive)],
            "of the metal of the plate at this temperature; its hardening keeps its share of the yield stress",
            "those of the case",
        ),
        row(
            &[key("regions", Tables(HOT_REGION))],
            "the same of regions of another metal: a list of `{ name, youngs_modulus, yield_stress }`",
            "those of the case",
        ),
        row(
            &[key("residual_left", Within([0.0, 1.0])), key("source", Text)],
            "share of the stress that the heat leaves, stated and not computed, and where it comes from",
            "1: nothing relaxes",
        ),
    ],
};

/// A region at another temperature.
pub(in crate::case) const HOT_REGION: &[Row] = &[
    row(&[key("name", Text)], "name of a region of its own metal", ""),
    row(
        &[key("youngs_modulus", Positive), key("yield_stress", Positive)],
        "of its metal at this temperature",
        "those of the case",
    ),
];

/// Keys of `[[stage]]` bush.
pub(in crate::case) const BUSH: Section = Section {
    heading: "`[[stage]]` bush",
    table: "stage",
    repeated: true,
    rows: &[
        row(
            &[key("bush", Text)],
            "name of the hole that a bush, a ring of metal, is put into; it stays, and its bore is the hole from then on",
            "",
        ),
        row(
            &[key("inner_diameter", Positive), key("outer_diameter", Positive)],
            "of the bush before it is put in; larger outside than the hole: interference; smaller: play",
            "",
        ),
        OWN_ALLOY,
        OWN_MATERIAL,
        row(
            &[key("friction", NotNegative)],
            "coefficient of friction between the bush and what it sits in",
            "0",
        ),
        row(
            &[key("bush_temperature", Number), key("part_temperature", Number)],
            "temperatures at which it is put in with play, counted from that of the drawing; both come back to that",
            "pressed in",
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
        row(
            &[key("axis", Word(&["drilled", "place"]))],
            r#"`"drilled"`: the cutter follows the drilled hole; `"place"`: it stands where the drawing has the hole, whatever its `off_place`"#,
            r#"`"drilled"`"#,
        ),
        row(&[key("offset", Pair)], "`[dx, dy]` of the cutter from that axis", "`[0, 0]`"),
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

/// Keys of `[[stage]]` doubler on.
pub(in crate::case) const JOIN: Section = Section {
    heading: "`[[stage]]` doubler on",
    table: "stage",
    repeated: true,
    rows: &[row(
        &[key("join", Text)],
        "name of the doubler that is laid on, bonded and fastened; from here on no hole is worked",
        "",
    )],
};

/// Keys of `[[stage]]` doubler off.
pub(in crate::case) const DETACH: Section = Section {
    heading: "`[[stage]]` doubler off",
    table: "stage",
    repeated: true,
    rows: &[row(
        &[key("detach", Text)],
        "name of the doubler that is taken off, with its fasteners",
        "",
    )],
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
