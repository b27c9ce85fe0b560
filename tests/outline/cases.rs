//! Plates of many outlines, invented for the tests, as case files.

use hoopset::case::{self, Case};

/// A case file with `[plate]` keys and further tables, one hole, one expansion.
pub(crate) fn text(plate: &str, tables: &str, at: [f64; 2], diameter: f64) -> String {
    format!(
        "title = \"Outline\"\nunits = \"mm-MPa\"\n\n[plate]\nthickness = 5.0\n\
         alloy = \"2024-T351 plate\"\n{plate}\n\n[[hole]]\nname = \"A\"\nat = [{}, {}]\n\
         starting_diameter = {diameter}\n\n{tables}\n\n[[stage]]\nexpand = \"A\"\n\
         applied_expansion = 0.04\n",
        at[0], at[1]
    )
}

pub(crate) fn parsed(text: &str) -> Case {
    case::parse(text, "outline.toml").unwrap_or_else(|complaint| {
        panic!("{complaint}\n{}\n{text}", complaint.hint());
    })
}

pub(crate) const LUG: &str = "outline = [{ at = [0, -12], name = \"root\" }, { at = [40, -12] }, \
    { at = [40, 12], arc_through = [52, 0], name = \"end\" }, { at = [0, 12] }]";

pub(crate) const ANGLE: &str = "outline = [{ at = [0, 0] }, { at = [60, 0] }, \
    { at = [60, 20], fillet = 3 }, { at = [20, 20], fillet = 1.0 }, { at = [20, 60] }, \
    { at = [0, 60], fillet = 12 }]";

pub(crate) const NOTCH: &str = "outline = [{ at = [0, 0] }, { at = [80, 0] }, { at = [80, 40] }, \
    { at = [43, 40] }, { at = [37, 40], arc_through = [40, 37], name = \"notch\" }, \
    { at = [0, 40] }]";

pub(crate) const BOX: &str = "width = 80.0\nheight = 50.0";

pub(crate) const SLOT: &str =
    "[[cutout]]\nname = \"slot\"\nslot_from = [50, 20]\nslot_to = [60, 38]\nwidth = 6";

pub(crate) const WINDOW: &str = "[[cutout]]\ncircle = [36, 25]\ndiameter = 9";

pub(crate) const TRIANGLE: &str = "[[cutout]]\noutline = [{ at = [60, 6], fillet = 1 }, \
    { at = [74, 6], fillet = 1 }, { at = [70, 16], fillet = 0.5 }]";

/// Name, case, and area of the outline in closed form, hole not taken off.
pub(crate) fn zoo() -> Vec<(&'static str, String, f64)> {
    use std::f64::consts::PI;
    let quarter = 0.25 * PI;
    let mut zoo = vec![];
    zoo.push(("lug", text(LUG, "", [40.0, 0.0], 9.5), 40.0 * 24.0 + 0.5 * PI * 144.0));
    // Fillets take (1 − π/4) r² off a right-angled corner and fill a re-entrant one as much.
    let fillets = (1.0 - quarter) * (1.0 - 9.0 - 144.0);
    zoo.push(("angle with fillets", text(ANGLE, "", [45.0, 10.0], 6.0), 2000.0 + fillets));
    zoo.push(("edge notch", text(NOTCH, "", [40.0, 28.0], 6.0), 3200.0 - 0.5 * PI * 9.0));
    let slot = 6.0 * 424.0_f64.sqrt() + PI * 9.0;
    zoo.push(("slot", text(BOX, SLOT, [30.0, 25.0], 6.0), 4000.0 - slot));
    zoo.push((
        "round cut-out near the hole",
        text(BOX, WINDOW, [25.0, 25.0], 6.0),
        4000.0 - PI * 20.25,
    ));
    let ring = format!("{WINDOW}\n[[cutout]]\ncircle = [14, 25]\ndiameter = 9");
    zoo.push((
        "hole between two cut-outs on the mirror line",
        text(BOX, &ring, [25.0, 25.0], 6.0),
        4000.0 - 2.0 * PI * 20.25,
    ));
    let quarters = "outline = [{ at = [5, 0] }, { at = [75, 0], fillet = 8 }, \
                    { at = [75, 50], fillet = 8 }, { at = [5, 50], fillet = 8 }]";
    let quarters = quarters.replace("[5, 0] }", "[5, 0], fillet = 8 }");
    zoo.push((
        "rounded rectangle, quarter of it",
        text(&quarters, "", [40.0, 25.0], 6.0),
        3500.0 - (1.0 - quarter) * 256.0,
    ));
    let half = "outline = [{ at = [0, -30], arc_through = [-30, 0] }, \
                { at = [0, 30], arc_through = [30, 0] }]";
    zoo.push(("disc of two arcs", text(half, "", [0.0, 12.0], 6.0), PI * 900.0));
    let rim = format!("{TRIANGLE}\n{SLOT}");
    // By the shoelace formula, less what its fillets take off.
    let corner = |[ax, ay]: [f64; 2], [bx, by]: [f64; 2], r: f64| {
        // A corner of interior angle w between sides loses r² (cot(w/2) − (π − w)/2).
        let w = (ax * by - ay * bx).abs().atan2(ax * bx + ay * by);
        r * r * (1.0 / (0.5 * w).tan() - 0.5 * (PI - w))
    };
    let lost = corner([14.0, 0.0], [10.0, 10.0], 1.0)
        + corner([-14.0, 0.0], [-4.0, 10.0], 1.0)
        + corner([-10.0, -10.0], [4.0, -10.0], 0.5);
    zoo.push((
        "triangular cut-out with fillets, and a slot",
        text(BOX, &rim, [25.0, 25.0], 6.0),
        4000.0 - slot - (70.0 - lost),
    ));
    zoo
}
