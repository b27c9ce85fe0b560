//! `hoopset starter`: a commented case file.
//!
//! Floor 9, `cli`.

use std::io::Write as _;
use std::process::ExitCode;

use crate::case::STARTER;
use crate::cli::args::Starter;
use crate::cli::error::CliError;

pub(crate) fn starter(arguments: &Starter) -> Result<ExitCode, CliError> {
    let Some(path) = &arguments.file else {
        print!("{STARTER}");
        return Ok(ExitCode::SUCCESS);
    };
    let mut file = std::fs::File::create_new(path).map_err(|source| {
        if source.kind() == std::io::ErrorKind::AlreadyExists {
            CliError::Exists(path.clone())
        } else {
            CliError::Io { doing: "write", path: path.clone(), source }
        }
    })?;
    file.write_all(STARTER.as_bytes()).map_err(|source| CliError::Io {
        doing: "write",
        path: path.clone(),
        source,
    })?;
    println!("wrote {}; next: hoopset check {}", path.display(), path.display());
    Ok(ExitCode::SUCCESS)
}
