//! The `hoopset` program: exit codes, nothing else.

use std::process::ExitCode;

fn main() -> ExitCode {
    hoopset::cli::main()
}
