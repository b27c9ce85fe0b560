//! Arguments of the commands that print or write what the program holds: starters, alloys, keys, schemas,
//! manual, completions.

use std::path::PathBuf;

use clap::Args;
use clap_complete::Shell;

#[derive(Args, Debug)]
#[expect(clippy::struct_excessive_bools, reason = "a switch for each kind of file")]
pub(crate) struct Keys {
    /// The sheet for `hoopset toolsheet` in place of the case file.
    #[arg(long)]
    pub(crate) sheet: bool,
    /// The study file for `hoopset study` in place of the case file.
    #[arg(long, conflicts_with = "sheet")]
    pub(crate) study: bool,
    /// The file of tests for `hoopset metal` in place of the case file.
    #[arg(long, conflicts_with_all = ["sheet", "study"])]
    pub(crate) metal: bool,
    /// The section file for `hoopset section` in place of the case file.
    #[arg(long, conflicts_with_all = ["sheet", "study", "metal"])]
    pub(crate) section: bool,
    /// The shop file for `hoopset shop` in place of the case file.
    #[arg(long, conflicts_with_all = ["sheet", "study", "metal", "section"])]
    pub(crate) shop: bool,
}

#[derive(Args, Debug)]
#[command(after_help = "For example: hoopset manual > hoopset.1; man ./hoopset.1")]
pub(crate) struct Manual {
    /// A command; the program as a whole when left out.
    pub(crate) command: Option<String>,
}

#[derive(Args, Debug)]
pub(crate) struct Completions {
    /// The shell.
    pub(crate) shell: Shell,
}

#[derive(Args, Debug)]
#[expect(clippy::struct_excessive_bools, reason = "a switch for each kind of file")]
#[command(after_help = "Exit codes: 0 written, 1 it cannot be written, 2 the file exists already.")]
pub(crate) struct Starter {
    /// File to write; never overwritten. Printed when left out.
    pub(crate) file: Option<PathBuf>,
    /// A sheet for `hoopset toolsheet` in place of a case.
    #[arg(long)]
    pub(crate) sheet: bool,
    /// A file of tests for `hoopset metal` in place of a case.
    #[arg(long, conflicts_with = "sheet")]
    pub(crate) metal: bool,
    /// A shop file for `hoopset shop` in place of a case.
    #[arg(long, conflicts_with_all = ["sheet", "metal"])]
    pub(crate) shop: bool,
    /// A table of holes, which a shop file names, in place of a case.
    #[arg(long, conflicts_with_all = ["sheet", "metal", "shop"])]
    pub(crate) holes: bool,
}

#[derive(Args, Debug)]
#[command(
    after_help = "Numbers are minima, typical values or constructions, as the source with each says; the \
                  split into isotropic and kinematic hardening is an assumption."
)]
pub(crate) struct Alloys {
    /// One alloy in full, with its metal as a table for a case file; all in a line each when left out.
    pub(crate) name: Option<String>,
    /// Folder for pictures of the alloy: its first pull, and loops of a bar.
    #[arg(long, value_name = "DIR", requires = "name")]
    pub(crate) out: Option<PathBuf>,
}
