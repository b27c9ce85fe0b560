//! Arguments of the commands that print what can be written: keys, schemas, manual, completions.

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
