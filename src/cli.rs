//! The program: arguments, commands, progress, messages and exit codes.
//!
//! Results and tables go to standard output, progress and messages to standard error.
//!
//! Floor 11.

mod alloys;
mod args;
mod check;
mod check_section;
mod compare;
mod convergence;
mod drawing;
mod exit;
mod figures;
mod finished;
mod infer;
mod life;
mod live;
mod metal;
mod output;
mod progress;
mod reference;
mod resume;
mod resume_section;
mod run;
mod search;
mod section;
mod section_beside;
mod section_files;
mod shard;
mod shop;
mod slurm;
mod starter;
mod study;
mod toolsheet;
mod verify;

use std::process::ExitCode;

use clap::Parser;

use crate::cli::args::{Arguments, Command};
use crate::cli::exit::CliError;
use crate::cli::output::tell;

/// Reads the command line, does what it asks, and says how it went: 0 done, 1 computed but
/// failed, 2 bad input, 130 interrupted.
#[must_use]
pub fn main() -> ExitCode {
    let arguments = Arguments::parse();
    let outcome = match arguments.command {
        None => run::run(&args::Run::default()),
        Some(Command::Run(arguments)) => run::run(&arguments),
        Some(Command::Life(arguments)) => life::life(&arguments),
        Some(Command::Live(arguments)) => live::live(&arguments),
        Some(Command::Check(arguments)) => check_section::check_either(&arguments),
        Some(Command::Compare(arguments)) => compare::compare(&arguments),
        Some(Command::Starter(arguments)) => starter::starter(&arguments),
        Some(Command::Section(arguments)) => section::section(&arguments),
        Some(Command::Toolsheet(arguments)) => toolsheet::toolsheet(&arguments),
        Some(Command::Infer(arguments)) => infer::infer(&arguments),
        Some(Command::Metal(arguments)) => metal::metal(&arguments),
        Some(Command::Shop(arguments)) => shop::shop(&arguments),
        Some(Command::Study(arguments)) => study::study(&arguments),
        Some(Command::Alloys(arguments)) => alloys::alloys(&arguments),
        Some(Command::Keys(arguments)) => Ok(reference::keys(&arguments)),
        Some(Command::Schema(arguments)) => reference::schema(&arguments),
        Some(Command::Manual(arguments)) => reference::manual(&arguments),
        Some(Command::Completions(arguments)) => Ok(reference::completions(&arguments)),
        Some(Command::Verify(arguments)) => verify::verify(&arguments),
    };
    output::settle(match outcome {
        Ok(code) => code,
        Err(error) => {
            report(&error);
            ExitCode::from(error.exit_code())
        }
    })
}

/// Prints an error, its causes and its hint.
fn report(error: &CliError) {
    let mut said = error.to_string();
    tell!("error: {said}");
    let mut cause = std::error::Error::source(error);
    while let Some(inner) = cause {
        let words = inner.to_string();
        // Some errors say their cause themselves.
        if !said.ends_with(&words) {
            tell!("  because: {words}");
        }
        said = words;
        cause = inner.source();
    }
    if let Some(hint) = error.hint() {
        tell!("hint: {hint}");
    }
}

/// Prints what a reader should look at but need not act on.
fn warn(message: &str) {
    tell!("warning: {message}");
}
