//! `[[axis]]`: what is varied, and over which values.

use crate::case::border::unknown_word;
use crate::case::complaint::{Complaint, Kind};
use crate::case::keys::study_file::AXIS;
use crate::case::study::expression::is_name;
use crate::case::study::key_path::KeyPath;
use crate::case::study::spacing::is_logarithmic;
use crate::case::table::{Scalar, Table, Valued};

/// The word for the hardening of the metal: no key of a case, but something that a study may vary.
pub(super) const HARDENING: &str = "hardening";

/// How the metal of the case hardens: as it stands there, or by one of the bounding laws.
pub(super) const HARDENINGS: [&str; 3] = ["as given", "isotropic", "kinematic"];

/// Longest list of values.
const MOST_VALUES: usize = 10_000;

/// Decimals of the values of a range, in significant digits: rounding of the last ones stays out of files.
const DIGITS: usize = 12;

/// Key that an axis or a variant sets.
#[derive(Clone, Debug, PartialEq)]
pub enum Target {
    /// A key of the case file.
    Key(KeyPath),
    /// The hardening law of the metal, one of `HARDENINGS`.
    Hardening,
}

impl Target {
    /// As it was written.
    #[must_use]
    pub fn text(&self) -> &str {
        match self {
            Self::Key(path) => path.text(),
            Self::Hardening => HARDENING,
        }
    }

    /// The stage that it belongs to, from 1; `None` when it changes the plate or its metal.
    #[must_use]
    pub fn stage(&self) -> Option<usize> {
        match self {
            Self::Key(path) => path.stage(),
            Self::Hardening => None,
        }
    }
}

/// One key and its value.
#[derive(Clone, Debug, PartialEq)]
pub struct Setting {
    /// The key.
    pub target: Target,
    /// Its value.
    pub to: Scalar,
}

/// One value of an axis.
#[derive(Clone, Debug, PartialEq)]
pub enum Level {
    /// A number, text or switch.
    One(Scalar),
    /// Several keys under one name.
    Variant {
        /// The name.
        name: String,
        /// The keys.
        set: Vec<Setting>,
    },
}

impl Level {
    /// As tables and charts write it.
    #[must_use]
    pub fn text(&self) -> String {
        match self {
            Self::One(Scalar::Number(number)) => format!("{number}"),
            Self::One(Scalar::Text(text)) => text.clone(),
            Self::One(Scalar::Switch(switch)) => switch.to_string(),
            Self::Variant { name, .. } => name.clone(),
        }
    }

    /// Its number, when it is one.
    #[must_use]
    pub fn number(&self) -> Option<f64> {
        match self {
            Self::One(Scalar::Number(number)) => Some(*number),
            _ => None,
        }
    }
}

/// A range of an axis, both ends included.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Range {
    /// Its ends.
    pub ends: [f64; 2],
    /// Whether equal steps are of equal ratio.
    pub logarithmic: bool,
}

impl Range {
    /// The number at `share` of the range, 0 to 1.
    #[must_use]
    pub fn at(&self, share: f64) -> f64 {
        let [from, to] = self.ends;
        let number = if self.logarithmic {
            (from.ln() + share * (to / from).ln()).exp()
        } else {
            from + share * (to - from)
        };
        rounded(number)
    }
}

/// An axis.
#[derive(Clone, Debug, PartialEq)]
pub struct Axis {
    /// Its name.
    pub name: String,
    /// Words on charts.
    pub label: String,
    /// Its unit; may be empty.
    pub unit: String,
    /// The key it sets; `None` when it is used in expressions or has variants.
    pub target: Option<Target>,
    /// Its values; of a range without a count, the two ends.
    pub levels: Vec<Level>,
    /// The range that the values were made of.
    pub range: Option<Range>,
    /// Whether that range had a count, hence values of its own.
    pub counted: bool,
}

impl Axis {
    /// Whether its values are numbers.
    #[must_use]
    pub fn is_numeric(&self) -> bool {
        self.levels.iter().all(|level| level.number().is_some())
    }

    /// `label (unit)`.
    #[must_use]
    pub fn title(&self) -> String {
        with_unit(&self.label, &self.unit)
    }
}

/// `label (unit)`, or `label` alone.
#[must_use]
pub fn with_unit(label: &str, unit: &str) -> String {
    if unit.is_empty() { label.to_owned() } else { format!("{label} ({unit})") }
}

/// A number without the rounding of its last digits.
fn rounded(number: f64) -> f64 {
    // What the standard library prints reads back.
    format!("{number:.*e}", DIGITS - 1).parse().unwrap_or(number)
}

/// The name that a table of the study gives, of a form that expressions take and not yet in `taken`.
pub(super) fn read_name(table: &Table<'_>, taken: &[String]) -> Result<String, Complaint> {
    let remedy = "give a name of letters, digits and `_`, such as `edge_margin`";
    let name = table.text("name")?.ok_or_else(|| table.missing("name", remedy))?;
    if !is_name(name.value) {
        let problem = format!("`{}` cannot be used in expressions", name.value.escape_debug());
        return Err(table.about(&name, Kind::OutOfRange, problem, remedy));
    }
    // Columns of the table that are always there.
    if ["case", "status", "reason"].contains(&name.value) || name.value.starts_with("reference_") {
        let problem = format!("the name `{}` is taken by the study itself", name.value);
        return Err(table.about(&name, Kind::Conflict, problem, "give another name"));
    }
    if taken.iter().any(|other| other == name.value) {
        let problem = format!("the name `{}` stands twice in this study", name.value);
        return Err(table.about(&name, Kind::Conflict, problem, "give each a name of its own"));
    }
    Ok(name.value.to_owned())
}

/// A key of the case, or [`HARDENING`].
fn read_target(table: &Table<'_>, key: &Valued<&str>) -> Result<Target, Complaint> {
    if key.value == HARDENING {
        return Ok(Target::Hardening);
    }
    read_key(table, key).map(Target::Key)
}

/// A key of the case.
pub(super) fn read_key(table: &Table<'_>, key: &Valued<&str>) -> Result<KeyPath, Complaint> {
    KeyPath::parse(key.value)
        .map_err(|(problem, remedy)| table.about(key, Kind::UnknownKey, problem, remedy))
}

/// Rejects a value that `target` can never take.
fn check_value(table: &Table<'_>, target: &Target, at: &Valued<Scalar>) -> Result<(), Complaint> {
    match (target, &at.value) {
        (Target::Hardening, Scalar::Text(word)) if !HARDENINGS.contains(&word.as_str()) => {
            let word = Valued { value: word.as_str(), key: at.key, span: at.span.clone() };
            Err(unknown_word(table, &word, "hardening", &HARDENINGS))
        }
        (Target::Hardening, Scalar::Number(_) | Scalar::Switch(_)) => {
            let problem = "`hardening` takes words";
            let remedy = format!("one of: {}", HARDENINGS.join(", "));
            Err(table.about(at, Kind::WrongType, problem, remedy))
        }
        _ => Ok(()),
    }
}

/// Reads one `[[axis]]`.
pub(super) fn read_axis(table: &Table<'_>, taken: &[String]) -> Result<Axis, Complaint> {
    table.only(&AXIS.names())?;
    let name = read_name(table, taken)?;
    let text = |key| table.text(key).map(|text| text.map(|text| text.value.to_owned()));
    let label = text("label")?.unwrap_or_else(|| name.replace('_', " "));
    let unit = text("unit")?.unwrap_or_default();
    let target = table.text("key")?.map(|key| read_target(table, &key)).transpose()?;
    let ways: Vec<&str> =
        ["values", "from", "variants"].into_iter().filter(|key| table.has(key)).collect();
    let [way] = ways[..] else {
        let remedy = "give `values`, or `from` and `to`, or `variants`";
        let Some(second) = ways.get(1) else { return Err(table.missing("values", remedy)) };
        let problem = format!("this axis has both `{}` and `{second}`", ways[0]);
        return Err(table.stray(second, problem, remedy));
    };
    if way != "from"
        && let Some(stray) = ["to", "count", "spacing"].into_iter().find(|key| table.has(key))
    {
        let problem = format!("`{stray}` belongs to a range, and this axis has `{way}`");
        return Err(table.stray(stray, problem, format!("leave out `{stray}` or `{way}`")));
    }
    let (levels, range) = match way {
        "values" => (read_values(table, target.as_ref())?, None),
        "variants" => (read_variants(table)?, None),
        _ => {
            let (levels, range) = read_range(table)?;
            (levels, Some(range))
        }
    };
    if way == "variants" && target.is_some() {
        let problem = "variants name their keys themselves";
        return Err(table.stray("key", problem, "leave out `key`"));
    }
    let counted = table.has("count");
    Ok(Axis { name, label, unit, target, levels, range, counted })
}

fn read_values(table: &Table<'_>, target: Option<&Target>) -> Result<Vec<Level>, Complaint> {
    let found = table.scalars("values")?.unwrap_or_default();
    if found.is_empty() || found.len() > MOST_VALUES {
        let problem = format!("`values` holds {} values", found.len());
        return Err(table.stray("values", problem, format!("give 1 to {MOST_VALUES}")));
    }
    for (index, value) in found.iter().enumerate() {
        if let Some(target) = target {
            check_value(table, target, value)?;
        }
        if found[..index].iter().any(|other| other.value == value.value) {
            let problem = "this value stands twice";
            return Err(table.about(value, Kind::Conflict, problem, "give each value once"));
        }
    }
    Ok(found.into_iter().map(|value| Level::One(value.value)).collect())
}

fn read_range(table: &Table<'_>) -> Result<(Vec<Level>, Range), Complaint> {
    let end = |key| {
        let remedy = "a range has `from` and `to`";
        table.number(key)?.ok_or_else(|| table.missing(key, remedy))
    };
    let (from, to) = (end("from")?, end("to")?);
    if to.value <= from.value {
        let problem = format!("the range goes from {} to {}", from.value, to.value);
        return Err(table.about(&to, Kind::OutOfRange, problem, "give `to` larger than `from`"));
    }
    let logarithmic = is_logarithmic(table)?;
    if logarithmic && from.value <= 0.0 {
        let problem = format!("a logarithmic range cannot start at {}", from.value);
        return Err(table.about(&from, Kind::OutOfRange, problem, "start above zero"));
    }
    let range = Range { ends: [from.value, to.value], logarithmic };
    let count = match table.count("count")? {
        None => 2,
        Some(count) if (2..=MOST_VALUES).contains(&count.value) => count.value,
        Some(count) => {
            let problem = format!("`count` is {}", count.value);
            let remedy = format!("give 2 to {MOST_VALUES}");
            return Err(table.about(&count, Kind::OutOfRange, problem, remedy));
        }
    };
    let at = |k: usize| match k {
        0 => from.value,
        k if k + 1 == count => to.value,
        k => range.at(k as f64 / (count - 1) as f64),
    };
    Ok(((0..count).map(|k| Level::One(Scalar::Number(at(k)))).collect(), range))
}

fn read_variants(table: &Table<'_>) -> Result<Vec<Level>, Complaint> {
    let example = "write `variants = [{ name = \"…\", set = [{ key = \"…\", to = … }] }]`";
    let mut levels: Vec<Level> = Vec::new();
    for variant in table.tables("variants", "variant", example)? {
        variant.only(&["name", "set"])?;
        let name = variant.text("name")?.ok_or_else(|| variant.missing("name", example))?;
        if levels.iter().any(|level| level.text() == name.value) {
            let problem = format!("there are two variants `{}`", name.value);
            return Err(variant.about(&name, Kind::Conflict, problem, "give each its own name"));
        }
        let mut set = Vec::new();
        for setting in variant.tables("set", "setting", example)? {
            setting.only(&["key", "to"])?;
            let key = setting.text("key")?.ok_or_else(|| setting.missing("key", example))?;
            let to = setting.scalar("to")?.ok_or_else(|| setting.missing("to", example))?;
            let target = read_target(&setting, &key)?;
            check_value(&setting, &target, &to)?;
            set.push(Setting { target, to: to.value });
        }
        levels.push(Level::Variant { name: name.value.to_owned(), set });
    }
    if levels.is_empty() {
        return Err(table.stray("variants", "there are no variants", example));
    }
    Ok(levels)
}
