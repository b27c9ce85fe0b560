//! `hoopset keys`, `schema`, `manual` and `completions`: what can be written, for people, editors and
//! shells. All of it is made of the lists that the program itself reads by.

use std::process::ExitCode;

use clap::CommandFactory as _;
use clap_mangen::Man;

use crate::case::keys::{
    CASE_FILE, METAL_FILE, SECTION_FILE, SHEET_FILE, SHOP_FILE, STUDY_FILE, markdown,
};
use crate::case::schema::{
    case_schema, metal_schema, section_schema, sheet_schema, shop_schema, study_schema,
};
use crate::cli::args::{Arguments, Completions, Keys, Manual};
use crate::cli::exit::CliError;
use crate::cli::output::print;
use crate::report::json::pretty;

/// Prints the key table in Markdown.
pub(crate) fn keys(arguments: &Keys) -> ExitCode {
    let file: &[_] = match (arguments.sheet, arguments.study) {
        (true, _) => &SHEET_FILE,
        (_, true) => &STUDY_FILE,
        _ if arguments.metal => &METAL_FILE,
        _ if arguments.section => &SECTION_FILE,
        _ if arguments.shop => &SHOP_FILE,
        _ => &CASE_FILE,
    };
    print(format_args!("{}", markdown(file)));
    ExitCode::SUCCESS
}

/// Prints the JSON Schema.
pub(crate) fn schema(arguments: &Keys) -> Result<ExitCode, CliError> {
    let schema = match (arguments.sheet, arguments.study) {
        (true, _) => sheet_schema(),
        (_, true) => study_schema(),
        _ if arguments.metal => metal_schema(),
        _ if arguments.section => section_schema(),
        _ if arguments.shop => shop_schema(),
        _ => case_schema(),
    };
    print(format_args!("{}", pretty(&schema).map_err(CliError::Json)?));
    Ok(ExitCode::SUCCESS)
}

/// Prints a manual page in the macros of `man`.
pub(crate) fn manual(arguments: &Manual) -> Result<ExitCode, CliError> {
    let mut program = Arguments::command();
    program.build();
    let page = match &arguments.command {
        None => Man::new(program),
        Some(name) => match program.find_subcommand(name) {
            Some(command) => Man::new(command.clone()),
            None => return Err(CliError::NoSuchCommand(name.clone())),
        },
    };
    let mut text = Vec::new();
    page.render(&mut text).map_err(CliError::Output)?;
    print(format_args!("{}", String::from_utf8_lossy(&text)));
    Ok(ExitCode::SUCCESS)
}

/// Prints the completions for a shell.
pub(crate) fn completions(arguments: &Completions) -> ExitCode {
    let mut text = Vec::new();
    let mut program = Arguments::command();
    clap_complete::generate(arguments.shell, &mut program, "hoopset", &mut text);
    print(format_args!("{}", String::from_utf8_lossy(&text)));
    ExitCode::SUCCESS
}
