//! `life.html`: the lives on one page that needs nothing else, on a screen or on paper.

use crate::fatigue::initiation::UNCERTAINTY;
use crate::report::cautions::CAUTIONS;
use crate::report::escape::markup;
use crate::report::life::corner;
use crate::report::life::outside::{DECIDE, OUTSIDE};
use crate::report::life::rows::{self, cycles};
use crate::report::life::stands;
use crate::report::life::text::{headline, loops, rise};
use crate::report::page::STYLE;
use crate::report::page::figure::Figure;
use crate::report::page::html::{details, document, facts, list, section, table};
use crate::study::lives::LifeReport;

/// The page, complete with `figures` in the order given.
#[must_use]
pub fn page(report: &LifeReport, figures: &[Figure]) -> String {
    let paragraph = |text: &str| format!("<p>{}</p>\n", markup(text));
    let part = |heading: &str, rows: &[Vec<String>], note: &str| {
        if rows.is_empty() { String::new() } else { section(heading, &(table(rows) + note)) }
    };
    let target = format!(
        "A plain hole that lives {} cycles, {}. Load for each width is held, so thickness goes as one \
         over stress; a toughness that falls with thickness is not followed.",
        cycles(report.trade.target),
        report.trade.target_words
    );
    let trade =
        [paragraph(&target), table(&rows::trade(report)), paragraph(&rise(report))].concat();
    let cautions: Vec<&str> = CAUTIONS.into_iter().chain([DECIDE]).collect();
    let body = [
        header(report),
        notes(report),
        format!(
            "<p class=\"headline\">{}</p>\n",
            headline(report).iter().map(|line| markup(line)).collect::<Vec<_>>().join("<br>\n")
        ),
        part("Cycles from the initial flaw", &rows::lives(report), ""),
        part("With part-through cracks", &corner::lives(report), ""),
        part(
            "Drawn part-through cracks, worst place with and without the work",
            &corner::band(report),
            &format!(
                "{}{}",
                table(&corner::swings(report)),
                corner::notes(report).iter().map(|note| paragraph(note)).collect::<String>()
            ),
        ),
        part("Part-through cracks of other sizes", &corner::flaws(report), ""),
        section("What it stands on", &facts(&stands::ground(report))),
        part(
            "With the bounding hardening laws",
            &rows::bounds(report),
            &paragraph(
                "The same tensile curve with all hardening isotropic, and all of it kinematic; the worst \
                 place of each. Read the life of the expanded hole as this range.",
            ),
        ),
        part(
            "With a share of the residual stress",
            &rows::knock_downs(report),
            &paragraph(
                "Worst place. Less than all of it may be there: at the entry face, after heat, after a loss in \
                 the work.",
            ),
        ),
        part("Inspection", &rows::inspections(report), ""),
        section("Figures", &figures.iter().map(Figure::html).collect::<String>()),
        part("Stress intensity", &rows::parts(report), ""),
        part("Initiation at the edge", &rows::initiation(report), &{
            let loops = loops(report).map_or_else(String::new, |words| paragraph(&words));
            loops + &paragraph(UNCERTAINTY)
        }),
        section("The trade", &trade),
        section("Outside this model", &list(&OUTSIDE)),
        section("Cautions", &list(&cautions)),
        section(
            "Case",
            &details(
                "The case file as written",
                &format!("<pre>{}</pre>\n", markup(&report.case_text)),
            ),
        ),
        format!(
            "<footer>{} {} · columns and units of <code>life.csv</code> are described in \
             <code>life.json</code></footer>\n",
            env!("CARGO_PKG_NAME"),
            env!("CARGO_PKG_VERSION"),
        ),
    ]
    .concat();
    document(&report.title, &[STYLE], &body)
}

fn header(report: &LifeReport) -> String {
    let title = markup(&report.title);
    format!(
        "<header>\n<h1>{title}</h1>\n<p class=\"subtitle\">What the expansion is worth: crack growth \
         and life · {} · {} · units {}</p>\n</header>\n",
        markup(&report.material_name),
        report.idealisation,
        report.units.name(),
    )
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
