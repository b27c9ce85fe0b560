//! `hoopset verify`: the verification book.

use std::borrow::Cow;
use std::path::PathBuf;
use std::process::ExitCode;
use std::time::Instant;

use indicatif::{ProgressBar, ProgressStyle};
use rayon::prelude::*;
use sha2::{Digest, Sha256};

use crate::cli::args::Verify;
use crate::cli::exit::{CliError, INTERRUPTED};
use crate::cli::output::say;
use crate::cli::progress::interrupt_flag;
use crate::report::folder::ResultsFolder;
use crate::verify::bench::Effort;
use crate::verify::book;
use crate::verify::cases::{CASES, Entry};
use crate::verify::expected::Expected;
use crate::verify::{Judged, Stopped};

/// Folder of the book when none is named.
const FOLDER: &str = "verification-results";

pub(crate) fn verify(arguments: &Verify) -> Result<ExitCode, CliError> {
    let effort = if arguments.quick { Effort::Quick } else { Effort::Whole };
    let chosen = chosen(arguments, effort)?;
    let target = arguments.out.clone().unwrap_or_else(|| PathBuf::from(FOLDER));
    let folder = ResultsFolder::create(&target)?;
    let stop = interrupt_flag();
    let bar = ProgressBar::new(chosen.len() as u64);
    let style = ProgressStyle::with_template(
        "{msg:34} [{bar:30}] {pos:>2} of {len}  {elapsed} elapsed, {eta} left",
    );
    if let Ok(style) = style {
        bar.set_style(style.progress_chars("=> "));
    }
    bar.tick();
    // Cases side by side: small ones leave a core idle that another can use.
    let outcomes: Vec<(Result<Judged, Stopped>, f64)> = chosen
        .par_iter()
        .map(|(entry, input, expected)| {
            bar.set_message(entry.name);
            let start = Instant::now();
            let judged = crate::verify::run(entry, input, expected, effort, &stop);
            bar.inc(1);
            (judged, start.elapsed().as_secs_f64())
        })
        .collect();
    bar.finish_and_clear();
    let mut judged = Vec::with_capacity(outcomes.len());
    let mut seconds = Vec::with_capacity(outcomes.len());
    for (outcome, time) in outcomes {
        match outcome {
            Ok(case) => {
                seconds.push((case.name, time));
                judged.push(case);
            }
            Err(Stopped::Interrupted) => return Ok(ExitCode::from(INTERRUPTED)),
            Err(Stopped::Flawed(flaw)) => return Err(CliError::Expectations(flaw)),
        }
    }
    let mut digest = Sha256::new();
    for (_, input, expected) in &chosen {
        digest.update(input.as_bytes());
        digest.update(expected.as_bytes());
    }
    let digits: Vec<String> = digest.finalize().iter().map(|byte| format!("{byte:02x}")).collect();
    let front = book::Front { record: arguments.paper.record(), sha256: digits.concat() };
    book::write(&judged, &seconds, effort, &front, &folder)?;
    let kept = folder.finish()?;
    for (case, (_, time)) in judged.iter().zip(&seconds) {
        say!(
            "{:24} {:6.1} s  {}",
            case.name,
            time,
            if case.agrees() { "agrees" } else { "FALLS SHORT" }
        );
        if let Some(trouble) = &case.trouble {
            say!("    {trouble}");
        }
        for row in case.rows.iter().filter(|row| !row.agrees()) {
            let bound = row.expected.value.or(row.expected.at_least).or(row.expected.at_most);
            say!(
                "    {}: {:?}, expected {:?}, error {:.3e}",
                row.expected.key,
                row.computed.unwrap_or(f64::NAN),
                bound.unwrap_or(f64::NAN),
                row.error.unwrap_or(f64::NAN)
            );
        }
    }
    say!("book: {}", kept.join("book.html").display());
    let good = judged.iter().all(Judged::agrees);
    Ok(if good { ExitCode::SUCCESS } else { ExitCode::FAILURE })
}

/// A case with the texts of its two files.
type Chosen = (&'static Entry, Cow<'static, str>, Cow<'static, str>);

/// The cases to run: those named, or all that the effort allows.
fn chosen(arguments: &Verify, effort: Effort) -> Result<Vec<Chosen>, CliError> {
    let named = |name: &String| {
        let found = CASES.iter().find(|entry| entry.name == name);
        found.ok_or_else(|| CliError::NoSuchCase(name.clone()))
    };
    let entries = if arguments.only.is_empty() {
        CASES.iter().collect()
    } else {
        arguments.only.iter().map(named).collect::<Result<Vec<_>, _>>()?
    };
    let mut chosen = Vec::with_capacity(entries.len());
    for entry in entries {
        let (input, words) = match &arguments.from {
            None => (Cow::Borrowed(entry.input()), Cow::Borrowed(entry.expected())),
            Some(folder) => {
                let read = |file: &str| {
                    let path = folder.join(entry.name).join(file);
                    match std::fs::read_to_string(&path) {
                        Ok(text) => Ok(Cow::Owned(text)),
                        Err(source) => Err(CliError::Io { doing: "read", path, source }),
                    }
                };
                (read("case.toml")?, read("expected.toml")?)
            }
        };
        let expected = Expected::parse(entry.name, &words).map_err(CliError::Expectations)?;
        if !arguments.only.is_empty() || effort == Effort::Whole || expected.quick {
            chosen.push((entry, input, words));
        }
    }
    Ok(chosen)
}
