//! `section.html`: a section on one page that needs nothing else.

use crate::case::keys::section_file;
use crate::case::section::SectionCase;
use crate::process::section::SectionJob;
use crate::report::band::Band;
use crate::report::cautions::CAUTIONS;
use crate::report::escape::markup;
use crate::report::inputs::echo;
use crate::report::measured;
use crate::report::page::figure::Figure;
use crate::report::page::html::{list, table};
use crate::report::page::shell::Shell;
use crate::report::record::Record;
use crate::report::section::{SECTION_LIMITS, SectionStageResult, largest_pull, section_warnings};
use crate::report::show::{NOTHING, Show, fixed, maybe_percent, small};
use crate::result::accuracy::section_error;
use crate::result::measured::Agreement;
use crate::result::section::SectionPath;
use crate::units::Units;

/// The page; `figures` in the order given, `drawing` the ring with its dimensions.
#[must_use]
pub fn section_page(
    case: &SectionCase,
    stages: &[SectionStageResult],
    complete: bool,
    record: &Record,
    measured: &[Agreement],
    pictures: (&[Figure], Option<&Figure>),
) -> String {
    let (figures, drawing) = pictures;
    let mut status = String::new();
    if !complete {
        status.push_str(
            "<div class=\"note bad\"><strong>The work was not finished; these results are incomplete.</strong></div>\n",
        );
    }
    status.push_str(&warnings_note(&section_warnings(case, stages)));
    let residual: Vec<&SectionStageResult> =
        stages.iter().filter(|stage| !stage.snapshot.loaded).collect();
    let (answer, earlier) = match residual.split_last() {
        None => {
            ("<p class=\"headline\">No stage has been finished.</p>\n".to_owned(), String::new())
        }
        Some((last, earlier)) => {
            let table = |stage: &&SectionStageResult| {
                format!("<h3>{}</h3>\n{}", markup(&stage.reading.label), of_stage(case, stage))
            };
            let answer = format!("{}{}", headline(case, last), of_stage(case, last));
            (answer, earlier.iter().map(table).collect())
        }
    };
    Shell {
        kind: "Residual hoop stress through the thickness",
        title: &case.title,
        subtitle: format!("{} · section · units {}", case.material_name, case.units.name()),
        record: record.clone(),
        inputs: vec![("Section file".to_owned(), case.sha256.clone())],
        status,
        asked: vec![
            "The residual hoop stress at the bore and outward, at the entry face, the middle and the exit face, and \
             the force of the pull."
                .to_owned(),
        ],
        answer,
        band: Some(section_band(
            (&case.job, case.units),
            "does not apply: the section has the thickness; that it is a body of revolution stands in its place"
                .to_owned(),
        )),
        drawing,
        parts: vec![
            ("Earlier stages", earlier),
            ("Figures", figures.iter().map(Figure::html).collect()),
            ("Measured and computed", measured::html(measured, case.units)),
            ("Checks", checks(case, stages)),
            (
                "Metal",
                format!(
                    "<p>{}</p>\n{}",
                    markup(&case.material_name),
                    if case.material_sources.is_empty() { String::new() } else { list(&case.material_sources) }
                ),
            ),
        ],
        assumptions: SECTION_LIMITS.map(str::to_owned).to_vec(),
        cautions: CAUTIONS.to_vec(),
        echo: echo("Section file", &case.text, &section_file(), case.units),
        footer: "numbers stand in section.json, stresses in section.csv and hoop-map.csv".to_owned(),
        ..Shell::default()
    }
    .html()
}

/// The band of a section.
pub(in crate::report) fn section_band(
    (job, units): (&SectionJob, Units),
    idealisation: String,
) -> Band {
    let show = Show { units };
    let error = |share| {
        let error = section_error(&job.numerics, job.material.yield_stress, share);
        error.map(|error| format!("±{}", show.stress(error)))
    };
    let known = [None, Some(0.0), Some(0.05), Some(0.25), Some(0.95), Some(1.0)].map(error);
    let mesh = match known {
        [Some(mean), Some(entry), Some(near), Some(quarter), Some(far), Some(exit)] => format!(
            "hoop stress at the bore {mean} {unit} from 50 to 75 % of the thickness and in the mean, {near} at 5 %, \
             {quarter} at 25 %, {far} at 95 %, {entry} at the entry face, {exit} at the exit face: draws without \
             friction and with 0.1 on a mesh twice as fine",
            unit = units.stress_name()
        ),
        _ => "not known for numerics coarser than the default".to_owned(),
    };
    Band {
        mesh,
        hardening: "one law was computed; the ends are those of a file with all hardening isotropic, and all \
                    kinematic, in its material table"
            .to_owned(),
        idealisation,
    }
}

/// Warnings ahead of a page; nothing where there are none.
pub(in crate::report) fn warnings_note(warnings: &[String]) -> String {
    if warnings.is_empty() {
        return String::new();
    }
    format!("<div class=\"note\"><strong>Warnings</strong>\n{}</div>\n", list(warnings))
}

/// Depth of a path as a word or a length.
fn depth(case: &SectionCase, path: &SectionPath) -> String {
    let (Some(share), Some(depth)) = (path.share, path.depth()) else { return "mean".to_owned() };
    if share <= 0.0 {
        "entry face".to_owned()
    } else if share >= 1.0 {
        "exit face".to_owned()
    } else {
        let show = Show { units: case.units };
        format!("{} {} deep", show.length(depth), case.units.length_name())
    }
}

/// The depth that keeps the least compression at the bore.
fn headline(case: &SectionCase, stage: &SectionStageResult) -> String {
    let show = Show { units: case.units };
    let single = stage.reading.paths.iter().filter(|path| path.share.is_some());
    let weakest = single.max_by(|a, b| a.headline().edge.total_cmp(&b.headline().edge));
    let Some(path) = weakest else { return String::new() };
    let words = format!(
        "After {}, least compression at the bore: {}, hoop stress {} {}.",
        stage.reading.label,
        depth(case, path),
        crate::report::page::html::minus(&show.stress(path.headline().edge)),
        case.units.stress_name(),
    );
    format!("<p class=\"headline\">{}</p>\n", markup(&words))
}

fn of_stage(case: &SectionCase, stage: &SectionStageResult) -> String {
    let show = Show { units: case.units };
    let (mm, mpa) = (case.units.length_name(), case.units.stress_name());
    let mut rows = vec![vec![
        "depth".to_owned(),
        format!("hoop at the bore {mpa}"),
        format!("highest compression {mpa}"),
        format!("at {mm}"),
        format!("compression to {mm}"),
        "edge error".to_owned(),
    ]];
    for path in &stage.reading.paths {
        let headline = path.headline();
        rows.push(vec![
            depth(case, path),
            show.stress(headline.edge),
            show.stress(headline.peak_compression.0),
            show.length(headline.peak_compression.1),
            show.maybe_length(headline.depth_of_compression),
            maybe_percent(path.edge_error()),
        ]);
    }
    let [entry, middle, exit] =
        [0.05, 0.5, 0.95].map(|share| show.length(stage.reading.gauge(share)));
    let pull = largest_pull(stage);
    let pull = if pull > 0.0 {
        format!(
            " Largest pull force: {} {}.",
            fixed(pull / case.units.force_scale(), case.units.force_digits()),
            case.units.force_name()
        )
    } else {
        String::new()
    };
    format!(
        "{}<p>Bore diameter near the entry face, in the middle, near the exit face: {entry}, {middle}, {exit} {mm}. \
         Lip of the entry face {}, of the exit face {} {mm}.{pull}</p>\n",
        table(&format!("{}: depths", stage.reading.label), &rows),
        show.length(stage.reading.upset[0]),
        show.length(stage.reading.upset[1]),
    )
}

fn checks(case: &SectionCase, stages: &[SectionStageResult]) -> String {
    let head = ["stage", "heading", "out-of-balance force", "increments", "factorizations"];
    let mut rows = vec![head.map(str::to_owned).to_vec()];
    for stage in stages {
        let last = stage.snapshot.travel.last();
        rows.push(vec![
            stage.reading.label.clone(),
            stage.snapshot.heading.clone(),
            last.map_or_else(|| NOTHING.to_owned(), |record| small(record.residual)),
            stage.snapshot.travel.len().to_string(),
            stage.snapshot.factorizations.to_string(),
        ]);
    }
    let friction = "Out-of-balance force: over the sum of the element nodal forces. Counts run from the start.";
    format!(
        "{}<p class=\"small\">{friction} Hole {}.</p>\n",
        table("Checks", &rows),
        markup(&case.job.hole)
    )
}
