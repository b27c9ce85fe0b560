//! A section as files and words: `section.csv`, `travel.csv`, `section.json`, and the answer for the
//! terminal. Everything is in the units of the section file.

use std::f64::consts::PI;
use std::fmt::Write as _;

use serde_json::{Value, json};

use crate::case::section::SectionCase;
use crate::material::hardening::Isotropic;
use crate::process::section::SectionStage;
use crate::process::section::record::{SectionSnapshot, SleeveRecord, TravelRecord};
use crate::report::cautions::CAUTIONS;
use crate::report::number::{rounded, text};
use crate::result::section::{SectionPath, SectionReading, hoop_by_row};
use crate::units::quantity::Quantity;

/// Version of the keys and columns.
const SCHEMA_VERSION: u32 = 1;

/// Limits of the section model; common practice, no source.
pub(crate) const SECTION_LIMITS: [&str; 4] = [
    "A section is a body of revolution: a near edge, a second hole and the slit of a split sleeve \
     are outside. The plane model has those, and not the thickness.",
    "Without the key `sleeve` a sleeve counts by its thickness: its own stiffness and its slip in the \
     hole are outside, and all friction of the mandrel acts on the bore.",
    "The skin within 3 % of the radius depends on the fillets between land and tapers.",
    "The metal is homogeneous and isotropic, free of stress at the start, and does not creep, \
     relax or crack.",
];

/// A stage: its state and what was read off it.
#[derive(Clone, Debug)]
pub struct SectionStageResult {
    /// The state.
    pub snapshot: SectionSnapshot,
    /// Values read.
    pub reading: SectionReading,
}

/// `section.csv`: stresses against distance at every depth and their mean, after every stage.
#[must_use]
pub(crate) fn section_csv(case: &SectionCase, stages: &[SectionStageResult]) -> String {
    let mut rows = String::from(
        "stage,hole,depth,distance,r,z,hoop,radial,axial,shear,von_mises,\
         equivalent_plastic_strain\n",
    );
    let length = |mm: f64| text(Quantity::Length.at_border(mm, case.units));
    let stress = |mpa: f64| text(Quantity::Stress.at_border(mpa, case.units));
    for stage in stages {
        for path in &stage.reading.paths {
            for point in &path.points {
                let depth = path.depth().map_or("mean".to_owned(), length);
                let columns = [
                    stage.reading.label.clone(),
                    case.job.hole.clone(),
                    depth,
                    length(point.distance),
                    length(point.r),
                    length(point.z),
                    stress(point.hoop),
                    stress(point.radial),
                    stress(point.axial),
                    stress(point.shear),
                    stress(point.von_mises),
                    text(point.equivalent_plastic_strain),
                ];
                rows.push_str(&columns.join(","));
                rows.push('\n');
            }
        }
    }
    rows
}

/// `hoop-map.csv`: hoop stress against distance in every row of the mesh, after every stage.
#[must_use]
pub(crate) fn hoop_map_csv(case: &SectionCase, stages: &[SectionStageResult]) -> String {
    let mut rows = String::from("stage,hole,depth,distance,hoop\n");
    let length = |mm: f64| text(Quantity::Length.at_border(mm, case.units));
    let stress = |mpa: f64| text(Quantity::Stress.at_border(mpa, case.units));
    for stage in stages {
        for (depth, hoop) in hoop_by_row(&stage.snapshot) {
            for (&distance, &value) in hoop.distances().iter().zip(hoop.values()) {
                let [depth, distance] = [depth, distance].map(length);
                let (label, hole) = (&stage.reading.label, &case.job.hole);
                let _ = writeln!(rows, "{label},{hole},{depth},{distance},{}", stress(value));
            }
        }
    }
    rows
}

/// `travel.csv`: a row for every increment. Forces are those of the whole ring, in N or kip.
#[must_use]
pub(crate) fn travel_csv(case: &SectionCase, travel: &[TravelRecord]) -> String {
    let mut rows = String::from(
        "stage,increment,travel,pull_force,friction_force,support_force,radial_force,\
         peak_pressure,iterations,contact_changes,halvings,unstable,residual,tool_work,\
         friction_work,elastic_energy,plastic_work,sleeve_end_force,sleeve_friction_force,sleeve_slip,\
         sleeve_plastic_strain\n",
    );
    let length = |mm: f64| text(Quantity::Length.at_border(mm, case.units));
    let stress = |mpa: f64| text(Quantity::Stress.at_border(mpa, case.units));
    let force = |newton: f64| text(newton / case.units.force_scale());
    let energy = |value: f64| text(Quantity::Energy.at_border(value, case.units));
    for record in travel {
        // Empty without a sleeve of its own elements in the hole.
        let of_sleeve = |show: &dyn Fn(&SleeveRecord) -> String| {
            record.sleeve.as_ref().map(show).unwrap_or_default()
        };
        let columns = [
            record.stage.clone(),
            record.increment.to_string(),
            length(record.travel),
            force(record.pull_force),
            force(record.friction_force),
            force(record.support_force),
            force(record.radial_force),
            stress(record.peak_pressure),
            record.iterations.to_string(),
            record.contact_changes.to_string(),
            record.halvings.to_string(),
            record.unstable.to_string(),
            text(record.residual),
            energy(record.tool_work),
            energy(record.friction_work),
            energy(record.elastic_energy),
            energy(record.plastic_work),
            of_sleeve(&|sleeve| force(sleeve.end_force)),
            of_sleeve(&|sleeve| force(sleeve.friction_force)),
            of_sleeve(&|sleeve| length(sleeve.slip)),
            of_sleeve(&|sleeve| text(sleeve.plastic_strain)),
        ];
        rows.push_str(&columns.join(","));
        rows.push('\n');
    }
    rows
}

/// Warnings about the file, and about stages in which the ring does not stay in its place by itself or the sleeve is
/// crushed.
#[must_use]
pub fn section_warnings(case: &SectionCase, stages: &[SectionStageResult]) -> Vec<String> {
    let of_stages = stages.iter().flat_map(|stage| stage_warnings(case, stage));
    case.warnings.iter().cloned().chain(of_stages).collect()
}

/// Those about one stage.
fn stage_warnings(case: &SectionCase, stage: &SectionStageResult) -> Vec<String> {
    unstable(stage).into_iter().chain(crushed(case, stage)).collect()
}

/// Words about a sleeve whose section bears more than its metal does: it is a strut between the drag of the mandrel and the
/// stop at its end. The strain beyond the last row of a hardening table is told with it.
fn crushed(case: &SectionCase, stage: &SectionStageResult) -> Vec<String> {
    let label = &stage.reading.label;
    let job = stage.snapshot.stage.checked_sub(1).and_then(|index| case.job.stages.get(index));
    let (Some(SectionStage::Draw { tool, .. }), Some(most)) = (job, largest_of_sleeve(stage))
    else {
        return Vec::new();
    };
    let Some(layer) = &tool.sleeve else { return Vec::new() };
    let section = PI * tool.sleeve_thickness * (tool.mandrel_diameter + tool.sleeve_thickness);
    let (mean, yields) = (most.end_force / section, layer.material.yield_stress);
    let stress = |mpa: f64| Quantity::Stress.at_border(mpa, case.units);
    let unit = case.units.stress_name();
    let mut warnings = Vec::new();
    if mean > yields {
        warnings.push(format!(
            "{label}: the force on the end of the sleeve is {:.0} {unit} of its section, above its yield stress of \
             {:.0} {unit}: it is crushed between mandrel and stop, to a plastic strain of {:.2}, and a real one may \
             fold; less friction on the mandrel, a thicker wall or a stronger steel keeps it whole",
            stress(mean),
            stress(yields),
            most.plastic_strain
        ));
    }
    if let Isotropic::Table { points, .. } = &layer.material.isotropic
        && let Some([end, _]) = points.last()
        && most.plastic_strain > *end
    {
        warnings.push(format!(
            "{label}: the sleeve strains by {:.3}, beyond the last row of its hardening table, {end}",
            most.plastic_strain
        ));
    }
    warnings
}

/// Words about a stage whose tangent had negative eigenvalues: Euler's column, in the shape of a ring.
fn unstable(stage: &SectionStageResult) -> Option<String> {
    let label = &stage.reading.label;
    let records = || increments(stage).filter(|record| record.unstable > 0);
    let (first, most) = (records().next()?, records().map(|record| record.unstable).max()?);
    let times = if most == 1 { "one direction" } else { "several directions" };
    Some(format!(
        "{label}: from {:.0} % of the way on the ring would buckle (dish) by itself, in {times}; \
         results are those of a plate that is kept from it, as in a stack or between flat tools",
        100.0 * first.share
    ))
}

/// The increments of a stage.
fn increments(stage: &SectionStageResult) -> impl Iterator<Item = &TravelRecord> {
    stage.snapshot.travel.iter().filter(|record| record.stage == stage.reading.label)
}

/// Largest pull of a stage, N.
pub(crate) fn largest_pull(stage: &SectionStageResult) -> f64 {
    increments(stage).map(|record| record.pull_force).fold(0.0, f64::max)
}

/// The largest values of the sleeve over a stage, where it is a layer of elements.
fn largest_of_sleeve(stage: &SectionStageResult) -> Option<SleeveRecord> {
    increments(stage).filter_map(|record| record.sleeve).reduce(|most, now| SleeveRecord {
        end_force: most.end_force.max(now.end_force),
        slip: most.slip.max(now.slip),
        plastic_strain: most.plastic_strain.max(now.plastic_strain),
        friction_force: most.friction_force.max(now.friction_force),
    })
}

/// `section.json`: the headline numbers.
///
/// # Errors
///
/// Whatever the JSON writer says; with these types it has nothing to say.
pub fn json(
    case: &SectionCase,
    stages: &[SectionStageResult],
    complete: bool,
) -> Result<String, serde_json::Error> {
    let length = |mm: f64| rounded(Quantity::Length.at_border(mm, case.units));
    let stress = |mpa: f64| rounded(Quantity::Stress.at_border(mpa, case.units));
    let path = |path: &SectionPath| -> Value {
        let headline = path.headline();
        json!({
            "depth": path.depth().map(length),
            "edge_hoop": stress(headline.edge),
            "peak_compression": stress(headline.peak_compression.0),
            "peak_compression_distance": length(headline.peak_compression.1),
            "depth_of_compression": headline.depth_of_compression.map(length),
            "edge_error": path.edge_error().map(rounded),
        })
    };
    let warnings = section_warnings(case, stages);
    let stages: Vec<Value> = stages
        .iter()
        .map(|stage| {
            let reading = &stage.reading;
            let bore = [0.05, 0.5, 0.95].map(|share| length(reading.gauge(share)));
            let last = stage.snapshot.travel.last();
            json!({
                "stage": reading.label,
                "heading": stage.snapshot.heading,
                "residual": !stage.snapshot.loaded,
                "paths": reading.paths.iter().map(path).collect::<Vec<_>>(),
                "bore_diameter": { "entry": bore[0], "middle": bore[1], "exit": bore[2] },
                "upset": { "entry": length(reading.upset[0]), "exit": length(reading.upset[1]) },
                "largest_pull_force": rounded(largest_pull(stage) / case.units.force_scale()),
                "sleeve": largest_of_sleeve(stage).map(|sleeve| json!({
                    "largest_end_force": rounded(sleeve.end_force / case.units.force_scale()),
                    "largest_friction_force":
                        rounded(sleeve.friction_force / case.units.force_scale()),
                    "largest_slip": length(sleeve.slip),
                    "largest_plastic_strain": rounded(sleeve.plastic_strain),
                })),
                "equilibrium_residual": last.map(|record| rounded(record.residual)),
                "increments": stage.snapshot.travel.len(),
                "factorizations": stage.snapshot.factorizations,
            })
        })
        .collect();
    let value = json!({
        "schema_version": SCHEMA_VERSION,
        "program": { "name": env!("CARGO_PKG_NAME"), "version": env!("CARGO_PKG_VERSION") },
        "complete": complete,
        "title": case.title,
        "case_sha256": case.sha256,
        "units": { "name": case.units.name(), "length": case.units.length_name(),
                   "stress": case.units.stress_name(), "force": case.units.force_name(),
                   "energy": case.units.energy_name() },
        "material": { "name": case.material_name, "sources": case.material_sources },
        "stages": stages,
        "warnings": warnings,
        "limits": SECTION_LIMITS,
        "cautions": CAUTIONS,
    });
    let mut text = serde_json::to_string_pretty(&value)?;
    text.push('\n');
    Ok(text)
}

/// Lines for the terminal about a stage.
#[must_use]
pub fn answer(case: &SectionCase, stage: &SectionStageResult) -> String {
    let (unit, mpa) = (case.units.length_name(), case.units.stress_name());
    let length = |mm: f64| Quantity::Length.at_border(mm, case.units);
    let stress = |value: f64| Quantity::Stress.at_border(value, case.units);
    let mut text = format!("{}: {}\n", stage.reading.label, stage.snapshot.heading);
    let _ = writeln!(
        text,
        "  depth ({unit})   hoop at the bore ({mpa})   highest compression ({mpa})   compression to ({unit})"
    );
    for path in &stage.reading.paths {
        let headline = path.headline();
        let depth = path.depth();
        let depth = depth.map_or_else(|| "mean".to_owned(), |mm| format!("{:.3}", length(mm)));
        let to = headline
            .depth_of_compression
            .map_or_else(|| "–".to_owned(), |distance| format!("{:.3}", length(distance)));
        let _ = writeln!(
            text,
            "  {depth:>10}   {:>23.1}   {:>26.1}   {to:>19}",
            stress(headline.edge),
            stress(headline.peak_compression.0)
        );
    }
    let [entry, middle, exit] = [0.05, 0.5, 0.95].map(|s| length(stage.reading.gauge(s)));
    let _ = writeln!(
        text,
        "  bore diameter at entry, middle, exit: {entry:.4}, {middle:.4}, {exit:.4} {unit}"
    );
    for warning in stage_warnings(case, stage) {
        let _ = writeln!(text, "  warning: {warning}");
    }
    let pull = largest_pull(stage);
    if pull > 0.0 {
        let scale = case.units.force_scale();
        let _ =
            writeln!(text, "  largest pull force: {:.3} {}", pull / scale, case.units.force_name());
    }
    if let Some(sleeve) = largest_of_sleeve(stage) {
        let force = |newton: f64| newton / case.units.force_scale();
        let _ = writeln!(
            text,
            "  sleeve: up to {:.3} {} on its end, slip in the hole {:.4} {unit}, plastic strain {:.4}",
            force(sleeve.end_force),
            case.units.force_name(),
            length(sleeve.slip),
            sleeve.plastic_strain
        );
    }
    text
}
