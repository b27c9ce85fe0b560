//! The part of the page on service loads.

use crate::report::escape::markup;
use crate::report::page::html::table;
use crate::report::run::RunReport;
use crate::report::service_words::{program_words, rows, settled_words};
use crate::result::service_summary::CRITERION;

/// Every service stage: how the load goes, whether the metal settles, the table. Nothing without.
pub(super) fn service(report: &RunReport) -> String {
    let mut text = String::new();
    for stage in report.service {
        text.push_str(&format!("<h3>{}</h3>\n", markup(&stage.stage)));
        let mut words =
            format!("{}. {}.", program_words(&stage.program), settled_words(&stage.worked));
        if let Some(plain) = &stage.plain {
            words.push_str(&format!(" Plain hole: {}.", settled_words(plain)));
        }
        text.push_str(&format!("<p>{}</p>\n", markup(&words)));
        text.push_str(&table(&stage.stage, &rows(stage, report.units)));
    }
    if !text.is_empty() {
        text.push_str(&format!(
            "<p class=\"small\">Hoop stress at the edge of the hole. Before, after: without load, before \
             the first cycle and after the last. Maximum, minimum, mean, range: at the turning points of the \
             last cycle, or of the last pass of a spectrum. Plain: the same part and loads, holes drilled at \
             final size and never worked. Lowered by: plain maximum less that of the worked hole. {}.</p>\n",
            markup(CRITERION)
        ));
    }
    text
}
