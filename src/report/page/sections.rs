//! The parts of the page that are made of numbers: answer, job, checks, metal.

use crate::process::stage::Stage;
use crate::report::escape::markup;
use crate::report::page::bushes::bushes;
use crate::report::page::html::{facts, list, table};
use crate::report::page::work_words::{outline_words, stage_words, tool_words};
use crate::report::run::RunReport;
use crate::report::show::{NOTHING, Show, angle, fixed, maybe_percent, percent, short, small};
use crate::report::table::path_rows;
use crate::result::summary::{PathSummary, StageSummary};
use crate::solver::supports::{Hold, Support};
use crate::units::quantity::Quantity;

/// Residual states: holes and paths.
pub(super) fn answer(report: &RunReport) -> String {
    let mut text = String::new();
    for stage in report.residual_stages() {
        text.push_str(&format!("<h3>{}</h3>\n", markup(&stage.stage)));
        text.push_str(&table(&format!("{}: holes", stage.stage), &hole_rows(report, stage)));
        text.push_str(&table(&format!("{}: paths", stage.stage), &path_rows(report, stage)));
        text.push_str(&bushes(report, stage));
        text.push_str(&bulges(report, stage));
    }
    text.push_str(
        "<p class=\"small\">Hoop stress about the centre of the named hole, tension positive; \
         angles counter-clockwise from +x; distances from the hole edge as it stands at that stage. \
         Depth: where the compression that begins at the edge ends. Plastic to, reverse to: how \
         far the metal has yielded, and yielded in reverse. Edge error: radial or shear \
         stress recovered at the bare edge, where there is none, over the peak hoop stress. \
         Pressure: contact pressure with the tool at full size.</p>\n",
    );
    text
}

/// How far each edge of the plate bulges, in one line.
fn bulges(report: &RunReport, stage: &StageSummary) -> String {
    if stage.edges.is_empty() {
        return String::new();
    }
    let show = Show { units: report.units };
    let each: Vec<String> = stage
        .edges
        .iter()
        .map(|edge| format!("{} {}", edge.edge, show.length(edge.bulge)))
        .collect();
    let mut line =
        format!("Bulge of the edges, {}: {}.", report.units.length_name(), each.join(", "));
    let units = report.units;
    let held = stage.edges.iter().filter_map(|edge| {
        let force = edge.support_force?.map(|part| Quantity::Force.at_border(part, units));
        let [x, y] = force.map(|part| short(part, units.force_digits()));
        Some(format!("{} ({x}, {y})", edge.edge))
    });
    let held: Vec<String> = held.collect();
    if !held.is_empty() {
        let forces = format!(
            " Forces of the supports on the plate along x and y, {}: {}.",
            units.force_name(),
            held.join(", ")
        );
        line += &forces;
    }
    format!("<p class=\"small\">{}</p>\n", markup(&line))
}

fn hole_rows(report: &RunReport, stage: &StageSummary) -> Vec<Vec<String>> {
    let show = Show { units: report.units };
    let (mm, mpa) = (report.units.length_name(), report.units.stress_name());
    let mut rows = vec![vec![
        "hole".to_owned(),
        "applied expansion".to_owned(),
        "retained expansion".to_owned(),
        format!("smallest diameter {mm}"),
        format!("largest diameter {mm}"),
        format!("mean pressure {mpa}"),
        format!("peak pressure {mpa}"),
        format!("mandrel shift {mm}"),
        "edge margin e/D".to_owned(),
    ]];
    let bearing = |name: &str| {
        let states = report.stages.iter().flat_map(|stage| &stage.holes);
        let stresses = states.filter(|hole| hole.hole == name).filter_map(|h| h.bearing_stress);
        stresses.reduce(f64::max)
    };
    let loaded = stage.holes.iter().any(|hole| bearing(&hole.hole).is_some());
    if loaded {
        rows[0].push(format!("largest bearing stress {mpa}"));
    }
    for hole in &stage.holes {
        let full = report.at_full_size(stage, &hole.hole);
        let none = || NOTHING.to_owned();
        rows.push(vec![
            hole.hole.clone(),
            maybe_percent(hole.applied_expansion),
            maybe_percent(hole.retained_expansion),
            show.length(hole.smallest_diameter),
            show.length(hole.largest_diameter),
            full.map_or_else(none, |full| show.stress(full.mean_pressure)),
            full.map_or_else(none, |full| show.stress(full.peak_pressure)),
            full.map_or_else(none, |f| show.length(f.mandrel_shift[0].hypot(f.mandrel_shift[1]))),
            fixed(hole.edge_margin, 2),
        ]);
        if let (true, Some(row)) = (loaded, rows.last_mut()) {
            row.push(bearing(&hole.hole).map_or_else(none, |stress| show.stress(stress)));
        }
    }
    rows
}

/// Plate, holes, and the work in words.
pub(super) fn job(report: &RunReport) -> String {
    let show = Show { units: report.units };
    let mm = report.units.length_name();
    let plate = &report.job.plate;
    let outline = outline_words(plate, show);
    let mut pairs = vec![
        (
            "Plate".to_owned(),
            format!("{outline}, {} {mm} thick", show.input_length(plate.thickness)),
        ),
        ("Idealisation".to_owned(), report.job.idealisation.name().to_owned()),
    ];
    for region in &report.job.regions {
        let thickness =
            region.thickness.map(|own| format!("{} {mm} thick", show.input_length(own)));
        let metal = Some(region.material_name.clone()).filter(|name| !name.is_empty());
        let elements = region.elements.map(|count| format!("{count} elements of the mesh"));
        let words: Vec<String> = thickness.into_iter().chain(metal).chain(elements).collect();
        pairs.push((format!("Region {}", region.name), words.join(", ")));
    }
    for hole in &plate.holes {
        let [x, y] = hole.centre.map(|value| show.input_length(value));
        let diameter = show.input_length(hole.starting_diameter);
        let last = report.stages.last();
        let margin = last.and_then(|s| s.holes.iter().find(|summary| summary.hole == hole.name));
        let margin = margin.map(|h| format!(", edge margin e/D {}", fixed(h.edge_margin, 2)));
        pairs.push((
            format!("Hole {}", hole.name),
            format!(
                "at ({x}, {y}) {mm}, starting diameter {diameter} {mm}{}",
                margin.unwrap_or_default()
            ),
        ));
    }
    for Support { edge, hold } in &report.job.supports {
        let words = match hold {
            Hold::Normal => format!("{edge} edge, free to slide along itself"),
            Hold::Both => format!("{edge} edge, built in"),
        };
        pairs.push(("Held".to_owned(), words));
    }
    let mut tools = report.tools().into_iter();
    let names: Vec<&str> = plate.holes.iter().map(|hole| hole.name.as_str()).collect();
    for (index, stage) in report.job.stages.iter().enumerate() {
        let words = match stage {
            Stage::Expand { .. } => tools
                .next()
                .map(|(_, tool, applied)| tool_words(&tool, applied, show))
                .unwrap_or_default(),
            other => stage_words(other, &names, show),
        };
        pairs.push((format!("Stage {}", stage.label(index + 1, &names)), words));
    }
    facts(&pairs)
}

/// Peak compression and edge stress under each law, path by path of the last state.
pub(super) fn bracket(report: &RunReport) -> String {
    if report.bracket.is_empty() {
        return String::new();
    }
    let show = Show { units: report.units };
    let (mm, mpa) = (report.units.length_name(), report.units.stress_name());
    let mut rows = vec![vec![
        "path".to_owned(),
        "hardening".to_owned(),
        format!("edge hoop {mpa}"),
        format!("compression {mpa}"),
        format!("at {mm}"),
        format!("depth {mm}"),
        "curve misfit".to_owned(),
    ]];
    // Path by path, so that the laws stand under each other.
    let count = report.bracket.iter().map(|law| law.paths.len()).max().unwrap_or(0);
    for (index, law) in (0..count).flat_map(|i| report.bracket.iter().map(move |law| (i, law))) {
        let Some(path) = law.paths.get(index) else { continue };
        let [compression, at] = show.peak(path.peak_compression);
        rows.push(vec![
            path_name(path),
            law.hardening.clone(),
            show.stress(path.edge_hoop),
            compression,
            at,
            show.maybe_length(path.compression_depth),
            format!("{} %", percent(law.curve_misfit)),
        ]);
    }
    let mut text = table("Hardening laws compared", &rows);
    text.push_str(
        "<p class=\"small\">The same first-pull curve, hardening by growth of the yield surface \
         only, as given, and by its shift only. Metals usually do something between the two.</p>\n",
    );
    text
}

/// Whether the numbers can be trusted: balance sheets, quality, effort.
pub(super) fn checks(report: &RunReport) -> String {
    let mm = report.units.length_name();
    let mut rows = vec![vec![
        "stage".to_owned(),
        "out-of-balance force".to_owned(),
        "energy imbalance".to_owned(),
        "net force on sections".to_owned(),
        "edge error".to_owned(),
        "axial check".to_owned(),
        "largest strain".to_owned(),
        format!("penetration {mm}"),
        "increments".to_owned(),
        "iterations".to_owned(),
        "factorizations".to_owned(),
    ]];
    for stage in report.stages {
        let sections = stage.sections.iter().map(|section| section.net_over_compressive.abs());
        let edges = stage.paths.iter().filter_map(|path| path.edge_error);
        let axial = stage.axial_stress_error.or(stage.net_axial_force);
        rows.push(vec![
            stage.stage.clone(),
            small(stage.equilibrium_residual),
            small(stage.energy_imbalance),
            largest(sections).map_or_else(|| NOTHING.to_owned(), small),
            maybe_percent(largest(edges).filter(|_| !stage.loaded)),
            axial.map_or_else(|| NOTHING.to_owned(), small),
            format!("{} %", percent(stage.largest_strain)),
            small(Quantity::Length.at_border(stage.largest_penetration, report.units)),
            stage.increments.to_string(),
            stage.iterations.to_string(),
            stage.factorizations.to_string(),
        ]);
    }
    let mut text = table("Checks", &rows);
    text.push_str(
        "<p class=\"small\">Out-of-balance force: over the sum of the element nodal forces. Energy \
         imbalance: work less stored less dissipated energy, over the work. Net force on sections: \
         the hoop stress over a full straight section through a hole has no resultant in a residual \
         state; largest net over compressive part. Axial check: largest stress through the \
         thickness over the yield stress (plane stress), or net axial force over yield stress times \
         area (generalised plane strain). Counts run from the start.</p>\n",
    );
    let halvings: usize = report.history.iter().map(|record| record.halvings).sum();
    let mut pairs = vec![("Halvings".to_owned(), halvings.to_string())];
    if let Some(mesh) = report.mesh {
        pairs.push((
            "Mesh".to_owned(),
            format!(
                "{} nodes, {} quadrilaterals, {} triangles, {} unknowns; 1 of {} equal parts modelled",
                mesh.nodes, mesh.quadrilaterals, mesh.triangles, mesh.unknowns, mesh.symmetry_copies
            ),
        ));
        pairs.push((
            "Mesh quality".to_owned(),
            format!(
                "smallest scaled Jacobian {}, largest aspect ratio {}",
                fixed(mesh.smallest_scaled_jacobian, 3),
                fixed(mesh.largest_aspect_ratio, 1)
            ),
        ));
    }
    text.push_str(&facts(&pairs));
    text
}

/// Constants of the metal and where they come from.
pub(super) fn metal(report: &RunReport) -> String {
    let show = Show { units: report.units };
    let mpa = report.units.stress_name();
    let material = &report.job.material;
    let pairs = [
        ("Metal".to_owned(), report.material_name.to_owned()),
        (
            "Young’s modulus".to_owned(),
            format!("{} {mpa}", show.input_stress(material.elasticity.youngs_modulus)),
        ),
        ("Poisson’s ratio".to_owned(), short(material.elasticity.poissons_ratio, 4)),
        ("Yield stress".to_owned(), format!("{} {mpa}", show.input_stress(material.yield_stress))),
    ];
    let mut text = facts(&pairs);
    if !report.material_sources.is_empty() {
        text.push_str("<p>Sources:</p>\n");
        text.push_str(&list(report.material_sources));
    }
    text
}

fn path_name(path: &PathSummary) -> String {
    format!("{} {}", path.hole, angle(path.angle_deg))
}

fn largest(values: impl Iterator<Item = f64>) -> Option<f64> {
    values.max_by(f64::total_cmp)
}
