//! Sections beside a plane case as files and words: `map.csv`, `beside.csv`, `section.json`, the answer.

use std::fmt::Write as _;

use serde_json::{Value, json};

use crate::case::Case;
use crate::case::keys::CASE_FILE;
use crate::fatigue::front::field::SectionField;
use crate::numeric::profile::Profile;
use crate::process::section::{Rim, SectionPart};
use crate::report::band::range;
use crate::report::cautions::CAUTIONS;
use crate::report::escape::markup;
use crate::report::inputs::echo;
use crate::report::number::{rounded, text};
use crate::report::page::figure::Figure;
use crate::report::page::html::table;
use crate::report::page::shell::Shell;
use crate::report::record::Record;
use crate::report::section::SECTION_LIMITS;
use crate::report::section_page::{section_band, warnings_note};
use crate::report::show::Show;
use crate::result::section::SectionHeadline;
use crate::study::section_beside::{Faces, HoleSection};
use crate::units::Units;
use crate::units::quantity::Quantity;

/// Version of the keys and columns.
const SCHEMA_VERSION: u32 = 1;

/// A sentence that stands beside every map.
pub const APPROXIMATION: &str = "The map is an approximation: plane path times the ratio of the section to the plane model \
     of the same ring. On the ring itself it has no error; what an edge, a neighbour or a load does to the plane \
     path it is taken to do at every depth in proportion. Section and ring measure strain as the case does.";

/// Hoop stress over distance and depth on one path of the plane case.
#[derive(Clone, Debug)]
pub struct PathMap {
    /// Name of the hole.
    pub hole: String,
    /// Direction of the path, degrees counter-clockwise from +x.
    pub angle_deg: f64,
    /// Hoop stress, MPa and mm.
    pub field: SectionField,
}

fn length(units: Units, mm: f64) -> String {
    text(Quantity::Length.at_border(mm, units))
}

fn stress(units: Units, mpa: f64) -> String {
    text(Quantity::Stress.at_border(mpa, units))
}

/// `map.csv`: hoop stress at every depth and distance, path by path.
#[must_use]
pub fn map_csv(units: Units, maps: &[PathMap]) -> String {
    let mut rows = String::from("hole,angle_deg,depth,distance,hoop\n");
    for map in maps {
        for &depth in map.field.depths() {
            for &distance in map.field.distances() {
                let hoop = stress(units, map.field.at(distance, depth));
                let [z, x] = [depth, distance].map(|mm| length(units, mm));
                // Writing to a string cannot fail.
                let _ = writeln!(rows, "{},{},{z},{x},{hoop}", map.hole, text(map.angle_deg));
            }
        }
    }
    rows
}

/// `beside.csv`: hoop stress of the ring in every plane model and of the section at every depth.
#[must_use]
pub fn beside_csv(units: Units, sections: &[HoleSection]) -> String {
    let mut rows = String::from("hole,model,depth,distance,hoop\n");
    for section in sections {
        let hole = section.hole();
        for ring in &section.rings {
            let name = ring.idealisation.name();
            for (x, hoop) in ring.hoop.distances().iter().zip(ring.hoop.values()) {
                let (x, hoop) = (length(units, *x), stress(units, *hoop));
                let _ = writeln!(rows, "{hole},{name},,{x},{hoop}");
            }
        }
        for path in &section.reading.paths {
            let depth = path.depth().map_or_else(|| "mean".to_owned(), |mm| length(units, mm));
            for point in &path.points {
                let (x, hoop) = (length(units, point.distance), stress(units, point.hoop));
                let _ = writeln!(rows, "{hole},section,{depth},{x},{hoop}");
            }
        }
    }
    rows
}

/// The headline numbers of a profile of hoop stress.
fn headline(profile: &Profile) -> SectionHeadline {
    let edge = profile.values().first().copied().unwrap_or(0.0);
    let lowest = profile.lowest().map_or((0.0, 0.0), |at| (at.value, at.distance));
    let pairs: Vec<(f64, f64)> =
        (profile.distances().iter().copied()).zip(profile.values().iter().copied()).collect();
    let turn = pairs.windows(2).find(|two| two[0].1 < 0.0 && two[1].1 >= 0.0);
    let end = turn.map(|two| {
        let share = two[0].1 / (two[0].1 - two[1].1);
        two[0].0 + share * (two[1].0 - two[0].0)
    });
    SectionHeadline { edge, peak_compression: lowest, depth_of_compression: end }
}

/// `section.json` of a plane case.
///
/// # Errors
///
/// Whatever the JSON writer says; with these types it has nothing to say.
pub fn json(case: &Case, sections: &[HoleSection]) -> Result<String, serde_json::Error> {
    let length = |mm: f64| rounded(Quantity::Length.at_border(mm, case.units));
    let stress = |mpa: f64| rounded(Quantity::Stress.at_border(mpa, case.units));
    let numbers = |headline: SectionHeadline| {
        json!({
            "edge_hoop": stress(headline.edge),
            "peak_compression": stress(headline.peak_compression.0),
            "peak_compression_distance": length(headline.peak_compression.1),
            "depth_of_compression": headline.depth_of_compression.map(length),
        })
    };
    let one = |section: &HoleSection| -> Value {
        let part = &section.job.part;
        let rings = section.rings.iter().map(|ring| {
            json!({ "idealisation": ring.idealisation.name(), "numbers": numbers(headline(&ring.hoop)) })
        });
        let depths = section.reading.paths.iter().map(|path| {
            json!({
                "depth": path.depth().map(length),
                "numbers": numbers(path.headline()),
            })
        });
        let [entry, exit] = section.faces().shares();
        json!({
            "hole": section.hole(),
            "outer_diameter": length(part.outer_diameter),
            "rim": part.rim,
            "rings": rings.collect::<Vec<_>>(),
            "section": depths.collect::<Vec<_>>(),
            "entry_over_middle": rounded(entry),
            "exit_over_middle": rounded(exit),
        })
    };
    let value = json!({
        "schema_version": SCHEMA_VERSION,
        "program": { "name": env!("CARGO_PKG_NAME"), "version": env!("CARGO_PKG_VERSION") },
        "complete": true,
        "title": case.title,
        "case_sha256": case.sha256,
        "units": { "name": case.units.name(), "length": case.units.length_name(),
                   "stress": case.units.stress_name() },
        "material": { "name": case.material_name, "sources": case.material_sources },
        "strains": "small",
        "idealisation": case.job.idealisation.name(),
        "holes": sections.iter().map(one).collect::<Vec<_>>(),
        "map": APPROXIMATION,
        "limits": SECTION_LIMITS,
        "cautions": CAUTIONS,
    });
    let mut text = serde_json::to_string_pretty(&value)?;
    text.push('\n');
    Ok(text)
}

/// Tables of every hole as a page shows them, `warnings` about their sections ahead of them.
#[must_use]
pub fn page(
    case: &Case,
    sections: &[HoleSection],
    record: &Record,
    (figures, drawing): (&[Figure], Option<&Figure>),
    warnings: &[String],
) -> String {
    let answer: String = sections.iter().map(|section| hole_table(case, section)).collect();
    Shell {
        kind: "Residual hoop stress through the thickness, beside the plane model",
        title: &case.title,
        subtitle: format!(
            "{} · {} · units {}",
            case.material_name,
            case.job.idealisation.name(),
            case.units.name()
        ),
        record: record.clone(),
        inputs: vec![("Case file".to_owned(), case.sha256.clone())],
        asked: vec![
            "The residual hoop stress at the entry face, the middle and the exit face of every expanded hole, \
             against that of the plane model of the same ring."
                .to_owned(),
        ],
        status: warnings_note(warnings),
        answer,
        band: sections.first().map(|section| {
            section_band((&section.job, case.units), rings_apart(case, sections))
        }),
        drawing,
        parts: vec![("Figures", figures.iter().map(Figure::html).collect())],
        assumptions: SECTION_LIMITS.into_iter().chain([APPROXIMATION]).map(str::to_owned).collect(),
        cautions: CAUTIONS.to_vec(),
        echo: echo("Case file", &case.text, &CASE_FILE, case.units),
        footer: "numbers stand in section.json, beside.csv and map.csv".to_owned(),
        ..Shell::default()
    }
    .html()
}

/// How far the plane models of the rings are apart at the bore.
fn rings_apart(case: &Case, sections: &[HoleSection]) -> String {
    let show = Show { units: case.units };
    let of_hole = |section: &HoleSection| {
        let edges: Vec<f64> = section.rings.iter().map(|ring| headline(&ring.hoop).edge).collect();
        let ends = range(&edges, |stress| show.stress(stress)).unwrap_or_default();
        format!("hole {} {ends} {} at the bore", section.hole(), case.units.stress_name())
    };
    let words: Vec<String> = sections.iter().map(of_hole).collect();
    format!("plane models of the ring: {}; the section itself needs none", words.join(", "))
}

fn hole_table(case: &Case, section: &HoleSection) -> String {
    let show = Show { units: case.units };
    let (mm, mpa) = (case.units.length_name(), case.units.stress_name());
    let mut rows = vec![vec![
        "model".to_owned(),
        format!("hoop at the bore {mpa}"),
        format!("highest compression {mpa}"),
        format!("compression to {mm}"),
    ]];
    for (name, numbers) in headlines(case, section) {
        rows.push(vec![
            name,
            show.stress(numbers.edge),
            show.stress(numbers.peak_compression.0),
            show.maybe_length(numbers.depth_of_compression),
        ]);
    }
    let hole = section.hole();
    format!(
        "<h3>Hole {}</h3>\n{}",
        markup(hole),
        table(&format!("Hole {hole}: section and ring"), &rows)
    )
}

/// Names and headline numbers of the ring in every plane model and of the section at every depth.
fn headlines(case: &Case, section: &HoleSection) -> Vec<(String, SectionHeadline)> {
    let mm = case.units.length_name();
    let length = |value: f64| Quantity::Length.at_border(value, case.units);
    let thickness = section.job.part.thickness;
    let rings = section
        .rings
        .iter()
        .map(|ring| (format!("plane model, {}", ring.idealisation.name()), headline(&ring.hoop)));
    let depths = section.reading.paths.iter().map(|path| {
        let name = match path.share {
            None => "section, mean over the thickness".to_owned(),
            Some(share) if share <= 0.0 => "section, entry face".to_owned(),
            Some(share) if share >= 1.0 => "section, exit face".to_owned(),
            Some(share) => format!("section, {:.3} {mm} deep", length(share * thickness)),
        };
        (name, path.headline())
    });
    rings.chain(depths).collect()
}

/// Lines for the terminal about one hole.
#[must_use]
pub fn answer(case: &Case, section: &HoleSection) -> String {
    let (mm, mpa) = (case.units.length_name(), case.units.stress_name());
    let length = |value: f64| Quantity::Length.at_border(value, case.units);
    let stress = |value: f64| Quantity::Stress.at_border(value, case.units);
    let SectionPart { outer_diameter, rim, .. } = section.job.part;
    let rim = match rim {
        Rim::Free => "free",
        Rim::Flat => "flat",
    };
    let mut text = format!(
        "Hole {}: a ring of {:.4} {mm} with its rim {rim}, residual hoop stress\n\
         {:>38} {:>12} {:>16} {:>18}\n",
        section.hole(),
        length(outer_diameter),
        "",
        format!("bore ({mpa})"),
        format!("lowest ({mpa})"),
        format!("compression to ({mm})"),
    );
    let mut row = |name: &str, numbers: SectionHeadline| {
        let to = numbers
            .depth_of_compression
            .map_or_else(|| "–".to_owned(), |to| format!("{:.3}", length(to)));
        let [edge, lowest] =
            [numbers.edge, numbers.peak_compression.0].map(|value| format!("{:.1}", stress(value)));
        // Writing to a string cannot fail.
        let _ = writeln!(text, "  {name:<36} {edge:>12} {lowest:>16} {to:>18}");
    };
    for (name, numbers) in headlines(case, section) {
        row(&name, numbers);
    }
    let faces = section.faces();
    let Faces { entry, middle, exit } = faces;
    let [entry_share, exit_share] = faces.shares();
    let _ = writeln!(
        text,
        "  the entry face differs from the middle by {:+.1} {mpa} and keeps {:.0} % of it, the exit face by {:+.1} {mpa} \
         and {:.0} %",
        stress(entry - middle),
        100.0 * entry_share,
        stress(exit - middle),
        100.0 * exit_share
    );
    text
}
