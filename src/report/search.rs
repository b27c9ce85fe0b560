//! Files of a search: one row for every answer, one for every case it rests on.

use serde_json::{Value, json};

use crate::case::study::{Search, Study};
use crate::report::escape::cell;
use crate::report::number;
use crate::report::show::NOTHING;
use crate::study::search::{Answer, Found};
use crate::study::sweep::solve::Task;

/// A number of a CSV file, empty when there is none.
fn text(value: Option<f64>) -> String {
    value.map(number::text).unwrap_or_default()
}

/// `search.csv`.
#[must_use]
pub(crate) fn answers_csv(study: &Study, search: &Search, answers: &[Answer]) -> String {
    let others = others(study, search);
    let mut file = others.iter().map(|k| study.axes[*k].name.clone()).collect::<Vec<_>>().join(",");
    let of = &study.axes[search.of].name;
    if !file.is_empty() {
        file.push(',');
    }
    file.push_str(&format!(
        "found,{of}_holds,{of}_fails,{of}_low_with_error,{of}_high_with_error,{of}_holds_until,several,cases\n"
    ));
    for answer in answers {
        for k in &others {
            file.push_str(&format!("{},", cell(&answer.levels[*k].text())));
        }
        let [low, high] = answer.with_error.map_or([None; 2], |ends| ends.map(Some));
        file.push_str(&format!(
            "{},{},{},{},{},{},{},{}\n",
            answer.found.name(),
            text(answer.holds_at),
            text(answer.fails_at),
            text(low),
            text(high),
            text(answer.until.map(|[last, _]| last)),
            answer.several,
            answer.trials.len()
        ));
    }
    file
}

/// `search-cases.csv`: every case that was solved, with its numbers.
#[must_use]
pub(crate) fn trials_csv(task: &Task, search: &Search, answers: &[Answer]) -> String {
    let study = &task.study;
    let mut names = vec!["answer".to_owned()];
    names.extend(study.axes.iter().map(|axis| axis.name.clone()));
    names.extend(["status", "reason", "holds"].map(str::to_owned));
    names.extend(task.numbers.iter().map(|number| number.name.clone()));
    let mut file = format!("{}\n", names.join(","));
    for answer in answers {
        for trial in &answer.trials {
            let mut cells = vec![(answer.row + 1).to_string()];
            for (k, level) in answer.levels.iter().enumerate() {
                let at = if k == search.of { number::text(trial.at) } else { level.text() };
                cells.push(cell(&at).into_owned());
            }
            let status = &trial.outcome.status;
            cells.push(status.name().to_owned());
            cells.push(cell(status.reason()).into_owned());
            cells.push(trial.holds.map(|holds| holds.to_string()).unwrap_or_default());
            cells.extend(trial.outcome.numbers.iter().map(|value| text(*value)));
            file.push_str(&cells.join(","));
            file.push('\n');
        }
    }
    file
}

/// The axes that are not searched.
fn others(study: &Study, search: &Search) -> Vec<usize> {
    (0..study.axes.len()).filter(|k| *k != search.of).collect()
}

/// The answers for the terminal.
#[must_use]
pub(crate) fn answers_text(study: &Study, search: &Search, answers: &[Answer]) -> String {
    let of = &study.axes[search.of];
    let mut lines = vec![format!(
        "{} {} such that {}",
        search.find.name(),
        of.title(),
        search.such_that.text()
    )];
    for answer in answers {
        let at: Vec<String> = others(study, search)
            .iter()
            .map(|k| format!("{} {}", study.axes[*k].label, answer.levels[*k].text()))
            .collect();
        let at = if at.is_empty() { String::new() } else { format!("{}: ", at.join(", ")) };
        let short = |value: f64| crate::report::show::short(value, 5);
        let end = |value: Option<f64>| value.map_or_else(|| NOTHING.to_owned(), short);
        let until = answer.until.map_or_else(String::new, |[last, next]| {
            format!(
                "; it holds as far as {}, and at {} it does not or has no answer",
                short(last),
                short(next)
            )
        });
        let said = match answer.found {
            Found::Bracketed => {
                let error = match answer.with_error {
                    Some([low, high]) if search.error > 0.0 => {
                        format!(
                            "; with the error stated between {} and {}",
                            short(low),
                            short(high)
                        )
                    }
                    _ => String::new(),
                };
                let several = if answer.several { "; it also holds elsewhere" } else { "" };
                format!(
                    "{}, at {} it does not hold{error}{until}{several}",
                    end(answer.holds_at),
                    end(answer.fails_at)
                )
            }
            Found::AtTheEnd if answer.until.is_some() => {
                format!("holds from the end of the range, {}{until}", end(answer.holds_at))
            }
            Found::AtTheEnd => format!("holds over the whole range, to {}", end(answer.holds_at)),
            Found::Nowhere => "holds at no value that was tried".to_owned(),
            Found::NoReference => "the case to compare with could not be solved".to_owned(),
        };
        lines.push(format!("  {at}{said} ({} cases)", answer.trials.len()));
    }
    lines.push(String::new());
    lines.join("\n")
}

/// `study.json` of a search.
#[must_use]
pub(crate) fn answers_json(study: &Study, search: &Search, answers: &[Answer]) -> Value {
    let of = &study.axes[search.of];
    json!({
        "schema_version": 1,
        "program": { "name": env!("CARGO_PKG_NAME"), "version": env!("CARGO_PKG_VERSION") },
        "complete": true,
        "title": study.title,
        "study_sha256": study.sha256,
        "case_sha256": study.base.sha256,
        "units": study.base.units.name(),
        "search": {
            "find": search.find.name(),
            "of": of.name,
            "unit": of.unit,
            "such_that": search.such_that.text(),
            "within": search.within,
            "error": search.error,
        },
        "answers": answers.len(),
        "bracketed": answers.iter().filter(|answer| answer.found == Found::Bracketed).count(),
    })
}
