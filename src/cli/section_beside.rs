//! Sections beside a plane case: computed for `hoopset section` and `hoopset life`, written by the first.

use std::path::Path;
use std::process::ExitCode;
use std::sync::Arc;
use std::sync::atomic::AtomicBool;

use crate::case::Case;
use crate::case::section::SectionCase;
use crate::cli::args::Section;
use crate::cli::check::{beside, life_checked};
use crate::cli::drawing::case_drawing;
use crate::cli::exit::{CliError, INTERRUPTED};
use crate::cli::finished::{Finished, finished};
use crate::cli::output::say;
use crate::cli::progress::{Shares, interrupt_flag};
use crate::cli::resume_section::SectionStages;
use crate::cli::section_files::{Watch, draw_figures, write_section};
use crate::cli::warn;
use crate::plot::{DepthMap, FigureContext, depth_map, hoop_beside};
use crate::process::snapshot::Snapshot;
use crate::report::folder::{ResultsFolder, SUMMARY};
use crate::report::page::figure::Figure;
use crate::report::section::{SectionStageResult, section_warnings};
use crate::report::section_beside::{
    APPROXIMATION, PathMap, answer, beside_csv, json, map_csv, page,
};
use crate::result::read::read;
use crate::study::lives::residual_state;
use crate::study::section_beside::{HoleSection, section};

/// How far from the bore figures reach, over the starting radius.
const REACH: f64 = 4.0;

/// A section and all of its stages.
pub(crate) struct Computed {
    /// The section as a file of its own would describe it.
    pub(crate) case: SectionCase,
    /// Every stage.
    pub(crate) stages: Vec<SectionStageResult>,
    /// Its last state beside the ring.
    pub(crate) section: HoleSection,
}

/// Computes the sections of a case, from what `folder` or the results of `hoopset section` have of them unless `fresh`;
/// `None` when `stop` was raised.
pub(crate) fn compute(
    (case, file): (&Case, &Path),
    (folder, fresh): (&ResultsFolder, bool),
    stop: &Arc<AtomicBool>,
) -> Result<Option<Vec<Computed>>, CliError> {
    let mut all = Vec::with_capacity(case.sections.len());
    for of_hole in &case.sections {
        let job = &of_hole.section;
        let shares = Shares::new("section", vec![1.0; job.stages.len()]);
        let disk =
            SectionStages::new(folder, job, fresh).of_hole(&job.hole, beside(file, "section"));
        let mut watch = Watch::new(&shares, Arc::clone(stop), &disk);
        let run = watch.begin(job);
        let outcome = run.and_then(|run| {
            section((case, of_hole), run, stop, &mut watch, |watch| {
                let last = watch.kept.iter().rev().find(|stage| !stage.snapshot.loaded);
                last.map(|last| &last.snapshot)
            })
        });
        shares.finish();
        watch.refused()?;
        let fail = |error| CliError::Section { hole: job.hole.clone(), error: Box::new(error) };
        let Some(section) = outcome.map_err(fail)? else { return Ok(None) };
        // A ring or a last state is missing only when nothing was computed.
        let Some(section) = section else { continue };
        let case = SectionCase::beside(case, of_hole);
        all.push(Computed { case, stages: watch.kept, section });
    }
    Ok(Some(all))
}

/// `hoopset section` of a case file with a `[section]`.
pub(crate) fn beside_plane(arguments: &Section, case: &Case) -> Result<ExitCode, CliError> {
    life_checked(case, &arguments.case)?;
    let target = arguments.out.clone().unwrap_or_else(|| beside(&arguments.case, "section"));
    if target.join(SUMMARY).exists() {
        return Err(CliError::Exists(target));
    }
    let stop = interrupt_flag();
    let how = (arguments.threads, arguments.fresh);
    let snapshots = match finished(case, &arguments.case, how, &stop)? {
        Finished::Stages(snapshots) => snapshots,
        Finished::Ended(code) => return Ok(code),
    };
    let folder = ResultsFolder::create(&target)?;
    let asked = (&folder, arguments.fresh);
    let computed = match compute((case, &arguments.case), asked, &stop) {
        Ok(Some(computed)) => computed,
        Ok(None) => {
            // The stages that were finished stay in it for the next run.
            drop(folder);
            warn(
                "interrupted: no section was written; the stages that were finished are kept, and the same command \
                 goes on from there",
            );
            return Ok(ExitCode::from(INTERRUPTED));
        }
        Err(error) => {
            folder.abandon()?;
            return Err(error);
        }
    };
    folder.write("case.toml", case.text.as_bytes())?;
    for one in &computed {
        write_section(&folder, &format!("{}/", one.section.hole()), &one.case, &one.stages, true)?;
        draw_figures(
            &one.case,
            &one.stages,
            &[],
            &folder.subfolder(&format!("{}/figures", one.section.hole()))?,
        )?;
    }
    let warnings: Vec<String> = computed.iter().flat_map(warnings_of).collect();
    for warning in &warnings {
        warn(warning);
    }
    let sections: Vec<HoleSection> = computed.into_iter().map(|one| one.section).collect();
    let maps = maps(case, &snapshots, &sections)?;
    folder.write("beside.csv", beside_csv(case.units, &sections).as_bytes())?;
    folder.write("map.csv", map_csv(case.units, &maps).as_bytes())?;
    folder.write("section.json", json(case, &sections).map_err(CliError::Json)?.as_bytes())?;
    let figures = draw(case, &sections, &maps, &folder.subfolder("figures")?)?;
    let drawing = case_drawing(case, &folder)?;
    let pictures = (&figures[..], Some(&drawing));
    let text = page(case, &sections, &arguments.paper.record(), pictures, &warnings);
    folder.write("section.html", text.as_bytes())?;
    for section in &sections {
        say!("{}", answer(case, section));
    }
    let kept = folder.finish_as(true)?;
    say!("{APPROXIMATION}\nresults: {}", kept.display());
    Ok(ExitCode::SUCCESS)
}

/// Warnings about the section of one hole, which say whose they are.
fn warnings_of(computed: &Computed) -> Vec<String> {
    let own = section_warnings(&computed.case, &computed.stages);
    own.iter()
        .map(|warning| format!("section of hole {}: {warning}", computed.section.hole()))
        .collect()
}

/// The map of every path of the last residual state.
fn maps(
    case: &Case,
    snapshots: &[Snapshot],
    sections: &[HoleSection],
) -> Result<Vec<PathMap>, CliError> {
    let Some(state) = residual_state(snapshots) else { return Ok(Vec::new()) };
    let (stage, _) = read(state, &case.job, &case.path_angles).map_err(CliError::Read)?;
    let paths = stage.paths.iter().filter_map(|path| {
        let section = sections.iter().find(|section| section.hole() == path.hole)?;
        let field = section.field(&path.hoop())?;
        Some(PathMap { hole: path.hole.clone(), angle_deg: path.angle_deg, field })
    });
    Ok(paths.collect())
}

fn draw(
    case: &Case,
    sections: &[HoleSection],
    maps: &[PathMap],
    into: &Path,
) -> Result<Vec<Figure>, CliError> {
    let context = FigureContext { case_title: &case.title, units: case.units };
    let mut figures = Vec::new();
    for section in sections {
        let part = &section.job.part;
        let most = 0.5 * (part.outer_diameter - part.starting_diameter);
        let reach = (0.5 * REACH * part.starting_diameter).min(most);
        let rings: Vec<_> =
            section.rings.iter().map(|ring| (ring.idealisation.name(), &ring.hoop)).collect();
        let hole = section.hole();
        let figure = hoop_beside((hole, &section.reading), &rings, reach, context, into)?;
        let caption = format!("Hole {hole}: section at three depths beside the plane ring");
        figures.push(Figure::read(&figure.png, caption)?);
        for map in maps.iter().filter(|map| map.hole == section.hole()) {
            let end = map.field.distances().last().copied().unwrap_or(reach);
            let drawn = DepthMap {
                name: &format!("map-{}-{:.0}", map.hole, map.angle_deg),
                title: &format!(
                    "Hole {}, {:.0}°: plane path × section ratio",
                    map.hole, map.angle_deg
                ),
                stage: "residual hoop stress, an approximation",
                reach: reach.min(end),
                field: &map.field,
            };
            let figure = depth_map(&drawn, context, into)?;
            figures.push(Figure::read(&figure.png, drawn.title)?);
        }
    }
    Ok(figures)
}
