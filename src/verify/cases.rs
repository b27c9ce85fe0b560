//! The cases of the book: one folder in `verification/` and one file here each.
//!
//! A new case is its folder, its file, its `mod` line and its line in [`CASES`]; the order there is
//! that of the book.

mod cooks_membrane;
mod crack_intensity;
mod eccentric_hole;
mod edge_hole_pressed;
mod edge_hole_pulled;
mod edge_margin;
mod elliptic_front;
mod elliptic_membrane;
mod expanded_ring;
mod expansion;
mod growth;
mod hardening_sheet;
mod interference_fit;
mod kirsch;
mod lame;
mod large_sheet;
mod limit_pressure;
mod net_section;
mod notched_bar;
mod patch_test;
mod plastic_sheet;
mod published_trends;
mod pulled_bar;
mod ream;
mod residual_cylinder;
mod residual_intensity;
mod reverse_cylinder;
mod reverse_hardening;
mod strain_path;
mod strip_with_hole;
mod thick_cylinder;
mod two_holes;

use crate::texts;
use crate::verify::bench::Bench;
use crate::verify::findings::Findings;
use crate::verify::trouble::Trouble;

/// A case: the files of its folder and how its numbers are computed.
#[derive(Clone, Copy, Debug)]
pub struct Entry {
    /// Name of its folder.
    pub name: &'static str,
    /// Computes.
    pub run: fn(&Bench<'_>) -> Result<Findings, Trouble>,
}

impl Entry {
    /// Its input file.
    #[must_use]
    pub fn input(&self) -> &'static str {
        texts::text(&format!("verification/{}/case.toml", self.name))
    }

    /// Its expectations.
    #[must_use]
    pub fn expected(&self) -> &'static str {
        texts::text(&format!("verification/{}/expected.toml", self.name))
    }
}

macro_rules! entries {
    ($($name:literal => $module:ident),* $(,)?) => {
        &[$(Entry {
            name: $name,
            run: $module::run,
        }),*]
    };
}

/// All cases, in the order of the book.
pub const CASES: &[Entry] = entries![
    "patch-test" => patch_test,
    "lame" => lame,
    "interference-fit" => interference_fit,
    "kirsch" => kirsch,
    "strip-with-hole" => strip_with_hole,
    "eccentric-hole" => eccentric_hole,
    "two-holes" => two_holes,
    "edge-hole-pulled" => edge_hole_pulled,
    "edge-hole-pressed" => edge_hole_pressed,
    "elliptic-membrane" => elliptic_membrane,
    "cooks-membrane" => cooks_membrane,
    "strain-path" => strain_path,
    "pulled-bar" => pulled_bar,
    "thick-cylinder" => thick_cylinder,
    "limit-pressure" => limit_pressure,
    "residual-cylinder" => residual_cylinder,
    "reverse-cylinder" => reverse_cylinder,
    "reverse-hardening" => reverse_hardening,
    "plastic-sheet" => plastic_sheet,
    "large-sheet" => large_sheet,
    "hardening-sheet" => hardening_sheet,
    "elliptic-front" => elliptic_front,
    "net-section" => net_section,
    "notched-bar" => notched_bar,
    "expanded-ring" => expanded_ring,
    "ream" => ream,
    "expansion" => expansion,
    "edge-margin" => edge_margin,
    "published-trends" => published_trends,
    "crack-intensity" => crack_intensity,
    "residual-intensity" => residual_intensity,
    "growth" => growth,
];
