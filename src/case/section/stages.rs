//! The stages of a section file.

use crate::case::border::{Border, required_length, unknown_word};
use crate::case::complaint::{Complaint, Kind};
use crate::case::keys::section_file;
use crate::case::section::drawn::{angle, face, read_drawn};
use crate::case::table::{Table, Valued};
use crate::case::tooling::read_tool;
use crate::process::section::{BEYOND, DrawTool, Face, SectionPart, SectionStage};

/// Whole angles of countersinks, degrees.
const SINKS: [f64; 2] = [30.0, 150.0];

/// Keys of the size of a growing tool.
const SIZES: [&str; 3] = ["mandrel_diameter", "sleeve_thickness", "applied_expansion"];

/// Least radius of the wall of a spotface over that of the hole: the metal between is meshed anew by a ream.
const TO_WALL: f64 = 1.0 + BEYOND;

/// Reads one stage of a hole after the work of the stages `before`.
pub(super) struct StageReader<'a> {
    pub(super) table: &'a Table<'a>,
    pub(super) border: Border,
    pub(super) part: &'a SectionPart,
    pub(super) hole: &'a str,
    pub(super) before: &'a [SectionStage],
}

impl StageReader<'_> {
    pub(super) fn read(&self, warnings: &mut Vec<String>) -> Result<SectionStage, Complaint> {
        let kinds = ["draw", "expand", "ream", "spotface", "countersink"];
        let mut said = kinds.into_iter().filter(|kind| self.table.has(kind));
        let remedy =
            "write `draw`, `expand`, `ream`, `spotface` or `countersink` with the name of the hole";
        let Some(kind) = said.next() else { return Err(self.table.missing("draw", remedy)) };
        if let Some(other) = said.next() {
            let problem = format!("one stage cannot both `{kind}` and `{other}`");
            return Err(self.table.stray(other, problem, "write a [[stage]] for each"));
        }
        let word = self.table.text(kind)?.ok_or_else(|| self.table.missing(kind, remedy))?;
        if word.value != self.hole {
            return Err(unknown_word(self.table, &word, "hole", &[self.hole]));
        }
        match kind {
            "draw" => self.draw(warnings),
            "expand" => {
                let own = section_file::SECTION_EXPAND.names();
                self.table.only(&[own, SIZES.to_vec()].concat())?;
                let tool = read_tool(self.table, self.nominal(), self.border)?;
                let diameter = tool.acting_diameter();
                self.larger(diameter)?;
                Ok(SectionStage::Grow { diameter })
            }
            "ream" => {
                self.table.only(&section_file::SECTION_REAM.names())?;
                let remedy = "give the diameter after the cut";
                let diameter = required_length(self.table, "diameter", remedy, self.border)?;
                if diameter.value <= self.nominal()
                    || diameter.value >= 0.9 * self.part.outer_diameter
                {
                    let problem = format!(
                        "a cut of {} is outside the metal of the ring",
                        self.border.show_length(diameter.value)
                    );
                    let remedy = "a ream is larger than the hole and leaves a ring";
                    return Err(self.table.about(&diameter, Kind::OutOfRange, problem, remedy));
                }
                let narrowest = self.spotfaces().map(|(_, _, across)| across);
                let narrowest = narrowest.fold(f64::INFINITY, f64::min);
                if TO_WALL * diameter.value > narrowest {
                    let problem = format!(
                        "a cut of {} leaves too little of a spotface of {}",
                        self.border.show_length(diameter.value),
                        self.border.show_length(narrowest)
                    );
                    let remedy = "ream first, or give a wider spotface";
                    return Err(self.table.about(&diameter, Kind::Geometry, problem, remedy));
                }
                Ok(SectionStage::Ream { diameter: diameter.value })
            }
            "spotface" => self.spotface(),
            _ => self.countersink(),
        }
    }

    /// Diameter that the hole was last made to, mm.
    fn nominal(&self) -> f64 {
        let reamed = self.before.iter().rev().find_map(|stage| match stage {
            SectionStage::Ream { diameter } => Some(*diameter),
            _ => None,
        });
        reamed.unwrap_or(self.part.starting_diameter)
    }

    /// Face, depth and diameter of the spotfaces before, mm.
    fn spotfaces(&self) -> impl Iterator<Item = (Face, f64, f64)> {
        self.before.iter().filter_map(|stage| match *stage {
            SectionStage::Spotface { face, depth, diameter } => Some((face, depth, diameter)),
            _ => None,
        })
    }

    /// The face that the stage names.
    fn face(&self) -> Result<Face, Complaint> {
        let remedy = "write `face = \"entry\"` or `face = \"exit\"`";
        face(self.table, "face")?.ok_or_else(|| self.table.missing("face", remedy))
    }

    /// The depth of a cut called `name`, which leaves some of the bore.
    fn depth(&self, name: &str, remedy: &str) -> Result<Valued<f64>, Complaint> {
        let depth = required_length(self.table, "depth", remedy, self.border)?;
        let left = self.part.thickness - self.spotfaces().map(|(_, depth, _)| depth).sum::<f64>();
        if depth.value < left {
            return Ok(depth);
        }
        let problem = format!(
            "a {name} of {} goes through a thickness of {}",
            self.border.show_length(depth.value),
            self.border.show_length(left)
        );
        Err(self.table.about(&depth, Kind::Geometry, problem, "leave some bore below it"))
    }

    fn spotface(&self) -> Result<SectionStage, Complaint> {
        self.table.only(&section_file::SECTION_SPOTFACE.names())?;
        let face = self.face()?;
        if self.spotfaces().any(|(known, ..)| known == face) {
            let remedy = "keep the wider or deeper one";
            return Err(self.table.stray("face", "this face has a spotface already", remedy));
        }
        let depth = self.depth("spotface", "give the depth of the floor below the face")?;
        let remedy = "give the diameter of the floor";
        let diameter = required_length(self.table, "diameter", remedy, self.border)?;
        let (least, most) = (TO_WALL * self.nominal(), 0.9 * self.part.outer_diameter);
        if !(least..=most).contains(&diameter.value) {
            let problem = format!(
                "a spotface of {} is outside {} to {}",
                self.border.show_length(diameter.value),
                self.border.show_length(least),
                self.border.show_length(most)
            );
            let remedy = "a spotface is wider than the hole and leaves a ring";
            return Err(self.table.about(&diameter, Kind::OutOfRange, problem, remedy));
        }
        Ok(SectionStage::Spotface { face, depth: depth.value, diameter: diameter.value })
    }

    /// Rejects a tool no larger than the hole was made.
    fn larger(&self, diameter: f64) -> Result<(), Complaint> {
        if diameter > self.nominal() {
            return Ok(());
        }
        let key = if self.table.has("applied_expansion") {
            "applied_expansion"
        } else {
            "mandrel_diameter"
        };
        let problem = format!(
            "mandrel and sleeve measure {}, no more than the hole of {}",
            self.border.show_length(diameter),
            self.border.show_length(self.nominal())
        );
        Err(self.table.stray(key, problem, "give a larger mandrel or a thicker sleeve"))
    }

    fn draw(&self, warnings: &mut Vec<String>) -> Result<SectionStage, Complaint> {
        self.table
            .only(&[section_file::DRAW.names(), section_file::DRAW_MANDREL.names()].concat())?;
        let tool = read_tool(self.table, self.nominal(), self.border)?;
        let keys = read_drawn(self.table, self.border, self.part, &tool, warnings)?;
        let drawn = DrawTool {
            mandrel_diameter: tool.mandrel_diameter,
            sleeve_thickness: tool.sleeve_thickness,
            sleeve: keys.sleeve,
            profile: keys.profile,
            friction: keys.friction,
            elastic: tool.elastic,
        };
        self.larger(drawn.acting_diameter())?;
        let (support, backwards) = (keys.support, keys.backwards);
        Ok(SectionStage::Draw { tool: drawn, support, backwards })
    }

    fn countersink(&self) -> Result<SectionStage, Complaint> {
        self.table.only(&section_file::SECTION_COUNTERSINK.names())?;
        let face = self.face()?;
        let remedy = "give the depth below the face at which the cone meets the bore";
        let depth = self.depth("countersink", remedy)?;
        let remedy = "give the whole angle of the cone in degrees; 100 is usual";
        let angle = angle(self.table, "angle", SINKS)?
            .ok_or_else(|| self.table.missing("angle", remedy))?;
        let widest = self.nominal() + 2.0 * depth.value * (0.5 * angle).tan();
        if widest >= 0.8 * self.part.outer_diameter {
            let problem = format!(
                "the countersink is {} wide at the face of a ring of {}",
                self.border.show_length(widest),
                self.border.show_length(self.part.outer_diameter)
            );
            let remedy = "give a smaller depth or angle";
            return Err(self.table.about(&depth, Kind::Geometry, problem, remedy));
        }
        Ok(SectionStage::Countersink { face, depth: depth.value, angle })
    }
}
