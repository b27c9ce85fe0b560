//! `hoopset check`: what a case amounts to, before anything is solved.

use std::path::{Path, PathBuf};
use std::process::ExitCode;

use crate::case::Case;
use crate::cli::args::Check;
use crate::cli::exit::CliError;
use crate::cli::output::say;
use crate::cli::warn;
use crate::mesh::export;
use crate::mesh::topology::Mesh;
use crate::plot::{FigureContext, mesh_picture};
use crate::process::stage::Stage;
use crate::process::stage_error::StageError;
use crate::report::folder::ResultsFolder;
use crate::result::read::path_lines;
use crate::result::summary::MeshSummary;
use crate::study::effort::effort;
use crate::study::lives::plan;
use crate::units::Units;

/// The mesh in the folder of a check.
pub(crate) const MESH: &str = "mesh.vtu";

pub(crate) fn check(arguments: &Check, case: &Case) -> Result<ExitCode, CliError> {
    life_checked(case, &arguments.case)?;
    case.warnings.iter().for_each(|warning| warn(warning));
    let mesh = case.mesh().map_err(StageError::from)?;
    print_case(case);
    print_mesh(&mesh);
    say!("  a run takes about {}", effort(case, 2 * mesh.nodes.len()).words());
    for note in case.imported.iter().flat_map(|imported| &imported.notes) {
        say!("  imported: {note}");
    }
    let target = arguments.out.clone().unwrap_or_else(|| beside(&arguments.case, "mesh"));
    let folder = ResultsFolder::create(&target)?;
    folder.write(MESH, &export::vtu(&mesh, case.job.plate.thickness, case.units.length_scale()))?;
    let context = FigureContext { case_title: &case.title, units: case.units };
    let paths = path_lines(&case.job.plate, &case.path_angles);
    let pictures = folder.path("");
    let figures = mesh_picture(&mesh, &case.job.plate.holes, &paths, context, &pictures)?;
    let kept = folder.finish_as(true)?;
    say!("wrote {}", kept.join(MESH).display());
    for name in figures.iter().filter_map(|figure| figure.png.file_name()) {
        say!("drew {}", kept.join(name).display());
    }
    Ok(ExitCode::SUCCESS)
}

/// Settles what lives would stand on, so that `check` and `run` find what `life` would reject.
pub(crate) fn life_checked(case: &Case, file: &Path) -> Result<(), CliError> {
    if case.life.is_some() {
        plan(case).map_err(|refusal| CliError::no_lives(file, refusal))?;
    }
    Ok(())
}

/// `CASE-NAME` beside the case file.
pub(crate) fn beside(case: &Path, name: &str) -> PathBuf {
    let stem = case.file_stem().unwrap_or(case.as_os_str()).to_string_lossy();
    case.with_file_name(format!("{stem}-{name}"))
}

/// A length to a thousandth of a millimetre, or the ten-thousandth of an inch that drawings give.
pub(crate) fn length(value: f64, units: Units) -> String {
    let decimals = if units == Units::InKsi { 4 } else { 3 };
    format!("{:.*} {}", decimals, value / units.length_scale(), units.length_name())
}

fn print_case(case: &Case) {
    let plate = &case.job.plate;
    let length = |value: f64| length(value, case.units);
    say!("{}", case.title);
    say!(
        "  {}, {}, thickness {}",
        case.material_name,
        case.job.idealisation.name(),
        length(plate.thickness)
    );
    let mut diameters: Vec<f64> = plate.holes.iter().map(|hole| hole.starting_diameter).collect();
    let mut in_plate: Vec<Option<f64>> = vec![None; diameters.len()];
    for (number, stage) in case.job.stages.iter().enumerate() {
        let names: Vec<&str> = plate.holes.iter().map(|hole| hole.name.as_str()).collect();
        let label = stage.label(number + 1, &names);
        match stage {
            Stage::Expand { hole, tool } => say!(
                "  {label}: tool {}, applied expansion {:.2} %",
                length(tool.acting_diameter()),
                100.0 * tool.applied_expansion(diameters[*hole]),
            ),
            Stage::Ream { hole, diameter, .. } => {
                say!(
                    "  {label}: to {}, {} of diameter beyond the {}",
                    length(*diameter),
                    length(diameter - diameters[*hole]),
                    length(diameters[*hole]),
                );
                diameters[*hole] = *diameter;
            }
            Stage::Bush(bush) => {
                say!(
                    "  {label}: {} by {}, {}, {} of diameter beyond the hole",
                    length(bush.inner_diameter),
                    length(bush.outer_diameter),
                    bush.material_name,
                    length(bush.outer_diameter - diameters[bush.hole]),
                );
                // The plate ends where its first bush begins.
                in_plate[bush.hole].get_or_insert(bush.outer_diameter);
                diameters[bush.hole] = bush.inner_diameter;
            }
            Stage::Fasten { diameter: None, .. } => say!("  {label}: neat fit"),
            Stage::Fasten { diameter: Some(diameter), .. } => {
                say!("  {label}: pin {}", length(*diameter));
            }
            Stage::Join { .. } | Stage::Detach { .. } | Stage::Unfasten { .. } => say!("  {label}"),
            Stage::Temperature { difference, .. } => {
                say!("  {label}: {difference} from the drawing");
            }
            Stage::Load { cycles, .. } => say!("  {label}: {cycles} cycle(s)"),
            Stage::Service { program, .. } => {
                let [highest, lowest] = program.extremes();
                let ratio = if highest > 0.0 {
                    format!(", load ratio {:.3}", lowest / highest)
                } else {
                    String::new()
                };
                say!(
                    "  {label}: {} reversals between {lowest} and {highest} times the load{ratio}",
                    program.reversals()
                );
            }
        }
    }
    for region in &case.job.regions {
        let own = region.thickness.unwrap_or(plate.thickness);
        let elements = region.elements.map(|count| format!(", {count} elements of the mesh"));
        let (name, own) = (&region.name, length(own));
        say!("  region {name}: {own} thick{}", elements.unwrap_or_default());
    }
    for (index, hole) in plate.holes.iter().enumerate() {
        let nearest = plate.nearest_edge(index);
        let across = in_plate[index].unwrap_or(diameters[index]);
        say!(
            "  hole {}: edge margin e/D {:.2} to the {} edge (D {}), ligament {}",
            hole.name,
            plate.edge_margin(index, across),
            nearest.name,
            length(across),
            length(plate.ligament(index)),
        );
        if let Some(shape) = hole.out_of_round {
            say!(
                "    out of round by {} in {} lobes, one towards {:.0}°",
                length(shape.deviation),
                shape.lobes,
                shape.toward.to_degrees()
            );
        }
    }
}

fn print_mesh(mesh: &Mesh) {
    let part = match mesh.symmetry.copies() {
        1 => "the whole plate",
        2 => "half the plate",
        _ => "a quarter of the plate",
    };
    print_mesh_of(part, mesh);
}

/// Says size and quality of the mesh of `part`.
pub(crate) fn print_mesh_of(part: &str, mesh: &Mesh) {
    let summary = MeshSummary::of(mesh);
    say!(
        "  mesh of {part}: {} nodes, {} quadrilaterals, {} triangles, {} unknowns",
        summary.nodes,
        summary.quadrilaterals,
        summary.triangles,
        summary.unknowns
    );
    say!(
        "  quality: smallest scaled Jacobian {:.2}, largest aspect ratio {:.1}",
        summary.smallest_scaled_jacobian,
        summary.largest_aspect_ratio
    );
}
