//! From the tables of a study file to a [`Study`].

use std::path::Path;

use toml::de::DeTable;

use crate::case::border::unknown_word;
use crate::case::build::{not_toml, read_title};
use crate::case::complaint::{Complaint, Kind, Source};
use crate::case::keys::study_file::{DESIGN, SET, STUDY_FILE, VALUE};
use crate::case::keys::{self};
use crate::case::parse;
use crate::case::study::axes::{Axis, read_axis, read_key, read_name};
use crate::case::study::charts::read_chart;
use crate::case::study::definition::{Base, Design, Study, Tie, Value};
use crate::case::study::expression::Expression;
use crate::case::study::key_path::KeyPath;
use crate::case::study::lookup::unknown;
use crate::case::study::numbers::{Around, read_number};
use crate::case::study::search::read_search;
use crate::case::table::{Scalar, Table, Valued};

/// The largest study.
const MOST_CASES: u64 = 10_000_000;

/// Reads the text of a study file.
pub(super) fn build(
    source: Source<'_>,
    base: impl FnOnce(&str) -> Result<(String, String), Complaint>,
) -> Result<Study, Complaint> {
    let root = DeTable::parse(source.text).map_err(|error| not_toml(source, &error))?;
    let top = Table::top(source, root.get_ref());
    if let Some(key) = ["stage", "hole", "plate"].into_iter().find(|key| top.has(key)) {
        let problem = "this is a case file and no study";
        return Err(top.stray(key, problem, "`hoopset run` takes it; a study names it by `case`"));
    }
    top.only(&keys::top_names(&STUDY_FILE))?;
    let title = read_title(&top)?;
    let question = top.text("question")?.map(|text| text.value.to_owned()).unwrap_or_default();
    let base = read_base(&top, base)?;
    let tables = |key: &'static str| {
        let remedy = format!("write [[{key}]], with two brackets, above its keys");
        top.tables(key, key, &remedy)
    };
    let mut taken = Vec::new();
    let mut axes: Vec<Axis> = Vec::new();
    for table in tables("axis")? {
        let axis = read_axis(&table, &taken)?;
        taken.push(axis.name.clone());
        axes.push(axis);
    }
    if axes.is_empty() {
        return Err(top.missing("axis", "write [[axis]], with two brackets, above its keys"));
    }
    let numeric_axes = axes.iter().filter(|axis| axis.is_numeric());
    let mut numeric: Vec<String> = numeric_axes.map(|axis| axis.name.clone()).collect();
    let values = read_values(&tables("value")?, &mut taken, &mut numeric)?;
    let ties = read_ties(&tables("set")?, &axes, &numeric)?;
    let skips = read_skips(&top, &numeric)?;
    let mut numbers = Vec::new();
    for table in tables("number")? {
        let around = Around {
            taken: &taken,
            numeric: &numeric,
            holes: &base.holes,
            units: base.units,
            has_life: base.has_life,
        };
        let number = read_number(&table, &around)?;
        taken.push(number.name.clone());
        numeric.push(number.name.clone());
        numbers.push(number);
    }
    let charts = tables("chart")?
        .iter()
        .map(|table| read_chart(table, &axes, &numbers))
        .collect::<Result<Vec<_>, _>>()?;
    let remedy = "write [search], once, and its keys below";
    let search = top
        .table("search", "[search]", remedy)?
        .map(|table| read_search(&table, &axes, &numeric))
        .transpose()?;
    let design = read_design(&top)?;
    let searched = search.as_ref().map(|search| search.of);
    check_size(&top, &axes, design, searched)?;
    check_base(&top, &base, &axes, &ties)?;
    let stem = Path::new(source.file).file_stem().unwrap_or_default().to_string_lossy();
    Ok(Study {
        title: title.unwrap_or_else(|| stem.into_owned()),
        question,
        base,
        axes,
        values,
        ties,
        skips,
        design,
        numbers,
        charts,
        search,
        paths: top.switch("paths")?.is_some_and(|switch| switch.value),
        text: String::new(),
        sha256: String::new(),
    })
}

fn read_base(
    top: &Table<'_>,
    base: impl FnOnce(&str) -> Result<(String, String), Complaint>,
) -> Result<Base, Complaint> {
    let remedy = "name the case file that is varied: `case = \"plate.toml\"`";
    let named = top.text("case")?.ok_or_else(|| top.missing("case", remedy))?;
    let (text, file) = base(named.value).map_err(|complaint| {
        let problem = format!("the base case: {}", complaint.problem);
        top.about(&named, Kind::Unreadable, format!("{problem} (`{}`)", named.value), remedy)
    })?;
    let case = parse(&text, &file)?;
    Base::new(&text, &file, &case).map_err(|error| {
        let problem = format!("the base case cannot be changed: {error}").replace('\n', " ");
        top.about(&named, Kind::Syntax, problem, "write it in plain TOML")
    })
}

/// An expression under `key`, whose names are all among `numeric`.
fn read_expression(
    table: &Table<'_>,
    at: &Valued<&str>,
    numeric: &[String],
) -> Result<Expression, Complaint> {
    let parsed = Expression::parse(at.value).map_err(|why| {
        let problem = format!("`{}` is no expression: {why}", at.value.escape_debug());
        table.about(at, Kind::Syntax, problem, "for example `edge_margin * 6.0`")
    })?;
    match parsed.names().iter().find(|name| !numeric.contains(name)) {
        None => Ok(parsed),
        Some(stranger) => {
            let names: Vec<&str> = numeric.iter().map(String::as_str).collect();
            let at = Valued { value: stranger.as_str(), key: at.key, span: at.span.clone() };
            Err(unknown(table, &at, "axis", &names))
        }
    }
}

/// Reads all `[[value]]` and puts each after those it needs.
fn read_values(
    tables: &[Table<'_>],
    taken: &mut Vec<String>,
    numeric: &mut Vec<String>,
) -> Result<Vec<Value>, Complaint> {
    let mut names = Vec::new();
    for table in tables {
        table.only(&VALUE.names())?;
        let name = read_name(table, taken)?;
        taken.push(name.clone());
        names.push(name);
    }
    // A value may stand before those it needs.
    let known: Vec<String> = numeric.iter().chain(&names).cloned().collect();
    let mut open = Vec::new();
    for (table, name) in tables.iter().zip(names) {
        let remedy = "write how it is computed from axes";
        let text = table.text("expression")?.ok_or_else(|| table.missing("expression", remedy))?;
        let expression = read_expression(table, &text, &known)?;
        let words = |key| table.text(key).map(|text| text.map(|text| text.value.to_owned()));
        let label = words("label")?.unwrap_or_else(|| name.replace('_', " "));
        let unit = words("unit")?.unwrap_or_default();
        open.push((table, Value { name, expression, label, unit }));
    }
    let mut values: Vec<Value> = Vec::new();
    while !open.is_empty() {
        let ready = open.iter().position(|(_, value)| {
            value.expression.names().iter().all(|name| numeric.contains(name))
        });
        let Some(ready) = ready else {
            let circle: Vec<&str> = open.iter().map(|(_, value)| value.name.as_str()).collect();
            let problem = format!("these values need each other: {}", circle.join(", "));
            return Err(open[0].0.stray("expression", problem, "break the circle"));
        };
        let (_, value) = open.remove(ready);
        numeric.push(value.name.clone());
        values.push(value);
    }
    Ok(values)
}

fn read_ties(
    tables: &[Table<'_>],
    axes: &[Axis],
    numeric: &[String],
) -> Result<Vec<Tie>, Complaint> {
    let mut ties: Vec<Tie> = Vec::new();
    for table in tables {
        table.only(&SET.names())?;
        let key =
            table.text("key")?.ok_or_else(|| table.missing("key", "name a key of the case"))?;
        let path = read_key(table, &key)?;
        let set = |text: &str| ties.iter().any(|tie| tie.key.text() == text);
        let by_axis = axes.iter().filter_map(|axis| axis.target.as_ref());
        if set(path.text()) || by_axis.into_iter().any(|target| target.text() == path.text()) {
            let problem = format!("`{}` is set twice", path.text());
            return Err(table.about(&key, Kind::Conflict, problem, "set each key once"));
        }
        let remedy = "give the expression of its number";
        let to = table.text("to")?.ok_or_else(|| table.missing("to", remedy))?;
        ties.push(Tie { key: path, to: read_expression(table, &to, numeric)? });
    }
    Ok(ties)
}

fn read_skips(top: &Table<'_>, numeric: &[String]) -> Result<Vec<Expression>, Complaint> {
    let example = "write a list of conditions: `skip = [\"ligament < 1\"]`";
    let conditions = top.texts("skip", example)?.unwrap_or_default();
    conditions.iter().map(|at| read_expression(top, at, numeric)).collect()
}

fn read_design(top: &Table<'_>) -> Result<Design, Complaint> {
    let remedy = "write [design], once, and its keys below";
    let Some(table) = top.table("design", "[design]", remedy)? else { return Ok(Design::Grid) };
    table.only(&DESIGN.names())?;
    let words = ["grid", "latin hypercube"];
    let method = table.text("method")?;
    if let Some(word) = method.as_ref().filter(|word| !words.contains(&word.value)) {
        return Err(unknown_word(&table, word, "design", &words));
    }
    if method.is_none_or(|word| word.value == words[0]) {
        return match ["count", "seed"].into_iter().find(|key| table.has(key)) {
            None => Ok(Design::Grid),
            Some(stray) => {
                let problem = format!("a grid has no `{stray}`");
                let remedy = "leave it out, or write `method = \"latin hypercube\"`";
                Err(table.stray(stray, problem, remedy))
            }
        };
    }
    let remedy = "say how many cases the Latin hypercube has";
    let count = table.count("count")?.ok_or_else(|| table.missing("count", remedy))?;
    if count.value < 2 || count.value as u64 > MOST_CASES {
        let problem = format!("`count` is {}, outside 2 to {MOST_CASES}", count.value);
        return Err(table.about(&count, Kind::OutOfRange, problem, remedy));
    }
    let seed = table.count("seed")?.map_or(1, |seed| seed.value as u64);
    Ok(Design::LatinHypercube { count: count.value, seed })
}

/// Rejects a study of too many cases, and a range without a count in a grid.
fn check_size(
    top: &Table<'_>,
    axes: &[Axis],
    design: Design,
    searched: Option<usize>,
) -> Result<(), Complaint> {
    if design != Design::Grid {
        if searched.is_some() {
            let problem = "a search goes over a grid, not over a Latin hypercube";
            return Err(top.stray("design", problem, "leave out [design]"));
        }
        return Ok(());
    }
    let grid = || axes.iter().enumerate().filter(|(index, _)| Some(*index) != searched);
    if let Some((_, axis)) = grid().find(|(_, axis)| axis.range.is_some() && !axis.counted) {
        let problem = format!("the range of axis `{}` has no `count`", axis.name);
        let remedy = "say how many values it has, or choose a Latin hypercube in [design]";
        return Err(top.stray("axis", problem, remedy));
    }
    let product = grid()
        .map(|(_, axis)| axis.levels.len() as u64)
        .try_fold(1_u64, u64::checked_mul)
        .unwrap_or(u64::MAX);
    if product > MOST_CASES {
        let each: Vec<String> = grid().map(|(_, axis)| axis.levels.len().to_string()).collect();
        let problem = format!(
            "the study has {} cases, more than {MOST_CASES}",
            if product == u64::MAX { each.join(" × ") } else { product.to_string() }
        );
        let remedy = "give the axes fewer values, or choose a Latin hypercube in [design]";
        return Err(top.stray("axis", problem, remedy));
    }
    Ok(())
}

/// Rejects keys whose table, hole or stage the base case does not have.
fn check_base(top: &Table<'_>, base: &Base, axes: &[Axis], ties: &[Tie]) -> Result<(), Complaint> {
    use crate::case::study::axes::{Level, Target};
    let key = |target: &Target| match target {
        Target::Key(path) => Some(path.clone()),
        Target::Hardening => None,
    };
    let of_axes = axes.iter().flat_map(|axis| {
        let own = axis.target.iter().filter_map(key);
        let variants = axis.levels.iter().flat_map(|level| match level {
            Level::Variant { set, .. } => set.iter().filter_map(|one| key(&one.target)).collect(),
            Level::One(_) => Vec::new(),
        });
        own.chain(variants).map(|path| ("axis", path)).collect::<Vec<(&str, KeyPath)>>()
    });
    let of_ties = ties.iter().map(|tie| ("set", tie.key.clone()));
    for (table, path) in of_axes.chain(of_ties) {
        let mut trial = base.document.clone();
        path.set(&mut trial, &Scalar::Number(1.0)).map_err(|what| {
            let remedy = format!("the base case is `{}`: name what stands there", base.file);
            top.stray(table, what, remedy)
        })?;
    }
    Ok(())
}
