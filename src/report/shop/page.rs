//! `shop.html`: the lot as a report.

use crate::case::keys::{CASE_FILE, SHOP_FILE};
use crate::case::shop::Shop;
use crate::report::band::{Band, edge_words};
use crate::report::cautions::{CAUTIONS, LIMITS};
use crate::report::inputs::echo;
use crate::report::page::figure::Figure;
use crate::report::page::html::{list, table};
use crate::report::page::shell::Shell;
use crate::report::record::Record;
use crate::report::shop::rows::{errors, sentences, small_length, sound, suspects};
use crate::report::show::{NOTHING, Show, percent};
use crate::study::shop::{Estimate, Lot, Surrogate};

/// Suspects, and holes of the list, that the page shows; all of them are in `holes.csv`.
const SHOWN: usize = 200;

/// How the answer comes about, in short; the documents say more.
const METHOD: [&str; 6] = [
    "Applied expansion is mandrel plus two sleeve walls less the starting hole, over the starting hole; retained \
     expansion is the expanded less the starting diameter, over the starting diameter (common practice, no source). A \
     size that was not read lies anywhere within its limits.",
    "The interval of a stress or depth covers the gauges and the error of the surrogate. The bracket adds the two \
     bounding hardening laws, which all holes share.",
    "A hole is a suspect when a reading lies further beyond its limit, or from the expanded diameter that the model \
     has for its sizes, than chance allows. The share of false alarms is that of the file at most.",
    "What a suspect looks like is ranked by the likelihood of all its readings. It is no proof: several kinds leave the \
     same readings, such as a hole that was not expanded and a mandrel without sleeve that touches nothing.",
    "After expansion a hole has the size of the tool, not that of the starting hole: an oversize starting hole shows on \
     its own reading, hardly on the expanded diameter.",
    "Numbers of a suspect stand for the readings as they are, not for what may have happened.",
];

/// `shop.html`.
#[must_use]
pub fn page(
    shop: &Shop,
    surrogate: &Surrogate,
    lot: &Lot,
    figures: &[Figure],
    record: &Record,
) -> String {
    let units = shop.units;
    let of_suspects = if lot.suspects().next().is_some() {
        table("Suspects", &suspects(shop, lot, SHOWN))
    } else {
        String::new()
    };
    let said = sentences(shop, surrogate, lot);
    let error = format!(
        "<p>At {} random solutions that the surrogate is not made of; the root mean square is part of every \
         interval. {} solutions in all.</p>\n{}",
        surrogate.checks.len(),
        surrogate.solutions,
        table("Error of the surrogate", &errors(shop, surrogate))
    );
    Shell {
        kind: "Holes from the shop",
        title: &shop.title,
        subtitle: format!(
            "hole {} of “{}”, {} · {} holes · units {}",
            shop.case.job.plate.holes[shop.hole].name,
            shop.case.title,
            shop.case.material_name,
            lot.holes.len(),
            units.name()
        ),
        record: record.clone(),
        inputs: vec![
            ("Shop file".to_owned(), shop.sha256.clone()),
            ("Case file".to_owned(), shop.base.sha256.clone()),
            ("Table of holes".to_owned(), shop.table_sha256.clone()),
        ],
        asked: vec![
            "What expansion every hole got, and what residual stress it left.".to_owned(),
            "Which holes are not as they should be, and what they look like.".to_owned(),
        ],
        answer: format!("{}{}", list(&said), table("Sound holes", &sound(shop, lot))),
        band: Some(band(shop, lot)),
        parts: vec![
            ("Suspects", of_suspects),
            ("Control charts", figures.iter().map(Figure::html).collect()),
            ("Holes", holes(shop, lot)),
            ("Error of the surrogate", error),
        ],
        assumptions: METHOD.iter().chain(&LIMITS).map(|text| (*text).to_owned()).collect(),
        cautions: CAUTIONS.to_vec(),
        echo: format!(
            "{}{}",
            echo("Shop file", &shop.text, &SHOP_FILE, units),
            echo("Case file", &shop.base.text, &CASE_FILE, units)
        ),
        footer: "every hole stands in holes.csv, the rest in shop.json".to_owned(),
        ..Shell::default()
    }
    .html()
}

/// The band of the answer. Every interval of a hole has the last but one in its bracket.
fn band(shop: &Shop, lot: &Lot) -> Band {
    let show = Show { units: shop.units };
    let change = lot.holes.iter().filter_map(|hole| hole.edge).map(|edge| {
        let own = edge.interval;
        [edge.with_bracket[0] - own[0], edge.with_bracket[1] - own[1]]
    });
    let widest =
        change.fold([0.0_f64, 0.0_f64], |[low, high], [down, up]| [low.min(down), high.max(up)]);
    let hardening = if shop.case.bracket {
        format!(
            "edge hoop stress by {} to +{} {}: the two bounding laws, at the hole where they differ most",
            show.stress(widest[0]).replace('-', "−"),
            show.stress(widest[1]),
            shop.units.stress_name()
        )
    } else {
        "not computed: the case has `hardening_bracket = false`".to_owned()
    };
    let job = &shop.case.job;
    Band {
        mesh: edge_words(&job.numerics, job.material.yield_stress, shop.units),
        hardening,
        idealisation: format!(
            "not computed: every solution is {}; `hoopset run` computes the others for the nominal hole",
            job.idealisation.name()
        ),
    }
}

/// The list of holes.
fn holes(shop: &Shop, lot: &Lot) -> String {
    let show = Show { units: shop.units };
    let (mm, mpa) = (shop.units.length_name(), shop.units.stress_name());
    let mut rows = vec![vec![
        "hole".to_owned(),
        "applied %".to_owned(),
        "retained %".to_owned(),
        "expanded less expected".to_owned(),
        format!("edge hoop {mpa}"),
        "90 % interval".to_owned(),
        "with bracket".to_owned(),
        format!("depth {mm}"),
        "90 % interval".to_owned(),
        "suspect".to_owned(),
    ]];
    let span = |[low, high]: [f64; 2], text: &dyn Fn(f64) -> String| {
        format!("{} to {}", text(low).replace('-', "−"), text(high).replace('-', "−"))
    };
    let stress = |value: f64| show.stress(value);
    let length = |value: f64| show.length(value);
    let nothing = || NOTHING.to_owned();
    for (row, hole) in shop.holes.iter().zip(&lot.holes).take(SHOWN) {
        let value = |one: Option<Estimate>, text: &dyn Fn(f64) -> String| {
            one.map_or_else(nothing, |one| text(one.value))
        };
        rows.push(vec![
            row.name.clone(),
            percent(hole.expansion[0]),
            hole.retained.map_or_else(nothing, |[value, _]| percent(value)),
            hole.innovation.map_or_else(nothing, |[by, _]| small_length(by, shop.units)),
            value(hole.edge, &stress),
            hole.edge.map_or_else(nothing, |one| span(one.interval, &stress)),
            hole.edge.map_or_else(nothing, |one| span(one.with_bracket, &stress)),
            value(hole.depth, &length),
            hole.depth.map_or_else(nothing, |one| span(one.interval, &length)),
            if hole.alarms.is_empty() { "" } else { "yes" }.to_owned(),
        ]);
    }
    let more = lot.holes.len().saturating_sub(SHOWN);
    let rest = if more > 0 {
        format!("<p>The first {SHOWN}; {more} more stand in holes.csv.</p>\n")
    } else {
        String::new()
    };
    format!("{rest}{}", table("Holes", &rows))
}
