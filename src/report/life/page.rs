//! `life.html`: the lives on one page that needs nothing else, on a screen or on paper.

use crate::case::keys::CASE_FILE;
use crate::fatigue::initiation::UNCERTAINTY;
use crate::report::band::{Band, range};
use crate::report::cautions::CAUTIONS;
use crate::report::escape::markup;
use crate::report::inputs::echo;
use crate::report::life::corner;
use crate::report::life::outside::{DECIDE, OUTSIDE};
use crate::report::life::rows::{self, cycles};
use crate::report::life::stands;
use crate::report::life::text::{headline, loops, rise};
use crate::report::life::trade_rows;
use crate::report::measured;
use crate::report::page::figure::Figure;
use crate::report::page::html::{facts, list, table};
use crate::report::page::shell::Shell;
use crate::report::record::Record;
use crate::report::show::Show;
use crate::study::lives::LifeReport;

/// The page, complete with `figures` in the order given and the plate with its dimensions.
#[must_use]
pub fn page(
    report: &LifeReport,
    record: &Record,
    figures: &[Figure],
    drawing: Option<&Figure>,
) -> String {
    let target = format!(
        "A plain hole that lives {} cycles, {}. Load for each width is held, so thickness goes as one \
         over stress; a toughness that falls with thickness is not followed.",
        cycles(report.trade.target),
        report.trade.target_words
    );
    let trade = [
        paragraph(&target),
        table("The trade", &trade_rows::trade(report)),
        paragraph(&rise(report)),
    ]
    .concat();
    Shell {
        kind: "Crack growth and life, plain and expanded",
        title: &report.title,
        subtitle: format!(
            "{} · {} · units {}",
            report.material_name,
            report.idealisation,
            report.units.name()
        ),
        record: record.clone(),
        inputs: vec![("Case file".to_owned(), report.case_sha256.clone())],
        status: notes(report),
        asked: vec![
            "The cycles in which a crack grows from the initial flaw to the end of the part, from a plain hole and \
             from an expanded one, and by how much the expansion lengthens them."
                .to_owned(),
        ],
        answer: answer(report),
        band: Some(band(report)),
        drawing,
        parts: details(report, figures)
            .into_iter()
            .chain([
                ("Measured and computed", measured::html(&report.measured, report.units)),
                ("The trade", trade),
            ])
            .collect(),
        assumptions: OUTSIDE.map(str::to_owned).to_vec(),
        cautions: CAUTIONS.into_iter().chain([DECIDE]).collect(),
        echo: echo("Case file", &report.case_text, &CASE_FILE, report.units),
        footer: "columns and units of life.csv are described in life.json".to_owned(),
        ..Shell::default()
    }
    .html()
}

fn paragraph(text: &str) -> String {
    format!("<p>{}</p>\n", markup(text))
}

/// A table with a remark; nothing without rows.
fn noted(name: &str, rows: &[Vec<String>], note: &str) -> String {
    if rows.is_empty() { String::new() } else { table(name, rows) + note }
}

/// Headline, lives, and what the hardening law leaves open.
fn answer(report: &LifeReport) -> String {
    let lines: Vec<String> = headline(report).iter().map(|line| markup(line)).collect();
    let bounds = noted(
        "With the bounding hardening laws",
        &rows::bounds(report),
        &paragraph(
            "The same tensile curve with all hardening isotropic, and all of it kinematic; the worst \
             place of each. Read the life of the expanded hole as this range.",
        ),
    );
    format!(
        "<p class=\"headline\">{}</p>\n{}{bounds}",
        lines.join("<br>\n"),
        noted("Cycles from the initial flaw", &rows::lives(report), ""),
    )
}

/// The band of the shortest life of the expanded hole.
fn band(report: &LifeReport) -> Band {
    let show = Show { units: report.units };
    let mesh = match &report.mesh {
        Some(swing) => format!(
            "{} cycles, were all of the residual stress off by {:.1} %: the largest error of the defaults at an edge \
             in twenty-two cases, ±{} {}, over the stress at the edge",
            range(&swing.cycles, rows::life).unwrap_or_default(),
            100.0 * swing.share,
            show.stress(swing.edge),
            report.units.stress_name(),
        ),
        None => "not known for numerics coarser than the default".to_owned(),
    };
    let laws = report.bounds.iter().map(|bound| &bound.worst).chain([&report.governing]);
    let laws: Vec<f64> = laws.map(|worst| worst.expanded.life.cycles_borne()).collect();
    let hardening = match range(&laws, rows::life) {
        Some(ends) => format!("{ends} cycles, from all hardening isotropic to all kinematic"),
        None => "not computed, the key hardening_bracket does".to_owned(),
    };
    let section = match &report.corner {
        Some(_) => "; part-through cracks follow in the details",
        None => "",
    };
    Band {
        mesh,
        hardening,
        idealisation: format!(
            "one was computed, {}: a case with another idealisation gives the others{section}",
            report.idealisation
        ),
    }
}

fn details(report: &LifeReport, figures: &[Figure]) -> Vec<(&'static str, String)> {
    let part = |heading: &'static str, rows: &[Vec<String>], note: &str| {
        (heading, noted(heading, rows, note))
    };
    vec![
        part("With part-through cracks", &corner::lives(report), ""),
        part(
            "Drawn part-through cracks, worst place with and without the work",
            &corner::band(report),
            &format!(
                "{}{}",
                table("Swings of the part-through life", &corner::swings(report)),
                corner::notes(report).iter().map(|note| paragraph(note)).collect::<String>()
            ),
        ),
        part("Part-through cracks of other sizes", &corner::flaws(report), ""),
        ("Basis", facts(&stands::ground(report))),
        part(
            "With a share of the residual stress",
            &rows::knock_downs(report),
            &paragraph(
                "Worst place. Less than all of it may be there: at the entry face, after heat, after a loss in \
                 the work.",
            ),
        ),
        part("Inspection", &rows::inspections(report), ""),
        ("Figures", figures.iter().map(Figure::html).collect()),
        part("Stress intensity", &rows::parts(report), ""),
        part("Initiation at the edge", &rows::initiation(report), &{
            let loops = loops(report).map_or_else(String::new, |words| paragraph(&words));
            loops + &paragraph(UNCERTAINTY)
        }),
    ]
}

/// Flags of the constants and warnings, ahead of every number.
fn notes(report: &LifeReport) -> String {
    let all: Vec<String> =
        stands::flags(report).into_iter().chain(report.warnings.iter().cloned()).collect();
    if all.is_empty() {
        return String::new();
    }
    format!(
        "<div class=\"note\"><strong>Cautions of these numbers</strong>\n{}</div>\n",
        list(&all)
    )
}
