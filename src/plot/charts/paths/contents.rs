//! Contents of a chart of paths beside the stages, and their table.

use std::fmt::Write as _;

use crate::numeric::profile::Profile;
use crate::plot::charts::paths::choice::Shown;
use crate::plot::charts::scales::{Normal, Scales};
use crate::plot::figure::cell;
use crate::process::measured::{Component, Measured, MeasuredPoint};

/// A further line: a closed form, or another run.
#[derive(Clone, Debug, PartialEq)]
pub struct Overlay {
    /// Words in the legend, with the source.
    pub label: String,
    /// Hoop stress (MPa) against distance from the hole edge (mm).
    pub profile: Profile,
}

/// An area between two profiles, e.g. what the hardening law leaves open.
#[derive(Clone, Debug, PartialEq)]
pub struct Band {
    /// Words in the legend.
    pub label: String,
    /// Its two ends, hoop stress (MPa) against distance from the hole edge (mm); they may cross.
    pub ends: [Profile; 2],
}

/// Contents of a chart of paths beside the stages.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct PathChart<'a> {
    /// Further lines.
    pub overlays: &'a [Overlay],
    /// Measured points; those of other holes are left out.
    pub measured: &'a [Measured],
    /// Areas behind the lines.
    pub bands: &'a [Band],
    /// Largest distance shown, mm; 3 diameters when `None`.
    pub reach: Option<f64>,
    /// Length and stress that values are divided by; the units of the case when `None`.
    pub normal: Option<Normal<'a>>,
}

/// The measured points of one hole.
pub(super) struct Measures<'a> {
    pub(super) of: &'a [Measured],
    pub(super) hole: &'a str,
    /// Whether it is the first of the plate, to which points without a hole belong.
    pub(super) first: bool,
}

impl Measures<'_> {
    /// Every measurement of hoop stress that has points here, with its number.
    pub(super) fn each(&self) -> impl Iterator<Item = (usize, Vec<&MeasuredPoint>)> {
        let each = self.of.iter().enumerate().filter(|(_, one)| one.component == Component::Hoop);
        each.map(|(k, measured)| (k, measured.of_hole(self.hole, self.first).collect::<Vec<_>>()))
            .filter(|(_, points)| !points.is_empty())
    }
}

pub(super) fn scaled(profile: &Profile, scales: Scales) -> Vec<[f64; 2]> {
    let pairs = profile.distances().iter().zip(profile.values());
    pairs.map(|(x, y)| [scales.length(*x), scales.stress(*y)]).collect()
}

/// One end of a band at the distances of both, as far as both reach.
pub(super) fn over(end: &Profile, both: &[Profile; 2], scales: Scales) -> Vec<[f64; 2]> {
    let last = |profile: &Profile| profile.distances().last().copied().unwrap_or(0.0);
    let reach = last(&both[0]).min(last(&both[1]));
    let mut places: Vec<f64> = both.iter().flat_map(Profile::distances).copied().collect();
    places.retain(|place| *place <= reach);
    places.sort_by(f64::total_cmp);
    places.dedup();
    let point = |place: f64| Some([scales.length(place), scales.stress(end.at(place)?)]);
    places.into_iter().filter_map(point).collect()
}

/// All curves in the scales of the chart.
pub(super) fn table(
    all: &Shown,
    beside: &PathChart<'_>,
    own: &Measures<'_>,
    scales: Scales,
) -> String {
    let [length, stress] = scales.columns("distance", "hoop");
    let mut text = format!("curve,angle_deg,{length},{stress}\n");
    let mut put = |curve: &str, angle: &str, points: &[[f64; 2]]| {
        for [distance, value] in points {
            // Writing to a string cannot fail.
            let _ = writeln!(text, "{},{angle},{distance},{value}", cell(curve));
        }
    };
    for (stage, paths) in all {
        for path in paths {
            put(&stage.label, &path.angle_deg.to_string(), &scaled(&path.hoop(), scales));
        }
    }
    for overlay in beside.overlays {
        put(&overlay.label, "", &scaled(&overlay.profile, scales));
    }
    for band in beside.bands {
        for (end, profile) in ["one end", "other end"].iter().zip(&band.ends) {
            put(&format!("{}, {end}", band.label), "", &scaled(profile, scales));
        }
    }
    for (k, points) in own.each() {
        for point in points {
            let angle = point.angle_deg.map_or_else(String::new, |angle| angle.to_string());
            let at = [scales.length(point.distance), scales.stress(point.stress)];
            put(&beside.measured[k].label, &angle, &[at]);
        }
    }
    text
}
