//! `summary.json` and `timings.json`.
//!
//! Stages, holes, named edges and paths are objects keyed by name, in the order of the
//! run, so that a script writes
//! `summary["stages"]["2-ream-A"]["paths"]["A"]["90"]["edge_hoop"]`. Values are in the
//! units of the `units` block; keys carry no unit. Key names are an interface: a rename is
//! a breaking change and raises [`SCHEMA_VERSION`].

mod border;
mod bush_block;
mod convert;
mod joint_block;
mod schema;
mod service_block;

use serde::Serialize;

use crate::report::json::convert::summary_of;
use crate::report::json::schema::Keyed;
pub use crate::report::json::schema::SCHEMA_VERSION;
use crate::report::number::rounded;
use crate::report::run::RunReport;

/// `summary.json`, ended by a line feed.
///
/// A number that is not finite becomes `null` and adds a warning that says which.
///
/// # Errors
///
/// Whatever the JSON writer says; with these types it has nothing to say.
pub fn summary(report: &RunReport) -> Result<String, serde_json::Error> {
    pretty(&summary_of(report))
}

/// `timings.json`: phases in seconds, in the order given, and their sum. Apart from the
/// summary, because these are the only numbers that differ between two runs of one case.
///
/// # Errors
///
/// As [`summary`].
pub fn timings(phases: &[(&str, f64)]) -> Result<String, serde_json::Error> {
    #[derive(Serialize)]
    struct Timings {
        schema_version: u32,
        unit: &'static str,
        phases: Keyed<f64>,
        total: f64,
    }
    pretty(&Timings {
        schema_version: SCHEMA_VERSION,
        unit: "s",
        phases: Keyed(phases.iter().map(|&(name, s)| (name.to_owned(), rounded(s))).collect()),
        total: rounded(phases.iter().map(|&(_, seconds)| seconds).sum()),
    })
}

/// `value` as the text of a JSON file, ended by a line feed: the one way in which JSON is written here.
///
/// # Errors
///
/// Whatever the JSON writer says.
pub(crate) fn pretty(value: &impl Serialize) -> Result<String, serde_json::Error> {
    let mut text = serde_json::to_string_pretty(value)?;
    text.push('\n');
    Ok(text)
}
