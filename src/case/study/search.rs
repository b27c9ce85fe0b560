//! `[search]`: the smallest or largest value of an axis at which a condition holds.

use crate::case::border::unknown_word;
use crate::case::complaint::{Complaint, Kind};
use crate::case::keys::study_file::SEARCH;
use crate::case::study::axes::{Axis, Level};
use crate::case::study::expression::Expression;
use crate::case::study::lookup::{axis_named, unknown};
use crate::case::table::{Scalar, Table, Valued};

/// The width of the bracket, as a share of the range, when the file does not say.
const WITHIN: f64 = 0.01;

/// Which end of the values that meet the condition is wanted.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Wanted {
    /// The smallest: the condition holds from there up.
    Smallest,
    /// The largest: the condition holds from there down.
    Largest,
}

impl Wanted {
    /// Words in a file.
    pub const NAMES: [&'static str; 2] = ["smallest", "largest"];

    /// The word in a file.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Smallest => Self::NAMES[0],
            Self::Largest => Self::NAMES[1],
        }
    }
}

/// Quantity searched for.
#[derive(Clone, Debug, PartialEq)]
pub struct Search {
    /// Which end.
    pub find: Wanted,
    /// Index of the axis.
    pub of: usize,
    /// The condition.
    pub such_that: Expression,
    /// Width of the bracket as a share of the range.
    pub within: f64,
    /// The case that is compared with: an axis and its value each; the axes not named stay as they are.
    pub reference: Vec<(usize, Level)>,
    /// Share by which a number may be off.
    pub error: f64,
}

/// Reads `[search]`. `numeric` are the names that the condition may use.
pub(super) fn read_search(
    table: &Table<'_>,
    axes: &[Axis],
    numeric: &[String],
) -> Result<Search, Complaint> {
    table.only(&SEARCH.names())?;
    let needed = |key, remedy: &str| table.text(key)?.ok_or_else(|| table.missing(key, remedy));
    let word = needed("find", "write `find = \"smallest\"` or `find = \"largest\"`")?;
    let find = [Wanted::Smallest, Wanted::Largest]
        .into_iter()
        .find(|wanted| wanted.name() == word.value)
        .ok_or_else(|| unknown_word(table, &word, "end", &Wanted::NAMES))?;
    let remedy = "name the axis that is searched";
    let of = axis_named(table, "of", axes)?.ok_or_else(|| table.missing("of", remedy))?;
    if axes[of].range.is_none() {
        let problem = format!("the axis `{}` has no range to search", axes[of].name);
        return Err(table.stray("of", problem, "give that axis `from` and `to`"));
    }
    let condition = needed("such_that", "write the condition, such as `edge_hoop <= -200`")?;
    let such_that = Expression::parse(condition.value).map_err(|why| {
        let problem = format!("`{}` is no condition: {why}", condition.value);
        table.about(&condition, Kind::Syntax, problem, "for example `edge_hoop <= -200`")
    })?;
    let mut reference: Vec<(usize, Level)> = Vec::new();
    let example = "write `reference = [{ axis = \"…\", value = … }]`";
    for entry in table.tables("reference", "reference", example)? {
        entry.only(&["axis", "value"])?;
        let missing = |key| entry.missing(key, example);
        let axis = axis_named(&entry, "axis", axes)?.ok_or_else(|| missing("axis"))?;
        let value = entry.scalar("value")?.ok_or_else(|| missing("value"))?;
        reference.push((axis, reference_level(&entry, &axes[axis], &value)?));
    }
    for name in such_that.names() {
        let own = name.strip_prefix("reference_").filter(|_| !reference.is_empty());
        if !numeric.iter().any(|known| known == own.unwrap_or(name)) {
            let names: Vec<&str> = numeric.iter().map(String::as_str).collect();
            let at = Valued { value: name.as_str(), ..condition };
            return Err(unknown(table, &at, "number", &names));
        }
    }
    let within = match table.number("within")? {
        None => WITHIN,
        Some(share) if share.value > 0.0 && share.value < 1.0 => share.value,
        Some(share) => {
            let problem = format!("`within` is {}", share.value);
            return Err(table.about(&share, Kind::OutOfRange, problem, "a share between 0 and 1"));
        }
    };
    let error = match table.number("error")? {
        None => 0.0,
        Some(share) if (0.0..=1.0).contains(&share.value) => share.value,
        Some(share) => {
            let problem = format!("`error` is {}", share.value);
            return Err(table.about(&share, Kind::OutOfRange, problem, "a share from 0 to 1"));
        }
    };
    Ok(Search { find, of, such_that, within, reference, error })
}

/// The level of `axis` that a reference names: any number, else one of its values.
fn reference_level(
    table: &Table<'_>,
    axis: &Axis,
    value: &Valued<Scalar>,
) -> Result<Level, Complaint> {
    let level = Level::One(value.value.clone());
    if axis.is_numeric() && level.number().is_some() {
        return Ok(level);
    }
    let text = level.text();
    axis.levels.iter().find(|known| known.text() == text).cloned().ok_or_else(|| {
        let names: Vec<String> = axis.levels.iter().map(Level::text).collect();
        let problem = format!("the axis `{}` has no value `{text}`", axis.name);
        table.about(value, Kind::UnknownName, problem, format!("it has: {}", names.join(", ")))
    })
}
