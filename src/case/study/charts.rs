//! `[[chart]]`: one number over one or two axes.

use crate::case::complaint::Complaint;
use crate::case::keys::study_file::CHART;
use crate::case::study::axes::Axis;
use crate::case::study::lookup::{axis_named, unknown};
use crate::case::study::numbers::Number;
use crate::case::study::spacing::is_logarithmic;
use crate::case::table::{Table, Valued};

/// A chart that is asked for. Axes are indices into the axes of the study.
#[derive(Clone, Debug, PartialEq)]
pub struct Chart {
    /// Numbers that are drawn: one, or several as curves of their own.
    pub numbers: Vec<String>,
    /// Axis to the right.
    pub x: usize,
    /// Axis upward, of a heat map.
    pub y: Option<usize>,
    /// Axis with a curve for every value.
    pub family: Option<usize>,
    /// Axis with a small chart for every value.
    pub panel: Option<usize>,
    /// Whether the number has a logarithmic scale.
    pub logarithmic: bool,
    /// Its title; `None`: made of number and axes.
    pub title: Option<String>,
}

/// Reads one `[[chart]]`.
pub(super) fn read_chart(
    table: &Table<'_>,
    axes: &[Axis],
    numbers: &[Number],
) -> Result<Chart, Complaint> {
    table.only(&CHART.names())?;
    let names: Vec<&str> = numbers.iter().map(|number| number.name.as_str()).collect();
    let known = |at: &Valued<&str>| -> Result<String, Complaint> {
        if names.contains(&at.value) {
            return Ok(at.value.to_owned());
        }
        Err(unknown(table, at, "number", &names))
    };
    let remedy = "name the number that is drawn";
    let number = table.text("number")?.ok_or_else(|| table.missing("number", remedy))?;
    let mut drawn = vec![known(&number)?];
    for also in
        table.texts("also", "write a list of numbers: `also = [\"…\"]`")?.unwrap_or_default()
    {
        drawn.push(known(&also)?);
    }
    let axis = |key| axis_named(table, key, axes);
    let x = axis("x")?.ok_or_else(|| table.missing("x", "name the axis to the right"))?;
    let (y, family, panel) = (axis("y")?, axis("family")?, axis("panel")?);
    if y.is_some() {
        let stray = ["family", "also"].into_iter().find(|key| table.has(key));
        if let Some(key) = stray {
            let problem = format!("a heat map has no `{key}`");
            return Err(table.stray(key, problem, format!("leave out `{key}` or `y`")));
        }
    }
    let used = [Some(x), y, family, panel];
    for (index, key) in ["x", "y", "family", "panel"].into_iter().enumerate().skip(1) {
        if used[index].is_some() && used[..index].contains(&used[index]) {
            let problem = format!("`{key}` is an axis that the chart already uses");
            return Err(table.stray(key, problem, "name another axis"));
        }
    }
    let title = table.text("title")?.map(|title| title.value.to_owned());
    let logarithmic = is_logarithmic(table)?;
    Ok(Chart { numbers: drawn, x, y, family, panel, logarithmic, title })
}
