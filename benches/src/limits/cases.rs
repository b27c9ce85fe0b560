//! The cases of the table: expansion 1 to 6 %, edge margin 1.2 to 4, spacing 2 to 4 diameters, three
//! idealisations, isotropic to kinematic hardening, ream and load. All invented.

/// Starting diameter of every hole, mm.
const DIAMETER: f64 = 6.0;

/// Where the holes are.
#[derive(Clone, Copy)]
enum Plan {
    /// A round plate of this outer diameter, mm.
    Ring(f64),
    /// A square plate of 60 mm with the hole at this edge margin, e/D.
    Edge(f64),
    /// Two holes at this spacing, in diameters, worked one after the other.
    Pair(f64),
}

/// How the metal hardens.
#[derive(Clone, Copy)]
enum Metal {
    /// All of it isotropic.
    Isotropic,
    /// The combined law of the alloy of the demonstration.
    Combined,
    /// All of it kinematic.
    Kinematic,
}

/// Work after the expansion.
#[derive(Clone, Copy)]
enum Then {
    Nothing,
    Ream,
    /// A ream and a remote tension, MPa.
    ReamAndLoad(f64),
}

pub struct Case {
    pub name: &'static str,
    plan: Plan,
    idealisation: &'static str,
    metal: Metal,
    expansion: f64,
    then: Then,
}

const STRESS: &str = "plane stress";
const STRAIN: &str = "plane strain";
const GENERAL: &str = "generalised plane strain";

const fn case(
    name: &'static str,
    plan: Plan,
    idealisation: &'static str,
    metal: Metal,
    expansion: f64,
    then: Then,
) -> Case {
    Case { name, plan, idealisation, metal, expansion, then }
}

use Metal::{Combined, Isotropic, Kinematic};
use Plan::{Edge, Pair, Ring};
use Then::{Nothing, Ream, ReamAndLoad};

pub const CASES: [Case; 22] = [
    case("ring-60-strain-isotropic-4", Ring(60.0), STRAIN, Isotropic, 0.04, Nothing),
    case("ring-18-strain-isotropic-4", Ring(18.0), STRAIN, Isotropic, 0.04, Nothing),
    case("ring-30-general-combined-4", Ring(30.0), GENERAL, Combined, 0.04, Ream),
    case("ring-60-stress-kinematic-6", Ring(60.0), STRESS, Kinematic, 0.06, Nothing),
    case("ring-60-stress-combined-1", Ring(60.0), STRESS, Combined, 0.01, Nothing),
    case("ring-24-stress-combined-2", Ring(24.0), STRESS, Combined, 0.02, Ream),
    case("edge-1.2-stress-combined-3", Edge(1.2), STRESS, Combined, 0.03, Nothing),
    case("edge-1.5-stress-isotropic-4", Edge(1.5), STRESS, Isotropic, 0.04, Nothing),
    case("edge-1.5-strain-isotropic-4", Edge(1.5), STRAIN, Isotropic, 0.04, Nothing),
    case("edge-1.5-general-combined-4", Edge(1.5), GENERAL, Combined, 0.04, Ream),
    case("edge-1.7-stress-kinematic-5", Edge(1.7), STRESS, Kinematic, 0.05, Nothing),
    case("edge-2-stress-combined-4", Edge(2.0), STRESS, Combined, 0.04, Ream),
    case("edge-2-stress-kinematic-4", Edge(2.0), STRESS, Kinematic, 0.04, Ream),
    case("edge-2-strain-combined-3", Edge(2.0), STRAIN, Combined, 0.03, Ream),
    case("edge-2-stress-combined-3-load", Edge(2.0), STRESS, Combined, 0.03, ReamAndLoad(150.0)),
    case("edge-3-stress-combined-6", Edge(3.0), STRESS, Combined, 0.06, Nothing),
    case("edge-3-general-isotropic-2", Edge(3.0), GENERAL, Isotropic, 0.02, Ream),
    case("edge-4-stress-combined-4-load", Edge(4.0), STRESS, Combined, 0.04, ReamAndLoad(200.0)),
    case("pair-2-stress-combined-3", Pair(2.0), STRESS, Combined, 0.03, Nothing),
    case("pair-2.5-general-kinematic-2", Pair(2.5), GENERAL, Kinematic, 0.02, Nothing),
    case("pair-3-stress-combined-4", Pair(3.0), STRESS, Combined, 0.04, Ream),
    case("pair-4-strain-isotropic-4", Pair(4.0), STRAIN, Isotropic, 0.04, Nothing),
];

/// The case file of a case, with `further` keys of `[numerics]`.
pub fn text(name: &str, further: &str) -> String {
    let case = CASES.iter().find(|case| case.name == name).expect("a name of the list");
    let metal = match case.metal {
        Isotropic => {
            "[material]\nyoungs_modulus = 71700\npoissons_ratio = 0.33\nyield_stress = 455\n\
             isotropic = { law = \"voce\", saturation = 85, rate = 18, slope = 250 }\n"
        }
        Kinematic => {
            "[material]\nyoungs_modulus = 72000\npoissons_ratio = 0.33\nyield_stress = 330\n\
             kinematic = [{ modulus = 20000, recall = 150 }, { modulus = 500, recall = 0 }]\n"
        }
        Combined => "",
    };
    let alloy = if metal.is_empty() { "alloy = \"2024-T351 plate\"\n" } else { "" };
    let hole = |name: &str, at: Option<[f64; 2]>| {
        let at = at.map_or(String::new(), |[x, y]| format!("at = [{x}, {y}]\n"));
        format!("[[hole]]\nname = \"{name}\"\n{at}starting_diameter = {DIAMETER}\n")
    };
    let square = "width = 60\nheight = 60\n".to_owned();
    let (plate, holes, names): (String, String, &[&str]) = match case.plan {
        Ring(outer) => (format!("outer_diameter = {outer}\n"), hole("A", None), &["A"]),
        Edge(margin) => (square, hole("A", Some([margin * DIAMETER, 30.0])), &["A"]),
        Pair(spacing) => {
            let half = 0.5 * spacing * DIAMETER;
            let holes =
                hole("A", Some([30.0 - half, 30.0])) + &hole("B", Some([30.0 + half, 30.0]));
            (square, holes, &["A", "B"])
        }
    };
    let mut stages = String::new();
    for name in names {
        let expansion = case.expansion;
        stages += &format!("[[stage]]\nexpand = \"{name}\"\napplied_expansion = {expansion}\n");
    }
    if !matches!(case.then, Nothing) {
        for name in names {
            stages += &format!("[[stage]]\nream = \"{name}\"\ndiameter = {}\n", 1.06 * DIAMETER);
        }
    }
    if let ReamAndLoad(tension) = case.then {
        stages += &format!("[[stage]]\nload = {{ tension = {tension}, along = \"y\" }}\n");
    }
    let idealisation = case.idealisation;
    format!(
        "title = \"{name}\"\nunits = \"mm-MPa\"\n[plate]\n{plate}thickness = 6\n\
         idealisation = \"{idealisation}\"\n{alloy}{metal}{holes}{stages}\
         [numerics]\nhardening_bracket = false\n{further}\n"
    )
}
