//! Section files: one that is right, and what is said of those that are not.

use hoopset::case::section::parse;
use hoopset::process::section::{Face, Rim, SectionStage, SleeveEnd, Support};
use hoopset::solver::friction::Friction;

const FILE: &str = r#"
title = "Lug of a hinge, through the thickness"
units = "mm-MPa"

[plate]
outer_diameter = 60.0
thickness = 6.0
idealisation = "section"
rim = "flat"
alloy = "2024-T351 plate"

[[hole]]
name = "A"
starting_diameter = 5.70

[[stage]]
draw = "A"
mandrel_diameter = 5.52
sleeve_thickness = 0.20
lead_angle = 2.0
land = 3.0
trail_angle = 4.0
friction = 0.05
support = { inner_diameter = 9.0, outer_diameter = 18.0 }

[[stage]]
ream = "A"
diameter = 6.00

[[stage]]
countersink = "A"
face = "entry"
depth = 1.2
angle = 100

[[stage]]
spotface = "A"
face = "exit"
depth = 0.4
diameter = 12.0
"#;

#[test]
fn a_section_file_becomes_its_work() {
    let case = parse(FILE, "lug.toml").unwrap();
    assert_eq!(case.job.part.rim, Rim::Flat);
    let [SectionStage::Draw { tool, support, backwards }, ream, sink, flat] = &case.job.stages[..]
    else {
        panic!("{:?}", case.job.stages)
    };
    assert!((tool.acting_diameter() - 5.92).abs() < 1e-12);
    assert_eq!(tool.friction, Friction::Constant(0.05));
    assert!(matches!(support, Support::NoseCap { .. }) && !backwards);
    assert_eq!(*ream, SectionStage::Ream { diameter: 6.0 });
    assert!(matches!(sink, SectionStage::Countersink { face: Face::Entry, .. }));
    assert_eq!(*flat, SectionStage::Spotface { face: Face::Exit, depth: 0.4, diameter: 12.0 });
    assert_eq!([0, 3].map(|k| case.job.label(k)), ["1-draw-A", "4-spotface-A"]);
}

/// What is put in the place of what, the line that is complained of, and the words.
const WRONG: [(&str, &str, usize, &str); 16] = [
    ("friction = 0.05", "friction = -0.1", 23, "`friction` is -0.1, outside 0 to 1"),
    ("friction = 0.05", "friction = 1.5", 23, "`friction` is 1.5, outside 0 to 1"),
    ("lead_angle = 2.0", "lead_angle = 0", 20, "`lead_angle` is 0, outside 0.1 to 45 degrees"),
    ("trail_angle = 4.0", "trail_angle = 90", 22, "`trail_angle` is 90, outside"),
    ("inner_diameter = 9.0", "inner_diameter = 5.0", 24, "does not pass a nose cap"),
    ("outer_diameter = 18.0", "outer_diameter = 8.0", 24, "no face is left to bear on"),
    ("depth = 1.2", "depth = 6.0", 33, "a countersink of 6 mm goes through"),
    ("angle = 100", "angle = 200", 34, "`angle` is 200, outside 30 to 150 degrees"),
    ("mandrel_diameter = 5.52", "mandrel_diameter = 5.2", 18, "no more than the hole of 5.7 mm"),
    ("land = 3.0", "land = 0.2", 21, "do not fit a land of 0.2 mm"),
    ("draw = \"A\"", "draw = \"B\"", 17, "`B` is no hole"),
    ("diameter = 6.00", "diameter = 5.0", 28, "a cut of 5 mm is outside the metal"),
    ("depth = 0.4", "depth = 6.0", 39, "a spotface of 6 mm goes through a thickness of 6 mm"),
    ("diameter = 12.0", "diameter = 6.5", 40, "a spotface of 6.5 mm is outside 6.9 mm to 54 mm"),
    ("face = \"exit\"", "face = \"rear\"", 38, "`rear` is no face"),
    ("rim = \"flat\"", "rim = \"stiff\"", 9, "`stiff` is no kind of rim"),
];

#[test]
fn what_is_wrong_is_said_with_its_line() {
    for (right, wrong, line, words) in WRONG {
        let text = FILE.replace(right, wrong);
        assert_ne!(text, FILE, "{right}");
        let complaint = parse(&text, "lug.toml").unwrap_err();
        assert!(complaint.problem.contains(words), "{complaint}");
        assert_eq!(complaint.place.map(|(line, _)| line), Some(line), "{complaint}");
        assert!(!complaint.hint().is_empty());
    }
    let both =
        FILE.replace("friction = 0.05", "friction = 0.05\nfriction_by_pressure = [[1, 0.1]]");
    assert!(parse(&both, "lug.toml").unwrap_err().problem.contains("both give the friction"));
    let twice = format!(
        "{FILE}\n[[stage]]\nspotface = \"A\"\nface = \"exit\"\ndepth = 0.1\ndiameter = 9\n"
    );
    assert!(parse(&twice, "lug.toml").unwrap_err().problem.contains("has a spotface already"));
    let below = FILE
        .replace("depth = 0.4", "depth = 5.9")
        .replace("diameter = 12.0", "diameter = 12.0\n\n[[stage]]\nream = \"A\"\ndiameter = 11");
    assert!(
        parse(&below, "lug.toml").unwrap_err().problem.contains("leaves too little of a spotface")
    );
    let stray = FILE.replace("land = 3.0", "lend = 3.0");
    assert!(parse(&stray, "lug.toml").unwrap_err().problem.contains("lend"));
}

const STEEL: &str =
    "material = { youngs_modulus = 195000, poissons_ratio = 0.29, yield_stress = 1100 }";

fn with_sleeve(keys: &str) -> String {
    FILE.replace("friction = 0.05", &format!("friction = 0.05\nsleeve = {{ {keys} }}"))
}

#[test]
fn a_sleeve_becomes_a_layer_of_its_own_metal() {
    let layer = |keys: &str| {
        let case = parse(&with_sleeve(keys), "lug.toml").unwrap();
        let SectionStage::Draw { tool, .. } = &case.job.stages[0] else { panic!("a draw") };
        assert!((tool.pushing_radius() - 2.76).abs() < 1e-12);
        tool.sleeve.clone().unwrap()
    };
    let split = layer(STEEL);
    assert!(!split.closed && split.friction == Friction::None);
    assert!((split.material.yield_stress - 1100.0).abs() < 1e-9);
    assert!((split.protrusion - 0.6).abs() < 1e-12, "three walls");
    assert_eq!(split.end, SleeveEnd::Held);
    assert_eq!(layer(&format!("{STEEL}, end = \"stopped\"")).end, SleeveEnd::Stopped);
    let keys = format!(
        "{STEEL}, closed = true, protrusion = 0.8, friction_by_pressure = [[200, 0.1], [600, 0.05]]"
    );
    let closed = layer(&keys);
    assert!(closed.closed && (closed.protrusion - 0.8).abs() < 1e-12);
    assert_eq!(closed.friction, Friction::Table(vec![[200.0, 0.1], [600.0, 0.05]]));
}

#[test]
fn what_is_wrong_with_a_sleeve_is_said_with_its_line() {
    let wrong = |keys: &str, words: &str| {
        let complaint = parse(&with_sleeve(keys), "lug.toml").unwrap_err();
        assert!(complaint.problem.contains(words), "{complaint}");
        assert_eq!(complaint.place.map(|(line, _)| line), Some(24), "{complaint}");
        assert!(!complaint.hint().is_empty());
    };
    wrong(&format!("{STEEL}, friction = 1.5"), "`friction` is 1.5, outside 0 to 1");
    wrong(&format!("{STEEL}, friction = 0.1, friction_by_pressure = [[1, 0.1]]"), "both give");
    wrong(&format!("{STEEL}, protrusion = 0"), "`protrusion`");
    wrong(&format!("{STEEL}, closed = \"no\""), "true or false");
    wrong(&format!("{STEEL}, end = \"free\""), "`free` is no end of a sleeve");
    wrong(&format!("{STEEL}, wall = 0.2"), "wall");
    wrong(&STEEL.replace("195000", "-1"), "`youngs_modulus` is -1");
    wrong(&STEEL.replace("0.29", "0.5"), "`poissons_ratio` is 0.5");
    wrong("friction = 0.1", "alloy");
    wrong("alloy = \"no such steel\"", "no such steel");
    let bare = with_sleeve(STEEL).replace("sleeve_thickness = 0.20\n", "");
    let complaint = parse(&bare.replace("5.52", "5.92"), "lug.toml").unwrap_err();
    assert!(complaint.problem.contains("without `sleeve_thickness` has no wall"), "{complaint}");
    let thick = with_sleeve(STEEL).replace("sleeve_thickness = 0.20", "sleeve_thickness = 1.5");
    let complaint = parse(&thick, "lug.toml").unwrap_err();
    assert!(complaint.problem.contains("more than a fifth"), "{complaint}");
}
