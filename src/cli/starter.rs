//! `hoopset starter`: a commented case file, or the file of another command.

use std::io::Write as _;
use std::process::ExitCode;

use crate::case::STARTER;
use crate::case::metal_tests::METAL_STARTER;
use crate::case::sheet::SHEET;
use crate::case::shop::{HOLES_STARTER, SHOP_STARTER};
use crate::cli::args::Starter;
use crate::cli::exit::CliError;
use crate::cli::output::say;

pub(crate) fn starter(arguments: &Starter) -> Result<ExitCode, CliError> {
    let (text, next) = match arguments {
        Starter { sheet: true, .. } => (SHEET, "toolsheet"),
        Starter { metal: true, .. } => (METAL_STARTER, "metal"),
        Starter { shop: true, .. } => (SHOP_STARTER, "shop"),
        Starter { holes: true, .. } => (HOLES_STARTER, ""),
        _ => (STARTER, "check"),
    };
    let Some(path) = &arguments.file else {
        crate::cli::output::print(format_args!("{text}"));
        return Ok(ExitCode::SUCCESS);
    };
    let mut file = std::fs::File::create_new(path).map_err(|source| {
        if source.kind() == std::io::ErrorKind::AlreadyExists {
            CliError::Exists(path.clone())
        } else {
            CliError::Io { doing: "write", path: path.clone(), source }
        }
    })?;
    file.write_all(text.as_bytes()).map_err(|source| CliError::Io {
        doing: "write",
        path: path.clone(),
        source,
    })?;
    if next.is_empty() {
        say!("wrote {}; a shop file names it as `holes`", path.display());
    } else {
        say!("wrote {}; next: hoopset {next} {}", path.display(), path.display());
    }
    Ok(ExitCode::SUCCESS)
}
