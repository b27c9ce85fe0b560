//! A small case: one hole near the edge of a bracket, coarse, no bounding laws.

/// The text of the case: its title, its stages (hole `A`), fineness and increments.
macro_rules! bracket {
    ($title:literal, $stages:literal, $fineness:literal, $increments:literal) => {
        concat!(
            "title = \"",
            $title,
            r#""
units = "mm-MPa"
[plate]
width = 40.0
height = 40.0
thickness = 5.0
alloy = "2024-T351 plate"
[[hole]]
name = "A"
at = [14.0, 20.0]
starting_diameter = 5.70
"#,
            $stages,
            "\n[numerics]\nfineness = ",
            $fineness,
            "\nincrements = ",
            $increments,
            "\nhardening_bracket = false\n"
        )
    };
}

pub(crate) use bracket;
