//! `hoopset check` of a file that may be a section file: what its work amounts to, before anything is solved.

use std::process::ExitCode;

use crate::case::section::{SectionCase, SectionInput, read_any};
use crate::cli::args::Check;
use crate::cli::check::{MESH, beside, check, length, print_mesh_of};
use crate::cli::exit::CliError;
use crate::cli::output::say;
use crate::cli::warn;
use crate::mesh::export;
use crate::process::section::run::SectionRun;
use crate::process::section::{DrawTool, Face, Rim, SectionStage};
use crate::report::folder::ResultsFolder;
use crate::study::effort::section_effort;

pub(crate) fn check_either(arguments: &Check) -> Result<ExitCode, CliError> {
    match read_any(&arguments.case)? {
        SectionInput::Section(case) => check_section(arguments, &case),
        SectionInput::Plane(case) => check(arguments, &case),
    }
}

fn check_section(arguments: &Check, case: &SectionCase) -> Result<ExitCode, CliError> {
    case.warnings.iter().for_each(|warning| warn(warning));
    // Meshed and set up as `section` does it; what that refuses is refused here.
    let run = SectionRun::new(case.job.clone())?;
    let mesh = &run.system().mesh;
    print_work(case);
    print_mesh_of("the section", mesh);
    let effort = section_effort(&case.job, 2 * mesh.nodes.len());
    say!("  `hoopset section` takes about {}", effort.words());
    let target = arguments.out.clone().unwrap_or_else(|| beside(&arguments.case, "mesh"));
    let folder = ResultsFolder::create(&target)?;
    let thickness = case.job.part.thickness;
    folder.write(MESH, &export::vtu(mesh, thickness, case.units.length_scale()))?;
    say!("wrote {}", folder.finish_as(true)?.join(MESH).display());
    Ok(ExitCode::SUCCESS)
}

fn print_work(case: &SectionCase) {
    let (job, part) = (&case.job, &case.job.part);
    let length = |value: f64| length(value, case.units);
    let percent =
        |tool: f64, hole: f64| format!("applied expansion {:.2} %", 100.0 * (tool / hole - 1.0));
    say!("{}", case.title);
    let rim = match part.rim {
        Rim::Free => "free",
        Rim::Flat => "flat",
    };
    say!(
        "  {}, section, thickness {}, ring of {} with a {rim} rim",
        case.material_name,
        length(part.thickness),
        length(part.outer_diameter)
    );
    let mut hole = part.starting_diameter;
    for (number, stage) in job.stages.iter().enumerate() {
        let label = job.label(number);
        match stage {
            SectionStage::Draw { tool, backwards, .. } => {
                let DrawTool { profile, .. } = tool;
                let enters = if *backwards { Face::Exit } else { Face::Entry };
                let sleeve = if tool.sleeve.is_some() { ", sleeve of elements" } else { "" };
                say!(
                    "  {label}: tool {}, {}, land {}, half angles {:.1}° and {:.1}°, in at the {} face{sleeve}",
                    length(tool.acting_diameter()),
                    percent(tool.acting_diameter(), hole),
                    length(profile.land),
                    profile.lead_angle.to_degrees(),
                    profile.trail_angle.to_degrees(),
                    name(enters)
                );
            }
            SectionStage::Grow { diameter } => {
                say!("  {label}: tool {}, {}", length(*diameter), percent(*diameter, hole));
            }
            SectionStage::Ream { diameter } => {
                let beyond = length(diameter - hole);
                say!(
                    "  {label}: to {}, {beyond} of diameter beyond the {}",
                    length(*diameter),
                    length(hole)
                );
                hole = *diameter;
            }
            SectionStage::Spotface { face, depth, diameter } => {
                let (depth, face) = (length(*depth), name(*face));
                say!("  {label}: {} wide, {depth} below the {face} face", length(*diameter));
            }
            SectionStage::Countersink { face, depth, angle } => {
                let (depth, face) = (length(*depth), name(*face));
                let angle = angle.to_degrees();
                say!("  {label}: {angle:.0}°, {depth} below the {face} face");
            }
        }
    }
}

fn name(face: Face) -> &'static str {
    match face {
        Face::Entry => "entry",
        Face::Exit => "exit",
    }
}
