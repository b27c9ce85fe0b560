//! `inspector.html`: one printed page for the inspector, A4 or letter.
//!
//! Style is inside the file; it fetches nothing and runs no script.

use crate::case::shop::{Shop, Size};
use crate::fit::statistics::normal_quantile;
use crate::report::escape::markup;
use crate::report::page::html::document;
use crate::report::page::shell::{program, running, signature_row};
use crate::report::record::Record;
use crate::report::shop::rows::{Rows, alarm, cause, told};
use crate::report::show::{NOTHING, Show};
use crate::study::shop::judge::Bench;
use crate::study::shop::{Lot, Sizes, Surrogate};

const STYLE: &str = concat!(include_str!("../one_page.css"), include_str!("inspector.css"));

/// Suspects that the page has room for.
const SUSPECTS: usize = 16;

/// Signs of each kind of trouble, in the order in which an inspector meets it.
const SIGNS: [[&str; 2]; 9] = [
    ["not expanded", "expanded reading is that of the starting hole"],
    ["sleeve left out", "the same, or the expansion of the mandrel alone"],
    ["reamed before expansion", "expanded reading is that of the ream"],
    ["worn mandrel", "expanded too small by the wear, all else in its limits"],
    [
        "starting hole too large or small",
        "start beyond its limit; expanded as expected: it follows the tool",
    ],
    ["wrong ream", "reamed beyond its limits, all else as expected"],
    ["readings interchanged", "expanded smaller than start, and each fits in place of the other"],
    ["expanded reading of another hole", "two holes of different tools, each fits the other"],
    ["wrong reading", "nothing else fits: read again"],
];

/// The page.
#[must_use]
pub fn inspector(shop: &Shop, surrogate: &Surrogate, lot: &Lot, record: &Record) -> String {
    let title = markup(&shop.title);
    let hole = &shop.case.job.plate.holes[shop.hole].name;
    let unit = shop.units.length_name();
    let body = [
        format!(
            "<main>\n<header><h1>{title}</h1><p>Inspector's sheet · hole {} of “{}” · {} holes · lengths in \
             {unit}</p>{}</header>\n",
            markup(hole),
            markup(&shop.case.title),
            lot.holes.len(),
            identity(shop, record)
        ),
        "<div class=\"pair\">\n".to_owned(),
        section("Measure every hole", &table(&sizes(shop))),
        section("The expanded hole must read", &expected(shop, surrogate, lot)),
        "</div>\n".to_owned(),
        section("What trouble looks like", &table(&signs())),
        section("Suspects: measure again", &of_suspects(shop, lot)),
        "<footer><p><strong>Not a substitute for the governing specification, approved data and licensed \
         engineering judgement.</strong> <strong>Danger:</strong> pulling equipment stores energy; stay out of the \
         line of the mandrel, guard it, wear eye protection.</p>\n<p>Read the mean of two directions across, clear of \
         the ridge of the sleeve, before the ream. What a hole looks like is a likelihood from its readings, no \
         proof. The expected reading is that of a two-dimensional model; confirm it on trial holes.</p></footer>\n"
            .to_owned(),
        signature_row(),
        "</main>\n".to_owned(),
    ]
    .concat();
    let inputs = [("Shop file".to_owned(), shop.sha256.clone())];
    document(
        &shop.title,
        &[STYLE, &running("Inspector's sheet", &shop.title, record, &inputs)],
        &body,
    )
}

fn identity(shop: &Shop, record: &Record) -> String {
    let known = |value: &Option<String>| value.as_deref().map(markup).unwrap_or_default();
    let cells: String = [
        ("Number", known(&record.number)),
        ("Revision", known(&record.revision)),
        ("Date", known(&record.date)),
        ("Program", program()),
        ("Shop file SHA-256", shop.sha256.clone()),
    ]
    .iter()
    .map(|(name, value)| format!("<div><dt>{name}</dt><dd>{value}</dd></div>"))
    .collect();
    format!("<dl class=\"identity\">{cells}</dl>")
}

fn section(heading: &str, body: &str) -> String {
    format!("<section><h2>{heading}</h2>\n{body}</section>\n")
}

fn table(rows: &Rows) -> String {
    let row = |cells: &Vec<String>, tag: &str| -> String {
        let cells: String = cells
            .iter()
            .map(|cell| {
                // An empty cell heads nothing.
                let tag = if cell.is_empty() { "td" } else { tag };
                format!("<{tag}>{}</{tag}>", markup(cell))
            })
            .collect();
        format!("<tr>{cells}</tr>\n")
    };
    let Some((head, rest)) = rows.split_first() else { return String::new() };
    let body: String = rest.iter().map(|cells| row(cells, "td")).collect();
    format!("<table><thead>{}</thead><tbody>\n{body}</tbody></table>\n", row(head, "th"))
}

/// Sizes to be measured, and their limits.
fn sizes(shop: &Shop) -> Rows {
    let show = Show { units: shop.units };
    let head = ["", "smallest", "largest", "gauge ±"].map(str::to_owned).to_vec();
    // A standard error has a digit more than the size.
    let error = |mm: f64| {
        let digits = if shop.units == crate::units::Units::MmMpa { 4 } else { 5 };
        format!("{:.digits$}", mm / shop.units.length_scale())
    };
    let row = |what: &str, size: Size| {
        let [low, high] = size.limits.map(|mm| show.length(mm));
        vec![what.to_owned(), low, high, error(size.plus_minus)]
    };
    let mut rows = vec![head, row("starting hole", shop.start), row("mandrel", shop.mandrel)];
    rows.extend(shop.sleeve.map(|size| row("sleeve wall", size)));
    let seen = "see right".to_owned();
    rows.push(vec!["expanded hole".to_owned(), seen.clone(), seen, error(shop.expanded)]);
    rows.extend(shop.reamed.map(|size| row("reamed hole", size)));
    rows
}

/// The expanded diameter by starting hole and mandrel, and how far it may be off.
fn expected(shop: &Shop, surrogate: &Surrogate, lot: &Lot) -> String {
    let show = Show { units: shop.units };
    let offset = if lot.offset.taken {
        [lot.offset.value, lot.offset.error]
    } else {
        [0.0, lot.offset.model]
    };
    let bench = Bench { shop, surrogate, offset };
    let wall = shop.sleeve.map_or(0.0, |sleeve| sleeve.middle());
    let three = |size: Size| [size.limits[0], size.middle(), size.limits[1]];
    let mandrels = three(shop.mandrel);
    let mut rows = vec![vec!["start \\ mandrel".to_owned()]];
    rows[0].extend(mandrels.map(|mandrel| show.length(mandrel)));
    let errors = [
        shop.start.plus_minus,
        shop.mandrel.plus_minus,
        shop.sleeve.map_or(0.0, |sleeve| sleeve.plus_minus),
        0.0,
    ];
    let mut most = 0.0_f64;
    for start in three(shop.start) {
        let mut row = vec![show.length(start)];
        for mandrel in mandrels {
            let sizes = Sizes { start, acting: mandrel + 2.0 * wall, reamed: None };
            let expected = bench.expected(&sizes, errors);
            most = most.max(expected.error.hypot(shop.expanded));
            row.push(show.length(expected.value));
        }
        rows.push(row);
    }
    let within = show.length(normal_quantile() * most);
    format!(
        "{}<p>Sleeve wall {}. Nine in ten sound holes read within ± {within}.</p>",
        table(&rows),
        if shop.sleeve.is_some() { show.length(wall) } else { NOTHING.to_owned() }
    )
}

fn signs() -> Rows {
    let head = ["trouble", "sign"].map(str::to_owned).to_vec();
    [head].into_iter().chain(SIGNS.map(|row| row.map(str::to_owned).to_vec())).collect()
}

fn of_suspects(shop: &Shop, lot: &Lot) -> String {
    let all = lot.suspects().count();
    if all == 0 {
        return format!("<p>None among {} holes.</p>", lot.holes.len());
    }
    let head = ["hole", "odd", "looks like", "read again", "found, decision"];
    let mut rows = vec![head.map(str::to_owned).to_vec()];
    for k in lot.suspects().take(SUSPECTS) {
        let odd: Vec<String> =
            lot.holes[k].alarms.iter().map(|one| alarm(one, shop.units)).collect();
        let looks: Vec<String> =
            told(&lot.causes[k].0).take(2).map(|one| cause(shop, one)).collect();
        rows.push(vec![
            shop.holes[k].name.clone(),
            odd.join("; "),
            looks.join("; "),
            String::new(),
            String::new(),
        ]);
    }
    let rest = if all > SUSPECTS {
        format!("<p>{} more suspects stand in holes.csv.</p>", all - SUSPECTS)
    } else {
        String::new()
    };
    format!("{}{rest}", table(&rows).replacen("<table>", "<table class=\"suspects\">", 1))
}
