//! Corner cracks at the entry face in words and rows: for terminal and page.

use crate::fatigue::front::band::{FLAW_FACTOR, GROWTH_FACTOR};
use crate::fatigue::front::equations::Site;
use crate::fatigue::front::front_life::{FrontEnd, FrontLife};
use crate::fatigue::front::intensity::ANGLES;
use crate::fatigue::front::parts::IntensitySource;
use crate::fatigue::influence::Influence;
use crate::report::life::rows::{factor, life};
use crate::report::show::{NOTHING, Show, angle};
use crate::study::lives::{CornerReport, DepthSource, LifeReport};
use crate::study::section_beside::Faces;

/// The answer in one sentence, and how the field goes through the thickness in another.
pub(super) fn sentences(report: &LifeReport) -> Vec<String> {
    let Some(corner) = &report.corner else { return Vec::new() };
    let [plain, expanded] = corner.lives();
    let [low, middle, high] = [0, 2, 4].map(|k| corner.band.factors[k]);
    vec![
        format!(
            "A {} of the same size: {} cycles plain, {} expanded; factor {}, and {} \
             to {} between the 5th and the 95th percentile of {} drawn cracks (median {}).",
            kind(corner.worst().site),
            life(plain),
            life(expanded),
            over(expanded / plain),
            over(low),
            over(high),
            corner.band.count,
            over(middle)
        ),
        depth_sentence(report, corner),
    ]
}

/// How the residual field goes through the thickness.
fn depth_sentence(report: &LifeReport, corner: &CornerReport) -> String {
    match &corner.depth {
        DepthSource::Sections(used) => {
            let show = Show { units: report.units };
            let unit = report.units.stress_name();
            let holes = used.iter().map(|section| {
                let Faces { entry, middle, exit } = section.faces;
                let [entry_share, exit_share] = section.faces.shares();
                format!(
                    "hole {}, ring of {} {}: {} {unit} at the entry face, {} in the middle, {} at the exit face \
                     ({:.0} and {:.0} % of the middle)",
                    section.hole,
                    show.length(section.outer_diameter),
                    report.units.length_name(),
                    show.stress(entry),
                    show.stress(middle),
                    show.stress(exit),
                    100.0 * entry_share,
                    100.0 * exit_share
                )
            });
            let holes: Vec<String> = holes.collect();
            format!(
                "Through the thickness the residual stress is the plane path times the ratio of the section, with the \
                 mandrel drawn through it, to the plane model of the same ring, both with the strains of the case: an \
                 approximation, the section has neither edge nor neighbour. Hoop stress at the bore: {}.",
                holes.join("; ")
            )
        }
        DepthSource::File(file) => format!(
            "Through the thickness the residual stress is the plane field plus its change with depth in `{file}`, \
             that of a section: an approximation, the section is a ring."
        ),
        DepthSource::EntryShare => {
            let source = if corner.given {
                "given in the case"
            } else {
                "the middle of measured fields, 30 to 60 %, from memory"
            };
            format!(
                "Through the thickness the residual stress is an assumption: the plane field in the middle, {:.0} % \
                 of it at the entry face ({source}), linear between. A [section] in the case computes it.",
                100.0 * corner.entry
            )
        }
    }
}

/// A part-through crack in words.
pub(super) fn kind(site: Site) -> &'static str {
    match site {
        Site::HoleCorner(_) => "corner crack at the entry face",
        Site::Bore(_) => "surface crack in the middle of the bore",
        Site::EdgeCorner => "corner crack at the plate edge",
        Site::Face => "surface crack in the face",
    }
}

fn over(value: f64) -> String {
    if value.is_nan() { NOTHING.to_owned() } else { factor(value) }
}

fn end(place: &FrontLife, report: &LifeReport) -> String {
    let show = Show { units: report.units };
    let words = match place.end {
        FrontEnd::Arrest => "arrest",
        FrontEnd::Fracture => "fracture",
        FrontEnd::NetSectionYield => "net section yields",
        FrontEnd::EdgeReached => "edge reached",
        FrontEnd::CyclesReached => "cycles used up",
    };
    let Some(last) = place.last() else { return words.to_owned() };
    let (mm, c) = (report.units.length_name(), show.length(last.c));
    if place.through_at.is_some() {
        format!("{words}, through, c {c} {mm}")
    } else {
        format!("{words}, a {} c {c} {mm}", show.length(last.a))
    }
}

/// A row a place.
pub(super) fn lives(report: &LifeReport) -> Vec<Vec<String>> {
    let Some(corner) = &report.corner else { return Vec::new() };
    let head =
        ["part-through crack", "plain: cycles", "end", "expanded: cycles", "end", "improvement"];
    let mut rows = vec![head.map(str::to_owned).to_vec()];
    for at in &corner.places {
        let (plain, expanded) = (at.plain.cycles_borne(), at.expanded.cycles_borne());
        rows.push(vec![
            format!("{} {}, {}", at.hole, angle(at.angle_deg), kind(at.site)),
            life(plain),
            end(&at.plain, report),
            life(expanded),
            end(&at.expanded, report),
            over(expanded / plain),
        ]);
        // The other opinion.
        if let Some([plain, expanded]) = at.by_equations {
            let name = "the same by the published equations".to_owned();
            let (plain_life, factor) = (life(plain), over(expanded / plain));
            rows.push(vec![name, plain_life, String::new(), life(expanded), String::new(), factor]);
        }
    }
    rows
}

/// Percentiles of drawn lives and factors.
pub(super) fn band(report: &LifeReport) -> Vec<Vec<String>> {
    let Some(corner) = &report.corner else { return Vec::new() };
    let band = &corner.band;
    let mut rows =
        vec![["percentile", "expanded: cycles", "over the plain hole"].map(str::to_owned).to_vec()];
    rows.extend((0..band.percents.len()).map(|k| {
        vec![format!("{:.0}", band.percents[k]), life(band.lives[k]), over(band.factors[k])]
    }));
    rows
}

/// Sensitivities of the life, largest first.
pub(super) fn swings(report: &LifeReport) -> Vec<Vec<String>> {
    let Some(corner) = &report.corner else { return Vec::new() };
    let head = ["quantity", "from", "cycles", "to", "cycles"];
    let mut rows = vec![head.map(str::to_owned).to_vec()];
    // A section leaves nothing to assume about the entry face.
    let assumed = corner.depth == DepthSource::EntryShare;
    let swings = corner.band.swings.iter().filter(|swing| assumed || swing.name != "entry face");
    rows.extend(swings.map(|swing| {
        vec![
            swing.name.to_owned(),
            swing.ends[0].clone(),
            life(swing.lives[0]),
            swing.ends[1].clone(),
            life(swing.lives[1]),
        ]
    }));
    rows
}

/// Lives with the flaws of public military guidance.
pub(super) fn flaws(report: &LifeReport) -> Vec<Vec<String>> {
    let Some(corner) = &report.corner else { return Vec::new() };
    let show = Show { units: report.units };
    let head = [
        format!("flaw {}", report.units.length_name()),
        "plain: cycles".to_owned(),
        "expanded: cycles".to_owned(),
    ];
    let mut rows = vec![head.to_vec()];
    rows.extend(
        corner
            .flaws
            .iter()
            .map(|one| vec![show.length(one.flaw), life(one.plain), life(one.expanded)]),
    );
    rows
}

/// Basis of the corner crack, in words.
pub(super) fn notes(report: &LifeReport) -> Vec<String> {
    let Some(corner) = &report.corner else { return Vec::new() };
    let [face, bore] = ANGLES;
    let spread = &corner.band.spread;
    let percent = |[low, high]: [f64; 2]| format!("{:.0} to {:.0} %", 100.0 * low, 100.0 * high);
    let mut notes = vec![
        intensity_note(corner),
        format!(
            "K is read at {face}° from the face for the tip on the face and at {bore}° for the tip in the bore; at the \
             faces themselves the stress is not that of a crack front. A tip that superposition closes does not grow; \
             the pressure of its faces, just enough to bring K there to zero, opens the other tip a little and is \
             counted."
        ),
        "When it has gone through the thickness it is a straight through crack as long as on the entry face \
         (common practice, no source); K jumps there. The residual stress is redistributed by the growing crack \
         as an elastic body does it, which superposition of K contains; plastic flow ahead of the tip is left out."
            .to_owned(),
        format!(
            "Drawn: the flaw within a factor of {FLAW_FACTOR} and growth within {GROWTH_FACTOR} at two standard \
             deviations, the residual field between {} of the one given{}; the same seed every time.",
            percent(spread.whole),
            match corner.depth {
                DepthSource::EntryShare =>
                    format!(" and its entry face between {}", percent(spread.entry)),
                _ => String::new(),
            }
        ),
        match corner.retardation {
            Some(power) => format!(
                "Growth is retarded after overloads by Wheeler's model (1972, as S. Kłysz states it, 2001) with exponent {power}, \
                 which must be fitted to tests of the spectrum."
            ),
            None => "Retardation after overloads is off; `retardation` sets its exponent.".to_owned(),
        },
    ];
    if let Some(outside) = &corner.worst().outside {
        notes.push(format!(
            "The crack grows to shapes outside the range of its stress intensities: {outside}; the nearest shape \
             in the range serves the table there, and the equations are extrapolated."
        ));
    }
    notes
}

/// Where K comes from, in words.
fn intensity_note(corner: &CornerReport) -> String {
    match corner.worst().grower.table.source() {
        IntensitySource::InfluenceTable => format!(
            "Quarter ellipse at the corner of bore and entry face, as deep as long at the start. K from a table of \
             influence coefficients made with a three-dimensional model (verification/corner-cracks), for a wide plate, \
             with the edge correction of through cracks on the load{}; the published equations (Newman and Raju 1984), \
             1 to 10 % below finite elements, are the other opinion.",
            table_range(corner)
        ),
        IntensitySource::PublishedEquations => {
            "Part of an ellipse, as deep as long at the start. K by published equations (Newman and Raju 1984), 1 to \
             10 % below later finite elements for corner cracks at holes, and for stresses that are not those of a wide \
             plate by a weight function as a ratio to them: the table of influence coefficients does not have this crack."
                .to_owned()
        }
    }
}

/// Error of the table of influence coefficients and where it was tested, in words that follow a phrase.
fn table_range(corner: &CornerReport) -> String {
    let grower = &corner.worst().grower;
    let geometry = grower.geometry;
    let table = Influence::new(geometry.sides(), geometry.radius(), grower.table.thickness());
    let Some(table) = table else { return String::new() };
    let [radii, aspects, depths] = table.ranges();
    format!(
        ", within {:.1} % of the largest K of the front for r/t {} to {}, a/c {} to {} and a/t up to {}",
        100.0 * table.error(),
        radii[0],
        radii[1],
        aspects[0],
        aspects[1],
        depths[1]
    )
}
