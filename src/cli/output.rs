//! Standard output and standard error, either of which may be closed or full.
//!
//! A reader that closes its end of a pipe has seen enough: what follows is dropped quietly. An
//! output that cannot take what is written, such as a file on a full disk, is reported once at the
//! end and makes the exit code 1. Neither stops the work, so the results are whole in any case.

use std::fmt::Arguments;
use std::io::{Error, ErrorKind, Write, stderr, stdout};
use std::process::ExitCode;
use std::sync::{Mutex, PoisonError};

use crate::cli::exit::FAILED;

/// Why standard output takes no more; `None` as long as it does.
static CLOSED: Mutex<Option<Error>> = Mutex::new(None);

/// Prints a line on standard output.
macro_rules! say {
    () => { $crate::cli::output::print(format_args!("\n")) };
    ($($text:tt)+) => { $crate::cli::output::print(format_args!("{}\n", format_args!($($text)+))) };
}

/// Prints a line on standard error.
macro_rules! tell {
    ($($text:tt)+) => { $crate::cli::output::report(format_args!("{}\n", format_args!($($text)+))) };
}

pub(crate) use {say, tell};

/// Writes to standard output until that fails for the first time.
pub(crate) fn print(text: Arguments<'_>) {
    let mut closed = CLOSED.lock().unwrap_or_else(PoisonError::into_inner);
    if closed.is_none()
        && let Err(failure) = stdout().write_fmt(text).and_then(|()| stdout().flush())
    {
        *closed = Some(failure);
    }
}

/// Writes to standard error. Where that fails there is nobody left to tell.
pub(crate) fn report(text: Arguments<'_>) {
    let _ = stderr().write_fmt(text);
}

/// The exit code of the program: `code`, or 1 when work that was done could not be printed.
pub(crate) fn settle(code: ExitCode) -> ExitCode {
    let closed = CLOSED.lock().unwrap_or_else(PoisonError::into_inner);
    match &*closed {
        Some(failure) if failure.kind() != ErrorKind::BrokenPipe => {
            tell!("error: cannot write to standard output\n  because: {failure}");
            if code == ExitCode::SUCCESS { ExitCode::from(FAILED) } else { code }
        }
        _ => code,
    }
}
